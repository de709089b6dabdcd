//! The table of flag phrases: flag, expected level, text (invented lines in lifters' language).

use super::words_catalog;
use crate::reading::{FlagLevel, Hints, read};

const TABLE: &str = include_str!("phrases.tsv");

/// Further lines, written after the wordings to see how far those carry.
pub(super) const MORE: &str = include_str!("more_phrases.tsv");

pub(super) fn level(word: &str) -> FlagLevel {
    match word {
        "none" => FlagLevel::None,
        "coach" => FlagLevel::Coach,
        "clinician" => FlagLevel::Clinician,
        "emergency" => FlagLevel::Emergency,
        other => panic!("no level {other}"),
    }
}

#[test]
fn every_phrase_of_the_table_raises_its_flag_at_its_level_and_harmless_ones_raise_nothing() {
    let catalog = words_catalog();
    let mut wrong = Vec::new();
    for row in TABLE.lines().filter(|row| !row.trim().is_empty()) {
        let [flag, expected, text] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("three columns wanted: {row}");
        };
        let expected = level(expected);
        let reading = read(text, catalog, Hints::default());
        let found: Vec<_> = reading
            .flags
            .iter()
            .map(|mention| (mention.flag.as_str(), mention.level))
            .collect();
        let right = if expected == FlagLevel::None {
            found.is_empty()
        } else {
            found.contains(&(flag, expected))
        };
        if !right {
            wrong.push(format!("{flag} {expected:?}: {text}\n      got {found:?}"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// Counts of a table: hurt lines, those flagged at their level or above, harmless lines, those
/// that raised nothing; and the lines that failed.
fn count(table: &str) -> ([usize; 4], Vec<String>) {
    let catalog = words_catalog();
    let mut counts = [0; 4];
    let mut failed = Vec::new();
    for row in table.lines().filter(|row| !row.trim().is_empty()) {
        let [_, expected, text] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("three columns wanted: {row}");
        };
        let expected = level(expected);
        let found = read(text, catalog, Hints::default()).level;
        let (all, right, ok) = if expected == FlagLevel::None {
            (2, 3, found == FlagLevel::None)
        } else {
            (0, 1, found >= expected)
        };
        counts[all] += 1;
        counts[right] += usize::from(ok);
        if !ok {
            failed.push(format!("{expected:?} wanted, {found:?} found: {text}"));
        }
    }
    (counts, failed)
}

#[test]
fn no_dangerous_line_is_read_below_its_level_and_nearly_no_harmless_one_is_flagged() {
    let ([hurt, caught, harmless, quiet], failed) = count(&format!("{TABLE}\n{MORE}"));
    assert!(hurt > 300, "{hurt}");
    assert_eq!(caught, hurt, "{failed:#?}");
    assert!(
        quiet * 100 >= harmless * 98,
        "{quiet} of {harmless}: {failed:#?}"
    );
}
