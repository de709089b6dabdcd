//! Kilograms labelled pounds, and figures that are seldom true.

use super::super::{
    Plausibility, UnitAction, estimate_doubts, from_set, mix_up_probability, plausible, unit_doubt,
};
use super::{at_rpe, printed, set};
use crate::quantity::{Mass, MassUnit};
use crate::report::{Lift, Plates, SetReport};

#[test]
fn the_probability_of_a_mix_up_follows_the_two_normal_laws() {
    let k = 2.204_622_621_848_775_7_f64.ln();
    // Log-likelihood ratio k^2 / (2 s^2) at d = k: 31.248967 for s = 0.10.
    let prior = (0.02_f64 / 0.98).ln();
    let at_k = mix_up_probability(k, 0.10, MassUnit::Kg);
    let expected = 1.0 / (1.0 + (-(prior + 31.248_967_f64)).exp());
    assert!((at_k - expected).abs() < 1e-12);
    // Nine in ten at d = 0.4723 with the prior of 0.02 (worked out in another language).
    printed(
        mix_up_probability(0.472_300_449, 0.10, MassUnit::Kg),
        0.9,
        6,
    );
    printed(
        mix_up_probability(-0.472_300_449, 0.10, MassUnit::Lb),
        0.9,
        6,
    );
    assert!(mix_up_probability(0.0, 0.10, MassUnit::Kg) < 1e-10);
    // A label that errs the other way is no mix-up of this kind.
    assert!(mix_up_probability(-k, 0.10, MassUnit::Kg) < 1e-10);
}

#[test]
fn a_hundred_and_forty_kilos_written_as_pounds_is_asked_about() {
    let report = at_rpe(140.0, 3, 8.0, 8.0);
    let doubt = unit_doubt(&report, Some(160.0)).unwrap();
    assert_eq!(doubt.action, UnitAction::Ask);
    assert_eq!(doubt.meant, MassUnit::Kg);
    assert_eq!(doubt.then, Mass::new(140.0, MassUnit::Kg));
    assert!(doubt.probability.unwrap() > 0.99);
}

#[test]
fn a_set_that_fits_the_level_raises_no_doubt() {
    let mut report = at_rpe(315.0, 3, 8.0, 8.0);
    assert_eq!(unit_doubt(&report, Some(160.0)), None);
    report.best = Some(super::best(365.0, None, None));
    assert_eq!(unit_doubt(&report, None), None);
    // A light day is no mix-up either.
    let light = at_rpe(225.0, 3, 7.0, 7.0);
    assert_eq!(unit_doubt(&light, Some(160.0)), None);
}

#[test]
fn between_three_and_nine_in_ten_the_coach_looks() {
    // 160 kg known; d = -0.45 gives about 0.63.
    let mut report = at_rpe(1.0, 3, 8.0, 8.0);
    let multiple = super::super::formulas::multiple(5.0);
    report.load = Some(Mass::from_kg(
        160.0 * (-0.45_f64).exp() / multiple,
        MassUnit::Lb,
    ));
    let doubt = unit_doubt(&report, Some(160.0)).unwrap();
    assert_eq!(doubt.action, UnitAction::Coach);
    assert!((0.3..0.9).contains(&doubt.probability.unwrap()));
}

#[test]
fn without_a_level_only_an_implausible_label_raises_it() {
    let bench = |value: f64, unit| SetReport {
        lift: Some(Lift::Bench),
        load: Some(Mass::new(value, unit)),
        reps: Some(3),
        ..SetReport::default()
    };
    let doubt = unit_doubt(&bench(315.0, MassUnit::Kg), None).unwrap();
    assert_eq!((doubt.meant, doubt.probability), (MassUnit::Lb, None));
    assert_eq!(doubt.action, UnitAction::Ask);
    let doubt = unit_doubt(&bench(20.0, MassUnit::Lb), None).unwrap();
    assert_eq!(doubt.meant, MassUnit::Kg);
    assert_eq!(unit_doubt(&bench(140.0, MassUnit::Kg), None), None);
    // 225 kg is only odd against the body that lifted it.
    let mut small = bench(225.0, MassUnit::Kg);
    assert_eq!(unit_doubt(&small, None), None);
    small.body_mass = Some(Mass::new(60.0, MassUnit::Kg));
    assert_eq!(unit_doubt(&small, None).unwrap().meant, MassUnit::Lb);
}

#[test]
fn record_loads_and_multiples_of_body_mass_go_to_the_coach() {
    let mut report = set(900.0, 1);
    report.body_mass = Some(Mass::new(150.0, MassUnit::Lb));
    let odd = plausible(&report);
    assert_eq!(odd.len(), 2);
    assert!(odd.iter().all(|odd| matches!(odd, Plausibility::Coach(_))));
    assert_eq!(
        odd[0],
        Plausibility::Coach(
            "the load of 900 lb (408.2 kg) is above 882 lb (400 kg), which few have done in a \
             squat"
                .to_owned()
        )
    );
    assert!(plausible(&set(405.0, 1)).is_empty());
    // Raw records of the three lifts lie above these: squat 490, bench 322, deadlift 500 kg.
    for (lift, most) in [
        (Lift::Squat, 400.0),
        (Lift::Bench, 270.0),
        (Lift::Deadlift, 420.0),
    ] {
        let mut report = set(1.0, 1);
        report.lift = Some(lift);
        report.load = Some(Mass::new(most, MassUnit::Kg));
        assert!(plausible(&report).is_empty(), "{lift}");
        report.load = Some(Mass::new(most + 1.0, MassUnit::Kg));
        assert_eq!(plausible(&report).len(), 1, "{lift}");
    }
    for (lift, times) in [
        (Lift::Squat, 5.0),
        (Lift::Bench, 3.5),
        (Lift::Deadlift, 6.0),
    ] {
        let mut report = set(1.0, 1);
        report.lift = Some(lift);
        report.body_mass = Some(Mass::new(60.0, MassUnit::Kg));
        report.load = Some(Mass::new(60.0 * times, MassUnit::Kg));
        assert!(plausible(&report).is_empty(), "{lift}");
        report.load = Some(Mass::new(60.0 * times + 1.0, MassUnit::Kg));
        assert_eq!(plausible(&report).len(), 1, "{lift}");
    }
}

#[test]
fn less_than_the_bar_is_asked_about_unless_it_is_a_lighter_bar() {
    let mut report = set(40.0, 5);
    assert!(matches!(plausible(&report)[..], [Plausibility::Ask(_)]));
    for empty in [45.0, 35.0] {
        report.load = Some(Mass::new(empty, MassUnit::Lb));
        assert!(plausible(&report).is_empty(), "{empty}");
    }
    report.plates = Some(Plates {
        unit: MassUnit::Lb,
        bar: 55.0,
        collars: 0.0,
        pairs: Vec::new(),
    });
    report.load = Some(Mass::new(45.0, MassUnit::Lb));
    assert!(matches!(plausible(&report)[..], [Plausibility::Ask(_)]));
}

#[test]
fn an_uncertain_estimate_says_why() {
    let doubts = |report: &SetReport| estimate_doubts(&from_set(report).unwrap(), report);
    assert!(doubts(&at_rpe(330.0, 3, 8.0, 9.0)).is_empty());
    assert!(doubts(&super::to_failure(330.0, 3)).is_empty());
    assert!(matches!(doubts(&set(330.0, 3))[..], [Plausibility::Ask(_)]));
    assert!(matches!(
        doubts(&at_rpe(200.0, 11, 9.0, 9.0))[..],
        [Plausibility::Coach(_), Plausibility::Coach(_)]
    ));
}
