//! Where the lifter stands and what to load: estimate, effort, plates, prescription.
//!
//! A set becomes a best single through [`formulas`] and [`reserve`], weighed against the best
//! single the lifter named ([`estimate()`]). A dose becomes sets, repetitions and a loaded bar
//! ([`prescribe()`], [`load_bar`]) inside the guard rails ([`jump_since_last`] and its like).
//! Figures that are seldom true are found by [`plausible()`] and [`unit_doubt`] before anything is
//! worked out from them.

mod effort;
mod estimate;
pub mod formulas;
mod fuse;
mod guard;
mod plates;
mod plausible;
mod prescribe;
mod units;
mod warm_up;
mod words;

#[cfg(test)]
mod tests;

pub use effort::{Reserve, ReserveSource, reserve};
pub use estimate::{
    Estimate, NoEstimate, Standard, estimate, estimate_on, from_set, from_set_judged, percent_of,
};
pub use fuse::from_best;
pub use guard::{
    CEILING, EFFORT_CAP, JumpLevel, JumpWarning, STEP_BLOCKED, WIDE_SIGMA, jump_between_sets,
    jump_of_estimate, jump_since_last, percent_after_layoff, step_flagged,
};
pub use plates::{BarOver, LoadedBar, Rounding, bar_over, load_bar, usual_plates};
pub use plausible::{Plausibility, estimate_doubts, plausible, raw_review_kg, raw_review_ratio};
pub use prescribe::{Prescription, Week, prescribe};
pub use units::{UnitAction, UnitDoubt, mix_up_probability, unit_doubt};
pub use warm_up::{WarmUpSet, warm_up};
