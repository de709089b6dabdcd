//! How many events a second each engine stores durably: the store's groups against one commit for
//! each request, on the same machine in the same run. Only the ratios carry over to other machines.
//!
//! `cargo bench -p cueline-tests --bench intake` (about 20 s).

use anyhow::{Result, ensure};
use cueline_bot::record::{Actor, ActorKind, Event, EventKey, Payload};
use cueline_bot::store::{self, Accepted, NewEvent, OpenOptions, Store};
use cueline_tests::databases::{PrivatePostgres, sqlite};
use jiff::Timestamp;
use sqlx::postgres::PgPoolOptions;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use std::pin::Pin;
use std::str::FromStr;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// How long each way is measured.
const SPAN: Duration = Duration::from_secs(3);
/// Requests under way at once.
const CLIENTS: u64 = 1_024;

/// The statement of a service that stores each event by itself.
const ONE: &str = "INSERT INTO inbox
    (source, id, type, room_id, person_id, message_id, body, body_hash, received_at, run_at)
    VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $9)
    ON CONFLICT (source, id) DO NOTHING";

type Outcome = Pin<Box<dyn Future<Output = Result<()>> + Send>>;
type Way = Arc<dyn Fn(NewEvent) -> Outcome + Send + Sync>;

fn event(number: u64) -> NewEvent {
    // Ids that do not come in order, as real ones do not.
    let id = format!("{:016x}", number.wrapping_mul(0x9e37_79b9_7f4a_7c15));
    NewEvent {
        event: Event {
            key: EventKey {
                source: "/chat/demo".to_owned(),
                id: id.clone(),
            },
            time: Timestamp::UNIX_EPOCH,
            room_id: format!("room-{}", number % 500),
            thread_id: None,
            actor: Actor {
                id: format!("person-{}", number % 500),
                display_name: "Ana".to_owned(),
                kind: ActorKind::Person,
            },
            payload: Payload::Message {
                message_id: format!("m-{id}"),
                version: 1,
                text: "squat 140 kg x 5 at about 8, belt on; the last two felt slow out of the \
                       bottom and my heels came up a little. What should I change?"
                    .to_owned(),
                reply_to: None,
                attachments: Vec::new(),
            },
        },
        body_hash: format!("{number:064x}"),
        received_at: Timestamp::UNIX_EPOCH,
    }
}

/// Events a second, and the time below which 99 of 100 were answered.
async fn measure(name: &str, way: Way) -> Result<f64> {
    let next = Arc::new(AtomicU64::new(0));
    let start = Instant::now();
    let mut clients = Vec::new();
    for _ in 0..CLIENTS {
        let (way, next) = (Arc::clone(&way), Arc::clone(&next));
        clients.push(tokio::spawn(async move {
            let mut took = Vec::new();
            while start.elapsed() < SPAN {
                let event = event(next.fetch_add(1, Ordering::Relaxed));
                let asked = Instant::now();
                way(event).await?;
                took.push(asked.elapsed());
            }
            anyhow::Ok(took)
        }));
    }
    let mut took = Vec::new();
    for client in clients {
        took.extend(client.await??);
    }
    let rate = took.len() as f64 / start.elapsed().as_secs_f64();
    took.sort_unstable();
    let p99 = took.get(took.len() * 99 / 100).copied().unwrap_or_default();
    println!("{name:<42} {rate:>8.0} events/s, p99 {p99:>8.1?}");
    Ok(rate)
}

fn grouped(store: Arc<dyn Store>) -> Way {
    Arc::new(move |event| {
        let store = Arc::clone(&store);
        Box::pin(async move {
            ensure!(store.accept(event).await? == Accepted::Stored, "not stored");
            Ok(())
        })
    })
}

macro_rules! one_by_one {
    ($pool:expr) => {{
        let pool = $pool;
        Arc::new(move |new: NewEvent| {
            let pool = pool.clone();
            Box::pin(async move {
                let body = serde_json::to_string(&new.event)?;
                let Payload::Message { message_id, .. } = new.event.payload else {
                    anyhow::bail!("not a message");
                };
                sqlx::query(ONE)
                    .bind(new.event.key.source)
                    .bind(new.event.key.id)
                    .bind("message.created")
                    .bind(new.event.room_id)
                    .bind(new.event.actor.id)
                    .bind(message_id)
                    .bind(body)
                    .bind(new.body_hash)
                    .bind(new.received_at.as_millisecond())
                    .execute(&pool)
                    .await?;
                Ok(())
            }) as Outcome
        }) as Way
    }};
}

async fn on_sqlite() -> Result<()> {
    let fresh = sqlite()?;
    let store = fresh.open().await?;
    let groups = measure("SQLite, the store", grouped(Arc::clone(&store))).await?;
    store.close().await;

    let fresh = sqlite()?;
    fresh.open().await?.close().await;
    let options = SqliteConnectOptions::from_str(&fresh.url)?
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full);
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .connect_with(options)
        .await?;
    let single = measure("SQLite, one commit a request", one_by_one!(pool)).await?;
    println!(
        "SQLite: the store does {:.1} times as many\n",
        groups / single
    );
    Ok(())
}

async fn on_postgres() -> Result<()> {
    let server = PrivatePostgres::start_durable()?;
    let mut opened = store::open(server.url(), &OpenOptions::default()).await;
    let start = Instant::now();
    while opened.is_err() && start.elapsed() < Duration::from_secs(10) {
        tokio::time::sleep(Duration::from_millis(50)).await;
        opened = store::open(server.url(), &OpenOptions::default()).await;
    }
    let store = opened?;
    let groups = measure("PostgreSQL, the store", grouped(Arc::clone(&store))).await?;
    store.close().await;

    let pool = PgPoolOptions::new()
        .max_connections(8)
        .connect(server.url())
        .await?;
    sqlx::query("TRUNCATE inbox").execute(&pool).await?;
    let single = measure(
        "PostgreSQL, one commit a request, pool of 8",
        one_by_one!(pool.clone()),
    )
    .await?;
    pool.close().await;
    println!(
        "PostgreSQL: the store does {:.1} times as many",
        groups / single
    );
    Ok(())
}

#[tokio::main(flavor = "multi_thread", worker_threads = 2)]
async fn main() -> Result<()> {
    on_sqlite().await?;
    on_postgres().await
}
