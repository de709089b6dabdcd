//! Sets without noise, against figures worked out elsewhere.
//!
//! The figures of the squats and the bench paths were worked out with `NumPy` 2.4.6 and `SciPy`
//! 1.17.1 from the same formulas of motion, on a grid of 30 samples a second.

use super::super::super::Camera;
use super::super::super::tests::generator::Set;
use super::super::super::tests::near;
use super::film::Film;
use super::{measure, probability, quantity};
use crate::report::Lift;

fn squat() -> Set {
    Set::of(Lift::Squat, 30.0)
}

/// Nothing but the shoulder stands for the bar, as in the formulas.
const BODY: Film = Film {
    bar: false,
    ..Film::CLEAR
};

#[test]
fn a_clean_squat_and_two_with_hips_that_shoot_up_are_measured_as_they_were_made() {
    for (shoot_deg, lead, lean) in [
        (0.0, 0.773, -9.67),
        (10.0, 0.985, -0.45),
        (20.0, 1.459, 8.77),
    ] {
        let found = measure(
            &Set {
                shoot_deg,
                ..squat()
            },
            &BODY,
        );
        near("lead", quantity(&found, "hips-lead").value, lead, 0.006);
        near("lean", quantity(&found, "lean-gain").value, lean, 0.1);
    }
}

#[test]
fn a_squat_with_thighs_eight_degrees_above_level_is_6_cm_high() {
    // The top of the hip lies 2 cm further above its joint than the top of the knee: our choice.
    let high = measure(
        &Set {
            high_deg: 8.0,
            ..squat()
        },
        &BODY,
    );
    near(
        "depth",
        quantity(&high, "squat-depth").value,
        0.0597 + 0.02,
        2e-4,
    );
    let level = measure(&squat(), &BODY);
    near("depth", quantity(&level, "squat-depth").value, 0.02, 2e-4);
}

#[test]
fn a_heel_that_rises_2_cm_lifts_the_ankle_as_much() {
    let found = measure(
        &Set {
            heel_m: 0.02,
            ..squat()
        },
        &BODY,
    );
    // Averaged over a little more than the time at the bottom.
    near("ankle", quantity(&found, "ankle-rise").value, 0.02, 8e-4);
    let flat = measure(&squat(), &BODY);
    near("ankle", quantity(&flat, "ankle-rise").value, 0.0, 1e-9);
}

#[test]
fn the_bench_bar_goes_back_early_or_late_as_its_path_was_made() {
    // Closed form: (1/3)^p.
    for (path, early) in [(0.5, 0.577_350), (1.0, 0.333_333), (2.0, 0.111_111)] {
        let set = Set {
            path,
            ..Set::of(Lift::Bench, 60.0)
        };
        let found = measure(&set, &Film::CLEAR);
        near("early", quantity(&found, "early-back").value, early, 0.002);
        near("offset", quantity(&found, "touch-offset").value, 0.1, 1e-3);
    }
}

#[test]
fn the_filter_leaves_the_share_of_the_way_back_as_scipy_finds_it() {
    // SciPy: noise-free, filtered at 4 Hz, 30 frames a second.
    let film = Film {
        filtered: true,
        ..Film::CLEAR
    };
    for (path, early) in [(0.5, 0.5771), (1.0, 0.3333), (2.0, 0.1114)] {
        let set = Set {
            path,
            ..Set::of(Lift::Bench, 30.0)
        };
        let found = measure(&set, &film);
        near("early", quantity(&found, "early-back").value, early, 0.004);
    }
}

#[test]
fn one_end_of_the_bar_a_tenth_of_a_second_late_tilts_it_by_its_way_in_that_time() {
    // Closed form: the peak speed 1.875 times way by time, over a bar of 1.31 m between its ends.
    let set = Set {
        right_late_s: 0.1,
        ..Set::of(Lift::Bench, 60.0)
    };
    let film = Film {
        camera: Camera::FrontOrRear,
        ..Film::CLEAR
    };
    let found = measure(&set, &film);
    let expected = (1.875_f64 * 0.45 / 1.6 * 0.1 / 1.31).atan().to_degrees();
    near("tilt", quantity(&found, "bar-tilt").value, expected, 0.03);
    assert!(probability(&found, "bp-uneven") > 0.9);
}

