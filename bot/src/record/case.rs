//! A case: everything about one lifter's one lift problem, from first report to its end.

use super::PersonKey;
use cueline_core::diagnosis::Raised;
use cueline_core::motion::Measurement;
use cueline_core::outcome::Verdict;
use cueline_core::report::{Lift, SetReport};
use cueline_core::triage::Level;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Where a case stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CaseState {
    /// One question is open.
    Asking,
    /// A correction was given and a follow-up is dated.
    Practising,
    /// The coach has it.
    WithCoach,
    /// Stopped for safety; only the coach lifts it.
    Halted,
    /// A resubmission showed the sign gone.
    Mended,
    /// No answer after the last reminder.
    Lapsed,
    /// Taken back by the lifter.
    Withdrawn,
}

impl CaseState {
    /// The word kept in the database and shown to the coach.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Asking => "asking",
            Self::Practising => "practising",
            Self::WithCoach => "with-coach",
            Self::Halted => "halted",
            Self::Mended => "mended",
            Self::Lapsed => "lapsed",
            Self::Withdrawn => "withdrawn",
        }
    }

    /// The state with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [
            Self::Asking,
            Self::Practising,
            Self::WithCoach,
            Self::Halted,
            Self::Mended,
            Self::Lapsed,
            Self::Withdrawn,
        ]
        .into_iter()
        .find(|state| state.word() == word)
    }

    /// Still going on.
    pub const fn is_open(self) -> bool {
        matches!(
            self,
            Self::Asking | Self::Practising | Self::WithCoach | Self::Halted
        )
    }
}

/// The question a case waits on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OpenQuestion {
    /// Question id of the catalog (`q-sq-foot`), or `field:` and the field's name (`field:load.unit`).
    pub id: String,
    /// The question as asked.
    pub text: String,
    /// Choices; empty for a free answer.
    pub choices: Vec<String>,
    /// Bare number the answer belongs to, when the unit was asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bare: Option<f64>,
    /// Asked again once already, for want of an answer that could be read.
    #[serde(default)]
    pub repeated: bool,
}

/// A correction that was given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Given {
    /// The cause it is for.
    pub cause: String,
    /// When.
    pub at: Timestamp,
    /// Signs that should be gone.
    pub targets: Vec<String>,
    /// What the resubmission showed, once there was one.
    pub outcome: Option<Verdict>,
}

/// One set of the case as it was assessed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Round {
    /// When it came in.
    pub at: Timestamp,
    /// The event it came with.
    pub event_id: String,
    /// The report as completed.
    pub report: SetReport,
    /// Level it was answered at.
    pub level: Level,
    /// Signs taken as there.
    pub present: Vec<String>,
    /// Signs taken as not there.
    pub absent: Vec<String>,
    /// Causes chosen, first to fix first.
    pub chosen: Vec<String>,
    /// The bot's ranked view: every cause in play and its probability.
    pub beliefs: Vec<(String, f64)>,
    /// Edition of the catalog it was made with; empty in sets kept before there was one.
    #[serde(default)]
    pub edition: String,
    /// Estimated best single, kg: point, low, high.
    pub estimate_kg: Option<(f64, f64, f64)>,
    /// Words that raised a flag, each with the flag's id.
    pub flags: Vec<(String, String)>,
    /// Compared with the round before.
    pub outcome: Option<Verdict>,
    /// What was measured on its traces; none in sets kept before traces were measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measurement>,
}

/// One message of the lifter that the set under review was read from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// The platform's id of the message.
    pub message_id: String,
    /// Its text.
    pub text: String,
}

/// The part of a case that only casework reads.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CaseBody {
    /// What is known of the set now under review; its words are the texts of `parts`.
    pub report: SetReport,
    /// The message that opened the case; a thread begun on it names the case too.
    pub root: Option<String>,
    /// Messages the set under review was read from, in order.
    pub parts: Vec<Part>,
    /// Ids of the kept traces that are measured with the set under review.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub traces: Vec<String>,
    /// Fields settled by an answer (`load.unit`), not doubted again.
    pub settled: Vec<String>,
    /// Sets in order of time.
    pub rounds: Vec<Round>,
    /// The question it waits on.
    pub open_question: Option<OpenQuestion>,
    /// Questions asked about the set under review.
    pub asked: u32,
    /// A fact about the lifter was asked for in this case; one a case.
    pub profile_asked: bool,
    /// Reminders sent in this case so far.
    pub reminders: u32,
    /// Corrections given, in order of time.
    pub given: Vec<Given>,
    /// What the coach gave in their own words, in order of time: at most one for each set. Only what
    /// works is told from it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub by_coach: Vec<Given>,
    /// Level that halted it, when halted.
    pub halt: Option<Level>,
    /// Halted and dealt with: it waits for the lifter and not for the coach.
    pub set_aside: bool,
    /// Why the coach has it, when the coach has it.
    pub raised: Vec<Raised>,
    /// Words on health were said and not kept. That much has to be known: such a case is never shown
    /// to others.
    pub withheld: bool,
    /// Whose sets these are when the lifter posts for somebody else ("your wife"): that person's
    /// figures and the lifter's own are kept apart.
    pub for_whom: Option<String>,
}

