//! The language of conditions: what it reads, what it refuses, and what it knows of a set.

use crate::catalog::Condition;
use crate::quantity::{Effort, Mass, MassUnit, Span};
use crate::report::{
    AgeBand, BarPosition, Best, Competes, Equipment, Grip, Lift, SetReport, Setting, Shoes, Stance,
    Variant, View,
};
use proptest::prelude::*;

fn holds(text: &str, report: &SetReport) -> Option<bool> {
    Condition::parse(text)
        .unwrap_or_else(|error| panic!("{text}: {error}"))
        .holds(report)
}

fn told() -> SetReport {
    SetReport {
        lift: Some(Lift::Deadlift),
        variant: Variant {
            bar_position: Some(BarPosition::Special),
            stance: Some(Stance::Sumo),
            grip: Some(Grip::Hook),
            pause_seconds: Some(0.0),
        },
        load: Some(Mass::new(95.0, MassUnit::Kg)),
        reps: Some(1),
        effort: Some(Effort::Rpe(Span::new(9.0, 10.0))),
        best: Some(Best {
            value: 100.0,
            unit: MassUnit::Kg,
            date: None,
            tested: None,
        }),
        training_months: Some(11),
        age_band: Some(AgeBand::Under18),
        competes: Some(Competes::Planned),
        rule_set: Some("Flat feet, two-hour weigh-in".into()),
        setting: Setting {
            hand_off: Some(true),
            equipment: Equipment {
                belt: Some(true),
                bands: Some(false),
                shoes: Some(Shoes::Heeled),
                ..Equipment::default()
            },
            ..Setting::default()
        },
        view: Some(View::ThreeQuarter),
        ..SetReport::default()
    }
}

#[test]
fn a_condition_is_tested_against_what_the_lifter_said() {
    let report = told();
    for text in [
        "lift=deadlift",
        "bar=special",
        "stance=sumo",
        "grip=hook",
        "shoes=heeled",
        "competes=yes",
        "competes=planned",
        "age=under-18",
        "view=three-quarter",
        "rules=flat-feet",
        "feet_rule=flat",
        "hand_off=yes",
        "hand-off=yes",
        "equipment.belt=yes",
        "equipment.bands=no",
        "training_months<12",
        "training_months >= 11",
        "effort>=9.5",
        "reps<=1",
        "load_percent>=95",
        "pause_seconds=0",
        "straps=no",
    ] {
        assert_eq!(holds(text, &report), Some(true), "{text}");
    }
    for text in [
        "lift=squat",
        "bar=ordinary",
        "competes=no",
        "training_months>=12",
        "effort<9.5",
        "effort>9.5",
        "load_percent<95",
        "belt=no",
        "grip=straps",
        "feet_rule=toes",
    ] {
        assert_eq!(holds(text, &report), Some(false), "{text}");
    }
}

#[test]
fn what_the_lifter_did_not_say_is_unknown() {
    let silent = SetReport::default();
    for text in [
        "lift=squat",
        "bar=high",
        "shoes=flat",
        "training_months<12",
        "effort>=9.5",
        "load_percent>=95",
        "meet_soon=yes",
        "belt=no",
        "missed=no",
        "plates=bumper",
        "long_arms=yes",
        "answer.q-sq-pinch=only-deep",
    ] {
        assert_eq!(holds(text, &silent), None, "{text}");
    }
}

#[test]
fn a_load_in_pounds_is_compared_with_a_best_in_kilograms_by_mass() {
    // 220.462 lb = 100 kg (NIST SP 811, appendix B, to six figures).
    let report = SetReport {
        load: Some(Mass::new(220.462, MassUnit::Lb)),
        best: told().best,
        ..SetReport::default()
    };
    assert_eq!(holds("load_percent>99.9", &report), Some(true));
    assert_eq!(holds("load_percent<100.1", &report), Some(true));
}

#[test]
fn effort_in_repetitions_left_is_compared_as_rpe() {
    // Zourdos et al. 2016: RPE 10 leaves none, RPE 9 leaves one.
    let left = |reps| SetReport {
        effort: Some(Effort::Rir(Span::exactly(reps))),
        ..SetReport::default()
    };
    assert_eq!(holds("effort>=9.5", &left(0.0)), Some(true));
    assert_eq!(holds("effort>=9.5", &left(1.0)), Some(false));
}

#[test]
fn a_meet_soon_is_known_from_the_answer_or_from_not_competing() {
    let mut report = SetReport::default();
    report.answers.insert("q-sq-meet".into(), "Yes".into());
    assert_eq!(holds("meet_soon=yes", &report), Some(true));
    let report = SetReport {
        competes: Some(Competes::No),
        ..SetReport::default()
    };
    assert_eq!(holds("meet_soon=yes", &report), Some(false));
    assert_eq!(holds("meet_soon=no", &report), Some(true));
}

#[test]
fn straps_count_whether_told_as_grip_or_as_equipment() {
    let mut report = SetReport::default();
    report.setting.equipment.straps = Some(true);
    assert_eq!(holds("grip=straps", &report), Some(true));
    let mut report = SetReport::default();
    report.variant.grip = Some(Grip::Straps);
    assert_eq!(holds("straps=yes", &report), Some(true));
}

#[test]
fn a_condition_that_cannot_be_read_says_what_is_accepted() {
    for (text, found, accepted) in [
        ("", "``", "training_months<12"),
        ("shoes", "`shoes`", "training_months<12"),
        ("shoes=", "`shoes=`", "training_months<12"),
        ("shoe=flat", "unknown word `shoe`", "nearest is `shoes`"),
        ("shoes=clogs", "`clogs`", "flat, running, heeled"),
        ("shoes>flat", "`shoes>flat`", "with = only"),
        ("effort>=hard", "`hard`", "a number"),
        ("effort>=-1", "`-1`", "0 or more"),
        ("effort>=inf", "`inf`", "a number"),
        ("belt=maybe", "`maybe`", "yes, no"),
    ] {
        let error = Condition::parse(text).expect_err(text);
        assert_eq!(error.found, found);
        assert!(error.accepted.contains(accepted), "{text}: {error}");
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,40}") {
        let report = told();
        if let Ok(condition) = Condition::parse(&text) {
            let _ = condition.holds(&report);
        }
    }

    #[test]
    fn below_and_at_least_never_agree(limit in 0.0_f64..400.0, months in 0_u32..400) {
        let report = SetReport { training_months: Some(months), ..SetReport::default() };
        let below = holds(&format!("training_months<{limit}"), &report);
        let at_least = holds(&format!("training_months>={limit}"), &report);
        prop_assert_eq!(below.map(|b| !b), at_least);
    }
}
