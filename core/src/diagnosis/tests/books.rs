//! The coach's catalog as it stands, for the tests.

use crate::catalog::{Catalog, Cause, ContextRule, LiftBook, Question, Sign};
use crate::report::Lift;
use serde::Deserialize;
use std::sync::LazyLock;

/// The parts of a catalog file that a diagnosis needs.
#[derive(Default, Deserialize)]
#[serde(default)]
struct File {
    sign: Vec<Sign>,
    cause: Vec<Cause>,
    question: Vec<Question>,
    context: Vec<ContextRule>,
}

macro_rules! file {
    ($name:expr) => {{
        let text = include_str!(concat!("../../../../config/catalog/", $name, ".toml"));
        toml::from_str::<File>(text).unwrap()
    }};
}

macro_rules! book {
    ($lift:literal) => {{
        let mut questions = file!(concat!($lift, "-questions")).question;
        questions.extend(file!("all-questions").question);
        LiftBook {
            signs: file!(concat!($lift, "-signs")).sign,
            causes: file!(concat!($lift, "-causes")).cause,
            questions,
            ..LiftBook::default()
        }
    }};
}

/// The catalog, read once.
pub(super) static CATALOG: LazyLock<Catalog> = LazyLock::new(|| Catalog {
    lifts: [
        (Lift::Squat, book!("squat")),
        (Lift::Bench, book!("bench")),
        (Lift::Deadlift, book!("deadlift")),
    ]
    .into(),
    context: file!("context").context,
    ..Catalog::default()
});

/// The book of one lift.
pub(super) fn book(lift: Lift) -> &'static LiftBook {
    &CATALOG.lifts[&lift]
}
