//! A made set as a motion without a camera in between: every point where the formula puts it.

use super::super::{Camera, Joint, Motion, Path};
use super::generator::{Pose, Set};
use std::collections::BTreeMap;

/// Central differences, one-sided at the ends.
fn slopes(values: &[f64], fps: f64) -> Vec<f64> {
    let last = values.len().saturating_sub(1);
    (0..values.len())
        .map(|i| {
            let (from, to) = (i.saturating_sub(1), (i + 1).min(last));
            (values[to] - values[from]) * fps / (to - from).max(1) as f64
        })
        .collect()
}

fn path(points: impl Iterator<Item = [f64; 2]>, fps: f64) -> Path {
    let (x, y): (Vec<f64>, Vec<f64>) = points.map(|[x, y]| (x, y)).unzip();
    Path {
        vx: slopes(&x, fps),
        vy: slopes(&y, fps),
        trust: vec![1.0; x.len()],
        jitter: 0.001,
        bias: 0.005,
        x,
        y,
    }
}

/// The set as a motion, seen square from the side or from the front, without noise or filter.
pub(crate) fn exact(set: &Set, camera: Camera) -> Motion {
    let poses = set.poses();
    // From the front the lifter's left is to the right of the image.
    let flat = |[x, y, z]: [f64; 3]| match camera {
        Camera::FrontOrRear => [z, y],
        _ => [x, y],
    };
    let follow =
        |of: &dyn Fn(&Pose) -> [f64; 3]| path(poses.iter().map(|pose| flat(of(pose))), set.fps);
    let joints = Joint::ALL.into_iter().enumerate();
    let body: BTreeMap<Joint, Path> = joints
        .map(|(at, joint)| (joint, follow(&|pose| pose.joints[at])))
        .collect();
    Motion {
        lift: set.lift,
        fps: set.fps,
        cutoff: 6.0,
        camera,
        bar: Some(follow(&|pose| pose.bar)),
        other_end: (camera == Camera::FrontOrRear).then(|| follow(&|pose| pose.other)),
        bar_is_body: false,
        body,
        near_left: false,
        notes: Vec::new(),
    }
}
