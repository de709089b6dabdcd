//! What the command line answers, and how it refuses.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::{LoadCommand, answer};
use crate::cli::Failure;
use clap::Parser;

#[derive(Debug, Parser)]
struct Line {
    #[command(subcommand)]
    command: LoadCommand,
}

/// Text and JSON of an answer.
fn said(line: &str) -> (String, serde_json::Value) {
    let words = std::iter::once("load").chain(line.split_whitespace());
    let (_, answer) = answer(None, Line::try_parse_from(words).unwrap().command).unwrap();
    let json = serde_json::from_str(&answer.json().unwrap()).unwrap();
    (answer.text(), json)
}

/// Why a line is refused.
fn refused(line: &str) -> String {
    let words = std::iter::once("load").chain(line.split_whitespace());
    let command = match Line::try_parse_from(words) {
        Ok(line) => line.command,
        Err(error) => return error.to_string(),
    };
    match answer(None, command) {
        Ok((_, answer)) => panic!("answered {}", answer.text()),
        Err(Failure::Input(messages)) => messages.join("\n"),
        Err(other) => panic!("{other:?}"),
    }
}

#[test]
fn a_set_of_330_pounds_has_a_range_and_its_basis() {
    // 330 x 3 at RPE 8 to 9: 374.4, four times in five between 355.3 and 394.5.
    let (text, json) = said("estimate --lift squat --load 330lb --reps 3 --rpe 8-9");
    assert!(
        text.starts_with("Best single about 374 lb (170 kg), four times in five between 355 lb"),
        "{text}"
    );
    assert!(text.contains("seven published formulas"), "{text}");
    let value = json["best_single"]["value"].as_f64().unwrap();
    assert!((value - 374.403).abs() < 1e-3, "{value}");
    assert_eq!(json["best_single"]["unit"], "lb");
    let half = said("estimate --lift squat --load 330lb --reps 3 --rir 1-2").1;
    assert_eq!(half["low"], json["low"], "effort on either scale");
}

#[test]
fn plates_come_heaviest_first_and_never_above_unless_asked() {
    let rack = "--bar 45lb --pairs 45x3,35x1,25x1,10x2,5x1,2.5x1";
    let (text, json) = said(&format!("plates 300lb {rack}"));
    assert_eq!(
        text,
        "300 lb (136.1 kg): 45 + 45 + 35 + 2.5 a side (bar 45 lb (20.4 kg))"
    );
    assert_eq!(json["per_side"], serde_json::json!([45.0, 45.0, 35.0, 2.5]));
    assert!(
        said(&format!("plates 322lb {rack}"))
            .0
            .contains("2 lb (0.9 kg) under")
    );
    let kilos = "--bar 20kg --collars 5kg --pairs 25x2,20x1,15x1,10x1,5x1,2.5x1,1.25x1";
    let total = |line: String| said(&line).1["total"]["value"].as_f64().unwrap();
    assert!((total(format!("plates 199.58kg {kilos}")) - 197.5).abs() < 1e-9);
    assert!((total(format!("plates 199.58kg --nearest {kilos}")) - 200.0).abs() < 1e-9);
}

#[test]
fn a_plan_is_inside_the_guard_rails() {
    let (text, json) =
        said("plan --lift deadlift --cause c-dl-late-back --load 330lb --reps 3 --rpe 8-9");
    assert!(text.contains("Stop on pain"), "{text}");
    let low = json["low"]["value"].as_f64().unwrap();
    let weeks = json["practice"].as_array().unwrap().iter();
    let loads: Vec<f64> = weeks
        .flat_map(|one| one["weeks"].as_array().unwrap().clone())
        .filter_map(|week| week["bar"]["total"]["value"].as_f64())
        .collect();
    assert!(!loads.is_empty(), "{text}");
    assert!(
        loads.iter().all(|load| *load <= 0.8 * low + 1e-9),
        "{loads:?}"
    );
}

#[test]
fn loads_few_have_lifted_are_pointed_out() {
    let (text, json) = said(
        "plan --lift squat --cause c-sq-loose-rack --load 420kg --reps 2 --rpe 9 --best 440kg",
    );
    assert!(text.contains("which few have done"), "{text}");
    assert!(!json["doubts"].as_array().unwrap().is_empty());
}

