//! Reports that must be refused, and ones that must not.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::check;
use crate::report::{SetReport, Trace};
use proptest::prelude::*;

/// The report of a JSON text.
fn report(text: &str) -> SetReport {
    serde_json::from_str(text).unwrap()
}

/// What is wrong with a report, one line a field.
fn wrong(text: &str) -> Vec<String> {
    check(&report(text)).map_or_else(
        |errors| errors.iter().map(ToString::to_string).collect(),
        |()| Vec::new(),
    )
}

#[test]
fn an_ordinary_set_is_accepted() {
    assert!(
        wrong(
            r#"{"lift":"deadlift","load":{"value":415,"unit":"lb"},"reps":3,"reps_aimed":5,
            "sets":3,"set_number":3,"effort":{"rpe":[8,9]},"missed":{"reps":1,"where":"knee"},
            "body_mass":{"value":198,"unit":"lb"},"stature":{"value":180,"unit":"cm"},
            "segments":{"thigh":{"value":44,"unit":"cm"},"arm":{"value":24,"unit":"in"}},
            "best":{"value":455,"unit":"lb","tested":true},"training_months":40,
            "variant":{"pause_seconds":0},"time_zone":"America/Argentina/Buenos_Aires",
            "clip":"https://clips.example/a1","seen":["dl-back-rounds"],"not_seen":["dl-hitch"],
            "plates":{"unit":"lb","bar":45,"pairs":[[45,4],[2.5,1]]}}"#
        )
        .is_empty()
    );
    assert!(wrong("{}").is_empty());
}

#[test]
fn impossible_values_are_refused_by_name_with_what_is_accepted() {
    for (text, said) in [
        (
            r#"{"reps":0}"#,
            "reps: found 0, accepted 1 to 30 repetitions; 0 only together with missed",
        ),
        (
            r#"{"lift":"squat","load":{"value":1200,"unit":"kg"}}"#,
            "load: found 1200 kg (2646 lb), accepted 15 kg (33.1 lb) to 620 kg (1367 lb)",
        ),
        (
            r#"{"lift":"deadlift","load":{"value":1200,"unit":"lb"}}"#,
            "load: found 1200 lb (544.3 kg), accepted 33 lb (15 kg) to 1158 lb (525.3 kg)",
        ),
        (
            r#"{"effort":{"rpe":14}}"#,
            "effort.rpe: found 14, accepted 1 to 10",
        ),
        (
            r#"{"effort":{"rir":12}}"#,
            "effort.rir: found 12, accepted 0 to 9",
        ),
        (
            r#"{"lift":"squat","load":{"value":10,"unit":"kg"}}"#,
            "load: found 10 kg (22 lb), accepted 15 kg (33.1 lb) to 620 kg (1367 lb)",
        ),
        (
            r#"{"sets":3,"set_number":4}"#,
            "set_number: found 4, accepted 1 to 3, the number of sets",
        ),
        (
            r#"{"stature":{"value":1.8,"unit":"cm"}}"#,
            "stature: found 1.8 cm (0.7 in), accepted 120 cm (47.2 in) to 230 cm (90.6 in)",
        ),
        (
            r#"{"segments":{"thigh":{"value":0.44,"unit":"cm"}}}"#,
            "segments.thigh: found 0.44 cm (0.2 in), accepted 25 cm (9.8 in) to 65 cm (25.6 in)",
        ),
        (
            r#"{"segments":{"trunk":{"value":50,"unit":"in"}}}"#,
            "segments.trunk: found 50 in (127 cm), accepted 11.42 in (29 cm) to 30.31 in (77 cm)",
        ),
        (
            r#"{"seen":["sq-a"],"not_seen":["sq-a"]}"#,
            "not_seen: found \"sq-a\" in seen as well, accepted a sign in one of seen and not_seen",
        ),
        (
            r#"{"clip":"http://clips.example/1"}"#,
            "clip: found \"http://clips.example/1\", accepted a link that starts with https://",
        ),
    ] {
        assert_eq!(wrong(text), [said]);
    }
}

