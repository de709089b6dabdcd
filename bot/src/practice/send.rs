//! From a seat to the service: builds the events a chat platform would send and hands them in
//! at the service's own door, with the retries a platform would make.

use super::message::{Author, Message};
use crate::clock::Clock;
pub use crate::platform::door::EventDoor;
use crate::record::{FieldValue, LeaveReason};
use jiff::Timestamp;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

/// Attempts before the page is told.
const ATTEMPTS: u32 = 3;
/// Wait after the first failed attempt; doubled after each.
const FIRST_WAIT: Duration = Duration::from_millis(250);

/// What a seat does, as the service will hear of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Writes or edits a message.
    Say {
        /// Id of the message.
        message_id: String,
        /// 1 when new.
        version: u32,
        /// Plain text.
        text: String,
        /// Message it answers.
        reply_to: Option<String>,
        /// Files sent along, as the contract has them.
        attachments: Vec<Value>,
    },
    /// Sends in a form.
    Submit {
        /// Id of the submission.
        submission_id: String,
        /// Which form, and its version.
        form: (String, u32),
        /// Field name to value.
        fields: BTreeMap<String, FieldValue>,
    },
    /// Presses a button.
    Choose {
        /// Message that carries it.
        message_id: String,
        /// The button.
        choice_id: String,
    },
    /// Takes an own message back.
    Delete {
        /// The message.
        message_id: String,
    },
    /// Leaves the room.
    Leave {
        /// Why.
        reason: LeaveReason,
    },
}

impl Doing {
    /// A written or edited message, as the chat keeps it.
    pub fn say(message: &Message) -> Self {
        Self::say_with(message, Vec::new())
    }

    /// The same with files sent along.
    pub fn say_with(message: &Message, attachments: Vec<Value>) -> Self {
        Self::Say {
            message_id: message.id.clone(),
            version: message.version,
            text: message.text.clone(),
            reply_to: message.reply_to.clone(),
            attachments,
        }
    }

    fn type_word(&self) -> &'static str {
        match self {
            Self::Say { .. } => "message.created",
            Self::Submit { .. } => "form.submitted",
            Self::Choose { .. } => "choice.selected",
            Self::Delete { .. } => "message.deleted",
            Self::Leave { .. } => "member.left",
        }
    }

    fn details(&self, actor_id: &str) -> Value {
        match self {
            Self::Say {
                message_id,
                version,
                text,
                reply_to,
                attachments,
            } => json!({
                "message_id": message_id, "version": version, "text": text,
                "reply_to": reply_to, "attachments": attachments,
            }),
            Self::Submit {
                submission_id,
                form: (form_id, form_version),
                fields,
            } => json!({
                "submission_id": submission_id, "form_id": form_id,
                "form_version": form_version, "fields": fields, "attachments": [],
            }),
            Self::Choose {
                message_id,
                choice_id,
            } => json!({ "message_id": message_id, "choice_id": choice_id }),
            Self::Delete { message_id } => {
                json!({ "message_id": message_id, "deleted_by": actor_id })
            }
            Self::Leave { reason } => json!({ "member_id": actor_id, "reason": reason }),
        }
    }
}

/// Who does something, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Room.
    pub room_id: String,
    /// Thread, when it happens in one.
    pub thread_id: Option<String>,
}

/// Hands events in at the door.
#[derive(Clone, Debug)]
pub struct Sender {
    door: Arc<dyn EventDoor>,
    clock: Arc<dyn Clock>,
    source: String,
}

impl Sender {
    /// A sender that signs for the platform `source`, such as `/chat/practice`.
    pub fn new(door: Arc<dyn EventDoor>, clock: Arc<dyn Clock>, source: &str) -> Self {
        Self {
            door,
            clock,
            source: source.to_owned(),
        }
    }

    /// Hands one event in under `event_id` (unique for ever; no dots). Asks again with the same
    /// id and body when the service is busy or gives no answer. The error is a sentence for the
    /// person in the seat.
    pub async fn hand_in(
        &self,
        event_id: &str,
        actor: &Author,
        place: &Place,
        doing: &Doing,
    ) -> Result<(), String> {
        let event = build_event(
            event_id,
            &self.source,
            self.clock.now(),
            actor,
            place,
            doing,
        );
        let body = serde_json::to_vec(&event).map_err(|error| error.to_string())?;
        let mut wait = FIRST_WAIT;
        let mut attempt = 1;
        loop {
            let answer = self
                .door
                .post(event_id, body.clone(), self.clock.now())
                .await;
            let passing = match &answer {
                Ok(200..=299) => return Ok(()),
                Ok(status) => matches!(status, 408 | 425 | 429 | 500..=599),
                Err(_) => true,
            };
            if !passing || attempt == ATTEMPTS {
                return Err(sentence(answer));
            }
            tokio::time::sleep(wait).await;
            wait = wait.saturating_mul(2);
            attempt += 1;
        }
    }
}

/// The event as `CloudEvents` 1.0 JSON, structured mode.
pub fn build_event(
    event_id: &str,
    source: &str,
    time: Timestamp,
    actor: &Author,
    place: &Place,
    doing: &Doing,
) -> Value {
    let mut data = match doing.details(&actor.id) {
        Value::Object(details) => details,
        _ => Map::new(),
    };
    data.insert("room_id".to_owned(), json!(place.room_id));
    data.insert("thread_id".to_owned(), json!(place.thread_id));
    data.insert(
        "actor".to_owned(),
        json!({ "id": actor.id, "display_name": actor.name, "kind": "person" }),
    );
    json!({
        "specversion": "1.0",
        "id": event_id,
        "source": source,
        "type": doing.type_word(),
        "time": time.to_string(),
        "datacontenttype": "application/json",
        "data": data,
    })
}

fn sentence(answer: Result<u16, String>) -> String {
    match answer {
        Ok(413) => "The service finds this too large.".to_owned(),
        Ok(400 | 422) => "The service could not read this.".to_owned(),
        Ok(401 | 403) => "The service did not accept the signature.".to_owned(),
        Ok(409) => "The service knows this event with other content.".to_owned(),
        Ok(408 | 425 | 429 | 503) => {
            "The service is busy and did not take this. Try again in a moment.".to_owned()
        }
        Ok(status) => format!("The service answered with status {status} and did not take this."),
        Err(why) => format!("The service gave no answer ({why}). It may have this or not."),
    }
}
