//! Signs in words that neither a phrase nor a wording by concepts covers: every word, two words in
//! a row, group of words and pair of groups of a clause adds its weight (see the catalog's weights
//! of signs), and the sign with by far the largest sum is taken as told.
//!
//! A clause by itself and up to three in a row are weighed; the surest goes first, and what it
//! stands on tells nothing else.

use super::said::{At, Said};
use super::token::Kind;
use super::work;
use crate::catalog::{Catalog, LiftWeights, SignWords};
use crate::report::Lift;
use std::collections::BTreeMap;

/// Clauses in a row that are weighed together, at most.
const CLAUSES: usize = 3;

/// Words of the longest run that is weighed.
const LONGEST: usize = 40;

/// Words that carry nothing by themselves.
const SMALL: [&str; 52] = [
    "i", "im", "ive", "my", "me", "the", "a", "an", "it", "its", "is", "are", "was", "were", "be",
    "been", "of", "and", "that", "this", "these", "those", "as", "so", "very", "really", "just",
    "bit", "kind", "sort", "like", "get", "gets", "got", "have", "has", "had", "do", "does", "did",
    "some", "there", "theres", "if", "then", "you", "he", "she", "for", "or", "lol", "tbh",
];

/// One feature of a text: its name and the words it stands on.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Feature {
    name: String,
    from: usize,
    to: usize,
}

/// A sign taken as told.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Told {
    pub(super) sign: String,
    pub(super) probability: f64,
    /// The words that speak for it.
    pub(super) words: Vec<usize>,
}

/// Every feature of a text, wherever it stands in one sentence.
fn features(said: &Said, book: &SignWords, groups: &[Vec<At>]) -> Vec<Feature> {
    let mut found: Vec<Feature> = Vec::new();
    let mut before: Option<(String, usize)> = None;
    for (at, word) in said.words.iter().enumerate() {
        if SMALL.contains(&word.token.text.as_str()) || compound(said, at) {
            continue;
        }
        let stem = stem(word);
        let sentence = |at: usize| said.words.get(at).map(|word| word.sentence);
        if let Some((last, place)) = &before
            && sentence(*place) == sentence(at)
        {
            found.push(Feature {
                name: format!("{last} {stem}"),
                from: *place,
                to: at + 1,
            });
        }
        found.push(Feature {
            name: stem.clone(),
            from: at,
            to: at + 1,
        });
        before = Some((stem, at));
    }
    let named = |number: usize, at: At| {
        let denied = said.slice(at).iter().any(|word| {
            word.meant
                .denied
                .is_some_and(|by| by < at.from || by >= at.to)
        });
        let name = book.names.get(number).map_or("", String::as_str);
        format!("{}<{name}>", if denied { "!" } else { "" })
    };
    let mut told: Vec<(At, bool, String)> = Vec::new();
    for (number, places) in groups.iter().enumerate().take(book.names.len()) {
        let subject = book.subjects.contains(&number);
        let whole = |at: &&At| !(at.from..at.to).any(|word| compound(said, word));
        let places = places.iter().filter(whole);
        told.extend(places.map(|at| (*at, subject, named(number, *at))));
    }
    told.sort_by(|a, b| (a.0.from, a.0.to, &a.2).cmp(&(b.0.from, b.0.to, &b.2)));
    for (at, subject, name) in &told {
        found.push(Feature {
            name: name.clone(),
            from: at.from,
            to: at.to,
        });
        if !subject {
            continue;
        }
        let low = told.partition_point(|(place, ..)| place.from + LONGEST < at.from);
        let around = told.iter().skip(low);
        for (place, other, movement) in
            around.take_while(|(place, ..)| place.from < at.to + LONGEST)
        {
            work::steps(1);
            let apart = at.to <= place.from || place.to <= at.from;
            let one = said.words.get(at.from).map(|word| word.sentence)
                == said.words.get(place.from).map(|word| word.sentence);
            if !*other && apart && one {
                found.push(Feature {
                    name: format!("{name}{movement}"),
                    from: at.from.min(place.from),
                    to: at.to.max(place.to),
                });
            }
        }
    }
    found
}

