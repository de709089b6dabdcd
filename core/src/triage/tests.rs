//! What stops a review, what only adds a note, and what is said first.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::{FlagSource, Level, Triage, screen};
use crate::quantity::{Effort, Span};
use crate::reading::tests::words_catalog;
use crate::reading::{FlagLevel, Hints, Text};
use crate::report::{AgeBand, Grip, Lift, Miss, SetReport, Shoes};

fn triage(words: &str, report: &SetReport) -> Triage {
    let catalog = words_catalog();
    let text = Text::new(words, catalog);
    let reading = text.read(Hints::default());
    screen(words, &text, &reading, report, catalog)
}

#[test]
fn chest_pain_gets_the_emergency_block_first_and_no_hazard_talk() {
    let mut report = SetReport {
        lift: Some(Lift::Bench),
        ..SetReport::default()
    };
    report.setting.alone = Some(true);
    report.setting.safeties = Some(false);
    let found = triage("100 kg x 3 bench, chest went tight and still is", &report);
    assert_eq!(found.level, Level::Emergency);
    assert!(found.notes[0].starts_with("Stop now."), "{:?}", found.notes);
    for words in [
        "{emergency_number}",
        "drive",
        "Do not wait for the coach",
        "stay with you",
    ] {
        assert!(found.notes[0].contains(words), "{words}");
    }
    assert!(found.notes[1].contains("chest went tight"));
    assert!(!found.hazards.is_empty());
    assert!(!found.notes.iter().any(|note| note.contains("safeties")));
}

#[test]
fn a_ticked_box_is_not_cleared_by_no_pain_in_the_words() {
    let report = SetReport {
        flags: vec!["chest".to_owned()],
        ..SetReport::default()
    };
    let found = triage("no chest pain at all, 3x5 felt good", &report);
    assert_eq!(found.level, Level::Emergency);
    assert_eq!(found.flags[0].from, FlagSource::Ticked);
    assert_eq!(found.flags[0].quote, "");
}

#[test]
fn an_unknown_ticked_flag_goes_to_the_coach_with_a_note() {
    let report = SetReport {
        flags: vec!["some-new-box".to_owned()],
        ..SetReport::default()
    };
    let found = triage("", &report);
    assert_eq!(found.level, Level::Coach);
    assert!(!found.flags[0].note.is_empty());
}

#[test]
fn under_eighteen_on_the_form_is_the_minor_flag_once() {
    let report = SetReport {
        age_band: Some(AgeBand::Under18),
        ..SetReport::default()
    };
    let found = triage("16yo here, 100kg squat x2", &report);
    assert_eq!(found.level, Level::Coach);
    assert_eq!(found.flags.iter().filter(|f| f.flag == "minor").count(), 1);
    let silent = triage("100kg squat x2", &report);
    assert_eq!(silent.level, Level::Coach);
}

#[test]
fn ticked_breath_beside_a_swollen_calf_makes_the_calf_an_emergency() {
    let report = SetReport {
        flags: vec!["breath".to_owned()],
        ..SetReport::default()
    };
    let found = triage("left calf is swollen and warm", &report);
    assert!(
        found
            .flags
            .iter()
            .any(|f| f.flag == "calf" && f.level == FlagLevel::Emergency)
    );
}

#[test]
fn every_level_of_a_flag_defers_to_licensed_care_or_the_coach() {
    for rule in &words_catalog().flags.flags {
        let note = rule.note.to_lowercase();
        assert!(
            [
                "clinician",
                "emergency",
                "examined",
                "examination",
                "doctor",
                "ring",
                "surgeon",
                "professional",
                "prescriber",
                "coach",
                "checked",
                "blood test",
                "seen"
            ]
            .iter()
            .any(|word| note.contains(word)),
            "{}: {note}",
            rule.id
        );
    }
}

#[test]
fn benching_alone_without_safeties_is_a_note_until_the_set_is_hard() {
    let mut report = SetReport {
        lift: Some(Lift::Bench),
        effort: Some(Effort::Rpe(Span::exactly(7.0))),
        ..SetReport::default()
    };
    report.setting.alone = Some(true);
    report.setting.safeties = Some(false);
    let easy = triage("", &report);
    assert_eq!(easy.level, Level::Answer);
    assert!(easy.hazards.iter().any(|h| h.id == "bench-alone"));
    report.effort = Some(Effort::Rir(Span::exactly(1.0)));
    let hard = triage("", &report);
    assert_eq!(hard.level, Level::Coach);
    report.setting.collars = Some(true);
    assert!(
        triage("", &report)
            .hazards
            .iter()
            .any(|h| h.id == "bench-collars-alone")
    );
}

#[test]
fn what_was_not_said_is_no_hazard() {
    let found = triage(
        "",
        &SetReport {
            lift: Some(Lift::Bench),
            ..SetReport::default()
        },
    );
    assert_eq!(found, Triage::default());
}

#[test]
fn hazards_alone_never_stop_a_review() {
    let mut report = SetReport {
        lift: Some(Lift::Squat),
        missed: Some(Miss {
            reps: 3,
            place: None,
        }),
        effort: Some(Effort::Rpe(Span::exactly(10.0))),
        ..SetReport::default()
    };
    report.variant.grip = Some(Grip::Thumbless);
    report.setting.alone = Some(true);
    report.setting.spotter = Some(false);
    report.setting.safeties = Some(false);
    report.setting.equipment.shoes = Some(Shoes::Running);
    report.setting.equipment.bands = Some(true);
    let found = triage("heels on plates, bar is bent", &report);
    assert!(found.level <= Level::Coach);
    for id in [
        "squat-no-safeties",
        "missed-twice",
        "running-shoes",
        "bands",
        "heel-plates",
        "worn-gear",
    ] {
        assert!(
            found.hazards.iter().any(|h| h.id == id),
            "{id}: {:?}",
            found.hazards
        );
    }
    assert!(
        found.notes.len() <= 2,
        "two notes at most: {:?}",
        found.notes
    );
}

#[test]
fn danger_in_a_main_other_language_gets_the_emergency_text_unless_denied() {
    let level = |words| triage(words, &SetReport::default()).level;
    for words in [
        "Ich habe seit dem Satz Schmerzen in der Brust",
        "me duele el pecho desde la última serie",
        "je me suis évanoui après le soulevé de terre",
        "mi fa male il petto dopo la panca",
        "dor no peito depois do supino",
        "ik krijg geen lucht sinds de squat",
        "zemdlałem po martwym ciągu",
    ] {
        assert_eq!(level(words), Level::Emergency, "{words}");
    }
    assert_eq!(
        level("keine Brustschmerzen, aber mein Knie ist nicht gut"),
        Level::Coach
    );
    assert_eq!(level("ambulance driver here, squat 3x5"), Level::Answer);
}

#[test]
fn a_message_in_another_language_goes_to_the_coach_who_alone_can_read_it() {
    for words in [
        "ich mache Kniebeugen mit 100 kg und mein Rücken ist rund",
        "je suis sur ma séance et mes reps sont pas bonnes",
        "присед сто килограмм на пять",
    ] {
        let found = triage(words, &SetReport::default());
        assert_eq!(found.level, Level::Coach, "{words}");
        assert!(found.notes.iter().any(|note| note.contains("English only")));
    }
}

#[test]
fn pain_words_of_another_language_go_to_the_coach() {
    for words in [
        "me duele la rodilla",
        "Schmerzen im Rücken",
        "胸が痛い",
        "болит спина",
    ] {
        assert_eq!(
            triage(words, &SetReport::default()).level,
            Level::Coach,
            "{words}"
        );
    }
}
