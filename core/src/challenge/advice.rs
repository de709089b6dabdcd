//! Advice that does not simply count: held for the coach, or removed.

use super::answer::Answer;
use super::marks::unsafe_load;
use crate::catalog::words::{fold, stem};
use crate::catalog::{Act, AdviceRule};

/// Words that turn a phrase round.
const TURNS: [&str; 8] = [
    "never", "not", "no", "dont", "don't", "avoid", "without", "stop",
];

/// How many words before a phrase may turn it round (common practice, no source).
const REACH: usize = 3;

/// In a phrase: any one word.
const ANY: &str = "*";

/// One thing found in what somebody advises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Found<'a> {
    /// Id of the kind of advice; `load` for a load above the ceiling.
    pub rule: &'a str,
    /// What becomes of it.
    pub act: Act,
    /// Why.
    pub why: &'a str,
    /// What is right instead; empty where the catalog says nothing.
    pub note: &'a str,
    /// What the coach is told beside it; empty where the catalog says nothing.
    pub coach_note: &'a str,
}

/// What of an answer may not simply count: every kind once, in the order of the rules; empty when it
/// may count.
///
/// `text` is the answer as written, `answer` what was understood of it, `to_minor` whether it is said
/// to somebody under 18.
pub fn unsafe_advice<'a>(
    rules: &'a [AdviceRule],
    text: &str,
    answer: &Answer,
    to_minor: bool,
) -> Vec<Found<'a>> {
    let said = words(text);
    let mut found: Vec<Found<'a>> = rules
        .iter()
        .filter(|rule| {
            let phrases = rule.phrases.iter();
            phrases
                .into_iter()
                .any(|phrase| holds(&said, phrase, &rule.except))
        })
        .map(|rule| Found {
            rule: &rule.id,
            act: if to_minor && rule.remove_for_minors {
                Act::Remove
            } else {
                rule.act
            },
            why: &rule.why,
            note: &rule.note,
            coach_note: &rule.coach_note,
        })
        .collect();
    if answer.exercise.as_ref().is_some_and(unsafe_load) {
        found.push(Found {
            rule: "load",
            act: Act::Hold,
            why: "its load is above 80 % of the best single",
            note: "",
            coach_note: "",
        });
    }
    found
}

/// A word, folded, and its stem.
type Word = (String, String);

/// What stands for the end of a clause among words: no word is it, and no phrase goes across it.
const BREAK: &str = ",";

/// The words of a text, with a break where a clause ends.
fn words(text: &str) -> Vec<Word> {
    let ends = |c: char| matches!(c, ',' | ';' | ':' | '.' | '!' | '?' | '(' | ')' | '\n');
    let mut all = Vec::new();
    for clause in text.split(ends) {
        if !all.is_empty() {
            all.push((BREAK.to_owned(), BREAK.to_owned()));
        }
        let parts = clause.split(|c: char| !(c.is_alphanumeric() || c == '\''));
        let parts = parts.map(|word| fold(word).replace('\'', ""));
        all.extend(parts.filter(|word| !word.is_empty()).map(|word| {
            let root = stem(&word);
            (word, root)
        }));
    }
    all
}

/// The stems of a phrase; none where any one word may stand.
fn wanted(phrase: &str) -> Vec<Option<String>> {
    let parts = phrase.split_whitespace().flat_map(|part| {
        if part == ANY {
            vec![None]
        } else {
            words(part)
                .into_iter()
                .map(|(_, stem)| Some(stem))
                .collect()
        }
    });
    parts.collect()
}

/// Where a phrase stands in what is said: from which word to which.
fn places(said: &[Word], phrase: &str) -> Vec<(usize, usize)> {
    let wanted = wanted(phrase);
    if wanted.is_empty() {
        return Vec::new();
    }
    let same = |window: &[Word]| {
        let mut both = window.iter().zip(&wanted);
        both.all(|(said, wanted)| match wanted {
            Some(wanted) => said.1 == *wanted,
            None => said.1 != BREAK,
        })
    };
    said.windows(wanted.len())
        .enumerate()
        .filter(|(_, window)| same(window))
        .map(|(at, window)| (at, at + window.len()))
        .collect()
}

/// The phrase stands in what is said, nothing right before turns it round, and no harmless wording is
/// around it.
fn holds(said: &[Word], phrase: &str, except: &[String]) -> bool {
    places(said, phrase).into_iter().any(|(from, to)| {
        let turned = said
            .iter()
            .take(from)
            .rev()
            .take(REACH)
            .take_while(|(word, _)| word != BREAK)
            .any(|(word, _)| TURNS.contains(&word.as_str()));
        let harmless = except.iter().any(|wording| {
            places(said, wording)
                .into_iter()
                .any(|(begin, end)| begin <= from && to <= end)
        });
        !turned && !harmless
    })
}
