//! The generator itself, against frames worked out with `NumPy` from the same formulas.

use super::chance::Chance;
use super::generator::{Pose, Set};
use super::lens::Lens;
use super::{Build, near};
use crate::report::Lift;

/// Ankle, knee, hip and shoulder of the right side.
fn chain(pose: &Pose) -> [[f64; 2]; 4] {
    [16, 14, 12, 6].map(|joint| {
        let [x, y, _] = pose.joints[joint];
        [x, y]
    })
}

#[test]
fn a_clean_squat_stands_where_the_formulas_put_it() {
    // Worked out with NumPy 2.4.6 from the formulas of the squat: 30 frames a second, build A.
    let frames: [(usize, [[f64; 2]; 4]); 5] = [
        (
            0,
            [
                [-0.0665, 0.06825],
                [-0.0665, 0.49875],
                [-0.0665, 0.9275],
                [-0.031_342_737, 1.430_272_281],
            ],
        ),
        (
            45,
            [
                [-0.0665, 0.06825],
                [-0.011_121_348, 0.495_173_242],
                [-0.172_931_291, 0.892_217_453],
                [-0.052_244_701, 1.381_554_501],
            ],
        ),
        (
            72,
            [
                [-0.0665, 0.06825],
                [0.148_75, 0.441_073_936],
                [-0.28, 0.441_073_936],
                [0.070_107_819, 0.803_621_196],
            ],
        ),
        (
            79,
            [
                [-0.0665, 0.06825],
                [0.148_732_895, 0.441_083_811],
                [-0.280_017_101, 0.441_142_822],
                [0.070_068_54, 0.803_711_497],
            ],
        ),
        (
            100,
            [
                [-0.0665, 0.06825],
                [0.061_756_035, 0.479_200_897],
                [-0.276_097_889, 0.743_173_032],
                [-0.046_420_547, 1.191_797_952],
            ],
        ),
    ];
    let poses = Set::of(Lift::Squat, 30.0).poses();
    for (frame, points) in frames {
        for (found, wanted) in chain(&poses[frame])
            .iter()
            .flatten()
            .zip(points.iter().flatten())
        {
            near("place", *found, *wanted, 1e-8);
        }
    }
}

#[test]
fn the_noise_is_the_same_everywhere() {
    // Seed 1000, worked out with NumPy 2.4.6.
    let mut chance = Chance(1000);
    for wanted in [
        0.623_620_400_1,
        0.982_332_071_9,
        0.527_806_099_9,
        0.684_232_807_8,
    ] {
        near("even", chance.even(), wanted, 1e-10);
    }
    let mut chance = Chance(1000);
    near("first", chance.gauss(), 0.965_834_368, 1e-9);
    near("second", chance.gauss(), -0.453_975_704, 1e-9);
}

#[test]
fn a_deadlift_starts_and_ends_as_the_body_lets_it() {
    // Way of the bar of the builds A, B and C, worked out with SciPy 1.17.1.
    for (build, way) in [(Build::A, 0.5399), (Build::B, 0.5834), (Build::C, 0.4964)] {
        near("way", build.pull(), way, 6e-5);
    }
    for (build, hip, lean) in [
        (Build::A, 0.6667, 63.726),
        (Build::B, 0.7481, 69.117),
        (Build::C, 0.5921, 58.769),
    ] {
        let set = Set {
            build,
            ..Set::of(Lift::Deadlift, 60.0)
        };
        let poses = set.poses();
        let [ankle, knee, at, shoulder] = chain(&poses[0]);
        near("hip", at[1], hip, 6e-5);
        let found = (shoulder[0] - at[0])
            .atan2(shoulder[1] - at[1])
            .to_degrees();
        near("lean", found, lean, 1e-2);
        // At the top everything is over the ankle, and the bar as high as the arms let it hang.
        let top = poses
            .iter()
            .max_by(|a, b| a.bar[1].total_cmp(&b.bar[1]))
            .unwrap();
        let [_, knee_top, hip_top, _] = chain(top);
        near("knee", knee_top[0], ankle[0], 1e-6);
        near("hip", hip_top[0], ankle[0], 1e-6);
        assert!(knee[0] > ankle[0], "the shin leans at the start");
        near("bar", top.bar[1] - poses[0].bar[1], build.pull(), 1e-6);
    }
}

