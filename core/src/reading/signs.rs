//! Signs in words: the catalog's phrases found by their content words, in any order, near together.
//!
//! A guess about a cause ("weak triceps") is no sign: only what a phrase of the catalog says is.

use super::said::{At, Said, Word};
use super::{Polarity, SignMention};
use crate::catalog::words::{fold, stem, typo};
use crate::catalog::{Catalog, Lexicon};
use crate::report::Lift;
use std::collections::{BTreeMap, BTreeSet};

/// Small words that carry nothing in a phrase of several words.
const SMALL: [&str; 46] = [
    "i", "im", "my", "me", "the", "a", "an", "it", "its", "is", "are", "was", "be", "of", "to",
    "at", "on", "and", "when", "with", "that", "this", "for", "as", "or", "so", "very", "really",
    "just", "get", "gets", "got", "have", "has", "had", "do", "does", "some", "there", "if",
    "then", "bit", "kind", "like", "feels", "feel",
];

/// Words more than a phrase's own that may stand between its words.
const ROOM: usize = 4;

/// One phrase made ready.
struct Phrase {
    lift: Lift,
    sign: usize,
    content: Vec<String>,
    whole: Vec<String>,
}

/// One phrase found.
#[derive(Clone)]
struct Found {
    lift: Lift,
    sign: String,
    share: f64,
    words: Vec<usize>,
    size: usize,
}

/// Every sign found, each once, in the order of the text.
pub(super) fn signs(said: &Said, catalog: &Catalog, lift: Option<Lift>) -> Vec<SignMention> {
    let phrases = phrases(catalog, lift);
    let lexicon = &catalog.lexicon;
    let vocabulary: BTreeSet<&str> = phrases
        .iter()
        .flat_map(|p| p.content.iter().chain(&p.whole))
        .map(String::as_str)
        .collect();
    let stems: Vec<String> = said
        .words
        .iter()
        .map(|word| known(word, &vocabulary, lexicon))
        .collect();
    let mut places: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, text) in stems.iter().enumerate() {
        places.entry(text).or_default().push(index);
    }
    let mut found: Vec<Found> = Vec::new();
    for phrase in &phrases {
        if let Some((words, share)) = place(phrase, said, &stems, &places) {
            let book = catalog.lifts.get(&phrase.lift);
            let Some(sign) = book.and_then(|book| book.signs.get(phrase.sign)) else {
                continue;
            };
            found.push(Found {
                lift: phrase.lift,
                sign: sign.id.clone(),
                share,
                words,
                size: phrase.content.len().max(1),
            });
        }
    }
    let kept = settle(&found, lift.is_none());
    mentions(said, lexicon, &kept)
}

/// A word as it counts in phrases: its stem, one stem for words that mean the same.
fn canonical(word: &str, lexicon: &Lexicon) -> String {
    let stem = stem(&fold(word));
    lexicon.same.get(&stem).cloned().unwrap_or(stem)
}

/// A word of the text as a phrase word, small typos forgiven.
fn known(word: &Word, vocabulary: &BTreeSet<&str>, lexicon: &Lexicon) -> String {
    let text = canonical(&word.token.text, lexicon);
    let letters: Vec<char> = text.chars().collect();
    if vocabulary.contains(text.as_str())
        || letters.len() < 4
        || letters.len() > 24
        || lexicon.protected.contains(&word.token.text)
    {
        return text;
    }
    vocabulary
        .iter()
        .filter(|meant| meant.len().abs_diff(text.len()) <= 4)
        .filter(|meant| {
            meant
                .chars()
                .next()
                .is_some_and(|c| letters.iter().take(2).any(|l| *l == c))
        })
        .filter_map(|meant| {
            typo(&letters, &meant.chars().collect::<Vec<_>>()).map(|distance| (distance, *meant))
        })
        .min()
        .map_or(text, |(_, meant)| meant.to_owned())
}

fn phrases(catalog: &Catalog, lift: Option<Lift>) -> Vec<Phrase> {
    let mut out = Vec::new();
    for (book_lift, book) in &catalog.lifts {
        if lift.is_some_and(|lift| lift != *book_lift) {
            continue;
        }
        for (sign, entry) in book.signs.iter().enumerate() {
            for text in &entry.phrases {
                let whole: Vec<String> = super::token::tokens(text)
                    .into_iter()
                    .filter(|token| token.kind != super::token::Kind::Sign)
                    .map(|token| token.text)
                    .collect();
                let content: Vec<String> = whole
                    .iter()
                    .filter(|word| !SMALL.contains(&word.as_str()))
                    .map(|word| canonical(word, &catalog.lexicon))
                    .collect();
                let whole: Vec<String> = whole
                    .iter()
                    .map(|word| canonical(word, &catalog.lexicon))
                    .collect();
                out.push(Phrase {
                    lift: *book_lift,
                    sign,
                    content,
                    whole,
                });
            }
        }
    }
    out
}

/// Where a phrase stands best, and what share of its content words.
fn place(
    phrase: &Phrase,
    said: &Said,
    stems: &[String],
    places: &BTreeMap<&str, Vec<usize>>,
) -> Option<(Vec<usize>, f64)> {
    if phrase.content.len() <= 1 {
        return in_order(&phrase.whole, said, stems, places).map(|words| (words, 1.0));
    }
    let needed = match phrase.content.len() {
        0..=3 => phrase.content.len(),
        count => count - count / 4,
    };
    let present = phrase
        .content
        .iter()
        .filter(|word| places.contains_key(word.as_str()))
        .count();
    if present < needed {
        return None;
    }
    let mut best: Option<Vec<usize>> = None;
    for word in &phrase.content {
        for start in places.get(word.as_str()).into_iter().flatten() {
            let words = window(phrase, said, places, *start);
            if words.len() >= needed && best.as_ref().is_none_or(|b| words.len() > b.len()) {
                best = Some(words);
            }
        }
    }
    best.map(|words| {
        let share = words.len() as f64 / phrase.content.len() as f64;
        (words, share)
    })
}

