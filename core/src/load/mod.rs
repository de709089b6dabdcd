//! Where the lifter stands and what to load: estimate, effort, plates, prescription.

use crate::catalog::Dose;
use crate::quantity::{Mass, MassUnit, Span};
use crate::report::{Plates, SetReport};
use serde::{Deserialize, Serialize};

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

/// A bar that can be loaded: the total and what hangs on each side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoadedBar {
    /// Total with bar and collars, in the plates' unit.
    pub total: Mass,
    /// Plates on each side, heaviest first, each written once a plate, in the plates' unit.
    pub per_side: Vec<f64>,
    /// Target minus total, in the plates' unit; positive when the bar is lighter than asked.
    pub residual: f64,
}

/// One week of prescribed work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Week {
    /// Counted from 1.
    pub week: u32,
    /// Sets.
    pub sets: u32,
    /// Repetitions a set (or seconds, see the dose).
    pub reps: u32,
    /// What to load; absent when the load is set by feel or cannot be worked out.
    pub bar: Option<LoadedBar>,
    /// Percent of the estimate aimed at, before rounding.
    pub percent: Option<f64>,
}

/// A dose worked out for one lifter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prescription {
    /// The exercise.
    pub exercise: String,
    /// `reps`, `seconds`, `metres` or `each side`.
    pub unit: String,
    /// Week by week.
    pub weeks: Vec<Week>,
    /// Effort cap as RPE.
    pub effort_cap: f64,
    /// Anything more to say.
    pub note: String,
    /// True when a guard rail lowered the load, or the coach must approve what is above it.
    pub held_back: bool,
    /// What the loads were worked out from, in words.
    pub basis: String,
}

/// How a target is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// Nearest loadable total.
    Nearest,
    /// Never above the target.
    Down,
}

/// Estimates the best single from one set.
pub fn estimate(report: &SetReport) -> Result<Estimate, NoEstimate> {
    let _ = report;
    Err(NoEstimate::NoLoad)
}

/// Percent of the estimate that the reported set was.
pub fn percent_of(estimate: &Estimate, load: Mass) -> f64 {
    100.0 * load.kg() / estimate.kg
}

/// The usual plates of a gym that counts in `unit`.
pub fn usual_plates(unit: MassUnit) -> Plates {
    Plates {
        unit,
        bar: 20.0,
        collars: 0.0,
        pairs: Vec::new(),
    }
}

/// The best way to load `target` with `plates`; none when the target is below the empty bar.
pub fn load_bar(target: Mass, plates: &Plates, rounding: Rounding) -> Option<LoadedBar> {
    let _ = (target, plates, rounding);
    None
}

/// Works a dose out for one lifter, inside the guard rails.
pub fn prescribe(dose: &Dose, estimate: Option<&Estimate>, report: &SetReport) -> Prescription {
    let _ = (estimate, report, Span::exactly(0.0));
    Prescription {
        exercise: dose.exercise.clone(),
        unit: String::new(),
        weeks: Vec::new(),
        effort_cap: 8.0,
        note: String::new(),
        held_back: false,
        basis: String::new(),
    }
}
