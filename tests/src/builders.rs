//! People and what they do, as the signed events a chat platform sends.

use anyhow::Result;
use cueline_bot::signing::{Secret, sign};
use jiff::Timestamp;
use serde_json::{Map, Value, json};
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

/// Ids that no two things of one story share, and that are the same on every run of it.
#[derive(Clone, Debug, Default)]
pub struct Ids(Arc<AtomicU32>);

impl Ids {
    /// A fresh id that begins with `kind`.
    pub fn fresh(&self, kind: &str) -> String {
        format!("{kind}-{}", self.0.fetch_add(1, Ordering::Relaxed) + 1)
    }
}

/// Somebody on a chat platform.
#[derive(Clone, Debug)]
pub struct Person {
    /// `CloudEvents` source of the platform.
    pub source: String,
    /// The platform's id.
    pub id: String,
    /// The name shown.
    pub name: String,
    /// The room this person writes in.
    pub room: String,
    /// Where the ids of their events come from.
    pub ids: Ids,
}

impl Person {
    /// The same person in another room.
    #[must_use]
    pub fn in_room(&self, room: &str) -> Self {
        Self {
            room: room.to_owned(),
            ..self.clone()
        }
    }

    /// The same person under another name.
    #[must_use]
    pub fn called(&self, name: &str) -> Self {
        Self {
            name: name.to_owned(),
            ..self.clone()
        }
    }

    /// Writes a message.
    pub fn says(&self, text: &str) -> EventBuilder {
        let message_id = self.ids.fresh("m");
        self.edits(&message_id, 1, text)
    }

    /// Edits a message; version 1 is the message as first written.
    pub fn edits(&self, message_id: &str, version: u32, text: &str) -> EventBuilder {
        self.event(
            "message.created",
            &json!({ "message_id": message_id, "version": version, "text": text,
                     "reply_to": null, "attachments": [] }),
        )
    }

    /// Sends in the form for a set; `fields` is an object.
    pub fn submits(&self, fields: &Value) -> EventBuilder {
        self.event(
            "form.submitted",
            &json!({ "submission_id": self.ids.fresh("f"), "form_id": "set-report",
                     "form_version": 1, "fields": fields, "attachments": [] }),
        )
    }

    /// Presses a button.
    pub fn presses(&self, message_id: &str, choice_id: &str) -> EventBuilder {
        self.event(
            "choice.selected",
            &json!({ "message_id": message_id, "choice_id": choice_id }),
        )
    }

    /// Takes a message back.
    pub fn takes_back(&self, message_id: &str) -> EventBuilder {
        self.event(
            "message.deleted",
            &json!({ "message_id": message_id, "deleted_by": self.id }),
        )
    }

    /// Leaves the room.
    pub fn leaves(&self) -> EventBuilder {
        self.event(
            "member.left",
            &json!({ "member_id": self.id, "reason": "left" }),
        )
    }

    fn event(&self, kind: &str, details: &Value) -> EventBuilder {
        let mut data = details.as_object().cloned().unwrap_or_default();
        data.insert("room_id".to_owned(), json!(self.room));
        data.insert("thread_id".to_owned(), Value::Null);
        data.insert(
            "actor".to_owned(),
            json!({ "id": self.id, "display_name": self.name, "kind": "person" }),
        );
        EventBuilder {
            id: self.ids.fresh("e"),
            source: self.source.clone(),
            kind: kind.to_owned(),
            time: None,
            data,
        }
    }
}

/// An event being made.
#[derive(Clone, Debug)]
pub struct EventBuilder {
    /// `CloudEvents` id, signed with the event.
    pub id: String,
    /// `CloudEvents` source.
    pub source: String,
    kind: String,
    time: Option<Timestamp>,
    data: Map<String, Value>,
}

impl EventBuilder {
    /// Under this id instead of a fresh one.
    #[must_use]
    pub fn with_id(mut self, id: &str) -> Self {
        id.clone_into(&mut self.id);
        self
    }

    /// Happened at this time, whenever it is delivered.
    #[must_use]
    pub const fn at(mut self, time: Timestamp) -> Self {
        self.time = Some(time);
        self
    }

    /// In a thread.
    #[must_use]
    pub fn in_thread(self, thread: &str) -> Self {
        self.set("thread_id", json!(thread))
    }

    /// In answer to a message.
    #[must_use]
    pub fn answering(self, message_id: &str) -> Self {
        self.set("reply_to", json!(message_id))
    }

    /// By a program instead of a person.
    #[must_use]
    pub fn by_a_program(mut self) -> Self {
        if let Some(actor) = self.data.get_mut("actor").and_then(Value::as_object_mut) {
            actor.insert("kind".to_owned(), json!("bot"));
        }
        self
    }

    /// With one member of its data changed; how bad input is made.
    #[must_use]
    pub fn set(mut self, name: &str, value: Value) -> Self {
        self.data.insert(name.to_owned(), value);
        self
    }

    /// The platform's id of the message it is about.
    pub fn message_id(&self) -> String {
        ["message_id", "submission_id"]
            .iter()
            .find_map(|name| self.data.get(*name)?.as_str())
            .unwrap_or_default()
            .to_owned()
    }

    /// The body; a time that was not set is `now`.
    pub fn body(&self, now: Timestamp) -> Result<Vec<u8>> {
        let event = json!({
            "specversion": "1.0", "id": self.id, "source": self.source, "type": self.kind,
            "time": self.time.unwrap_or(now).to_string(),
            "datacontenttype": "application/json", "data": self.data,
        });
        Ok(serde_json::to_vec(&event)?)
    }
}

/// What goes over the wire: a body and its signature's headers.
#[derive(Clone, Debug)]
pub struct Signed {
    /// `webhook-id`.
    pub id: String,
    /// `webhook-timestamp`.
    pub timestamp: String,
    /// `webhook-signature`.
    pub signature: String,
    /// `content-type`.
    pub content_type: String,
    /// The body.
    pub body: Vec<u8>,
}

impl Signed {
    /// Signs a body after the Standard Webhooks specification.
    pub fn new(secret: &Secret, id: &str, body: Vec<u8>, now: Timestamp) -> Self {
        let signature = sign(std::slice::from_ref(secret), id, now.as_second(), &body);
        Self {
            id: id.to_owned(),
            timestamp: now.as_second().to_string(),
            signature,
            content_type: "application/cloudevents+json".to_owned(),
            body,
        }
    }
}
