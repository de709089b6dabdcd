#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
//! The edge played from outside: real requests against the real router, a store in memory.

mod answers;
mod data_page;
mod hardening;
mod no_desk;
mod practice_room;
mod routes;
mod server;

use super::{LimitSettings, PlatformAccess, WebParts, router};
use crate::clock::{Clock, MovableClock};
use crate::record::{
    Case, CoachVerdict, DeadLetter, Effects, Entry, Event, FollowUp, Lifter, MessageMark, Outgoing,
    PersonKey, QueueItem, QueueLine, SheetLine,
};
use crate::signing::{Secret, sign};
use crate::store::{
    Accepted, ChallengeStore, Claim, ClaimBatch, Depths, FileStore, Leased, NewEvent, PrivacyStore,
    Quarantined, Store, StoreError,
};
use crate::telemetry::Metrics;
use async_trait::async_trait;
use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Request, StatusCode};
use base64::Engine as _;
use jiff::Timestamp;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::sync::Notify;
use tower::ServiceExt as _;

const DEMO: &str = "/chat/demo";
const DEMO_SECRET: &str = "whsec_AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=";
const GYM: &str = "/chat/gym";
const GYM_SECRET: &str = "whsec_ICEiIyQlJicoKSorLC0uLzAxMjM0NTY3ODk6Ozw9Pj8=";

/// Only what the edge asks of a store; the rest is answered with an error.
#[derive(Debug, Default)]
struct FakeStore {
    events: Mutex<Vec<NewEvent>>,
    quarantined: Mutex<Vec<Quarantined>>,
    broken: AtomicBool,
    hanging: AtomicBool,
}

fn not_here<T>() -> Result<T, StoreError> {
    Err(StoreError::Unexpected("not asked of this store".to_owned()))
}

impl FakeStore {
    async fn trouble(&self) -> Result<(), StoreError> {
        if self.hanging.load(Ordering::SeqCst) {
            tokio::time::sleep(Duration::from_mins(1)).await;
        }
        if self.broken.load(Ordering::SeqCst) {
            return Err(StoreError::Unavailable(
                "disk full at /var/secret.db".to_owned(),
            ));
        }
        Ok(())
    }
}

