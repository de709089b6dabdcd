//! Doses worked out for one lifter.

use super::super::formulas::{multiple, reps_to_failure};
use super::super::{Prescription, from_set, prescribe};
use super::{at_rpe, best, set, to_failure};
use crate::catalog::{Dose, LoadBasis};
use crate::quantity::{Effort, Mass, MassUnit, Span};
use crate::report::{AgeBand, Lift, Plates, SetReport};
use proptest::prelude::*;

/// Paused squats: 3-5 sets of 2-4 for six weeks.
fn paused(low: f64, high: f64) -> Dose {
    Dose {
        exercise: "paused squat".to_owned(),
        sets: Span::new(3.0, 5.0),
        reps: Span::new(2.0, 4.0),
        unit: None,
        percent: Some(Span::new(low, high)),
        of: LoadBasis::Lift,
        effort: None,
        weeks: Some(Span::new(3.0, 6.0)),
        note: "2 s pause".to_owned(),
    }
}

/// What is prescribed after a set.
fn after(report: &SetReport, dose: &Dose) -> Prescription {
    prescribe(dose, from_set(report).ok().as_ref(), report)
}

/// Totals week by week.
fn totals(plan: &Prescription) -> Vec<f64> {
    plan.weeks
        .iter()
        .map(|week| week.bar.as_ref().map_or(0.0, |bar| bar.total.value))
        .collect()
}

#[test]
fn paused_squats_rise_from_60_to_70_percent_over_six_weeks_rounded_down() {
    // 330 lb x 3 at 8 to 9 is 374.4 lb: 60 % is 224.6, 70 % is 262.1.
    let plan = after(&at_rpe(330.0, 3, 8.0, 9.0), &paused(60.0, 70.0));
    assert_eq!(totals(&plan), [220.0, 230.0, 235.0, 245.0, 250.0, 260.0]);
    let sets: Vec<u32> = plan.weeks.iter().map(|week| week.sets).collect();
    assert_eq!(sets, [3, 3, 3, 4, 4, 5]);
    assert!(plan.weeks.iter().all(|week| week.reps == 2));
    assert_eq!(
        plan.weeks[0].bar.as_ref().unwrap().per_side,
        [45.0, 35.0, 5.0, 2.5]
    );
    assert!(!plan.held_back);
    assert_eq!(plan.effort_cap, 8.0);
    assert_eq!(
        plan.basis,
        "60-70 % of the estimated best single, 374 lb (170 kg)"
    );
    assert_eq!(
        (plan.unit.as_str(), plan.note.as_str()),
        ("reps", "2 s pause")
    );
}

#[test]
fn a_wide_estimate_is_used_from_its_careful_end() {
    // 225 lb x 5 at 7: spread 0.062, lower end 258.8 lb; 60 % of it is 155.3.
    let plan = after(&at_rpe(225.0, 5, 7.0, 7.0), &paused(60.0, 60.0));
    assert_eq!(totals(&plan), [155.0; 6]);
    assert!(plan.basis.contains("careful end"), "{}", plan.basis);
    let reps: Vec<u32> = plan.weeks.iter().map(|week| week.reps).collect();
    assert_eq!(
        reps,
        [2, 2, 2, 3, 3, 4],
        "repetitions rise when the load does not"
    );
}

#[test]
fn nothing_goes_above_80_percent_of_the_careful_end() {
    // 330 lb x 3 at 8 to 9: lower end 355.3 lb, 80 % of it 284.2.
    let mut dose = paused(85.0, 100.0);
    dose.reps = Span::exactly(2.0);
    let plan = after(&at_rpe(330.0, 3, 8.0, 9.0), &dose);
    assert_eq!(totals(&plan), [280.0; 6]);
    assert!(plan.held_back);
    assert!(plan.note.contains("284 lb (129 kg)"), "{}", plan.note);
    assert!(plan.note.contains("coach"));
}

#[test]
fn eight_repetitions_are_held_to_what_effort_8_allows() {
    let mut dose = paused(80.0, 80.0);
    dose.reps = Span::exactly(8.0);
    dose.effort = Some(9.0);
    let report = at_rpe(330.0, 3, 8.0, 9.0);
    let plan = after(&report, &dose);
    // 8 with 2 in reserve is 10 to failure: 76.4 % of 355.3 is 271.3.
    assert_eq!(totals(&plan), [270.0; 6]);
    assert!(plan.held_back);
    assert_eq!(plan.effort_cap, 8.0);
    assert!(plan.note.contains("effort 8"), "{}", plan.note);
}

