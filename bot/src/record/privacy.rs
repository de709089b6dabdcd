//! What is decided about a person's data: consent, forgetting, links to a copy, how long is kept.

use super::{CaseBody, PersonKey};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// What a message leaves behind in the database once it is out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Keep {
    /// All of it.
    #[default]
    All,
    /// Everything but the text: it holds words on health that may not be kept.
    Frame,
    /// Nothing about anybody.
    Nothing,
}

impl Keep {
    /// Nothing special about it.
    pub const fn is_all(&self) -> bool {
        matches!(self, Self::All)
    }
}

/// What becomes of the content of the event that was handled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Wipe {
    /// Its files go: what of them is kept stands with the case.
    Files,
    /// Its content goes; whose it was stays.
    Words,
    /// Nothing but its name stays.
    Person,
}

/// One step in the log of consents.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ConsentStep {
    /// The question was put.
    Asked,
    /// Yes.
    Yes,
    /// No.
    No,
    /// Taken back.
    Withdrawn,
}

impl ConsentStep {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Asked => "asked",
            Self::Yes => "yes",
            Self::No => "no",
            Self::Withdrawn => "withdrawn",
        }
    }
}

/// How a step came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ConsentHow {
    /// We asked.
    Cueline,
    /// By button.
    Button,
    /// In words.
    Words,
}

impl ConsentHow {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cueline => "cueline",
            Self::Button => "button",
            Self::Words => "words",
        }
    }
}

/// An entry of the log of consents.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ConsentEntry {
    /// Whose.
    pub person: PersonKey,
    /// What happened.
    pub step: ConsentStep,
    /// When.
    pub at: Timestamp,
    /// How.
    pub how: ConsentHow,
    /// The event it came with.
    pub event_id: String,
    /// Which text it is about: a hash of the question as shown.
    pub text_version: String,
    /// The question as shown, with `Asked`; what was recorded, when a coach did for a parent.
    pub text: Option<String>,
    /// The coach who recorded what a parent or guardian said; nothing: the lifter's own step.
    pub recorded_by: Option<String>,
}

/// Where a lifter stands on the keeping of words about health.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HealthConsent {
    /// The last step.
    pub step: ConsentStep,
    /// When that was.
    pub at: Timestamp,
    /// The text it is about.
    pub text_version: String,
    /// That text speaks of pictures and traces too.
    #[serde(default)]
    pub pictures: bool,
}

/// What a parent or guardian of a lifter under 18 has said, as a coach recorded it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct GuardianConsent {
    /// Yes, or no.
    pub agrees: bool,
    /// When it was recorded.
    pub at: Timestamp,
    /// The coach who did.
    pub recorded_by: String,
}

/// A lifter is forgotten.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Erasure {
    /// Who.
    pub person: PersonKey,
    /// What was written up to here does nothing any more when it comes in late.
    pub erased_at: Timestamp,
}

/// A link to a copy of a lifter's data.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DataLink {
    /// Hash of its key; the key itself is in the message alone.
    pub token_hash: String,
    /// Whose data.
    pub person: PersonKey,
    /// Until when it works.
    pub expires_at: Timestamp,
    /// How often.
    pub uses: u32,
}

/// Everything kept of one lifter, table by table.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Dossier {
    /// Name of a table and its rows.
    pub tables: Vec<(String, Vec<serde_json::Value>)>,
    /// Some table held more rows than were asked for.
    pub cut: bool,
}

impl Dossier {
    /// Rows of one table.
    pub fn rows(&self, table: &str) -> &[serde_json::Value] {
        self.tables
            .iter()
            .find(|(name, _)| name == table)
            .map_or(&[], |(_, rows)| rows.as_slice())
    }

    /// The whole of it as one document.
    pub fn document(&self, person: &PersonKey, made_at: Timestamp) -> serde_json::Value {
        let tables: serde_json::Map<String, serde_json::Value> = self
            .tables
            .iter()
            .map(|(name, rows)| (name.clone(), rows.clone().into()))
            .collect();
        serde_json::json!({
            "person": person,
            "made_at": made_at,
            "complete": !self.cut,
            "kept": tables,
        })
    }

    /// Nothing is kept.
    pub fn is_empty(&self) -> bool {
        self.tables.iter().all(|(_, rows)| rows.is_empty())
    }
}

/// Whatever was finished before these times has grown too old to keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooOld {
    /// Clips and files.
    pub files: Timestamp,
    /// Pictures and traces kept with cases.
    pub pictures: Timestamp,
    /// Free text: events as they came, messages, words in cases that are over.
    pub words: Timestamp,
    /// What raised a flag, in cases that are over.
    pub flags: Timestamp,
    /// Figures: cases that are over, whole.
    pub figures: Timestamp,
    /// Bodies that could not be read.
    pub unreadable: Timestamp,
    /// Names of events whose content is gone.
    pub names: Timestamp,
}

/// Bytes as hexadecimal digits; how hashes are kept.
pub fn hex(bytes: &[u8]) -> String {
    let mut digits = String::with_capacity(bytes.len() * 2);
    for byte in bytes {
        for half in [byte >> 4, byte & 0xf] {
            digits.extend(char::from_digit(u32::from(half), 16));
        }
    }
    digits
}

impl CaseBody {
    /// Takes the clips out.
    pub fn drop_clips(&mut self) {
        self.report.clip = None;
        for round in &mut self.rounds {
            round.report.clip = None;
        }
    }

    /// Takes every free text of the lifter out: figures, signs and levels stay.
    pub fn drop_words(&mut self) {
        self.report.words = None;
        for part in &mut self.parts {
            part.text.clear();
        }
        for round in &mut self.rounds {
            round.report.words = None;
            round.flags.iter_mut().for_each(|(_, quote)| quote.clear());
        }
        for raised in &mut self.raised {
            raised.why.clear();
        }
    }

    /// Takes out what says something about health: flags, what raised them, and the signs that
    /// `is_health` names. Levels and the state stay.
    pub fn drop_flags(&mut self, is_health: impl Fn(&str) -> bool) {
        let reports = std::iter::once(&mut self.report);
        let rounds = self.rounds.iter_mut();
        for round in rounds {
            round.flags.clear();
            round.report.flags.clear();
            for list in [
                &mut round.present,
                &mut round.absent,
                &mut round.report.seen,
                &mut round.report.not_seen,
            ] {
                list.retain(|sign| !is_health(sign));
            }
        }
        for report in reports {
            report.flags.clear();
            report.seen.retain(|sign| !is_health(sign));
            report.not_seen.retain(|sign| !is_health(sign));
        }
        self.raised.clear();
    }
}
