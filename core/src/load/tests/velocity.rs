//! Load against velocity, with the published curves.

use super::super::{
    EffortDoubt, NoVelocity, VelocityLine, VelocityPoint, effort_doubt, from_group_curve,
    group_percent, group_velocity, velocity_of_best,
};
use super::{close, printed};
use crate::quantity::{Effort, Span};
use crate::report::Lift;

fn points(pairs: &[(f64, f64)]) -> Vec<VelocityPoint> {
    pairs
        .iter()
        .map(|&(kg, velocity)| VelocityPoint { kg, velocity })
        .collect()
}

const PULLS: [(f64, f64); 4] = [(140.0, 0.52), (160.0, 0.43), (180.0, 0.33), (200.0, 0.24)];

#[test]
fn group_curves_give_the_percentages_of_their_papers() {
    // González-Badillo and Sánchez-Medina 2010 (bench), Sánchez-Medina et al. 2017 (squat);
    // coefficients from memory, values by an independent program.
    for (lift, velocity, percent) in [
        (Lift::Bench, 0.16, 100.7857),
        (Lift::Bench, 0.30, 91.0386),
        (Lift::Bench, 0.50, 77.6876),
        (Lift::Bench, 0.80, 58.9261),
        (Lift::Squat, 0.30, 101.2505),
        (Lift::Squat, 0.50, 90.1548),
        (Lift::Squat, 0.80, 72.6170),
        (Lift::Squat, 1.00, 60.3290),
    ] {
        printed(group_percent(lift, velocity).unwrap(), percent, 4);
    }
    for (percent, bench, squat) in [
        (90.0, 0.31520, 0.50273),
        (80.0, 0.46462, 0.67593),
        (70.0, 0.62001, 0.84325),
        (60.0, 0.78215, 1.00525),
    ] {
        printed(group_velocity(Lift::Bench, percent).unwrap(), bench, 5);
        printed(group_velocity(Lift::Squat, percent).unwrap(), squat, 5);
    }
    assert_eq!(group_percent(Lift::Deadlift, 0.3), None);
}

#[test]
fn four_pulls_make_a_line_and_a_best_single_with_its_spread() {
    // numpy.polyfit: load = 250.8145 - 212.6697 v.
    let line = VelocityLine::fit(&points(&PULLS), Lift::Deadlift).unwrap_err();
    // 60 kg apart is 27 % of the best single and 0.28 m/s: under both limits.
    assert!(matches!(line, NoVelocity::TooClose { .. }), "{line}");
    let mut more = PULLS.to_vec();
    more.insert(0, (120.0, 0.62));
    let line = VelocityLine::fit(&points(&more), Lift::Deadlift).unwrap();
    let best = line.best_single(velocity_of_best(Lift::Deadlift)).unwrap();
    assert!(best.low_kg < best.kg && best.kg < best.high_kg && !best.from_group);
    assert!(best.sigma >= 0.05);
}

#[test]
fn the_line_is_that_of_numpy_polyfit() {
    // numpy.polyfit of the four pulls alone, read off a line whose span is judged wide enough.
    let line = VelocityLine::through(&points(&PULLS)).unwrap();
    printed(line.at_rest, 250.8145, 4);
    printed(line.slope, -212.6697, 4);
    let at = velocity_of_best(Lift::Deadlift);
    printed(line.load_at(at.mean), 221.0407, 4);
    printed(line.load_at(at.mean + at.sd), 210.4072, 4);
    printed(line.load_at(at.mean - at.sd), 231.6742, 4);
}

#[test]
fn a_line_is_refused_when_it_says_nothing() {
    let fit = |pairs: &[(f64, f64)]| VelocityLine::fit(&points(pairs), Lift::Squat).unwrap_err();
    assert_eq!(fit(&PULLS[..3]), NoVelocity::TooFew(3));
    // The same load twice is one load.
    let twice = [(140.0, 0.5), (140.0, 0.6), (160.0, 0.4), (180.0, 0.3)];
    assert_eq!(fit(&twice), NoVelocity::TooFew(3));
    let rising = [(100.0, 0.3), (120.0, 0.4), (140.0, 0.5), (160.0, 0.6)];
    assert_eq!(fit(&rising), NoVelocity::NotFalling);
    let level = [(100.0, 0.3), (120.0, 0.3), (140.0, 0.3), (160.0, 0.3)];
    assert_eq!(fit(&level), NoVelocity::NotFalling);
    let scattered = [(100.0, 0.9), (120.0, 0.4), (140.0, 0.8), (160.0, 0.3)];
    assert!(matches!(fit(&scattered), NoVelocity::Scattered(_)));
    let odd = [(100.0, f64::NAN), (120.0, 0.4), (140.0, 0.8), (160.0, 0.3)];
    assert!(fit(&odd).to_string().contains("accepted 0.02 to 2.5"));
}

#[test]
fn the_fastest_repetition_of_a_load_counts() {
    let base = [(80.0, 0.95), (100.0, 0.80), (120.0, 0.62), (140.0, 0.45)];
    let mut slower = base.to_vec();
    slower.push((100.0, 0.6));
    let fit = |pairs: &[(f64, f64)]| VelocityLine::fit(&points(pairs), Lift::Squat).unwrap();
    assert_eq!(fit(&base), fit(&slower));
}

#[test]
fn the_group_curve_is_a_labelled_fallback_and_never_reads_over_the_best() {
    let point = VelocityPoint {
        kg: 100.0,
        velocity: 0.5,
    };
    let bench = from_group_curve(Lift::Bench, point).unwrap();
    assert!(bench.from_group);
    close(bench.kg, 100.0 / 0.776_876, 1e-5);
    // 0.05 m/s of video error is about 3 % of the best single at 0.4 m/s.
    assert!(bench.sigma > 0.05);
    let single = VelocityPoint {
        kg: 150.0,
        velocity: 0.10,
    };
    assert_eq!(
        from_group_curve(Lift::Bench, single),
        Err(NoVelocity::NoCurve),
        "a strong lifter's single reads over 100 %"
    );
    assert_eq!(
        from_group_curve(Lift::Deadlift, point),
        Err(NoVelocity::NoCurve)
    );
}

#[test]
fn velocity_only_raises_questions_about_effort() {
    let at_best = velocity_of_best(Lift::Squat);
    let rpe = |low, high| Effort::Rpe(Span::new(low, high));
    assert_eq!(
        effort_doubt(rpe(7.0, 7.0), 0.45, 0.27, at_best),
        Some(EffortDoubt::HarderThanSaid)
    );
    assert_eq!(effort_doubt(rpe(7.0, 7.0), 0.45, 0.38, at_best), None);
    assert_eq!(
        effort_doubt(rpe(10.0, 10.0), 0.50, 0.47, at_best),
        Some(EffortDoubt::EasierThanSaid)
    );
    assert_eq!(effort_doubt(rpe(10.0, 10.0), 0.50, 0.25, at_best), None);
    assert_eq!(
        effort_doubt(rpe(10.0, 10.0), 0.24, 0.24, at_best),
        None,
        "one slow single at the limit cannot slow down"
    );
    assert_eq!(effort_doubt(rpe(8.0, 9.0), 0.45, 0.27, at_best), None);
    let left = Effort::Rir(Span::new(3.0, 4.0));
    assert_eq!(
        effort_doubt(left, 0.45, 0.27, at_best),
        Some(EffortDoubt::HarderThanSaid)
    );
}