#[test]
fn a_bench_press_touches_towards_the_feet_and_locks_out() {
    let set = Set::of(Lift::Bench, 60.0);
    let poses = set.poses();
    let lowest = poses
        .iter()
        .min_by(|a, b| a.bar[1].total_cmp(&b.bar[1]))
        .unwrap();
    near("way", poses[0].bar[1] - lowest.bar[1], 0.45, 1e-9);
    near("across", lowest.bar[0] - poses[0].bar[0], 0.1, 1e-9);
    let angle = |pose: &Pose| {
        let [shoulder, elbow, wrist] = [6, 8, 10].map(|joint| pose.joints[joint]);
        let to = |from: [f64; 3], end: [f64; 3]| (end[1] - from[1]).atan2(end[0] - from[0]);
        let bend = (to(elbow, shoulder) - to(elbow, wrist)).abs().to_degrees();
        bend.min(360.0 - bend)
    };
    assert!(angle(&poses[0]) > 165.0, "{}", angle(&poses[0]));
    assert!(angle(lowest) < 90.0, "{}", angle(lowest));
}

#[test]
fn limbs_keep_their_length_in_every_fault() {
    let faulty = [
        Set {
            shoot_deg: 20.0,
            heel_m: 0.02,
            slide_m: 0.03,
            ..Set::of(Lift::Squat, 30.0)
        },
        Set {
            shoot_deg: 15.0,
            hitch_s: 0.3,
            soft_deg: 15.0,
            ..Set::of(Lift::Deadlift, 30.0)
        },
    ];
    for set in faulty {
        for pose in set.poses() {
            let [ankle, knee, hip, shoulder] = chain(&pose);
            let long = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
            near("shin", long(ankle, knee), set.build.shin, 1e-9);
            near("thigh", long(knee, hip), set.build.thigh, 1e-9);
            near("trunk", long(hip, shoulder), set.build.trunk, 1e-9);
        }
    }
}

#[test]
fn nothing_jumps_from_one_frame_to_the_next() {
    let base = |lift| Set {
        racked: true,
        slowing: 0.05,
        reps: 4,
        ..Set::of(lift, 120.0)
    };
    let sets = [
        Set {
            missed: true,
            shoot_deg: 20.0,
            ..base(Lift::Squat)
        },
        Set {
            sticking: true,
            sink_m: 0.02,
            ..base(Lift::Bench)
        },
        Set {
            bounce: 12.0,
            pause_s: 0.0,
            ..base(Lift::Bench)
        },
        Set {
            shoot_deg: 15.0,
            hitch_s: 0.3,
            drift: 0.05,
            ..base(Lift::Deadlift)
        },
        Set {
            missed: true,
            ..base(Lift::Deadlift)
        },
    ];
    for set in sets {
        let poses = set.poses();
        for pair in poses.windows(2) {
            for (before, after) in pair[0].joints.iter().zip(&pair[1].joints) {
                let moved = (0..3).map(|axis| (after[axis] - before[axis]).abs());
                let moved = moved.fold(0.0, f64::max);
                // 5 m/s would be far beyond any lift.
                assert!(
                    moved < 5.0 / 120.0,
                    "{:?} at {} s: {moved} m",
                    set.lift,
                    pair[1].t
                );
            }
        }
    }
}

#[test]
fn a_mirrored_image_is_the_image_mirrored() {
    let set = Set::of(Lift::Squat, 30.0);
    let poses = set.poses();
    let [plain, mirrored] = [false, true].map(|mirrored| {
        Lens {
            mirrored,
            ..Lens::SIDE
        }
        .film(&poses)
    });
    for ((_, one), (_, other)) in plain.iter().zip(&mirrored) {
        for (one, other) in one.iter().zip(other) {
            near("across", one[0] + other[0], Lens::IMAGE[0] - 1.0, 1e-9);
            near("up", one[1], other[1], 1e-12);
        }
    }
}

#[test]
fn a_set_followed_without_a_camera_is_the_set_as_filmed() {
    // The exact motion lies where the followed one does, but for origin, scale and filter.
    let set = Set::of(Lift::Squat, 60.0);
    let exact = super::exact::exact(&set, crate::motion::Camera::Side);
    let text = Lens::SIDE.keypoints(&set);
    let filmed = super::followed(Lift::Squat, &[super::trace("keypoints", "json", text)]);
    for (joint, path) in &filmed.body {
        let made = &exact.body[joint];
        for at in (0..path.y.len()).step_by(10) {
            near("up", path.y[at] - path.y[0], made.y[at] - made.y[0], 0.004);
            near(
                "across",
                path.x[at] - path.x[0],
                made.x[at] - made.x[0],
                0.004,
            );
            near("speed", path.vy[at], made.vy[at], 0.05);
        }
    }
}
