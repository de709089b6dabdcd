//! Challenges in words: what is posted of a set, what was understood of an answer, the reveal, a
//! mark, the standing.

mod card;
mod reveal;

pub use super::works::{
    FaultRow, Faults, Overview, WorksRow, cause_and_sign, common_faults, compared, faults,
    faults_agreement, what_works, works_csv, works_rows, works_svg,
};
pub use card::{card, closing_time, consent, drawing, example};
pub use reveal::{Revealed, reveal};

use super::{Words, cause_list, escape, figures, verdict_causes};
use crate::record::{AnswerState, Challenge, ChallengeAnswer, SeasonSum};
use cueline_core::catalog::{Catalog, LiftBook};
use cueline_core::challenge::{Answer, ExerciseVerdict, Key, Mark, Place, Spoken};
use cueline_core::quantity::plain;
use cueline_core::report::Lift;
use jiff::civil::Date;

/// Lines of a standing.
const MOST_PLACES: usize = 10;
/// Challenges listed.
const MOST_LISTED: usize = 15;

/// Challenges, one a line.
pub fn list(words: &Words, challenges: &[&Challenge]) -> String {
    if challenges.is_empty() {
        return words.say("challenge.none_open", &[]);
    }
    let lines: Vec<String> = challenges
        .iter()
        .take(MOST_LISTED)
        .map(|challenge| {
            words.say(
                "challenge.line",
                &[
                    ("number", &challenge.number.to_string()),
                    ("lift", challenge.lift.name()),
                    ("state", challenge.state.word()),
                    ("closes", &challenge.body.closes),
                ],
            )
        })
        .collect();
    format!("{}\n{}", words.say("challenge.list", &[]), lines.join("\n"))
}

/// A cause by its name, or its id when the catalog does not know it any more.
pub(super) fn cause_name(book: &LiftBook, id: &str) -> String {
    book.cause(id)
        .map_or_else(|| format!("`{id}`"), |cause| cause.meaning.clone())
}

/// A share as a percentage.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// An answer, said back.
fn answer(words: &Words, book: &LiftBook, answer: &Answer) -> String {
    let mut lines: Vec<String> = (1..)
        .zip(answer.forecast())
        .map(|(place, (cause, sure))| {
            let name = cause_name(book, cause);
            let place = format!("{place}");
            let said = answer
                .causes
                .iter()
                .any(|named| named.cause == cause && named.confidence.is_some());
            let key = if said {
                "challenge.cause_sure"
            } else {
                "challenge.cause_implied"
            };
            words.say(
                key,
                &[
                    ("place", &place),
                    ("cause", &name),
                    ("sure", &percent(sure)),
                ],
            )
        })
        .collect();
    if !answer.cue.is_empty() {
        let cue = escape(&answer.cue);
        lines.push(words.say("challenge.cue", &[("cue", &cue)]));
    }
    if let Some(exercise) = &answer.exercise {
        let load = exercise
            .percent
            .map(|percent| {
                let rounded = |value: f64| plain(value.round());
                let (low, high) = (rounded(percent.low), rounded(percent.high));
                let span = if low == high {
                    low
                } else {
                    format!("{low}-{high}")
                };
                words.say("challenge.exercise_load", &[("percent", &span)])
            })
            .unwrap_or_default();
        let key = if exercise.corrects.is_some() {
            "challenge.exercise"
        } else {
            "challenge.exercise_free"
        };
        let name = escape(&exercise.exercise);
        lines.push(words.say(key, &[("exercise", &name), ("load", &load)]));
    }
    lines.join("\n")
}

/// What was understood of an answer, and what was not.
pub fn understood(words: &Words, catalog: &Catalog, lift: Lift, spoken: &Spoken) -> String {
    let Some(book) = catalog.lifts.get(&lift) else {
        return String::new();
    };
    let mut lines = vec![answer(words, book, &spoken.answer)];
    for (said, cause) in &spoken.from_signs {
        let name = cause_name(book, cause);
        let said = escape(said);
        lines.push(words.say("challenge.from_sign", &[("said", &said), ("cause", &name)]));
    }
    let unclear = unclear(words, catalog, lift, spoken);
    if !unclear.is_empty() {
        lines.push(unclear);
    }
    lines.join("\n")
}