#[async_trait]
impl Store for FakeStore {
    async fn accept(&self, event: NewEvent) -> Result<Accepted, StoreError> {
        self.trouble().await?;
        let mut events = self.events.lock().unwrap();
        let known = events
            .iter()
            .find(|known| known.event.key == event.event.key);
        match known {
            Some(known) if known.body_hash == event.body_hash => Ok(Accepted::Duplicate),
            Some(_) => Ok(Accepted::Conflict),
            None => {
                events.push(event);
                Ok(Accepted::Stored)
            }
        }
    }
    async fn quarantine(&self, body: Quarantined) -> Result<(), StoreError> {
        self.trouble().await?;
        self.quarantined.lock().unwrap().push(body);
        Ok(())
    }
    async fn depths(&self) -> Result<Depths, StoreError> {
        self.trouble().await?;
        Ok(Depths {
            inbox: 3,
            outbox: 2,
            dead: 1,
            queue: 7,
            follow_ups: 9,
        })
    }
    async fn ping(&self) -> Result<(), StoreError> {
        self.trouble().await
    }
    fn challenges(&self) -> &dyn ChallengeStore {
        panic!("not asked for at the edge")
    }
    fn files(&self) -> &dyn FileStore {
        panic!("not asked for at the edge")
    }
    fn privacy(&self) -> &dyn PrivacyStore {
        self
    }
    async fn close(&self) {}
    async fn claim_events(&self, _: &ClaimBatch) -> Result<Vec<Leased<Event>>, StoreError> {
        not_here()
    }
    async fn claim_follow_ups(&self, _: &ClaimBatch) -> Result<Vec<Leased<FollowUp>>, StoreError> {
        not_here()
    }
    async fn claim_outgoing(&self, _: &ClaimBatch) -> Result<Vec<Leased<Outgoing>>, StoreError> {
        not_here()
    }
    async fn apply(&self, _: &Claim, _: &Effects, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn mark_sent(&self, _: &Claim, _: &str, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn retry_at(&self, _: &Claim, _: Timestamp, _: &str) -> Result<(), StoreError> {
        not_here()
    }
    async fn give_up(&self, _: &Claim, _: &str, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn withdraw(&self, _: &Claim, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn case_of_message(&self, _: &str, _: &str, _: &str) -> Result<Option<Case>, StoreError> {
        not_here()
    }
    async fn extend(&self, _: &Claim, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn release_all(&self, _: &str) -> Result<(), StoreError> {
        not_here()
    }
    async fn lifter(&self, _: &PersonKey) -> Result<Option<Lifter>, StoreError> {
        not_here()
    }
    async fn cases_of(&self, _: &PersonKey, _: u32) -> Result<Vec<Case>, StoreError> {
        not_here()
    }
    async fn case(&self, _: &str) -> Result<Option<Case>, StoreError> {
        not_here()
    }
    async fn case_by_number(&self, _: i64) -> Result<Option<Case>, StoreError> {
        not_here()
    }
    async fn reserve_case_number(&self) -> Result<i64, StoreError> {
        not_here()
    }
    async fn entries(&self, _: &str, _: u32) -> Result<Vec<Entry>, StoreError> {
        not_here()
    }
    async fn queue(&self, _: Timestamp, _: u32, _: u32) -> Result<Vec<QueueLine>, StoreError> {
        not_here()
    }
    async fn sheet_lines(
        &self,
        _: &str,
        _: Timestamp,
        _: Timestamp,
        _: u32,
    ) -> Result<Vec<SheetLine>, StoreError> {
        not_here()
    }
    async fn queue_item(&self, _: &str) -> Result<Option<QueueItem>, StoreError> {
        not_here()
    }
    async fn message_mark(
        &self,
        _: &str,
        _: &str,
        _: &str,
    ) -> Result<Option<MessageMark>, StoreError> {
        not_here()
    }
    async fn sent_message(&self, _: &str, _: &str) -> Result<Option<Outgoing>, StoreError> {
        not_here()
    }
    async fn dead_letters(&self, _: u32) -> Result<Vec<DeadLetter>, StoreError> {
        not_here()
    }

    async fn verdict_of_case(&self, _: &str) -> Result<Option<CoachVerdict>, StoreError> {
        not_here()
    }

    async fn verdicts(&self, _: u32) -> Result<Vec<CoachVerdict>, StoreError> {
        not_here()
    }

    async fn verdicts_mark(&self) -> Result<(i64, i64), StoreError> {
        not_here()
    }
}

/// The edge on a stage.
struct Stage {
    store: Arc<FakeStore>,
    clock: Arc<MovableClock>,
    parts: WebParts,
    router: Router,
}

/// An answer taken apart.
struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    text: String,
}

impl Answer {
    fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .map_or("", |value| value.to_str().unwrap())
    }

    /// The body as a problem, its outer form checked (RFC 9457, section 3).
    fn problem(&self) -> Value {
        assert_eq!(self.header("content-type"), "application/problem+json");
        let problem: Value = serde_json::from_str(&self.text).unwrap();
        assert_eq!(problem["status"], self.status.as_u16());
        assert_eq!(problem["instance"], self.header("x-request-id"));
        for member in ["type", "title", "detail"] {
            assert!(
                problem[member]
                    .as_str()
                    .is_some_and(|text| !text.is_empty())
            );
        }
        problem
    }

    /// The first field named in a 422.
    fn fault(&self) -> (String, String, String) {
        assert_eq!(
            self.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            self.text
        );
        let first = &self.problem()["errors"][0];
        let text = |member: &str| first[member].as_str().unwrap().to_owned();
        (text("field"), text("found"), text("accepted"))
    }
}

impl Stage {
    fn new() -> Self {
        Self::with(LimitSettings::default())
    }

    fn with(limits: LimitSettings) -> Self {
        let store = Arc::new(FakeStore::default());
        let clock = Arc::new(MovableClock::default());
        let access = |source: &str, secrets: &[&str]| PlatformAccess {
            source: source.to_owned(),
            secrets: secrets.iter().map(|s| Secret::parse(s).unwrap()).collect(),
        };
        let parts = WebParts {
            store: store.clone(),
            clock: clock.clone(),
            platforms: vec![access(GYM, &[GYM_SECRET]), access(DEMO, &[DEMO_SECRET])],
            limits,
            wake: Arc::new(Notify::new()),
            metrics: Arc::new(Metrics::new()),
            draining: Arc::new(AtomicBool::new(false)),
        };
        let router = router(parts.clone());
        Self {
            store,
            clock,
            parts,
            router,
        }
    }

    fn now(&self) -> i64 {
        self.clock.now().as_second()
    }

    /// A request signed by the demo platform.
    fn signed(&self, id: &str, body: impl Into<Vec<u8>>) -> Request<Body> {
        self.signed_with(DEMO_SECRET, id, body)
    }

    fn signed_with(&self, secret: &str, id: &str, body: impl Into<Vec<u8>>) -> Request<Body> {
        let body = body.into();
        let signature = sign(&[Secret::parse(secret).unwrap()], id, self.now(), &body);
        Request::post("/events")
            .header("content-type", "application/cloudevents+json")
            .header("content-length", body.len())
            .header("webhook-id", id)
            .header("webhook-timestamp", self.now())
            .header("webhook-signature", signature)
            .body(Body::from(body))
            .unwrap()
    }

    async fn ask(&self, mut request: Request<Body>) -> Answer {
        let peer = SocketAddr::from(([192, 0, 2, 1], 40_000));
        request.extensions_mut().insert(ConnectInfo(peer));
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let (head, body) = answer.into_parts();
        let body = axum::body::to_bytes(body, 1 << 20).await.unwrap();
        Answer {
            status: head.status,
            headers: head.headers,
            text: String::from_utf8(body.to_vec()).unwrap(),
        }
    }

    async fn send(&self, body: impl Into<Vec<u8>>) -> Answer {
        self.ask(self.signed("evt-1", body)).await
    }

    async fn send_json(&self, event: &Value) -> Answer {
        self.send(event.to_string()).await
    }

    async fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path).body(Body::empty()).unwrap())
            .await
    }

