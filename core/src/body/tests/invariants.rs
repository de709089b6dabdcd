//! What must hold for every build that a report may tell.

use super::super::ankle::{Heel, Under};
use super::super::bench::Press;
use super::super::deadlift::Pull;
use super::super::squat::{Rack, Squat};
use super::super::{Build, Dimension, Expected, Measured, build_of, expectations};
use crate::quantity::{Length, LengthUnit, Mass, MassUnit};
use crate::report::{BarPosition, Lift, Segments, SetReport, Shoes};
use proptest::prelude::*;

fn maybe(least: f64, most: f64) -> impl Strategy<Value = Option<f64>> {
    prop::option::of(least..most)
}

/// Any build within the bounds of a report: also ones that no person has.
fn any_build() -> impl Strategy<Value = Build> {
    (
        1.2..2.3_f64,
        maybe(0.25, 0.65),
        maybe(0.25, 0.65),
        maybe(0.29, 0.77),
        maybe(0.33, 0.89),
    )
        .prop_map(|(stature, thigh, shank, trunk, arm)| {
            let measured = Measured {
                shank,
                thigh,
                trunk,
                arm,
            };
            Build::new(stature, measured, None).unwrap()
        })
}

/// Builds within three standard deviations of the proportions.
fn usual_build() -> impl Strategy<Value = Build> {
    (
        1.4..2.1_f64,
        0.87..1.13_f64,
        0.87..1.13_f64,
        0.87..1.13_f64,
        0.87..1.13_f64,
    )
        .prop_map(|(stature, thigh, shank, trunk, arm)| {
            let of =
                |share: f64, dimension: Dimension| Some(share * dimension.of_stature() * stature);
            let measured = Measured {
                shank: of(shank, Dimension::Shank),
                thigh: of(thigh, Dimension::Thigh),
                trunk: of(trunk, Dimension::Trunk),
                arm: of(arm, Dimension::Arm),
            };
            Build::new(stature, measured, None).unwrap()
        })
}

fn any_squat() -> impl Strategy<Value = Squat> {
    (
        30.0..250.0_f64,
        15.0..620.0_f64,
        any::<bool>(),
        any::<bool>(),
        0.0..0.05_f64,
        -25.0..60.0_f64,
    )
        .prop_map(|(body_kg, bar_kg, high, shoe, height, thigh)| Squat {
            heel: Heel {
                height,
                under: if shoe { Under::Shoe } else { Under::WholeFoot },
            },
            thigh,
            ..Squat::new(body_kg, bar_kg, if high { Rack::HIGH } else { Rack::LOW })
        })
}

fn sound(found: Option<Expected>) -> bool {
    found.is_none_or(|found| {
        [found.value, found.sd, found.low, found.high]
            .iter()
            .all(|figure| figure.is_finite())
            && found.sd >= 0.0
            && found.holds(found.value)
    })
}

