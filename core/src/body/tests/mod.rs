//! Builds against printed tables, `SciPy`, and what must hold for any build.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod invariants;
mod printed;
mod reference;
mod saying;
mod tables;

use super::{Build, Measured};

/// Agreement to half a unit of the last printed place.
#[track_caller]
fn printed(what: &str, found: f64, table: &str) {
    let places = table.split_once('.').map_or(0, |(_, after)| after.len());
    let expected: f64 = table.parse().unwrap();
    // A hair more: the table's own rounding of a tie may go either way.
    let half = 0.500_001 * 10_f64.powi(-i32::try_from(places).unwrap());
    assert!(
        (found - expected).abs() <= half,
        "{what}: found {found}, printed {table}"
    );
}

/// Lengths of thigh and trunk given as shares of the stature; the others by proportion.
fn build(stature: f64, thigh: f64, trunk: f64) -> Build {
    let measured = Measured {
        thigh: Some(thigh * stature),
        trunk: Some(trunk * stature),
        ..Measured::default()
    };
    Build::new(stature, measured, None).unwrap()
}

/// Three invented lifters, with body mass and load on the back in kg: A of usual proportions, B with
/// long thighs and a short trunk, C with short thighs and a long trunk.
fn lifter(name: &str) -> (Build, f64, f64) {
    match name {
        "A" => (build(1.75, 0.245, 0.288), 80.0, 120.0),
        "B" => (build(1.85, 0.260, 0.273), 90.0, 140.0),
        _ => (build(1.65, 0.230, 0.303), 65.0, 95.0),
    }
}
