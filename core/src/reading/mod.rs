//! Prose and short lines to report fields, signs and flag mentions, each with its span.
//!
//! No network, no model: a grammar and a lexicon from the catalog, so a coach can add phrases.

mod clauses;
mod cues;
mod excuses;
mod features;
mod fields;
mod flags;
mod hits;
mod known;
mod loads;
mod manner;
mod measure;
mod measured;
mod posts;
mod prepared;
mod said;
mod sayings;
mod sign_phrases;
mod signs;
mod summons;
mod token;
mod unread;
mod weigh;
mod wordings;
mod work;

pub use self::features::saying_features;
pub use self::loads::{LoadMention, loads};
pub use self::manner::{Manner, manner};
pub use self::posts::{FineByRule, post_features};
pub(crate) use self::prepared::PreparedOnce;
pub use self::summons::SummonsMention;
pub use self::weigh::{hundredths, weighed};
use crate::catalog::Catalog;
use crate::quantity::MassUnit;
use crate::report::{FieldError, Lift, SetReport};
use serde::{Deserialize, Serialize};

/// Level of a red flag, lowest first.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum FlagLevel {
    /// No red flag.
    #[default]
    None,
    /// Keep it light; the coach must look.
    Coach,
    /// Stop; a licensed clinician before lifting again.
    Clinician,
    /// Stop now; emergency care.
    Emergency,
}

impl FlagLevel {
    /// The level's name as files and answers write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Coach => "coach",
            Self::Clinician => "clinician",
            Self::Emergency => "emergency",
        }
    }
}

/// A part of the text: `[from, to)` in Unicode code points, as other languages index strings.
pub type TextSpan = [usize; 2];

/// One red flag found in the words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FlagMention {
    /// Flag id such as `chest`.
    pub flag: String,
    /// Its level here.
    pub level: FlagLevel,
    /// Where it stands.
    pub span: TextSpan,
}

/// Whether a sign is said to be there or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Polarity {
    /// Said to be there.
    Present,
    /// Said not to be there.
    Absent,
}

/// One sign found in the words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SignMention {
    /// Sign id.
    pub sign: String,
    /// There or not there.
    pub polarity: Polarity,
    /// Where it stands.
    pub span: TextSpan,
    /// How sure the reading is, 0 to 1.
    pub confidence: f64,
}

/// Where a report field was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FieldMention {
    /// The field's name in the report (`load`, `reps`, `effort`).
    pub field: String,
    /// Where it stands.
    pub span: TextSpan,
    /// How sure the reading is, 0 to 1.
    pub confidence: f64,
}

/// Something the words leave open.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// The field to settle.
    pub field: String,
    /// The question.
    pub question: String,
    /// Choices, when there are few; empty for a free answer.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub choices: Vec<String>,
}

/// Everything read from one text.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Highest level of the flags found.
    pub level: FlagLevel,
    /// Every red flag found.
    pub flags: Vec<FlagMention>,
    /// Fields as a partial set report (`words` stays empty).
    pub fields: SetReport,
    /// Where each field was read.
    pub mentions: Vec<FieldMention>,
    /// Signs found.
    pub signs: Vec<SignMention>,
    /// What is left open, most needed first.
    pub asks: Vec<Ask>,
    /// Figures of the set that cannot be true, kept out of the fields.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub refused: Vec<FieldError>,
    /// Escalations that the words call for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub summons: Vec<SummonsMention>,
    /// Ids of the context rules that the words let hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rules_said: Vec<String>,
    /// The rule by which the post as a whole tells of no fault, with its chance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fine: Option<FineByRule>,
    /// The load as a bare number, when its unit was not said and is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bare_load: Option<f64>,
    /// The best single as a bare number, when its unit was not said and is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bare_best: Option<f64>,
    /// The load wanted as a bare number, when its unit was not said and is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bare_goal: Option<f64>,
    /// Loads planned for the next days, apart from the set told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub planned: Vec<PlannedLoad>,
    /// The exercise, when the words name one that is none of the three lifts; then no field of
    /// its set is filled and nothing is asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_exercise: Option<String>,
}

/// A load that the lifter means to try within days.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PlannedLoad {
    /// As written.
    pub value: f64,
    /// Its unit, when said with it.
    pub unit: Option<MassUnit>,
    /// Where it was read.
    pub span: TextSpan,
}

/// What is already known when a text is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Hints {
    /// The unit this lifter has stated before; a bare number is still asked about when absent.
    pub unit: Option<MassUnit>,
    /// The lift the case is about.
    pub lift: Option<Lift>,
}

