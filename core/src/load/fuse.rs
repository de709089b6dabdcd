//! Weighing a set against the best single the lifter named.
//!
//! On the log scale both are one observation each; the mean is weighted by precision. When they
//! disagree by more than their spreads explain, the spread of the mean is scaled up by the ratio
//! (Birge 1932; the Particle Data Group's scale factor). When they disagree by more than three
//! standard deviations they do not speak of the same thing (old best, other variant, wrong unit)
//! and only the set, which was done now, is used.

use super::estimate::{Estimate, Observation, Z80};
use super::words;
use crate::quantity::Mass;
use crate::report::{BarPosition, Best, Grip, SetReport};
use jiff::civil::Date;

/// Spread of a single that was lifted and dated: 1.5 % of the lift, 2.5 % from day to day (the
/// trained end of the retest spread in Grgic et al. 2020).
const LIFTED: (f64, f64) = (0.015, 0.025);

/// Spread of a best single that was worked out, or that nobody dated.
const UNSURE: f64 = 0.06;

/// Drift of a lifter's level in a week, log scale: about 5 % in a year.
const DRIFT_PER_WEEK: f64 = 0.007;

/// Beyond this many standard deviations the two do not speak of the same thing.
const TOO_FAR: f64 = 3.0;

/// What was made of the named best single.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum BestUse {
    /// Weighed in.
    Weighed,
    /// The set reaches it, so it says nothing new.
    Reached,
    /// Too far from what the set says.
    Disagrees,
    /// The set was another exercise in all but name (front squat, close grip).
    OtherVariant,
}

/// Spread of the best single on the log scale.
fn best_sigma(best: &Best, today: Option<Date>) -> f64 {
    let weeks = match (best.date, today) {
        (Some(date), Some(today)) => f64::from((today - date).get_days()).max(0.0) / 7.0,
        _ => 0.0,
    };
    let fresh = if best.tested == Some(false) || best.date.is_none() {
        UNSURE
    } else {
        LIFTED.0.hypot(LIFTED.1)
    };
    fresh.hypot(DRIFT_PER_WEEK * weeks.sqrt())
}

/// True when the set is not the lift a best single is kept of.
pub(super) fn other_variant(report: &SetReport) -> bool {
    matches!(
        report.variant.bar_position,
        Some(BarPosition::Front | BarPosition::Special)
    ) || matches!(report.variant.grip, Some(Grip::Close | Grip::Wide))
}

/// Weighs the set and the named best single, if there is one of use.
pub(super) fn fuse(set: &Observation, report: &SetReport, today: Option<Date>) -> Estimate {
    let mut estimate = set.alone(report);
    let Some(best) = report
        .best
        .as_ref()
        .filter(|best| best.value.is_finite() && best.value > 0.0)
    else {
        return estimate;
    };
    let sigma = best_sigma(best, today);
    let apart = best.mass().kg().ln() - set.ln_kg;
    let stretch = apart.abs() / set.sigma.hypot(sigma);
    let used = if other_variant(report) {
        BestUse::OtherVariant
    } else if best.mass().kg() <= set.load.kg() * (1.0 + 1e-9) {
        BestUse::Reached
    } else if stretch > TOO_FAR {
        BestUse::Disagrees
    } else {
        BestUse::Weighed
    };
    if used == BestUse::Weighed {
        let (of_set, of_best) = (set.sigma.powi(-2), sigma.powi(-2));
        let ln_kg = set.ln_kg + apart * of_best / (of_set + of_best);
        estimate.sigma = stretch.max(1.0) / (of_set + of_best).sqrt();
        estimate.kg = ln_kg.exp().max(set.load.kg());
        (estimate.low_kg, estimate.high_kg) = set.ends(ln_kg, estimate.sigma, Z80);
    }
    estimate.basis.push(words::of_best(best, used));
    estimate
}

/// The best single the lifter named as an estimate by itself, for a set that says nothing (every
/// repetition missed, bands, too many repetitions). `None` when none was named, or the set was
/// another variant. A miss at or below it bounds it: then it says nothing either.
pub fn from_best(report: &SetReport, today: Option<Date>) -> Option<Estimate> {
    let best = report
        .best
        .as_ref()
        .filter(|best| best.value.is_finite() && best.value > 0.0)?;
    let missed_it = report.reps == Some(0)
        && report
            .load
            .is_some_and(|load| load.kg() <= best.mass().kg());
    if missed_it || other_variant(report) {
        return None;
    }
    let (kg, sigma) = (best.mass().kg(), best_sigma(best, today));
    let unit = report.load.map_or(best.unit, |load| load.unit);
    Some(Estimate {
        kg,
        low_kg: kg * (-Z80 * sigma).exp(),
        high_kg: kg * (Z80 * sigma).exp(),
        sigma,
        unit,
        basis: vec![words::of_best(
            &Best {
                value: Mass::in_unit(best.mass(), unit).value,
                unit,
                ..best.clone()
            },
            BestUse::Weighed,
        )],
        coarse: false,
    })
}
