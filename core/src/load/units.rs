//! Kilograms labelled pounds, or pounds labelled kilograms: how likely, and which was meant.
//!
//! With a level known, two hypotheses are weighed on the log scale: the label is right, or the
//! number belongs to the other unit, which moves the set by `k = ln 2.2046...`. With spread `s`
//! of the difference `d` to the level, `logit P = logit(prior) + (±k d - k²/2) / s²` (the
//! log-likelihood ratio of two normal laws of equal spread). Nothing is ever converted silently.

use super::estimate::{Standard, observe};
use super::plausible::{raw_review_kg, raw_review_ratio};
use crate::quantity::{KG_PER_LB, Mass, MassUnit};
use crate::report::{Lift, SetReport, least_load, most_load_kg};

/// How often a label is wrong before anything is known (judgement).
const PRIOR: f64 = 0.02;

/// Least spread of the difference between a set and the level.
const LEAST_SPREAD: f64 = 0.10;

/// Spread of a known level, log scale, as of a best single that is not certain.
const LEVEL_SPREAD: f64 = 0.06;

/// From here the lifter is asked and nothing is worked out.
const ASK_FROM: f64 = 0.9;

/// From here the coach looks.
const COACH_FROM: f64 = 0.3;

/// What to do about a doubtful unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitAction {
    /// Ask which unit; work out no load until answered.
    Ask,
    /// Put it to the coach.
    Coach,
}

/// A unit that may be wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitDoubt {
    /// Probability that the number belongs to the other unit; absent when no level is known and
    /// only the label's figure is implausible.
    pub probability: Option<f64>,
    /// The unit that was probably meant.
    pub meant: MassUnit,
    /// The load as it would then be.
    pub then: Mass,
    /// What to do.
    pub action: UnitAction,
}

/// Natural logarithm of pounds in a kilogram.
fn k() -> f64 {
    -KG_PER_LB.ln()
}

/// Probability that the number belongs to the other unit than its label.
///
/// `difference` is the log of the set's estimate minus the log of the known level, `spread` its
/// standard deviation (0.10 at least is used), `labelled` the unit written.
pub fn mix_up_probability(difference: f64, spread: f64, labelled: MassUnit) -> f64 {
    let toward = match labelled {
        // A kilogram number read as pounds comes out too small, the other way too large.
        MassUnit::Lb => -k(),
        MassUnit::Kg => k(),
    };
    let spread = spread.max(LEAST_SPREAD);
    let logit =
        (PRIOR / (1.0 - PRIOR)).ln() + (toward * difference - k() * k() / 2.0) / (spread * spread);
    1.0 / (1.0 + (-logit).exp())
}

/// Whether the unit of the load is in doubt.
///
/// `known_level_kg` is what the case knows of the lifter's best single; without it the best
/// single in the report is taken. Without either, or without an estimate from the set, only
/// plausibility speaks: the figure is out of bounds as labelled and ordinary in the other unit.
pub fn unit_doubt(report: &SetReport, known_level_kg: Option<f64>) -> Option<UnitDoubt> {
    let load = report
        .load
        .filter(|load| load.value.is_finite() && load.value > 0.0)?;
    let meant = load.unit.other();
    let then = Mass::new(load.value, meant);
    let level = known_level_kg
        .or_else(|| report.best.as_ref().map(|best| best.mass().kg()))
        .filter(|level| level.is_finite() && *level > 0.0);
    let seen = observe(report, Standard::Met).ok();
    if let (Some(level), Some(set)) = (level, seen) {
        let spread = set.sigma.hypot(LEVEL_SPREAD);
        let probability = mix_up_probability(set.ln_kg - level.ln(), spread, load.unit);
        let action = if probability >= ASK_FROM {
            UnitAction::Ask
        } else if probability >= COACH_FROM {
            UnitAction::Coach
        } else {
            return None;
        };
        return Some(UnitDoubt {
            probability: Some(probability),
            meant,
            then,
            action,
        });
    }
    (!ordinary(report, load) && ordinary(report, then)).then_some(UnitDoubt {
        probability: None,
        meant,
        then,
        action: UnitAction::Ask,
    })
}

/// True when nothing about the figure needs a second look.
fn ordinary(report: &SetReport, mass: Mass) -> bool {
    let least = least_load(report.plates.as_ref(), mass.unit);
    let most = report.lift.map_or(most_load_kg(None), raw_review_kg);
    let ratio_ok = report.body_mass.is_none_or(|body| {
        let lift = report.lift.unwrap_or(Lift::Deadlift);
        mass.kg() <= raw_review_ratio(lift) * body.kg()
    });
    mass.value >= least && mass.kg() <= most && ratio_ok
}
