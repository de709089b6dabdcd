//! Where the lifter stands and what to load: estimate, effort, plates, prescription.
//!
//! A set becomes a best single through [`formulas`] and [`reserve`], weighed against the best
//! single the lifter named ([`estimate()`]). A dose becomes sets, repetitions and a loaded bar
//! ([`prescribe()`], [`load_bar`]) inside the guard rails ([`jump_since_last`] and its like).
//! Over time the sets make a level ([`follow`], [`change_since`]) and a range for when a goal is in
//! reach ([`TimeToGoal`]). Bar velocity ([`VelocityLine`]) and bands ([`Bands`]) have their own
//! rules, relative strength its formulas ([`dots`], [`gl_points`]).
//! Figures that are seldom true are found by [`plausible()`] and [`unit_doubt`] before anything is
//! worked out from them.

mod band;
mod bands;
mod effort;
mod estimate;
mod filter;
pub mod formulas;
mod fuse;
mod goal;
mod guard;
mod history;
mod normal;
mod plates;
mod plausible;
mod prescribe;
mod scores;
mod speed;
mod units;
mod velocity;
mod warm_up;
mod words;

#[cfg(test)]
mod tests;

pub use band::{Band, BandError, Measured, NEWTONS_PER_KGF};
pub use bands::{BandLoad, BandPath, BandWarning, Bands, SHARE_AT_TOP, bands_that_do};
pub use effort::{Reserve, ReserveSource, reserve};
pub use estimate::{
    Estimate, NoEstimate, Standard, estimate, estimate_on, from_set, from_set_judged, percent_of,
};
pub use fuse::from_best;
pub use goal::{FirstPassage, Outlook, TimeToGoal};
pub use guard::{
    CEILING, EFFORT_CAP, JumpLevel, JumpWarning, OverRail, STEP_BLOCKED, WIDE_SIGMA,
    jump_between_sets, jump_of_estimate, jump_since_last, over_rail, percent_after_layoff,
    step_flagged,
};
pub use history::{
    Change, Held, Level, Performed, Progress, SILENT_WEEKS, Seen, Sighting, Trend, WANDER_PER_WEEK,
    change_since, follow, weeks_between,
};
pub use normal::normal_cdf;
pub use plates::{BarOver, LoadedBar, Rounding, bar_over, load_bar, usual_plates};
pub use plausible::{Plausibility, estimate_doubts, plausible, raw_review_kg, raw_review_ratio};
pub use prescribe::{Prescription, Week, prescribe};
pub use scores::{Category, Kit, NoScore, Total, dots, gl_bench_points, gl_points};
pub use speed::{BarSpeed, with_speed};
pub use units::{UnitAction, UnitDoubt, mix_up_probability, unit_doubt};
pub use velocity::{
    EffortDoubt, NoVelocity, VelocityEstimate, VelocityLine, VelocityOfBest, VelocityPoint,
    effort_doubt, from_group_curve, group_percent, group_velocity, velocity_of_best,
};
pub use warm_up::{WarmUpSet, caution, warm_up};
