//! Traces of a set, measured: bar tracks and points of the body followed by a camera.
//!
//! A trace is parsed and put on an even grid, filtered, cut into repetitions and measured; every
//! quantity has its standard error, and a sign its probability. What a view cannot show is not
//! measured at all.

mod clean;
mod filter;
mod follow;
mod grid;
mod origin;
mod reps;
mod scale;
mod shape;
mod tempo;
mod trace;
mod trace_limits;
mod turns;
mod velocity;
mod window;

pub use follow::follow;
pub use reps::reps;
pub use shape::{BRIDGED, Camera, Joint, Motion, Path, Rep};
pub use tempo::{Tempo, dead_stop, second_dip, tempo};
pub use trace_limits::TraceLimits;
pub use velocity::{SpeedLoss, Speeds, Sticking, speed_loss, speeds, sticking};

#[cfg(test)]
mod tests;
