//! The signs that no knob of the made sets turns: each told by moving points, or by moving time,
//! and found by a camera of the usual quality; the same set without it is left alone.

use super::super::super::Camera;
use super::super::super::tests::generator::{Pose, Set, smooth};
use super::film::{Film, Moment};
use super::{About, sign, signs};
use crate::motion::SignLimits;
use crate::report::Lift;
use std::f64::consts::PI;

/// Cameras a story is told to.
const TIMES: u64 = 20;

/// How often a change shows a sign, and how often the set without it does.
fn told(id: &str, set: &Set, film: &Film, change: &dyn Fn(&Moment, &mut Pose)) -> (u64, u64) {
    let about = About {
        meant_to_pause: Some(true),
        ..About::default()
    };
    let count = |change: &dyn Fn(&Moment, &mut Pose)| {
        let shows = |seed: &u64| {
            let film = Film {
                seed: 300 + seed,
                ..*film
            };
            let (motion, reps) = film.of_changed(set, change);
            let found = signs(&motion, &reps, &about, &SignLimits::default());
            let one = sign(&found, id).unwrap_or_else(|| panic!("{id} was not measured"));
            one.probability > 0.5
        };
        (0..TIMES).filter(shows).count() as u64
    };
    (count(change), count(&|_, _| {}))
}

#[track_caller]
fn shown(id: &str, set: &Set, film: &Film, change: &dyn Fn(&Moment, &mut Pose)) {
    let (with, without) = told(id, set, film, change);
    assert!(with + 1 >= TIMES, "{id}: found in {with} of {TIMES}");
    assert!(
        without <= 1,
        "{id}: called in {without} of {TIMES} without it"
    );
}

fn squat() -> Set {
    Set::of(Lift::Squat, 60.0)
}

fn bench() -> Set {
    Set::of(Lift::Bench, 60.0)
}

fn pull() -> Set {
    Set::of(Lift::Deadlift, 60.0)
}

const SIDE: Film = Film::USUAL;

const FRONT: Film = Film {
    camera: Camera::FrontOrRear,
    ..Film::USUAL
};

/// Moves both points of a part (the left one's number in COCO-17), metres.
fn both(pose: &mut Pose, left: usize, axis: usize, by: f64) {
    pose.joints[left][axis] += by;
    pose.joints[left + 1][axis] += by;
}

/// Moves both ends of the bar.
fn bar(pose: &mut Pose, axis: usize, by: f64) {
    pose.bar[axis] += by;
    pose.other[axis] += by;
}

/// How far down a squat or bench press is, 0 to 1.
fn down(moment: &Moment) -> f64 {
    smooth(moment.down) * (1.0 - smooth(moment.up))
}

/// A bump around a share of the way up.
fn bump(moment: &Moment, at: f64, wide: f64) -> f64 {
    (-((moment.up - at) / wide).powi(2)).exp()
}

#[test]
fn the_chest_drops_half_way_down() {
    shown("sq-torso-pitch", &squat(), &SIDE, &|moment, pose| {
        let tip = 22.0 * smooth((moment.down - 0.45) / 0.2) * (1.0 - smooth(moment.up));
        let (sin, cos) = tip.to_radians().sin_cos();
        for side in 0..2 {
            let [hip_x, hip_y, _] = pose.joints[11 + side];
            let shoulder = &mut pose.joints[5 + side];
            let (x, y) = (shoulder[0] - hip_x, shoulder[1] - hip_y);
            shoulder[0] = hip_x + x * cos + y * sin;
            shoulder[1] = hip_y + y * cos - x * sin;
        }
    });
}

#[test]
fn every_squat_is_cut_higher_than_the_last() {
    let set = Set { reps: 5, ..squat() };
    shown("sq-depth-shrinks", &set, &SIDE, &|moment, pose| {
        bar(pose, 1, 0.02 * moment.rep as f64 * down(moment));
    });
}

#[test]
fn the_bar_dips_again_on_the_way_up() {
    let dip = |moment: &Moment, pose: &mut Pose| bar(pose, 1, -0.16 * bump(moment, 0.5, 0.07));
    shown("sq-double-bounce", &squat(), &SIDE, &dip);
    shown("dl-bar-dips", &pull(), &SIDE, &dip);
}

#[test]
fn the_bar_still_swings_when_the_squat_begins() {
    shown("sq-start-sway", &squat(), &SIDE, &|moment, pose| {
        if moment.since < 0.0 {
            bar(pose, 1, 0.02 * (2.0 * PI * 2.0 * moment.since).sin());
        }
    });
}

