//! What happens: one input and what is known in, everything that changes out. Pure.
//!
//! [`decide`] takes what a person did, [`due`] what has come due. Both return [`Effects`], which
//! the store writes in one transaction. Nothing here asks the time, a database or a network, and
//! nothing here decides about lifting: that is the core's.

mod answer;
mod aside;
mod ask;
pub mod challenge;
mod chat_words;
mod coach;
mod coached;
mod consent;
mod data;
mod desk;
mod erase;
mod files;
mod form;
mod guardian;
mod hand;
mod heard;
mod intake;
mod known;
mod leave;
mod manners;
mod matching;
mod outbox;
mod plates_said;
mod privacy_words;
mod profile;
mod profile_words;
mod progress;
mod quiet;
mod rack;
mod relative;
mod remind;
mod remind_on;
mod settle;
mod several;
mod sheet;
mod speech;
#[cfg(test)]
mod tests;
mod times;
mod traces;
mod turn;
mod verdict;
mod wants;
mod whose;
mod works;

pub use aside::dealt_with;
pub use challenge::{ChallengeRules, Community, CommunityNeed, CommunityWord, MemberWord, Season};
pub use desk::{
    DraftCheck, ENTER, FreshLink, LINK_FOR, LINKS_COUNTED_FOR, check_draft, draft_answer, link,
    second_look, without_link,
};
pub use guardian::GuardianSays;
pub use known::{Known, Needs, PrivacyRules, Role, Rules};
pub use manners::MannerRules;
pub use outbox::{plain_fallback, undelivered};
pub use privacy_words::PrivacyWord;
pub use remind::{Hold, due, hold_reminder};
pub use remind_on::DaySaid;
pub use sheet::{
    MINUTES, MOST_SHEET_LINES, SAME_SESSION, USUAL_MINUTES, kept_sheet, review_sheet, sheet_spans,
};
pub use speech::{CoachWord, LifterWord, RackWord};
pub use works::{NEWEST_CASES, Seen, WorkLog, courses_of};

use crate::record::{ActorKind, Effects, Event, MessageMark, Payload, Wipe};
use crate::wording::{Words, escape};
use jiff::Timestamp;

/// What has to be loaded before [`decide`] can be asked.
pub fn needs(event: &Event, rules: &Rules) -> Needs {
    Needs {
        community: challenge::need(event, rules),
        ..needs_of_cases(event, rules)
    }
}

/// What has to be loaded of cases and the queue.
fn needs_of_cases(event: &Event, rules: &Rules) -> Needs {
    let role = rules.role(event);
    let (Payload::Message { text, .. } | Payload::Order { text }) = &event.payload else {
        return Needs::default();
    };
    if role != Role::Coach {
        let word = speech::lifter_word(text);
        return Needs {
            dossier: word == Some(LifterWord::Privacy(PrivacyWord::MyData)),
            all_cases: word == Some(LifterWord::Privacy(PrivacyWord::TakeBack))
                || word == Some(LifterWord::Privacy(PrivacyWord::NoConsent)),
            ..Needs::default()
        };
    }
    match speech::coach_word(text) {
        Some(CoachWord::Queue) => Needs {
            queue: true,
            ..Needs::default()
        },
        Some(CoachWord::Sheet(_)) => Needs {
            sheet: true,
            ..Needs::default()
        },
        Some(CoachWord::Desk) => Needs {
            link: true,
            ..Needs::default()
        },
        Some(word) => Needs {
            queue: matches!(word, CoachWord::SendAgain),
            case: word.case_number(),
            all_cases: matches!(word, CoachWord::Guardian(..)),
            coach_names: matches!(word, CoachWord::Hand(..)),
            ..Needs::default()
        },
        None => Needs::default(),
    }
}

/// Decides what one event changes.
pub fn decide(event: &Event, known: &Known<'_>, now: Timestamp) -> Effects {
    let mut effects = decided(event, known, now);
    if !event.payload.files().is_empty() {
        // What is kept of files stands with the case, and nowhere else.
        effects.wipe.get_or_insert(Wipe::Files);
    }
    effects
}

