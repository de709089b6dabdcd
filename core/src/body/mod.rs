//! The lifter's build: segment lengths and masses, and what they let expect of the three lifts.
//!
//! A [`Build`] is lengths in metres, measured where the lifter gave them and by proportion of the
//! stature where not, each with its spread. From it follow, by statics in one plane, how far the
//! trunk leans in a squat ([`squat`]), how far the bar travels in a bench press ([`bench`]) and how
//! the body stands before a deadlift ([`deadlift`]). Every expectation carries the spread that the
//! lengths leave ([`Expected`]); none of them was compared with measured lifters, so they say what
//! the model expects, not what is right.
//!
//! Lengths in metres, masses in kilograms, angles in degrees, moments in newton metres. x forward
//! (towards the toes) from the middle of the flat foot, y up from the floor. Lean is the angle of
//! the line from hip to shoulder from the vertical, shank that of ankle to knee, both forward
//! positive; thigh is the height of the hip above the knee as an angle, 0 at parallel.
//!
//! What is said here is for the coach. A build is never remarked upon to the lifter.

pub mod ankle;
pub mod bench;
mod build;
pub mod deadlift;
mod expectations;
mod expected;
mod from_report;
pub mod segments;
pub mod squat;

pub use build::{Build, Dimension, Measured, Part};
pub use expectations::expectations;
pub use expected::Expected;
pub use from_report::build_of;

/// Acceleration of free fall, m/s^2, as rounded in the trade's tables.
const GRAVITY: f64 = 9.81;

/// A point in the plane of the lift: forward and up, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Forward, metres.
    pub x: f64,
    /// Up, metres.
    pub y: f64,
}

impl Point {
    /// The point `metres` away in the direction whose sine and cosine from the vertical are given.
    fn along(self, metres: f64, (sin, cos): (f64, f64)) -> Self {
        Self {
            x: self.x + metres * sin,
            y: self.y + metres * cos,
        }
    }

    /// The point at a share of the way to `other`.
    fn towards(self, other: Self, share: f64) -> Self {
        Self {
            x: self.x + share * (other.x - self.x),
            y: self.y + share * (other.y - self.y),
        }
    }
}

#[cfg(test)]
mod tests;
