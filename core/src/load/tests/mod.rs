//! What a coach would check about estimates, plates and prescriptions.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_cmp
)]

mod banding;
mod coverage;
mod estimating;
mod formulas;
mod fusing;
mod goals;
mod guarding;
mod loading;
mod prescribing;
mod progress;
mod reference;
mod scoring;
mod speeding;
mod units;
mod velocity;

use crate::quantity::{Effort, Mass, MassUnit, Span};
use crate::report::{Best, Lift, Miss, SetReport};

/// A set of a squat in pounds.
fn set(load: f64, reps: u32) -> SetReport {
    SetReport {
        lift: Some(Lift::Squat),
        load: Some(Mass::new(load, MassUnit::Lb)),
        reps: Some(reps),
        ..SetReport::default()
    }
}

/// The same with an RPE.
fn at_rpe(load: f64, reps: u32, low: f64, high: f64) -> SetReport {
    SetReport {
        effort: Some(Effort::Rpe(Span::new(low, high))),
        ..set(load, reps)
    }
}

/// The same to failure: the next repetition was missed.
fn to_failure(load: f64, reps: u32) -> SetReport {
    SetReport {
        missed: Some(Miss {
            reps: 1,
            place: None,
        }),
        ..set(load, reps)
    }
}

/// A best single in pounds.
fn best(value: f64, date: Option<&str>, tested: Option<bool>) -> Best {
    Best {
        value,
        unit: MassUnit::Lb,
        date: date.map(|date| date.parse().unwrap()),
        tested,
    }
}

/// Agreement to a relative error.
#[track_caller]
fn close(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs().max(1e-300),
        "found {found}, expected {expected}"
    );
}

/// Agreement to the digits printed.
#[track_caller]
fn printed(found: f64, expected: f64, places: i32) {
    assert!(
        (found - expected).abs() <= 0.5001 * 10_f64.powi(-places),
        "found {found}, expected {expected} to {places} places"
    );
}
