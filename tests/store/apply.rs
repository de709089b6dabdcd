//! Writing what one input changes.

use crate::samples::{
    ana, any_claim, case, lifter, message, minute, outgoing, person, queued, write,
};
use cueline_bot::record::{
    CaseState, Effects, Entry, EntryKind, FollowUpChange, Purpose, QueueChange, Urgency,
};
use cueline_bot::store::StoreError;
use cueline_core::quantity::MassUnit;
use cueline_tests::databases::{EngineKind, Fresh};
use std::collections::BTreeSet;
use std::sync::Arc;

fn entry(text: &str) -> Entry {
    Entry {
        case_id: "case-1".to_owned(),
        at: minute(3),
        kind: EntryKind::Lifter,
        who: "ana".to_owned(),
        message_id: Some("m-1".to_owned()),
        text: text.to_owned(),
    }
}

async fn a_lifter_and_a_case_come_back_as_they_were_written(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut ana_now = lifter(ana());
    ana_now.profile.unit = Some(MassUnit::Lb);
    ana_now.last_reminder = Some(minute(7));
    let mut first = case(1);
    first.body.asked = 2;
    first.body.report.words = Some("my knees \"cave\" – a bit".to_owned());
    let effects = Effects {
        lifter: Some(ana_now.clone()),
        cases: vec![first.clone()],
        entries: vec![entry("first"), entry("second"), entry("third")],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;

    ana_now.version = 1;
    first.version = 1;
    assert_eq!(store.lifter(&ana()).await.unwrap(), Some(ana_now));
    assert_eq!(store.lifter(&person("ben")).await.unwrap(), None);
    assert_eq!(store.case("case-1").await.unwrap(), Some(first.clone()));
    assert_eq!(store.case_by_number(1).await.unwrap(), Some(first));
    assert_eq!(store.case_by_number(2).await.unwrap(), None);
    let newest = store.entries("case-1", 2).await.unwrap();
    assert_eq!(newest, [entry("second"), entry("third")]);
}

async fn a_lifter_s_cases_come_newest_first(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut other = case(3);
    other.person = person("ben");
    let effects = Effects {
        cases: vec![case(1), case(2), other, case(4)],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let numbers = |cases: Vec<cueline_bot::record::Case>| {
        cases
            .into_iter()
            .map(|case| case.number)
            .collect::<Vec<_>>()
    };
    assert_eq!(numbers(store.cases_of(&ana(), 9).await.unwrap()), [4, 2, 1]);
    assert_eq!(numbers(store.cases_of(&ana(), 2).await.unwrap()), [4, 2]);
}

async fn a_case_changed_meanwhile_is_refused_and_nothing_at_all_is_written(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let open = Effects {
        lifter: Some(lifter(ana())),
        cases: vec![case(1)],
        ..Effects::default()
    };
    write(&*store, "e1", &open).await;

    let read = store.case("case-1").await.unwrap().unwrap();
    let mut changed = read.clone();
    changed.state = CaseState::Halted;
    let halt = Effects {
        cases: vec![changed],
        ..Effects::default()
    };
    write(&*store, "e2", &halt).await;

    // Everything before and after the stale case in this bundle must vanish with it.
    let claim = any_claim(&*store, "e3").await;
    let mut stale = read;
    stale.state = CaseState::Mended;
    let mut known = store.lifter(&ana()).await.unwrap().unwrap();
    known.display_name = "Ana B.".to_owned();
    let bundle = Effects {
        lifter: Some(known),
        cases: vec![case(2), stale],
        entries: vec![entry("lost")],
        queue: vec![QueueChange::Put(queued(2, Urgency::Asked, minute(0)))],
        outbox: vec![outgoing("lost", "room", Purpose::Reply)],
        ..Effects::default()
    };
    let refused = store.apply(&claim, &bundle, minute(1)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    let kept = store.case("case-1").await.unwrap().unwrap();
    assert_eq!((kept.state, kept.version), (CaseState::Halted, 2));
    assert_eq!(store.case("case-2").await.unwrap(), None);
    assert_eq!(
        store.lifter(&ana()).await.unwrap().unwrap().display_name,
        "Ana"
    );
    assert!(store.entries("case-1", 9).await.unwrap().is_empty());
    let depths = store.depths().await.unwrap();
    assert_eq!((depths.inbox, depths.outbox, depths.queue), (1, 0, 0));

    // The event is still held, and deciding again on what is there now succeeds.
    let again = Effects {
        cases: vec![kept],
        ..Effects::default()
    };
    store.apply(&claim, &again, minute(1)).await.unwrap();
    assert_eq!(store.depths().await.unwrap().inbox, 0);
}

async fn a_lifter_changed_meanwhile_is_refused(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let first = Effects {
        lifter: Some(lifter(ana())),
        ..Effects::default()
    };
    write(&*store, "e1", &first).await;
    // Somebody who also thought the lifter new.
    let claim = any_claim(&*store, "e2").await;
    let refused = store.apply(&claim, &first, minute(1)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    let mut stop = store.lifter(&ana()).await.unwrap().unwrap();
    stop.reminders = false;
    let stop = Effects {
        lifter: Some(stop),
        ..Effects::default()
    };
    store.apply(&claim, &stop, minute(1)).await.unwrap();
    let kept = store.lifter(&ana()).await.unwrap().unwrap();
    assert_eq!((kept.reminders, kept.version), (false, 2));
    let claim = any_claim(&*store, "e3").await;
    let stale = store.apply(&claim, &stop, minute(1)).await;
    assert!(matches!(stale, Err(StoreError::Conflict(_))), "{stale:?}");
}

async fn a_case_id_or_number_is_never_given_twice(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let open = Effects {
        cases: vec![case(1)],
        ..Effects::default()
    };
    write(&*store, "e1", &open).await;
    let claim = any_claim(&*store, "e2").await;
    let mut same_number = case(1);
    same_number.id = "another".to_owned();
    let mut same_id = case(2);
    same_id.id = "case-1".to_owned();
    for twice in [same_number, same_id] {
        let effects = Effects {
            cases: vec![twice],
            ..Effects::default()
        };
        let refused = store.apply(&claim, &effects, minute(1)).await;
        assert!(
            matches!(refused, Err(StoreError::Conflict(_))),
            "{refused:?}"
        );
    }
}

async fn case_numbers_never_repeat_even_when_many_ask_at_once(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let stores = [fresh.open().await.unwrap(), fresh.open().await.unwrap()];
    let mut tasks = Vec::new();
    for number in 0..200 {
        let store = Arc::clone(&stores[number % 2]);
        tasks.push(tokio::spawn(async move {
            store.reserve_case_number().await.unwrap()
        }));
    }
    let mut numbers = BTreeSet::new();
    for task in tasks {
        assert!(numbers.insert(task.await.unwrap()));
    }
    assert_eq!(numbers.first(), Some(&1));
}

async fn two_writers_of_one_case_at_once_end_with_one_change_and_one_refusal(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let stores = [fresh.open().await.unwrap(), fresh.open().await.unwrap()];
    let open = Effects {
        cases: vec![case(1)],
        ..Effects::default()
    };
    write(&*stores[0], "e1", &open).await;
    for round in 0..10 {
        let read = stores[0].case("case-1").await.unwrap().unwrap();
        let change = Effects {
            cases: vec![read],
            ..Effects::default()
        };
        let first = any_claim(&*stores[0], &format!("first {round}")).await;
        let second = any_claim(&*stores[0], &format!("second {round}")).await;
        let (one, two) = tokio::join!(
            stores[0].apply(&first, &change, minute(1)),
            stores[1].apply(&second, &change, minute(1)),
        );
        let (won, lost) = if one.is_ok() { (one, two) } else { (two, one) };
        assert!(won.is_ok(), "{won:?}");
        assert!(matches!(lost, Err(StoreError::Conflict(_))), "{lost:?}");
        // Nothing of the refused one is left, its event included.
        assert_eq!(stores[1].depths().await.unwrap().inbox, 1);
        let loser = stores[0].release_all("a").await;
        assert!(loser.is_ok());
        let left = stores[0]
            .claim_events(&crate::samples::batch("a", minute(0), 9))
            .await
            .unwrap();
        stores[0]
            .apply(&left[0].claim, &Effects::default(), minute(1))
            .await
            .unwrap();
    }
    assert_eq!(stores[0].case("case-1").await.unwrap().unwrap().version, 11);
}

async fn effects_for_a_case_that_is_not_there_are_refused_whole(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    store.accept(message("e1", "room", "text")).await.unwrap();
    let claim = any_claim(&*store, "e2").await;
    for effects in [
        Effects {
            entries: vec![entry("of nothing")],
            ..Effects::default()
        },
        Effects {
            follow_ups: vec![FollowUpChange::Open(crate::samples::reminder(
                "f",
                1,
                minute(1),
            ))],
            ..Effects::default()
        },
    ] {
        let refused = store.apply(&claim, &effects, minute(1)).await;
        assert!(
            matches!(refused, Err(StoreError::Unexpected(_))),
            "{refused:?}"
        );
    }
    assert_eq!(store.depths().await.unwrap().inbox, 2);
}

on_both_engines!(
    a_lifter_and_a_case_come_back_as_they_were_written,
    a_lifter_s_cases_come_newest_first,
    a_case_changed_meanwhile_is_refused_and_nothing_at_all_is_written,
    a_lifter_changed_meanwhile_is_refused,
    a_case_id_or_number_is_never_given_twice,
    case_numbers_never_repeat_even_when_many_ask_at_once,
    two_writers_of_one_case_at_once_end_with_one_change_and_one_refusal,
    effects_for_a_case_that_is_not_there_are_refused_whole,
);
