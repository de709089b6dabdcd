//! A member's answer in words: causes in order, how sure, one cue, one exercise with its load.
//!
//! `brace late 70%, hips low start; cue: breathe first; practise paused squat 60-65%`

use super::answer::{Answer, AnswerFault, MOST_CAUSES, NamedCause};
use super::exercise::exercise;
use super::tidy::tidy;
use crate::catalog::{Catalog, LiftBook};
use crate::outcome::spoken::{by_name, plain};
use crate::outcome::{SpokenFault, spoken_causes};
use crate::quantity::Span;
use crate::reading::{Hints, Polarity, read};
use crate::report::Lift;
use std::collections::BTreeSet;

/// Longest cue or exercise kept, in code points.
const MOST_WORDS: usize = 200;

/// Pieces of an answer that are looked at; more is a letter, not an answer.
const MOST_PIECES: usize = 8;

/// How much likelier a cause has to be than the next to be taken from a sign (common practice, no
/// source).
const CLEAR: f64 = 1.5;

/// Causes named as nearest.
const NEAREST: usize = 3;

/// A piece that is no cause, or could be several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unclear {
    /// As said.
    pub said: String,
    /// Ids of the causes nearest to it, nearest first; may be empty.
    pub nearest: Vec<String>,
}

/// What was understood of an answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spoken {
    /// The answer, within every bound; it may name no cause.
    pub answer: Answer,
    /// What was not understood.
    pub unclear: Vec<Unclear>,
    /// Causes that were taken from a sign, each with the words they were taken from.
    pub from_signs: Vec<(String, String)>,
}

/// Reads an answer. `best_kg` is the lifter's best single, by which a load in kilograms or pounds
/// becomes a percentage.
///
/// # Errors
/// More causes than an answer holds, one of them twice, or a confidence out of bounds. What is not
/// understood is no error: it comes back as unclear.
pub fn spoken_answer(
    catalog: &Catalog,
    lift: Lift,
    text: &str,
    best_kg: Option<f64>,
) -> Result<Spoken, AnswerFault> {
    let Some(book) = catalog.lifts.get(&lift) else {
        return Err(AnswerFault::Empty);
    };
    let mut spoken = Spoken::default();
    let text = tidy(text);
    for part in parts(&text) {
        match part {
            Part::Cue(words) if spoken.answer.cue.is_empty() => spoken.answer.cue = short(words),
            Part::Exercise(words) if spoken.answer.exercise.is_none() => {
                spoken.answer.exercise = exercise(book, words, best_kg);
            }
            Part::Causes(words) => causes(catalog, lift, book, words, &mut spoken)?,
            // A second cue or exercise: one of each is answered.
            Part::Cue(words) | Part::Exercise(words) => spoken.unclear.push(Unclear {
                said: short(words),
                nearest: Vec::new(),
            }),
        }
    }
    match spoken.answer.check(book) {
        Err(AnswerFault::Empty) | Ok(()) => Ok(spoken),
        Err(fault) => Err(fault),
    }
}

/// A part of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part<'a> {
    Causes(&'a str),
    Cue(&'a str),
    Exercise(&'a str),
}

/// What a part begins with.
const CUES: [&str; 1] = ["cue"];
const EXERCISES: [&str; 8] = [
    "practise",
    "practice",
    "exercise",
    "assistance",
    "drill",
    "train",
    "prescribe",
    "do",
];

/// Takes an answer apart at semicolons, line ends, and words such as `cue:`.
fn parts(text: &str) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    for piece in text.split([';', '\n']) {
        let mut rest = piece;
        let mut kind = head(&mut rest, false).unwrap_or(Part::Causes(""));
        loop {
            let next = marker(rest);
            let (here, after) = next.map_or((rest, None), |at| {
                let (here, after) = rest.split_at(at);
                (here, Some(after))
            });
            let here = here.trim().trim_matches(',').trim();
            if !here.is_empty() {
                parts.push(match kind {
                    Part::Causes(_) => Part::Causes(here),
                    Part::Cue(_) => Part::Cue(here),
                    Part::Exercise(_) => Part::Exercise(here),
                });
            }
            let Some(after) = after else { break };
            rest = after;
            match head(&mut rest, true) {
                Some(found) => kind = found,
                None => break,
            }
        }
    }
    parts
}

/// The kind of part `text` begins with, taken off it. In the middle of a piece a colon is needed.
fn head<'a>(text: &mut &'a str, colon: bool) -> Option<Part<'a>> {
    let trimmed = text.trim_start();
    let end = trimmed
        .find(|c: char| !c.is_alphabetic())
        .unwrap_or(trimmed.len());
    let word = trimmed.get(..end)?.to_lowercase();
    let kind = kind(&word)?;
    let rest = trimmed.get(end..)?.trim_start();
    let after = rest.strip_prefix([':', '=']);
    if colon && after.is_none() {
        return None;
    }
    *text = after.unwrap_or(rest);
    Some(kind)
}

