//! Traces of a set, measured: bar tracks and points of the body followed by a camera.
//!
//! A trace is parsed and put on an even grid, filtered, cut into repetitions and measured; every
//! quantity has its standard error, and a sign its probability. What a view cannot show is not
//! measured at all.

mod evidence;
mod shape;
mod signs;

pub use evidence::{
    Likeness, NoiseGain, combined, from_log_odds, joint_angle_error, log_likelihood_ratio,
    log_odds, posterior, probability_above, segment_angle_error, trust_weight,
};
pub use shape::{Camera, Joint, Motion, Path, Rep};
pub use signs::{
    About, BenchLimits, DeadliftLimits, Measured, MeasuredSign, Quantity, SignLimits, SquatLimits,
    signs,
};

#[cfg(test)]
mod tests;
