//! Questions about what a set line leaves open: lift, load, unit, repetitions, effort.

use super::plates::{self, Extra};
use super::sets::Open;
use crate::quantity::MassUnit;
use crate::reading::{Ask, Reading};
use crate::report::Lift;

/// A question with its choices.
pub(super) fn ask(field: &str, question: String, choices: &[&str]) -> Ask {
    Ask {
        field: field.to_owned(),
        question,
        choices: choices.iter().map(|choice| (*choice).to_owned()).collect(),
    }
}

/// A figure without needless decimals.
pub(super) fn figure(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Which of the three it was.
fn lift() -> Ask {
    ask(
        "lift",
        "Which lift was it?".to_owned(),
        &Lift::ALL.map(name),
    )
}

/// Two lifts with a set each: which one is meant.
pub(super) fn which(out: &mut Reading, lifts: &[Lift]) {
    let names: Vec<&str> = lifts.iter().map(|lift| name(*lift)).collect();
    let question = format!("I read {} lifts. Which one is this about?", names.len());
    out.asks = vec![ask("lift", question, &names)];
}

const fn name(lift: Lift) -> &'static str {
    match lift {
        Lift::Squat => "squat",
        Lift::Bench => "bench press",
        Lift::Deadlift => "deadlift",
    }
}

/// Fills `asks` in the order they are most needed.
pub(super) fn fill(out: &mut Reading, open: &[Open], lift_known: bool, unit: Option<MassUnit>) {
    let mut asks = Vec::new();
    if !lift_known && out.fields.lift.is_none() {
        asks.push(lift());
    }
    load(out, open, unit, &mut asks);
    reps(out, open, &mut asks);
    if out.fields.effort.is_none() {
        asks.push(ask(
            "effort",
            "How hard was it: how many more reps could you have done?".to_owned(),
            &["none", "1", "2", "3", "4 or more"],
        ));
    }
    if let Some(best) = out.bare_best {
        asks.push(ask(
            "best.unit",
            format!("Is your best of {} in kg or lb?", figure(best)),
            &["kg", "lb"],
        ));
    }
    let untold = out
        .fields
        .best
        .as_ref()
        .map_or(out.bare_best.is_some(), |best| best.tested.is_none());
    if untold && out.fields.load.is_none() && out.bare_load.is_none() {
        asks.push(ask(
            "best.tested",
            "Was that best lifted, or worked out from a set?".to_owned(),
            &["lifted", "worked out"],
        ));
    }
    out.asks = asks;
}

fn load(out: &Reading, open: &[Open], unit: Option<MassUnit>, asks: &mut Vec<Ask>) {
    if out.fields.load.is_some() {
        return;
    }
    if let Some(bare) = out.bare_load {
        asks.push(ask(
            "load.unit",
            format!("Is {} in kg or lb?", figure(bare)),
            &["kg", "lb"],
        ));
        return;
    }
    let known = open.iter().find_map(|item| load_of(*item, unit));
    asks.push(known.unwrap_or_else(|| {
        let question = "What was on the bar, bar included, and in kg or lb?";
        ask("load", question.to_owned(), &[])
    }));
}