/// The kind of part a word announces.
fn kind(word: &str) -> Option<Part<'static>> {
    if CUES.contains(&word) {
        Some(Part::Cue(""))
    } else if EXERCISES.contains(&word) {
        Some(Part::Exercise(""))
    } else {
        None
    }
}

/// Where the next `cue:` or `practise:` begins.
fn marker(text: &str) -> Option<usize> {
    text.match_indices(':').find_map(|(at, _)| {
        let before = text.get(..at)?.trim_end();
        let start = before
            .rfind(|c: char| !c.is_alphabetic())
            .map_or(0, |index| {
                index
                    + before
                        .get(index..)
                        .and_then(|s| s.chars().next())
                        .map_or(1, char::len_utf8)
            });
        kind(&before.get(start..)?.to_lowercase()).map(|_| start)
    })
}

/// A person's words, no longer than is kept.
pub(super) fn short(words: &str) -> String {
    words.trim().chars().take(MOST_WORDS).collect()
}

/// Reads causes, each with how sure, into `spoken`.
fn causes(
    catalog: &Catalog,
    lift: Lift,
    book: &LiftBook,
    text: &str,
    spoken: &mut Spoken,
) -> Result<(), AnswerFault> {
    let pieces: Vec<&str> = text
        .split([',', '>'])
        .flat_map(|piece| piece.split(" then "))
        .flat_map(|piece| piece.split(". "))
        .flat_map(after_each_percentage)
        .filter(|piece| !JOINTS.contains(&plain(piece).as_str()))
        .collect();
    let mut at = 0;
    while at < pieces.len().min(MOST_PIECES) {
        // A name may hold a comma of its own.
        let joined = (1..=3).rev().find_map(|count| {
            let whole = pieces.get(at..at + count)?.join(",");
            let (words, sure) = confidence(&whole);
            let cause = by_name(book, &words)?;
            Some((count, cause.id.clone(), sure))
        });
        if let Some((count, cause, sure)) = joined {
            name(spoken, cause, sure)?;
            at += count;
            continue;
        }
        let piece = pieces.get(at).copied().unwrap_or_default();
        let (words, sure) = confidence(piece);
        if let Some(both) = both(book, &words) {
            for cause in both {
                name(spoken, cause, sure)?;
            }
            at += 1;
            continue;
        }
        match spoken_causes(book, &words) {
            Ok(found) => {
                for cause in found {
                    name(spoken, cause, sure)?;
                }
            }
            Err(SpokenFault::Unknown { nearest, .. }) => {
                match from_sign(catalog, lift, book, &words) {
                    Ok(cause) => {
                        spoken.from_signs.push((short(&words), cause.clone()));
                        name(spoken, cause, sure)?;
                    }
                    Err(signs) => spoken.unclear.push(Unclear {
                        said: short(&words),
                        nearest: if signs.is_empty() { nearest } else { signs },
                    }),
                }
            }
            Err(SpokenFault::TooMany { found }) => return Err(AnswerFault::TooMany { found }),
            Err(SpokenFault::Nothing) => {}
        }
        at += 1;
    }
    if spoken.answer.causes.len() > MOST_CAUSES {
        return Err(AnswerFault::TooMany {
            found: spoken.answer.causes.len(),
        });
    }
    Ok(())
}

/// What is left between two causes and says nothing.
const JOINTS: [&str; 5] = ["", "and", "then", "also", "plus"];

/// `brace 70% and ankle 20%` parted behind the first percentage.
fn after_each_percentage(piece: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(piece);
    std::iter::from_fn(move || {
        let text = rest?;
        let joint = ["% and ", "%) and ", "% plus ", "%) plus "]
            .iter()
            .filter_map(|joint| Some((text.find(joint)?, joint.find(' ')?)))
            .min();
        let Some((at, sign)) = joint else {
            rest = None;
            return Some(text);
        };
        let (head, tail) = text.split_at(at + sign);
        rest = tail.trim_start().split_once(' ').map(|(_, tail)| tail);
        Some(head)
    })
}