proptest! {
    #[test]
    fn any_build_has_an_answer_or_none_and_never_nonsense(
        build in any_build(), squat in any_squat(), ankle in 0.0..50.0_f64,
        grip in 0.2..1.2_f64, chest in 0.0..0.3_f64, touch in 0.0..0.25_f64,
        ahead in -0.05..0.2_f64, shin in 0.02..0.1_f64,
    ) {
        if let Some(position) = squat.with_ankle(&build, ankle).position() {
            prop_assert!(position.system.abs() < 1e-9);
            prop_assert!((position.dorsiflexion - ankle).abs() < 1e-9);
            prop_assert!(position.lean.abs() <= 180.0);
        }
        if let Some(position) = squat.bar_over_mid_foot(&build) {
            prop_assert!(position.system.abs() < 1e-9 && position.bar.abs() < 1e-9);
        }
        prop_assert!(sound(squat.expected_lean(&build, ankle)));
        prop_assert!(sound(squat.spared_by_ankle(&build, ankle, 5.0)));
        let press = Press { grip, chest, touch };
        prop_assert!(sound(press.expected_travel(&build)));
        prop_assert!(press.elbow_at_touch(&build).is_none_or(|elbow| (0.0..=180.0).contains(&elbow)));
        prop_assert!(press.grip_over_elbow(&build).is_none_or(f64::is_finite));
        let pull = Pull { ahead, shin, ..Pull::default() };
        prop_assert!(sound(pull.expected_hip(&build)));
        prop_assert!(sound(pull.expected_lean(&build)));
        prop_assert!(sound(pull.expected_range(&build)));
    }

    #[test]
    fn usual_builds_always_have_a_start_a_press_and_a_squat(build in usual_build()) {
        let squat = Squat::new(80.0, 100.0, Rack::HIGH);
        prop_assert!(squat.with_ankle(&build, 35.0).position().is_some());
        // With the bar itself over mid-foot even a level shank may not bring long thighs forward enough.
        let long = build.metres(Dimension::Thigh) > 1.12 * build.metres(Dimension::Shank);
        prop_assert!(long || squat.bar_over_mid_foot(&build).is_some());
        prop_assert!(Press::new(0.6, 0.1).expected_travel(&build).is_some());
        prop_assert!(Pull::default().expected_range(&build).is_some());
    }

    #[test]
    fn at_the_same_ankle_hips_and_knees_bear_the_same_with_the_bar_high_or_low(
        build in usual_build(), squat in any_squat(), ankle in 15.0..45.0_f64,
    ) {
        let at = |rack| Squat { rack, ..squat }.with_ankle(&build, ankle).position();
        let (high, low) = (at(Rack::HIGH), at(Rack::LOW));
        // Balance fixes where the weight is, so only the lean differs.
        if let (Some(high), Some(low)) = (high, low) {
            prop_assert!((high.hip_moment - low.hip_moment).abs() < 1e-6);
            prop_assert!((high.knee_moment - low.knee_moment).abs() < 1e-6);
            prop_assert!(low.lean > high.lean || high.lean < 0.0);
        }
    }

    #[test]
    fn more_ankle_or_more_heel_means_less_lean(
        build in usual_build(), squat in any_squat(), ankle in 15.0..45.0_f64, more in 0.5..10.0_f64,
    ) {
        let lean = |squat: &Squat, ankle| squat.with_ankle(&build, ankle).position().map(|at| at.lean);
        let higher = Squat { heel: Heel { height: squat.heel.height + 0.005, ..squat.heel }, ..squat };
        if let (Some(before), Some(after)) = (lean(&squat, ankle), lean(&squat, ankle + more)) {
            prop_assert!(after < before);
        }
        if let (Some(before), Some(after)) = (lean(&squat, ankle), lean(&higher, ankle)) {
            prop_assert!(after < before);
        }
    }

    #[test]
    fn longer_thighs_lean_more_and_a_longer_trunk_less(
        build in usual_build(), ankle in 25.0..40.0_f64, by in 0.5..2.0_f64,
    ) {
        let squat = Squat::new(80.0, 120.0, Rack::HIGH);
        let lean = |build: &Build| squat.with_ankle(build, ankle).position().map(|at| at.lean);
        if let (Some(before), Some(thigh)) = (lean(&build), lean(&build.but(Dimension::Thigh, by))) {
            prop_assert!(thigh > before);
        }
        if let (Some(before), Some(trunk)) = (lean(&build), lean(&build.but(Dimension::Trunk, by))) {
            prop_assert!(trunk < before || before < 0.0);
        }
    }

    #[test]
    fn longer_arms_mean_less_range_and_more_travel(build in usual_build(), by in 0.1..3.0_f64) {
        let longer = build.but(Dimension::Arm, by);
        let pull = Pull::default();
        prop_assert!(pull.range(&longer) < pull.range(&build));
        let press = Press::new(0.6, 0.1);
        prop_assert!(press.travel(&longer) > press.travel(&build));
    }

    #[test]
    fn the_hip_is_a_thigh_from_the_knee_and_a_trunk_from_the_shoulder(
        build in usual_build(), ahead in 0.0..0.1_f64,
    ) {
        let pull = Pull { ahead, ..Pull::default() };
        if let Some(start) = pull.start(&build) {
            let (sin, cos) = start.shank.to_radians().sin_cos();
            let shank = build.metres(Dimension::Shank);
            let knee = (
                -0.25 * build.metres(Dimension::Foot) + shank * sin,
                build.metres(Dimension::Ankle) + shank * cos,
            );
            let thigh = (knee.0 + start.hip_behind).hypot(start.hip - knee.1);
            prop_assert!((thigh - build.metres(Dimension::Thigh)).abs() < 1e-9);
            let up = build.metres(Dimension::Trunk) * start.lean.to_radians().cos();
            let reach = build.hanging_reach();
            let shoulder = 0.225 + (reach * reach - 0.05 * 0.05 - ahead * ahead).sqrt();
            prop_assert!((start.hip + up - shoulder).abs() < 1e-9);
        }
    }

    #[test]
    fn a_wider_grip_beyond_the_shoulders_travels_less(
        build in usual_build(), grip in 0.55..0.75_f64, wider in 0.01..0.1_f64,
    ) {
        let travel = |grip| Press::new(grip, 0.1).travel(&build);
        prop_assert!(travel(grip + wider) < travel(grip));
    }

    #[test]
    fn whatever_an_accepted_report_tells_the_desk_has_sentences_or_none(
        lift in 0_usize..3, stature in 1.2..2.3_f64, inches in any::<bool>(),
        thigh in maybe(0.25, 0.65), trunk in maybe(0.29, 0.77), arm in maybe(0.33, 0.89),
        body in maybe(30.0, 250.0), load in maybe(15.0, 525.0), low in any::<Option<bool>>(),
        heeled in any::<bool>(),
    ) {
        let unit = if inches { LengthUnit::In } else { LengthUnit::Cm };
        let length = |metres| Length::from_metres(metres, unit);
        let kg = |value| Mass::new(value, MassUnit::Kg);
        let mut report = SetReport {
            lift: Some(Lift::ALL[lift]),
            stature: Some(length(stature)),
            segments: Segments {
                thigh: thigh.map(length),
                shank: None,
                trunk: trunk.map(length),
                arm: arm.map(length),
            },
            body_mass: body.map(kg),
            load: load.map(kg),
            ..SetReport::default()
        };
        report.variant.bar_position =
            low.map(|low| if low { BarPosition::Low } else { BarPosition::High });
        report.setting.equipment.shoes = heeled.then_some(Shoes::Heeled);
        prop_assert!(build_of(&report).is_some());
        let said = expectations(&report);
        prop_assert_eq!(&said, &expectations(&report));
        for line in said.unwrap_or_default() {
            prop_assert!(!line.contains("NaN") && !line.contains("inf"), "{}", line);
            prop_assert!(line.ends_with('.') && line.starts_with(char::is_uppercase), "{}", line);
        }
    }
}

#[test]
fn a_build_at_the_edge_of_balance_says_so() {
    let thigh = Measured {
        thigh: Some(0.475),
        trunk: Some(0.52),
        ..Measured::default()
    };
    let build = Build::new(1.85, thigh, None).unwrap();
    let squat = Squat::new(90.0, 140.0, Rack::LOW);
    let ankle = |degrees| squat.expected_lean(&build, degrees);
    // Between an ankle with no lean at all and one with a sure lean lies one with an unsure lean.
    assert!(ankle(15.0).is_none());
    assert!(ankle(35.0).is_some_and(|lean| !lean.edge));
    let edges = (150..350).filter_map(|tenths| ankle(f64::from(tenths) / 10.0));
    assert!(edges.filter(|lean| lean.edge).count() > 5);
}
