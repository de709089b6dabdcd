//! The exercise of an answer: which one of the catalog is meant, and how heavy.

use super::answer::ExerciseAnswer;
use super::spoken::{percent, short};
use crate::catalog::{Dose, LiftBook};
use crate::outcome::spoken::{alike, stems};
use crate::quantity::{Span, TypedMass};
use std::collections::BTreeSet;

/// Share of the words of an exercise, as said and as written, that has to agree (common practice,
/// no source).
const SAME_EXERCISE: f64 = 0.6;

/// The exercise, in the words of the catalog when it is one of them, with its share of the best
/// single when a load is said.
pub(super) fn exercise(
    book: &LiftBook,
    words: &str,
    best_kg: Option<f64>,
) -> Option<ExerciseAnswer> {
    let said = short(words);
    let (name, share) = match percent(&said) {
        Some((from, to, span)) => {
            let name = format!(
                "{} {}",
                said.get(..from).unwrap_or_default(),
                said.get(to..).unwrap_or_default()
            );
            (name, Some(span))
        }
        None => load(&said, best_kg),
    };
    let name = name.replace(" at ", " ").replace('@', " ");
    let name = name
        .trim()
        .trim_end_matches(" at")
        .trim_matches([',', '.', ' ']);
    if name.is_empty() {
        return None;
    }
    let wanted = stems(name);
    let best = doses(book)
        .map(|(cause, dose)| (agree(&wanted, &stems(&dose.exercise)), cause, dose))
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)));
    Some(match best {
        Some((alike, cause, dose)) if alike >= SAME_EXERCISE => ExerciseAnswer {
            exercise: dose.exercise.clone(),
            corrects: Some(cause.to_owned()),
            percent: share,
        },
        _ => ExerciseAnswer {
            exercise: name.to_owned(),
            corrects: None,
            percent: share,
        },
    })
}

/// Every exercise of the lift's corrections, with its cause.
fn doses(book: &LiftBook) -> impl Iterator<Item = (&str, &Dose)> {
    book.corrections.iter().flat_map(|correction| {
        let doses = correction.drill.iter().chain(&correction.assistance);
        doses.map(|dose| (correction.cause.as_str(), dose))
    })
}

/// How far two sets of words are the same, 0 to 1: the lesser of what each has of the other, held
/// up by a name that is said in full.
fn agree(said: &BTreeSet<String>, name: &BTreeSet<String>) -> f64 {
    let among = |word: &String, all: &BTreeSet<String>| all.iter().any(|known| alike(word, known));
    let part = |of: &BTreeSet<String>, all: &BTreeSet<String>| {
        let found = of.iter().filter(|word| among(word, all)).count();
        if of.is_empty() {
            0.0
        } else {
            found as f64 / of.len() as f64
        }
    };
    let (own, other) = (part(said, name), part(name, said));
    // The harmonic mean: both have to be high.
    if own + other > 0.0 {
        2.0 * own * other / (own + other)
    } else {
        0.0
    }
}

/// A load in kilograms or pounds as a share of the best single, with the words around it.
fn load(said: &str, best_kg: Option<f64>) -> (String, Option<Span>) {
    let words: Vec<&str> = said.split_whitespace().collect();
    for at in 0..words.len() {
        for count in [2, 1] {
            let Some(run) = words.get(at..at + count) else {
                continue;
            };
            let Some(mass) = TypedMass::read(&run.concat()).and_then(|typed| typed.mass(None))
            else {
                continue;
            };
            let head = words.iter().take(at);
            let name: Vec<&str> = head.chain(words.iter().skip(at + count)).copied().collect();
            let share = best_kg.filter(|best| *best > 0.0).map(|best| {
                let share = 100.0 * mass.kg() / best;
                Span {
                    low: share,
                    high: share,
                }
            });
            return (name.join(" "), share);
        }
    }
    (said.to_owned(), None)
}
