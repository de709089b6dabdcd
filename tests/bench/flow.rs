//! From an event at the door to its first reply at the platform, through the real service over
//! real HTTP on loopback: idle, and under a steady stream; and how many events are acknowledged.
//!
//! `cargo bench -p cueline-tests --bench flow` (about a minute; ends by itself).

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use axum::Json;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::routing::post;
use cueline_bot::app::{Running, Setup, start};
use cueline_bot::brain;
use cueline_bot::clock::{Clock, SystemClock};
use cueline_bot::platform::BearerToken;
use cueline_bot::settings::OpenPlatform;
use cueline_bot::signing::{Secret, sign};
use serde_json::{Value, json};
use std::collections::HashMap;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::task::JoinSet;

const SOURCE: &str = "/chat/bench";
const SECRET: &str = "whsec_AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8=";
const IDLE: usize = 200;
const STREAM_PER_SECOND: usize = 200;
const STREAM_SECONDS: usize = 15;
const FLOOD: usize = 30_000;
const FLOOD_CONNECTIONS: usize = 128;

/// When each message's reply arrived.
#[derive(Clone, Default)]
struct Replies(Arc<Mutex<HashMap<String, Instant>>>);

impl Replies {
    fn at(&self, message: &str) -> Option<Instant> {
        self.0.lock().unwrap().get(message).copied()
    }
}

async fn receive(
    State(replies): State<Replies>,
    Json(body): Json<Value>,
) -> (StatusCode, Json<Value>) {
    let answered = body["to"]["reply_to"].as_str().unwrap_or("none").to_owned();
    let id = format!("r-{answered}");
    replies
        .0
        .lock()
        .unwrap()
        .entry(answered)
        .or_insert_with(Instant::now);
    let created = json!({ "message_id": id, "created": "2026-03-02T17:00:00Z" });
    (StatusCode::CREATED, Json(created))
}

/// One sender of events.
#[derive(Clone)]
struct Sender {
    client: reqwest::Client,
    url: String,
    secret: Secret,
}

impl Sender {
    async fn set(&self, name: &str, person: usize) -> u16 {
        let now = SystemClock.now();
        let text =
            "squat 140 kg x 3 @8, I forget to breathe and my core feels squishy, hips shoot up";
        let body = json!({
            "specversion": "1.0", "id": name, "source": SOURCE, "type": "message.created",
            "time": now.to_string(), "datacontenttype": "application/json",
            "data": {
                "room_id": format!("room-{}", person % 997), "thread_id": null,
                "actor": { "id": format!("u-{person}"), "display_name": "Ada", "kind": "person" },
                "message_id": name, "version": 1, "text": text, "reply_to": null, "attachments": []
            }
        })
        .to_string()
        .into_bytes();
        let seconds = now.as_second();
        let signature = sign(std::slice::from_ref(&self.secret), name, seconds, &body);
        let answer = self
            .client
            .post(&self.url)
            .header("content-type", "application/cloudevents+json")
            .header("webhook-id", name)
            .header("webhook-timestamp", seconds.to_string())
            .header("webhook-signature", signature)
            .body(body)
            .send()
            .await;
        answer.map_or(0, |answer| answer.status().as_u16())
    }
}

async fn service(folder: &std::path::Path, base_url: String) -> (Running, Duration) {
    let (mut settings, brain) = brain::load(None).unwrap();
    "127.0.0.1:0".clone_into(&mut settings.server.listen);
    settings.store.url = format!("sqlite:{}", folder.join("bench.sqlite").display());
    settings.limits.events_per_minute_per_address = 10_000_000;
    settings.limits.events_per_minute_per_source = 10_000_000;
    settings.limits.messages_per_minute_per_room = 1_000_000;
    settings.limits.messages_per_minute_per_platform = 1_000_000;
    let setup = Setup {
        settings,
        brain,
        folder: None,
        clock: Arc::new(SystemClock),
        platforms: vec![OpenPlatform {
            source: SOURCE.to_owned(),
            base_url,
            token: BearerToken::parse("bench-token-0123456789").unwrap(),
            secrets: vec![Secret::parse(SECRET).unwrap()],
        }],
    };
    let begun = Instant::now();
    let running = start(setup).await.unwrap();
    (running, begun.elapsed())
}

/// The value below which `share` of the sorted times lie.
fn quantile(sorted: &[Duration], share: f64) -> Duration {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "an index"
    )]
    let index = ((sorted.len() - 1) as f64 * share).round() as usize;
    sorted[index]
}

