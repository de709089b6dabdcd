//! What a seat does: say, press, submit, edit, take back, leave. Each is kept in the chat, handed
//! in at the service's door, and answered with JSON or by sending the browser back to the page.

use super::form::{FORM, Fields, summary};
use super::message::{Author, AuthorKind, Draft, Handover, Message};
use super::problem::Problem;
use super::send::{Doing, Place};
use super::{Practice, Seat, page};
use crate::record::LeaveReason;
use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use std::time::Duration;

/// How long a browser without scripts waits for the service's words before it gets the page.
const ANSWER_WAIT: Duration = Duration::from_millis(900);

/// Everything a request says about who does it where.
struct Doer {
    seat: Seat,
    room: String,
}

pub(super) async fn say(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = say_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn say_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let file = fields.file()?;
    // A picture may come without words.
    let text = match (&file, fields.get("text")) {
        (Some(_), None) => String::new(),
        _ => fields.text("text", 8_000)?,
    };
    let answered = match fields.get("reply_to") {
        Some(id) => Some(practice.visible(&doer, id)?),
        None => None,
    };
    let draft = Draft {
        room_id: answered
            .as_ref()
            .map_or(doer.room, |one| one.room_id.clone()),
        thread_id: answered.as_ref().map(thread_of),
        reply_to: answered.map(|one| one.id),
        author: doer.seat.author(),
        text,
        file: file.as_ref().map(|file| file.name.clone()),
        at: practice.clock.now(),
    };
    let message = practice.chat.write(&practice.chat.fresh_id("m"), draft);
    let id = practice.chat.fresh_id("a");
    let files = file.iter().map(|file| file.attachment(&id)).collect();
    let doing = Doing::say_with(&message, files);
    practice.deliver(&doer.seat, message, doing).await
}

pub(super) async fn submit(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = submit_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn submit_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let form = fields.set_form()?;
    let draft = Draft {
        room_id: doer.room,
        thread_id: None,
        reply_to: None,
        author: doer.seat.author(),
        text: summary(&form),
        file: None,
        at: practice.clock.now(),
    };
    let message = practice.chat.write(&practice.chat.fresh_id("f"), draft);
    let doing = Doing::Submit {
        submission_id: message.id.clone(),
        form: (FORM.0.to_owned(), FORM.1),
        fields: form,
    };
    practice.deliver(&doer.seat, message, doing).await
}

pub(super) async fn press(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = press_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn press_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let id = practice.visible(&doer, fields.need("message")?)?.id;
    let choice = fields.need("choice")?;
    let now = practice.clock.now();
    let message = practice.chat.press(&id, choice, &doer.seat.author(), now)?;
    let doing = Doing::Choose {
        message_id: id,
        choice_id: choice.to_owned(),
    };
    practice.deliver(&doer.seat, message, doing).await
}

pub(super) async fn edit(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = edit_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn edit_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let text = fields.text("text", 8_000)?;
    let id = fields.need("message")?;
    if id.starts_with("f-") {
        return Err(Problem::bad(
            "message is a form; take it back and send it anew.",
        ));
    }
    let message = practice.chat.edit(id, &doer.seat.author(), &text)?;
    let doing = Doing::say(&message);
    practice.deliver(&doer.seat, message, doing).await
}

pub(super) async fn delete(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = delete_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn delete_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let id = fields.need("message")?;
    let message = practice.chat.delete(id, &doer.seat.author())?;
    let doing = Doing::Delete {
        message_id: message.id.clone(),
    };
    practice.deliver(&doer.seat, message, doing).await
}

pub(super) async fn leave(State(practice): State<Practice>, fields: Fields) -> Response {
    let done = leave_it(&practice, &fields).await;
    answer(&practice, &fields, done).await
}

async fn leave_it(practice: &Practice, fields: &Fields) -> Result<String, Problem> {
    let doer = practice.doer(fields)?;
    let draft = Draft {
        room_id: doer.room,
        thread_id: None,
        reply_to: None,
        author: Author {
            id: "room".to_owned(),
            name: "Room".to_owned(),
            kind: AuthorKind::Room,
        },
        text: format!(
            "{} left the room. Writing again brings them back.",
            doer.seat.name
        ),
        file: None,
        at: practice.clock.now(),
    };
    let message = practice.chat.write(&practice.chat.fresh_id("n"), draft);
    let doing = Doing::Leave {
        reason: LeaveReason::Left,
    };
    practice.deliver(&doer.seat, message, doing).await
}

/// A thread goes by the id of its first message.
fn thread_of(message: &Message) -> String {
    let root = message.thread_id.as_ref();
    root.unwrap_or(&message.id).clone()
}

impl Practice {
    fn doer(&self, fields: &Fields) -> Result<Doer, Problem> {
        let seat = self.seat(fields.need("seat")?)?;
        let room = fields.get("room").unwrap_or(&seat.room).to_owned();
        let known = self.chat.rooms().iter().any(|one| one.id == room);
        if known && seat.may_enter(&room) {
            Ok(Doer { seat, room })
        } else {
            Err(Problem::new(
                StatusCode::NOT_FOUND,
                "not found",
                format!("room is not one that {} may enter.", seat.name),
            ))
        }
    }

    /// A message that this seat can see.
    fn visible(&self, doer: &Doer, id: &str) -> Result<Message, Problem> {
        let message = self.chat.message(id)?;
        if doer.seat.may_enter(&message.room_id) {
            Ok(message)
        } else {
            Err(Problem::new(
                StatusCode::NOT_FOUND,
                "not found",
                "message is not in a room of yours.",
            ))
        }
    }

    /// Hands the event in, and notes on the message how that went. Goes on by itself when the
    /// browser gives up waiting, so that a message is never left half sent.
    async fn deliver(
        &self,
        seat: &Seat,
        message: Message,
        doing: Doing,
    ) -> Result<String, Problem> {
        let practice = self.clone();
        let actor = seat.author();
        let id = message.id.clone();
        let task = tokio::spawn(async move {
            let place = Place {
                room_id: message.room_id,
                thread_id: message.thread_id,
            };
            let event_id = practice.chat.fresh_id("e");
            let handed = practice
                .sender
                .hand_in(&event_id, &actor, &place, &doing)
                .await;
            if message.handover == Handover::Waiting {
                let handover = match &handed {
                    Ok(()) => Handover::Taken,
                    Err(why) => Handover::Refused(why.clone()),
                };
                practice.chat.note_handover(&message.id, handover);
            }
            handed
        });
        match task.await {
            Ok(Ok(())) => Ok(id),
            Ok(Err(why)) => Err(Problem::new(StatusCode::BAD_GATEWAY, "not taken", why)),
            Err(_) => Err(Problem::new(
                StatusCode::INTERNAL_SERVER_ERROR,
                "not taken",
                "The practice room stopped half-way. Try again.",
            )),
        }
    }
}

async fn answer(practice: &Practice, fields: &Fields, done: Result<String, Problem>) -> Response {
    match (done, fields.json) {
        (Ok(id), true) => Json(serde_json::json!({ "message_id": id })).into_response(),
        (Err(problem), true) => problem.into_response(),
        (Ok(_), false) => {
            // A page without scripts cannot wait for news: give the service a moment to answer.
            let _ = practice
                .chat
                .wait_for_more(practice.chat.latest(), ANSWER_WAIT)
                .await;
            let seat = fields.get("seat").unwrap_or_default();
            let room = fields.get("room");
            Redirect::to(&page::address(seat, room, "#newest")).into_response()
        }
        (Err(problem), false) => page::refusal(&problem, fields.get("seat"), fields.get("room")),
    }
}
