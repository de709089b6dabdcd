//! Traces of made sets, followed and cut; hostile traces; figures from elsewhere.

mod build;
mod chance;
pub(in crate::motion) mod exact;
pub(in crate::motion) mod generator;
mod making;

pub(in crate::motion) use build::Build;

/// Agreement within `margin`.
#[track_caller]
pub(in crate::motion) fn near(what: &str, found: f64, expected: f64, margin: f64) {
    assert!(
        (found - expected).abs() <= margin,
        "{what}: found {found}, expected {expected} within {margin}"
    );
}
