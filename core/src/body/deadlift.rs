//! The conventional deadlift before the bar leaves the floor: how high the hips are, how far the
//! trunk leans, and how far the bar has to go.
//!
//! The bar is over mid-foot, the shank touches it, the arms hang straight outside the knees. There
//! is no one right hip height: each centimetre of shoulder ahead of the bar raises the hips by about
//! one. The body's own centre of mass is 11 to 16 cm behind the bar at the start, so it is no fault
//! that it is. A sumo stance, hands inside the legs, is not modelled.

use super::expected::expected;
use super::segments::Winter;
use super::squat::legs_moment;
use super::{Build, Dimension, Expected, Point};

/// The lengths a start depends on.
const LENGTHS: [Dimension; 7] = [
    Dimension::Ankle,
    Dimension::Shank,
    Dimension::Thigh,
    Dimension::Trunk,
    Dimension::Foot,
    Dimension::Arm,
    Dimension::Hand,
];

/// What the range depends on; leg and trunk when their sum is the shoulder's height.
const RANGE_LENGTHS: [Dimension; 7] = [
    Dimension::Ankle,
    Dimension::Shank,
    Dimension::Thigh,
    Dimension::Trunk,
    Dimension::ShoulderHeight,
    Dimension::Arm,
    Dimension::Hand,
];

/// A hip height is not judged finer than this, metres (model choice, no source).
const HIP_MARGIN: f64 = 0.05;

/// The ankle lies this far behind mid-foot, as a share of the foot's length (model choice, no source).
const ANKLE_BEHIND: f64 = 0.25;

/// How the bar lies and how the lifter takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Shoulder ahead of the bar, metres; 0 to 0.08 is usual (common practice, no source).
    pub ahead: f64,
    /// Centre of the bar above the floor, metres: 0.225 under plates of 450 mm.
    pub bar_height: f64,
    /// Centre of the bar before the line from ankle to knee, metres: half a shin and half a bar
    /// (model choice, no source; 15 mm more make the lean 5.5 degrees greater).
    pub shin: f64,
    /// Hands outside the shoulders, each side, metres (model choice, no source).
    pub aside: f64,
}

impl Default for Pull {
    /// Shoulders 5 cm ahead of a bar with plates of 450 mm.
    fn default() -> Self {
        Self {
            ahead: 0.05,
            bar_height: 0.225,
            shin: 0.045,
            aside: 0.05,
        }
    }
}

/// How the body stands before the bar leaves the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Shank from the vertical, degrees.
    pub shank: f64,
    /// Hip joint above the floor, metres.
    pub hip: f64,
    /// Lean of the trunk, degrees.
    pub lean: f64,
    /// Thigh above the horizontal, degrees.
    pub thigh: f64,
    /// Hip behind the bar, metres.
    pub hip_behind: f64,
    /// Body's centre of mass ahead of the bar, metres; negative is behind.
    pub body: f64,
}

impl Start {
    /// Body and bar together ahead of the bar, metres; negative is behind. Masses in kg.
    pub fn system(&self, body_kg: f64, bar_kg: f64) -> f64 {
        self.body * body_kg / (body_kg + bar_kg)
    }
}

impl Pull {
    /// The start of this build. None when the lengths cannot meet: the arms do not reach the bar, or
    /// thigh and trunk do not span from knee to shoulder.
    pub fn start(&self, build: &Build) -> Option<Start> {
        let foot = build.metres(Dimension::Foot);
        let ankle = Point {
            x: -ANKLE_BEHIND * foot,
            y: build.metres(Dimension::Ankle),
        };
        let shank = self.shank(ankle)?;
        let knee = ankle.along(build.metres(Dimension::Shank), shank.sin_cos());
        let shoulder = Point {
            x: self.ahead,
            y: self.bar_height + self.hang(build, self.ahead)?,
        };
        let (thigh, trunk) = (
            build.metres(Dimension::Thigh),
            build.metres(Dimension::Trunk),
        );
        let hip = hip_between(knee, thigh, shoulder, trunk)?;
        let upper = hip.towards(shoulder, Winter::HeadArmsTrunk.centre());
        let body = legs_moment(ankle, knee, hip) + Winter::HeadArmsTrunk.mass() * upper.x;
        Some(Start {
            shank: shank.to_degrees(),
            hip: hip.y,
            lean: (shoulder.x - hip.x).atan2(shoulder.y - hip.y).to_degrees(),
            thigh: (hip.y - knee.y).atan2(knee.x - hip.x).to_degrees(),
            hip_behind: -hip.x,
            body,
        })
    }

    /// From the floor to standing straight, metres. None when the bar would not leave the floor.
    pub fn range(&self, build: &Build) -> Option<f64> {
        let range = build.metres(Dimension::ShoulderHeight) - self.hang(build, 0.0)?;
        Some(range - self.bar_height).filter(|range| *range > 0.0)
    }

    /// The hip height to expect before the bar leaves the floor, metres; never judged finer than 5 cm
    /// to each side.
    pub fn expected_hip(&self, build: &Build) -> Option<Expected> {
        let hip = expected(build, &LENGTHS, |build| Some(self.start(build)?.hip))?;
        Some(hip.at_least(HIP_MARGIN))
    }

    /// The lean to expect before the bar leaves the floor, degrees.
    pub fn expected_lean(&self, build: &Build) -> Option<Expected> {
        expected(build, &LENGTHS, |build| Some(self.start(build)?.lean))
    }

    /// The range of motion to expect, metres.
    pub fn expected_range(&self, build: &Build) -> Option<Expected> {
        expected(build, &RANGE_LENGTHS, |build| self.range(build))
    }

    /// Shank angle at which the shin touches the bar, radians. In closed form: the distance of the
    /// bar from the shank's line is one cosine of the angle.
    fn shank(&self, ankle: Point) -> Option<f64> {
        let (before, above) = (-ankle.x, self.bar_height - ankle.y);
        let cosine = self.shin / before.hypot(above);
        (cosine.abs() <= 1.0).then(|| cosine.acos() - above.atan2(before))
    }

    /// Height of the shoulder above the bar when the arms hang and the shoulder is `ahead`, metres.
    fn hang(&self, build: &Build, ahead: f64) -> Option<f64> {
        let square = build.hanging_reach().powi(2) - self.aside.powi(2) - ahead.powi(2);
        (square > 0.0).then(|| square.sqrt())
    }
}

/// Where a thigh from the knee and a trunk from the shoulder meet behind the line between them. None
/// when they do not meet.
fn hip_between(knee: Point, thigh: f64, shoulder: Point, trunk: f64) -> Option<Point> {
    let (dx, dy) = (shoulder.x - knee.x, shoulder.y - knee.y);
    let apart = dx.hypot(dy);
    let along = (thigh * thigh - trunk * trunk + apart * apart) / (2.0 * apart);
    let square = thigh * thigh - along * along;
    (square >= 0.0).then(|| {
        let out = square.sqrt();
        Point {
            x: knee.x + (along * dx - out * dy) / apart,
            y: knee.y + (along * dy + out * dx) / apart,
        }
    })
}
