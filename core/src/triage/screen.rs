//! Flags from words and ticked boxes to one level, with the notes that go with them.

use super::{Flag, FlagSource, Level, Triage, hazards};
use crate::catalog::Catalog;
use crate::reading::{FlagLevel, Reading, Text, quote};
use crate::report::{AgeBand, SetReport};

/// Where the caller puts the emergency number; see the catalog's emergency text.
const NUMBER_PLACE: &str = "{emergency_number}";

/// Safety notes of hazards in one reply, at most.
const HAZARD_NOTES: usize = 2;

/// Screens a report: `words` is the text that `reading` was read from, `text` the same made ready.
pub(crate) fn screen(
    words: &str,
    text: &Text<'_>,
    reading: &Reading,
    report: &SetReport,
    catalog: &Catalog,
) -> Triage {
    let mut flags = from_words(words, reading, catalog);
    for id in &report.flags {
        add_ticked(&mut flags, id, catalog);
    }
    if report.age_band == Some(AgeBand::Under18) && !flags.iter().any(|flag| flag.flag == "minor") {
        add_ticked(&mut flags, "minor", catalog);
    }
    raise(&mut flags, catalog);
    flags.sort_by_key(|flag| std::cmp::Reverse(flag.level));
    let (hazards, coach) = hazards::hazards(text, report, catalog);
    let from_flags = flags
        .first()
        .map_or(Level::Answer, |flag| level(flag.level));
    let from_hazards = if coach { Level::Coach } else { Level::Answer };
    let level = from_flags.max(from_hazards);
    let mut notes = flag_notes(&flags, level, catalog);
    if !level.stops() {
        notes.extend(
            hazards
                .iter()
                .take(HAZARD_NOTES)
                .map(|hazard| hazard.note.clone()),
        );
    }
    Triage {
        level,
        flags,
        hazards,
        notes,
    }
}

fn from_words(words: &str, reading: &Reading, catalog: &Catalog) -> Vec<Flag> {
    reading
        .flags
        .iter()
        .filter(|mention| mention.level > FlagLevel::None)
        .map(|mention| Flag {
            flag: mention.flag.clone(),
            level: mention.level,
            quote: quote(words, mention.span),
            span: Some(mention.span),
            from: FlagSource::Words,
            note: note(&mention.flag, catalog),
        })
        .collect()
}

/// A ticked box counts at its own level even when the words sound milder; a flag the catalog does
/// not know goes to the coach.
fn add_ticked(flags: &mut Vec<Flag>, id: &str, catalog: &Catalog) {
    if flags
        .iter()
        .any(|flag| flag.flag == id && flag.from == FlagSource::Ticked)
    {
        return;
    }
    let known = catalog.flags.flag(id);
    flags.push(Flag {
        flag: id.to_owned(),
        level: known.map_or(FlagLevel::Coach, |rule| rule.ticked.max(FlagLevel::Coach)),
        quote: String::new(),
        span: None,
        from: FlagSource::Ticked,
        note: note(id, catalog),
    });
}

/// Flags that grow beside others, ticked or said.
fn raise(flags: &mut [Flag], catalog: &Catalog) {
    let present: Vec<String> = flags.iter().map(|flag| flag.flag.clone()).collect();
    for flag in flags {
        if let Some(raise) = catalog
            .flags
            .flag(&flag.flag)
            .and_then(|rule| rule.raise.as_ref())
            && raise.beside.iter().any(|other| present.contains(other))
        {
            flag.level = flag.level.max(raise.to);
        }
    }
}

fn note(id: &str, catalog: &Catalog) -> String {
    catalog.flags.flag(id).map_or_else(
        || catalog.flags.unknown_note.clone(),
        |rule| rule.note.clone(),
    )
}

/// In an emergency one short block first; else each flag's note with the words that raised it.
fn flag_notes(flags: &[Flag], level: Level, catalog: &Catalog) -> Vec<String> {
    let mut notes = Vec::new();
    if level == Level::Emergency {
        notes.push(emergency_text(catalog));
    }
    for flag in flags {
        let note = if flag.quote.is_empty() {
            flag.note.clone()
        } else {
            format!("You wrote \"{}\". {}", flag.quote, flag.note)
        };
        if !notes.contains(&note) && !note.trim().is_empty() {
            notes.push(note);
        }
    }
    notes
}

/// The catalog's emergency block; a plain one stands in when the catalog has none.
fn emergency_text(catalog: &Catalog) -> String {
    let text = catalog.flags.emergency_text.trim();
    if text.is_empty() {
        format!(
            "Stop now. Do not lift or drive. Ring {NUMBER_PLACE} or go to emergency care. Do not wait for the coach. Ask somebody to stay with you."
        )
    } else {
        text.to_owned()
    }
}

/// A flag's level as the level of the answer.
const fn level(flag: FlagLevel) -> Level {
    match flag {
        FlagLevel::None => Level::Answer,
        FlagLevel::Coach => Level::Coach,
        FlagLevel::Clinician => Level::Clinician,
        FlagLevel::Emergency => Level::Emergency,
    }
}
