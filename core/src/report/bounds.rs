//! Every bound of a set report, each with the field's name, what was found and what is accepted.
//!
//! Bounds on masses are written in the lifter's own unit and rounded outward to whole numbers, so
//! that the figure shown as accepted is accepted.

mod identifiers;
mod masses;

pub use masses::{least_load, most_load_kg};

use super::SetReport;
use crate::quantity::Length;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Repetitions of one set.
const REPS: std::ops::RangeInclusive<u32> = 1..=30;

/// Sets done alike.
const SETS: std::ops::RangeInclusive<u32> = 1..=20;

/// Most months of training: 75 years.
const MOST_MONTHS: u32 = 900;

/// Standing height, metres.
const STATURE: (f64, f64) = (1.2, 2.3);

/// Longest pause, seconds.
const LONGEST_PAUSE: f64 = 10.0;

/// One field out of bounds, said so that a person can mend it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FieldError {
    /// The field's name as in the JSON (`load`, `effort.rpe`, `best`).
    pub field: String,
    /// What was found, in the lifter's own unit.
    pub found: String,
    /// What is accepted.
    pub accepted: String,
}

impl FieldError {
    /// A field error from its three parts.
    pub fn new(
        field: impl Into<String>,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> Self {
        Self {
            field: field.into(),
            found: found.into(),
            accepted: accepted.into(),
        }
    }
}

impl fmt::Display for FieldError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: found {}, accepted {}",
            self.field, self.found, self.accepted
        )
    }
}

impl std::error::Error for FieldError {}

/// Checks every bound and returns all that are broken, in field order.
pub fn check(report: &SetReport) -> Result<(), Vec<FieldError>> {
    let mut broken = Broken(Vec::new());
    pause(&mut broken, report);
    masses::load(&mut broken, report);
    counts(&mut broken, report);
    effort(&mut broken, report);
    masses::body(&mut broken, report);
    stature(&mut broken, report);
    segments(&mut broken, report);
    masses::best(&mut broken, report);
    broken.count(
        "training_months",
        report.training_months,
        0..=MOST_MONTHS,
        "months",
    );
    masses::goal(&mut broken, report);
    identifiers::names(&mut broken, report);
    masses::plates(&mut broken, report);
    identifiers::texts(&mut broken, report);
    identifiers::lists(&mut broken, report);
    identifiers::traces(&mut broken, report);
    if broken.0.is_empty() {
        Ok(())
    } else {
        Err(broken.0)
    }
}

/// The bounds broken so far.
struct Broken(Vec<FieldError>);

impl Broken {
    /// Notes one.
    fn push(&mut self, field: &str, found: impl Into<String>, accepted: impl Into<String>) {
        self.0.push(FieldError::new(field, found, accepted));
    }

    /// Notes a count outside its range.
    fn count(
        &mut self,
        field: &str,
        found: Option<u32>,
        accepted: std::ops::RangeInclusive<u32>,
        unit: &str,
    ) {
        if let Some(found) = found.filter(|found| !accepted.contains(found)) {
            self.push(
                field,
                found.to_string(),
                format!("{} to {} {unit}", accepted.start(), accepted.end()),
            );
        }
    }
}

/// A number as shown, also when it is none.
fn shown(value: f64) -> String {
    if value.is_nan() {
        "no number".to_owned()
    } else if value.is_infinite() {
        "a number without end".to_owned()
    } else {
        format!("{value}")
    }
}

/// The pause of the variant.
fn pause(broken: &mut Broken, report: &SetReport) {
    if let Some(pause) = report.variant.pause_seconds
        && !(0.0..=LONGEST_PAUSE).contains(&pause)
    {
        broken.push("variant.pause_seconds", shown(pause), "0 to 10 seconds");
    }
}

/// Repetitions, sets and misses.
fn counts(broken: &mut Broken, report: &SetReport) {
    let missed = report.missed.as_ref().map(|miss| miss.reps);
    if report.reps == Some(0) {
        if missed.unwrap_or(0) == 0 {
            broken.push(
                "reps",
                "0",
                "1 to 30 repetitions; 0 only together with missed",
            );
        }
    } else {
        broken.count("reps", report.reps, REPS, "repetitions");
    }
    broken.count("reps_aimed", report.reps_aimed, REPS, "repetitions");
    broken.count("sets", report.sets, SETS, "sets");
    if let Some(number) = report.set_number {
        let most = report.sets.unwrap_or(*SETS.end()).min(*SETS.end());
        if number < 1 || number > most {
            broken.push(
                "set_number",
                number.to_string(),
                format!("1 to {most}, the number of sets"),
            );
        }
    }
    broken.count("missed.reps", missed, REPS, "repetitions");
}

/// Effort against its scale.
fn effort(broken: &mut Broken, report: &SetReport) {
    use crate::quantity::EffortError;
    match report.effort.map(crate::quantity::Effort::check) {
        Some(Err(EffortError::Rpe(found))) => {
            broken.push("effort.rpe", shown(found), "1 to 10");
        }
        Some(Err(EffortError::Rir(found))) => {
            broken.push("effort.rir", shown(found), "0 to 9");
        }
        Some(Ok(())) | None => {}
    }
}

/// Standing height.
fn stature(broken: &mut Broken, report: &SetReport) {
    if let Some(length) = report.stature {
        within(broken, "stature", length, STATURE);
    }
}

/// Segment lengths.
fn segments(broken: &mut Broken, report: &SetReport) {
    for (field, length, least, most) in report.segments.bounded() {
        if let Some(length) = length {
            within(broken, field, length, (least, most));
        }
    }
}

/// Notes a length outside `bounds` in metres, all in the length's own unit and to its shown places,
/// so that the figure shown as accepted is accepted.
fn within(broken: &mut Broken, field: &str, length: Length, bounds: (f64, f64)) {
    let [least, most] = [bounds.0, bounds.1].map(|metres| {
        let end = Length::from_metres(metres, length.unit);
        Length {
            value: (end.value * 100.0).round() / 100.0,
            ..end
        }
    });
    let hair = 1e-9;
    if !(least.value - hair..=most.value + hair).contains(&length.value) {
        let found = if length.value.is_finite() {
            length.both()
        } else {
            shown(length.value)
        };
        broken.push(field, found, format!("{} to {}", least.both(), most.both()));
    }
}

#[cfg(test)]
mod tests;
