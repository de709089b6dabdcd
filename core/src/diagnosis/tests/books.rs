//! The coach's catalog as it stands, for the tests.

use crate::catalog::{Cause, ContextRule, Correction, LiftBook, Question, Sign};
use crate::report::Lift;
use serde::Deserialize;

#[derive(Default, Deserialize)]
#[serde(default)]
struct File {
    sign: Vec<Sign>,
    cause: Vec<Cause>,
    correction: Vec<Correction>,
    question: Vec<Question>,
    context: Vec<ContextRule>,
}

fn file(text: &str) -> File {
    toml::from_str(text).unwrap()
}

macro_rules! catalog {
    ($name:literal) => {
        file(include_str!(concat!(
            "../../../../config/catalog/",
            $name,
            ".toml"
        )))
    };
}

/// The book of one lift, questions for all lifts included.
pub(in crate::diagnosis) fn book(lift: Lift) -> LiftBook {
    let (signs, causes, questions) = match lift {
        Lift::Squat => (
            catalog!("squat-signs"),
            catalog!("squat-causes"),
            catalog!("squat-questions"),
        ),
        Lift::Bench => (
            catalog!("bench-signs"),
            catalog!("bench-causes"),
            catalog!("bench-questions"),
        ),
        Lift::Deadlift => (
            catalog!("deadlift-signs"),
            catalog!("deadlift-causes"),
            catalog!("deadlift-questions"),
        ),
    };
    let mut questions = questions.question;
    questions.extend(catalog!("all-questions").question);
    LiftBook {
        signs: signs.sign,
        causes: causes.cause,
        questions,
        ..LiftBook::default()
    }
}

/// Every context rule.
pub(in crate::diagnosis) fn context() -> Vec<ContextRule> {
    catalog!("context").context
}
