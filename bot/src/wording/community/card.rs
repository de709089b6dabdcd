//! What is posted of a set, and the question whether it may be.

use crate::record::{Challenge, Drawing, Round};
use crate::wording::{Words, figures};
use cueline_core::catalog::{Catalog, Stage};
use cueline_core::load::{Rounding, load_bar, usual_plates};
use cueline_core::picture::{Part, of_set, parts};
use cueline_core::quantity::{Mass, MassUnit, plain};
use cueline_core::report::Lift;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// A closing time in the coach's zone: `Friday 6 March 18:00 (UTC+01:00)`.
pub fn closing_time(zone: &TimeZone, at: Timestamp) -> String {
    let offset = zone.to_offset(at).seconds() / 60;
    let sign = if offset < 0 { '-' } else { '+' };
    let (hours, minutes) = (offset.abs() / 60, offset.abs() % 60);
    let local = zone.to_datetime(at).strftime("%A %-d %B %H:%M");
    format!("{local} (UTC{sign}{hours:02}:{minutes:02})")
}

/// What is posted of a set: coarse facts and catalog words only, no name, no date, nothing the lifter
/// wrote.
pub fn card(
    words: &Words,
    catalog: &Catalog,
    number: i64,
    lift: Lift,
    round: &Round,
    closes: &str,
) -> String {
    let report = &round.report;
    let mut facts: Vec<String> = set(words, round).into_iter().collect();
    if let Some(months) = report.training_months {
        let key = match months {
            0..12 => "challenge.card_new",
            12..36 => "challenge.card_some",
            _ => "challenge.card_long",
        };
        facts.push(words.say(key, &[]));
    }
    if let Some(view) = report.view {
        let view = figures::view_name(view);
        facts.push(words.say("challenge.card_view", &[("view", &view)]));
    }
    let signs = |ids: &[String]| {
        let book = catalog.lifts.get(&lift);
        let told: Vec<String> = ids
            .iter()
            .filter_map(|id| book?.sign(id))
            .filter(|sign| !sign.pain)
            .map(|sign| sign.meaning.clone())
            .collect();
        told.join("; ")
    };
    for (key, ids) in [
        ("challenge.card_seen", &round.present),
        ("challenge.card_not_seen", &round.absent),
    ] {
        let told = signs(ids);
        if !told.is_empty() {
            facts.push(words.say(key, &[("signs", &told)]));
        }
    }
    let names = stages(words, catalog, lift, round, |_| true);
    if !names.is_empty() {
        facts.push(words.say("challenge.card_picture", &[("stages", &names)]));
    }
    words.say(
        "challenge.card",
        &[
            ("number", &number.to_string()),
            ("lift", lift.name()),
            ("facts", &facts.join("\n")),
            ("closes", closes),
            ("example", &example(words, lift)),
        ],
    )
}

/// How an answer to a challenge of this lift looks; no hint at what is behind the set.
pub fn example(words: &Words, lift: Lift) -> String {
    let key = match lift {
        Lift::Squat => "challenge.example_squat",
        Lift::Bench => "challenge.example_bench",
        Lift::Deadlift => "challenge.example_deadlift",
    };
    words.say(key, &[])
}

/// What is shown beside the card: the same coarse load on a bar with the usual plates, never the
/// lifter's own, and the parts of the lift with a mark where something was seen.
pub fn drawing(words: &Words, catalog: &Catalog, lift: Lift, round: &Round) -> Option<Drawing> {
    let coarse = round.report.load.map(coarse);
    let bar = coarse.and_then(|load| load_bar(load, &usual_plates(load.unit), Rounding::Nearest));
    let shown = marked(catalog, lift, round);
    let svg = of_set(bar.as_ref(), &shown)?;
    let mut alt = Vec::new();
    if let (Some(bar), Some(load)) = (&bar, coarse) {
        let plates: Vec<String> = bar.per_side.iter().map(|plate| plain(*plate)).collect();
        let plates = format!("{} {}", plates.join(" + "), bar.total.unit);
        let key = if bar.per_side.is_empty() {
            "challenge.picture_empty_bar"
        } else {
            "challenge.picture_bar"
        };
        alt.push(words.say(key, &[("load", &load.both()), ("plates", &plates)]));
    }
    let seen = stages(words, catalog, lift, round, |part| part.seen);
    if !shown.is_empty() {
        let key = if seen.is_empty() {
            "challenge.picture_nothing_marked"
        } else {
            "challenge.picture_marked"
        };
        alt.push(words.say(key, &[("lift", lift.name()), ("marked", &seen)]));
    }
    Some(Drawing {
        svg,
        alt: alt.join(" "),
    })
}

