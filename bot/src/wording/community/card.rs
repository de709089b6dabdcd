//! What is posted of a set, and the question whether it may be.

use crate::record::{Challenge, Round};
use crate::wording::{Words, figures};
use cueline_core::catalog::Catalog;
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
    words.say(
        "challenge.card",
        &[
            ("number", &number.to_string()),
            ("lift", lift.name()),
            ("facts", &facts.join("\n")),
            ("closes", closes),
        ],
    )
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
    // To the nearest 10 kg or 20 lb: enough to judge by, too coarse to know somebody by.
    let step = if load.unit == MassUnit::Lb {
        20.0
    } else {
        10.0
    };
    let coarse = (load.value / step).round() * step;
    let about = Mass::new(coarse, load.unit).both();
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
