//! Made sets as a camera follows them: jitter, lost frames, steady offsets, yaw, filter.

use super::super::super::filter::{low_pass, slopes};
use super::super::super::tests::chance::Chance;
use super::super::super::tests::generator::{Pose, Set};
use super::super::super::{Camera, Joint, Motion, Path, Rep, TraceLimits, reps};
use crate::report::Lift;
use std::collections::BTreeMap;

/// How a set is followed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Film {
    pub(super) camera: Camera,
    /// Standard deviation of one axis of a point of the body, m.
    pub(super) jitter_m: f64,
    /// The same of the bar's ends.
    pub(super) bar_jitter_m: f64,
    /// Steady offsets are drawn: hip and knee 30 mm, shoulder, elbow and wrist 20, ankle 10, bar 5.
    pub(super) offsets: bool,
    /// Share of frames that are lost; what is lost is bridged by straight lines.
    pub(super) lost: f64,
    /// Camera so far off square, degrees.
    pub(super) yaw_deg: f64,
    /// The bar is followed, not only the body.
    pub(super) bar: bool,
    pub(super) filtered: bool,
    pub(super) seed: u64,
}

impl Film {
    /// Square from the side, nothing added.
    pub(super) const CLEAR: Self = Self {
        camera: Camera::Side,
        jitter_m: 0.0,
        bar_jitter_m: 0.0,
        offsets: false,
        lost: 0.0,
        yaw_deg: 0.0,
        bar: true,
        filtered: false,
        seed: 1000,
    };

    /// A camera of the usual quality: body to 10 mm, bar to 3 mm, one frame in ten lost.
    pub(super) const USUAL: Self = Self {
        jitter_m: 0.01,
        bar_jitter_m: 0.003,
        lost: 0.1,
        filtered: true,
        ..Self::CLEAR
    };
}

/// Steady offset of a point, standard deviation, m.
fn offset_of(point: usize) -> f64 {
    match point {
        11..=14 => 0.03,
        15 | 16 => 0.01,
        17 | 18 => 0.005,
        _ => 0.02,
    }
}

/// A seed far from those of its neighbours: sequences of this generator whose seeds are a step apart
/// stay a step apart (the finisher of `SplitMix64`, from memory).
fn mixed(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (z ^ (z >> 31)) % (1 << 32)
}

/// Where a point of a pose is in the picture.
fn seen(pose: &Pose, point: usize, film: &Film) -> [f64; 2] {
    let [x, y, z] = match point {
        17 => pose.bar,
        18 => pose.other,
        joint => pose.joints[joint],
    };
    let (sin, cos) = film.yaw_deg.to_radians().sin_cos();
    match film.camera {
        Camera::FrontOrRear => [z, y],
        _ => [x * cos + z * sin, y],
    }
}

/// Bridges lost frames by straight lines; ends stay where they were.
fn bridge(values: &mut [f64], kept: &[bool]) {
    let held: Vec<usize> = (0..values.len()).filter(|at| kept[*at]).collect();
    for pair in held.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        for at in from + 1..to {
            let part = (at - from) as f64 / (to - from) as f64;
            values[at] = values[from] + part * (values[to] - values[from]);
        }
    }
}

/// Cut-off that goes with a frame rate, Hz.
fn cutoff(fps: f64) -> f64 {
    if fps < 45.0 { 4.0 } else { 6.0 }
}

/// One point through the set.
fn follow(poses: &[Pose], point: usize, set: &Set, film: &Film, kept: &[bool]) -> Path {
    let mut chance = Chance(mixed(film.seed << 8 | point as u64));
    let jitter = if point < 17 {
        film.jitter_m
    } else {
        film.bar_jitter_m
    };
    let offset = offset_of(point);
    let mut axes: [Vec<f64>; 2] = [0, 1].map(|axis| {
        let steady = if film.offsets {
            offset * chance.gauss()
        } else {
            0.0
        };
        poses
            .iter()
            .map(|pose| seen(pose, point, film)[axis] + steady)
            .collect()
    });
    for axis in &mut axes {
        for value in axis.iter_mut() {
            *value += jitter * chance.gauss();
        }
        bridge(axis, kept);
        if film.filtered {
            *axis = low_pass(axis, set.fps, cutoff(set.fps)).unwrap();
        }
    }
    let [x, y] = axes;
    Path {
        vx: slopes(&x, set.fps),
        vy: slopes(&y, set.fps),
        trust: vec![0.9; x.len()],
        jitter: jitter.max(0.001),
        bias: offset,
        x,
        y,
    }
}