#[test]
fn knees_or_hips_go_first() {
    // Shin and trunk early or late; the thigh as ever.
    let bend = |moment: &Moment, pose: &mut Pose, shin: f64, lean: f64| {
        let d = down(moment);
        let early = smooth(moment.down * 1.6) * (1.0 - smooth(moment.up));
        let set = squat();
        let [x, y, _] = pose.joints[15];
        let thigh = (90.0 - 90.0 * d).to_radians();
        let shin = (shin * early).to_radians();
        let lean =
            (4.0 + lean * early + if lean > 0.0 { 0.0 } else { 40.0 * d * d * d }).to_radians();
        let new = set.build.standing_on(pose.t, [x, y], shin, thigh, lean);
        *pose = new;
    };
    shown("sq-knees-first", &squat(), &SIDE, &|moment, pose| {
        bend(moment, pose, 42.0, 0.0);
    });
    shown("sq-hips-too-far-back", &squat(), &SIDE, &|moment, pose| {
        bend(moment, pose, 6.0, 60.0);
    });
}

#[test]
fn the_bar_stalls_at_the_bottom_or_near_the_top() {
    // Time within the way up: slow at first, or nearly still at four fifths of the height.
    let slow_first = |w: f64| {
        if w < 0.6 {
            0.33 * w / 0.6
        } else {
            0.33 + (w - 0.6) * 1.675
        }
    };
    let slow_last = |w: f64| match w {
        w if w < 0.45 => 0.64 * w / 0.45,
        w if w < 0.75 => 0.64 + 0.04 * (w - 0.45) / 0.3,
        w => 0.68 + 0.32 * (w - 0.75) / 0.25,
    };
    let stall = |id: &str, set: &Set, warp: &dyn Fn(f64) -> f64| {
        let mut found = 0;
        let mut called = 0;
        for seed in 0..TIMES {
            let film = Film { seed, ..SIDE };
            let shows = |warp: &dyn Fn(f64) -> f64| {
                let (motion, reps) = film.of_warped(set, warp);
                let found = signs(&motion, &reps, &About::default(), &SignLimits::default());
                u64::from(sign(&found, id).expect("measured").probability > 0.5)
            };
            found += shows(warp);
            called += shows(&|w| w);
        }
        assert!(
            found + 1 >= TIMES && called <= 1,
            "{id}: {found} and {called} of {TIMES}"
        );
    };
    let slower = |set: Set| Set { up_s: 2.6, ..set };
    stall("sq-stall-low", &slower(squat()), &slow_first);
    stall("bp-stall-chest", &slower(bench()), &slow_first);
    stall("dl-stall-floor", &slower(pull()), &slow_first);
    stall("bp-stall-top", &slower(bench()), &slow_last);
    stall("dl-stall-top", &slower(pull()), &slow_last);
}

#[test]
fn a_missed_repetition_stalls_where_it_turns_back() {
    // Half-way in height.
    for (lift, id, others) in [
        (
            Lift::Squat,
            "sq-stall-mid",
            ["sq-stall-low", "sq-stall-low"],
        ),
        (
            Lift::Bench,
            "bp-stall-mid",
            ["bp-stall-chest", "bp-stall-top"],
        ),
        (
            Lift::Deadlift,
            "dl-stall-knee",
            ["dl-stall-floor", "dl-stall-top"],
        ),
    ] {
        let set = Set {
            missed: true,
            ..Set::of(lift, 60.0)
        };
        let found = super::measure(&set, &SIDE);
        let one = sign(&found, id).unwrap();
        // The squat turns back at seven tenths of its height, close to the upper end of its middle.
        let least = if lift == Lift::Squat { 0.7 } else { 0.9 };
        assert!(
            one.probability > least && one.worst_rep == Some(2),
            "{one:?}"
        );
        for other in others {
            assert!(super::probability(&found, other) < 0.5, "{other}");
        }
    }
}

#[test]
fn the_hips_move_to_one_side() {
    for (id, set) in [("sq-hip-shift", squat()), ("dl-hip-shift", pull())] {
        shown(id, &set, &FRONT, &|moment, pose| {
            let at = if set.lift == Lift::Squat {
                down(moment)
            } else {
                (PI * moment.up).sin()
            };
            both(pose, 11, 2, 0.07 * at);
        });
    }
}

#[test]
fn the_knees_are_in() {
    shown("sq-knees-in-down", &squat(), &FRONT, &|moment, pose| {
        for side in 13..15 {
            pose.joints[side][2] *= 1.0 - 0.3 * down(moment);
        }
    });
    shown("dl-knees-in", &pull(), &FRONT, &|moment, pose| {
        if moment.up > 0.0 && moment.up < 1.0 {
            for side in 13..15 {
                pose.joints[side][2] *= 1.0 - 0.3 * (PI * moment.up).sin();
            }
        }
    });
}

