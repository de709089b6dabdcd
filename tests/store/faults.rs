//! A disk that is full, a file that is locked, a server that drops us.

use crate::samples::{any_claim, batch, message, minute, outgoing};
use cueline_bot::record::{Effects, Purpose};
use cueline_bot::store::{Accepted, OpenOptions, StoreError};
use cueline_tests::databases::{EngineKind, Fresh, postgres, sqlite};
use sqlx::postgres::PgConnection;
use sqlx::sqlite::SqliteConnection;
use sqlx::{Connection, Executor};
use std::time::Duration;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_full_disk_is_unavailable_loses_nothing_acknowledged_and_passes_when_there_is_room() {
    let fresh = sqlite().unwrap();
    fresh.open().await.unwrap().close().await;
    // The own limit of SQLite stands in for the disk: 117 pages of 4 KiB beside the empty tables.
    let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
    let empty: u32 = sqlx::query_scalar("PRAGMA page_count")
        .fetch_one(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
    let options = OpenOptions {
        max_pages: Some(empty + 117),
        ..OpenOptions::default()
    };
    let store = fresh.open_with(&options).await.unwrap();
    // Leased while there is room: a lease makes its row longer, which may take a page.
    let claim = any_claim(&*store, "first").await;
    let mut stored = 1;
    let mut refused = None;
    let words = "w".repeat(3_000);
    for number in 0..200 {
        match store
            .accept(message(
                &format!("e{number}"),
                &format!("r{number}"),
                &words,
            ))
            .await
        {
            Ok(Accepted::Stored) => stored += 1,
            Ok(other) => panic!("{other:?}"),
            Err(error) => {
                refused = Some(error);
                break;
            }
        }
    }
    assert!(
        matches!(refused, Some(StoreError::Unavailable(_))),
        "{refused:?}"
    );
    assert!(stored > 10, "{stored}");
    // A transaction that runs into the full disk is refused whole, again and again, and reading
    // goes on.
    for _ in 0..3 {
        let mut long = outgoing("long", "room", Purpose::Reply);
        long.text = "w".repeat(400_000);
        let effects = Effects {
            outbox: vec![long],
            ..Effects::default()
        };
        let full = store.apply(&claim, &effects, minute(0)).await;
        assert!(matches!(full, Err(StoreError::Unavailable(_))), "{full:?}");
    }
    // The writer is not left in the broken transaction: finishing the event needs no room.
    store
        .apply(&claim, &Effects::default(), minute(0))
        .await
        .unwrap();
    stored -= 1;
    assert_eq!(store.depths().await.unwrap().inbox, stored);
    store.close().await;

    let roomy = fresh.open().await.unwrap();
    assert_eq!(roomy.depths().await.unwrap().inbox, stored);
    let event = message("after", "room", &words);
    assert_eq!(roomy.accept(event).await.unwrap(), Accepted::Stored);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_file_locked_by_another_process_is_unavailable_and_then_works_again() {
    let fresh = sqlite().unwrap();
    let options = OpenOptions {
        busy_timeout: Duration::from_millis(50),
        ..OpenOptions::default()
    };
    let store = fresh.open_with(&options).await.unwrap();
    let claim = any_claim(&*store, "e1").await;
    let mut other = SqliteConnection::connect(&fresh.url).await.unwrap();
    other.execute("BEGIN IMMEDIATE").await.unwrap();
    for attempt in [
        store
            .accept(message("e2", "room", "text"))
            .await
            .map(|_| ()),
        store.apply(&claim, &Effects::default(), minute(0)).await,
        store.reserve_case_number().await.map(|_| ()),
    ] {
        assert!(
            matches!(attempt, Err(StoreError::Unavailable(_))),
            "{attempt:?}"
        );
    }
    store.ping().await.unwrap();
    other.execute("ROLLBACK").await.unwrap();
    let event = message("e2", "room", "text");
    assert_eq!(store.accept(event).await.unwrap(), Accepted::Stored);
    store
        .apply(&claim, &Effects::default(), minute(0))
        .await
        .unwrap();
}

/// Runs a statement past the store.
async fn meddle(fresh: &Fresh, statement: &'static str) {
    match fresh.kind {
        EngineKind::Sqlite => {
            let mut other = SqliteConnection::connect(&fresh.url).await.unwrap();
            other.execute(statement).await.unwrap();
        }
        EngineKind::Postgres => {
            let mut other = PgConnection::connect(&fresh.url).await.unwrap();
            other.execute(statement).await.unwrap();
        }
    }
}

async fn a_row_that_cannot_be_read_is_given_up_and_holds_nothing_back(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    for (id, room) in [("1", "x"), ("2", "x"), ("3", "y")] {
        store.accept(message(id, room, "text")).await.unwrap();
    }
    meddle(&fresh, "UPDATE inbox SET body = '{}' WHERE id = '1'").await;
    let leased = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    assert_eq!(leased.len(), 1);
    assert_eq!(leased[0].item.key.id, "3");
    assert_eq!(store.depths().await.unwrap().dead, 1);
    let next = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    assert_eq!(next[0].item.key.id, "2");

    let effects = Effects {
        outbox: vec![
            outgoing("bad", "x", Purpose::Reply),
            outgoing("good", "y", Purpose::Reply),
        ],
        ..Effects::default()
    };
    store
        .apply(&next[0].claim, &effects, minute(0))
        .await
        .unwrap();
    meddle(
        &fresh,
        "UPDATE outbox SET body = 'no JSON' WHERE key = 'bad'",
    )
    .await;
    let sending = store
        .claim_outgoing(&batch("a", minute(0), 9))
        .await
        .unwrap();
    assert_eq!(sending.len(), 1);
    store
        .give_up(&sending[0].claim, "404", minute(1))
        .await
        .unwrap();
    assert_eq!(store.dead_letters(9).await.unwrap().len(), 1);
    assert_eq!(store.depths().await.unwrap().dead, 3);
}

on_both_engines!(a_row_that_cannot_be_read_is_given_up_and_holds_nothing_back);

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn connections_dropped_by_the_server_are_replaced() {
    let fresh = postgres().await.unwrap();
    let store = fresh.open().await.unwrap();
    store.accept(message("e1", "room", "text")).await.unwrap();
    let mut admin = PgConnection::connect(&fresh.url).await.unwrap();
    admin
        .execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity
             WHERE datname = current_database() AND pid <> pg_backend_pid()",
        )
        .await
        .unwrap();
    // The pool notices by itself; a caller sees at most a passing 'unavailable'.
    let mut outcome = store.accept(message("e2", "room", "text")).await;
    for _ in 0..10 {
        match outcome {
            Err(StoreError::Unavailable(_)) => {
                outcome = store.accept(message("e2", "room", "text")).await;
            }
            _ => break,
        }
    }
    assert!(
        matches!(outcome, Ok(Accepted::Stored | Accepted::Duplicate)),
        "{outcome:?}"
    );
    assert_eq!(store.depths().await.unwrap().inbox, 2);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_statement_that_takes_too_long_is_ended_by_the_server() {
    let fresh = postgres().await.unwrap();
    let options = OpenOptions {
        lock_timeout: Duration::from_millis(100),
        ..OpenOptions::default()
    };
    let store = fresh.open_with(&options).await.unwrap();
    let mut other = PgConnection::connect(&fresh.url).await.unwrap();
    other.execute("BEGIN; LOCK TABLE counters").await.unwrap();
    let refused = store.reserve_case_number().await;
    assert!(
        matches!(refused, Err(StoreError::Unavailable(_))),
        "{refused:?}"
    );
    other.execute("ROLLBACK").await.unwrap();
    assert_eq!(store.reserve_case_number().await.unwrap(), 1);
}
