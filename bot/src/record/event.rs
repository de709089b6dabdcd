//! What a chat platform tells us, typed.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Names one event for ever: the sender's source and the sender's id.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct EventKey {
    /// `CloudEvents` source, such as `/chat/demo`.
    pub source: String,
    /// `CloudEvents` id.
    pub id: String,
}

/// Whether a person or a program acted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ActorKind {
    /// A person.
    Person,
    /// A program; never answered, so that two bots cannot talk for ever.
    Bot,
}

/// Who acted. Carries no rights: roles come from our own configuration.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Actor {
    /// The platform's id of the person.
    pub id: String,
    /// The name shown.
    pub display_name: String,
    /// Person or program.
    pub kind: ActorKind,
}

/// A file that came with a message or a form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attachment {
    /// The platform's id of the file.
    pub attachment_id: String,
    /// Name as sent; shown only after escaping, never a path.
    pub name: String,
    /// Media type, from the allow-list.
    pub media_type: String,
    /// Size in bytes.
    pub size: u64,
    /// SHA-256 of the content, 64 hexadecimal digits.
    pub sha256: String,
    /// Content, base64; or a link, never both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub data_base64: Option<String>,
    /// Link; shown, never fetched.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub url: Option<String>,
}

/// One value of a form.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum FieldValue {
    /// Nothing entered.
    Empty,
    /// A ticked or unticked box.
    Flag(bool),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// Several ticked choices.
    List(Vec<String>),
}

/// Why a member left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LeaveReason {
    /// Left by themselves.
    Left,
    /// Removed by somebody.
    Removed,
    /// Banned.
    Banned,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "type")]
pub enum Payload {
    /// A message was written or edited.
    #[serde(rename = "message.created")]
    Message {
        /// The platform's id of the message.
        message_id: String,
        /// 1 for a new message, higher for an edit of the same id.
        version: u32,
        /// Plain text.
        text: String,
        /// The message it answers.
        reply_to: Option<String>,
        /// Files.
        attachments: Vec<Attachment>,
    },
    /// A form was sent in.
    #[serde(rename = "form.submitted")]
    Form {
        /// The platform's id of the submission.
        submission_id: String,
        /// Which form.
        form_id: String,
        /// Its version.
        form_version: u32,
        /// Field name to value.
        fields: BTreeMap<String, FieldValue>,
        /// Files.
        attachments: Vec<Attachment>,
    },
    /// A button was pressed.
    #[serde(rename = "choice.selected")]
    Choice {
        /// The message that carried the button.
        message_id: String,
        /// The button.
        choice_id: String,
    },
    /// A message was taken back.
    #[serde(rename = "message.deleted")]
    Deleted {
        /// The message.
        message_id: String,
        /// Who took it back.
        deleted_by: String,
    },
    /// A member is gone from the room.
    #[serde(rename = "member.left")]
    Left {
        /// The member.
        member_id: String,
        /// Why.
        reason: LeaveReason,
    },
    /// A coach did something at the desk; comes from our own pages only, never from a platform.
    #[serde(rename = "desk.order")]
    Order {
        /// What the coach would write in chat.
        text: String,
    },
}

impl Payload {
    /// The files that came with it.
    pub fn files(&self) -> &[Attachment] {
        match self {
            Self::Message { attachments, .. } | Self::Form { attachments, .. } => attachments,
            _ => &[],
        }
    }

    /// Takes the files out.
    pub fn drop_files(&mut self) {
        if let Self::Message { attachments, .. } | Self::Form { attachments, .. } = self {
            attachments.clear();
        }
    }
}

/// One event, checked and typed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Its name for ever.
    pub key: EventKey,
    /// When the sender says it happened; when it was received if the sender does not say.
    pub time: Timestamp,
    /// Room to answer in.
    pub room_id: String,
    /// Thread to answer in, when set.
    pub thread_id: Option<String>,
    /// Who acted.
    pub actor: Actor,
    /// What happened.
    pub payload: Payload,
}
