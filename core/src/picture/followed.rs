//! The way of a followed bar stays on the page, to one scale, and is told from its neighbour.
#![allow(clippy::unwrap_used)]

use super::{WIDE, of_followed_set, of_motion};
use crate::motion::{Camera, Followed, Motion, Path, Rep};
use crate::report::Lift;
use std::collections::BTreeMap;

/// A bar that goes 0.5 m down and up again in so many repetitions, 10 cm forward at the bottom.
fn squats(reps: usize, camera: Camera) -> Followed {
    let (fps, each) = (30.0, 60);
    let at = |i: usize| (std::f64::consts::PI * (i % each) as f64 / each as f64).sin();
    let count = reps * each + 1;
    let path = Path {
        x: (0..count).map(|i| 0.1 * at(i)).collect(),
        y: (0..count).map(|i| 1.4 - 0.5 * at(i)).collect(),
        vx: vec![0.0; count],
        vy: (0..count).map(|i| 0.5 - at(i)).collect(),
        trust: vec![1.0; count],
        jitter: 0.002,
        bias: 0.005,
    };
    let rep = |at: usize| Rep {
        start: at * each,
        bottom: at * each + each / 2,
        go: at * each + each / 2,
        top: (at + 1) * each,
        end: (at + 1) * each,
        range: 0.5,
        missed: false,
        measured: true,
    };
    Followed {
        motion: Motion {
            lift: Lift::Squat,
            fps,
            cutoff: 6.0,
            camera,
            bar: Some(path),
            other_end: None,
            bar_is_body: false,
            body: BTreeMap::new(),
            near_left: true,
            notes: Vec::new(),
        },
        reps: (0..reps).map(rep).collect(),
    }
}

/// All points of the lines in a colour: x, y.
fn points(svg: &str, stroke: &str) -> Vec<(f64, f64)> {
    let lines = svg
        .split("<path d=\"")
        .skip(1)
        .filter(|tag| tag.contains(stroke));
    lines
        .flat_map(|tag| {
            let path = tag.split('"').next().unwrap();
            path.split(['M', 'L'])
                .filter_map(|pair| {
                    let (x, y) = pair.split_once(' ')?;
                    Some((x.parse().ok()?, y.parse().ok()?))
                })
                .collect::<Vec<(f64, f64)>>()
        })
        .collect()
}

#[test]
fn the_way_of_the_bar_is_drawn_to_one_scale_both_ways() {
    let svg = of_motion(&squats(1, Camera::Side)).unwrap();
    let way = points(&svg, "#4b3460");
    let span = |of: fn(&(f64, f64)) -> f64| {
        let of: Vec<f64> = way.iter().map(of).collect();
        of.iter().copied().fold(f64::MIN, f64::max) - of.iter().copied().fold(f64::MAX, f64::min)
    };
    // 10 cm forward and 50 cm down.
    assert!((span(|p| p.1) / span(|p| p.0) - 5.0).abs() < 0.05, "{svg}");
}

#[test]
fn down_is_told_from_up_without_colour_and_each_repetition_has_its_number() {
    let svg = of_motion(&squats(3, Camera::Side)).unwrap();
    assert_eq!(svg.matches("stroke-dasharray").count(), 3);
    assert_eq!(
        svg.matches("stroke-width=\"8\" fill=\"none\" stroke-linecap")
            .count(),
        3
    );
    assert!(!svg.contains("<text"));
}

#[test]
fn from_the_front_no_way_is_drawn_only_height_and_speed() {
    let svg = of_motion(&squats(2, Camera::FrontOrRear)).unwrap();
    assert_eq!(svg.matches("stroke-dasharray").count(), 0);
}

#[test]
fn everything_stays_on_the_page_and_a_gap_breaks_the_line() {
    let mut set = squats(2, Camera::Side);
    let bar = set.motion.bar.as_mut().unwrap();
    for at in 40..55 {
        bar.trust[at] = 0.0;
        bar.y[at] = f64::NAN;
    }
    let svg = of_followed_set(Some(&set), None, &[]).unwrap();
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    for (x, y) in points(&svg, "stroke") {
        assert!(
            (0.0..=WIDE).contains(&x) && (0.0..=1300.0).contains(&y),
            "{x} {y}"
        );
    }
    let whole = of_motion(&squats(2, Camera::Side)).unwrap();
    assert!(svg.matches('M').count() > whole.matches('M').count());
    assert_eq!(
        svg,
        of_motion(&set).unwrap(),
        "the same set, the same bytes"
    );
}

#[test]
fn without_a_path_there_is_nothing_to_draw() {
    let mut set = squats(1, Camera::Side);
    set.motion.bar = None;
    assert_eq!(of_motion(&set), None);
}
