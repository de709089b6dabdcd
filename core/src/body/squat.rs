//! The squat as statics: where knee, hip, shoulder and bar stand when the whole is in balance.
//!
//! The trunk is rigid, the arms belong to it, both legs move in one plane, and nothing moves. Two
//! problems: the ankle's angle is given and the lean is wanted ([`Squat::with_ankle`], the one to
//! judge by), or the bar itself is wanted exactly over mid-foot ([`Squat::bar_over_mid_foot`]), which
//! asks 43 to 58 degrees of the ankle in a high-bar squat and so is no standard to hold people to. A
//! wider stance, which shortens the thigh as seen from the side, is not modelled.

use super::ankle::Heel;
use super::expected::expected;
use super::segments::Winter;
use super::{Build, Dimension, Expected, GRAVITY, Point};
use crate::report::BarPosition;

/// The lengths a squat depends on.
const LENGTHS: [Dimension; 5] = [
    Dimension::Ankle,
    Dimension::Shank,
    Dimension::Thigh,
    Dimension::Trunk,
    Dimension::Foot,
];

/// The ankle lies this share of the foot's length before the heel (model choice, no source).
const ANKLE_FROM_HEEL: f64 = 0.25;

/// Shank angles between which the bar is looked for over mid-foot, degrees.
const SHANK: (f64, f64) = (-30.0, 89.0);

/// Where the bar lies on the back, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rack {
    /// Below the shoulder, along the trunk.
    pub below: f64,
    /// Behind the line from hip to shoulder.
    pub behind: f64,
}

impl Rack {
    /// On the upper back muscle (model choice, no source).
    pub const HIGH: Self = Self {
        below: 0.0,
        behind: 0.05,
    };

    /// Just above the shoulder-blade ridge (model choice, no source).
    pub const LOW: Self = Self {
        below: 0.07,
        behind: 0.07,
    };

    /// The rack of a bar position; none for a bar in front or of a special shape, which the model
    /// does not cover.
    pub const fn of(position: BarPosition) -> Option<Self> {
        match position {
            BarPosition::High => Some(Self::HIGH),
            BarPosition::Low => Some(Self::LOW),
            BarPosition::Front | BarPosition::Special => None,
        }
    }
}

/// What is on the back and under the feet, and how deep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Squat {
    /// Body mass, kg.
    pub body_kg: f64,
    /// Load with the bar, kg.
    pub bar_kg: f64,
    /// Where the bar lies.
    pub rack: Rack,
    /// Raised heel.
    pub heel: Heel,
    /// Height of the hip above the knee as an angle, degrees: 0 at parallel, negative below.
    pub thigh: f64,
}

/// A balanced position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Shank from the vertical, degrees.
    pub shank: f64,
    /// Angle of the ankle: shank less the pitch of the foot, degrees.
    pub dorsiflexion: f64,
    /// Lean of the trunk, degrees.
    pub lean: f64,
    /// Bar ahead of mid-foot, metres.
    pub bar: f64,
    /// Centre of mass of body and bar together, ahead of mid-foot, metres.
    pub system: f64,
    /// Bar ahead of the hip, metres.
    pub hip_arm: f64,
    /// Knee ahead of the bar, metres.
    pub knee_arm: f64,
    /// Moment to be held at both hips together, N m.
    pub hip_moment: f64,
    /// Moment to be held at both knees together, N m.
    pub knee_moment: f64,
    /// Knee ahead of the toe tip, metres.
    pub knee_past_toe: f64,
}

/// Whether a lean balances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Balance {
    /// Body and bar together are over mid-foot.
    Over(Position),
    /// No lean balances: the heels lift, the squat stays high, or the stance must be wider.
    None {
        /// How far ahead of mid-foot body and bar together come at best, metres; behind is negative.
        nearest: f64,
    },
}

impl Balance {
    /// The position, when there is one.
    pub const fn position(self) -> Option<Position> {
        match self {
            Self::Over(position) => Some(position),
            Self::None { .. } => None,
        }
    }
}

/// The leg up to the hip.
#[derive(Clone, Copy)]
struct Leg {
    ankle: Point,
    knee: Point,
    hip: Point,
}

impl Squat {
    /// A squat to parallel on flat feet.
    pub const fn new(body_kg: f64, bar_kg: f64, rack: Rack) -> Self {
        Self {
            body_kg,
            bar_kg,
            rack,
            heel: Heel::FLAT,
            thigh: 0.0,
        }
    }

