//! Strikes: what a member is told when advice of theirs had to be removed, and how long their answers
//! do not count.

use super::PersonKey;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// What a strike means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StrikeStep {
    /// Told, nothing more.
    Warning,
    /// Answers do not count for a week.
    Week,
    /// Answers do not count any more.
    Out,
}

impl StrikeStep {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Warning => "warning",
            Self::Week => "week",
            Self::Out => "out",
        }
    }

    /// The step with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Warning, Self::Week, Self::Out]
            .into_iter()
            .find(|step| step.word() == word)
    }

    /// The one after it; there is none after the last.
    #[must_use]
    pub const fn next(self) -> Self {
        match self {
            Self::Warning => Self::Week,
            Self::Week | Self::Out => Self::Out,
        }
    }
}

/// What became of a strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StrikeState {
    /// In force, as given.
    Given,
    /// The member asks the coach to look at it; in force until then.
    Appealed,
    /// The coach has looked at it: in force.
    Kept,
    /// The coach has taken it back: it never counted.
    TakenBack,
}

impl StrikeState {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Appealed => "appealed",
            Self::Kept => "kept",
            Self::TakenBack => "taken-back",
        }
    }

    /// The state with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Given, Self::Appealed, Self::Kept, Self::TakenBack]
            .into_iter()
            .find(|state| state.word() == word)
    }
}

/// One strike of one member. What was written is not kept here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Strike {
    /// The member.
    pub member: PersonKey,
    /// What it was given for: the id of a message, or of the coach's word. One strike each, however
    /// often a message is changed.
    pub cause_id: String,
    /// When.
    pub at: Timestamp,
    /// What it means.
    pub step: StrikeStep,
    /// Until when answers do not count; none for a warning, and for the last step.
    pub until: Option<Timestamp>,
    /// Id of the catalog's kind of advice, or `coach`.
    pub rule: String,
    /// Why, as told to the member.
    pub why: String,
    /// The challenge it was about, when it was about one.
    pub challenge: Option<i64>,
    /// The coach who gave it; none when the catalog's words raised it.
    pub given_by: Option<String>,
    /// What became of it.
    pub state: StrikeState,
}

impl Strike {
    /// It counts: nobody has taken it back.
    pub fn stands(&self) -> bool {
        self.state != StrikeState::TakenBack
    }

    /// Because of it answers do not count now.
    pub fn blocks(&self, now: Timestamp) -> bool {
        self.stands()
            && match self.step {
                StrikeStep::Warning => false,
                StrikeStep::Week => self.until.is_some_and(|until| now < until),
                StrikeStep::Out => true,
            }
    }
}
