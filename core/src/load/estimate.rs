//! Estimate of the best single from one set, with an honest interval.

use super::effort::{Reserve, reserve};
use super::formulas::{COARSE_ABOVE, MOST, formula_sigma, multiple, slope};
use super::fuse::fuse;
use super::words;
use crate::quantity::{Mass, MassUnit};
use crate::report::{Lift, SetReport};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Standard normal quantile of 0.9: the ends of an 80 % interval.
pub(super) const Z80: f64 = 1.281_551_565_544_600_4;

/// How much wider the upper side is for a deadlift: a 1997 study of 67 students (`LeSuer` et al.) found every formula too
/// low there, so only the upper end moves.
const DEADLIFT_UPPER: f64 = 1.5;

/// How much wider the interval is when the lift may not have been to standard.
const DOUBTED: f64 = 1.5;

/// Estimated best single (1RM) with its 80 % interval; kilograms inside, `unit` for showing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// Point estimate, kg.
    pub kg: f64,
    /// Lower end of the 80 % interval, kg.
    pub low_kg: f64,
    /// Upper end of the 80 % interval, kg.
    pub high_kg: f64,
    /// Standard deviation on the log scale.
    pub sigma: f64,
    /// The lifter's own unit.
    pub unit: MassUnit,
    /// Every component, in words (`330 lb x 3 at RPE 8-9`, `seven published formulas`).
    pub basis: Vec<String>,
    /// More than 10 repetitions to failure: said so, not prescribed from if better is known.
    pub coarse: bool,
}

impl Estimate {
    /// The point estimate in the lifter's own unit.
    pub fn point(&self) -> Mass {
        Mass::from_kg(self.kg, self.unit)
    }

    /// The lower end in the lifter's own unit.
    pub fn low(&self) -> Mass {
        Mass::from_kg(self.low_kg, self.unit)
    }

    /// The upper end in the lifter's own unit.
    pub fn high(&self) -> Mass {
        Mass::from_kg(self.high_kg, self.unit)
    }
}

/// Why there is no estimate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
pub enum NoEstimate {
    /// The load was not given.
    #[error("the load is missing")]
    NoLoad,
    /// The repetitions were not given.
    #[error("the repetitions are missing")]
    NoReps,
    /// Every repetition was missed: only an upper bound.
    #[error("no repetition was completed, which only bounds the best single from above")]
    OnlyMissed,
    /// Too many repetitions for any formula.
    #[error("more than 15 repetitions to failure say too little about a single")]
    TooManyReps,
    /// Effort so light that only a lower bound follows.
    #[error("the effort was too light to say more than a lower bound")]
    TooLight,
    /// Bands or chains: the load on the bar is not the load lifted.
    #[error("with bands or chains the bar alone does not say what was lifted")]
    Bands,
}

/// Whether the lift counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standard {
    /// Nothing speaks against it.
    Met,
    /// Depth, pause, hitching or a spotter's touch is in doubt: the load done is no proof, and
    /// the interval is half as wide again.
    Doubted,
}

/// What one set says, on the log scale, before anything else is weighed in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Observation {
    /// The load lifted.
    pub(super) load: Mass,
    /// Repetitions completed.
    pub(super) reps: u32,
    /// Repetitions left.
    pub(super) reserve: Reserve,
    /// Natural logarithm of the point estimate in kg.
    pub(super) ln_kg: f64,
    /// Standard deviation on the log scale.
    pub(super) sigma: f64,
    /// Whether the lift counted.
    standard: Standard,
    /// The upper end is widened.
    deadlift: bool,
}

impl Observation {
    /// Repetitions done plus repetitions left.
    pub(super) fn reps_to_failure(&self) -> f64 {
        f64::from(self.reps) + self.reserve.middle()
    }

    /// Both ends, kg, at `z` standard deviations about a level with its own spread. A completed
    /// repetition proves the load, so the lower end is never below it.
    pub(super) fn ends(&self, ln_kg: f64, sigma: f64, z: f64) -> (f64, f64) {
        let upward = if self.deadlift { DEADLIFT_UPPER } else { 1.0 };
        let low = (ln_kg - z * sigma).exp();
        let high = (ln_kg + z * upward * sigma).exp();
        match self.standard {
            Standard::Met => (low.max(self.load.kg()), high.max(self.load.kg())),
            Standard::Doubted => (low, high),
        }
    }

    /// The estimate of this set alone.
    pub(super) fn alone(&self, report: &SetReport) -> Estimate {
        let (low_kg, high_kg) = self.ends(self.ln_kg, self.sigma, Z80);
        Estimate {
            kg: self.load.kg() * multiple(self.reps_to_failure()),
            low_kg,
            high_kg,
            sigma: self.sigma,
            unit: self.load.unit,
            basis: words::of_set(self, report, self.standard),
            coarse: self.reps_to_failure() > COARSE_ABOVE,
        }
    }
}

/// Reads what one set says.
pub(super) fn observe(report: &SetReport, standard: Standard) -> Result<Observation, NoEstimate> {
    let load = report
        .load
        .filter(|load| load.value.is_finite() && load.value > 0.0)
        .ok_or(NoEstimate::NoLoad)?;
    let reps = report.reps.ok_or(NoEstimate::NoReps)?;
    if report.setting.equipment.bands == Some(true) {
        return Err(NoEstimate::Bands);
    }
    if reps == 0 {
        return Err(NoEstimate::OnlyMissed);
    }
    let reserve = reserve(report)?;
    let to_failure = f64::from(reps) + reserve.middle();
    if to_failure > MOST {
        return Err(NoEstimate::TooManyReps);
    }
    let from_effort = slope(to_failure) * reserve.variance().sqrt();
    let doubt = match standard {
        Standard::Met => 1.0,
        Standard::Doubted => DOUBTED,
    };
    Ok(Observation {
        load,
        reps,
        reserve,
        ln_kg: load.kg().ln() + multiple(to_failure).ln(),
        sigma: doubt * formula_sigma(to_failure).hypot(from_effort),
        standard,
        deadlift: report.lift == Some(Lift::Deadlift),
    })
}

/// Estimates the best single from one set, and from the best single the lifter named if any.
///
/// The two are weighed by their precision; see [`estimate_on`] for what the age of the best
/// single changes.
pub fn estimate(report: &SetReport) -> Result<Estimate, NoEstimate> {
    Ok(fuse(&observe(report, Standard::Met)?, report, None))
}

/// As [`estimate`], with the day known: an older best single counts for less.
pub fn estimate_on(report: &SetReport, today: Date) -> Result<Estimate, NoEstimate> {
    Ok(fuse(&observe(report, Standard::Met)?, report, Some(today)))
}

/// Estimates the best single from this set alone, whatever else the lifter named.
pub fn from_set(report: &SetReport) -> Result<Estimate, NoEstimate> {
    from_set_judged(report, Standard::Met)
}

/// As [`from_set`], saying whether the lift was to standard.
pub fn from_set_judged(report: &SetReport, standard: Standard) -> Result<Estimate, NoEstimate> {
    Ok(observe(report, standard)?.alone(report))
}

/// Percent of the estimate that the reported set was.
pub fn percent_of(estimate: &Estimate, load: Mass) -> f64 {
    100.0 * load.kg() / estimate.kg
}
