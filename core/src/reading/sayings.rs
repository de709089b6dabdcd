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

/// Every feature of words `from..to`, each once, by name.
fn features(said: &Said, book: &SignWords, groups: &[Vec<At>], from: usize, to: usize) -> Vec<Feature> {
    let mut found: Vec<Feature> = Vec::new();
    let mut before: Option<(String, usize)> = None;
    for at in from..to {
        let Some(word) = said.words.get(at) else { break };
        if SMALL.contains(&word.token.text.as_str()) {
            continue;
        }
        let stem = stem(word);
        if let Some((last, place)) = &before {
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
    let mut said_groups: Vec<(usize, At)> = Vec::new();
    for (number, places) in groups.iter().enumerate().take(book.names.len()) {
        let inside = places.iter().find(|at| at.from >= from && at.to <= to);
        said_groups.extend(inside.map(|at| (number, *at)));
    }
    let name = |number: usize, at: At| {
        let denied = said
            .slice(at)
            .iter()
            .any(|word| word.meant.denied.is_some_and(|by| by < at.from || by >= at.to));
        let name = book.names.get(number).map_or("", String::as_str);
        if denied {
            format!("!<{name}>")
        } else {
            format!("<{name}>")
        }
    };
    for (number, at) in &said_groups {
        found.push(Feature {
            name: name(*number, *at),
            from: at.from,
            to: at.to,
        });
        if !book.subjects.contains(number) {
            continue;
        }
        for (other, place) in &said_groups {
            if book.subjects.contains(other) || (at.from < place.to && place.from < at.to) {
                continue;
            }
            found.push(Feature {
                name: format!("{}{}", name(*number, *at), name(*other, *place)),
                from: at.from.min(place.from),
                to: at.to.max(place.to),
            });
        }
    }
    found.sort_by(|a, b| a.name.cmp(&b.name).then(a.from.cmp(&b.from)));
    found.dedup_by(|a, b| a.name == b.name);
    found
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
    let all = features(&said, &catalog.sign_words, &groups, 0, said.words.len());
    all.into_iter().map(|feature| feature.name).collect()
}

/// Probability of each column for the features of one run of words.
fn weigh(weights: &LiftWeights, features: &[Feature]) -> Vec<f64> {
    work::steps(1 + features.len());
    let scale = (features.len().max(1) as f64).sqrt();
    let mut sums = vec![0.0; weights.start.len()];
    for feature in features {
        let Some(number) = weights.features.get(&feature.name) else {
            continue;
        };
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

/// Every sign told in words that weigh enough, the surest first.
pub(super) fn told(said: &Said, catalog: &Catalog, groups: &[Vec<At>], lift: Lift) -> Vec<Told> {
    let Some(weights) = catalog.sign_weights.lifts.get(&lift) else {
        return Vec::new();
    };
    let mut found: Vec<Told> = Vec::new();
    for (from, to) in runs(said) {
        let features = features(said, &catalog.sign_words, groups, from, to);
        let chances = weigh(weights, &features);
        let signs = chances.iter().zip(&weights.signs).enumerate();
        for (column, (chance, sign)) in signs {
            if *chance < catalog.sign_weights.sure_from {
                continue;
            }
            found.push(Told {
                sign: sign.clone(),
                probability: *chance,
                words: speaking(weights, &features, column),
            });
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

/// The words whose features speak for a column.
fn speaking(weights: &LiftWeights, features: &[Feature], column: usize) -> Vec<usize> {
    let speaks = |feature: &&Feature| {
        let number = weights.features.get(&feature.name);
        let row = number.and_then(|number| weights.weights.get(*number as usize));
        row.into_iter()
            .flatten()
            .any(|(at, weight)| *at as usize == column && *weight > 0.0)
    };
    let mut words: Vec<usize> = features
        .iter()
        .filter(speaks)
        .flat_map(|feature| [feature.from, feature.to - 1])
        .collect();
    words.sort_unstable();
    words.dedup();
    words
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
        let Some(first) = said.words.get(*from) else { continue };
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
