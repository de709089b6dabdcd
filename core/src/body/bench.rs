//! The bench press as seen from the foot end: how far the bar travels by grip, chest and arms.
//!
//! Shoulders are fixed on the bench, so shoulder blades that are pulled back are left out: angles of
//! the elbow come out small. Use differences (this grip against that one), not the angle itself.

use super::expected::expected;
use super::{Build, Dimension, Expected};

/// The lengths a press depends on.
const LENGTHS: [Dimension; 3] = [Dimension::Arm, Dimension::Hand, Dimension::HalfShoulders];

/// Middle of the palm outside the forefinger, metres (model choice, no source).
const PALM: f64 = 0.03;

/// Widest grip between the forefingers in competition, metres (rule as quoted by a public guide to
/// the bench press; ask which rules apply).
pub const WIDEST_GRIP: f64 = 0.81;

/// Height of the chest above the shoulders' axis, metres (model choices, no source).
pub const FLAT_CHEST: f64 = 0.10;
/// With an arched back.
pub const ARCHED_CHEST: f64 = 0.14;
/// With a big arch.
pub const HIGH_CHEST: f64 = 0.18;

/// How the bar is held and where it touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Press {
    /// Between the forefingers, metres.
    pub grip: f64,
    /// Chest above the axis of the shoulders where the bar touches, metres.
    pub chest: f64,
    /// Touch point from the shoulders' axis towards the feet, metres.
    pub touch: f64,
}

impl Press {
    /// A grip of so many metres to the chest of this height, straight below the lockout.
    pub const fn new(grip: f64, chest: f64) -> Self {
        Self {
            grip,
            chest,
            touch: 0.0,
        }
    }

    /// From the chest to straight arms, metres. None when the arms do not reach above the chest with
    /// this grip.
    pub fn travel(&self, build: &Build) -> Option<f64> {
        let arm = build.upper_arm() + build.forearm() + build.wrist_to_bar();
        let height = arm * arm - self.aside(build).powi(2);
        let travel = height.max(0.0).sqrt() - self.chest;
        (travel > 0.0).then_some(travel)
    }

    /// Angle between upper arm and forearm with the bar on the chest, degrees: 180 is straight. None
    /// when the arm cannot be there.
    pub fn elbow_at_touch(&self, build: &Build) -> Option<f64> {
        let upper = build.upper_arm();
        let lower = build.forearm() + build.wrist_to_bar();
        let away = self.aside(build).powi(2) + self.chest.powi(2) + self.touch.powi(2);
        let cosine = (upper * upper + lower * lower - away) / (2.0 * upper * lower);
        (cosine.abs() <= 1.0).then(|| cosine.acos().to_degrees())
    }

    /// The grip that has the elbow straight under the hand at the touch, seen from the foot end,
    /// metres between the forefingers; it may be wider than any rule allows. None when no grip has.
    pub fn grip_over_elbow(&self, build: &Build) -> Option<f64> {
        let below = build.forearm() + build.wrist_to_bar() - self.chest;
        let square = build.upper_arm().powi(2) - below.powi(2) - self.touch.powi(2);
        let aside = square.max(0.0).sqrt();
        let grip = 2.0 * (aside - PALM + build.metres(Dimension::HalfShoulders));
        (square >= 0.0 && grip > 0.0).then_some(grip)
    }

    /// The travel to expect, metres, with its spread.
    pub fn expected_travel(&self, build: &Build) -> Option<Expected> {
        expected(build, &LENGTHS, |build| self.travel(build))
    }

    /// How much further the bar travels than with `other`, metres.
    pub fn longer_than(&self, other: &Self, build: &Build) -> Option<Expected> {
        expected(build, &LENGTHS, |build| {
            Some(self.travel(build)? - other.travel(build)?)
        })
    }

    /// Middle of the hand outside the shoulder, metres.
    fn aside(&self, build: &Build) -> f64 {
        self.grip / 2.0 + PALM - build.metres(Dimension::HalfShoulders)
    }
}