    fn stored(&self) -> Vec<NewEvent> {
        self.store.events.lock().unwrap().clone()
    }

    fn quarantined(&self) -> Vec<Quarantined> {
        self.store.quarantined.lock().unwrap().clone()
    }
}

/// A lifter's message.
fn message() -> Value {
    json!({
        "specversion": "1.0", "id": "evt-1", "source": DEMO, "type": "message.created",
        "time": "2026-01-02T03:04:05Z", "datacontenttype": "application/json",
        "data": {
            "room_id": "r1", "thread_id": null,
            "actor": {"id": "u1", "display_name": "Ana", "kind": "person"},
            "message_id": "m1", "version": 1, "text": "squat 140 kg x 5, tips forward",
            "reply_to": null, "attachments": []
        }
    })
}

/// The same event with another type and other data beside room and actor.
fn of_type(kind: &str, data: &Value) -> Value {
    let mut event = message();
    event["type"] = json!(kind);
    let mut merged = json!({"room_id": "r1", "actor": event["data"]["actor"]});
    for (name, value) in data.as_object().unwrap() {
        merged[name] = value.clone();
    }
    event["data"] = merged;
    event
}

/// A file sent inline.
fn file(media_type: &str, content: &[u8]) -> Value {
    let digest = Sha256::digest(content);
    json!({
        "attachment_id": "a1", "name": "set 1.csv", "media_type": media_type,
        "size": content.len(), "sha256": crate::record::hex(&digest),
        "data_base64": base64::engine::general_purpose::STANDARD.encode(content)
    })
}
