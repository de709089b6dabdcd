//! Sets made from formulas: where every point of the body and the bar is, sample by sample, with
//! faults of a known size and the noise of a camera. Nothing measured here is real.
//!
//! Angles: shin and trunk from the vertical, forward positive; thigh above the horizontal.

use super::build::Build;
use crate::motion::grid::whole;
use crate::report::Lift;
use std::f64::consts::PI;

/// Minimum-jerk way from 0 to 1.
pub(crate) fn smooth(u: f64) -> f64 {
    let u = u.clamp(0.0, 1.0);
    u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)
}

/// Where everything is at one moment, metres: forward, up, towards the lifter's left.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pose {
    /// Seconds.
    pub(crate) t: f64,
    /// Points of the body in the order of COCO-17.
    pub(crate) joints: [[f64; 3]; 17],
    /// Left end of the bar.
    pub(crate) bar: [f64; 3],
    /// Right end of the bar.
    pub(crate) other: [f64; 3],
}

/// A set to be made: timing, build and faults. Faults are 0 where not asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Set {
    pub(crate) lift: Lift,
    pub(crate) build: Build,
    pub(crate) fps: f64,
    pub(crate) reps: usize,
    /// Rest before each repetition (deadlift: on the floor), s.
    pub(crate) rest_s: f64,
    pub(crate) down_s: f64,
    /// Pause at the bottom (deadlift: at the top), s.
    pub(crate) pause_s: f64,
    pub(crate) up_s: f64,
    /// Each way up takes so much longer than the one before, as a share of the first.
    pub(crate) slowing: f64,
    /// Taken out of a rack before and put back after.
    pub(crate) racked: bool,
    /// The last repetition comes back half-way.
    pub(crate) missed: bool,
    /// The way up has a sticking region.
    pub(crate) sticking: bool,
    /// The right end of the bar follows so much later, s.
    pub(crate) right_late_s: f64,
    /// Bar away from the body, in the middle of the way: degrees of lean (squat), metres
    /// (deadlift).
    pub(crate) drift: f64,
    /// Squat and deadlift: extra lean on the way up, degrees (deadlift: of the thigh).
    pub(crate) shoot_deg: f64,
    /// Squat: thigh above parallel at the bottom, degrees.
    pub(crate) high_deg: f64,
    /// Squat: rise of the ankle, m.
    pub(crate) heel_m: f64,
    /// Squat: shin and thigh begin later, as a share of the way down.
    pub(crate) shin_late: f64,
    pub(crate) thigh_late: f64,
    /// Squat: knee forward in the middle of the way, m.
    pub(crate) slide_m: f64,
    /// Squat: each knee comes in on the way up, m.
    pub(crate) knees_in_m: f64,
    /// Bench: touch towards the feet from lockout, and height of lockout above it, m.
    pub(crate) touch: [f64; 2],
    /// Bench: exponent of the way back (0.5 back first, 2 up first).
    pub(crate) path: f64,
    /// Bench: sinking in the pause, m.
    pub(crate) sink_m: f64,
    /// Bench: upward acceleration of a bounce over 0.07 s, m/s².
    pub(crate) bounce: f64,
    /// Bench: hips up in the press, m.
    pub(crate) hips_m: f64,
    /// Deadlift: lean left at the top, degrees.
    pub(crate) soft_deg: f64,
    /// Deadlift: a stop on the way up with bending knees, s.
    pub(crate) hitch_s: f64,
}

impl Set {
    /// Three clean repetitions of `lift` at `fps`.
    pub(crate) fn of(lift: Lift, fps: f64) -> Self {
        let (rest_s, down_s, pause_s, up_s) = match lift {
            Lift::Squat => (1.0, 1.4, 0.2, 1.6),
            Lift::Bench => (0.8, 1.2, 0.6, 1.6),
            Lift::Deadlift => (1.0, 1.0, 0.4, 1.6),
        };
        Self {
            lift,
            build: Build::A,
            fps,
            reps: 3,
            rest_s,
            down_s,
            pause_s,
            up_s,
            slowing: 0.0,
            racked: false,
            missed: false,
            sticking: false,
            right_late_s: 0.0,
            drift: 0.0,
            shoot_deg: 0.0,
            high_deg: 0.0,
            heel_m: 0.0,
            shin_late: 0.0,
            thigh_late: 0.0,
            slide_m: 0.0,
            knees_in_m: 0.0,
            touch: [0.1, 0.45],
            path: 1.0,
            sink_m: 0.0,
            bounce: 0.0,
            hips_m: 0.0,
            soft_deg: 0.0,
            hitch_s: 0.0,
        }
    }