/// The back of "back squats" is the exercise, not the lifter's.
fn compound(said: &Said, at: usize) -> bool {
    let text = |at: Option<usize>| {
        let word = at.and_then(|at| said.words.get(at));
        word.map_or("", |word| word.token.text.as_str())
    };
    let mine = matches!(text(at.checked_sub(1)), "my" | "lower" | "low" | "upper");
    text(Some(at)) == "back" && text(Some(at + 1)).starts_with("squat") && !mine
}

/// The features inside words `from..to`, each name once.
fn inside(features: &[(u32, Feature)], from: usize, to: usize) -> Vec<&(u32, Feature)> {
    let low = features.partition_point(|(_, feature)| feature.from < from);
    let mut found: Vec<&(u32, Feature)> = features
        .iter()
        .skip(low)
        .take_while(|(_, feature)| feature.from < to)
        .filter(|(_, feature)| feature.to <= to)
        .collect();
    found.sort_by_key(|(name, feature)| (*name, feature.from));
    found.dedup_by_key(|(name, _)| *name);
    found
}

/// The features by where they stand, each with the number of its name: those with a weight by
/// their number, the others counted on from there.
fn numbered(weights: &LiftWeights, mut features: Vec<Feature>) -> Vec<(u32, Feature)> {
    features.sort_by(|a, b| (a.from, a.to, &a.name).cmp(&(b.from, b.to, &b.name)));
    let mut others: BTreeMap<String, u32> = BTreeMap::new();
    let known = u32::try_from(weights.weights.len()).unwrap_or(u32::MAX);
    features
        .into_iter()
        .map(|feature| {
            let number = weights.features.get(&feature.name).copied();
            let next = known.saturating_add(u32::try_from(others.len()).unwrap_or(u32::MAX));
            let number =
                number.unwrap_or_else(|| *others.entry(feature.name.clone()).or_insert(next));
            (number, feature)
        })
        .collect()
}

/// The stem of a word as weighed; a denied one is another word, and every figure is one.
fn stem(word: &super::said::Word) -> String {
    let stem = if word.token.kind == Kind::Number {
        "#"
    } else {
        &word.token.stem
    };
    if word.meant.denied.is_some() {
        format!("!{stem}")
    } else {
        stem.to_owned()
    }
}

/// What of a saying is weighed, for the tool that learns the weights: names, each once.
pub fn saying_features(text: &str, catalog: &Catalog) -> Vec<String> {
    let said = Said::new(text, &catalog.lexicon, &catalog.flags.literals);
    let groups = said.find(&catalog.sign_words.phrases, &catalog.lexicon);
    let all = features(&said, &catalog.sign_words, &groups);
    let mut names: Vec<String> = all.into_iter().map(|feature| feature.name).collect();
    names.sort();
    names.dedup();
    names
}

/// Probability of each column for the features of one run of words.
fn weigh(weights: &LiftWeights, features: &[&(u32, Feature)]) -> Vec<f64> {
    work::steps(1 + features.len());
    let scale = (features.len().max(1) as f64).sqrt();
    let mut sums = vec![0.0; weights.start.len()];
    for (number, _) in features {
        for (column, weight) in weights.weights.get(*number as usize).into_iter().flatten() {
            if let Some(sum) = sums.get_mut(*column as usize) {
                *sum += weight / scale;
            }
        }
    }
    for (sum, start) in sums.iter_mut().zip(&weights.start) {
        *sum += start;
    }
    let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut total = 0.0;
    for sum in &mut sums {
        *sum = (*sum - most).exp();
        total += *sum;
    }
    for sum in &mut sums {
        *sum /= total;
    }
    sums
}

/// The runs of a text, weighed.
pub(super) struct Weighed<'a> {
    weights: &'a LiftWeights,
    sure_from: f64,
    features: Vec<(u32, Feature)>,
    runs: Vec<(usize, usize, Vec<f64>)>,
}