#[test]
fn a_short_bar_is_a_load_and_the_lifters_own_bar_sets_the_floor() {
    assert!(wrong(r#"{"load":{"value":35,"unit":"lb"}}"#).is_empty());
    assert!(wrong(r#"{"load":{"value":15,"unit":"kg"}}"#).is_empty());
    let own = r#"{"load":{"value":15,"unit":"kg"},"plates":{"unit":"kg","bar":20,"pairs":[]}}"#;
    assert_eq!(wrong(own).len(), 1);
    assert!(wrong(own)[0].starts_with("load: found 15 kg (33.1 lb), accepted 20 kg (44.1 lb)"));
    let light = r#"{"load":{"value":10,"unit":"kg"},"plates":{"unit":"kg","bar":10,"pairs":[]}}"#;
    assert!(wrong(light).is_empty());
}

#[test]
fn nothing_done_is_a_set_when_it_was_missed() {
    assert!(wrong(r#"{"reps":0,"missed":{"reps":1}}"#).is_empty());
    assert_eq!(wrong(r#"{"reps":0,"missed":{"reps":0}}"#).len(), 2);
}

#[test]
fn every_broken_bound_is_named_at_once_in_field_order() {
    let text = r#"{"lift":"bench","variant":{"pause_seconds":60},
        "load":{"value":0,"unit":"kg"},"reps":31,"reps_aimed":0,"sets":0,
        "effort":{"rpe":[0,11]},"body_mass":{"value":400,"unit":"kg"},
        "stature":{"value":3,"unit":"m"},"segments":{"thigh":{"value":1,"unit":"m"},
        "shank":{"value":1,"unit":"cm"},"trunk":{"value":-1,"unit":"m"},"arm":{"value":0,"unit":"in"}},
        "best":{"value":900,"unit":"kg"},
        "training_months":901,"goal":{"load":{"value":-5,"unit":"lb"}},"time_zone":"no where",
        "plates":{"unit":"kg","bar":0,"collars":-1,"pairs":[[0,1],[20,21]]},
        "seen":["Not An Id"],"answers":{"?":"x"},
        "traces":[{"kind":"film","format":"gif","data":"","scale":0}]}"#;
    let fields: Vec<String> = check(&report(text))
        .unwrap_err()
        .into_iter()
        .map(|error| error.field)
        .collect();
    assert_eq!(
        fields,
        [
            "variant.pause_seconds",
            "load",
            "reps",
            "reps_aimed",
            "sets",
            "effort.rpe",
            "body_mass",
            "stature",
            "segments.thigh",
            "segments.shank",
            "segments.trunk",
            "segments.arm",
            "best",
            "training_months",
            "goal.load",
            "time_zone",
            "plates.bar",
            "plates.collars",
            "plates.pairs",
            "plates.pairs",
            "seen",
            "answers",
            "traces.kind",
            "traces.format",
            "traces.scale",
        ]
    );
}

#[test]
fn every_range_holds_its_ends_and_nothing_beyond() {
    let kg = |field: &str, value: f64| format!(r#"{{"{field}":{{"value":{value},"unit":"kg"}}}}"#);
    let plates = |bar: f64, collars: f64, plate: f64, pairs: u32| {
        format!(
            r#"{{"plates":{{"unit":"kg","bar":{bar},"collars":{collars},"pairs":[[{plate},{pairs}]]}}}}"#
        )
    };
    let load = |lift: &str, value: f64| {
        format!(r#"{{"lift":"{lift}","load":{{"value":{value},"unit":"kg"}}}}"#)
    };
    let accepted = [
        kg("body_mass", 30.0),
        kg("body_mass", 250.0),
        load("squat", 620.0),
        load("bench", 640.0),
        load("deadlift", 525.0),
        r#"{"stature":{"value":1.2,"unit":"m"}}"#.to_owned(),
        r#"{"stature":{"value":230,"unit":"cm"}}"#.to_owned(),
        r#"{"variant":{"pause_seconds":10}}"#.to_owned(),
        r#"{"reps":30,"sets":20,"set_number":20,"training_months":900}"#.to_owned(),
        plates(100.0, 20.0, 100.0, 20),
        plates(0.5, 0.0, 0.25, 0),
    ];
    for text in accepted {
        assert!(wrong(&text).is_empty(), "{text}");
    }
    let refused = [
        kg("body_mass", 29.9),
        kg("body_mass", 250.1),
        load("squat", 620.5),
        load("bench", 640.5),
        load("deadlift", 525.5),
        r#"{"stature":{"value":1.19,"unit":"m"}}"#.to_owned(),
        r#"{"stature":{"value":231,"unit":"cm"}}"#.to_owned(),
        r#"{"variant":{"pause_seconds":10.1}}"#.to_owned(),
        r#"{"training_months":901}"#.to_owned(),
        r#"{"set_number":21}"#.to_owned(),
        r#"{"sets":21}"#.to_owned(),
        plates(100.5, 0.0, 20.0, 1),
        plates(20.0, 20.5, 20.0, 1),
        plates(20.0, 0.0, 100.5, 1),
        plates(20.0, 0.0, 20.0, 21),
    ];
    for text in refused {
        assert_eq!(wrong(&text).len(), 1, "{text}");
    }
}

#[test]
fn the_ends_shown_for_a_length_are_accepted_in_every_unit() {
    for unit in ["m", "cm", "in"] {
        for field in [
            "stature",
            "segments.thigh",
            "segments.shank",
            "segments.trunk",
            "segments.arm",
        ] {
            let with = |value: f64| {
                let length = format!(r#"{{"value":{value},"unit":"{unit}"}}"#);
                wrong(&match field.split_once('.') {
                    Some((group, part)) => format!(r#"{{"{group}":{{"{part}":{length}}}}}"#),
                    None => format!(r#"{{"{field}":{length}}}"#),
                })
            };
            let said = with(5000.0);
            let (before, accepted) = said[0].split_once(", accepted ").unwrap();
            assert!(before.starts_with(field), "{before}");
            for end in accepted.split(" to ") {
                let end: f64 = end.split(' ').next().unwrap().parse().unwrap();
                assert_eq!(with(end), [""; 0], "{field} {end} {unit}");
            }
        }
    }
}

#[test]
fn a_resubmission_keeps_its_own_lengths_and_takes_those_it_lacks() {
    let new = report(r#"{"segments":{"thigh":{"value":44,"unit":"cm"}}}"#);
    let old =
        report(r#"{"segments":{"thigh":{"value":17,"unit":"in"},"arm":{"value":60,"unit":"cm"}}}"#);
    let both = serde_json::to_value(new.or(&old)).unwrap();
    assert_eq!(
        both,
        serde_json::json!({"segments": {"thigh": {"value": 44.0, "unit": "cm"},
            "arm": {"value": 60.0, "unit": "cm"}}})
    );
    let unknown =
        serde_json::from_str::<SetReport>(r#"{"segments":{"neck":{"value":9,"unit":"cm"}}}"#);
    assert!(unknown.unwrap_err().to_string().contains("neck"));
}

#[test]
fn too_much_of_anything_is_refused() {
    let id = |n: usize| format!("sq-{n}");
    let many = SetReport {
        words: Some("é".repeat(8001)),
        clip: Some(format!("https://clips.example/{}", "a".repeat(2048))),
        rule_set: Some("r".repeat(201)),
        seen: (0..65).map(id).collect(),
        not_seen: (100..165).map(id).collect(),
        flags: vec!["f".repeat(41)],
        answers: (0..33).map(|n| (id(n), "yes".to_owned())).collect(),
        traces: vec![
            Trace {
                kind: "bar-track".to_owned(),
                format: "csv".to_owned(),
                data: "x".repeat((4 << 20) + 1),
                scale: None,
            };
            5
        ],
        ..SetReport::default()
    };
    let fields: Vec<String> = check(&many)
        .unwrap_err()
        .into_iter()
        .map(|error| error.field)
        .collect();
    for field in [
        "words",
        "clip",
        "rule_set",
        "seen",
        "not_seen",
        "flags",
        "answers",
        "traces",
        "traces.data",
    ] {
        assert!(fields.iter().any(|found| found == field), "{field}");
    }
    let just = SetReport {
        words: Some("é".repeat(8000)),
        seen: (0..64).map(id).collect(),
        ..SetReport::default()
    };
    assert!(check(&just).is_ok());
}

#[test]
fn what_is_found_is_shown_cut_short_and_without_control_characters() {
    let error = &check(&SetReport {
        seen: vec![format!("\u{1b}[31m{}", "X".repeat(500))],
        ..SetReport::default()
    })
    .unwrap_err()[0];
    assert!(error.found.chars().count() < 50 && !error.found.contains('\u{1b}'));
}

proptest! {
    #[test]
    fn no_number_that_is_not_finite_gets_through(
        field in 0_usize..10, bad in prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
    ) {
        let mut set = report(
            r#"{"variant":{"pause_seconds":1},"load":{"value":100,"unit":"kg"},
            "body_mass":{"value":80,"unit":"kg"},"stature":{"value":1.8,"unit":"m"},
            "segments":{"shank":{"value":43,"unit":"cm"}},"best":{"value":150,"unit":"kg"},"goal":{"load":{"value":160,"unit":"kg"}},
            "plates":{"unit":"kg","bar":20,"pairs":[[20,2]]}}"#,
        );
        prop_assert!(check(&set).is_ok());
        match field {
            0 => set.variant.pause_seconds = Some(bad),
            1 => set.load.as_mut().unwrap().value = bad,
            2 => set.body_mass.as_mut().unwrap().value = bad,
            3 => set.stature.as_mut().unwrap().value = bad,
            4 => set.best.as_mut().unwrap().value = bad,
            5 => set.goal.as_mut().unwrap().load.value = bad,
            6 => set.plates.as_mut().unwrap().bar = bad,
            7 => set.plates.as_mut().unwrap().collars = bad,
            8 => set.segments.shank.as_mut().unwrap().value = bad,
            _ => set.plates.as_mut().unwrap().pairs[0].0 = bad,
        }
        prop_assert!(check(&set).is_err());
    }

    #[test]
    fn the_figures_shown_as_accepted_are_accepted(kg in any::<bool>(), lift in 0_usize..3) {
        let unit = if kg { "kg" } else { "lb" };
        let lift = ["squat", "bench", "deadlift"][lift];
        let with = |value: f64| report(&format!(
            r#"{{"lift":"{lift}","load":{{"value":{value},"unit":"{unit}"}}}}"#
        ));
        let errors = check(&with(5000.0)).unwrap_err();
        let ends: Vec<f64> = errors[0]
            .accepted
            .split(" to ")
            .map(|end| end.split(' ').next().unwrap().parse().unwrap())
            .collect();
        for end in ends {
            prop_assert!(check(&with(end)).is_ok());
        }
    }
}