/// Where in a set a moment lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment {
    /// The repetition it belongs to; rest belongs to the one after.
    pub(super) rep: usize,
    /// Seconds since the repetition began, below 0 in the rest before.
    pub(super) since: f64,
    /// Share of the time of the way down, 0 to 1 (deadlift: the way down comes after).
    pub(super) down: f64,
    /// Share of the time of the way up.
    pub(super) up: f64,
}

/// The moment of a set at a time.
fn moment(set: &Set, t: f64) -> Moment {
    let (plan, _) = set.plan();
    let ahead = |from: &[f64; 2]| from[0] - set.rest_s <= t;
    let rep = plan.iter().rposition(ahead).unwrap_or(0);
    let [from, up] = plan[rep];
    let since = t - from;
    let share = |from: f64, over: f64| ((since - from) / over).clamp(0.0, 1.0);
    let (down, up) = if set.lift == Lift::Deadlift {
        (share(up + set.pause_s, set.down_s), share(0.0, up))
    } else {
        (share(0.0, set.down_s), share(set.down_s + set.pause_s, up))
    };
    Moment {
        rep,
        since,
        down,
        up,
    }
}

/// How much finer than its own the time of a set is taken to move it.
const FINER: usize = 32;

impl Film {
    /// The set as this camera follows it, cut into its repetitions.
    pub(super) fn of(&self, set: &Set) -> (Motion, Vec<Rep>) {
        self.of_poses(set, &set.poses())
    }

    fn of_poses(&self, set: &Set, poses: &[Pose]) -> (Motion, Vec<Rep>) {
        let motion = self.motion(set, poses);
        let reps = reps(&motion, &TraceLimits::default());
        (motion, reps)
    }

    /// The same with points moved.
    pub(super) fn of_changed(
        &self,
        set: &Set,
        change: &dyn Fn(&Moment, &mut Pose),
    ) -> (Motion, Vec<Rep>) {
        let mut poses = set.poses();
        for pose in &mut poses {
            change(&moment(set, pose.t), pose);
        }
        self.of_poses(set, &poses)
    }

    /// The same with the time of the ways up running unevenly.
    pub(super) fn of_warped(&self, set: &Set, warp: &dyn Fn(f64) -> f64) -> (Motion, Vec<Rep>) {
        self.warped(set, &|moment, up| (warp(moment.up) - moment.up) * up)
    }

    /// The same with the time of the ways down running unevenly.
    pub(super) fn of_warped_down(
        &self,
        set: &Set,
        warp: &dyn Fn(f64) -> f64,
    ) -> (Motion, Vec<Rep>) {
        self.warped(set, &|moment, _| {
            (warp(moment.down) - moment.down) * set.down_s
        })
    }

    fn warped(&self, set: &Set, later: &dyn Fn(&Moment, f64) -> f64) -> (Motion, Vec<Rep>) {
        let fine = Set {
            fps: set.fps * FINER as f64,
            ..*set
        };
        let fine = fine.poses();
        let (plan, _) = set.plan();
        let poses: Vec<Pose> = set
            .poses()
            .into_iter()
            .map(|pose| {
                let now = moment(set, pose.t);
                let t = pose.t + later(&now, plan[now.rep][1]);
                let at = (t * set.fps * FINER as f64).round() as usize;
                Pose {
                    t: pose.t,
                    ..fine[at.min(fine.len() - 1)]
                }
            })
            .collect();
        self.of_poses(set, &poses)
    }

    /// The set as this camera follows it.
    fn motion(&self, set: &Set, poses: &[Pose]) -> Motion {
        let mut chance = Chance(mixed(self.seed << 8 | 255));
        let kept: Vec<bool> = (0..poses.len())
            .map(|at| at == 0 || at + 1 == poses.len() || chance.even() > self.lost)
            .collect();
        let body: BTreeMap<Joint, Path> = Joint::ALL
            .into_iter()
            .enumerate()
            .filter(|(point, _)| *point > 4)
            .map(|(point, joint)| (joint, follow(poses, point, set, self, &kept)))
            .collect();
        let stand_in = if set.lift == Lift::Squat {
            Joint::RightShoulder
        } else {
            Joint::RightWrist
        };
        let bar = if self.bar {
            follow(poses, 17, set, self, &kept)
        } else {
            body[&stand_in].clone()
        };
        let both = self.bar && self.camera == Camera::FrontOrRear;
        Motion {
            lift: set.lift,
            fps: set.fps,
            cutoff: cutoff(set.fps),
            camera: self.camera,
            bar: Some(bar),
            other_end: both.then(|| follow(poses, 18, set, self, &kept)),
            bar_is_body: !self.bar,
            body,
            near_left: false,
            notes: Vec::new(),
        }
    }
}
