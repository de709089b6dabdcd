//! A case put to the community, and what members answer.

use super::{Drawing, PersonKey, Strike, StrikeState};
use cueline_core::challenge::{Answer, Key, Mark};
use cueline_core::report::Lift;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Where a challenge stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChallengeState {
    /// The lifter was shown the exact text and asked.
    Asked,
    /// Posted; answers are taken.
    Open,
    /// Past its closing time; waits for the coach to reveal.
    Closed,
    /// The coach's verdict was posted; marks go out.
    Revealed,
    /// Not wanted, or not allowed, any more.
    Withdrawn,
}

impl ChallengeState {
    /// All of them.
    const ALL: [Self; 5] = [
        Self::Asked,
        Self::Open,
        Self::Closed,
        Self::Revealed,
        Self::Withdrawn,
    ];

    /// The word kept in the database and shown.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Asked => "asked",
            Self::Open => "open",
            Self::Closed => "closed",
            Self::Revealed => "revealed",
            Self::Withdrawn => "withdrawn",
        }
    }

    /// The state with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Something of it is shown, or about to be.
    pub const fn is_live(self) -> bool {
        matches!(self, Self::Asked | Self::Open | Self::Closed)
    }
}

/// The part of a challenge that only casework reads.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ChallengeBody {
    /// What is posted of the set, word for word as the lifter agreed to; empty once withdrawn.
    pub text: String,
    /// What is shown beside the text; agreed to with it, gone with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Drawing>,
    /// Closing time as said in the coach's zone.
    pub closes: String,
    /// Causes that have a button.
    pub buttons: Vec<String>,
    /// The lifter's best single when it was opened, in kilograms; turns loads into percentages.
    pub best_kg: Option<f64>,
    /// When the lifter agreed to the text.
    pub agreed_at: Option<Timestamp>,
    /// The coach's verdict the answers are marked against, fixed at the reveal.
    pub key: Option<Key>,
    /// Members up to this one have their marks, in the order of their ids.
    pub marked_to: Option<String>,
    /// Why it was withdrawn.
    pub over: String,
}

/// One challenge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Challenge {
    /// Small number that people use (`answer 4`).
    pub number: i64,
    /// Id, made from the event that opened it; keys of its posts are made from this.
    pub id: String,
    /// The case.
    pub case_id: String,
    /// The set of the case that is shown, by its event.
    pub event_id: String,
    /// Whose set it is.
    pub person: PersonKey,
    /// The coach who opened it.
    pub opened_by: PersonKey,
    /// Which lift.
    pub lift: Lift,
    /// Room it is posted in.
    pub room_id: String,
    /// Where it stands.
    pub state: ChallengeState,
    /// When the coach opened it.
    pub opened_at: Timestamp,
    /// Answers of this moment or later are late.
    pub closes_at: Timestamp,
    /// When the service has to do something next; none when it waits for a person.
    pub run_at: Option<Timestamp>,
    /// The service's own answer, written once when it is opened and never changed.
    pub sealed: Answer,
    /// The rest.
    pub body: ChallengeBody,
    /// Counts writes; a write with a stale version is refused. 0 when not stored yet.
    pub version: i64,
}

/// What becomes of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AnswerState {
    /// It counts.
    Taken,
    /// The coach reads it before it counts.
    Held,
    /// Taken back, or removed: by the coach, or because of what it advises.
    Withdrawn,
}

impl AnswerState {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::Held => "held",
            Self::Withdrawn => "withdrawn",
        }
    }

    /// The state with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Taken, Self::Held, Self::Withdrawn]
            .into_iter()
            .find(|state| state.word() == word)
    }
}

/// What one member answers to one challenge; the last edit before closing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChallengeAnswer {
    /// Number of the challenge.
    pub challenge: i64,
    /// The member.
    pub member: PersonKey,
    /// When it was last changed.
    pub at: Timestamp,
    /// How often it was changed after the first time.
    pub edits: u32,
    /// What becomes of it.
    pub state: AnswerState,
    /// Message it came with; taking that back takes the answer back.
    pub message_id: Option<String>,
    /// Why it is held or was removed; empty otherwise.
    pub why: String,
    /// What was understood, the cue in the member's words included.
    pub answer: Answer,
    /// Its mark, once there is one.
    pub mark: Option<Mark>,
}

/// One member's marks of a season, added up.
#[derive(Clone, Debug, PartialEq)]
pub struct SeasonSum {
    /// Who.
    pub person_id: String,
    /// Name as last shown; the id when none is known.
    pub name: String,
    /// Does not want to be named in the standing.
    pub hidden: bool,
    /// How many marks.
    pub entries: u32,
    /// Their sum, in points.
    pub sum: f64,
    /// The sum of their squares.
    pub squares: f64,
}

/// A change of challenges and answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum ChallengeChange {
    /// Written; new when its version is 0, else only if the version fits.
    Write(Box<Challenge>),
    /// An answer of a member, in place of the one before. Refused when the challenge is not open.
    Answer(ChallengeAnswer),
    /// A state the coach or the member gives an answer; only for one that has no mark.
    Settle {
        /// Number of the challenge.
        challenge: i64,
        /// The member.
        member: PersonKey,
        /// The state.
        state: AnswerState,
    },
    /// Marks of answers.
    Mark {
        /// Number of the challenge.
        challenge: i64,
        /// The member.
        member: PersonKey,
        /// The mark.
        mark: Mark,
    },
    /// Empties what members wrote to a challenge, takes back answers without a mark, and deletes
    /// what we kept of its posts, by key; those not sent yet stay unsent.
    Empty {
        /// Number of the challenge.
        challenge: i64,
        /// Keys of its posts.
        posts: Vec<String>,
    },
    /// A strike of a member; a repeat for the same cause changes nothing.
    Strike(Strike),
    /// What becomes of a strike.
    SettleStrike {
        /// The member.
        member: PersonKey,
        /// What it was given for.
        cause_id: String,
        /// The state.
        state: StrikeState,
    },
    /// Whether a member is named in the standing.
    Hide {
        /// Who.
        member: PersonKey,
        /// Not named.
        hidden: bool,
    },
}
