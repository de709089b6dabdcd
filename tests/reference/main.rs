//! The core against figures that other people's libraries worked out; see `README.md` here.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod calibration;
mod community;
mod load;
mod network;

/// Agreement to a relative error.
#[track_caller]
fn close(what: &str, found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{what}: found {found}, expected {expected}"
    );
}
