//! Dated asks.

use crate::samples::{ana, batch, case, minute, person, reminder, write};
use cueline_bot::record::{Effects, FollowUp, FollowUpChange};
use cueline_bot::store::{Leased, Store, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};

async fn open(store: &dyn Store, id: &str, follow_ups: Vec<FollowUp>) {
    let effects = Effects {
        follow_ups: follow_ups.into_iter().map(FollowUpChange::Open).collect(),
        ..Effects::default()
    };
    write(store, id, &effects).await;
}

async fn with_cases(kind: EngineKind) -> (Fresh, std::sync::Arc<dyn Store>) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut of_ben = case(2);
    of_ben.person = person("ben");
    let effects = Effects {
        cases: vec![case(1), of_ben],
        ..Effects::default()
    };
    write(&*store, "cases", &effects).await;
    (fresh, store)
}

async fn due(store: &dyn Store, minutes: i64) -> Vec<Leased<FollowUp>> {
    store
        .claim_follow_ups(&batch("a", minute(minutes), 9))
        .await
        .unwrap()
}

fn ids(leased: &[Leased<FollowUp>]) -> Vec<&str> {
    leased.iter().map(|one| one.item.id.as_str()).collect()
}

async fn asks_come_when_they_are_due_earliest_first(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let late = reminder("late", 1, minute(20));
    let early = reminder("early", 1, minute(10));
    let future = reminder("future", 1, minute(90));
    open(&*store, "e1", vec![late.clone(), early.clone(), future]).await;
    assert!(due(&*store, 9).await.is_empty());
    let leased = due(&*store, 30).await;
    assert_eq!(ids(&leased), ["early", "late"]);
    assert_eq!(leased[0].item, early);
    assert_eq!(store.depths().await.unwrap().follow_ups, 3);
    store
        .apply(&leased[0].claim, &Effects::default(), minute(31))
        .await
        .unwrap();
    let twice = store
        .apply(&leased[0].claim, &Effects::default(), minute(31))
        .await;
    assert!(matches!(twice, Err(StoreError::Stale(_))), "{twice:?}");
    assert_eq!(store.depths().await.unwrap().follow_ups, 2);
    // The other one's holder died: taken over when the lease is out.
    assert_eq!(ids(&due(&*store, 41).await), ["late"]);
}

async fn opening_the_same_ask_again_changes_nothing(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    open(&*store, "e1", vec![reminder("f", 1, minute(10))]).await;
    open(&*store, "e2", vec![reminder("f", 1, minute(50))]).await;
    let leased = due(&*store, 10).await;
    assert_eq!(leased[0].item.due_at, minute(10));
    store
        .apply(&leased[0].claim, &Effects::default(), minute(11))
        .await
        .unwrap();
    open(&*store, "e3", vec![reminder("f", 1, minute(10))]).await;
    assert!(due(&*store, 90).await.is_empty());
}

async fn an_ask_put_off_keeps_its_due_date_and_comes_at_the_new_time(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    open(&*store, "e1", vec![reminder("f", 1, minute(10))]).await;
    let leased = due(&*store, 10).await;
    store
        .retry_at(&leased[0].claim, minute(600), "quiet hours")
        .await
        .unwrap();
    assert!(due(&*store, 599).await.is_empty());
    let again = due(&*store, 600).await;
    assert_eq!((again[0].item.due_at, again[0].attempts), (minute(10), 2));
    store
        .give_up(&again[0].claim, "gone", minute(601))
        .await
        .unwrap();
    assert_eq!(store.depths().await.unwrap().dead, 1);
}

async fn cancelling_a_case_or_a_person_ends_their_open_asks_only(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let mut of_ben = reminder("ben", 2, minute(10));
    of_ben.person = person("ben");
    open(&*store, "e1", vec![reminder("one", 1, minute(10)), of_ben]).await;
    let held = due(&*store, 10).await;
    let of_case = Effects {
        follow_ups: vec![
            FollowUpChange::CancelCase {
                case_id: "case-1".to_owned(),
            },
            FollowUpChange::Open(reminder("two", 1, minute(12))),
        ],
        ..Effects::default()
    };
    write(&*store, "e2", &of_case).await;
    // The one under way was called off: its holder is told.
    let off = held.iter().find(|one| one.item.id == "one").unwrap();
    let refused = store
        .apply(&off.claim, &Effects::default(), minute(11))
        .await;
    assert!(matches!(refused, Err(StoreError::Stale(_))), "{refused:?}");
    assert_eq!(ids(&due(&*store, 30).await), ["ben", "two"]);
    let of_person = Effects {
        follow_ups: vec![FollowUpChange::CancelPerson { person: ana() }],
        ..Effects::default()
    };
    write(&*store, "e3", &of_person).await;
    assert_eq!(ids(&due(&*store, 60).await), ["ben"]);
}

on_both_engines!(
    asks_come_when_they_are_due_earliest_first,
    opening_the_same_ask_again_changes_nothing,
    an_ask_put_off_keeps_its_due_date_and_comes_at_the_new_time,
    cancelling_a_case_or_a_person_ends_their_open_asks_only,
);