/// The phrase's words within the room that begins at `start`, in one sentence.
fn window(
    phrase: &Phrase,
    said: &Said,
    places: &BTreeMap<&str, Vec<usize>>,
    start: usize,
) -> Vec<usize> {
    let end = start + phrase.whole.len() + ROOM;
    let sentence = said.words.get(start).map(|word| word.sentence);
    let mut taken: Vec<usize> = Vec::new();
    for word in &phrase.content {
        let list = places.get(word.as_str()).map_or(&[][..], Vec::as_slice);
        let from = list.partition_point(|at| *at < start);
        let next = list
            .iter()
            .skip(from)
            .take_while(|at| **at < end)
            .find(|at| !taken.contains(at) && said.words.get(**at).map(|w| w.sentence) == sentence);
        if let Some(at) = next {
            taken.push(*at);
        }
    }
    taken.sort_unstable();
    taken
}

/// A short phrase word for word, at most one other word between.
fn in_order(
    whole: &[String],
    said: &Said,
    stems: &[String],
    places: &BTreeMap<&str, Vec<usize>>,
) -> Option<Vec<usize>> {
    let first = whole.first()?;
    places.get(first.as_str())?.iter().find_map(|start| {
        let mut words = vec![*start];
        let mut at = *start;
        for word in whole.iter().skip(1) {
            at = (at + 1..=at + 2).find(|next| {
                stems.get(*next) == Some(word)
                    && said.words.get(*next).map(|w| w.sentence)
                        == said.words.get(*start).map(|w| w.sentence)
            })?;
            words.push(at);
        }
        Some(words)
    })
}

/// Keeps whole matches over partial ones at the same words, and with the lift unknown only what
/// one lift alone says.
fn settle(found: &[Found], lift_unknown: bool) -> Vec<Found> {
    let overlap = |a: &Found, b: &Found| a.words.iter().any(|word| b.words.contains(word));
    found
        .iter()
        .filter(|one| {
            let partial = one.share < 1.0
                && found.iter().any(|other| {
                    other.sign != one.sign && other.share > one.share && overlap(one, other)
                });
            let ambiguous = lift_unknown
                && found.iter().any(|other| {
                    other.lift != one.lift
                        && other.words.len() >= one.words.len()
                        && overlap(one, other)
                });
            !partial && !ambiguous
        })
        .cloned()
        .collect()
}

/// Mentions from what was found: each sign once, denied or past ones as absent.
fn mentions(said: &Said, lexicon: &Lexicon, found: &[Found]) -> Vec<SignMention> {
    let stopped = said.group(lexicon, "cue stopped");
    let mut out: Vec<SignMention> = Vec::new();
    for one in found {
        let (Some(first), Some(last)) = (one.words.first().copied(), one.words.last().copied())
        else {
            continue;
        };
        if others(said, first)
            || one
                .words
                .iter()
                .any(|at| said.words.get(*at).is_some_and(|w| w.meant.thought))
        {
            continue;
        }
        let polarity = if absent(said, stopped, &one.words) {
            Polarity::Absent
        } else {
            Polarity::Present
        };
        let base: f64 = if one.size == 1 { 0.75 } else { 0.9 };
        let confidence = (base * one.share * 100.0).round() / 100.0;
        let from = said.words.get(first).map_or(0, |w| w.token.span[0]);
        let to = said.words.get(last).map_or(from, |w| w.token.span[1]);
        match out.iter_mut().find(|mention| mention.sign == one.sign) {
            Some(mention) if mention.confidence >= confidence => {}
            Some(mention) => {
                *mention = SignMention {
                    sign: one.sign.clone(),
                    polarity,
                    span: [from, to],
                    confidence,
                };
            }
            None => out.push(SignMention {
                sign: one.sign.clone(),
                polarity,
                span: [from, to],
                confidence,
            }),
        }
    }
    out.sort_by(|a, b| a.span.cmp(&b.span).then_with(|| a.sign.cmp(&b.sign)));
    out
}

/// Whether the words belong to somebody else ("his knees cave").
fn others(said: &Said, first: usize) -> bool {
    let before = first.checked_sub(1).and_then(|at| said.words.get(at));
    before.is_some_and(|word| {
        matches!(
            word.token.text.as_str(),
            "his" | "her" | "their" | "mates" | "friends" | "brothers" | "dads"
        )
    })
}

/// Whether the words are denied by a denial that is not part of them, or told as over.
fn absent(said: &Said, stopped: &[At], words: &[usize]) -> bool {
    let (Some(first), Some(last)) = (words.first(), words.last()) else {
        return false;
    };
    let clause = |at: usize| said.words.get(at).map(|word| word.clause);
    let denied = words.iter().any(|at| {
        said.words
            .get(*at)
            .and_then(|word| word.meant.denied)
            .is_some_and(|by| !words.contains(&by))
    });
    let over = stopped.iter().any(|at| {
        !words.contains(&at.from)
            && (clause(at.from) == clause(*first) || clause(at.from) == clause(*last))
    });
    denied || over
}