/// The question about the load that something open asks for.
fn load_of(open: Open, unit: Option<MassUnit>) -> Option<Ask> {
    let free = |question: String| Some(ask("load", question, &[]));
    let of = |question: String, choices: &[String]| {
        let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
        Some(ask("load", question, &choices))
    };
    match open {
        Open::Plates(count, extra) => Some(plates_in(count, extra)),
        Open::PercentOrLoad(value) => {
            let value = figure(value);
            let percent = format!("{value} %");
            let choices = match unit {
                Some(unit) => vec![percent, format!("{value} {unit}")],
                None => vec![percent, format!("{value} kg"), format!("{value} lb")],
            };
            of(
                format!("Is {value} percent of your best, or the load?"),
                &choices,
            )
        }
        Open::LoadOrSets(load, reps) => {
            let load = figure(load);
            of(
                format!(
                    "Does {load}x{reps} mean {load} on the bar for {reps}, or {load} sets of {reps}?"
                ),
                &[
                    format!("{load} on the bar"),
                    format!("{load} sets of {reps}"),
                ],
            )
        }
        Open::LoadRange(low, high, unit) => {
            let with = |value| match unit {
                Some(unit) => format!("{} {unit}", figure(value)),
                None => figure(value),
            };
            let choices = [with(low), with(high)];
            of(
                format!("Which was it: {} or {}?", choices[0], choices[1]),
                &choices,
            )
        }
        Open::Bodyweight(times) => free(format!(
            "What is {} times your bodyweight on the bar, in kg or lb?",
            figure(times)
        )),
        Open::PercentOf(percent, _) => free(format!(
            "{} % of what: what was on the bar, in kg or lb?",
            figure(percent)
        )),
        Open::Order(..)
        | Open::RepsUnsure
        | Open::SetsOrReps(..)
        | Open::LastRep
        | Open::DoneOrEffort(_) => None,
    }
}

/// Plates told without their unit: what they make in each.
fn plates_in(count: f64, extra: Extra) -> Ask {
    let make = |kg| plates::total(count, extra, kg);
    let (Some(kg), Some(lb)) = (make(true), make(false)) else {
        let question = "What was on the bar in all, bar included, and in kg or lb?";
        return ask("load.unit", question.to_owned(), &[]);
    };
    let more = if extra == Extra::None {
        ""
    } else {
        " and more"
    };
    let plates = if count > 1.0 { "plates" } else { "plate" };
    ask(
        "load.unit",
        format!(
            "{} {plates}{more} a side: kg plates or lb plates?",
            figure(count)
        ),
        &[&format!("{} kg", figure(kg)), &format!("{} lb", figure(lb))],
    )
}

fn reps(out: &Reading, open: &[Open], asks: &mut Vec<Ask>) {
    for item in open {
        match *item {
            // The one answer settles both.
            Open::Order(a, b) => {
                for field in ["reps", "sets"] {
                    asks.push(ask(
                        field,
                        format!("Is {a}x{b} {a} reps for {b} sets, or {a} sets of {b}?"),
                        &[
                            &format!("{b} sets of {a} reps"),
                            &format!("{a} sets of {b} reps"),
                        ],
                    ));
                }
                return;
            }
            Open::LastRep => {
                asks.push(ask(
                    "reps",
                    "How many reps did you complete, without the one that failed?".to_owned(),
                    &[],
                ));
                return;
            }
            Open::DoneOrEffort(done) => {
                asks.push(ask(
                    "reps",
                    format!("Is {done}/10 the reps of ten that you made, or how hard it was?"),
                    &[
                        &format!("{done} of 10 reps"),
                        &format!("{done} out of 10 effort"),
                    ],
                ));
                return;
            }
            Open::RepsUnsure => {
                asks.push(ask(
                    "reps",
                    "How many reps did you complete in the hardest set?".to_owned(),
                    &[],
                ));
                return;
            }
            _ => {}
        }
    }
    if let Some((a, b)) = open.iter().find_map(|item| match item {
        Open::LoadOrSets(a, b) => Some((a, b)),
        _ => None,
    }) {
        asks.push(ask(
            "sets",
            format!("Is {0}x{b} {0} sets of {b}, or one set of {b}?", figure(*a)),
            &[
                &format!("{} sets of {b}", figure(*a)),
                &format!("one set of {b}"),
            ],
        ));
    } else if out.fields.reps.is_none() && out.fields.missed.is_none() {
        asks.push(ask(
            "reps",
            "How many reps did you complete?".to_owned(),
            &[],
        ));
    } else if let Some((a, b)) = open.iter().find_map(|item| match item {
        Open::SetsOrReps(a, b) => Some((a, b)),
        _ => None,
    }) && out.fields.load.is_none()
        && out.bare_load.is_none()
    {
        asks.push(ask(
            "sets",
            format!("Is {a}x{b} {a} sets of {b}, or {b} sets of {a}?"),
            &[&format!("{a} sets of {b}"), &format!("{b} sets of {a}")],
        ));
    }
}
