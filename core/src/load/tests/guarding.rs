//! Steps between loads.

use super::super::{
    JumpLevel, jump_between_sets, jump_of_estimate, jump_since_last, percent_after_layoff,
};
use crate::quantity::Span;
use crate::report::Lift;

#[test]
fn a_step_since_last_time_is_pointed_out_over_five_percent_and_held_over_ten() {
    let level = |new, lift| jump_since_last(100.0, new, lift).map(|warning| warning.level);
    assert_eq!(level(105.0, Lift::Squat), None);
    assert_eq!(level(105.5, Lift::Squat), Some(JumpLevel::Flag));
    assert_eq!(level(110.0, Lift::Deadlift), Some(JumpLevel::Flag));
    assert_eq!(level(110.5, Lift::Deadlift), Some(JumpLevel::Block));
    assert_eq!(level(102.5, Lift::Bench), None);
    assert_eq!(level(103.0, Lift::Bench), Some(JumpLevel::Flag));
    assert_eq!(level(90.0, Lift::Bench), None);
    let warning = jump_since_last(100.0, 112.0, Lift::Squat).unwrap();
    super::close(warning.percent, 12.0, 1e-9);
    super::close(warning.accepted_percent, 5.0, 1e-12);
}

#[test]
fn nonsense_loads_give_no_warning_rather_than_a_wrong_one() {
    for bad in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        assert_eq!(jump_since_last(bad, 100.0, Lift::Squat), None);
        assert_eq!(jump_since_last(100.0, bad, Lift::Squat), None);
    }
}

#[test]
fn jumps_between_work_sets_matter_more_the_heavier_they_are() {
    assert!(jump_between_sets(100.0, 130.0, 200.0).is_none(), "to 65 %");
    assert!(
        jump_between_sets(140.0, 152.0, 200.0).is_none(),
        "9 % to 76 %"
    );
    assert!(
        jump_between_sets(135.0, 152.0, 200.0).is_some(),
        "13 % to 76 %"
    );
    assert!(
        jump_between_sets(165.0, 178.0, 200.0).is_some(),
        "8 % to 89 %"
    );
    assert!(
        jump_between_sets(170.0, 178.0, 200.0).is_none(),
        "5 % to 89 %"
    );
}

#[test]
fn an_estimate_that_leaps_within_a_month_is_asked_about() {
    assert!(jump_of_estimate(200.0, 231.0, 3.0).is_some());
    assert!(jump_of_estimate(200.0, 229.0, 3.0).is_none());
    assert!(jump_of_estimate(200.0, 231.0, 5.0).is_none());
}

#[test]
fn the_way_back_after_a_layoff_starts_lower_the_longer_it_was() {
    assert_eq!(percent_after_layoff(1.0), None);
    assert_eq!(percent_after_layoff(2.0), Some(Span::exactly(90.0)));
    assert_eq!(percent_after_layoff(4.0), Some(Span::exactly(80.0)));
    assert_eq!(percent_after_layoff(9.0), Some(Span::new(60.0, 70.0)));
}