#[test]
fn a_deadlift_starts_as_the_body_was_built() {
    // Solved with SciPy: hip .6667 m over the floor (ankle .06825), shoulder 5 cm before the bar.
    let found = measure(&Set::of(Lift::Deadlift, 60.0), &Film::CLEAR);
    near(
        "ahead",
        quantity(&found, "shoulder-ahead").value,
        0.05,
        1e-3,
    );
    near("gap", quantity(&found, "shin-gap").value, 0.0, 1e-3);
    // Shin 7.6644 and thigh 23.614 degrees: the knee is what is left of a half turn.
    near(
        "knee",
        quantity(&found, "knee-at-start").value,
        180.0 - (7.6644 + 90.0 - 23.614),
        // The last sample at which the bar is taken to be still.
        0.3,
    );
    let about = super::About {
        expected_hip_height_m: Some((0.6667 - 0.068_25, 0.02)),
        ..super::About::default()
    };
    let found = super::measure_about(&Set::of(Lift::Deadlift, 60.0), &Film::CLEAR, &about);
    near("height", quantity(&found, "hip-height").value, 0.0, 2e-3);
}

#[test]
fn the_way_down_takes_its_time_and_is_as_fast_last_as_first() {
    // Closed form: the shape 10u³ - 15u⁴ + 6u⁵ passes 1 % at u = .1057 and 99 % at .8943.
    for down_s in [1.2, 3.0] {
        let set = Set {
            down_s,
            ..Set::of(Lift::Bench, 60.0)
        };
        let found = measure(&set, &Film::CLEAR);
        let timed = (0.8943 - 0.1057) * down_s;
        near("time", quantity(&found, "descent-time").value, timed, 0.04);
    }
    let slow = measure(
        &Set {
            down_s: 5.0,
            ..squat()
        },
        &BODY,
    );
    assert!(probability(&slow, "sq-slow-down") > 0.95);
    // A minimum-jerk way is symmetric; its fastest speed is 1.875 times way by time.
    let bench = measure(&Set::of(Lift::Bench, 60.0), &Film::CLEAR);
    near("rush", quantity(&bench, "descent-rush").value, 1.0, 0.02);
}

#[test]
fn a_bar_that_slows_in_its_middle_is_found_where_the_published_shape_puts_it() {
    // Two humps of speed, worked out with SciPy: least at 38.84 % of the way, .881 of the first
    // peak lost. The bench bar goes 45 cm.
    let set = Set {
        sticking: true,
        ..Set::of(Lift::Bench, 60.0)
    };
    let found = measure(&set, &Film::CLEAR);
    near("lost", quantity(&found, "slowing").value, 0.881, 0.02);
    near(
        "height",
        quantity(&found, "slowing-height").value,
        0.3884 * 0.45,
        0.003,
    );
    assert!(probability(&found, "bp-stall-mid") > 0.9);
    assert!(probability(&found, "bp-stall-chest") < 0.1);
    assert!(probability(&found, "bp-stall-top") < 0.1);
}

#[test]
fn speed_lost_over_the_set_is_that_of_the_times_it_took() {
    // Each way up takes a tenth longer than the first: the sixth takes one and a half times. Within
    // the window faster than 0.05 m/s (closed form of the shape) means are .3346 and .2329 m/s.
    let set = Set {
        reps: 6,
        slowing: 0.1,
        ..Set::of(Lift::Bench, 60.0)
    };
    let found = measure(&set, &Film::CLEAR);
    near(
        "loss",
        quantity(&found, "speed-loss").value,
        1.0 - 0.2329 / 0.3346,
        0.012,
    );
    near(
        "mean",
        quantity(&found, "rep-speed").per_rep[0].unwrap(),
        0.3346,
        0.015,
    );
}
