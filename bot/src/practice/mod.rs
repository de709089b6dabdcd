//! The practice room: an in-process chat platform and a page on loopback where a newcomer sits
//! down as a lifter, as the coach or as a community member and sees what the service answers.
//!
//! It is a chat platform like any other: it hands signed events in at the service's own door and
//! takes the service's messages by the outbound contract. Nothing here knows how a set is judged.

mod act;
mod card;
mod cast;
mod chat;
mod examples;
mod feed;
mod file;
mod form;
mod guard;
mod message;
mod page;
mod problem;
mod receive;
mod send;

#[cfg(test)]
mod tests;

pub use cast::{CHALLENGES, SOURCE, rooms, seats};
pub use chat::{Chat, ChatError, Receipt};
pub use file::table_attachment;
pub use message::{Author, AuthorKind, Draft, Handover, Message, Press, Room, Sent};
pub use send::{Doing, EventDoor, Place, Sender, build_event};

use crate::clock::Clock;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::{get, post};
use std::sync::Arc;

/// Where the platform's own API is mounted: the service's base address for this platform is
/// `http://127.0.0.1:PORT` followed by this.
pub const PLATFORM_PREFIX: &str = "/practice/platform";

/// Whole body of what the page sends, bytes.
const BODY_LIMIT: usize = 64 * 1024;
/// Where a file may go along: the largest one in base64, escaped, and words.
const SAY_LIMIT: usize = 512 * 1024;

/// What somebody in a seat is to the service.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SeatKind {
    /// Posts sets.
    Lifter,
    /// Works through the queue; may enter every room.
    Coach,
    /// Answers challenges.
    Member,
}

/// A person whose place the newcomer can take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seat {
    /// The platform's id of the person: letters, digits, `_`, `-`.
    pub id: String,
    /// The name shown.
    pub name: String,
    /// What they are, in a word or two, as shown.
    pub role_label: String,
    /// What they are to the service: decides the rooms and the examples offered.
    pub kind: SeatKind,
    /// Id of the room they sit in.
    pub room: String,
}

impl Seat {
    /// The person as an author of messages.
    pub fn author(&self) -> Author {
        Author {
            id: self.id.clone(),
            name: self.name.clone(),
            kind: AuthorKind::Person,
        }
    }

    fn may_enter(&self, room_id: &str) -> bool {
        self.room == room_id
            || room_id == CHALLENGES
            || Chat::private_room(&self.id) == room_id
            || (self.kind == SeatKind::Coach && !room_id.starts_with("private-"))
    }

    /// Whether a message belongs to what this seat sees while looking at `room_id`: that room,
    /// and with their own room, or the one for challenges, what the service told them alone.
    fn sees(&self, room_id: &str, message: &Message) -> bool {
        let theirs = self.room == room_id || room_id == CHALLENGES;
        message.room_id == room_id || (theirs && message.room_id == Chat::private_room(&self.id))
    }
}

/// What the practice room is made of.
#[derive(Clone)]
pub struct PracticeParts {
    /// Rooms and messages.
    pub chat: Arc<Chat>,
    /// The service's door for events.
    pub door: Arc<dyn EventDoor>,
    /// The clock the service goes by, so that its times and ours agree.
    pub clock: Arc<dyn Clock>,
    /// The seats, in the order shown; the first is taken by a newcomer.
    pub people: Vec<Seat>,
    /// The token the service must show when it sends; empty refuses every call.
    pub token: String,
    /// `CloudEvents` source of this platform, such as `/chat/practice`.
    pub source: String,
}

impl std::fmt::Debug for PracticeParts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The token stays out of every log.
        f.debug_struct("PracticeParts")
            .field("people", &self.people)
            .field("source", &self.source)
            .finish_non_exhaustive()
    }
}

/// What the page's handlers share.
#[derive(Clone, Debug)]
struct Practice {
    chat: Arc<Chat>,
    clock: Arc<dyn Clock>,
    sender: Sender,
    people: Arc<[Seat]>,
}

/// The practice room's routes: `/practice` and what is below it. Call [`Chat::close`] when the
/// service is to stop, or pages that wait for news hold it up for 20 seconds.
pub fn router(parts: PracticeParts) -> Router {
    for seat in &parts.people {
        parts.chat.add_room(Room {
            id: Chat::private_room(&seat.id),
            label: format!("{} alone", seat.name),
        });
    }
    let platform = receive::routes(receive::Receiving {
        chat: parts.chat.clone(),
        clock: parts.clock.clone(),
        token: parts.token.into(),
    });
    let practice = Practice {
        sender: Sender::new(parts.door, parts.clock.clone(), &parts.source),
        chat: parts.chat,
        clock: parts.clock,
        people: parts.people.into(),
    };
    Router::new()
        .route("/practice", get(page::show))
        .route("/practice/page.css", get(page::style))
        .route("/practice/page.js", get(page::script))
        .route("/practice/feed", get(feed::feed))
        .route(
            "/practice/say",
            post(act::say).layer(DefaultBodyLimit::max(SAY_LIMIT)),
        )
        .route("/practice/press", post(act::press))
        .route("/practice/submit", post(act::submit))
        .route("/practice/edit", post(act::edit))
        .route("/practice/delete", post(act::delete))
        .route("/practice/leave", post(act::leave))
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
        .layer(middleware::from_fn(guard::own_page_only))
        .with_state(practice)
        .nest(PLATFORM_PREFIX, platform)
}
