//! What of a saying is weighed: words, two words in a row, groups of words and pairs of groups, and
//! the numbers they have among the weights of signs.

use super::hits::Hits;
use super::known::Words;
use super::said::{At, Said};
use super::sayings::LONGEST;
use super::token::Kind;
use super::work;
use crate::catalog::{Catalog, LiftWeights, SignWeights, SignWords};
use std::collections::BTreeMap;

/// Words that carry nothing by themselves.
const SMALL: [&str; 52] = [
    "i", "im", "ive", "my", "me", "the", "a", "an", "it", "its", "is", "are", "was", "were", "be",
    "been", "of", "and", "that", "this", "these", "those", "as", "so", "very", "really", "just",
    "bit", "kind", "sort", "like", "get", "gets", "got", "have", "has", "had", "do", "does", "did",
    "some", "there", "theres", "if", "then", "you", "he", "she", "for", "or", "lol", "tbh",
];

/// What a feature is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// The stem of the word at this place, and whether it is denied.
    Word(usize, bool),
    /// A group by its number, and whether it is denied.
    Group(usize, bool),
}

/// One feature of a text: one or two parts, and the words it stands on.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Feature {
    one: Part,
    two: Option<Part>,
    from: usize,
    to: usize,
}

/// The same, ready for weighing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Numbered {
    /// The number of a feature that has weights; another number, the same for the same parts, for
    /// one that has none.
    pub(super) number: u64,
    /// First word it stands on.
    pub(super) from: usize,
    /// One past the last word it stands on.
    pub(super) to: usize,
}

/// Every feature of a text, wherever it stands in one sentence.
fn features(said: &Said, book: &SignWords, groups: &Hits) -> Vec<Feature> {
    let mut found: Vec<Feature> = Vec::with_capacity(said.words.len() * 3);
    let mut before: Option<(Part, usize)> = None;
    for (at, word) in said.words.iter().enumerate() {
        if SMALL.contains(&word.token.text.as_str()) || compound(said, at) {
            continue;
        }
        let part = Part::Word(at, word.meant.denied.is_some());
        let sentence = |at: usize| said.words.get(at).map(|word| word.sentence);
        if let Some((last, place)) = before
            && sentence(place) == sentence(at)
        {
            found.push(Feature {
                one: last,
                two: Some(part),
                from: place,
                to: at + 1,
            });
        }
        found.push(Feature {
            one: part,
            two: None,
            from: at,
            to: at + 1,
        });
        before = Some((part, at));
    }
    by_groups(said, book, groups, &mut found);
    found
}

/// The features of groups, and of pairs of them that begin with what moves.
fn by_groups(said: &Said, book: &SignWords, groups: &Hits, found: &mut Vec<Feature>) {
    let part = |number: usize, at: At| {
        let denied = said.slice(at).iter().any(|word| {
            word.meant
                .denied
                .is_some_and(|by| by < at.from || by >= at.to)
        });
        Part::Group(number, denied)
    };
    let mut told: Vec<(At, bool, Part)> = Vec::new();
    for (number, places) in groups.iter().take_while(|(at, _)| *at < book.names.len()) {
        let subject = book.subjects.contains(&number);
        let whole = |at: &&At| !(at.from..at.to).any(|word| compound(said, word));
        let places = places.iter().filter(whole);
        told.extend(places.map(|at| (*at, subject, part(number, *at))));
    }
    told.sort_by_key(|(at, _, part)| (at.from, at.to, *part));
    for (at, subject, part) in &told {
        found.push(Feature {
            one: *part,
            two: None,
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
                    one: *part,
                    two: Some(*movement),
                    from: at.from.min(place.from),
                    to: at.to.max(place.to),
                });
            }
        }
    }
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

/// Set in the numbers of features that have no weights.
const NONE: u64 = 1 << 63;

/// Gives the parts of features their numbers.
struct Numbers<'a> {
    said: &'a Said,
    book: &'a SignWords,
    weights: &'a SignWeights,
    /// Numbers of the groups, plain and denied.
    groups: &'a [[Option<u32>; 2]],
    /// Numbers of terms that have no weights, given as they are met.
    others: BTreeMap<String, u32>,
}

