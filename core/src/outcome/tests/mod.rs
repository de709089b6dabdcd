//! The coach's catalog as it stands, for the tests.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod curves;
mod learning;
mod resubmission;
mod spoken;
mod working;

use crate::catalog::{Catalog, Cause, ContextRule, LiftBook, Sign};
use crate::report::Lift;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Default, Deserialize)]
#[serde(default)]
struct File {
    sign: Vec<Sign>,
    cause: Vec<Cause>,
    context: Vec<ContextRule>,
}

macro_rules! file {
    ($name:literal) => {{
        let text = include_str!(concat!("../../../../config/catalog/", $name, ".toml"));
        toml::from_str::<File>(text).unwrap()
    }};
}

fn book(signs: File, causes: File) -> LiftBook {
    LiftBook {
        signs: signs.sign,
        causes: causes.cause,
        ..LiftBook::default()
    }
}

/// The parts of the catalog that verdicts are about, read once.
static CATALOG: LazyLock<Catalog> = LazyLock::new(|| Catalog {
    lifts: [
        (
            Lift::Squat,
            book(file!("squat-signs"), file!("squat-causes")),
        ),
        (
            Lift::Bench,
            book(file!("bench-signs"), file!("bench-causes")),
        ),
        (
            Lift::Deadlift,
            book(file!("deadlift-signs"), file!("deadlift-causes")),
        ),
    ]
    .into(),
    context: file!("context").context,
    ..Catalog::default()
});
