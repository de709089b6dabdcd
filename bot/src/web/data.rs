//! The `data` of each event type, typed and within its limits.

use super::attachment;
use super::envelope::Envelope;
use super::fields::{Faults, Fields, is_name};
use super::json::Json;
use super::problem::FieldFault;
use crate::record::{Actor, ActorKind, Event, EventKey, FieldValue, LeaveReason, Payload};
use jiff::Timestamp;
use std::collections::BTreeMap;

/// Longest text of a message, code points.
const TEXT_CHARS: usize = 8_000;

/// Most fields of a form, and its longest text, code points.
const FORM_FIELDS: usize = 64;
const FORM_TEXT_CHARS: usize = 2_000;

/// Most ticked choices in one field of a form.
const FORM_CHOICES: usize = 64;

/// Versions start at one and fit the databases' integers.
const VERSION: std::ops::RangeInclusive<u32> = 1..=2_147_483_647;

/// The types that are handled.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    Message,
    Form,
    Choice,
    Deleted,
    Left,
}

impl Kind {
    /// The type with this name; none for one that is not handled.
    pub(super) fn named(name: &str) -> Option<Self> {
        match name {
            "message.created" => Some(Self::Message),
            "form.submitted" => Some(Self::Form),
            "choice.selected" => Some(Self::Choice),
            "message.deleted" => Some(Self::Deleted),
            "member.left" => Some(Self::Left),
            _ => None,
        }
    }
}

/// Reads the data of an event.
pub(super) fn event(
    kind: Kind,
    envelope: Envelope,
    received_at: Timestamp,
) -> Result<Event, Vec<FieldFault>> {
    let mut faults = Faults::default();
    let Some(mut fields) = Fields::new(envelope.data, "data", &mut faults) else {
        return Err(faults.into_list());
    };
    let room_id = fields.id("room_id", &mut faults);
    let thread_id = fields.optional_id("thread_id", &mut faults);
    let actor = actor(&mut fields, &mut faults);
    let payload = payload(kind, &mut fields, &mut faults);
    fields.finish(&mut faults);
    match (room_id, actor, payload) {
        (Some(room_id), Some(actor), Some(payload)) if faults.is_empty() => Ok(Event {
            key: EventKey {
                source: envelope.source,
                id: envelope.id,
            },
            time: envelope.time.unwrap_or(received_at),
            room_id,
            thread_id,
            actor,
            payload,
        }),
        _ => Err(faults.into_list()),
    }
}

fn actor(fields: &mut Fields, faults: &mut Faults) -> Option<Actor> {
    let path = fields.name("actor");
    let mut actor = Fields::new(fields.take("actor"), path, faults)?;
    let id = actor.id("id", faults);
    let accepted = "1 to 80 characters without control or direction characters";
    let display_name = actor.text("display_name", accepted, faults, |t| is_name(t, 80));
    let kinds = [("person", ActorKind::Person), ("bot", ActorKind::Bot)];
    let kind = actor.word("kind", &kinds, faults);
    actor.finish(faults);
    Some(Actor {
        id: id?,
        display_name: display_name?,
        kind: kind?,
    })
}

fn payload(kind: Kind, fields: &mut Fields, faults: &mut Faults) -> Option<Payload> {
    match kind {
        Kind::Message => message(fields, faults),
        Kind::Form => form(fields, faults),
        Kind::Choice => {
            let message_id = fields.id("message_id", faults);
            let accepted = "1 to 64 characters";
            let choice_id = fields.text("choice_id", accepted, faults, |t| is_name(t, 64));
            Some(Payload::Choice {
                message_id: message_id?,
                choice_id: choice_id?,
            })
        }
        Kind::Deleted => {
            let message_id = fields.id("message_id", faults);
            let deleted_by = fields.id("deleted_by", faults);
            Some(Payload::Deleted {
                message_id: message_id?,
                deleted_by: deleted_by?,
            })
        }
        Kind::Left => {
            let member_id = fields.id("member_id", faults);
            let reasons = [
                ("left", LeaveReason::Left),
                ("removed", LeaveReason::Removed),
                ("banned", LeaveReason::Banned),
            ];
            let reason = fields.word("reason", &reasons, faults);
            Some(Payload::Left {
                member_id: member_id?,
                reason: reason?,
            })
        }
    }
}

fn message(fields: &mut Fields, faults: &mut Faults) -> Option<Payload> {
    let message_id = fields.id("message_id", faults);
    let version = fields.whole("version", VERSION, faults);
    let accepted = "text of at most 8000 characters";
    let text = fields.text("text", accepted, faults, |t| {
        t.chars().count() <= TEXT_CHARS
    });
    let reply_to = fields.optional_id("reply_to", faults);
    let attachments = attachment::read_all(fields, faults);
    Some(Payload::Message {
        message_id: message_id?,
        version: version?,
        text: text?,
        reply_to,
        attachments,
    })
}

fn form(fields: &mut Fields, faults: &mut Faults) -> Option<Payload> {
    let submission_id = fields.id("submission_id", faults);
    let form_id = fields.id("form_id", faults);
    let form_version = fields.whole("form_version", VERSION, faults);
    let entries = form_fields(fields, faults);
    let attachments = attachment::read_all(fields, faults);
    Some(Payload::Form {
        submission_id: submission_id?,
        form_id: form_id?,
        form_version: form_version?,
        fields: entries?,
        attachments,
    })
}

fn form_fields(fields: &mut Fields, faults: &mut Faults) -> Option<BTreeMap<String, FieldValue>> {
    let path = fields.name("fields");
    let entries = Fields::new(fields.take("fields"), path.as_str(), faults)?.into_left();
    if entries.len() > FORM_FIELDS {
        let found = format!("{} fields", entries.len());
        faults.note(path, found, format!("at most {FORM_FIELDS} fields"));
        return None;
    }
    let mut kept = BTreeMap::new();
    for (name, value) in entries {
        let place = format!("{path}.{}", super::json::shown(&name));
        let named = (1..=40).contains(&name.len())
            && name
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
        if !named {
            faults.note(place, "this name", "a field name: 1 to 40 of a-z 0-9 _");
            continue;
        }
        let found = value.describe();
        if let Some(value) = field_value(value) {
            kept.insert(name, value);
        } else {
            let accepted = "a text of at most 2000 characters, a number, true, false, null, \
                            or a list of at most 64 such texts";
            faults.note(place, found, accepted);
        }
    }
    Some(kept)
}

fn field_value(value: Json) -> Option<FieldValue> {
    let fits = |text: &str| text.chars().count() <= FORM_TEXT_CHARS;
    match value {
        Json::Null => Some(FieldValue::Empty),
        Json::Flag(flag) => Some(FieldValue::Flag(flag)),
        // Whole numbers of a form are loads and counts, far inside what `f64` holds exactly.
        Json::Whole(number) => Some(FieldValue::Number(number as f64)),
        Json::Decimal(number) if number.is_finite() => Some(FieldValue::Number(number)),
        Json::Text(text) if fits(&text) => Some(FieldValue::Text(text)),
        Json::List(items) if items.len() <= FORM_CHOICES => items
            .into_iter()
            .map(|item| match item {
                Json::Text(text) if fits(&text) => Some(text),
                _ => None,
            })
            .collect::<Option<Vec<String>>>()
            .map(FieldValue::List),
        _ => None,
    }
}