/// Two causes joined by "and", when each half by itself names one of its own.
fn both(book: &LiftBook, words: &str) -> Option<Vec<String>> {
    if by_name(book, words).is_some() {
        return None;
    }
    let (one, other) = words.split_once(" and ")?;
    let named = |half: &str| {
        let mut causes = spoken_causes(book, half).ok()?;
        causes.pop().filter(|_| causes.is_empty())
    };
    let (one, other) = (named(one)?, named(other)?);
    (one != other).then(|| vec![one, other])
}

/// Adds a cause; named once more without a figure, it stays as it is.
fn name(spoken: &mut Spoken, cause: String, sure: Option<f64>) -> Result<(), AnswerFault> {
    if let Some(found) = sure.filter(|sure| !(0.0..=1.0).contains(sure)) {
        return Err(AnswerFault::Confidence { cause, found });
    }
    let known = &mut spoken.answer.causes;
    if let Some(before) = known.iter_mut().find(|named| named.cause == cause) {
        before.confidence = before.confidence.or(sure);
    } else {
        known.push(NamedCause {
            cause,
            confidence: sure,
        });
    }
    Ok(())
}

/// A piece without its percentage, and the percentage as a share.
fn confidence(piece: &str) -> (String, Option<f64>) {
    let Some((from, to, value)) = percent(piece) else {
        return (piece.to_owned(), None);
    };
    let words = format!(
        "{} {}",
        piece.get(..from).unwrap_or_default(),
        piece.get(to..).unwrap_or_default()
    );
    let words = words.replace(['(', ')', '@'], " ");
    let words = words.trim_end().trim_end_matches(" sure").to_owned();
    (words, Some(value.high / 100.0))
}

/// The first percentage, one number or a range, with where it stands: `60-65 %`, `60 to 65 percent`.
pub(super) fn percent(text: &str) -> Option<(usize, usize, Span)> {
    let sign = text.find('%').map(|at| (at, at + 1));
    let word = || {
        let lower = text.to_ascii_lowercase();
        let at = lower.find("percent").map(|at| (at, at + "percent".len()));
        at.or_else(|| lower.find("per cent").map(|at| (at, at + "per cent".len())))
    };
    let (at, end) = sign.or_else(word)?;
    let before = text.get(..at)?;
    let (high, from) = last_number(before)?;
    // A range: a number, a dash or "to", and this one.
    let head = before.get(..from)?.trim_end();
    let head = head.trim_end_matches('%').trim_end();
    let low = ["-", "\u{2013}", "to"]
        .iter()
        .find_map(|joint| head.strip_suffix(joint))
        .map(|head| head.trim_end().trim_end_matches('%').trim_end())
        .and_then(|head| {
            last_number(head).filter(|(_, from)| {
                // It stands right before the joint.
                head.get(*from..)
                    .is_some_and(|tail| tail.trim().parse::<f64>().is_ok())
            })
        });
    Some(match low {
        Some((low, from)) if low <= high => (from, end, Span { low, high }),
        _ => (from, end, Span { low: high, high }),
    })
}

/// The number a text ends with, and where it begins.
fn last_number(text: &str) -> Option<(f64, usize)> {
    let text = text.trim_end();
    let from = text
        .char_indices()
        .rev()
        .take_while(|(_, c)| c.is_ascii_digit() || *c == '.')
        .last()?
        .0;
    let value: f64 = text.get(from..)?.parse().ok()?;
    Some((value, from))
}

/// The cause behind a sign that is named instead of a cause; or the ids of those it may come from.
fn from_sign(
    catalog: &Catalog,
    lift: Lift,
    book: &LiftBook,
    words: &str,
) -> Result<String, Vec<String>> {
    let hints = Hints {
        unit: None,
        lift: Some(lift),
    };
    let reading = read(words, catalog, hints);
    let signs: BTreeSet<&str> = reading
        .signs
        .iter()
        .filter(|mention| mention.polarity == Polarity::Present)
        .map(|mention| mention.sign.as_str())
        .collect();
    let mut ranked: Vec<(f64, &str)> = book
        .causes
        .iter()
        .map(|cause| {
            let shown: f64 = cause
                .shows
                .iter()
                .filter(|(sign, _)| signs.contains(sign.as_str()))
                .map(|(_, strength)| strength.probability())
                .sum();
            (shown * cause.prior.probability(), cause.id.as_str())
        })
        .filter(|(weight, _)| *weight > 0.0)
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    match ranked.as_slice() {
        [(_, only)] => Ok((*only).to_owned()),
        [(best, cause), (next, _), ..] if *best >= CLEAR * next => Ok((*cause).to_owned()),
        _ => Err(ranked
            .iter()
            .take(NEAREST)
            .map(|(_, cause)| (*cause).to_owned())
            .collect()),
    }
}