#[test]
fn a_warm_up_rises_to_the_top_and_cautions_near_the_best() {
    let (text, json) = said("warm-up 180kg --best 190kg");
    let totals: Vec<f64> = json["steps"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|step| step["total"]["value"].as_f64())
        .collect();
    assert!(
        totals.windows(2).all(|pair| pair[0] < pair[1]),
        "{totals:?}"
    );
    assert!(totals.iter().all(|total| *total < 180.0));
    assert!(text.contains("90 %"), "{text}");
}

#[test]
fn bands_leave_the_bar_that_makes_up_the_total() {
    // e1RM 200 kg, 160 kg at lockout, two bands of 22 kg there: 116 kg, loaded as 115.
    let bands = "bands --best 200kg --total 160kg --point 1.3m=10kg --point 1.7m=22kg --slack 1m \
                 --bottom 1.3m --top 1.7m";
    let (text, json) = said(bands);
    assert!((json["total"]["value"].as_f64().unwrap() - 115.0).abs() < 1e-9);
    assert!((json["percent_of_best"].as_f64().unwrap() - 22.0).abs() < 1e-9);
    assert!(
        text.contains("take lighter ones") && text.contains("cracks"),
        "{text}"
    );
    let strong = refused(&format!("{bands} --count 8"));
    assert!(strong.contains("would do"), "{strong}");
    assert!(refused(&bands.replace("1.3m=10kg", "1.3m")).contains("1.3m=10kg"));
}

#[test]
fn a_goal_is_a_range_and_no_date() {
    let (text, json) = said("goal --now 340lb --goal 400lb --training 24");
    assert!(
        text.contains("about ") && text.contains("no promise"),
        "{text}"
    );
    assert!(json["early_weeks"].as_f64().unwrap() < json["late_weeks"].as_f64().unwrap());
    let (text, _) = said("goal --now 340lb --goal 600lb --training 120");
    assert!(text.contains("not on the present trend"), "{text}");
    let (text, _) = said("goal --now 340lb --goal 330lb");
    assert!(text.contains("in reach now"), "{text}");
}

#[test]
fn bad_input_names_the_field_what_was_found_and_what_is_accepted() {
    for (line, parts) in [
        (
            "estimate --load 330 --reps 3",
            ["--load: found 330", "142.5kg"],
        ),
        (
            "estimate --load 330lb --reps 3 --rpe 14",
            ["effort.rpe: found 14", "1 to 10"],
        ),
        (
            "estimate --load 330lb --reps 31",
            ["reps: found 31", "1 to 30"],
        ),
        (
            "estimate --load 330lb --reps 20 --rpe 10",
            ["no estimate", "15 repetitions"],
        ),
        (
            "estimate --load 330lb --reps 3 --rpe hard",
            ["--rpe: found hard", "8-9"],
        ),
        (
            "estimate --load 330lb --reps x",
            ["--reps <REPS>", "found x, accepted a whole number"],
        ),
        (
            "plan --lift squat --cause c-sq-brace --load 420kg --reps 2",
            ["--load: found 420kg", "420 lb (190.5 kg)"],
        ),
        ("plates 900kg", ["load: found 900 kg", "640 kg"]),
        ("plates 10kg", ["load: found 10 kg", "20 kg"]),
        (
            "plates 100kg --pairs 25by4",
            ["--pairs: found 25by4", "25x4"],
        ),
        (
            "plan --lift squat --cause nonsense --load 100kg --reps 3",
            ["--cause: found nonsense", "c-sq-"],
        ),
        (
            "goal --now 340lb --goal 400lb --unsure 50",
            ["--unsure: found 50", "0 to 20"],
        ),
        (
            "goal --now 340lb --goal 400lb --training 5000",
            ["--training: found 5000", "0 to 900"],
        ),
    ] {
        let why = refused(line);
        assert!(parts.iter().all(|part| why.contains(part)), "{line}: {why}");
    }
}
