//! Red flags: what raises them, how serious each wording is, and what to say.

use super::lexicon::Lexicon;
use super::pattern::Pattern;
use super::spread::spread;
use super::words::PhraseBook;
use super::{CatalogFile, CatalogProblem};
use crate::reading::FlagLevel;
use serde::Deserialize;
use std::collections::BTreeMap;

/// What telling of earlier times does to a flag.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum WhenPast {
    /// Long over and healed raises nothing.
    #[default]
    Drops,
    /// Over, of years or of days ago, raises nothing once it is gone.
    Gone,
    /// Over, but a clinician should still hear of it.
    Clinician,
    /// Does not expire.
    Stays,
}

/// A flag that grows more serious beside others.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Raise {
    /// Any of these flags beside it.
    pub beside: Vec<String>,
    /// Level it then has.
    pub to: FlagLevel,
}

/// One flag as written in the file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FlagText {
    id: String,
    title: String,
    note: String,
    #[serde(default)]
    ticked: Option<FlagLevel>,
    #[serde(default)]
    past: WhenPast,
    #[serde(default)]
    emergency: Vec<String>,
    #[serde(default)]
    clinician: Vec<String>,
    #[serde(default)]
    coach: Vec<String>,
    #[serde(default)]
    harmless: Vec<String>,
    #[serde(default)]
    eased_by: Vec<String>,
    #[serde(default)]
    raise: Option<Raise>,
}

/// The file as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FlagFile {
    emergency_text: String,
    unknown_note: String,
    flag: Vec<FlagText>,
}

/// One red flag.
#[derive(Clone, Debug)]
pub struct FlagRule {
    /// Id such as `chest`.
    pub id: String,
    /// What it is, for the coach.
    pub title: String,
    /// What to say to the lifter; defers to licensed care.
    pub note: String,
    /// Level of a ticked box.
    pub ticked: FlagLevel,
    /// What earlier times do to it.
    pub past: WhenPast,
    /// Grows beside other flags.
    pub raise: Option<Raise>,
    /// Wordings with their levels, highest first.
    pub(crate) rules: Vec<(FlagLevel, Pattern)>,
    /// Wordings that look alike and mean no harm.
    pub(crate) harmless: Vec<Pattern>,
    /// Wordings that ease `clinician` to `coach` (cleared by a clinician).
    pub(crate) eased_by: Vec<Pattern>,
}

/// All red flags, in the order of the file.
#[derive(Clone, Debug, Default)]
pub struct FlagBook {
    /// The flags.
    pub flags: Vec<FlagRule>,
    /// The one short block of an emergency; holds `{emergency_number}` for the caller to fill.
    pub emergency_text: String,
    /// What to say about a ticked flag that the file does not know.
    pub unknown_note: String,
    pub(crate) literals: PhraseBook,
}

impl FlagBook {
    /// Reads the flag file; all faults at once, each with its line.
    pub fn parse(file: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let read: FlagFile =
            toml::from_str(file.text).map_err(|error| vec![problem(&file, &error)])?;
        let mut compiler = Compiler {
            file,
            literals: BTreeMap::new(),
            problems: Vec::new(),
        };
        let mut flags: Vec<FlagRule> = Vec::new();
        for flag in read.flag {
            if flags.iter().any(|known| known.id == flag.id) {
                compiler.fault(&flag.id, "flag given twice", "each id once");
            }
            flags.push(compiler.flag(flag));
        }
        for flag in &flags {
            for beside in flag.raise.iter().flat_map(|r| &r.beside) {
                if !flags.iter().any(|known| known.id == *beside) {
                    compiler.fault(beside, "raise names an unknown flag", "the id of a flag");
                }
            }
        }
        for needed in NEEDED {
            let text = read.emergency_text.to_lowercase();
            if !needed.iter().any(|word| text.contains(word)) {
                let what = format!("emergency_text without any of {needed:?}");
                compiler.fault(
                    "emergency_text",
                    &what,
                    "to stop, to ring the number, not to wait",
                );
            }
        }
        for flag in &flags {
            let note = flag.note.to_lowercase();
            if !CARE.iter().any(|word| note.contains(word)) {
                let what = format!(
                    "the note of {} names no licensed care and no coach",
                    flag.id
                );
                compiler.fault(
                    &format!("id = \"{}\"", flag.id),
                    &what,
                    "one of clinician, doctor, midwife, coach ...",
                );
            }
        }
        if !compiler.problems.is_empty() {
            return Err(compiler.problems);
        }
        let mut literals = PhraseBook::default();
        for (phrase, term) in compiler.literals.clone() {
            match spread(&phrase) {
                Ok(_) => literals.add(&phrase, term),
                Err(what) => compiler.fault(&phrase, &what, "(one|or other) of several"),
            }
        }
        if !compiler.problems.is_empty() {
            return Err(compiler.problems);
        }
        Ok(Self {
            flags,
            emergency_text: read.emergency_text,
            unknown_note: read.unknown_note,
            literals,
        })
    }