impl<'a> Weighed<'a> {
    /// Weighs every run; nothing where the catalog has no weights for the lift.
    pub(super) fn new(
        said: &Said,
        catalog: &'a Catalog,
        groups: &[Vec<At>],
        lift: Lift,
    ) -> Option<Self> {
        let weights = catalog.sign_weights.lifts.get(&lift)?;
        let features = numbered(weights, features(said, &catalog.sign_words, groups));
        let runs = runs(said)
            .into_iter()
            .map(|(from, to)| (from, to, weigh(weights, &inside(&features, from, to))))
            .collect();
        Some(Self {
            weights,
            sure_from: catalog.sign_weights.sure_from,
            features,
            runs,
        })
    }

    /// The highest probability of a sign (`-` before one told as away) among the runs that hold
    /// all these words.
    pub(super) fn chance(&self, sign: &str, first: usize, last: usize) -> f64 {
        let Some(column) = self.weights.signs.iter().position(|id| id == sign) else {
            return 0.0;
        };
        let around = self
            .runs
            .iter()
            .filter(|(from, to, _)| *from <= first && last < *to);
        let chances = around.filter_map(|(_, _, chances)| chances.get(column).copied());
        chances.fold(0.0, f64::max)
    }

    /// True when the weights know this sign.
    pub(super) fn knows(&self, sign: &str) -> bool {
        self.weights.signs.iter().any(|id| id == sign)
    }

    /// Every sign told in words that weigh enough, the surest first.
    pub(super) fn told(&self) -> Vec<Told> {
        let mut found: Vec<Told> = Vec::new();
        for (from, to, chances) in &self.runs {
            for (column, (chance, sign)) in chances.iter().zip(&self.weights.signs).enumerate() {
                if *chance >= self.sure_from {
                    found.push(Told {
                        sign: sign.clone(),
                        probability: *chance,
                        words: self.speaking(*from, *to, column),
                    });
                }
            }
        }
        found.sort_by(|a, b| {
            b.probability
                .total_cmp(&a.probability)
                .then(a.words.len().cmp(&b.words.len()))
                .then(a.words.cmp(&b.words))
                .then(a.sign.cmp(&b.sign))
        });
        let mut kept: Vec<Told> = Vec::new();
        for one in found {
            let taken = kept.iter().any(|other| {
                other.sign == one.sign || other.words.iter().any(|word| one.words.contains(word))
            });
            if !taken && !one.words.is_empty() {
                kept.push(one);
            }
        }
        kept
    }

    /// The words of a run whose features speak for a column.
    fn speaking(&self, from: usize, to: usize, column: usize) -> Vec<usize> {
        let speaks = |number: u32| {
            let row = self.weights.weights.get(number as usize);
            row.into_iter()
                .flatten()
                .any(|(at, weight)| *at as usize == column && *weight > 0.0)
        };
        let mut words: Vec<usize> = inside(&self.features, from, to)
            .iter()
            .filter(|(number, _)| speaks(*number))
            .flat_map(|(_, feature)| [feature.from, feature.to - 1])
            .collect();
        words.sort_unstable();
        words.dedup();
        words
    }
}

/// Runs of one to [`CLAUSES`] clauses of one sentence, as words `from..to`.
fn runs(said: &Said) -> Vec<(usize, usize)> {
    let mut starts: Vec<usize> = Vec::new();
    for (at, word) in said.words.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| said.words.get(at));
        if before.is_none_or(|before| before.clause != word.clause) {
            starts.push(at);
        }
    }
    starts.push(said.words.len());
    let mut runs = Vec::new();
    for (number, from) in starts.iter().enumerate() {
        let Some(first) = said.words.get(*from) else {
            continue;
        };
        for to in starts.iter().skip(number + 1).take(CLAUSES) {
            let last = to.checked_sub(1).and_then(|at| said.words.get(at));
            let one = last.is_some_and(|last| last.sentence == first.sentence);
            if !one || to - from > LONGEST {
                break;
            }
            runs.push((*from, *to));
        }
    }
    runs
}
