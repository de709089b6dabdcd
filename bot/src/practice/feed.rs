//! What is new in a room: answers at once when there is something, else when something comes or
//! the time is over.

use super::message::Message;
use super::problem::Problem;
use super::{Practice, Seat};
use axum::Json;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use std::time::Duration;
use tokio::time::Instant;

/// Longest a request waits for news.
const LONGEST_WAIT: Duration = Duration::from_secs(20);
/// Most messages in one answer.
const MOST: usize = 200;

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    seat: Option<String>,
    room: String,
    #[serde(default)]
    after: u64,
    /// The run the page belongs to; another one means that the service was started anew.
    mark: Option<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct News {
    mark: String,
    /// Ask again with this as `after`.
    next: u64,
    messages: Vec<Message>,
}

pub(super) async fn feed(
    State(practice): State<Practice>,
    Query(asked): Query<Asked>,
) -> Result<Json<News>, Problem> {
    let seat = practice.seat_or_first(asked.seat.as_deref())?;
    if !seat.may_enter(&asked.room) {
        return Err(Problem::new(
            StatusCode::NOT_FOUND,
            "not found",
            format!("room is not one that {} may enter.", seat.name),
        ));
    }
    let chat = &practice.chat;
    let mark = chat.mark().to_owned();
    if asked.mark.is_some_and(|known| known != mark) {
        return Ok(Json(News {
            mark,
            next: 0,
            messages: Vec::new(),
        }));
    }
    let until = Instant::now() + LONGEST_WAIT;
    let mut next = asked.after;
    loop {
        let left = until.saturating_duration_since(Instant::now());
        let mut more = chat.wait_for_more(next, left).await;
        more.truncate(MOST);
        let Some(last) = more.last().map(|message| message.seq) else {
            break;
        };
        next = last;
        more.retain(|message| seat.sees(&asked.room, message));
        if !more.is_empty() {
            return Ok(Json(News {
                mark,
                next,
                messages: more,
            }));
        }
    }
    if chat.is_closed() {
        // Not an empty answer: the page would ask again at once.
        let why = "The service is stopping.";
        return Err(Problem::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "stopping",
            why,
        ));
    }
    Ok(Json(News {
        mark,
        next,
        messages: Vec::new(),
    }))
}

impl Practice {
    pub(super) fn seat(&self, id: &str) -> Result<Seat, Problem> {
        let found = self.people.iter().find(|seat| seat.id == id);
        found.cloned().ok_or_else(|| {
            Problem::new(
                StatusCode::NOT_FOUND,
                "not found",
                "seat is not one of this room's.",
            )
        })
    }

    pub(super) fn seat_or_first(&self, id: Option<&str>) -> Result<Seat, Problem> {
        match (id, self.people.first()) {
            (Some(id), _) => self.seat(id),
            (None, Some(first)) => Ok(first.clone()),
            (None, None) => Err(Problem::new(
                StatusCode::NOT_FOUND,
                "not found",
                "this practice room has no seats.",
            )),
        }
    }
}
