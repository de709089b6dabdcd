//! Leasing events.

use crate::samples::{batch, message, minute};
use cueline_bot::record::Effects;
use cueline_bot::store::{Claim, Leased, Store, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};
use std::collections::BTreeSet;

fn ids<T>(leased: &[Leased<T>]) -> Vec<String> {
    leased
        .iter()
        .map(|one| match &one.claim {
            Claim::Event { key, .. } => key.id.clone(),
            Claim::FollowUp { id, .. } => id.clone(),
            Claim::Outgoing { key, .. } => key.clone(),
            Claim::Challenge { number, .. } => number.to_string(),
        })
        .collect()
}

async fn accept_all(store: &dyn Store, events: &[(&str, &str)]) {
    for (id, room) in events {
        store
            .accept(message(id, room, "deadlift 180 x 3"))
            .await
            .unwrap();
    }
}

async fn rooms_go_side_by_side_and_each_room_in_order(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(
        &*store,
        &[("1", "x"), ("2", "x"), ("3", "y"), ("4", "x"), ("5", "z")],
    )
    .await;
    let first = store
        .claim_events(&batch("a", minute(0), 10))
        .await
        .unwrap();
    assert_eq!(ids(&first), ["1", "3", "5"]);
    // Nothing more while the earlier one of room x is unfinished.
    assert!(
        store
            .claim_events(&batch("b", minute(1), 10))
            .await
            .unwrap()
            .is_empty()
    );
    store
        .apply(&first[0].claim, &Effects::default(), minute(1))
        .await
        .unwrap();
    let next = store
        .claim_events(&batch("b", minute(1), 10))
        .await
        .unwrap();
    assert_eq!(ids(&next), ["2"]);
}

async fn a_claim_takes_no_more_than_its_limit_oldest_first(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "a"), ("2", "b"), ("3", "c"), ("4", "d")]).await;
    let first = store.claim_events(&batch("a", minute(0), 2)).await.unwrap();
    assert_eq!(ids(&first), ["1", "2"]);
    let second = store.claim_events(&batch("b", minute(0), 9)).await.unwrap();
    assert_eq!(ids(&second), ["3", "4"]);
}

async fn a_dead_instance_s_lease_is_taken_over_and_its_late_writes_are_refused(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "x")]).await;
    let dead = store
        .claim_events(&batch("a", minute(0), 1))
        .await
        .unwrap()
        .remove(0);
    assert!(
        store
            .claim_events(&batch("b", minute(9), 1))
            .await
            .unwrap()
            .is_empty()
    );
    let heir = store
        .claim_events(&batch("b", minute(11), 1))
        .await
        .unwrap()
        .remove(0);
    assert_eq!((dead.attempts, heir.attempts), (1, 2));
    for late in [
        store
            .apply(&dead.claim, &Effects::default(), minute(12))
            .await,
        store.extend(&dead.claim, minute(30)).await,
        store.retry_at(&dead.claim, minute(12), "late").await,
        store.give_up(&dead.claim, "late", minute(12)).await,
    ] {
        assert!(matches!(late, Err(StoreError::Stale(_))), "{late:?}");
    }
    store
        .apply(&heir.claim, &Effects::default(), minute(12))
        .await
        .unwrap();
    let twice = store
        .apply(&heir.claim, &Effects::default(), minute(12))
        .await;
    assert!(matches!(twice, Err(StoreError::Stale(_))), "{twice:?}");
    assert_eq!(store.depths().await.unwrap().inbox, 0);
}

async fn an_extended_lease_is_not_taken_over(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "x")]).await;
    let held = store
        .claim_events(&batch("a", minute(0), 1))
        .await
        .unwrap()
        .remove(0);
    store.extend(&held.claim, minute(20)).await.unwrap();
    assert!(
        store
            .claim_events(&batch("b", minute(15), 1))
            .await
            .unwrap()
            .is_empty()
    );
    assert_eq!(
        store
            .claim_events(&batch("b", minute(20), 1))
            .await
            .unwrap()
            .len(),
        1
    );
}

