//! Replies under review: what twenty invented lifters are told, word for word.
//!
//! After a change on purpose, `INSTA_UPDATE=always cargo test -p cueline-tests --test golden`
//! writes the new replies; read every changed one before committing it.

use cueline_bot::brain;
use cueline_bot::wording::{ReplyParts, reply};
use cueline_core::assess::{History, assess, validate};
use cueline_core::report::SetReport;
use cueline_core::triage::Level;
use jiff::civil::date;
use serde::Deserialize;
use std::fmt::Write as _;

#[derive(Deserialize)]
struct Sets {
    set: Vec<Set>,
}

#[derive(Deserialize)]
struct Set {
    name: String,
    report: SetReport,
}

/// Words that only belong where lifting goes on.
const LIFTING: [&str; 6] = [
    "Practise",
    "a side",
    "cue",
    "Set-up",
    "Where you stand",
    "x 3 at",
];

#[test]
fn twenty_lifters_are_told_what_was_reviewed() {
    let sets: Sets = toml::from_str(include_str!("sets.toml")).expect("the sets are valid");
    assert_eq!(sets.set.len(), 20);
    let (_, brain) = brain::load(None).expect("the built-in catalog is whole");
    let mut all = String::new();
    for set in &sets.set {
        validate(&brain.catalog, &set.report).unwrap_or_else(|p| panic!("{}: {p:?}", set.name));
        let today = date(2026, 3, 2);
        let settings = &brain.rules.diagnosis;
        let assessment = assess(
            &brain.catalog,
            &set.report,
            &History::default(),
            settings,
            today,
        );
        let said = reply(
            &assessment,
            &ReplyParts {
                words: &brain.words,
                catalog: &brain.catalog,
                emergency_number: "your local emergency number",
                coach_by: Some(date(2026, 3, 3)),
                progress: &[],
            },
        );
        let lines = said.lines().count();
        assert!(lines <= 15, "{}: {lines} lines are too many", set.name);
        assert!(
            !said.contains(['{', '}']),
            "{}: a placeholder is left: {said}",
            set.name
        );
        if assessment.triage.level.stops() {
            for word in LIFTING {
                assert!(
                    !said.contains(word),
                    "{}: a stop says {word}: {said}",
                    set.name
                );
            }
        }
        let level = assessment.triage.level;
        writeln!(all, "## {} [{}]\n{said}\n", set.name, word(level)).expect("text takes text");
    }
    insta::assert_snapshot!(all);
}

/// The level's word in JSON.
fn word(level: Level) -> String {
    serde_json::to_string(&level)
        .unwrap_or_default()
        .replace('"', "")
}
