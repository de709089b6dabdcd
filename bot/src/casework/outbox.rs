//! Messages to send, each with a key made from what caused it: the same cause, the same key.

use super::Rules;
use crate::record::{
    Case, ChoiceButton, ChoiceStyle, Event, EventKey, Keep, OpenQuestion, Outgoing, PersonKey,
    Purpose, Recipient,
};
use uuid::Uuid;

/// Longest text a platform takes, in code points.
const MOST_TEXT: usize = 4000;
/// Longest text of a plain fallback, in code points.
const MOST_PLAIN: usize = 1500;
/// Longest label of a button, in code points.
const MOST_LABEL: usize = 40;
/// Most buttons on a message.
const MOST_BUTTONS: usize = 5;

/// A UUID made from a cause and a slot: one message for each, whatever is retried.
pub(super) fn key(cause: &EventKey, slot: &str) -> String {
    let name = format!("{}\n{}\n{slot}", cause.source, cause.id);
    Uuid::new_v5(&Uuid::NAMESPACE_URL, name.as_bytes()).to_string()
}

/// A text cut to what a platform takes.
pub(super) fn cut(text: String) -> String {
    shorten(text, MOST_TEXT)
}

/// A text cut to a length.
fn shorten(text: String, most: usize) -> String {
    if text.chars().count() <= most {
        return text;
    }
    let mut short: String = text.chars().take(most - 1).collect();
    short.push('…');
    short
}

/// A reply to an event, in its room and thread.
pub(super) fn reply(event: &Event, slot: &str, text: String, case: Option<&Case>) -> Outgoing {
    Outgoing {
        key: key(&event.key, slot),
        source: event.key.source.clone(),
        to: Recipient::RoomId(event.room_id.clone()),
        thread_id: event.thread_id.clone(),
        reply_to: message_id(event),
        text: cut(text),
        mentions: vec![event.actor.id.clone()],
        choices: Vec::new(),
        picture: None,
        notify: true,
        purpose: Purpose::Reply,
        case_id: case.map(|case| case.id.clone()),
        person_id: Some(event.actor.id.clone()),
        plain: false,
        keep: Keep::All,
        unpost: None,
    }
}

/// The platform's id of the message an event is about, when it is one that can be answered.
pub(super) fn message_id(event: &Event) -> Option<String> {
    match &event.payload {
        crate::record::Payload::Message { message_id, .. }
        | crate::record::Payload::Choice { message_id, .. } => Some(message_id.clone()),
        _ => None,
    }
}

/// A message about a case to its lifter, not caused by a message of theirs.
pub(super) fn to_lifter(
    cause: &EventKey,
    slot: &str,
    text: String,
    case: &Case,
    purpose: Purpose,
) -> Outgoing {
    Outgoing {
        key: key(cause, slot),
        source: case.person.source.clone(),
        to: Recipient::RoomId(case.room_id.clone()),
        thread_id: case.thread_id.clone(),
        reply_to: case.body.parts.last().map(|part| part.message_id.clone()),
        text: cut(text),
        mentions: vec![case.person.person_id.clone()],
        choices: Vec::new(),
        picture: None,
        notify: true,
        purpose,
        case_id: Some(case.id.clone()),
        person_id: Some(case.person.person_id.clone()),
        plain: false,
        keep: Keep::All,
        unpost: None,
    }
}

/// A message to one person in private, set going by a coach or asked for.
pub(super) fn private(cause: &EventKey, slot: &str, text: String, person: &PersonKey) -> Outgoing {
    Outgoing {
        key: key(cause, slot),
        source: person.source.clone(),
        to: Recipient::PersonId(person.person_id.clone()),
        thread_id: None,
        reply_to: None,
        text: cut(text),
        mentions: Vec::new(),
        choices: Vec::new(),
        picture: None,
        notify: true,
        purpose: Purpose::Coach,
        case_id: None,
        person_id: Some(person.person_id.clone()),
        plain: false,
        keep: Keep::All,
        unpost: None,
    }
}

/// A button's label, cut to what a platform takes.
pub(super) fn label(text: String) -> String {
    shorten(text, MOST_LABEL)
}

/// A message to the coaches of a platform: their room, else the first of them in private.
pub(super) fn to_coach(
    rules: &Rules,
    source: &str,
    key: String,
    text: String,
    case_id: Option<&str>,
) -> Option<Outgoing> {
    let coaches: Vec<&PersonKey> = rules
        .coaches
        .iter()
        .filter(|coach| coach.source == source)
        .collect();
    let to = match rules.coach_rooms.get(source) {
        Some(room) => Recipient::RoomId(room.clone()),
        None => Recipient::PersonId(coaches.first()?.person_id.clone()),
    };
    Some(Outgoing {
        key,
        source: source.to_owned(),
        to,
        thread_id: None,
        reply_to: None,
        text: cut(text),
        mentions: coaches
            .iter()
            .take(3)
            .map(|coach| coach.person_id.clone())
            .collect(),
        choices: Vec::new(),
        picture: None,
        notify: true,
        purpose: Purpose::Alert,
        case_id: case_id.map(str::to_owned),
        person_id: None,
        plain: false,
        // The words stand in the case; a copy here would outlive them.
        keep: Keep::Frame,
        unpost: None,
    })
}