    /// When each repetition begins, its way up takes how long, and the end of the last one.
    pub(crate) fn plan(&self) -> (Vec<[f64; 2]>, f64) {
        let mut at = self.rest_s + if self.racked { RACK_S } else { 0.0 };
        let mut starts = Vec::new();
        for rep in 0..self.reps {
            let up = self.up_s * (1.0 + self.slowing * rep as f64);
            starts.push([at, up]);
            at += self.down_s + self.pause_s + up + self.hitch_s + self.rest_s;
        }
        (starts, at)
    }

    /// The whole set.
    pub(crate) fn poses(&self) -> Vec<Pose> {
        let (plan, end) = self.plan();
        let end = end + if self.racked { RACK_S } else { 0.0 };
        let count = whole((end * self.fps).round());
        (0..count)
            .map(|i| {
                let t = i as f64 / self.fps;
                let mut pose = self.pose(&plan, t);
                let late = self.pose(&plan, t - self.right_late_s);
                pose.other[1] += late.bar[1] - pose.bar[1];
                self.walk(&mut pose, end);
                pose
            })
            .collect()
    }

    fn pose(&self, plan: &[[f64; 2]], t: f64) -> Pose {
        let rep = plan.iter().rposition(|[from, _]| t >= *from).unwrap_or(0);
        let [from, up] = plan[rep];
        let last = self.missed && rep + 1 == plan.len();
        match self.lift {
            Lift::Squat => self.squat(t, t - from, up, last),
            Lift::Bench => self.bench(t, t - from, up, last),
            Lift::Deadlift => self.deadlift(t, t - from, up, last),
        }
    }

    /// Rising so far on the way up, 0 to 1, for the share `w` of its time.
    fn risen(&self, w: f64, missed: bool) -> f64 {
        if missed {
            0.5 * smooth(w / 0.5) - 0.5 * smooth((w - 0.5) / 0.5)
        } else if self.sticking {
            two_humps(w)
        } else {
            smooth(w)
        }
    }

    /// How far down, 0 to 1, `r` seconds after the repetition began.
    fn down(&self, r: f64, up: f64, missed: bool) -> f64 {
        let turn = self.down_s + self.pause_s;
        if r < turn {
            smooth(r / self.down_s)
        } else {
            1.0 - self.risen((r - turn) / up, missed)
        }
    }

    fn squat(&self, t: f64, r: f64, up: f64, missed: bool) -> Pose {
        let body = self.build;
        let turn = self.down_s + self.pause_s;
        let depth = self.down(r, up, missed);
        let late = |share: f64| {
            let descending = r < turn;
            let delayed = smooth((r - share * self.down_s) / self.down_s);
            if descending { delayed } else { depth }
        };
        let w = ((r - turn) / up).clamp(0.0, 1.0);
        let bump = |part: f64| (PI * (w / part).min(1.0)).sin().powi(2);
        let slide = self.slide_m * 4.0 * depth * (1.0 - depth) / body.shin;
        let shin = ((30.0 * late(self.shin_late)).to_radians().sin() + slide).asin();
        let thigh = (90.0 - late(self.thigh_late) * (90.0 - self.high_deg)).to_radians();
        let lean = 4.0 + 40.0 * depth + self.shoot_deg * bump(0.6) + self.drift * bump(1.0);
        let ankle = [-0.25 * 0.152 * body.stature, 0.039 * body.stature];
        let ankle = [ankle[0], ankle[1] + self.heel_m * depth];
        let mut pose = body.standing_on(t, ankle, shin, thigh, lean.to_radians());
        let inward = self.knees_in_m * depth * if r >= turn { 1.0 } else { 0.0 };
        pose.joints[13][2] -= inward;
        pose.joints[14][2] += inward;
        pose
    }