/// Decides, files that stay with the event aside.
fn decided(event: &Event, known: &Known<'_>, now: Timestamp) -> Effects {
    let speaks = matches!(
        event.payload,
        Payload::Message { .. } | Payload::Form { .. } | Payload::Choice { .. }
    );
    if speaks && event.actor.kind == ActorKind::Bot {
        // Two programs must not talk to each other for ever.
        return Effects::default();
    }
    let lifters = known.rules.role(event) == Role::Lifter;
    if lifters && !erase::writes_anew(event, known) {
        return erase::late(event, known);
    }
    if outdated(event, known) {
        return Effects {
            forget_texts: late_words(event, known).into_iter().collect(),
            ..Effects::default()
        };
    }
    let mut effects = Effects {
        marks: mark(event).into_iter().collect(),
        ..Effects::default()
    };
    match &event.payload {
        Payload::Message { .. } if known.rules.role(event) == Role::Coach => {
            coach::message(event, known, now, &mut effects);
        }
        Payload::Order { text } if known.rules.role(event) == Role::Coach => {
            coach::order(event, text, known, now, &mut effects);
        }
        // Nobody else has orders to give.
        Payload::Order { .. } => {}
        Payload::Message { .. } => {
            intake::message(event, known, now, &mut effects);
            manners::beside(event, known, now, &mut effects);
        }
        Payload::Form { .. } => intake::form(event, known, now, &mut effects),
        Payload::Choice { choice_id, .. } if challenge::button(choice_id).is_some() => {
            challenge::pressed(event, choice_id, known, now, &mut effects);
        }
        Payload::Choice { choice_id, .. } => {
            button(event, choice_id, known, now, &mut effects);
        }
        Payload::Deleted { message_id, .. } => {
            leave::deleted(event, message_id, known, now, &mut effects);
        }
        Payload::Left { member_id, .. } => leave::left(event, member_id, known, now, &mut effects),
    }
    consent::guard(event, known, now, &mut effects);
    files::keep(event, known, now, &mut effects);
    if lifters {
        erase::told_anew(event, known, &mut effects);
    }
    effects
}

/// A button: about data or consent, or the answer to a case's question.
fn button(
    event: &Event,
    choice_id: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let lifter = intake::lifter(event, known);
    let mut turn = turn::Turn::new(event, known, now, lifter, effects);
    if !privacy_words::button(&mut turn, choice_id) {
        answer::button(event, choice_id, known, now, effects);
    }
}

/// What is said when an event could not be handled at all: to whoever wrote it, and to the coach.
pub fn trouble(event: &Event, words: &Words, rules: &Rules) -> Effects {
    let number = rules.emergency_number(None);
    let text = words.say("talk.trouble", &[("emergency_number", &number)]);
    if matches!(event.payload, Payload::Order { .. }) {
        return desk::trouble(event, words);
    }
    let name = escape(&event.actor.display_name);
    let place = escape(&event.room_id);
    let alert = words.say("coach.alert_trouble", &[("name", &name), ("where", &place)]);
    let key = outbox::key(&event.key, "trouble-alert");
    let alert = outbox::to_coach(rules, &event.key.source, key, alert, None);
    let mut effects = Effects::default();
    effects.outbox.extend(alert);
    if matches!(
        event.payload,
        Payload::Message { .. } | Payload::Form { .. }
    ) {
        let reply = outbox::reply(event, "trouble", text, None);
        effects.outbox.push(reply);
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

/// Words that come in after they were taken back: forgotten as they arrive.
fn late_words(event: &Event, known: &Known<'_>) -> Option<(String, String, String)> {
    let Payload::Message { message_id, .. } = &event.payload else {
        return None;
    };
    let taken_back = known.mark.as_ref().is_some_and(|mark| mark.deleted);
    taken_back.then(|| {
        let (source, room) = (event.key.source.clone(), event.room_id.clone());
        (source, room, message_id.clone())
    })
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
