//! Bar and body laid into one place: what stands for a bar that was not followed, and the origin.

use super::follow::trusted_median;
use super::trace::Facing;
use super::{BRIDGED, Joint, Motion, Path, TraceLimits};
use crate::report::Lift;

/// A hanging bar's centre below the wrist, share of stature. Our choice.
const BAR_BELOW_WRIST: f64 = 0.05;

/// Both sides of a pair are used only when each is missing in less than this share.
const WELL_SEEN: f64 = 0.1;

/// The side of the body that a side camera sees better; with no difference the one it must be on.
pub(super) fn near_left(motion: &Motion, facing: Facing) -> bool {
    let pairs = [
        (Joint::LeftShoulder, Joint::RightShoulder),
        (Joint::LeftHip, Joint::RightHip),
        (Joint::LeftKnee, Joint::RightKnee),
        (Joint::LeftAnkle, Joint::RightAnkle),
    ];
    let sum = |joint| -> f64 {
        motion
            .body
            .get(&joint)
            .map_or(0.0, |path: &Path| path.trust.iter().sum())
    };
    let (left, right) = pairs
        .iter()
        .fold((0.0, 0.0), |(left, right), (one, other)| {
            (left + sum(*one), right + sum(*other))
        });
    if (left - right).abs() <= 0.02 * (left + right) {
        facing == Facing::Left
    } else {
        left > right
    }
}

/// Finds what stands for the bar, lays a bar with an origin of its own on the body, and puts the
/// origin to a place that the trace itself gives: the middle place of the ankle, else of hip,
/// shoulder or bar.
pub(super) fn settle(
    motion: &mut Motion,
    shared: bool,
    stature_m: Option<f64>,
    limits: &TraceLimits,
) {
    let stand_in = stand_in(motion);
    match (&mut motion.bar, stand_in) {
        (None, Some(path)) => {
            motion.bar = Some(path);
            motion.bar_is_body = true;
            let what = if motion.lift == Lift::Squat {
                "shoulders"
            } else {
                "wrists"
            };
            motion
                .notes
                .push(format!("the bar was not followed: the {what} stand for it"));
        }
        (None, None) => motion.notes.push(
            "neither the bar nor the hands or shoulders that hold it can be followed".to_owned(),
        ),
        (Some(bar), Some(body)) if !shared => {
            let below = if motion.lift == Lift::Deadlift {
                BAR_BELOW_WRIST * stature_m.unwrap_or(limits.usual_stature_m)
            } else {
                0.0
            };
            let offset = |bar: &[f64], body: &[f64], trust: &[f64]| {
                let apart: Vec<f64> = bar.iter().zip(body).map(|(bar, body)| body - bar).collect();
                trusted_median(&apart, trust).unwrap_or_default()
            };
            let across = offset(&bar.x, &body.x, &body.trust);
            let up = offset(&bar.y, &body.y, &body.trust) - below;
            for path in motion.bar.iter_mut().chain(&mut motion.other_end) {
                shift(path, [across, up]);
                path.bias = path.bias.max(limits.laid_on_bias_m);
            }
            motion.notes.push(
                "bar and body have no origin in common: the bar was laid where it is held"
                    .to_owned(),
            );
        }
        _ => {}
    }
    if let Some([x, y]) = anchor(motion) {
        let paths = motion.bar.iter_mut().chain(&mut motion.other_end);
        for path in paths.chain(motion.body.values_mut()) {
            shift(path, [-x, -y]);
        }
    }
}

fn shift(path: &mut Path, [x, y]: [f64; 2]) {
    path.x.iter_mut().for_each(|one| *one += x);
    path.y.iter_mut().for_each(|one| *one += y);
}

/// Middle place of the first point of these that was followed.
fn anchor(motion: &Motion) -> Option<[f64; 2]> {
    let pairs = [
        [Joint::RightAnkle, Joint::LeftAnkle],
        [Joint::RightHip, Joint::LeftHip],
        [Joint::RightShoulder, Joint::LeftShoulder],
    ];
    let near = usize::from(motion.near_left);
    let joints = pairs.iter().flat_map(|pair| [pair[near], pair[1 - near]]);
    let body = joints.filter_map(|joint| motion.body.get(&joint));
    let mut paths = body.chain(&motion.bar);
    let path = paths.next()?;
    Some([
        trusted_median(&path.x, &path.trust)?,
        trusted_median(&path.y, &path.trust)?,
    ])
}

/// What moves with the bar: the shoulders in the squat, the wrists in the other lifts; the middle
/// of both when both are seen well, else the better one.
fn stand_in(motion: &Motion) -> Option<Path> {
    let pair = if motion.lift == Lift::Squat {
        [Joint::LeftShoulder, Joint::RightShoulder]
    } else {
        [Joint::LeftWrist, Joint::RightWrist]
    };
    let mut paths: Vec<&Path> = pair
        .iter()
        .filter_map(|joint| motion.body.get(joint))
        .collect();
    let missing = |path: &Path| path.trust.iter().filter(|trust| **trust <= BRIDGED).count();
    paths.sort_by_key(|path| missing(path));
    match paths.as_slice() {
        [one, other] if (missing(other) as f64) < WELL_SEEN * other.trust.len() as f64 => {
            Some(mean(one, other))
        }
        [one, ..] => Some((*one).clone()),
        [] => None,
    }
}

fn mean(one: &Path, other: &Path) -> Path {
    let half = |a: &[f64], b: &[f64]| {
        a.iter()
            .zip(b)
            .map(|(a, b)| f64::midpoint(*a, *b))
            .collect()
    };
    Path {
        x: half(&one.x, &other.x),
        y: half(&one.y, &other.y),
        vx: half(&one.vx, &other.vx),
        vy: half(&one.vy, &other.vy),
        trust: one
            .trust
            .iter()
            .zip(&other.trust)
            .map(|(a, b)| a.min(*b))
            .collect(),
        jitter: one.jitter.hypot(other.jitter) / 2.0,
        bias: one.bias.max(other.bias),
    }
}
