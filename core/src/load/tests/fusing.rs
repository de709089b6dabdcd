//! A set weighed against the best single the lifter named.

use super::super::{estimate, estimate_on, from_best, from_set};
use super::{at_rpe, best, printed, set, to_failure};
use crate::report::{BarPosition, SetReport};
use jiff::civil::date;

/// 330 lb x 3 at 8 to 9: 374.403 lb, spread 0.040857.
fn with_best(value: f64, when: Option<&str>, tested: Option<bool>) -> SetReport {
    SetReport {
        best: Some(best(value, when, tested)),
        ..at_rpe(330.0, 3, 8.0, 9.0)
    }
}

#[test]
fn a_lifted_and_dated_best_is_weighed_by_precision() {
    // Precision-weighted mean of two normal laws (any textbook), worked out in another language.
    let found = estimate(&with_best(380.0, Some("2026-03-01"), Some(true))).unwrap();
    printed(found.point().value, 378.102_434_8, 6);
    printed(found.sigma, 0.023_732_155, 8);
    printed(found.low().value, 366.775_949, 5);
    printed(found.high().value, 389.778_696, 5);
    assert_eq!(
        found.basis.last().unwrap(),
        "best single 380 lb (172.4 kg), lifted, 2026-03-01"
    );
}

#[test]
fn a_best_nobody_dated_counts_for_less() {
    let found = estimate(&with_best(380.0, None, Some(true))).unwrap();
    printed(found.point().value, 376.167_382_9, 6);
    printed(found.sigma, 0.033_770_923, 8);
    let worked_out = estimate(&with_best(380.0, Some("2026-03-01"), Some(false))).unwrap();
    assert!((worked_out.kg - found.kg).abs() < 1e-9);
}

#[test]
fn disagreement_widens_the_result_by_the_ratio_of_birge() {
    // Scale factor as the Particle Data Group uses it: |difference| over its spread, here 1.318.
    let found = estimate(&with_best(400.0, Some("2026-03-01"), Some(true))).unwrap();
    printed(found.point().value, 391.173_971_6, 6);
    printed(found.sigma, 0.031_268_026, 8);
}

#[test]
fn an_old_best_counts_for_less_when_the_day_is_known() {
    let report = with_best(400.0, Some("2025-03-02"), Some(true));
    let found = estimate_on(&report, date(2026, 3, 1)).unwrap();
    printed(found.point().value, 382.649_338_1, 6);
    printed(found.sigma, 0.033_457_347, 8);
    assert_eq!(
        estimate_on(&report, date(2025, 3, 2)).unwrap(),
        estimate(&report).unwrap()
    );
}

#[test]
fn a_best_that_does_not_fit_or_is_already_reached_is_left_out_and_said() {
    for (value, said) in [(500.0, "does not fit"), (330.0, "already reaches")] {
        let report = with_best(value, Some("2026-03-01"), Some(true));
        let found = estimate(&report).unwrap();
        let alone = from_set(&report).unwrap();
        assert_eq!((found.kg, found.low_kg), (alone.kg, alone.low_kg));
        assert!(
            found.basis.last().unwrap().contains(said),
            "{:?}",
            found.basis
        );
    }
}

#[test]
fn a_front_squat_is_not_weighed_against_the_best_back_squat() {
    let mut report = with_best(380.0, Some("2026-03-01"), Some(true));
    report.variant.bar_position = Some(BarPosition::Front);
    let found = estimate(&report).unwrap();
    assert_eq!(found.kg, from_set(&report).unwrap().kg);
    assert!(found.basis.last().unwrap().contains("another variant"));
}

#[test]
fn the_result_is_never_below_what_was_done() {
    let mut report = set(400.0, 1);
    report.effort = at_rpe(1.0, 1, 10.0, 10.0).effort;
    report.best = Some(best(401.0, Some("2026-03-01"), Some(true)));
    let found = estimate(&report).unwrap();
    assert!(found.low().value >= 400.0 - 1e-9);
    assert!(found.low_kg <= found.kg && found.kg <= found.high_kg);
}

#[test]
fn a_missed_attempt_leaves_the_named_best_as_the_only_word() {
    let mut report = to_failure(410.0, 0);
    report.best = Some(best(400.0, Some("2026-03-01"), Some(true)));
    assert!(estimate(&report).is_err());
    let found = from_best(&report, None).unwrap();
    assert!((found.point().value - 400.0).abs() < 1e-9);
    assert!(found.low_kg < found.kg && found.kg < found.high_kg);
    report.load = to_failure(390.0, 0).load;
    assert_eq!(
        from_best(&report, None),
        None,
        "missed below it: it no longer holds"
    );
}
