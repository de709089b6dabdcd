//! Made sets with faults of known size, measured.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp
)]

mod acceptance;
mod calibration;
mod doubt;
mod evidence;
mod film;
mod hostile;
mod stories;
mod truths;
mod views;

use super::super::tests::generator::Set;
use super::{About, Measured, MeasuredSign, Quantity, SignLimits, signs};
use film::Film;

/// A set as a camera sees it, measured with the built-in limits.
fn measure(set: &Set, film: &Film) -> Measured {
    measure_about(set, film, &About::default())
}

/// The same with what is known about it.
fn measure_about(set: &Set, film: &Film, about: &About) -> Measured {
    let (motion, reps) = film.of(set);
    signs(&motion, &reps, about, &SignLimits::default())
}

/// The quantity of this id.
#[track_caller]
fn quantity<'a>(measured: &'a Measured, id: &str) -> &'a Quantity {
    let found = measured.quantities.iter().find(|one| one.id == id);
    found.unwrap_or_else(|| panic!("no quantity {id} in {:#?}", measured.quantities))
}

/// The sign of this id, when it was measured.
fn sign<'a>(measured: &'a Measured, id: &str) -> Option<&'a MeasuredSign> {
    measured.signs.iter().find(|one| one.sign == id)
}

/// Its probability.
#[track_caller]
fn probability(measured: &Measured, id: &str) -> f64 {
    sign(measured, id)
        .unwrap_or_else(|| panic!("{id} was not measured: {:#?}", measured.signs))
        .probability
}
