//! What a text says about the lifter: best single, goal, age, training, meets.

use super::body;
use super::line::Line;
use super::meets;
use crate::quantity::{Mass, MassUnit};
use crate::reading::Reading;
use crate::report::{AgeBand, Best, Goal};

/// The unit every mass of the text is in, when it names exactly one.
pub(super) fn only_unit(line: &Line) -> Option<MassUnit> {
    let mut units = (1..line.len())
        .filter(|at| line.number(at - 1).is_some())
        .filter_map(|at| line.unit(at));
    let first = units.next()?;
    units.all(|unit| unit == first).then_some(first)
}

/// Reads everything about the person, so that those numbers are not taken for loads.
pub(super) fn read(line: &mut Line, out: &mut Reading, unit: Option<MassUnit>) {
    body::stature(line, out);
    body::body_mass(line, out, unit);
    body::mass_beside_facts(line, out);
    body::own_mass(line, out);
    training(line, out);
    meets::read(line, out);
    spans_of_time(line);
    best(line, out, unit);
    goal(line, out, unit);
}

/// A number with an optional unit from `at`, after small joining words; gives its end.
pub(super) fn mass_at(
    line: &Line,
    mut at: usize,
    unit: Option<MassUnit>,
) -> Option<(f64, Option<MassUnit>, usize, usize)> {
    for _ in 0..5 {
        if line.is(
            at,
            &[
                "is",
                "of",
                "was",
                "at",
                ":",
                "=",
                "about",
                "around",
                "currently",
                "my",
                "a",
                "to",
                "hit",
                "pull",
                "bench",
                "squat",
                "deadlift",
                "lift",
                "on",
                "only",
                "just",
                "for",
                "in",
                "squats",
                "deadlifts",
                "the",
                "like",
                "roughly",
                "approx",
                "be",
            ],
        ) {
            at += 1;
        }
    }
    let value = line.digits(at)?;
    if line.is_used(at)
        || line.is(
            at + 1,
            &[
                "%", "percent", "x", "reps", "weeks", "years", "months", "days",
            ],
        )
    {
        return None;
    }
    match line.unit(at + 1) {
        Some(found) => Some((value, Some(found), at, at + 2)),
        None => Some((value, unit, at, at + 1)),
    }
}

fn months(count: f64, unit: &str) -> Option<u32> {
    let months = match unit {
        "years" | "year" | "yrs" | "yr" => count * 12.0,
        "months" | "month" | "mths" | "mth" | "mos" => count,
        _ => return None,
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded just here"
    )]
    (0.0..=1200.0)
        .contains(&months)
        .then_some(months.round() as u32)
}

fn training(line: &mut Line, out: &mut Reading) {
    let about = [
        "lifting",
        "training",
        "lifted",
        "trained",
        "powerlifting",
        "training age",
        "under the bar",
        "experience",
        "benching",
        "squatting",
        "deadlifting",
        "started",
        "train",
    ];
    let about = line.may(&about);
    for at in 0..line.len() {
        let Some(count) = line.number(at) else {
            continue;
        };
        let half = line.phrase(at + 1, "and a half").map_or(0, |_| 3);
        let Some(months) = months(
            count + if half > 0 { 0.5 } else { 0.0 },
            line.text(at + 1 + half),
        ) else {
            continue;
        };
        let end = at + 2 + half;
        let near = (1..=4).any(|step| {
            at.checked_sub(step)
                .is_some_and(|i| line.any_phrase(i, &about).is_some())
                || line.any_phrase(end + step - 1, &about).is_some()
        });
        if !near
            || line.text(end) == "old"
            || line.has(&[
                "pain", "sore", "hurt", "hurts", "ache", "aches", "surgery", "op",
            ])
        {
            continue;
        }
        out.fields.training_months = Some(months);
        line.note("training_months", at, end, 0.9);
        return;
    }
}