#[test]
fn repetitions_on_each_side_are_held_like_any() {
    let mut dose = paused(80.0, 80.0);
    dose.reps = Span::exactly(8.0);
    dose.unit = Some("each side".to_owned());
    let plan = after(&at_rpe(330.0, 3, 8.0, 9.0), &dose);
    assert_eq!(totals(&plan), [270.0; 6]);
    assert_eq!(plan.unit, "each side");
}

#[test]
fn only_a_best_that_was_lifted_shows_what_was_done() {
    let mut report = to_failure(135.0, 15);
    report.lift = Some(Lift::Bench);
    let mut dose = paused(95.0, 95.0);
    dose.reps = Span::exactly(1.0);
    for (tested, held) in [(Some(true), false), (Some(false), true), (None, true)] {
        report.best = Some(best(185.0, Some("2026-01-01"), tested));
        let plan = after(&report, &dose);
        assert_eq!(plan.note.contains("one small step"), held, "{}", plan.note);
    }
}

#[test]
fn no_plan_runs_longer_than_half_a_year() {
    let mut dose = paused(60.0, 70.0);
    dose.weeks = Some(Span::exactly(400.0));
    assert_eq!(after(&SetReport::default(), &dose).weeks.len(), 26);
    dose.weeks = Some(Span::exactly(0.0));
    assert_eq!(after(&SetReport::default(), &dose).weeks.len(), 1);
}

#[test]
fn a_set_of_fifteen_does_not_carry_a_bench_press_far_past_what_was_done() {
    let mut report = to_failure(135.0, 15);
    report.lift = Some(Lift::Bench);
    let mut dose = paused(95.0, 95.0);
    dose.reps = Span::exactly(1.0);
    let plan = after(&report, &dose);
    // 135 lb and one step of 2.5 % is 138.4; 80 % of the careful end would be 139.4.
    assert!(plan.note.contains("one small step"), "{}", plan.note);
    assert!(totals(&plan).iter().all(|total| *total == 135.0));
}

#[test]
fn a_minor_gets_sets_but_no_load() {
    let mut report = at_rpe(135.0, 5, 8.0, 8.0);
    report.age_band = Some(AgeBand::Under18);
    let plan = after(&report, &paused(60.0, 70.0));
    assert!(
        plan.weeks
            .iter()
            .all(|week| week.bar.is_none() && week.percent.is_none())
    );
    assert!(plan.held_back);
    assert!(plan.note.contains("adult in the room"), "{}", plan.note);
    assert_eq!(plan.basis, "");
    // Not even by feel on a bar; body weight is no load.
    let mut dose = paused(60.0, 70.0);
    dose.percent = None;
    assert!(after(&report, &dose).note.contains("adult in the room"));
    dose.of = LoadBasis::None;
    assert_eq!(after(&report, &dose).note, "2 s pause");
}

#[test]
fn without_an_estimate_the_load_is_set_by_feel() {
    let plan = after(&SetReport::default(), &paused(60.0, 70.0));
    assert_eq!(plan.weeks.len(), 6);
    assert!(plan.weeks.iter().all(|week| week.bar.is_none()));
    assert!(
        plan.note.contains("set it by feel: stop at effort 8"),
        "{}",
        plan.note
    );
}

#[test]
fn a_share_of_the_last_set_is_taken_of_its_load() {
    let mut dose = paused(80.0, 80.0);
    dose.of = LoadBasis::LastSet;
    dose.weeks = None;
    let report = at_rpe(315.0, 3, 9.0, 9.0);
    let plan = after(&report, &dose);
    assert_eq!(totals(&plan), [250.0]);
    assert_eq!(plan.basis, "80 % of this set's 315 lb (142.9 kg)");
    // With bands there is no estimate, but what was lifted bounds it: at most 80 % of the load.
    let mut bands = report;
    bands.setting.equipment.bands = Some(true);
    dose.percent = Some(Span::exactly(90.0));
    let plan = after(&bands, &dose);
    assert_eq!(totals(&plan), [250.0]);
    assert!(plan.held_back);
    // A load that was only missed proves nothing.
    let plan = after(&to_failure(315.0, 0), &dose);
    assert!(plan.weeks[0].bar.is_none());
}

