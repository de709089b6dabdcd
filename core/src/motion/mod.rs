//! Traces of a set, measured: bar tracks and points of the body followed by a camera.
//!
//! A trace is parsed and put on an even grid, filtered, cut into repetitions and measured; every
//! quantity has its standard error, and a sign its probability. What a view cannot show is not
//! measured at all.

mod clean;
mod evidence;
mod filter;
mod follow;
mod grid;
mod kind;
mod limits;
mod measure;
mod origin;
mod reps;
mod scale;
mod shape;
mod signs;
mod tempo;
mod trace;
mod trace_limits;
mod turns;
mod velocity;
mod window;

pub use evidence::{
    Likeness, combined, from_log_odds, joint_angle_error, log_likelihood_ratio, log_odds,
    posterior, probability_above, segment_angle_error, trust_weight,
};
pub use follow::follow;
pub use kind::trace_of;
pub use limits::{MotionLimits, VerdictLimits};
pub use measure::{Figure, Followed, Measurement, SignMeasured, measure};
pub use reps::reps;
pub use shape::{BRIDGED, Camera, Joint, Motion, Path, Rep};
pub use signs::{
    About, BenchLimits, DeadliftLimits, Measured, MeasuredSign, Quantity, SignLimits, SquatLimits,
    signs,
};
pub use tempo::{Tempo, dead_stop, second_dip, tempo};
pub use trace_limits::TraceLimits;
pub use velocity::{SpeedLoss, Speeds, Sticking, speed_loss, speeds, sticking};

#[cfg(test)]
mod tests;
