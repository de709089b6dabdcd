//! Filter, gains, thresholds and speeds against `NumPy` and `SciPy`; the figures are made by
//! `tests/reference/motion.py` with the versions named in the file.

use super::super::filter::{NoiseGains, corner, low_pass, slopes};
use super::super::grid::whole;
use super::{cut, followed, near, trace};
use crate::motion::{Camera, Motion, Path, Rep, TraceLimits, reps, speed_loss, speeds, sticking};
use crate::report::Lift;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Reference {
    filters: Filters,
    gains: Vec<Noise>,
    moves: Vec<Move>,
    propulsive: Throw,
    humps: Humps,
}

#[derive(Deserialize)]
struct Filters {
    input: Vec<f64>,
    cases: Vec<Filtered>,
}

#[derive(Deserialize)]
struct Filtered {
    fps: f64,
    cutoff: f64,
    corner: f64,
    x: Vec<f64>,
    v: Vec<f64>,
    a: Vec<f64>,
}

#[derive(Deserialize)]
struct Noise {
    fps: f64,
    cutoff: f64,
    gains: [f64; 4],
}

#[derive(Deserialize)]
struct Move {
    way: f64,
    time: f64,
    on: f64,
    off: f64,
    lost: f64,
    fastest: f64,
    mean: f64,
}

#[derive(Deserialize)]
struct Throw {
    fast: f64,
    time: f64,
    mean: f64,
    propulsive: f64,
}

#[derive(Deserialize)]
struct Humps {
    speed: Vec<f64>,
    height: Vec<f64>,
    from: usize,
    at: usize,
    until: usize,
    share: f64,
    depth: f64,
    mean: f64,
}

fn reference() -> Reference {
    let text = include_str!("../../../../tests/reference/motion.json");
    serde_json::from_str(text).expect("motion.json")
}

/// A bar with these heights and speeds, without noise.
fn motion(lift: Lift, fps: f64, y: Vec<f64>, vy: Vec<f64>) -> Motion {
    let bar = Path {
        x: vec![0.0; y.len()],
        vx: vec![0.0; y.len()],
        trust: vec![1.0; y.len()],
        jitter: 0.0,
        bias: 0.0,
        y,
        vy,
    };
    Motion {
        lift,
        fps,
        cutoff: 6.0,
        camera: Camera::Side,
        bar: Some(bar),
        other_end: None,
        bar_is_body: false,
        body: BTreeMap::new(),
        near_left: false,
        notes: Vec::new(),
    }
}

fn rep(go: usize, top: usize) -> Rep {
    Rep {
        start: go,
        bottom: go,
        go,
        top,
        end: top,
        range: 1.0,
        missed: false,
        measured: true,
    }
}

#[test]
fn the_filter_and_its_derivatives_agree_with_scipy() {
    let filters = reference().filters;
    for case in filters.cases {
        near("corner", corner(case.fps, case.cutoff), case.corner, 1e-9);
        let x = low_pass(&filters.input, case.fps, case.cutoff).unwrap();
        let v = slopes(&x, case.fps);
        let a = slopes(&v, case.fps);
        for at in 0..x.len() {
            near("place", x[at], case.x[at], 1e-11);
            near("speed", v[at], case.v[at], 1e-8);
            near("acceleration", a[at], case.a[at], 1e-5);
        }
    }
}

#[test]
fn what_is_left_of_noise_agrees_with_scipy() {
    for case in reference().gains {
        let found = NoiseGains::of(case.fps, case.cutoff);
        let found = [found.place, found.speed, found.acceleration, found.residual];
        for (found, wanted) in found.into_iter().zip(case.gains) {
            near("gain", found, wanted, 1e-6 * wanted);
        }
    }
}

#[test]
fn nine_samples_are_too_few_to_filter_and_ten_are_enough() {
    assert_eq!(low_pass(&[1.0; 9], 60.0, 6.0), None);
    for value in low_pass(&[1.0; 10], 60.0, 6.0).unwrap() {
        near("a constant stays", value, 1.0, 1e-12);
    }
}

