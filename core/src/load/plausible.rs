//! Loads that need a second look before anything is worked out from them.
//!
//! What no person has lifted is refused with the bounds of the report. Here are the figures that
//! can be true but seldom are: a person looks, or the lifter is asked. They lie under the raw
//! records by a margin (judgement); about 0.65 of them would be the women's, which the report
//! cannot tell.

use super::Estimate;
use crate::quantity::{Mass, MassUnit};
use crate::report::{Lift, SetReport};

/// What to do about a figure that is seldom true.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Plausibility {
    /// Ask the lifter, with what is odd.
    Ask(String),
    /// Let the coach look, with what is odd.
    Coach(String),
}

/// Load above which a person looks first, kg.
pub const fn raw_review_kg(lift: Lift) -> f64 {
    match lift {
        Lift::Squat => 400.0,
        Lift::Bench => 270.0,
        Lift::Deadlift => 420.0,
    }
}

/// Load over body mass above which a person looks first.
pub const fn raw_review_ratio(lift: Lift) -> f64 {
    match lift {
        Lift::Squat => 5.0,
        Lift::Bench => 3.5,
        Lift::Deadlift => 6.0,
    }
}

/// The bar taken for granted when the plates are not known.
pub(super) fn usual_bar(report: &SetReport, unit: MassUnit) -> Mass {
    report.plates.as_ref().map_or_else(
        || Mass::new(super::usual_plates(unit).bar, unit),
        |plates| Mass::new(plates.bar, plates.unit),
    )
}

/// Everything odd about the loads of a report, the load of the set first.
pub fn plausible(report: &SetReport) -> Vec<Plausibility> {
    let mut odd = Vec::new();
    if let Some(load) = report.load {
        look(&mut odd, report, load, "the load");
        // 15 kg and 35 lb bars exist; between them and the usual bar a figure is odd.
        let bar = usual_bar(report, load.unit);
        let light_bar = Mass::new(15.0, MassUnit::Kg);
        let short_bar = Mass::new(35.0, MassUnit::Lb);
        let is_bar = [light_bar, short_bar]
            .iter()
            .any(|known| (load.kg() - known.kg()).abs() < 0.05);
        if load.kg() < bar.kg() - 1e-6 && !is_bar {
            odd.push(Plausibility::Ask(format!(
                "the load of {} is less than an empty bar of {}: is the bar counted?",
                load.both(),
                bar.in_unit(load.unit).both()
            )));
        }
    }
    if let Some(best) = &report.best {
        look(&mut odd, report, best.mass(), "the best single");
    }
    odd
}

/// Checks one figure against the review bounds.
fn look(odd: &mut Vec<Plausibility>, report: &SetReport, mass: Mass, what: &str) {
    let Some(lift) = report.lift else {
        return;
    };
    if mass.kg() > raw_review_kg(lift) {
        let most = Mass::from_kg(raw_review_kg(lift), mass.unit);
        odd.push(Plausibility::Coach(format!(
            "{what} of {} is above {}, which few have done in a {lift}",
            mass.both(),
            most.about()
        )));
    }
    let body = report
        .body_mass
        .filter(|body| body.value.is_finite() && body.value > 0.0);
    if let Some(body) = body {
        let ratio = mass.kg() / body.kg();
        if ratio > raw_review_ratio(lift) {
            odd.push(Plausibility::Coach(format!(
                "{what} is {ratio:.1} times body mass; above {:.1} a person looks first in a {lift}",
                raw_review_ratio(lift)
            )));
        }
    }
}

/// Spread above which an estimate is called uncertain (judgement).
const SHAKY_SIGMA: f64 = 0.08;

/// Repetitions in a set above which an estimate from it is called uncertain.
const MANY_REPS: u32 = 10;

/// Why an estimate is too uncertain to rely on: effort not given, a long set, a wide spread. How
/// many sets it rests on and how old they are is for those who know the lifter's history.
pub fn estimate_doubts(estimate: &Estimate, report: &SetReport) -> Vec<Plausibility> {
    let mut doubts = Vec::new();
    let missed = report.missed.as_ref().is_some_and(|miss| miss.reps > 0);
    if report.effort.is_none() && !missed {
        doubts.push(Plausibility::Ask(
            "how many repetitions were left is not said, so the estimate is wide".to_owned(),
        ));
    }
    if let Some(reps) = report.reps.filter(|reps| *reps > MANY_REPS) {
        doubts.push(Plausibility::Coach(format!(
            "{reps} repetitions say little about a single"
        )));
    }
    if estimate.sigma > SHAKY_SIGMA {
        doubts.push(Plausibility::Coach(format!(
            "the estimate of {} may be anything from {} to {}",
            estimate.point().about(),
            estimate.low().about(),
            estimate.high().about()
        )));
    }
    doubts
}
