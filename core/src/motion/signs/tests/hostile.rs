//! Motions that no parser would give: nothing may panic, and nothing that is no number come out.

use super::super::super::tests::chance::Chance;
use super::super::super::{Camera, Joint, Motion, Path, Rep};
use super::{About, SignLimits, signs};
use crate::report::Lift;

/// A figure, sometimes none.
fn figure(chance: &mut Chance) -> f64 {
    match (chance.even() * 12.0) as usize {
        0 => f64::NAN,
        1 => f64::INFINITY,
        2 => 0.0,
        3 => 1e300,
        _ => chance.gauss(),
    }
}

fn figures(chance: &mut Chance, count: usize) -> Vec<f64> {
    (0..count).map(|_| figure(chance)).collect()
}

/// A path whose parts need not be of one length.
fn path(chance: &mut Chance) -> Path {
    let some = |chance: &mut Chance| {
        let count = (chance.even() * 80.0) as usize;
        figures(chance, count)
    };
    Path {
        x: some(chance),
        y: some(chance),
        vx: some(chance),
        vy: some(chance),
        trust: some(chance),
        jitter: figure(chance),
        bias: figure(chance),
    }
}

fn sample(chance: &mut Chance) -> usize {
    if chance.even() < 0.05 {
        usize::MAX
    } else {
        (chance.even() * 60.0) as usize
    }
}

#[test]
fn whatever_a_motion_holds_figures_come_out_or_nothing() {
    let mut chance = Chance(4321);
    for round in 0..3000_usize {
        let lift = [Lift::Squat, Lift::Bench, Lift::Deadlift][round % 3];
        let cameras = [
            Camera::Side,
            Camera::FrontOrRear,
            Camera::Oblique,
            Camera::Unknown,
        ];
        let motion = Motion {
            lift,
            fps: [30.0, 60.0, 240.0, 0.0, f64::NAN, 1e9][round % 6],
            cutoff: [4.0, 6.0, 0.0, f64::NAN, 500.0][round % 5],
            camera: cameras[round / 3 % 4],
            bar: (chance.even() < 0.9).then(|| path(&mut chance)),
            other_end: (chance.even() < 0.5).then(|| path(&mut chance)),
            bar_is_body: chance.even() < 0.5,
            body: Joint::ALL
                .into_iter()
                .map(|joint| (joint, path(&mut chance)))
                .collect(),
            near_left: chance.even() < 0.5,
            notes: Vec::new(),
        };
        let reps: Vec<Rep> = (0..(chance.even() * 5.0) as usize)
            .map(|_| Rep {
                start: sample(&mut chance),
                bottom: sample(&mut chance),
                go: sample(&mut chance),
                top: sample(&mut chance),
                end: sample(&mut chance),
                range: figure(&mut chance),
                missed: chance.even() < 0.3,
                measured: chance.even() < 0.9,
            })
            .collect();
        let about = About {
            meant_to_pause: Some(chance.even() < 0.5),
            expected_hip_height_m: Some((figure(&mut chance), figure(&mut chance))),
            load_share: Some(figure(&mut chance)),
        };
        let found = signs(&motion, &reps, &about, &SignLimits::default());
        for one in &found.signs {
            assert!(
                (0.02 - 1e-9..=0.98 + 1e-9).contains(&one.probability),
                "{one:?}"
            );
        }
        for one in &found.quantities {
            assert!(one.value.is_finite() && one.error.is_finite(), "{one:?}");
        }
    }
}
