//! Traces of made sets, followed and cut; hostile traces; figures from elsewhere.

mod build;
mod chance;
mod cutting;
pub(in crate::motion) mod exact;
pub(in crate::motion) mod generator;
mod hostile;
pub(in crate::motion) mod lens;
mod making;
mod reference;

pub(in crate::motion) use build::Build;

use super::{Motion, Rep, TraceLimits, follow, reps};
use crate::report::{Lift, Trace, View};

/// A trace of a report.
pub(in crate::motion) fn trace(kind: &str, format: &str, data: String) -> Trace {
    Trace {
        kind: kind.to_owned(),
        format: format.to_owned(),
        data,
        scale: None,
    }
}

/// Follows traces of a lifter 1.75 m tall, seen from the side.
#[track_caller]
pub(in crate::motion) fn followed(lift: Lift, traces: &[Trace]) -> Motion {
    let limits = TraceLimits::default();
    match follow(lift, Some(View::Side), Some(1.75), traces, &limits) {
        Ok(Some(motion)) => motion,
        other => panic!("not followed: {other:?}"),
    }
}

/// Cuts with the limits as built in.
pub(in crate::motion) fn cut(motion: &Motion) -> Vec<Rep> {
    reps(motion, &TraceLimits::default())
}

/// Agreement within `margin`.
#[track_caller]
pub(in crate::motion) fn near(what: &str, found: f64, expected: f64, margin: f64) {
    assert!(
        (found - expected).abs() <= margin,
        "{what}: found {found}, expected {expected} within {margin}"
    );
}
