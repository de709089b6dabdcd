//! Flags to quantities: every fault names the flag, what was found and what is accepted.

use super::{RackFlags, SetFlags};
use crate::cli::Failure;
use cueline_core::load::{Measured, usual_plates};
use cueline_core::quantity::{Effort, Length, Mass, MassUnit, Span, TypedMass};
use cueline_core::report::{Best, Lift, Miss, Plates, SetReport, check};
use std::str::FromStr;

/// An answer that can be printed both ways.
pub(super) trait Plainly {
    /// As lines for a person.
    fn text(&self) -> String;
    /// As JSON.
    fn json(&self) -> Result<String, Failure>;
}

/// A measured point of a band, `1.3m=10kg`.
#[derive(Clone, Debug)]
pub(super) struct Pull(pub(super) Measured);

impl FromStr for Pull {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || format!("found {text}, accepted length=pull, such as 1.3m=10kg");
        let (length, pull) = text.split_once('=').ok_or_else(wrong)?;
        let length = Length::read(length).ok_or_else(wrong)?;
        let pull = TypedMass::read(pull)
            .and_then(|typed| typed.mass(None))
            .ok_or_else(wrong)?;
        Ok(Self(Measured {
            length: length.metres(),
            kgf: pull.kg(),
        }))
    }
}

/// A count, as a flag's value.
pub(super) fn count(text: &str) -> Result<u32, String> {
    text.trim()
        .parse()
        .map_err(|_| format!("found {text}, accepted a whole number, such as 5"))
}

/// A share in percent, as a flag's value.
pub(super) fn percent(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
        .ok_or_else(|| format!("found {text}, accepted a number in percent, such as 3"))
}

/// A mass with its unit.
pub(super) fn mass(flag: &str, text: &str) -> Result<Mass, Failure> {
    TypedMass::read(text)
        .and_then(|typed| typed.mass(None))
        .ok_or_else(|| {
            Failure::input(format!(
                "{flag}: found {text}, accepted a number with kg or lb, such as 142.5kg"
            ))
        })
}

/// A length with its unit, in metres.
pub(super) fn metres(flag: &str, text: &str) -> Result<f64, Failure> {
    Length::read(text).map(Length::metres).ok_or_else(|| {
        Failure::input(format!(
            "{flag}: found {text}, accepted a number with m, cm or in, such as 1.3m"
        ))
    })
}

/// The same mass flag, when given.
pub(super) fn maybe_mass(flag: &str, text: Option<&str>) -> Result<Option<Mass>, Failure> {
    text.map(|text| mass(flag, text)).transpose()
}

/// One number or a range, `8` or `8-9`.
fn span(flag: &str, text: &str) -> Result<Span, Failure> {
    let one = |part: &str| part.trim().parse::<f64>().ok().filter(|v| v.is_finite());
    let read = match text.split_once('-') {
        Some((low, high)) => one(low).zip(one(high)),
        None => one(text).map(|value| (value, value)),
    };
    read.map(|(low, high)| Span::new(low, high)).ok_or_else(|| {
        Failure::input(format!(
            "{flag}: found {text}, accepted a number or a range, such as 8 or 8-9"
        ))
    })
}

/// Checks a report and says every fault.
pub(super) fn checked(report: SetReport) -> Result<SetReport, Failure> {
    check(&report)
        .map_err(|faults| Failure::Input(faults.iter().map(ToString::to_string).collect()))?;
    Ok(report)
}

/// A best single that stands by itself.
pub(super) fn best_report(best: Mass) -> Result<SetReport, Failure> {
    checked(SetReport {
        best: Some(Best {
            value: best.value,
            unit: best.unit,
            date: None,
            tested: None,
        }),
        ..SetReport::default()
    })
}

/// The set as a report.
pub(super) fn report(set: &SetFlags) -> Result<SetReport, Failure> {
    let lift = match set.lift.as_deref() {
        None => None,
        Some("squat") => Some(Lift::Squat),
        Some("bench") => Some(Lift::Bench),
        Some("deadlift") => Some(Lift::Deadlift),
        Some(other) => {
            return Err(Failure::input(format!(
                "--lift: found {other}, accepted squat, bench or deadlift"
            )));
        }
    };
    let effort = match (&set.rpe, &set.rir) {
        (Some(rpe), _) => Some(Effort::Rpe(span("--rpe", rpe)?)),
        (None, Some(rir)) => Some(Effort::Rir(span("--rir", rir)?)),
        (None, None) => None,
    };
    let best = maybe_mass("--best", set.best.as_deref())?.map(|best| Best {
        value: best.value,
        unit: best.unit,
        date: None,
        tested: None,
    });
    checked(SetReport {
        lift,
        load: Some(mass("--load", &set.load)?),
        reps: Some(set.reps),
        effort,
        missed: set.missed.then_some(Miss {
            reps: 1,
            place: None,
        }),
        best,
        training_months: set.training,
        ..SetReport::default()
    })
}

/// Bar and plates: what was given over what is usual.
pub(super) fn rack(flags: &RackFlags, usual: MassUnit) -> Result<Plates, Failure> {
    let bar = maybe_mass("--bar", flags.bar.as_deref())?;
    let mut plates = usual_plates(bar.map_or(usual, |bar| bar.unit));
    if let Some(bar) = bar {
        plates.bar = bar.value;
    }
    if let Some(collars) = maybe_mass("--collars", flags.collars.as_deref())? {
        plates.collars = collars.in_unit(plates.unit).value;
    }
    if let Some(pairs) = &flags.pairs {
        plates.pairs = pairs
            .split(',')
            .map(|part| pair(part.trim()))
            .collect::<Result<_, _>>()?;
    }
    let report = checked(SetReport {
        plates: Some(plates),
        ..SetReport::default()
    })?;
    report
        .plates
        .ok_or_else(|| Failure::Other("the plates are gone".to_owned()))
}

/// One size of plate, `25x4`.
fn pair(text: &str) -> Result<(f64, u32), Failure> {
    text.split_once('x')
        .and_then(|(plate, count)| Some((plate.parse::<f64>().ok()?, count.parse::<u32>().ok()?)))
        .filter(|(plate, _)| plate.is_finite())
        .ok_or_else(|| {
            Failure::input(format!(
                "--pairs: found {text}, accepted plate and pairs, such as 25x4,20x2"
            ))
        })
}
