//! Accepting events.

use crate::samples::{SOURCE, batch, message, minute};
use cueline_bot::store::{Accepted, OpenOptions, Quarantined, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};
use std::collections::BTreeSet;
use std::sync::Arc;

async fn an_event_delivered_twice_is_stored_once(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let event = message("e1", "room", "squat 140 kg x 5");
    assert_eq!(store.accept(event.clone()).await.unwrap(), Accepted::Stored);
    assert_eq!(store.accept(event).await.unwrap(), Accepted::Duplicate);
    assert_eq!(store.depths().await.unwrap().inbox, 1);
}

async fn the_same_id_with_another_body_is_a_conflict_and_changes_nothing(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let first = message("e1", "room", "squat 140 kg x 5");
    store.accept(first.clone()).await.unwrap();
    let other = message("e1", "room", "squat 240 kg x 5");
    assert_eq!(store.accept(other).await.unwrap(), Accepted::Conflict);
    let kept = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].item, first.event);
}

async fn an_event_comes_back_as_it_went_in(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut event = message(
        "e1",
        "Raum \"5\" ' \\ é 深蹲 🏋",
        "\"quoted\" \\ \n tab\t 深蹲 \u{1}",
    );
    event.event.thread_id = Some(String::new());
    event.event.time = "2026-03-02T08:00:00.123456789Z".parse().unwrap();
    store.accept(event.clone()).await.unwrap();
    let kept = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    assert_eq!(kept[0].item, event.event);
    assert_eq!(kept[0].created_at, event.received_at);
    assert_eq!(kept[0].attempts, 1);
}

async fn two_thousand_events_at_once_are_all_stored_once(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut tasks = Vec::new();
    for number in 0..2_000 {
        // Every tenth event comes twice and every hundredth a third time with another body, all at
        // the same moment, so that repeats meet within a group as well as across groups.
        let copies = 1 + usize::from(number % 10 == 0) + usize::from(number % 100 == 0);
        for copy in 0..copies {
            let text = if copy == 2 { "other" } else { "squat 100 x 5" };
            let event = message(
                &format!("e{number}"),
                &format!("room {}", number % 50),
                text,
            );
            let store = Arc::clone(&store);
            tasks.push(tokio::spawn(
                async move { store.accept(event).await.unwrap() },
            ));
        }
    }
    let mut counts = [0_u32; 3];
    for task in tasks {
        counts[match task.await.unwrap() {
            Accepted::Stored => 0,
            Accepted::Duplicate => 1,
            Accepted::Conflict => 2,
        }] += 1;
    }
    assert_eq!(counts[0], 2_000);
    assert_eq!(counts[1] + counts[2], 220);
    assert!(counts[2] >= 20, "{counts:?}");
    assert_eq!(store.depths().await.unwrap().inbox, 2_000);
}

async fn acknowledged_events_are_there_after_closing_and_opening_again(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    for number in 0..20 {
        let event = message(
            &format!("e{number}"),
            &format!("room {number}"),
            "bench 80 x 8",
        );
        store.accept(event).await.unwrap();
    }
    store.close().await;
    let refused = store.accept(message("late", "room", "text")).await;
    assert!(
        matches!(refused, Err(StoreError::Unavailable(_))),
        "{refused:?}"
    );
    let again = fresh.open().await.unwrap();
    let leased = again
        .claim_events(&batch("b", minute(0), 99))
        .await
        .unwrap();
    let ids: BTreeSet<_> = leased.iter().map(|one| one.item.key.id.clone()).collect();
    assert_eq!(ids.len(), 20);
}

async fn more_waiting_events_than_allowed_are_refused_as_unavailable(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let options = OpenOptions {
        waiting: 4,
        group: 1,
        ..OpenOptions::default()
    };
    let store = fresh.open_with(&options).await.unwrap();
    let accepts =
        (0..200).map(|number| store.accept(message(&format!("e{number}"), "room", "text")));
    let outcomes = futures_of(accepts).await;
    let stored = outcomes.iter().filter(|one| one.is_ok()).count();
    let refused = outcomes
        .iter()
        .filter(|one| matches!(one, Err(StoreError::Unavailable(_))))
        .count();
    assert!(
        stored >= 4 && refused >= 100,
        "{stored} stored, {refused} refused"
    );
    assert_eq!(stored + refused, 200);
    let depths = store.depths().await.unwrap();
    assert_eq!(depths.inbox, i64::try_from(stored).unwrap());
}

/// Polls all at once on this task, so that no writer runs in between their first polls' sends.
async fn futures_of<F: Future>(futures: impl Iterator<Item = F>) -> Vec<F::Output> {
    let mut waiting: Vec<_> = futures.map(Box::pin).map(Some).collect();
    let mut outcomes: Vec<Option<F::Output>> = waiting.iter().map(|_| None).collect();
    std::future::poll_fn(|context| {
        let mut open = false;
        for (slot, outcome) in waiting.iter_mut().zip(&mut outcomes) {
            if let Some(future) = slot {
                match future.as_mut().poll(context) {
                    std::task::Poll::Ready(done) => {
                        *outcome = Some(done);
                        *slot = None;
                    }
                    std::task::Poll::Pending => open = true,
                }
            }
        }
        if open {
            std::task::Poll::Pending
        } else {
            std::task::Poll::Ready(())
        }
    })
    .await;
    outcomes.into_iter().map(Option::unwrap).collect()
}

async fn a_row_the_database_refuses_does_not_take_its_neighbours_with_it(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    // PostgreSQL cannot keep a NUL in a text; SQLite can.
    let mut events: Vec<_> = (0..40)
        .map(|number| message(&format!("e{number}"), &format!("room {number}"), "text"))
        .collect();
    events[20].event.room_id = "nul \0 nul".to_owned();
    let outcomes = futures_of(events.into_iter().map(|event| store.accept(event))).await;
    for (number, outcome) in outcomes.iter().enumerate() {
        if number == 20 && kind == EngineKind::Postgres {
            assert!(
                matches!(outcome, Err(StoreError::Unexpected(_))),
                "{outcome:?}"
            );
        } else {
            assert_eq!(
                *outcome.as_ref().unwrap(),
                Accepted::Stored,
                "event {number}"
            );
        }
    }
}

async fn a_body_that_cannot_be_read_is_kept_once(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let body = Quarantined {
        source: SOURCE.to_owned(),
        id: "w1".to_owned(),
        body: "{\"half\":".to_owned(),
        reason: "the JSON ends early".to_owned(),
        received_at: minute(0),
    };
    store.quarantine(body.clone()).await.unwrap();
    store.quarantine(body).await.unwrap();
}

on_both_engines!(
    an_event_delivered_twice_is_stored_once,
    the_same_id_with_another_body_is_a_conflict_and_changes_nothing,
    an_event_comes_back_as_it_went_in,
    two_thousand_events_at_once_are_all_stored_once,
    acknowledged_events_are_there_after_closing_and_opening_again,
    more_waiting_events_than_allowed_are_refused_as_unavailable,
    a_row_the_database_refuses_does_not_take_its_neighbours_with_it,
    a_body_that_cannot_be_read_is_kept_once,
);
