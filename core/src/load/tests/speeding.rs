//! What a followed bar's speed adds to an estimate.

use crate::load::{BarSpeed, Estimate, estimate, group_percent, group_velocity, with_speed};
use crate::quantity::{Effort, Mass, MassUnit, Span};
use crate::report::{Lift, SetReport};

fn hard(lift: Lift) -> SetReport {
    SetReport {
        lift: Some(lift),
        load: Some(Mass::new(140.0, MassUnit::Kg)),
        reps: Some(3),
        effort: Some(Effort::Rpe(Span::exactly(8.0))),
        ..SetReport::default()
    }
}

fn speed(mean: f64) -> BarSpeed {
    BarSpeed { mean, error: 0.02 }
}

/// The speed that the group curve has for this best single.
fn at_best(lift: Lift, best: f64) -> BarSpeed {
    speed(group_velocity(lift, 100.0 * 140.0 / best).unwrap())
}

fn judged(report: &SetReport, speed: BarSpeed) -> (Estimate, Option<Estimate>) {
    let alone = estimate(report).unwrap();
    let with = with_speed(&alone, report, speed);
    (alone, with)
}

#[test]
fn a_slow_bar_lowers_the_estimate_and_a_fast_one_never_raises_its_lower_end() {
    let report = hard(Lift::Squat);
    let alone = estimate(&report).unwrap();
    let slow = with_speed(&alone, &report, at_best(Lift::Squat, alone.kg * 0.95)).unwrap();
    assert!(slow.kg < alone.kg && slow.low_kg < alone.low_kg);
    let fast = with_speed(&alone, &report, at_best(Lift::Squat, alone.kg * 1.08)).unwrap();
    assert!(fast.kg > alone.kg);
    assert!(fast.low_kg <= alone.low_kg);
    assert!(fast.basis.last().unwrap().contains("group curve"));
}

#[test]
fn the_weights_are_the_precisions_of_both() {
    // By hand: two estimates on the log scale, weighted by one over their variance.
    let report = hard(Lift::Squat);
    let (alone, with) = judged(&report, at_best(Lift::Squat, 160.0));
    let with = with.unwrap();
    let share = (with.kg.ln() - alone.kg.ln()) / (160.0_f64.ln() - alone.kg.ln());
    // The curve's own error of 4 %, a video's 0.05 m/s, and the trace's 0.02 m/s.
    let slope = 50.71 + 2.0 * 5.961 * at_best(Lift::Squat, 160.0).mean;
    let percent = group_percent(Lift::Squat, at_best(Lift::Squat, 160.0).mean).unwrap();
    let of_speed = (4.02_f64.powi(2) + (slope * 0.05).powi(2) + (slope * 0.02).powi(2)).sqrt();
    let of_speed = (of_speed / percent).powi(-2);
    let wanted = of_speed / (of_speed + alone.sigma.powi(-2));
    assert!((share - wanted).abs() < 0.01, "{share} against {wanted}");
}

#[test]
fn only_a_hard_free_set_of_a_lift_with_a_curve_says_anything_by_its_speed() {
    let silent = |change: fn(&mut SetReport)| {
        let mut report = hard(Lift::Squat);
        change(&mut report);
        judged(&report, at_best(Lift::Squat, 160.0)).1.is_none()
    };
    assert!(!silent(|_| {}));
    assert!(silent(
        |report| report.effort = Some(Effort::Rpe(Span::exactly(6.0)))
    ));
    assert!(silent(|report| report.variant.pause_seconds = Some(2.0)));
    assert!(judged(&hard(Lift::Deadlift), speed(0.3)).1.is_none());
    assert!(judged(&hard(Lift::Squat), speed(0.01)).1.is_none());
    assert!(judged(&hard(Lift::Squat), speed(f64::NAN)).1.is_none());
}

#[test]
fn a_speed_that_tells_of_another_lifter_is_left_out_and_said() {
    let report = hard(Lift::Bench);
    let (alone, with) = judged(&report, at_best(Lift::Bench, 400.0));
    let with = with.unwrap();
    assert_eq!(with.kg, alone.kg);
    assert!(with.basis.last().unwrap().contains("left out"));
}