impl Numbers<'_> {
    /// The number of a part.
    fn of(&mut self, part: Part) -> u32 {
        let known = match part {
            Part::Word(at, denied) => self.said.words.get(at).and_then(|word| {
                let terms = &self.weights.terms;
                let find = || {
                    let stem = stem(word);
                    let number = |name: &str| terms.get(name).copied();
                    [number(stem), number(&format!("!{stem}"))]
                };
                let both = self.said.meaning(word).map(|known| known.told(find));
                both.and_then(|[plain, no]| if denied { no } else { plain })
            }),
            Part::Group(number, denied) => {
                let both = self.groups.get(number);
                both.and_then(|[plain, no]| if denied { *no } else { *plain })
            }
        };
        known.unwrap_or_else(|| self.other(part))
    }

    fn other(&mut self, part: Part) -> u32 {
        let next = self.weights.terms.len() + self.others.len();
        let next = u32::try_from(next).unwrap_or(u32::MAX);
        let name = name(self.said, self.book, part);
        *self.others.entry(name).or_insert(next)
    }
}

/// One feature by the numbers of its terms, whatever is weighed by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Termed {
    pub(super) one: u32,
    pub(super) two: Option<u32>,
    /// First word it stands on.
    pub(super) from: usize,
    /// One past the last word it stands on.
    pub(super) to: usize,
}

/// The features of a text by the numbers of their terms.
pub(super) fn termed(said: &Said, catalog: &Catalog, groups: &Hits) -> Vec<Termed> {
    let mut numbers = Numbers {
        said,
        book: &catalog.sign_words,
        weights: &catalog.sign_weights,
        groups: &super::PreparedOnce::of(catalog).told,
        others: BTreeMap::new(),
    };
    let all = features(said, &catalog.sign_words, groups);
    let term = |feature: &Feature| Termed {
        one: numbers.of(feature.one),
        two: feature.two.map(|two| numbers.of(two)),
        from: feature.from,
        to: feature.to,
    };
    all.iter().map(term).collect()
}

/// The features of a text by where they stand, numbered for the weights of a lift.
pub(super) fn numbered(terms: &[Termed], weights: &LiftWeights) -> Vec<Numbered> {
    let number = |term: &Termed| {
        let Termed { one, two, from, to } = *term;
        let number = weights.feature(one, two).map(u64::from);
        let none = || NONE | u64::from(one) << 32 | two.map_or(0, |two| u64::from(two) + 1);
        Numbered {
            number: number.unwrap_or_else(none),
            from,
            to,
        }
    };
    let mut all: Vec<Numbered> = terms.iter().map(number).collect();
    all.sort_unstable_by_key(|feature| (feature.from, feature.to, feature.number));
    all
}

/// A feature of the whole text by its name among the weights of posts.
pub(super) fn named(name: &str, catalog: &Catalog) -> Numbered {
    let weights = &catalog.sign_weights;
    let term = weights.terms.get(name);
    let number = term.and_then(|term| weights.posts.weights.feature(*term, None));
    Numbered {
        number: number.map_or(NONE, u64::from),
        from: 0,
        to: 0,
    }
}

/// The stem of a word as weighed; every figure is one.
fn stem(word: &super::said::Word) -> &str {
    if word.token.kind == Kind::Number {
        "#"
    } else {
        &word.token.stem
    }
}

/// A part as the weights name it; what is denied is another name.
fn name(said: &Said, book: &SignWords, part: Part) -> String {
    let (denied, name) = match part {
        Part::Word(at, denied) => (denied, said.words.get(at).map_or("", stem).to_owned()),
        Part::Group(number, denied) => {
            let name = book.names.get(number).map_or("", String::as_str);
            (denied, format!("<{name}>"))
        }
    };
    if denied { format!("!{name}") } else { name }
}

/// What of a saying is weighed, for the tool that learns the weights: names, each once.
pub fn saying_features(text: &str, catalog: &Catalog) -> Vec<String> {
    let said = Said::new(text, catalog, &mut Words::default());
    let book = &catalog.sign_words;
    let groups = said.find(&book.phrases, &catalog.lexicon);
    let all = features(&said, book, &groups);
    let mut names: Vec<String> = all
        .into_iter()
        .map(|feature| {
            let one = name(&said, book, feature.one);
            match feature.two {
                None => one,
                Some(two @ Part::Word(..)) => format!("{one} {}", name(&said, book, two)),
                Some(two @ Part::Group(..)) => format!("{one}{}", name(&said, book, two)),
            }
        })
        .collect();
    names.sort();
    names.dedup();
    names
}
