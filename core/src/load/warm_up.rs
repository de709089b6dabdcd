//! Warm-up sets to a top load (common practice, no source).

use super::guard::WIDE_SIGMA;
use super::{Estimate, LoadedBar, Rounding, load_bar};
use crate::quantity::Mass;
use crate::report::Plates;

/// Percent of the top load and repetitions, after the empty bar.
const STEPS: [(f64, u32); 5] = [(40.0, 5), (55.0, 4), (70.0, 3), (80.0, 2), (90.0, 1)];

/// Repetitions with the empty bar.
const EMPTY_REPS: u32 = 8;

/// Steps closer than this share of the top load are left out.
const APART: f64 = 0.10;

/// The last step is only for tops from this share of the best single.
const HEAVY: f64 = 0.85;

/// One warm-up set.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmUpSet {
    /// What to load.
    pub bar: LoadedBar,
    /// Repetitions.
    pub reps: u32,
}

/// The warm-up to `top`: the empty bar, then rising steps, all loadable, strictly below the top.
///
/// The single at 90 % is only there when the top is heavy for the lifter (85 % of the estimate
/// or more; of its lower end when that is wide). Empty when the top is not above the empty bar.
pub fn warm_up(top: Mass, plates: &Plates, estimate: Option<&Estimate>) -> Vec<WarmUpSet> {
    let top_here = top.in_unit(plates.unit).value;
    let apart = APART * top_here;
    let heavy = estimate.is_some_and(|e| {
        let base = if e.sigma > WIDE_SIGMA { e.low_kg } else { e.kg };
        top.kg() >= HEAVY * base
    });
    let empty = Mass::new(plates.bar + plates.collars, plates.unit);
    let last = if heavy { STEPS.len() } else { STEPS.len() - 1 };
    let steps = STEPS
        .iter()
        .take(last)
        .map(|&(percent, reps)| (Mass::new(top_here * percent / 100.0, plates.unit), reps));
    let mut sets: Vec<WarmUpSet> = Vec::new();
    let mut last_aim = f64::NEG_INFINITY;
    for (aim, reps) in std::iter::once((empty, EMPTY_REPS)).chain(steps) {
        let Some(bar) = load_bar(aim, plates, Rounding::Down) else {
            continue;
        };
        // Rounding may bring two steps together, so the loaded bars must rise as well.
        let rises = sets
            .last()
            .is_none_or(|set| bar.total.value > set.bar.total.value + 1e-9);
        let apart_enough = aim.value >= last_aim + apart - 1e-9;
        if rises && apart_enough && bar.total.value < top_here - 1e-9 {
            last_aim = aim.value;
            sets.push(WarmUpSet { bar, reps });
        }
    }
    sets
}

/// What to heed before a top load: a best single known, and the top near or above it.
///
/// Above 90 % of the best single nothing is given by this service (careful practice, no source);
/// here the lifter chose the load, so it is only cautioned about.
pub fn caution(top: Mass, estimate: Option<&Estimate>) -> Option<&'static str> {
    /// Share of the best single from which a set is near the limit.
    const NEAR_LIMIT: f64 = 0.90;
    let best = estimate?;
    if top.kg() > best.high_kg {
        Some(
            "this is above anything your best single speaks for: ask the coach first, and never \
             alone or without safeties",
        )
    } else if top.kg() > NEAR_LIMIT * best.kg {
        Some(
            "this is over 90 % of your best single: only with safeties set or a spotter there, \
             and leave it when anything hurts",
        )
    } else {
        None
    }
}
