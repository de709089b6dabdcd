//! The motion as the signs look at it: near side, windows of samples, angles, errors.

use super::super::evidence::joint_angle_error;
use super::super::filter::NoiseGains;
use super::super::{BRIDGED, Camera, Joint, Motion, Path, Rep};
use super::series::Reading;
use super::{About, SignLimits};
use crate::report::Lift;
use std::ops::RangeInclusive;

/// Bar and the part that holds it are this close when their traces share their zero, metres.
const BESIDE_M: f64 = 0.25;

/// Window over which an angle at lockout is averaged, seconds.
const LOCKOUT_S: f64 = 0.2;

/// A part of the body that has a left and a right one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Shoulder,
    Elbow,
    Wrist,
    Hip,
    Knee,
    Ankle,
}

impl Part {
    fn joint(self, left: bool) -> Joint {
        match (self, left) {
            (Self::Shoulder, true) => Joint::LeftShoulder,
            (Self::Shoulder, false) => Joint::RightShoulder,
            (Self::Elbow, true) => Joint::LeftElbow,
            (Self::Elbow, false) => Joint::RightElbow,
            (Self::Wrist, true) => Joint::LeftWrist,
            (Self::Wrist, false) => Joint::RightWrist,
            (Self::Hip, true) => Joint::LeftHip,
            (Self::Hip, false) => Joint::RightHip,
            (Self::Knee, true) => Joint::LeftKnee,
            (Self::Knee, false) => Joint::RightKnee,
            (Self::Ankle, true) => Joint::LeftAnkle,
            (Self::Ankle, false) => Joint::RightAnkle,
        }
    }
}

/// A point as seen during one repetition.
#[derive(Clone, Copy)]
pub(super) struct Seen<'a> {
    /// Where it is.
    pub(super) path: &'a Path,
    /// Mean trust, 0 to 1.
    pub(super) trust: f64,
    /// Standard deviation of the place of one sample after the filter, metres.
    pub(super) noise: f64,
    /// Standard deviation of its speed, m/s.
    pub(super) speed_noise: f64,
}

impl Seen<'_> {
    /// Height at a sample, metres.
    pub(super) fn y(&self, at: usize) -> f64 {
        value(&self.path.y, at)
    }

    /// Forward place at a sample, metres.
    pub(super) fn x(&self, at: usize) -> f64 {
        value(&self.path.x, at)
    }

    /// Upward speed at a sample, m/s.
    pub(super) fn up(&self, at: usize) -> f64 {
        value(&self.path.vy, at)
    }
}

/// A motion with what its errors follow from.
pub(super) struct Scene<'a> {
    pub(super) motion: &'a Motion,
    /// Repetitions; those of a deadlift begin at the last still sample on the floor.
    pub(super) reps: Vec<Rep>,
    pub(super) about: &'a About,
    pub(super) limits: &'a SignLimits,
    pub(super) gain: NoiseGains,
}

impl<'a> Scene<'a> {
    pub(super) fn new(
        motion: &'a Motion,
        reps: &[Rep],
        about: &'a About,
        limits: &'a SignLimits,
    ) -> Self {
        let mut reps = reps.to_vec();
        if motion.lift == Lift::Deadlift {
            for rep in &mut reps {
                rep.start = rep.start.min(rep.bottom);
            }
        }
        let gain = NoiseGains::of(motion.fps, motion.cutoff);
        Self {
            motion,
            reps,
            about,
            limits,
            gain,
        }
    }

    /// The camera stands square from the side.
    pub(super) fn side(&self) -> bool {
        self.motion.camera == Camera::Side
    }

    /// The camera stands in front or behind.
    pub(super) fn front(&self) -> bool {
        self.motion.camera == Camera::FrontOrRear
    }