    /// The flag with this id.
    pub fn flag(&self, id: &str) -> Option<&FlagRule> {
        self.flags.iter().find(|flag| flag.id == id)
    }

    /// Groups of words that the wordings name and the lexicon does not have.
    pub fn unknown_groups(&self, lexicon: &Lexicon) -> Vec<String> {
        let mut unknown: Vec<String> = self
            .flags
            .iter()
            .flat_map(|flag| {
                let rules = flag.rules.iter().map(|(_, pattern)| pattern);
                rules.chain(&flag.harmless).chain(&flag.eased_by)
            })
            .flat_map(Pattern::groups)
            .filter(|group| !lexicon.has(group))
            .map(str::to_owned)
            .collect();
        unknown.sort();
        unknown.dedup();
        unknown
    }
}

/// What the emergency text has to say; one of each line.
const NEEDED: [&[&str]; 3] = [
    &["stop"],
    &["{emergency_number}"],
    &["do not wait", "don't wait"],
];

/// Whom a note may defer to; one of them has to stand in it.
const CARE: [&str; 16] = [
    "clinician",
    "emergency",
    "examin",
    "doctor",
    "surgeon",
    "professional",
    "prescriber",
    "midwife",
    "coach",
    "checked",
    "blood test",
    "be seen",
    "physio",
    "licensed care",
    "ring",
    "adult",
];

/// Turns wordings into patterns and collects faults.
struct Compiler<'a> {
    file: CatalogFile<'a>,
    literals: BTreeMap<String, usize>,
    problems: Vec<CatalogProblem>,
}

impl Compiler<'_> {
    fn flag(&mut self, flag: FlagText) -> FlagRule {
        let mut rules = Vec::new();
        let levels = [
            (FlagLevel::Emergency, &flag.emergency),
            (FlagLevel::Clinician, &flag.clinician),
            (FlagLevel::Coach, &flag.coach),
        ];
        for (level, wordings) in levels {
            for pattern in self.patterns(wordings) {
                rules.push((level, pattern));
            }
        }
        let highest = rules.first().map_or(FlagLevel::Coach, |(level, _)| *level);
        FlagRule {
            harmless: self.patterns(&flag.harmless),
            eased_by: self.patterns(&flag.eased_by),
            id: flag.id,
            title: flag.title,
            note: flag.note,
            ticked: flag.ticked.unwrap_or(highest),
            past: flag.past,
            raise: flag.raise,
            rules,
        }
    }

    fn patterns(&mut self, wordings: &[String]) -> Vec<Pattern> {
        let mut patterns = Vec::new();
        for wording in wordings {
            match Pattern::parse(wording, &mut self.literals) {
                Ok(pattern) => patterns.push(pattern),
                Err(what) => self.fault(
                    wording,
                    &what,
                    "words, <groups>, + (near), & (anywhere), / (or), ! (unless)",
                ),
            }
        }
        patterns
    }

    fn fault(&mut self, near: &str, what: &str, accepted: &str) {
        let line = self
            .file
            .text
            .lines()
            .position(|line| line.contains(near))
            .map_or(1, |at| at + 1);
        self.problems.push(CatalogProblem {
            file: self.file.name.to_owned(),
            line,
            what: format!("{what}: {near}"),
            accepted: accepted.to_owned(),
        });
    }
}

/// A TOML fault with its line.
pub(super) fn problem(file: &CatalogFile, error: &toml::de::Error) -> CatalogProblem {
    let start = error.span().map_or(0, |span| span.start);
    let line = file
        .text
        .get(..start)
        .map_or(1, |before| before.matches('\n').count() + 1);
    CatalogProblem {
        file: file.name.to_owned(),
        line,
        what: error.message().to_owned(),
        accepted: "the fields shown at the head of the file".to_owned(),
    }
}
