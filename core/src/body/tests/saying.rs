//! What the coach reads beside a set, and what no expectation is given for.

use super::super::{Dimension, build_of, expectations};
use crate::report::SetReport;

fn report(text: &str) -> SetReport {
    serde_json::from_str(text).unwrap()
}

fn said(text: &str) -> Vec<String> {
    expectations(&report(text)).unwrap_or_default()
}

/// A squat of 120 kg at 80 kg and 175 cm, with more fields in front.
fn squat(more: &str) -> String {
    format!(
        r#"{{"lift":"squat",{more}"load":{{"value":120,"unit":"kg"}},
        "body_mass":{{"value":80,"unit":"kg"}},"stature":{{"value":175,"unit":"cm"}}}}"#
    )
}

#[test]
fn a_high_bar_squat_has_its_lean_and_what_ankle_and_heel_would_give() {
    assert_eq!(
        said(&squat(r#""variant":{"bar_position":"high"},"#)),
        [
            "For this build, with a high bar and 30 degrees at the ankle, a lean of about 44 degrees (38 to 50) is expected at parallel.",
            "Another 5 degrees at the ankle would take about 6 degrees (5 to 6) off it.",
            "A heel of 2.0 cm (0.8 in) would take about 8 degrees (7 to 9) off it.",
            "All lengths are taken from the height. The range in brackets holds 8 of 10 such builds; a still body in one plane is assumed, and no measured lifters stand behind it.",
        ]
    );
}

#[test]
fn without_a_bar_position_both_are_told_and_a_heeled_shoe_counts() {
    let lines = said(&squat(r#""setting":{"equipment":{"shoes":"heeled"}},"#));
    assert_eq!(lines.len(), 5, "{lines:#?}");
    assert_eq!(
        lines[0],
        "For this build, with a high bar, a raised heel and 30 degrees at the ankle, a lean of about 36 degrees (31 to 42) is expected at parallel."
    );
    assert_eq!(
        lines[2],
        "For this build, with a low bar, a raised heel and 30 degrees at the ankle, a lean of about 43 degrees (37 to 50) is expected at parallel."
    );
}

#[test]
fn long_thighs_under_a_low_bar_may_not_balance_and_an_odd_length_is_to_be_measured_again() {
    let lines = said(
        r#"{"lift":"squat","variant":{"bar_position":"low"},"load":{"value":308,"unit":"lb"},
        "body_mass":{"value":90,"unit":"kg"},"stature":{"value":73,"unit":"in"},
        "segments":{"thigh":{"value":21.5,"unit":"in"},"trunk":{"value":45,"unit":"cm"}}}"#,
    );
    // SciPy 1.17.1, minimize_scalar: at best 40.4 mm behind mid-foot.
    assert_eq!(
        lines,
        [
            "For this build, with a low bar and 30 degrees at the ankle, no lean keeps lifter and bar over the middle of the foot at parallel (at best they end 1.6 in (4.0 cm) behind it): expect heels that lift, a high squat, or a wider stance.",
            "The thigh given, 22 in (55 cm), is far from the 18 in (45 cm) that the height lets expect: have it measured again before relying on this.",
            "Measured: thigh, trunk; other lengths are taken from the height. The range in brackets holds 8 of 10 such builds; a still body in one plane is assumed, and no measured lifters stand behind it.",
        ]
    );
}

#[test]
fn a_bench_press_has_its_travel_in_the_unit_of_the_lifters_height() {
    assert_eq!(
        said(r#"{"lift":"bench","stature":{"value":69,"unit":"in"}}"#)[..3],
        [
            "For this build, with 24 in (60 cm) between the forefingers and a flat chest, the bar travels about 20 in (51 cm; 19 to 21 in).",
            "The widest grip of the rules, 32 in (81 cm), would take about 1.1 in (2.8 cm; 1.0 to 1.2 in) off it.",
            "An arch that raises the chest by 1.6 in (4.0 cm) would take 1.6 in (4.0 cm) off it.",
        ]
    );
}

#[test]
fn a_deadlift_has_its_hip_height_and_range() {
    assert_eq!(
        said(r#"{"lift":"deadlift","stature":{"value":1.75,"unit":"m"}}"#)[..3],
        [
            "For this build, in a conventional start with the shoulders 5.0 cm (2.0 in) ahead of the bar, the hip joint is expected about 67 cm (26 in; 62 to 72 cm) above the floor.",
            "The trunk then leans about 64 degrees (59 to 69). Shoulders further ahead mean higher hips and more lean; no one start is right.",
            "The bar has to go about 54 cm (21 in; 50 to 58 cm) to lockout.",
        ]
    );
}

#[test]
fn what_is_not_known_or_not_covered_has_no_expectation() {
    let stature = r#""stature":{"value":175,"unit":"cm"}"#;
    for text in [
        // No height, no lift, no body mass or load under a squat.
        r#"{"lift":"bench"}"#.to_owned(),
        format!("{{{stature}}}"),
        format!(r#"{{"lift":"squat",{stature},"load":{{"value":100,"unit":"kg"}}}}"#),
        format!(r#"{{"lift":"squat",{stature},"body_mass":{{"value":80,"unit":"kg"}}}}"#),
        // Bars and stances the model does not cover.
        squat(r#""variant":{"bar_position":"front"},"#),
        squat(r#""variant":{"bar_position":"special"},"#),
        format!(r#"{{"lift":"deadlift","variant":{{"stance":"sumo"}},{stature}}}"#),
    ] {
        assert_eq!(expectations(&report(&text)), None, "{text}");
    }
}

#[test]
fn the_build_of_a_report_takes_what_was_measured_and_leaves_the_rest_to_the_height() {
    assert_eq!(build_of(&report(r#"{"lift":"squat"}"#)), None);
    let build = build_of(&report(
        r#"{"stature":{"value":175,"unit":"cm"},"body_mass":{"value":176,"unit":"lb"},
        "segments":{"thigh":{"value":18,"unit":"in"},"arm":{"value":60,"unit":"cm"}}}"#,
    ))
    .unwrap();
    let part = |dimension| build.part(dimension);
    assert!((part(Dimension::Thigh).metres - 0.4572).abs() < 1e-12);
    assert!((part(Dimension::Arm).metres - 0.60).abs() < 1e-12);
    assert!(part(Dimension::Thigh).measured && part(Dimension::Arm).measured);
    assert!(!part(Dimension::Shank).measured && !part(Dimension::Trunk).measured);
    assert!((part(Dimension::Shank).metres - 0.246 * 1.75).abs() < 1e-12);
    assert!((build.body_kg.unwrap() - 79.832_257).abs() < 1e-6);
    assert!(build.odd().is_empty());
}