/// What was not understood, with what is nearest to it.
pub fn unclear(words: &Words, catalog: &Catalog, lift: Lift, spoken: &Spoken) -> String {
    let book = catalog.lifts.get(&lift);
    let lines: Vec<String> = spoken
        .unclear
        .iter()
        .map(|unclear| {
            let said = escape(&unclear.said);
            let nearest = book
                .filter(|_| !unclear.nearest.is_empty())
                .map(|book| {
                    let list = cause_list(book, &unclear.nearest);
                    words.say("challenge.nearest", &[("nearest", &list)])
                })
                .unwrap_or_default();
            words.say(
                "challenge.unclear",
                &[("said", &said), ("nearest", &nearest)],
            )
        })
        .collect();
    lines.join("\n")
}

/// A member's own answer with its mark, if it has one.
pub fn own_answer(
    words: &Words,
    catalog: &Catalog,
    challenge: &Challenge,
    mine: &ChallengeAnswer,
) -> String {
    let Some(book) = catalog.lifts.get(&challenge.lift) else {
        return String::new();
    };
    let number = challenge.number.to_string();
    let said = answer(words, book, &mine.answer);
    let mut lines = vec![words.say(
        "challenge.my_answer",
        &[("number", &number), ("answer", &said)],
    )];
    if mine.state == AnswerState::Held {
        lines.push(words.say("challenge.my_answer_held", &[("why", &mine.why)]));
    }
    if let (Some(given), Some(key)) = (&mine.mark, &challenge.body.key) {
        lines.push(mark(
            words,
            book,
            challenge.number,
            &mine.answer,
            key,
            given,
        ));
    }
    lines.join("\n")
}

/// Points as said.
pub(super) fn points(value: f64) -> String {
    // No minus before a nought.
    let rounded = value.round();
    plain(if rounded == 0.0 { 0.0 } else { rounded })
}

/// A member's mark and why.
pub fn mark(
    words: &Words,
    book: &LiftBook,
    number: i64,
    answer: &Answer,
    key: &Key,
    mark: &Mark,
) -> String {
    let causes: Vec<String> = answer
        .forecast()
        .map(|(cause, sure)| {
            let text = if key.holds(cause) {
                "challenge.mark_right"
            } else {
                "challenge.mark_wrong"
            };
            let name = cause_name(book, cause);
            words.say(text, &[("cause", &name), ("sure", &percent(sure))])
        })
        .collect();
    let exercise = match mark.exercise_verdict {
        ExerciseVerdict::None => "challenge.mark_exercise_none",
        ExerciseVerdict::FitsSafe => "challenge.mark_exercise_fits",
        ExerciseVerdict::FitsNoLoad => "challenge.mark_exercise_no_load",
        ExerciseVerdict::FitsTooLight => "challenge.mark_exercise_light",
        ExerciseVerdict::OffTarget => "challenge.mark_exercise_off",
        ExerciseVerdict::Unsafe => "challenge.mark_exercise_unsafe",
    };
    words.say(
        "challenge.mark",
        &[
            ("number", &number.to_string()),
            ("total", &points(mark.total())),
            ("causes", &points(mark.causes)),
            ("why", &causes.join("; ")),
            ("first", &points(mark.first)),
            ("exercise", &points(mark.exercise)),
            ("exercise_why", &words.say(exercise, &[])),
            ("coach", &verdict_causes(words, book, &key.causes)),
        ],
    )
}

/// The table of a season; `own` adds that member's line wherever it stands.
pub fn standing(
    words: &Words,
    first: Option<Date>,
    places: &[Place],
    sums: &[SeasonSum],
    own: Option<&str>,
    least: usize,
) -> String {
    let since = first.map(figures::day).unwrap_or_default();
    let least = least.to_string();
    let mut lines = vec![words.say(
        "challenge.standing",
        &[("since", &since), ("least", &least)],
    )];
    let line = |place: &Place| {
        let name = sums
            .iter()
            .find(|sum| sum.person_id == place.member)
            .map_or(place.member.as_str(), |sum| sum.name.as_str());
        words.say(
            "challenge.standing_line",
            &[
                ("place", &place.place.to_string()),
                ("name", &escape(name)),
                ("level", &points(place.level)),
                ("spread", &points(place.spread)),
                ("entries", &place.entries.to_string()),
            ],
        )
    };
    lines.extend(places.iter().take(MOST_PLACES).map(line));
    if places.is_empty() {
        lines.push(words.say("challenge.standing_empty", &[("least", &least)]));
    }
    let below = own.and_then(|own| {
        let mut rest = places.iter().skip(MOST_PLACES);
        rest.find(|place| place.member == own)
    });
    lines.extend(below.map(line));
    lines.join("\n")
}
