//! A room with an invented cast and a door that writes down what is handed in.

use crate::clock::{Clock, MovableClock};
use crate::practice::{Chat, EventDoor, PracticeParts, Room, Seat, SeatKind, router};
use async_trait::async_trait;
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, Response, StatusCode};
use jiff::Timestamp;
use serde_json::Value;
use std::sync::{Arc, Mutex};
use tower::ServiceExt as _;

pub(super) const TOKEN: &str = "practice-token-0123456789";

#[derive(Debug, Default)]
pub(super) struct Notebook {
    pub(super) events: Mutex<Vec<Value>>,
    /// Statuses to answer with, first to last; 202 once they are used up.
    pub(super) answers: Mutex<Vec<u16>>,
}

#[async_trait]
impl EventDoor for Notebook {
    async fn post(&self, id: &str, body: Vec<u8>, _: Timestamp) -> Result<u16, String> {
        let event: Value = serde_json::from_slice(&body).unwrap();
        assert_eq!(event["id"], id, "the signed id is the event's");
        self.events.lock().unwrap().push(event);
        let mut answers = self.answers.lock().unwrap();
        Ok(if answers.is_empty() {
            202
        } else {
            answers.remove(0)
        })
    }
}

pub(super) struct Stage {
    pub(super) chat: Arc<Chat>,
    pub(super) door: Arc<Notebook>,
    pub(super) app: Router,
}

pub(super) fn seat(id: &str, name: &str, role: &str, kind: SeatKind, room: &str) -> Seat {
    Seat {
        id: id.to_owned(),
        name: name.to_owned(),
        role_label: role.to_owned(),
        kind,
        room: room.to_owned(),
    }
}

pub(super) fn room(id: &str, label: &str) -> Room {
    Room {
        id: id.to_owned(),
        label: label.to_owned(),
    }
}

pub(super) fn clock() -> MovableClock {
    let clock = MovableClock::default();
    clock.set("2026-03-02T18:05:00Z".parse().unwrap());
    clock
}

pub(super) fn people() -> Vec<Seat> {
    vec![
        seat("ines", "Ines Falk", "lifter", SeatKind::Lifter, "platform"),
        seat(
            "tomo",
            "Tomo Brandt",
            "lifter",
            SeatKind::Lifter,
            "platform",
        ),
        seat("vera", "Vera Lindqvist", "coach", SeatKind::Coach, "office"),
        seat("odd", "Odd Amsel", "member", SeatKind::Member, "platform"),
    ]
}

pub(super) fn chat() -> Arc<Chat> {
    let rooms = vec![
        room("platform", "The lifters' room"),
        room("office", "The coach's room"),
    ];
    Arc::new(Chat::new("t", rooms))
}

impl Stage {
    pub(super) fn new() -> Self {
        Self::with(people())
    }

    pub(super) fn with(people: Vec<Seat>) -> Self {
        let chat = chat();
        let door = Arc::new(Notebook::default());
        let clock: Arc<dyn Clock> = Arc::new(clock());
        let app = router(PracticeParts {
            chat: chat.clone(),
            door: door.clone(),
            clock,
            people,
            token: TOKEN.to_owned(),
            source: "/chat/practice".to_owned(),
        });
        Self { chat, door, app }
    }

    pub(super) fn events(&self) -> Vec<Value> {
        self.door.events.lock().unwrap().clone()
    }

    pub(super) async fn ask(&self, request: Request<Body>) -> Response<Body> {
        self.app.clone().oneshot(request).await.unwrap()
    }

    pub(super) async fn get(&self, path: &str) -> (StatusCode, String) {
        let request = Request::get(path).header("host", "127.0.0.1:8080");
        read(self.ask(request.body(Body::empty()).unwrap()).await).await
    }

    /// Sends as the page's script does.
    pub(super) async fn act(&self, what: &str, form: &str) -> (StatusCode, Value) {
        let request = post(what).header("accept", "application/json");
        let answer = self
            .ask(request.body(Body::from(form.to_owned())).unwrap())
            .await;
        let (status, text) = read(answer).await;
        (status, serde_json::from_str(&text).unwrap())
    }

    /// Posts as the service does.
    pub(super) async fn deliver(&self, key: &str, body: &Value) -> (StatusCode, Value) {
        let request = Request::post("/practice/platform/v1/messages")
            .header("host", "127.0.0.1:8080")
            .header("authorization", format!("Bearer {TOKEN}"))
            .header("content-type", "application/json")
            .header("idempotency-key", format!("\"{key}\""));
        let answer = self
            .ask(request.body(Body::from(body.to_string())).unwrap())
            .await;
        let (status, text) = read(answer).await;
        (status, serde_json::from_str(&text).unwrap())
    }
}

/// A plain form post of the page itself.
pub(super) fn post(what: &str) -> axum::http::request::Builder {
    Request::post(format!("/practice/{what}"))
        .header("host", "127.0.0.1:8080")
        .header("origin", "http://127.0.0.1:8080")
        .header("sec-fetch-site", "same-origin")
        .header("content-type", "application/x-www-form-urlencoded")
}

pub(super) async fn read(answer: Response<Body>) -> (StatusCode, String) {
    let status = answer.status();
    let bytes = to_bytes(answer.into_body(), 4 << 20).await.unwrap();
    (status, String::from_utf8(bytes.to_vec()).unwrap())
}
