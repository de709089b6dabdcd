//! The mark of one answer.
//!
//! The part on causes is the quadratic score (Brier 1950, "Verification of forecasts expressed in
//! terms of probability", Monthly Weather Review 78, 1-3), one for each cause of the lift, set
//! against an answer that names nothing: every cause then counts as forecast at [`UNNAMED`]. The
//! quadratic score is proper (Gneiting and Raftery 2007, "Strictly proper scoring rules, prediction,
//! and estimation", Journal of the American Statistical Association 102, 359-378), and taking away a
//! figure that depends on the truth alone keeps it so: whoever is 70 % sure does best, on average,
//! by saying 70 %. It is never cut off at an end, for that would break this.
//!
//! Credit for the earliest link depends on the order only and credit for an exercise on the exercise
//! only, so neither gives a reason to say another figure than one's own.

use super::answer::{Answer, ExerciseAnswer, Key};
use crate::catalog::{Dose, LiftBook, LoadBasis};
use crate::load::CEILING;
use serde::{Deserialize, Serialize};

/// How likely a cause counts that is not named: about the mean share of a cause in submitted sets
/// (common practice, no source).
pub const UNNAMED: f64 = 0.05;

/// Points for being sure and right of one cause; as many are lost for being sure and wrong.
const CAUSE_POINTS: f64 = 100.0;

/// Points for naming first what the coach fixes first.
const FIRST_POINTS: f64 = 20.0;

/// Points for naming first what the coach fixes too, but later.
const SECOND_POINTS: f64 = 10.0;

/// Points for an exercise that fits and is safe.
const EXERCISE_POINTS: f64 = 20.0;

/// How far below the catalog's load for an exercise another still counts as fitting, in percent of the
/// best single (common practice, no source).
const LIGHT_ROOM: f64 = 20.0;

/// What an exercise is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ExerciseVerdict {
    /// None was proposed.
    None,
    /// Belongs to a cause the coach sees, with a load that may be given.
    FitsSafe,
    /// Belongs to a cause the coach sees; no load was said and one is needed.
    FitsNoLoad,
    /// Belongs to a cause the coach sees; its load is far below what the catalog practises it with.
    FitsTooLight,
    /// Does no harm, and is not for any cause the coach sees.
    OffTarget,
    /// Heavier than may be advised without the coach.
    Unsafe,
}

/// One answer's mark, by parts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// On the causes: 0 for naming nothing, up to about 90 for each cause named rightly and surely,
    /// down to about -100 for each named wrongly and surely.
    pub causes: f64,
    /// For the earliest link: 20, 10 or 0.
    pub first: f64,
    /// For the exercise: 20, 10 or 0.
    pub exercise: f64,
    /// What the exercise was taken for.
    pub exercise_verdict: ExerciseVerdict,
}

impl Mark {
    /// All parts together.
    pub fn total(&self) -> f64 {
        self.causes + self.first + self.exercise
    }
}

/// Marks an answer against the coach's verdict.
///
/// `book` is the catalog of the challenge's lift. Causes that the book does not know are marked like
/// any other, so an old answer keeps its mark when the catalog changes.
pub fn mark(answer: &Answer, key: &Key, book: &LiftBook) -> Mark {
    let exercise_verdict = exercise_verdict(answer.exercise.as_ref(), key, book);
    Mark {
        causes: cause_points(answer, key),
        first: first_points(answer, key),
        exercise: match exercise_verdict {
            ExerciseVerdict::FitsSafe => EXERCISE_POINTS,
            ExerciseVerdict::FitsNoLoad | ExerciseVerdict::FitsTooLight => EXERCISE_POINTS / 2.0,
            ExerciseVerdict::None | ExerciseVerdict::OffTarget | ExerciseVerdict::Unsafe => 0.0,
        },
        exercise_verdict,
    }
}

/// The quadratic score of the named causes, less that of naming none. Causes not named cancel.
fn cause_points(answer: &Answer, key: &Key) -> f64 {
    answer
        .forecast()
        .map(|(cause, sure)| {
            let truth = f64::from(u8::from(key.holds(cause)));
            (UNNAMED - truth).powi(2) - (sure - truth).powi(2)
        })
        .sum::<f64>()
        * CAUSE_POINTS
}

fn first_points(answer: &Answer, key: &Key) -> f64 {
    let Some(first) = answer.causes.first() else {
        return 0.0;
    };
    if key.first() == Some(first.cause.as_str()) {
        FIRST_POINTS
    } else if key.holds(&first.cause) {
        SECOND_POINTS
    } else {
        0.0
    }
}

/// Whether the load of an exercise is above what may be advised without the coach looking: more
/// than 80 % of the best single, as for the service's own advice.
pub fn unsafe_load(exercise: &ExerciseAnswer) -> bool {
    exercise
        .percent
        .is_some_and(|percent| percent.high > 100.0 * CEILING)
}

/// What an exercise is worth, given the coach's verdict.
pub fn exercise_verdict(
    exercise: Option<&ExerciseAnswer>,
    key: &Key,
    book: &LiftBook,
) -> ExerciseVerdict {
    let Some(exercise) = exercise else {
        return ExerciseVerdict::None;
    };
    if unsafe_load(exercise) {
        return ExerciseVerdict::Unsafe;
    }
    let fitting = key
        .causes
        .iter()
        .filter_map(|cause| book.correction(cause))
        .flat_map(|correction| correction.drill.iter().chain(&correction.assistance))
        .find(|dose| dose.exercise == exercise.exercise);
    match fitting {
        Some(dose) if exercise.percent.is_none() && needs_load(dose) => ExerciseVerdict::FitsNoLoad,
        Some(dose) if too_light(exercise, dose) => ExerciseVerdict::FitsTooLight,
        Some(_) => ExerciseVerdict::FitsSafe,
        None => ExerciseVerdict::OffTarget,
    }
}

/// Whether a load lies far below the catalog's: else "1 %" would be the safest way to full credit.
fn too_light(exercise: &ExerciseAnswer, dose: &Dose) -> bool {
    let wanted = dose.percent.filter(|_| needs_load(dose));
    let said = exercise.percent;
    said.zip(wanted)
        .is_some_and(|(said, wanted)| said.high < wanted.low - LIGHT_ROOM)
}

/// Whether the catalog gives this exercise a share of a best single to go by.
fn needs_load(dose: &Dose) -> bool {
    dose.of == LoadBasis::Lift && dose.percent.is_some()
}
