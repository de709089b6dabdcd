//! What a practice room holds: messages, who wrote them, and how they came to the service.

use crate::record::{ChoiceButton, Picture};
use jiff::Timestamp;
use serde::Serialize;

/// A room of the practice platform.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Room {
    /// The platform's id of the room.
    pub id: String,
    /// The name shown.
    pub label: String,
}

/// Who or what wrote a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum AuthorKind {
    /// A person sitting in a seat.
    Person,
    /// The service under practice.
    Service,
    /// The room itself: somebody left.
    Room,
}

/// Who wrote a message.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Author {
    /// The platform's id.
    pub id: String,
    /// The name shown.
    pub name: String,
    /// Person, service or the room itself.
    pub kind: AuthorKind,
}

/// How far a person's message came on its way to the service.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "state", content = "why")]
pub enum Handover {
    /// Nothing to hand over: the service or the room itself wrote it.
    NotNeeded,
    /// On its way.
    Waiting,
    /// The service has acknowledged it.
    Taken,
    /// The service did not take it; why.
    Refused(String),
}

/// One press of a button.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Press {
    /// The button.
    pub choice_id: String,
    /// Who pressed it.
    pub by_id: String,
    /// The name shown.
    pub by_name: String,
}

/// One message of a room, in its newest version.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Message {
    /// Feed number of the latest change; every change gets a higher one.
    pub seq: u64,
    /// Feed number at which the message appeared: its place in the room.
    pub place: u64,
    /// The platform's id of the message.
    pub id: String,
    /// 1 when new, higher after each edit.
    pub version: u32,
    /// Room it stands in.
    pub room_id: String,
    /// Thread, by the id of its first message.
    pub thread_id: Option<String>,
    /// Message it answers.
    pub reply_to: Option<String>,
    /// Who wrote it.
    pub author: Author,
    /// Text; empty once taken back.
    pub text: String,
    /// Name of the file sent along; the file itself goes to the service and stays nowhere here.
    pub file: Option<String>,
    /// Buttons.
    pub choices: Vec<ChoiceButton>,
    /// Until when the buttons may be pressed; always, when not set.
    pub choices_until: Option<Timestamp>,
    /// Presses so far, one a person and button.
    pub presses: Vec<Press>,
    /// People who were notified.
    pub mentions: Vec<String>,
    /// Whether the message rang the devices of those it went to.
    pub notify: bool,
    /// Picture.
    pub picture: Option<Picture>,
    /// When it was written.
    pub at: Timestamp,
    /// Taken back.
    pub deleted: bool,
    /// How far it came on its way to the service.
    pub handover: Handover,
}

/// What a message is written with; the chat adds id, version and numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// Room it goes to.
    pub room_id: String,
    /// Thread.
    pub thread_id: Option<String>,
    /// Message it answers.
    pub reply_to: Option<String>,
    /// Who writes.
    pub author: Author,
    /// Text.
    pub text: String,
    /// Name of the file sent along.
    pub file: Option<String>,
    /// When.
    pub at: Timestamp,
}

/// What the service sends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sent {
    /// The message itself.
    pub draft: Draft,
    /// Buttons.
    pub choices: Vec<ChoiceButton>,
    /// Until when they may be pressed.
    pub choices_until: Option<Timestamp>,
    /// People who get notified.
    pub mentions: Vec<String>,
    /// Whether devices ring.
    pub notify: bool,
    /// Picture.
    pub picture: Option<Picture>,
}