#[test]
fn the_bar_sits_uneven_before_the_first_squat() {
    shown("sq-bar-tilted", &squat(), &FRONT, &|_, pose| {
        pose.other[1] += 0.07;
    });
}

#[test]
fn the_bench_bar_falls_the_last_part() {
    let film = SIDE;
    let fall = |u: f64| {
        if u < 0.75 {
            0.45 * u / 0.75
        } else {
            0.45 + 0.55 * (u - 0.75) / 0.25
        }
    };
    for seed in 0..TIMES {
        let film = Film { seed, ..film };
        let (motion, reps) = film.of_warped_down(&bench(), &fall);
        let found = signs(&motion, &reps, &About::default(), &SignLimits::default());
        assert!(
            super::probability(&found, "bp-drop-fast") > 0.5,
            "seed {seed}"
        );
        let even = super::measure(&bench(), &film);
        assert!(
            super::probability(&even, "bp-drop-fast") < 0.5,
            "seed {seed}"
        );
    }
}

#[test]
fn the_touch_wanders_over_the_chest() {
    let set = Set { reps: 5, ..bench() };
    shown("bp-touch-varies", &set, &SIDE, &|moment, pose| {
        let off = [0.0, 0.05, -0.05, 0.06, -0.03][moment.rep];
        bar(pose, 0, off * down(moment));
    });
}

#[test]
fn the_bench_bar_is_not_over_the_shoulders_at_the_start() {
    shown("bp-start-drift", &bench(), &SIDE, &|_, pose| {
        bar(pose, 0, 0.18);
        both(pose, 9, 0, 0.18);
    });
}

#[test]
fn the_legs_kick_when_the_press_starts() {
    shown("bp-legdrive-jolt", &bench(), &SIDE, &|moment, pose| {
        both(pose, 13, 0, -0.1 * bump(moment, 0.12, 0.1));
    });
}

#[test]
fn the_elbows_stay_bent_at_the_end_of_the_press() {
    shown("bp-lockout-soft", &bench(), &SIDE, &|_, pose| {
        both(pose, 7, 0, 0.12);
    });
}

#[test]
fn the_deadlift_starts_with_the_bar_far_away() {
    let away = |_: &Moment, pose: &mut Pose| {
        bar(pose, 0, 0.14);
        both(pose, 9, 0, 0.14);
    };
    shown("dl-bar-far", &pull(), &SIDE, &away);
    shown("dl-shoulders-behind", &pull(), &SIDE, &away);
}

#[test]
fn the_hips_sit_low_and_pop_up_before_the_bar_leaves() {
    shown("dl-hips-drop-in", &pull(), &SIDE, &|moment, pose| {
        if moment.since < 0.0 {
            let low = 1.0 - smooth((moment.since + 0.4) / 0.35);
            both(pose, 11, 1, -0.09 * low);
        }
    });
}

#[test]
fn the_legs_are_nearly_straight_at_the_start_or_too_early() {
    shown("dl-hips-high-start", &pull(), &SIDE, &|moment, pose| {
        let before = 1.0 - smooth(moment.up / 0.5);
        both(pose, 11, 1, 0.25 * before);
        both(pose, 11, 0, 0.25 * before);
    });
    shown("dl-legs-locked-early", &pull(), &SIDE, &|moment, pose| {
        if moment.up < 1.0 {
            both(pose, 13, 0, -0.14 * bump(moment, 0.45, 0.2));
            both(pose, 11, 1, 0.1 * bump(moment, 0.45, 0.2));
        }
    });
}

#[test]
fn every_deadlift_starts_further_away() {
    shown("dl-reps-shift", &pull(), &SIDE, &|moment, pose| {
        bar(pose, 0, 0.04 * moment.rep as f64);
    });
}

#[test]
fn the_bar_is_let_go() {
    let dropped = Set {
        down_s: 0.42,
        ..pull()
    };
    assert!(super::probability(&super::measure(&dropped, &SIDE), "dl-lower-dropped") > 0.8);
    assert!(super::probability(&super::measure(&pull(), &SIDE), "dl-lower-dropped") < 0.1);
}

#[test]
fn the_deadlift_ends_leaning_back_or_with_soft_knees() {
    let back = Set {
        soft_deg: -15.0,
        ..pull()
    };
    assert!(super::probability(&super::measure(&back, &SIDE), "dl-lean-back") > 0.8);
    assert!(super::probability(&super::measure(&pull(), &SIDE), "dl-lean-back") < 0.3);
    shown("dl-knees-soft-end", &pull(), &SIDE, &|_, pose| {
        both(pose, 13, 0, 0.1);
    });
}