/// "in 8 weeks" belongs to the meet, not to a set.
fn spans_of_time(line: &mut Line) {
    for at in 0..line.len() {
        if line.number(at).is_some()
            && line.is(
                at + 1,
                &[
                    "weeks", "week", "wks", "wk", "days", "months", "years", "yrs", "mins", "min",
                    "minutes", "hours", "am", "pm", "yo",
                ],
            )
        {
            line.take(at, at + 2);
        }
    }
}

fn best(line: &mut Line, out: &mut Reading, unit: Option<MassUnit>) {
    let words = [
        "best single",
        "best",
        "max",
        "1 rm",
        "1rm",
        "one rep max",
        "pr is",
        "pb is",
        "pr of",
        "pb of",
        "e 1 rm",
        "current pr",
        "my pr",
        "my pb",
        "all time pr",
        "best ever",
        "maxes",
        "pb",
        "pr",
    ];
    let words = line.may(&words);
    for at in 0..line.len() {
        let Some(end) = line.any_phrase(at, &words) else {
            continue;
        };
        let found = mass_at(line, end, unit);
        let behind = at.checked_sub(1).and_then(|i| {
            if line.unit(i).is_some() {
                let from = i.checked_sub(1)?;
                Some((line.digits(from)?, line.unit(i), from, at))
            } else {
                Some((line.digits(i)?, unit, i, at))
            }
        });
        let strict_behind = line.is(at, &["max", "1", "1rm"]) && end - at <= 2;
        let Some((value, unit, from, to)) = found.or(behind.filter(|_| strict_behind)) else {
            continue;
        };
        // "new pb 120kg x1", "pr at 120kg", "pr by 5kg": that is the set, or a step.
        let set = line.is(at.wrapping_sub(1), &["new", "rep"])
            || line.is(end, &["at", "by", "!", "x"])
            || (line.is(at, &["pr", "pb"]) && line.is(to, &["x", "*", "for"]));
        if set || !(20.0..=1200.0).contains(&value) || line.is_used(from) {
            continue;
        }
        let tested =
            if line.has(&["estimated", "calculated", "theoretical"]) || line.before(at, 1) == "e" {
                Some(false)
            } else if line.has(&["tested", "competition"]) {
                Some(true)
            } else {
                None
            };
        match unit {
            Some(unit) => {
                out.fields.best = Some(Best {
                    value,
                    unit,
                    date: None,
                    tested,
                });
            }
            None => out.bare_best = Some(value),
        }
        line.note("best", from.min(at), to.max(end), 0.9);
        return;
    }
}

fn goal(line: &mut Line, out: &mut Reading, unit: Option<MassUnit>) {
    let words = [
        "goal is",
        "goal of",
        "my goal is",
        "goal",
        "want",
        "want to hit",
        "wanna hit",
        "want to pull",
        "want to bench",
        "want to squat",
        "want to deadlift",
        "aiming for",
        "aim is",
        "chasing",
        "target is",
        "target of",
        "target",
        "trying to hit",
        "working towards",
        "working toward",
        "hoping for",
        "dream is",
    ];
    let words = line.may(&words);
    for at in 0..line.len() {
        let Some(end) = line.any_phrase(at, &words) else {
            continue;
        };
        if let Some((value, unit, from, to)) = mass_at(line, end, unit)
            && (20.0..=600.0).contains(&value)
        {
            if let Some(unit) = unit {
                out.fields.goal = Some(Goal {
                    load: Mass::new(value, unit),
                    by: None,
                });
            } else {
                out.bare_goal = Some(value);
            }
            line.note("goal", from, to, 0.85);
            return;
        }
    }
}

/// The age band of an age in years.
pub(super) fn band(age: f64) -> AgeBand {
    if age < 18.0 {
        AgeBand::Under18
    } else if age < 60.0 {
        AgeBand::Adult
    } else {
        AgeBand::SixtyPlus
    }
}
