//! What happens: one input and what is known in, everything that changes out. Pure.
//!
//! [`decide`] takes what a person did, [`due`] what has come due. Both return [`Effects`], which
//! the store writes in one transaction. Nothing here asks the time, a database or a network, and
//! nothing here decides about lifting: that is the core's.

mod answer;
mod coach;
mod form;
mod intake;
mod known;
mod leave;
mod outbox;
mod profile;
mod progress;
mod rack;
mod remind;
mod settle;
mod speech;
mod times;
mod turn;

pub use known::{Known, Needs, Role, Rules};
pub use outbox::{plain_fallback, undelivered};
pub use remind::{Hold, due, hold_reminder};
pub use speech::{CoachWord, LifterWord, RackWord};

use crate::record::{ActorKind, Effects, Event, MessageMark, Payload};
use jiff::Timestamp;

/// What has to be loaded before [`decide`] can be asked.
pub fn needs(event: &Event, rules: &Rules) -> Needs {
    let role = rules.role(event);
    let Payload::Message { text, .. } = &event.payload else {
        return Needs::default();
    };
    if role != Role::Coach {
        return Needs::default();
    }
    match speech::coach_word(text) {
        Some(CoachWord::Queue) => Needs {
            queue: true,
            case: None,
        },
        Some(word) => Needs {
            queue: matches!(word, CoachWord::SendAgain),
            case: word.case_number(),
        },
        None => Needs::default(),
    }
}

/// Decides what one event changes.
pub fn decide(event: &Event, known: &Known<'_>, now: Timestamp) -> Effects {
    if event.actor.kind == ActorKind::Bot {
        // Two programs must not talk to each other for ever.
        return Effects::default();
    }
    if outdated(event, known) {
        return Effects::default();
    }
    let mut effects = Effects {
        marks: mark(event).into_iter().collect(),
        ..Effects::default()
    };
    match &event.payload {
        Payload::Message { .. } if known.rules.role(event) == Role::Coach => {
            coach::message(event, known, now, &mut effects);
        }
        Payload::Message { .. } => intake::message(event, known, now, &mut effects),
        Payload::Form { .. } => intake::form(event, known, now, &mut effects),
        Payload::Choice { choice_id, .. } => {
            answer::button(event, choice_id, known, now, &mut effects);
        }
        Payload::Deleted { message_id, .. } => {
            leave::deleted(event, message_id, known, now, &mut effects);
        }
        Payload::Left { member_id, .. } => leave::left(event, member_id, known, now, &mut effects),
    }
    effects
}

/// A newer version is known already, or the message was taken back.
fn outdated(event: &Event, known: &Known<'_>) -> bool {
    match (&event.payload, &known.mark) {
        (Payload::Message { version, .. }, Some(mark)) => mark.deleted || mark.version >= *version,
        (Payload::Deleted { .. }, Some(mark)) => mark.deleted,
        _ => false,
    }
}

/// The mark this event leaves on the platform's message.
fn mark(event: &Event) -> Option<MessageMark> {
    let (message_id, version, deleted) = match &event.payload {
        Payload::Message {
            message_id,
            version,
            ..
        } => (message_id, *version, false),
        Payload::Deleted { message_id, .. } => (message_id, u32::MAX >> 1, true),
        _ => return None,
    };
    Some(MessageMark {
        source: event.key.source.clone(),
        room_id: event.room_id.clone(),
        message_id: message_id.clone(),
        version,
        deleted,
    })
}