    /// Samples in a time, at least one.
    pub(super) fn samples(&self, seconds: f64) -> usize {
        let exact = (seconds * self.motion.fps).round();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "held between 1 and a thousand"
        )]
        let whole = exact.clamp(1.0, 1000.0) as usize;
        whole
    }

    /// Seconds between two samples.
    pub(super) fn seconds(&self, from: usize, to: usize) -> f64 {
        to.saturating_sub(from) as f64 / self.motion.fps
    }

    /// Samples within half a window of one, within the trace.
    pub(super) fn around(&self, at: usize, half_s: f64) -> RangeInclusive<usize> {
        let half = self.samples(half_s);
        at.saturating_sub(half)..=at + half
    }

    /// By what the noise of one sample is divided when a window is averaged: the filter leaves
    /// about two independent samples a second for each Hz of its cut-off.
    pub(super) fn averaging(&self, window_s: f64) -> f64 {
        (2.0 * self.motion.cutoff * window_s).max(1.0).sqrt()
    }

    /// Looks at a point during a repetition: none when too much of it is missing.
    pub(super) fn look(&self, path: &'a Path, rep: &Rep) -> Option<Seen<'a>> {
        let from = rep.start.min(rep.bottom);
        let to = rep.end.max(rep.top);
        let trust = path.trust.get(from..=to)?;
        path.y.get(from..=to)?;
        path.x.get(from..=to)?;
        path.vy.get(from..=to)?;
        let missing = trust.iter().filter(|trust| **trust <= BRIDGED).count();
        if missing as f64 > self.limits.missing_share * trust.len() as f64 {
            return None;
        }
        let mean = trust.iter().sum::<f64>() / trust.len() as f64;
        let times = if mean < self.limits.low_trust {
            2.0
        } else {
            1.0
        };
        Some(Seen {
            path,
            trust: mean,
            noise: path.jitter * self.gain.place * times,
            speed_noise: path.jitter * self.gain.speed * times,
        })
    }

    /// The bar, or what stands for it.
    pub(super) fn bar(&self, rep: &Rep) -> Option<Seen<'a>> {
        self.look(self.motion.bar.as_ref()?, rep)
    }

    /// The bar itself, not a point of the body in its place.
    pub(super) fn real_bar(&self, rep: &Rep) -> Option<Seen<'a>> {
        if self.motion.bar_is_body {
            None
        } else {
            self.bar(rep)
        }
    }

    /// A point of the body on the side nearer to a side camera, or the other when that was not
    /// followed.
    pub(super) fn near(&self, part: Part, rep: &Rep) -> Option<Seen<'a>> {
        let left = self.motion.near_left;
        self.one(part, left, rep)
            .or_else(|| self.one(part, !left, rep))
    }

    /// The point of one side.
    pub(super) fn one(&self, part: Part, left: bool, rep: &Rep) -> Option<Seen<'a>> {
        self.look(self.motion.body.get(&part.joint(left))?, rep)
    }

    /// Both points of a part, left first.
    pub(super) fn pair(&self, part: Part, rep: &Rep) -> Option<(Seen<'a>, Seen<'a>)> {
        Some((self.one(part, true, rep)?, self.one(part, false, rep)?))
    }

    /// The bar where it can be compared with the body: a point of the body stands for it, or it
    /// moves beside the points that hold it. Two traces need not share their zero.
    pub(super) fn bar_beside_body(&self, rep: &Rep) -> Option<Seen<'a>> {
        let bar = self.bar(rep)?;
        if self.motion.bar_is_body {
            return Some(bar);
        }
        let part = if self.motion.lift == Lift::Squat {
            Part::Shoulder
        } else {
            Part::Wrist
        };
        let hold = self.near(part, rep)?;
        let beside = [rep.start, rep.bottom, rep.top]
            .iter()
            .all(|at| apart(&bar, &hold, *at) < BESIDE_M);
        beside.then_some(bar)
    }

    /// What perspective adds to the error of bar against body, metres: none when a point of the
    /// body stands for the bar.
    pub(super) fn parallax(&self) -> f64 {
        if self.motion.bar_is_body {
            0.0
        } else {
            self.limits.parallax_m
        }
    }

    /// Mean angle at the middle of three points over a window, degrees.
    pub(super) fn angle(
        &self,
        window: &RangeInclusive<usize>,
        [one, middle, other]: [&Seen<'_>; 3],
    ) -> Option<Reading> {
        let angles: Vec<f64> = window
            .clone()
            .map(|at| bend(one, middle, other, at))
            .collect();
        let value = mean(&angles, 0..=angles.len());
        let at = *window.start();
        let (near, far) = (apart(one, middle, at), apart(middle, other, at));
        let error = |errors| joint_angle_error(near, far, value.to_radians(), errors).to_degrees();
        let time = self.seconds(at, *window.end());
        let three = [one, middle, other];
        Some(Reading {
            value,
            noise: error(three.map(|point| point.noise)) / self.averaging(time),
            shared: error(three.map(|point| point.path.bias)),
            trust: three.iter().map(|point| point.trust).fold(1.0, f64::min),
        })
        .filter(Reading::is_sound)
    }

    /// The widest angle reached around the end of the way up, degrees.
    pub(super) fn widest(&self, rep: &Rep, points: [&Seen<'_>; 3]) -> Option<Reading> {
        let half = self.samples(LOCKOUT_S / 2.0);
        let last = rep.top + 2 * half;
        (rep.top.saturating_sub(half)..=last)
            .filter_map(|at| self.angle(&(at.saturating_sub(half)..=at + half), points))
            .max_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// Measures every repetition that could be followed.
    pub(super) fn each(
        &self,
        mut measure: impl FnMut(&Rep) -> Option<Reading>,
    ) -> Vec<Option<Reading>> {
        let mut one = |rep: &Rep| {
            let whole = rep.measured && rep.start <= rep.bottom && rep.go <= rep.top;
            let reading = if whole { measure(rep) } else { None };
            reading.filter(Reading::is_sound)
        };
        self.reps.iter().map(&mut one).collect()
    }

    /// What scale and perspective add to the error of a length, metres.
    pub(super) fn scale_part(&self, length: f64) -> f64 {
        self.limits.scale_error * length.abs()
    }

    /// What a camera not quite square makes of an angle from the vertical, degrees: seen is the
    /// tangent times the cosine of the yaw.
    pub(super) fn yaw_part(&self, degrees: f64) -> f64 {
        let seen = (degrees.to_radians().tan() * self.limits.yaw_deg.to_radians().cos()).atan();
        // Half of the largest is about its standard deviation over cameras evenly off.
        (degrees - seen.to_degrees()).abs() / 2.0
    }
}

/// A sample of a path; `NaN` outside, which makes the reading unsound.
pub(super) fn value(values: &[f64], at: usize) -> f64 {
    values.get(at).copied().unwrap_or(f64::NAN)
}

/// Mean over a window, cut to the trace.
pub(super) fn mean(values: &[f64], window: RangeInclusive<usize>) -> f64 {
    let last = values.len().saturating_sub(1);
    let from = (*window.start()).min(last);
    let to = (*window.end()).min(last);
    let part = values.get(from..=to).unwrap_or_default();
    if part.is_empty() {
        return f64::NAN;
    }
    part.iter().sum::<f64>() / part.len() as f64
}

/// The sample of a window with the largest value of a measure.
pub(super) fn largest(
    window: RangeInclusive<usize>,
    measure: impl Fn(usize) -> f64,
) -> Option<(usize, f64)> {
    let mut found: Option<(usize, f64)> = None;
    for at in window {
        let value = measure(at);
        if value.is_finite() && found.is_none_or(|(_, best)| value > best) {
            found = Some((at, value));
        }
    }
    found
}

/// Angle of the line from `low` to `high` from the vertical at a sample, degrees, forward positive.
pub(super) fn lean(low: &Seen<'_>, high: &Seen<'_>, at: usize) -> f64 {
    (high.x(at) - low.x(at))
        .atan2(high.y(at) - low.y(at))
        .to_degrees()
}

/// Elevation of the hip above the knee at a sample, degrees: 90 standing, 0 level.
pub(super) fn thigh(knee: &Seen<'_>, hip: &Seen<'_>, at: usize) -> f64 {
    (hip.y(at) - knee.y(at))
        .atan2(knee.x(at) - hip.x(at))
        .to_degrees()
}

/// Angle at the middle of three points, degrees, 180 straight.
pub(super) fn bend(one: &Seen<'_>, middle: &Seen<'_>, other: &Seen<'_>, at: usize) -> f64 {
    let (ax, ay) = (one.x(at) - middle.x(at), one.y(at) - middle.y(at));
    let (bx, by) = (other.x(at) - middle.x(at), other.y(at) - middle.y(at));
    let cosine = (ax * bx + ay * by) / (ax.hypot(ay) * bx.hypot(by));
    cosine.clamp(-1.0, 1.0).acos().to_degrees()
}

/// Distance of two points at a sample, metres.
pub(super) fn apart(one: &Seen<'_>, other: &Seen<'_>, at: usize) -> f64 {
    (one.x(at) - other.x(at)).hypot(one.y(at) - other.y(at))
}
