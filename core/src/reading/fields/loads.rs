//! Loads that stand by themselves: masses, plates, percentages, ladders, bare figures.

use super::line::Line;
use super::sets::{LOAD_FROM, LoadSaid, Open, Sets, figure};

/// "two plates", "plate and a half", "3 plate squat".
pub(super) fn plates(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if !line.is(at, &["plate", "plates"])
            || line.is(
                at + 1,
                &[
                    "under", "rattle", "rattled", "shake", "not", "near", "leave", "leaves", "look",
                ],
            )
        {
            continue;
        }
        let counted = at
            .checked_sub(1)
            .and_then(|i| line.number(i))
            .filter(|n| (1.0..=8.0).contains(n));
        let from = at.saturating_sub(1);
        let more = [
            "and a half",
            "and a quarter",
            "and a",
            "half",
            "plus",
            "and change",
        ];
        let extra = line.any_phrase(at + 1, &more).is_some();
        let (number, from) = match counted {
            Some(number) => (number, from),
            None if extra && line.is(at, &["plate"]) => (1.0, at),
            None => continue,
        };
        sets.open.push(Open::Plates(number, !extra));
        let end = if extra { at + 4 } else { at + 1 };
        line.note("load", from, end.min(line.len()), 0.6);
        return;
    }
}

/// `85%`, `75% of 220kg`, `@80`.
pub(super) fn percents(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let Some(value) = line.digits(at).filter(|_| !line.is_used(at)) else {
            continue;
        };
        if line.is(at + 1, &["%", "percent", "pct"]) {
            let less = line.is(
                at.wrapping_sub(1),
                &["minus", "less", "-", "down", "drop", "off"],
            );
            if line.is(at + 2, &["of"])
                && let Some((whole, unit, end)) = figure(line, at + 3)
            {
                sets.loads.push(LoadSaid {
                    value: (whole * value / 100.0 * 100.0).round() / 100.0,
                    unit,
                    reps: None,
                    sets: None,
                    at: (at, end),
                    worked_out: true,
                });
                line.take(at, end);
            } else {
                if !less && (30.0..=120.0).contains(&value) {
                    sets.open.push(Open::PercentOf(value));
                }
                line.take(at, at + 2);
                // Repetitions that belong to a percentage go with it ("3x3 at 85%").
                if let Some(group) = sets
                    .reps
                    .iter_mut()
                    .find(|g| g.at.1 + 2 > at && g.at.1 <= at)
                {
                    group.at.1 = at + 2;
                }
            }
        } else if line.is(at.wrapping_sub(1), &["@"])
            && (LOAD_FROM..=100.0).contains(&value)
            && line.unit(at + 1).is_none()
        {
            sets.open.push(Open::PercentOrLoad(value));
            line.take(at - 1, at + 1);
        }
    }
}

/// Figures with their unit.
pub(super) fn masses(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if let Some((value, Some(unit), end)) = figure(line, at)
            && line.before(at, 1) != "+"
            && !line.is(
                end,
                &[
                    "bodyweight",
                    "bw",
                    "heavier",
                    "lighter",
                    "pb",
                    "jump",
                    "more",
                    "less",
                ],
            )
            && !line.is(
                at.wrapping_sub(1),
                &["=", "lost", "lose", "losing", "gained", "drop"],
            )
        {
            sets.loads.push(LoadSaid {
                value,
                unit: Some(unit),
                reps: None,
                sets: None,
                at: (at, end),
                worked_out: false,
            });
            line.take(at, end);
        }
    }
}

/// `100-110-120`: loads climbing, three or more.
pub(super) fn ladders(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let mut values = Vec::new();
        let mut end = at;
        let mut next = at;
        while let Some(value) = line.digits(next).filter(|v| *v >= 20.0) {
            values.push(value);
            end = next + 1;
            if !line.is(end, &["-", "/", ","]) {
                break;
            }
            next = end + 1;
        }
        if values.len() >= 3
            && values
                .windows(2)
                .all(|pair| matches!(pair, [a, b] if a < b))
        {
            let unit = line.unit(end);
            for value in values {
                sets.loads.push(LoadSaid {
                    value,
                    unit,
                    reps: None,
                    sets: None,
                    at: (at, end),
                    worked_out: false,
                });
            }
            // The last figure with its unit was read as a mass already.
            line.take(at, end);
            at = end;
        } else {
            at += 1;
        }
    }
}

/// Words after which a bare figure is a load.
const LEADS: [&str; 46] = [
    "at",
    "with",
    "hit",
    "did",
    "lifted",
    "pulled",
    "squatted",
    "squat",
    "squats",
    "bench",
    "benched",
    "deadlift",
    "deadlifts",
    "deadlifted",
    "deads",
    "dl",
    "made",
    "missed",
    "failed",
    "got",
    "set",
    "single",
    "to",
    "of",
    "bar",
    "load",
    "sumo",
    "weight",
    "1st",
    "2nd",
    "3rd",
    "st",
    "nd",
    "rd",
    "for",
    "then",
    "press",
    "is",
    "was",
    "around",
    "about",
    "just",
    "today",
    "@",
    "th",
    "on",
];

/// What makes a figure anything but a load.
const NOT_LOAD: [&str; 36] = [
    "%", "percent", "sec", "secs", "s", "min", "mins", "minutes", "seconds", "cm", "mm", "weeks",
    "wks", "months", "years", "days", "hours", "degrees", "deg", "bpm", "reps", "rep", "sets",
    "calories", "/", "yo", "inches", "in", "m", "ft", "am", "pm", "over", "steps", "people",
    "times",
];

/// Bare figures big enough for a load, beside a word that says one follows.
pub(super) fn bare(line: &mut Line, sets: &mut Sets) {
    let few_words = line.len() <= 14;
    for at in 0..line.len() {
        let Some(value) = line.digits(at) else {
            continue;
        };
        if line.is_used(at)
            || !(LOAD_FROM..=1200.0).contains(&value)
            || line.is(at + 1, &NOT_LOAD)
            || (1900.0..=2100.0).contains(&value)
        {
            continue;
        }
        let led = line.is(at.wrapping_sub(1), &LEADS)
            || (few_words
                && (at == 0
                    || line.is(
                        at + 1,
                        &["bench", "squat", "deadlift", "for", "x", "dl", "deads"],
                    )
                    || line.is(at.wrapping_sub(1), &[".", ",", ":"])));
        if led {
            sets.loads.push(LoadSaid {
                value,
                unit: None,
                reps: None,
                sets: None,
                at: (at, at + 1),
                worked_out: false,
            });
            line.take(at, at + 1);
        }
    }
}