/// One case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// Id, made from the event that opened it.
    pub id: String,
    /// Small number that people use (`show 12`).
    pub number: i64,
    /// Whose it is.
    pub person: PersonKey,
    /// Where it is answered.
    pub room_id: String,
    /// Thread it is answered in; names the case when the lifter writes there.
    pub thread_id: Option<String>,
    /// Which lift; open until said.
    pub lift: Option<Lift>,
    /// Where it stands.
    pub state: CaseState,
    /// When it was opened.
    pub opened_at: Timestamp,
    /// When it last changed.
    pub updated_at: Timestamp,
    /// Counts writes; a write with a stale version is refused. 0 for a case not stored yet.
    pub version: i64,
    /// The rest.
    pub body: CaseBody,
}

/// What an entry of a case's history is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EntryKind {
    /// The lifter's words or form.
    Lifter,
    /// Our reply.
    Reply,
    /// The coach's own words.
    Coach,
    /// A reminder.
    Reminder,
    /// A change of state, with who and why.
    Change,
}

impl EntryKind {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lifter => "lifter",
            Self::Reply => "reply",
            Self::Coach => "coach",
            Self::Reminder => "reminder",
            Self::Change => "change",
        }
    }

    /// The kind with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [
            Self::Lifter,
            Self::Reply,
            Self::Coach,
            Self::Reminder,
            Self::Change,
        ]
        .into_iter()
        .find(|kind| kind.word() == word)
    }
}

/// One entry of a case's history.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// The case.
    pub case_id: String,
    /// When.
    pub at: Timestamp,
    /// What it is.
    pub kind: EntryKind,
    /// Who: a person id, or `cueline`.
    pub who: String,
    /// The platform's id of the message it came from, when it came from one; deleting that message empties `text`.
    pub message_id: Option<String>,
    /// The text.
    pub text: String,
}

/// How soon the coach should see a case; lower comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Urgency {
    /// Emergency words: at once.
    Emergency,
    /// Clinician words: front of the queue.
    Clinician,
    /// Needs the coach's eye.
    Eye,
    /// The lifter asked for the coach.
    Asked,
}

impl Urgency {
    /// Rank kept in the database; lower comes first.
    pub const fn rank(self) -> i64 {
        match self {
            Self::Emergency => 0,
            Self::Clinician => 1,
            Self::Eye => 2,
            Self::Asked => 3,
        }
    }

    /// The urgency with this rank.
    pub const fn from_rank(rank: i64) -> Self {
        match rank {
            0 => Self::Emergency,
            1 => Self::Clinician,
            2 => Self::Eye,
            _ => Self::Asked,
        }
    }
}

/// Why a case waits for the coach.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    /// Escalation id, flag id, or `asked`.
    pub id: String,
    /// In words.
    pub why: String,
}

/// What waits for the coach.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct QueueItem {
    /// The case; one item a case.
    pub case_id: String,
    /// How soon.
    pub urgency: Urgency,
    /// Why, all reasons.
    pub reasons: Vec<Reason>,
    /// Since when it waits.
    pub since: Timestamp,
    /// By when an answer was promised.
    pub promised: Option<Timestamp>,
    /// Minutes it is likely to take.
    pub minutes: i64,
    /// Coach who has taken it (`source` and person id).
    pub taken_by: Option<PersonKey>,
    /// Until when the taking holds.
    pub taken_until: Option<Timestamp>,
}

/// What a follow-up asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FollowUpKind {
    /// Ask to practise and resubmit.
    Resubmit,
    /// Ask to answer the open question.
    Answer,
    /// Page the coach again: emergency words nobody has taken.
    PageCoach,
}

impl FollowUpKind {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Resubmit => "resubmit",
            Self::Answer => "answer",
            Self::PageCoach => "page-coach",
        }
    }

    /// The kind with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Resubmit, Self::Answer, Self::PageCoach]
            .into_iter()
            .find(|kind| kind.word() == word)
    }
}

/// A dated ask; a row with a due time, never a sleeping task.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FollowUp {
    /// Id, made from the case and the event that dated it.
    pub id: String,
    /// The case.
    pub case_id: String,
    /// Whose case it is, so that leaving or opting out finds it.
    pub person: PersonKey,
    /// What it asks.
    pub kind: FollowUpKind,
    /// When it is due.
    pub due_at: Timestamp,
    /// How many went out for this case before this one.
    pub sent: u32,
}