#[test]
fn a_smooth_move_begins_and_ends_where_it_is_fast() {
    let limits = TraceLimits {
        speed_off: 0.05,
        ..TraceLimits::default()
    };
    for case in reference().moves {
        let fps = 1000.0;
        let time = |at: usize| at as f64 / fps;
        let smooth = |u: f64| super::generator::smooth(u);
        // A second of rest, down, a third of a second of pause, up, a second of rest.
        let height = |t: f64| {
            case.way
                * (1.0 - smooth((t - 1.0) / case.time) + smooth((t - 1.3 - case.time) / case.time))
        };
        let end = 2.3 + 2.0 * case.time;
        let y: Vec<f64> = (0..whole(end * fps)).map(|at| height(time(at))).collect();
        let motion = motion(Lift::Squat, fps, y.clone(), slopes(&y, fps));
        let found = reps(&motion, &limits);
        assert_eq!(found.len(), 1);
        let rep = &found[0];
        near("start", time(rep.start), 1.0 + case.on, 0.0021);
        near("go", time(rep.go), 1.3 + case.time + case.on, 0.0021);
        near("top", time(rep.top), 1.3 + case.time + case.off, 0.0021);
        near("lost", case.way - y[rep.top], case.lost, 2e-4);
        let speed = speeds(&motion, rep).unwrap();
        near("fastest", speed.fastest, case.fastest, 1e-4);
        near("mean", speed.mean, case.mean, 1e-3);
    }
}

#[test]
fn a_thrown_bar_is_pushed_only_until_it_slows_faster_than_it_would_fall() {
    let case = reference().propulsive;
    let fps = 5000.0;
    let angle = |at: usize| std::f64::consts::PI * at as f64 / fps / case.time;
    let count = whole((case.time * fps).round());
    let height = case.fast * case.time / std::f64::consts::PI;
    let y: Vec<f64> = (0..=count)
        .map(|at| height * (1.0 - angle(at).cos()))
        .collect();
    let vy = (0..=count).map(|at| case.fast * angle(at).sin()).collect();
    let found = speeds(&motion(Lift::Bench, fps, y, vy), &rep(0, count)).unwrap();
    near("mean", found.mean, case.mean, 1e-9);
    near("propulsive", found.propulsive, case.propulsive, 1e-5);
}

#[test]
fn the_bar_sticks_where_two_humps_of_speed_meet() {
    let case = reference().humps;
    let whole = case.height[case.height.len() - 1];
    let last = case.height.len() - 1;
    let motion = motion(Lift::Bench, 1000.0, case.height, case.speed);
    let found = sticking(&motion, &rep(0, last), whole, &TraceLimits::default()).unwrap();
    assert_eq!(
        (found.from, found.at, found.until),
        (case.from, case.at, Some(case.until))
    );
    near("share", found.height, case.share, 1e-12);
    near("depth", found.depth, case.depth, 1e-12);
    near(
        "mean",
        speeds(&motion, &rep(0, last)).unwrap().mean,
        case.mean,
        1e-6,
    );
}

#[test]
fn a_set_that_slows_loses_the_speed_it_was_made_to_lose() {
    use super::generator::Set;
    let set = Set {
        reps: 5,
        slowing: 0.1,
        ..Set::of(Lift::Bench, 60.0)
    };
    let text = super::lens::metres(&set);
    let motion = followed(Lift::Bench, &[trace("bar-track", "csv", text)]);
    let all: Option<Vec<_>> = cut(&motion)
        .iter()
        .map(|rep| speeds(&motion, rep))
        .collect();
    let loss = speed_loss(&all.unwrap()).unwrap();
    // The last way up takes 1.4 times as long as the first.
    near("loss", loss.from_first, 1.0 - 1.0 / 1.4, 0.02);
    near("best is first", loss.from_best, loss.from_first, 1e-9);
}