    /// The lean that keeps body and bar together over mid-foot, with the ankle bent by so many
    /// degrees. In closed form: the forward moment of trunk and bar is one sine of the lean.
    pub fn with_ankle(&self, build: &Build, dorsiflexion: f64) -> Balance {
        let shank = dorsiflexion + self.heel.pitch(build.metres(Dimension::Foot));
        let leg = self.leg(build, shank.to_radians());
        let (most, turned) = self.upper_moment(build);
        let still = self.moment_of_hanging(&leg);
        let sine = -still / most;
        if sine.abs() <= 1.0 {
            Balance::Over(self.position(build, &leg, shank, turned + sine.asin()))
        } else {
            let whole = self.body_kg + self.bar_kg;
            Balance::None {
                nearest: (still + most.copysign(sine)) / whole,
            }
        }
    }

    /// The position with the bar and body and bar together over mid-foot. None when there is none.
    ///
    /// With the bar over mid-foot the lean follows from the shank, and the common centre moves
    /// forward with the shank all the way, so bisection finds the one place where it is over mid-foot.
    pub fn bar_over_mid_foot(&self, build: &Build) -> Option<Position> {
        let up = build.metres(Dimension::Trunk) - self.rack.below;
        let (reach, turned) = (up.hypot(self.rack.behind), self.rack.behind.atan2(up));
        let lean = |leg: &Leg| turned + (-leg.hip.x / reach).clamp(-1.0, 1.0).asin();
        let at = |shank: f64| {
            let leg = self.leg(build, shank.to_radians());
            let position = self.position(build, &leg, shank, lean(&leg));
            (leg, position)
        };
        // The bar can be over mid-foot while the hip is no further from it than the bar from the hip.
        let behind = |hip: f64| self.shank_with_hip_at(build, hip);
        let (low, high) = (behind(-reach), behind(reach));
        let shank = bisected(low, high, |shank| at(shank).1.system)?;
        let (leg, position) = at(shank);
        (leg.hip.x.abs() <= reach).then_some(position)
    }

    /// The lean to expect at a given angle of the ankle, degrees, with its spread. None when no lean
    /// balances.
    pub fn expected_lean(&self, build: &Build, dorsiflexion: f64) -> Option<Expected> {
        expected(build, &LENGTHS, |build| self.lean(build, dorsiflexion))
    }

    /// How much less the trunk leans with the heel raised to `heel`, degrees, the ankle bent as far as
    /// before. None when no lean balances.
    pub fn spared_by_heel(&self, build: &Build, dorsiflexion: f64, heel: Heel) -> Option<Expected> {
        let raised = Self { heel, ..*self };
        expected(build, &LENGTHS, |build| {
            Some(self.lean(build, dorsiflexion)? - raised.lean(build, dorsiflexion)?)
        })
    }

    /// How much less the trunk leans when the ankle bends `more` degrees further. None when no lean
    /// balances.
    pub fn spared_by_ankle(&self, build: &Build, dorsiflexion: f64, more: f64) -> Option<Expected> {
        expected(build, &LENGTHS, |build| {
            Some(self.lean(build, dorsiflexion)? - self.lean(build, dorsiflexion + more)?)
        })
    }

    fn lean(&self, build: &Build, dorsiflexion: f64) -> Option<f64> {
        let position = self.with_ankle(build, dorsiflexion).position()?;
        Some(position.lean)
    }

    /// Ankle, knee and hip at a shank angle, radians.
    fn leg(&self, build: &Build, shank: f64) -> Leg {
        let ankle = self.ankle(build);
        let knee = ankle.along(build.metres(Dimension::Shank), shank.sin_cos());
        let (sin, cos) = self.thigh.to_radians().sin_cos();
        let hip = knee.along(build.metres(Dimension::Thigh), (-cos, sin));
        Leg { ankle, knee, hip }
    }

    /// The ankle over a foot that is turned about toe tip or ball by the raised heel.
    fn ankle(&self, build: &Build) -> Point {
        let (foot, above) = (
            build.metres(Dimension::Foot),
            build.metres(Dimension::Ankle),
        );
        let length = self.heel.length(foot);
        let before_ball = length - ANKLE_FROM_HEEL * foot;
        let (sin, cos) = self.heel.pitch(foot).to_radians().sin_cos();
        Point {
            x: length - foot / 2.0 - before_ball * cos + above * sin,
            y: before_ball * sin + above * cos,
        }
    }