    fn bench(&self, t: f64, r: f64, up: f64, missed: bool) -> Pose {
        let turn = self.down_s + self.pause_s;
        let high = 1.0 - self.down(r, up, missed);
        let [across, way] = self.touch;
        let rising = r >= turn;
        let shape = if rising {
            high.max(0.0).powf(self.path)
        } else {
            high
        };
        let sunk = self.sink_m * smooth((r - self.down_s) / self.pause_s.max(0.1));
        let mut y = way * high
            - if rising {
                self.sink_m * (1.0 - high)
            } else {
                sunk
            };
        let since = r - turn;
        if self.bounce > 0.0 && since.abs() < 0.07 {
            y -= 0.5 * self.bounce * (0.07 * 0.07 - since * since);
        }
        let hips = if rising {
            self.hips_m * (PI * high).sin()
        } else {
            0.0
        };
        self.build
            .lying_under(t, [across * (1.0 - shape), y], way, hips)
    }

    fn deadlift(&self, t: f64, r: f64, up: f64, missed: bool) -> Pose {
        let hold = 0.7 * up;
        let (r, hitch) = if self.hitch_s > 0.0 && r > hold {
            let stopped = ((r - hold) / self.hitch_s).min(1.0);
            (r - self.hitch_s * stopped, (PI * stopped).sin())
        } else {
            (r, 0.0)
        };
        let top = up + self.pause_s;
        let w = r / up;
        let risen = if r < top {
            self.risen(w, missed)
        } else if missed {
            0.0
        } else {
            1.0 - smooth((r - top) / self.down_s)
        };
        let lead = self.shoot_deg * smooth((w / 0.35).min(1.0));
        let lead = if r < up { lead } else { 0.0 };
        let forward = self.drift * (PI * w.clamp(0.0, 1.0)).sin();
        self.build
            .pulling(t, risen, [forward, lead, self.soft_deg, 10.0 * hitch])
    }

    /// Out of the rack before the first repetition, and back after the last.
    fn walk(&self, pose: &mut Pose, end: f64) {
        if !self.racked || self.lift == Lift::Deadlift {
            return;
        }
        let before = pose.t;
        let after = end - pose.t;
        let away = |from: f64| smooth((from - 0.6) / 1.5);
        let lifted = |from: f64| smooth(from / 0.6);
        let (out, up) = (
            away(before).min(away(after)),
            lifted(before).min(lifted(after)),
        );
        let ahead = if self.lift == Lift::Squat { 0.3 } else { -0.2 };
        let shift = [ahead * (1.0 - out), 0.06 * (up - 1.0)];
        let moved = |point: &mut [f64; 3]| {
            point[0] += shift[0];
            point[1] += shift[1];
        };
        if self.lift == Lift::Squat {
            pose.joints.iter_mut().for_each(moved);
        } else {
            pose.joints[7..11].iter_mut().for_each(moved);
        }
        moved(&mut pose.bar);
        moved(&mut pose.other);
    }
}

/// Seconds of taking the bar out, or of putting it back, with a rest.
const RACK_S: f64 = 2.6;

/// Share of the way of a lift that slows in its middle: speed in two humps, over 1.6 s.
fn two_humps(w: f64) -> f64 {
    let speed = |t: f64| {
        0.35 * (-((t - 0.25) / 0.16_f64).powi(2)).exp()
            + 0.3 * (-((t - 1.0) / 0.3_f64).powi(2)).exp()
    };
    let way = |to: f64| {
        let step = to / 200.0;
        (0..200)
            .map(|i| speed((f64::from(i) + 0.5) * step) * step)
            .sum::<f64>()
    };
    way(1.6 * w.clamp(0.0, 1.0)) / way(1.6)
}