/// An answer to a coach: in the coaches' room when asked there, else in private, so that a case
/// is never shown to a room of lifters.
pub(super) fn coach_reply(event: &Event, rules: &Rules, text: String) -> Outgoing {
    let mut message = if rules.coach_rooms.get(&event.key.source) == Some(&event.room_id) {
        reply(event, "coach", text, None)
    } else {
        in_private_to(event, "coach", text)
    };
    // It quotes lifters, whose data stand elsewhere.
    message.keep = Keep::Nothing;
    message
}

/// An answer to whoever acted, in private in any case.
pub(super) fn in_private_to(event: &Event, slot: &str, text: String) -> Outgoing {
    let mut message = reply(event, slot, text, None);
    message.to = Recipient::PersonId(event.actor.id.clone());
    message.thread_id = None;
    message.reply_to = None;
    message
}

/// One part of a long answer to a coach; the first has no number.
pub(super) fn coach_part(event: &Event, rules: &Rules, text: String, part: usize) -> Outgoing {
    let mut message = coach_reply(event, rules, text);
    if part > 0 {
        message.key = key(&event.key, &format!("coach:{}", part + 1));
    }
    message
}

/// Buttons for the choices of a question.
pub(super) fn buttons(question: &OpenQuestion) -> Vec<ChoiceButton> {
    question
        .choices
        .iter()
        .take(MOST_BUTTONS)
        .enumerate()
        .map(|(index, choice)| ChoiceButton {
            choice_id: format!("{}:{}", question.id, index + 1),
            label: shorten(choice.clone(), MOST_LABEL),
            style: ChoiceStyle::Plain,
        })
        .collect()
}

/// Reads a button's id back: question id and the choice's place, counted from 1.
pub(super) fn button(choice_id: &str) -> Option<(&str, usize)> {
    let (question, place) = choice_id.rsplit_once(':')?;
    Some((question, place.parse().ok().filter(|place| *place > 0)?))
}

/// The plain fallback of a message the platform refused: the words alone, without buttons or
/// picture. None when it was the fallback already. The safety words stay: they come first.
pub fn plain_fallback(message: &Outgoing) -> Option<Outgoing> {
    if message.plain {
        return None;
    }
    let cause = EventKey {
        source: "cueline:plain".to_owned(),
        id: message.key.clone(),
    };
    Some(Outgoing {
        key: key(&cause, "plain"),
        // Markup stays: taking it out could set free what a lifter's words were escaped for.
        text: shorten(message.text.clone(), MOST_PLAIN),
        choices: Vec::new(),
        picture: None,
        mentions: Vec::new(),
        reply_to: None,
        plain: true,
        ..message.clone()
    })
}

/// What the coaches read about a message that cannot be delivered. An alert that their room does
/// not take goes to each of them in private, once.
pub fn undelivered(rules: &Rules, message: &Outgoing, why: &str) -> Vec<Outgoing> {
    if message.unpost.is_some() {
        return not_unposted(rules, message, why).into_iter().collect();
    }
    if message.keep == Keep::Nothing {
        // An alert would name whom it must not.
        return Vec::new();
    }
    let cause = EventKey {
        source: "cueline:undelivered".to_owned(),
        id: message.key.clone(),
    };
    if message.purpose == Purpose::Alert {
        return match message.to {
            Recipient::RoomId(_) => in_private(rules, message, &cause),
            Recipient::PersonId(_) => Vec::new(),
        };
    }
    let whom = match (&message.person_id, &message.to) {
        (Some(person), _) => person,
        (None, Recipient::RoomId(id) | Recipient::PersonId(id)) => id,
    };
    let text = format!(
        "A message to {} could not be delivered ({}). `queue` shows it; `send again` tries once more.",
        crate::wording::escape(whom),
        crate::wording::escape(why)
    );
    let case = message.case_id.as_deref();
    to_coach(rules, &message.source, key(&cause, "alert"), text, case)
        .into_iter()
        .collect()
}

/// What the coaches read where a post of ours could not be deleted: somebody else has to. Names nobody.
fn not_unposted(rules: &Rules, message: &Outgoing, why: &str) -> Option<Outgoing> {
    let cause = EventKey {
        source: "cueline:not-unposted".to_owned(),
        id: message.key.clone(),
    };
    let (Recipient::RoomId(room) | Recipient::PersonId(room)) = &message.to;
    let text = format!(
        "A post of mine in {} that was to be deleted is still there ({}). Please have it deleted by hand.",
        crate::wording::escape(room),
        crate::wording::escape(why)
    );
    to_coach(rules, &message.source, key(&cause, "alert"), text, None)
}

/// An alert to each coach of its platform alone.
fn in_private(rules: &Rules, alert: &Outgoing, cause: &EventKey) -> Vec<Outgoing> {
    rules
        .coaches
        .iter()
        .filter(|coach| coach.source == alert.source)
        .map(|coach| Outgoing {
            key: key(cause, &coach.person_id),
            to: Recipient::PersonId(coach.person_id.clone()),
            mentions: vec![coach.person_id.clone()],
            ..alert.clone()
        })
        .collect()
}
