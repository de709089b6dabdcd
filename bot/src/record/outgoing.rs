//! What goes out to a chat platform.

use super::Keep;
use serde::{Deserialize, Serialize};

/// Where a message goes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Recipient {
    /// A room.
    RoomId(String),
    /// One person, in private.
    PersonId(String),
}

/// How a button looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ChoiceStyle {
    /// As any other.
    #[default]
    Plain,
    /// Confirms.
    Confirm,
    /// Cannot be taken back.
    Danger,
}

/// One button.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChoiceButton {
    /// 1 to 64 characters.
    pub choice_id: String,
    /// 1 to 40 characters.
    pub label: String,
    /// How it looks.
    pub style: ChoiceStyle,
}

/// A picture with its alternative text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Picture {
    /// Always `image/png`.
    pub media_type: String,
    /// Content.
    pub data_base64: String,
    /// Required: what the picture shows, in words.
    pub alt: String,
}

/// A picture as drawn, before it is made into dots: shapes and the words for whoever cannot see it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Drawing {
    /// SVG of shapes alone.
    pub svg: String,
    /// What it shows, in words; 1 to 300 characters.
    pub alt: String,
}

/// Why a message is sent; decides what may hold it back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Answers something a person wrote.
    Reply,
    /// The coach's own words to a lifter.
    Coach,
    /// An unasked reminder; withdrawn when reminders are stopped.
    Reminder,
    /// Tells the coach of something.
    Alert,
}

impl Purpose {
    /// The word kept in the database.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reply => "reply",
            Self::Coach => "coach",
            Self::Reminder => "reminder",
            Self::Alert => "alert",
        }
    }

    /// The purpose with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Reply, Self::Coach, Self::Reminder, Self::Alert]
            .into_iter()
            .find(|purpose| purpose.word() == word)
    }
}

/// One message to be delivered; the key is fixed when the row is written and kept on all retries.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outgoing {
    /// Idempotency key, a UUID made from what caused the message.
    pub key: String,
    /// Platform, by its `CloudEvents` source.
    pub source: String,
    /// Where it goes.
    pub to: Recipient,
    /// Thread.
    pub thread_id: Option<String>,
    /// Message it answers.
    pub reply_to: Option<String>,
    /// Text, 1 to 4,000 characters, in the Markdown subset of the contract.
    pub text: String,
    /// People who get notified; text never notifies.
    pub mentions: Vec<String>,
    /// Buttons, at most five.
    pub choices: Vec<ChoiceButton>,
    /// Picture.
    pub picture: Option<Picture>,
    /// Rings the recipient's device.
    pub notify: bool,
    /// Why it is sent.
    pub purpose: Purpose,
    /// Case it belongs to, when it belongs to one.
    pub case_id: Option<String>,
    /// Person it concerns, so that leaving or opting out finds it.
    pub person_id: Option<String>,
    /// Already the plain fallback of a message the platform refused.
    #[serde(default)]
    pub plain: bool,
    /// What is left of it in the database once it is out.
    #[serde(default, skip_serializing_if = "Keep::is_all")]
    pub keep: Keep,
    /// Not a message: the platform is asked to delete this one of ours, by the platform's id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unpost: Option<String>,
}

impl Outgoing {
    /// Asks the platform to delete a post of ours in a room. None for what went to one person alone:
    /// that is theirs.
    pub fn unposting(posted: &Self, platform_message_id: String) -> Option<Self> {
        let Recipient::RoomId(_) = posted.to else {
            return None;
        };
        Some(Self {
            key: format!("unpost-{}", posted.key),
            source: posted.source.clone(),
            to: posted.to.clone(),
            thread_id: None,
            reply_to: None,
            text: String::new(),
            mentions: Vec::new(),
            choices: Vec::new(),
            picture: None,
            notify: false,
            purpose: Purpose::Coach,
            case_id: None,
            // Of nobody, so that forgetting a lifter does not forget to delete.
            person_id: None,
            plain: true,
            keep: Keep::Nothing,
            unpost: Some(platform_message_id),
        })
    }
}