    /// Shank angle that brings the hip to `x`, degrees, held between bounds.
    fn shank_with_hip_at(&self, build: &Build, x: f64) -> f64 {
        let thigh = build.metres(Dimension::Thigh) * self.thigh.to_radians().cos();
        let sine = (x + thigh - self.ankle(build).x) / build.metres(Dimension::Shank);
        sine.clamp(-1.0, 1.0)
            .asin()
            .to_degrees()
            .clamp(SHANK.0, SHANK.1)
    }

    /// The moment of trunk and bar about the hip, which is `most * sin(lean - turned)`: kg m, radians.
    fn upper_moment(&self, build: &Build) -> (f64, f64) {
        let trunk = build.metres(Dimension::Trunk);
        let upper = Winter::HeadArmsTrunk;
        let along = upper.mass() * self.body_kg * upper.centre() * trunk
            + self.bar_kg * (trunk - self.rack.below);
        let behind = self.bar_kg * self.rack.behind;
        (along.hypot(behind), behind.atan2(along))
    }

    /// Moment about mid-foot if trunk and bar hung from the hip, kg m. The feet stand over mid-foot.
    fn moment_of_hanging(&self, leg: &Leg) -> f64 {
        self.body_kg * legs_moment(leg.ankle, leg.knee, leg.hip)
            + (Winter::HeadArmsTrunk.mass() * self.body_kg + self.bar_kg) * leg.hip.x
    }

    /// Everything about a position, from shank (degrees) and lean (radians).
    fn position(&self, build: &Build, leg: &Leg, shank: f64, lean: f64) -> Position {
        let trunk = build.metres(Dimension::Trunk);
        let foot = build.metres(Dimension::Foot);
        let (sin, cos) = lean.sin_cos();
        let upper = leg
            .hip
            .along(Winter::HeadArmsTrunk.centre() * trunk, (sin, cos));
        let bar = leg
            .hip
            .along(trunk - self.rack.below, (sin, cos))
            .along(self.rack.behind, (-cos, sin));
        let thigh = leg.hip.towards(leg.knee, Winter::Thigh.centre());
        let upper_kg = Winter::HeadArmsTrunk.mass() * self.body_kg;
        let thighs_kg = 2.0 * Winter::Thigh.mass() * self.body_kg;
        let moment = self.body_kg * legs_moment(leg.ankle, leg.knee, leg.hip)
            + upper_kg * upper.x
            + self.bar_kg * bar.x;
        Position {
            shank,
            dorsiflexion: shank - self.heel.pitch(foot),
            lean: lean.to_degrees(),
            bar: bar.x,
            system: moment / (self.body_kg + self.bar_kg),
            hip_arm: bar.x - leg.hip.x,
            knee_arm: leg.knee.x - bar.x,
            hip_moment: GRAVITY
                * (upper_kg * (upper.x - leg.hip.x) + self.bar_kg * (bar.x - leg.hip.x)),
            knee_moment: GRAVITY
                * (upper_kg * (leg.knee.x - upper.x)
                    + thighs_kg * (leg.knee.x - thigh.x)
                    + self.bar_kg * (leg.knee.x - bar.x)),
            knee_past_toe: leg.knee.x - foot / 2.0,
        }
    }
}

/// Moment of both shanks and thighs about mid-foot for each kilogram of body mass, metres.
pub(super) fn legs_moment(ankle: Point, knee: Point, hip: Point) -> f64 {
    let shank = knee.towards(ankle, Winter::Shank.centre());
    let thigh = hip.towards(knee, Winter::Thigh.centre());
    2.0 * (Winter::Shank.mass() * shank.x + Winter::Thigh.mass() * thigh.x)
}

/// Where `figure` changes its sign between `low` and `high`, by halving: cannot run away. None when
/// it has the same sign at both ends, or is no number there.
fn bisected(low: f64, high: f64, figure: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    let rises = figure(low) <= 0.0 && figure(high) >= 0.0;
    let falls = figure(low) >= 0.0 && figure(high) <= 0.0;
    if !(rises || falls) {
        return None;
    }
    // 64 halvings of some tens of degrees are below the last place of the number.
    for _ in 0..64 {
        let middle = f64::midpoint(low, high);
        if (figure(middle) <= 0.0) == rises {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}
