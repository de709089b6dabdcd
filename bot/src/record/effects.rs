//! What one input changes: written in one transaction together with the input's mark as done.

use super::{
    Case, ChallengeChange, CoachVerdict, ConsentEntry, DataLink, Drawing, Entry, Erasure, FollowUp,
    KeptFile, Lifter, Outcome, Outgoing, PersonKey, QueueItem, Reason, SheetDrawn, SignInLink,
    Wipe,
};
use cueline_core::report::FieldError;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A change of the coach's queue.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum QueueChange {
    /// Put in, or replaced when the case is there already (since is kept, taking is kept).
    Put(QueueItem),
    /// Taken out.
    Remove {
        /// The case.
        case_id: String,
    },
    /// Taken by a coach until a time. Refused by the store when another coach holds it.
    Take {
        /// The case.
        case_id: String,
        /// The coach.
        by: PersonKey,
        /// Until when.
        until: Timestamp,
    },
    /// Handed from one coach to another. Refused by the store when a third holds it.
    Hand {
        /// The case.
        case_id: String,
        /// The coach who hands it over.
        from: PersonKey,
        /// The coach who answers it now.
        to: PersonKey,
        /// Until when.
        until: Timestamp,
    },
}

/// A change of the dated asks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum FollowUpChange {
    /// A new one; a repeat of the same id changes nothing.
    Open(FollowUp),
    /// All open ones of a case are off.
    CancelCase {
        /// The case.
        case_id: String,
    },
    /// Every open ask to resubmit of a person is off. A question still lapses, and a coach is still
    /// paged about emergency words.
    CancelPerson {
        /// The person.
        person: PersonKey,
    },
}

/// Messages not sent yet that must not go out any more.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Withdraw {
    /// Reminders to a person.
    RemindersOf(PersonKey),
    /// Replies and reminders of a case, dead letters among them; alerts and the coach's own words
    /// stay.
    Case(String),
}

/// The newest known version of a platform's message; keeps old versions and late creates out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MessageMark {
    /// Platform.
    pub source: String,
    /// Room.
    pub room_id: String,
    /// Message.
    pub message_id: String,
    /// Newest version seen.
    pub version: u32,
    /// Taken back: later creates and edits do nothing.
    pub deleted: bool,
}

/// Everything one input changes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Effects {
    /// The lifter as known now; inserted, or updated when the version fits.
    pub lifter: Option<Lifter>,
    /// Cases; inserted when `version` is 0, else updated when the version fits.
    pub cases: Vec<Case>,
    /// History.
    pub entries: Vec<Entry>,
    /// Pictures and traces kept with cases; a repeat of the same id changes nothing. Of one person
    /// the newest stay, the oldest make room.
    pub files: Vec<KeptFile>,
    /// Queue.
    pub queue: Vec<QueueChange>,
    /// Dated asks.
    pub follow_ups: Vec<FollowUpChange>,
    /// Messages not to be sent any more; carried out before `outbox` is written.
    pub withdraw: Vec<Withdraw>,
    /// Messages to send; a repeat of the same key changes nothing.
    pub outbox: Vec<Outgoing>,
    /// What messages of `outbox` show, by their keys; made into pictures before they are written.
    #[serde(skip)]
    pub drawings: BTreeMap<String, Drawing>,
    /// What of the traces that came could not be read; told in the reply, kept nowhere.
    #[serde(skip)]
    pub trace_faults: Vec<FieldError>,
    /// Marks on the platform's messages.
    pub marks: Vec<MessageMark>,
    /// Messages of the platform whose text is emptied in the history (source, room, message id).
    pub forget_texts: Vec<(String, String, String)>,
    /// Coaches' verdicts on sets; one on the same set as before takes its place.
    pub verdicts: Vec<CoachVerdict>,
    /// Challenges, answers and marks; carried out after the cases and before `outbox` is written.
    pub challenges: Vec<ChallengeChange>,
    /// Dead letters to send again, by key.
    pub revive: Vec<String>,
    /// What becomes of the content of the event itself.
    pub wipe: Option<Wipe>,
    /// A lifter is forgotten; carried out before anything else is written.
    pub erase: Option<Erasure>,
    /// Every free text of a person goes; what still has to be sent goes out first. With it, what
    /// stands in the queue instead of reasons in the lifter's words.
    pub forget_words: Option<(PersonKey, Vec<Reason>)>,
    /// The log of consents.
    pub consents: Vec<ConsentEntry>,
    /// Links to a copy of a lifter's data; a new one ends the older ones.
    pub data_links: Vec<DataLink>,
    /// Words on health came with this input. Not written: read by the last step of casework.
    #[serde(skip)]
    pub on_health: bool,
    /// A review sheet that was drawn up, so that the next one knows what it chose.
    pub sheet: Option<SheetDrawn>,
    /// A link to sign in at the desk with; earlier ones of that coach stop working.
    pub sign_in: Option<SignInLink>,
    /// What came of an action at the desk.
    pub outcome: Option<Outcome>,
}
