//! How long following and cutting a set takes: half a minute of keypoints at 60 frames a second.
//!
//! Target: under 10 milliseconds for all of an assessment with such a trace.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::motion::{TraceLimits, follow, reps};
use cueline_core::report::{Lift, Trace, View};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Seventeen points that go down and up every four seconds.
fn keypoints() -> Trace {
    let frames = (0..1800).map(|frame| {
        let t = f64::from(frame) / 60.0;
        let down = 0.5 - 0.5 * (t * std::f64::consts::TAU / 4.0).cos();
        let place = |x: f64, y: f64| format!("{x:.2},{y:.2},0.91");
        let points: Vec<String> = (0..17)
            .map(|point| match point {
                5 | 6 => place(600.0 + 30.0 * down, 300.0 + 220.0 * down),
                11 | 12 => place(600.0 - 80.0 * down, 500.0 + 180.0 * down),
                13 | 14 => place(600.0 + 70.0 * down, 670.0 + 20.0 * down),
                15 | 16 => place(600.0, 840.0),
                _ => place(610.0 + 30.0 * down, 250.0 + 220.0 * down),
            })
            .collect();
        format!("{{\"t\":{t:.4},\"keypoints\":[{}]}}", points.join(","))
    });
    let frames: Vec<String> = frames.collect();
    Trace {
        kind: "keypoints".to_owned(),
        format: "json".to_owned(),
        data: format!(
            "{{\"fps\":60,\"width\":1280,\"height\":960,\"frames\":[{}]}}",
            frames.join(",")
        ),
        scale: None,
    }
}

#[divan::bench]
fn half_a_minute_of_keypoints(bencher: Bencher<'_, '_>) {
    let traces = [keypoints()];
    let limits = TraceLimits::default();
    bencher.bench(|| {
        let view = Some(View::Side);
        let motion = follow(Lift::Squat, view, Some(1.75), black_box(&traces), &limits);
        let motion = motion.expect("a good trace").expect("a trace");
        let found = reps(&motion, &limits);
        assert!(found.len() >= 6, "{}", found.len());
        found
    });
}