#[test]
fn holds_count_seconds_and_exercises_of_their_own_have_no_bar() {
    let mut hold = paused(70.0, 70.0);
    hold.unit = Some("seconds".to_owned());
    hold.reps = Span::new(10.0, 20.0);
    hold.weeks = Some(Span::exactly(3.0));
    let plan = after(&at_rpe(330.0, 3, 8.0, 9.0), &hold);
    assert_eq!(plan.unit, "seconds");
    let seconds: Vec<u32> = plan.weeks.iter().map(|week| week.reps).collect();
    assert_eq!(seconds, [10, 15, 20]);
    assert_eq!(
        totals(&plan),
        [260.0; 3],
        "seconds are not repetitions to failure"
    );
    let mut front = paused(65.0, 75.0);
    front.of = LoadBasis::Exercise;
    let plan = after(&at_rpe(330.0, 3, 8.0, 9.0), &front);
    assert!(plan.weeks.iter().all(|week| week.bar.is_none()));
    assert!(plan.note.contains("by feel"));
}

#[test]
fn a_light_lifter_is_told_when_the_bar_alone_is_too_much() {
    let report = SetReport {
        load: Some(Mass::new(25.0, MassUnit::Kg)),
        effort: Some(Effort::Rpe(Span::exactly(8.0))),
        ..set(1.0, 5)
    };
    let plan = after(&report, &paused(60.0, 60.0));
    assert!(plan.weeks.iter().all(|week| week.bar.is_none()));
    assert!(
        plan.note.contains("empty bar of 20 kg (44.1 lb)"),
        "{}",
        plan.note
    );
}

#[test]
fn the_lifters_own_plates_are_used() {
    let mut report = at_rpe(330.0, 3, 8.0, 9.0);
    report.plates = Some(Plates {
        unit: MassUnit::Kg,
        bar: 20.0,
        collars: 0.0,
        pairs: vec![(20.0, 4)],
    });
    let plan = after(&report, &paused(70.0, 70.0));
    // 262.1 lb is 118.9 kg; with 20s alone, 100 kg.
    assert_eq!(totals(&plan), [100.0; 6]);
    assert_eq!(plan.weeks[0].bar.as_ref().unwrap().total.unit, MassUnit::Kg);
}

proptest! {
    #[test]
    fn no_rail_is_ever_crossed(
        load in 60.0..700.0_f64, reps in 1_u32..10, rpe in 13_u32..=20,
        percent in 20.0..110.0_f64, width in 0.0..20.0_f64, dose_reps in 1.0..8.0_f64,
        lifted in prop::option::of(0.9..1.3_f64), deadlift in any::<bool>(),
        last_set in any::<bool>(),
    ) {
        let rpe = f64::from(rpe) / 2.0;
        let mut report = at_rpe(load, reps, rpe, rpe);
        if deadlift { report.lift = Some(Lift::Deadlift); }
        report.best = lifted.map(|f| best(load * f, Some("2026-01-01"), Some(true)));
        let mut dose = paused(percent, percent + width);
        dose.reps = Span::new(dose_reps.floor(), dose_reps.floor() + 1.0);
        if last_set { dose.of = LoadBasis::LastSet; }
        let estimate = super::super::estimate(&report).unwrap();
        let plan = prescribe(&dose, Some(&estimate), &report);
        for week in &plan.weeks {
            let Some(bar) = &week.bar else { continue };
            let kg = bar.total.kg();
            prop_assert!(kg <= 0.8 * estimate.low_kg + 1e-5);
            let base = if last_set { Mass::new(load, MassUnit::Lb).kg() } else { estimate.kg };
            prop_assert!(kg <= base * (percent + width) / 100.0 + 1e-5);
            // RPE 8 leaves two.
            let left = reps_to_failure(estimate.low_kg, kg) - f64::from(week.reps);
            prop_assert!(left >= 2.0 - 1e-6 || kg >= estimate.low_kg / multiple(15.0));
        }
    }
}
