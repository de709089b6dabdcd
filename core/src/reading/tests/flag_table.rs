//! The table of flag phrases: flag, expected level, text (invented lines in lifters' language).

use super::words_catalog;
use crate::reading::{FlagLevel, Hints, read};

const TABLE: &str = include_str!("phrases.tsv");

fn level(word: &str) -> FlagLevel {
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
        let reading = read(text, &catalog, Hints::default());
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
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn zz_mine() {
    let catalog = words_catalog();
    let text = std::fs::read_to_string("/tmp/mine.tsv").unwrap();
    for row in text.lines() {
        let [flag, expected, text] = row.split('\t').collect::<Vec<_>>()[..] else { panic!("{row}") };
        let expected = level(expected);
        let reading = read(text, &catalog, Hints::default());
        let found: Vec<_> = reading.flags.iter().map(|m| (m.flag.as_str(), m.level)).collect();
        let bad = if expected == FlagLevel::None { !found.is_empty() } else { !found.contains(&(flag, expected)) || reading.level > expected };
        if bad { eprintln!("MINE {flag} {expected:?}: {text}\n      got {found:?}"); }
    }
}

#[test]
fn zz_lines() {
    let catalog = words_catalog();
    let text = std::fs::read_to_string("/tmp/lines60.txt").unwrap();
    for (i, row) in text.lines().enumerate() {
        let r = read(row, &catalog, Hints::default());
        let mut fields = serde_json::to_value(&r.fields).unwrap();
        if let Some(o) = fields.as_object_mut() { o.remove("words"); }
        let asks: Vec<_> = r.asks.iter().map(|a| a.field.as_str()).collect();
        let flags: Vec<_> = r.flags.iter().map(|m| (m.flag.as_str(), m.level)).collect();
        eprintln!("{}| {row}\n    {} bare {:?}/{:?} asks {asks:?} {}", i + 1, fields, r.bare_load, r.bare_best, if flags.is_empty() { String::new() } else { format!("{flags:?}") });
    }
}
