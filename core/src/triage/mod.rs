//! Flags and hazards to a level with safety notes; the highest level wins.

mod hazards;
mod screen;
#[cfg(test)]
mod tests;

pub(crate) use self::screen::screen;
use crate::reading::{FlagLevel, TextSpan};
use serde::{Deserialize, Serialize};

/// What a set report may be answered with; the highest that applies.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// The bot answers.
    #[default]
    Answer,
    /// Something is missing; one question first.
    Ask,
    /// The coach looks; no new load.
    Coach,
    /// Stop; a licensed clinician first. Only the coach lifts it.
    Clinician,
    /// Stop now; emergency care. Only the coach lifts it.
    Emergency,
}

impl Level {
    /// A stop level carries no loads, no technique talk and no reminders.
    pub const fn stops(self) -> bool {
        matches!(self, Self::Clinician | Self::Emergency)
    }
}

/// Where a flag was raised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FlagSource {
    /// In the lifter's words.
    Words,
    /// In a ticked box.
    Ticked,
}

/// One flag as it counts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Flag {
    /// Flag id.
    pub flag: String,
    /// Its level.
    pub level: FlagLevel,
    /// The words that raised it; empty for a ticked box.
    pub quote: String,
    /// Where the words stand, when it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span: Option<TextSpan>,
    /// Words or ticked.
    pub from: FlagSource,
    /// What to say about it, in the coach's words from the catalog.
    pub note: String,
}

/// A hazard that needs no symptom (bench alone without safeties).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hazard {
    /// Hazard id.
    pub id: String,
    /// What to say about it.
    pub note: String,
}

/// The screening of one report.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Triage {
    /// Highest level that applies from flags and hazards alone.
    pub level: Level,
    /// Every flag.
    pub flags: Vec<Flag>,
    /// Every hazard.
    pub hazards: Vec<Hazard>,
    /// Safety notes for the reply, most important first.
    pub notes: Vec<String>,
}
