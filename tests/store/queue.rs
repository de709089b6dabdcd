//! What waits for the coach.

use crate::samples::{ana, any_claim, case, lifter, minute, person, queued, write};
use cueline_bot::record::{Effects, QueueChange, QueueItem, Urgency};
use cueline_bot::store::{Store, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};
use jiff::Timestamp;
use std::sync::Arc;

async fn with_cases(kind: EngineKind, cases: i64) -> (Fresh, Arc<dyn Store>) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let effects = Effects {
        lifter: Some(lifter(ana())),
        cases: (1..=cases).map(case).collect(),
        ..Effects::default()
    };
    write(&*store, "cases", &effects).await;
    (fresh, store)
}

async fn put(store: &dyn Store, id: &str, items: Vec<QueueItem>) {
    let effects = Effects {
        queue: items.into_iter().map(QueueChange::Put).collect(),
        ..Effects::default()
    };
    write(store, id, &effects).await;
}

async fn order(store: &dyn Store, now: Timestamp, aging_hours: u32) -> Vec<i64> {
    let lines = store.queue(now, aging_hours, 99).await.unwrap();
    lines.iter().map(|line| line.case.number).collect()
}

fn take(by: &str, until: i64) -> Effects {
    Effects {
        queue: vec![QueueChange::Take {
            case_id: "case-1".to_owned(),
            by: person(by),
            until: minute(until),
        }],
        ..Effects::default()
    }
}

async fn safety_first_then_promises_then_the_longest_wait_then_the_shortest_job(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind, 8).await;
    let mut promised_late = queued(4, Urgency::Eye, minute(1));
    promised_late.promised = Some(minute(900));
    let mut promised_soon = queued(5, Urgency::Eye, minute(9));
    promised_soon.promised = Some(minute(300));
    let mut quick = queued(7, Urgency::Asked, minute(5));
    quick.minutes = 2;
    let items = vec![
        queued(1, Urgency::Asked, minute(5)),
        queued(2, Urgency::Emergency, minute(30)),
        queued(3, Urgency::Clinician, minute(20)),
        promised_late,
        promised_soon,
        queued(6, Urgency::Eye, minute(2)),
        quick,
        queued(8, Urgency::Asked, minute(4)),
    ];
    put(&*store, "e1", items.clone()).await;
    assert_eq!(
        order(&*store, minute(40), 24).await,
        [2, 3, 5, 4, 6, 8, 7, 1]
    );
    let lines = store.queue(minute(40), 24, 3).await.unwrap();
    assert_eq!(lines.len(), 3);
    assert_eq!(lines[2].item, items[4]);
    assert_eq!(lines[2].lifter_name, "Ana");
    assert_eq!(lines[2].case.id, "case-5");
    assert_eq!(store.depths().await.unwrap().queue, 8);
}

async fn waiting_moves_a_case_up_a_class_a_span_but_never_before_an_emergency(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind, 4).await;
    let hours = |hours: i64| minute(hours * 60);
    let items = vec![
        queued(1, Urgency::Asked, hours(0)),
        queued(2, Urgency::Eye, hours(20)),
        queued(3, Urgency::Clinician, hours(30)),
        queued(4, Urgency::Emergency, hours(47)),
    ];
    put(&*store, "e1", items).await;
    // After 24 hours case 1 (asked) is level with what needs the coach's eye, and older.
    assert_eq!(order(&*store, hours(23), 24).await, [4, 3, 2, 1]);
    assert_eq!(order(&*store, hours(24), 24).await, [4, 3, 1, 2]);
    // Case 2 has waited 24 hours at hour 44 and is then level with clinician words, case 1 at 48;
    // after a year both are still behind the emergency.
    assert_eq!(order(&*store, hours(44), 24).await, [4, 2, 3, 1]);
    assert_eq!(order(&*store, hours(48), 24).await, [4, 1, 2, 3]);
    assert_eq!(order(&*store, hours(24 * 365), 24).await, [4, 1, 2, 3]);
}

async fn putting_a_case_in_again_keeps_its_place_its_promise_and_its_taker(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind, 1).await;
    let mut first = queued(1, Urgency::Asked, minute(10));
    first.promised = Some(minute(100));
    put(&*store, "e1", vec![first.clone()]).await;
    write(&*store, "e2", &take("coach", 60)).await;
    let mut second = queued(1, Urgency::Clinician, minute(50));
    second.promised = Some(minute(200));
    second.minutes = 12;
    put(&*store, "e3", vec![second.clone()]).await;
    let mut expected = second;
    expected.since = minute(10);
    expected.promised = Some(minute(100));
    expected.taken_by = Some(person("coach"));
    expected.taken_until = Some(minute(60));
    let kept = store.queue_item("case-1").await.unwrap();
    assert_eq!(kept.as_ref(), Some(&expected));
    // An earlier promise, or an earlier beginning, counts; no promise takes none away.
    let mut third = queued(1, Urgency::Clinician, minute(5));
    third.promised = Some(minute(90));
    third.minutes = 12;
    put(&*store, "e4", vec![third.clone()]).await;
    third.promised = None;
    put(&*store, "e5", vec![third]).await;
    let kept = store.queue_item("case-1").await.unwrap().unwrap();
    assert_eq!((kept.since, kept.promised), (minute(5), Some(minute(90))));
    assert_eq!(store.depths().await.unwrap().queue, 1);
}

async fn two_coaches_do_not_take_the_same_case(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind, 1).await;
    put(&*store, "e1", vec![queued(1, Urgency::Asked, minute(0))]).await;
    let claim = any_claim(&*store, "e2").await;
    store
        .apply(&claim, &take("carla", 30), minute(0))
        .await
        .unwrap();
    let claim = any_claim(&*store, "e3").await;
    let refused = store.apply(&claim, &take("dario", 40), minute(29)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    // The same coach may prolong; another may take it once the time is over.
    store
        .apply(&claim, &take("carla", 35), minute(29))
        .await
        .unwrap();
    let claim = any_claim(&*store, "e4").await;
    let refused = store.apply(&claim, &take("dario", 50), minute(34)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    store
        .apply(&claim, &take("dario", 50), minute(35))
        .await
        .unwrap();
    let item = store.queue_item("case-1").await.unwrap().unwrap();
    assert_eq!(item.taken_by, Some(person("dario")));
    assert_eq!(item.taken_until, Some(minute(50)));
}

async fn a_case_taken_out_is_gone_and_cannot_be_taken(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind, 1).await;
    put(&*store, "e1", vec![queued(1, Urgency::Asked, minute(0))]).await;
    let remove = Effects {
        queue: vec![QueueChange::Remove {
            case_id: "case-1".to_owned(),
        }],
        ..Effects::default()
    };
    write(&*store, "e2", &remove).await;
    write(&*store, "e3", &remove).await;
    assert_eq!(store.queue_item("case-1").await.unwrap(), None);
    assert!(order(&*store, minute(1), 24).await.is_empty());
    let claim = any_claim(&*store, "e4").await;
    let refused = store.apply(&claim, &take("carla", 30), minute(1)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
}

on_both_engines!(
    safety_first_then_promises_then_the_longest_wait_then_the_shortest_job,
    waiting_moves_a_case_up_a_class_a_span_but_never_before_an_emergency,
    putting_a_case_in_again_keeps_its_place_its_promise_and_its_taker,
    two_coaches_do_not_take_the_same_case,
    a_case_taken_out_is_gone_and_cannot_be_taken,
);