async fn an_event_given_back_waits_for_its_time_and_its_room_waits_with_it(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "x"), ("2", "x")]).await;
    let held = store
        .claim_events(&batch("a", minute(0), 9))
        .await
        .unwrap()
        .remove(0);
    store
        .retry_at(&held.claim, minute(5), "try later")
        .await
        .unwrap();
    assert!(
        store
            .claim_events(&batch("a", minute(4), 9))
            .await
            .unwrap()
            .is_empty()
    );
    let again = store.claim_events(&batch("a", minute(5), 9)).await.unwrap();
    assert_eq!(ids(&again), ["1"]);
    assert_eq!(again[0].attempts, 2);
}

async fn an_event_given_up_is_counted_and_frees_its_room(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "x"), ("2", "x")]).await;
    let held = store
        .claim_events(&batch("a", minute(0), 9))
        .await
        .unwrap()
        .remove(0);
    store
        .give_up(&held.claim, "five claims", minute(1))
        .await
        .unwrap();
    let depths = store.depths().await.unwrap();
    assert_eq!((depths.inbox, depths.dead), (1, 1));
    let next = store.claim_events(&batch("a", minute(1), 9)).await.unwrap();
    assert_eq!(ids(&next), ["2"]);
}

async fn a_graceful_stop_frees_the_leases_of_that_instance_only(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    accept_all(&*store, &[("1", "a"), ("2", "b")]).await;
    store
        .claim_events(&batch("stopping", minute(0), 1))
        .await
        .unwrap();
    store
        .claim_events(&batch("staying", minute(0), 1))
        .await
        .unwrap();
    store.release_all("stopping").await.unwrap();
    let free = store.claim_events(&batch("c", minute(1), 9)).await.unwrap();
    assert_eq!(ids(&free), ["1"]);
}

async fn two_instances_share_the_work_without_doing_any_twice(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let stores = [fresh.open().await.unwrap(), fresh.open().await.unwrap()];
    for number in 0..120 {
        let event = message(
            &format!("e{number:03}"),
            &format!("room {}", number % 10),
            "text",
        );
        stores[number % 2].accept(event).await.unwrap();
    }
    let mut workers = Vec::new();
    for (index, store) in stores.into_iter().enumerate() {
        workers.push(tokio::spawn(async move {
            let owner = format!("instance {index}");
            let mut done: Vec<(String, String)> = Vec::new();
            while store.depths().await.unwrap().inbox > 0 {
                for leased in store
                    .claim_events(&batch(&owner, minute(0), 4))
                    .await
                    .unwrap()
                {
                    store
                        .apply(&leased.claim, &Effects::default(), minute(0))
                        .await
                        .unwrap();
                    done.push((leased.item.room_id.clone(), leased.item.key.id.clone()));
                }
                tokio::task::yield_now().await;
            }
            done
        }));
    }
    let mut all = Vec::new();
    for worker in workers {
        let done = worker.await.unwrap();
        for room in 0..10 {
            let room = format!("room {room}");
            let in_room: Vec<_> = done.iter().filter(|one| one.0 == room).collect();
            assert!(in_room.is_sorted(), "{in_room:?}");
        }
        all.extend(done);
    }
    assert_eq!(all.len(), 120);
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), 120);
}

on_both_engines!(
    rooms_go_side_by_side_and_each_room_in_order,
    a_claim_takes_no_more_than_its_limit_oldest_first,
    a_dead_instance_s_lease_is_taken_over_and_its_late_writes_are_refused,
    an_extended_lease_is_not_taken_over,
    an_event_given_back_waits_for_its_time_and_its_room_waits_with_it,
    an_event_given_up_is_counted_and_frees_its_room,
    a_graceful_stop_frees_the_leases_of_that_instance_only,
    two_instances_share_the_work_without_doing_any_twice,
);