/// The parts of the lift, marked where something of this set was seen.
fn marked(catalog: &Catalog, lift: Lift, round: &Round) -> Vec<Part> {
    let book = catalog.lifts.get(&lift);
    book.map(|book| parts(book, &round.present))
        .unwrap_or_default()
}

/// The parts asked for by number and name: `1 set-up, 2 unrack`.
fn stages(
    words: &Words,
    catalog: &Catalog,
    lift: Lift,
    round: &Round,
    wanted: impl Fn(&Part) -> bool,
) -> String {
    let named: Vec<String> = (1..)
        .zip(marked(catalog, lift, round))
        .filter(|(_, part)| wanted(part))
        .map(|(place, part)| format!("{place} {}", stage_name(words, lift, part.stage)))
        .collect();
    named.join(", ")
}

/// A part of a lift by its name there.
fn stage_name(words: &Words, lift: Lift, stage: Stage) -> String {
    let key = match (stage, lift) {
        (Stage::SetUp, _) => "stage.set_up",
        (Stage::Unrack, Lift::Deadlift) => "stage.start",
        (Stage::Unrack, _) => "stage.unrack",
        (Stage::HandOff, _) => "stage.hand_off",
        (Stage::Descent, _) => "stage.descent",
        (Stage::Bottom, Lift::Bench) => "stage.touch",
        (Stage::Bottom, _) => "stage.bottom",
        (Stage::Drive, Lift::Deadlift) => "stage.pull",
        (Stage::Drive, _) => "stage.drive",
        (Stage::Lockout, _) => "stage.lockout",
        (Stage::Rerack, Lift::Deadlift) => "stage.set_down",
        (Stage::Rerack, _) => "stage.rerack",
        (Stage::All, _) => "stage.all",
    };
    words.say(key, &[])
}

/// A load to the nearest 10 kg or 20 lb: enough to judge by, too coarse to know somebody by.
fn coarse(load: Mass) -> Mass {
    let step = if load.unit == MassUnit::Lb {
        20.0
    } else {
        10.0
    };
    Mass::new((load.value / step).round() * step, load.unit)
}

/// The question to the lifter, with the exact text.
pub fn consent(words: &Words, challenge: &Challenge) -> String {
    words.say(
        "challenge.consent",
        &[
            ("number", &challenge.number.to_string()),
            ("text", &challenge.body.text),
            ("closes", &challenge.body.closes),
        ],
    )
}

/// The set in coarse figures, when load and repetitions are known.
fn set(words: &Words, round: &Round) -> Option<String> {
    let report = &round.report;
    let (load, reps) = (report.load?, report.reps?);
    let share = round
        .estimate_kg
        .filter(|(best, ..)| *best > 0.0)
        .map(|(best, ..)| {
            let share = (load.kg() / best * 20.0).round() * 5.0;
            words.say("challenge.card_share", &[("share", &plain(share))])
        })
        .unwrap_or_default();
    let about = coarse(load).both();
    let effort = report
        .effort
        .map(|effort| format!(" at {}", figures::effort(effort)))
        .unwrap_or_default();
    Some(words.say(
        "challenge.card_set",
        &[
            ("load", &about),
            ("reps", &reps.to_string()),
            ("effort", &effort),
            ("share", &share),
        ],
    ))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use cueline_core::challenge::spoken_answer;

    #[test]
    fn the_example_of_each_lift_is_an_answer_that_is_understood_whole() {
        let brain = crate::brain::load(None).unwrap().1;
        for lift in Lift::ALL {
            let text = example(&brain.words, lift);
            let spoken = spoken_answer(&brain.catalog, lift, &text, Some(100.0)).unwrap();
            assert_eq!(spoken.unclear, [], "{text}");
            assert_eq!(spoken.answer.causes.len(), 2, "{text}: {spoken:?}");
            assert!(!spoken.answer.cue.is_empty(), "{text}");
            let exercise = spoken.answer.exercise.unwrap();
            assert!(exercise.corrects.is_some(), "{text}: {exercise:?}");
        }
    }
}