fn report(what: &str, mut times: Vec<Duration>) {
    times.sort_unstable();
    println!(
        "{what}: n {}, median {:.1?}, p99 {:.1?}, longest {:.1?}",
        times.len(),
        quantile(&times, 0.5),
        quantile(&times, 0.99),
        quantile(&times, 1.0)
    );
}

async fn wait_for(replies: &Replies, name: &str, limit: Duration) -> Option<Instant> {
    let end = Instant::now() + limit;
    while Instant::now() < end {
        if let Some(at) = replies.at(name) {
            return Some(at);
        }
        tokio::time::sleep(Duration::from_micros(300)).await;
    }
    None
}

async fn idle(sender: &Sender, replies: &Replies) {
    let mut times = Vec::new();
    for number in 0..IDLE {
        let name = format!("idle-{number}");
        let begun = Instant::now();
        assert_eq!(sender.set(&name, number).await, 202);
        let at = wait_for(replies, &name, Duration::from_secs(10))
            .await
            .expect("a reply");
        times.push(at - begun);
    }
    report("event in to first reply posted, idle", times);
}

async fn stream(sender: &Sender, replies: &Replies) {
    let mut tick =
        tokio::time::interval(Duration::from_secs(1) / u32::try_from(STREAM_PER_SECOND).unwrap());
    let mut tasks = JoinSet::new();
    for number in 0..STREAM_PER_SECOND * STREAM_SECONDS {
        tick.tick().await;
        let (sender, replies) = (sender.clone(), replies.clone());
        tasks.spawn(async move {
            let name = format!("stream-{number}");
            let begun = Instant::now();
            assert_eq!(sender.set(&name, 1_000 + number).await, 202);
            let at = wait_for(&replies, &name, Duration::from_mins(1))
                .await
                .expect("a reply");
            at - begun
        });
    }
    let mut times = Vec::new();
    while let Some(time) = tasks.join_next().await {
        times.push(time.unwrap());
    }
    report("event in to first reply posted, 200 events/s", times);
}

async fn flood(sender: &Sender) {
    let begun = Instant::now();
    let mut tasks = JoinSet::new();
    for lane in 0..FLOOD_CONNECTIONS {
        let sender = sender.clone();
        tasks.spawn(async move {
            let mut times = Vec::new();
            for number in (lane..FLOOD).step_by(FLOOD_CONNECTIONS) {
                let sent = Instant::now();
                let status = sender
                    .set(&format!("flood-{number}"), 10_000 + number)
                    .await;
                assert_eq!(status, 202);
                times.push(sent.elapsed());
            }
            times
        });
    }
    let mut times = Vec::new();
    while let Some(lane) = tasks.join_next().await {
        times.extend(lane.unwrap());
    }
    let rate = FLOOD as f64 / begun.elapsed().as_secs_f64();
    println!(
        "acknowledged durably over HTTP, {FLOOD_CONNECTIONS} at once, sender on the same 2 cores, replies going on beside: {rate:.0}/s"
    );
    report("acknowledgement", times);
}

/// Resident memory of this process, MiB.
fn resident() -> f64 {
    let text = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find(|line| line.starts_with("VmRSS:"));
    let kib = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kib.unwrap_or_default() / 1024.0
}

#[tokio::main]
async fn main() {
    let replies = Replies::default();
    let app = Router::new()
        .route("/v1/messages", post(receive))
        .with_state(replies.clone());
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let base = format!("http://{}", listener.local_addr().unwrap());
    let platform = tokio::spawn(async move { axum::serve(listener, app).await });
    let folder = tempfile::tempdir().unwrap();
    let (running, took) = service(folder.path(), base.clone()).await;
    println!(
        "start to ready, new database: {took:.0?}; resident {:.0} MiB",
        resident()
    );
    let sender = Sender {
        client: reqwest::Client::builder().no_proxy().build().unwrap(),
        url: format!("http://{}/events", running.address),
        secret: Secret::parse(SECRET).unwrap(),
    };
    idle(&sender, &replies).await;
    stream(&sender, &replies).await;
    flood(&sender).await;
    println!(
        "resident after all: {:.0} MiB (service, sender and platform in one process)",
        resident()
    );
    running.shut_down().await;
    let (running, took) = service(folder.path(), base).await;
    println!("start to ready, existing database: {took:.0?}");
    running.shut_down().await;
    platform.abort();
}