/// Reads one text. Never fails: what cannot be settled becomes an ask.
pub fn read(text: &str, catalog: &Catalog, hints: Hints) -> Reading {
    Reader::new(catalog).read(text, hints)
}

/// Reads many texts with one catalog. What is read of a text is the same as [`read`] gives, whatever
/// was read before it; only words met before are read faster.
#[derive(Debug)]
pub struct Reader<'a> {
    catalog: &'a Catalog,
    words: known::Words,
}

impl<'a> Reader<'a> {
    /// A reader that has read nothing yet.
    pub fn new(catalog: &'a Catalog) -> Self {
        Self {
            catalog,
            words: known::Words::default(),
        }
    }

    /// Reads one text. Never fails: what cannot be settled becomes an ask.
    pub fn read(&mut self, text: &str, hints: Hints) -> Reading {
        let said = said::Said::new(text, self.catalog, &mut self.words);
        read_said(&said, self.catalog, hints)
    }

    /// Reads one text, and what kind of message it is besides a set.
    pub fn read_with_manner(&mut self, text: &str, hints: Hints) -> (Reading, Option<Manner>) {
        let said = said::Said::new(text, self.catalog, &mut self.words);
        let reading = read_said(&said, self.catalog, hints);
        (reading, manner::of_said(&said, self.catalog))
    }
}

fn read_said(said: &said::Said, catalog: &Catalog, hints: Hints) -> Reading {
    let prepared = PreparedOnce::of(catalog);
    let mut flags = flags::flags(said, catalog, prepared);
    weigh::weigh(said, catalog, &mut flags);
    let mut reading = Reading {
        level: flags
            .iter()
            .map(|mention| mention.level)
            .max()
            .unwrap_or_default(),
        flags,
        ..Reading::default()
    };
    fields::read(said, hints, &mut reading);
    let lift = hints.lift.or(reading.fields.lift);
    (reading.signs, reading.fine) = prepared
        .signs(lift)
        .map(|book| signs::signs(said, catalog, book, lift.is_none()))
        .unwrap_or_default();
    reading.summons = summons::summons(said, catalog);
    reading.rules_said = summons::rules_said(said, catalog);
    unread::unread(said, catalog, &mut reading);
    reading
}

/// One text made ready once, for everything that an assessment asks of it.
pub(crate) struct Text<'a> {
    said: said::Said,
    catalog: &'a Catalog,
}

impl<'a> Text<'a> {
    /// Makes a text ready.
    pub(crate) fn new(text: &str, catalog: &'a Catalog) -> Self {
        Self {
            said: said::Said::new(text, catalog, &mut known::Words::default()),
            catalog,
        }
    }

    /// The same as [`read`] gives of it.
    pub(crate) fn read(&self, hints: Hints) -> Reading {
        read_said(&self.said, self.catalog, hints)
    }

    /// Whether it says a group of the lexicon of the lifter, neither denied nor only thought of.
    pub(crate) fn says(&self, group: &str) -> bool {
        let told = self.said.group(&self.catalog.lexicon, group);
        told.iter().any(|at| !flags::denied(&self.said, *at))
    }

    /// Whether a pain told at one of these places is told as a sharp one, in the same sentence.
    pub(crate) fn sharp(&self, spans: &[TextSpan]) -> bool {
        let said = &self.said;
        let sentences: Vec<usize> = said
            .words
            .iter()
            .filter(|word| {
                spans
                    .iter()
                    .any(|span| word.token.span[0] < span[1] && span[0] < word.token.span[1])
            })
            .map(|word| word.sentence)
            .collect();
        let told = said.find(&self.catalog.sign_words.sharp_pain, &self.catalog.lexicon);
        told.iter().flat_map(|(_, places)| places).any(|at| {
            let here = |word: &said::Word| sentences.contains(&word.sentence);
            said.slice(*at).iter().any(here)
                && !said.any(*at, |meant| {
                    meant.denied.is_some() || meant.thought || meant.idiom || meant.long_past
                })
        })
    }
}

/// Compiles a catalog for reading, so that the first text is read as fast as the rest.
pub(crate) fn prepare(catalog: &Catalog) {
    let _ = PreparedOnce::of(catalog);
}

/// The words at a place of the original text.
pub fn quote(text: &str, span: TextSpan) -> String {
    let [from, to] = span;
    text.chars()
        .skip(from)
        .take(to.saturating_sub(from))
        .collect()
}

#[cfg(test)]
pub(crate) mod tests;
