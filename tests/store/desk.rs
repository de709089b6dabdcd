//! The coach's desk: links, sessions, the access log, and the lists of one platform.

use crate::samples::{SOURCE, any_claim, case, lifter, minute, outgoing, person, queued, write};
use crate::schema::count;
use cueline_bot::record::{
    Access, Effects, Outcome, PersonKey, Purpose, QueueChange, SignInLink, TooOld, Urgency,
};
use cueline_bot::store::{Ageing, Store};
use cueline_tests::databases::{EngineKind, Fresh};
use jiff::{SignedDuration, Timestamp};
use sqlx::{Connection as _, Executor as _, PgConnection, SqliteConnection};
use std::sync::Arc;

const OTHER: &str = "/chat/other";

async fn open(kind: EngineKind) -> (Fresh, Arc<dyn Store>) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    (fresh, store)
}

fn link(hash: &str, by: &str, created_at: Timestamp) -> SignInLink {
    SignInLink {
        hash: hash.to_owned(),
        person: person(by),
        created_at,
        expires_at: created_at + SignedDuration::from_mins(10),
    }
}

async fn enter(store: &dyn Store, hash: &str, session: &str, at: Timestamp) -> Option<PersonKey> {
    let ends_at = at + SignedDuration::from_hours(12);
    store.sign_in(hash, session, at, ends_at).await.unwrap()
}

async fn a_link_works_once_within_its_time_and_until_a_newer_one(kind: EngineKind) {
    let (_fresh, store) = open(kind).await;
    store
        .put_sign_in(&link("old", "carla", minute(0)))
        .await
        .unwrap();
    store
        .put_sign_in(&link("dario's", "dario", minute(0)))
        .await
        .unwrap();
    store
        .put_sign_in(&link("new", "carla", minute(1)))
        .await
        .unwrap();
    assert_eq!(enter(&*store, "old", "s1", minute(2)).await, None);
    assert_eq!(enter(&*store, "unknown", "s1", minute(2)).await, None);
    assert_eq!(store.session("s1").await.unwrap(), None);
    let carla = Some(person("carla"));
    assert_eq!(enter(&*store, "new", "s1", minute(2)).await, carla);
    assert_eq!(enter(&*store, "new", "s2", minute(2)).await, None);
    // Ten minutes are over at the tenth, not after it.
    assert_eq!(enter(&*store, "dario's", "s3", minute(10)).await, None);
    let carla = person("carla");
    assert_eq!(store.sign_ins_since(&carla, minute(-1)).await.unwrap(), 2);
    assert_eq!(store.sign_ins_since(&carla, minute(0)).await.unwrap(), 1);
}

async fn of_two_at_the_same_time_one_link_lets_one_in(kind: EngineKind) {
    let (_fresh, store) = open(kind).await;
    store
        .put_sign_in(&link("once", "carla", minute(0)))
        .await
        .unwrap();
    let (one, two) = tokio::join!(
        enter(&*store, "once", "s1", minute(1)),
        enter(&*store, "once", "s2", minute(1))
    );
    assert_eq!([one, two].into_iter().flatten().count(), 1);
}

async fn a_session_is_noted_kept_and_ended(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    store
        .put_sign_in(&link("l1", "carla", minute(0)))
        .await
        .unwrap();
    enter(&*store, "l1", "s1", minute(1)).await.unwrap();
    let session = store.session("s1").await.unwrap().unwrap();
    assert_eq!(session.person, person("carla"));
    assert_eq!(
        (session.created_at, session.seen_at),
        (minute(1), minute(1))
    );
    assert_eq!(session.ends_at, minute(1 + 12 * 60));
    store.session_seen("s1", minute(5)).await.unwrap();
    // A clock that lies behind takes nothing back.
    store.session_seen("s1", minute(3)).await.unwrap();
    assert_eq!(
        store.session("s1").await.unwrap().unwrap().seen_at,
        minute(5)
    );
    let log = store.access_log(None, 9).await.unwrap();
    assert_eq!(log.len(), 1);
    assert_eq!(
        (log[0].what.as_str(), &log[0].person),
        ("signed-in", &person("carla"))
    );
    store.end_session("s1").await.unwrap();
    assert_eq!(store.session("s1").await.unwrap(), None);
    // What is over is cleared away when somebody signs in later.
    store
        .put_sign_in(&link("l2", "carla", minute(2)))
        .await
        .unwrap();
    enter(&*store, "l2", "s2", minute(3)).await.unwrap();
    let next_day = minute(30 + 24 * 60);
    store
        .put_sign_in(&link("l3", "carla", next_day))
        .await
        .unwrap();
    enter(&*store, "l3", "s3", next_day).await.unwrap();
    assert_eq!(count(&fresh, "sessions").await, 1);
    assert_eq!(count(&fresh, "sign_in_links").await, 1);
}

fn seen(what: &str, case_id: Option<&str>, at: i64) -> Access {
    Access {
        at: minute(at),
        person: person("carla"),
        what: what.to_owned(),
        case_id: case_id.map(str::to_owned),
        number: None,
        action_id: None,
        outcome: None,
    }
}

async fn what_was_seen_is_kept_in_order_and_by_case(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    let effects = Effects {
        cases: vec![case(1), case(2)],
        ..Effects::default()
    };
    write(&*store, "cases", &effects).await;
    for access in [
        seen("queue", None, 1),
        seen("case", Some("case-1"), 2),
        seen("case", Some("case-2"), 3),
        seen("case", Some("case-9"), 4),
    ] {
        store.note_access(&access).await.unwrap();
    }
    let log = store.access_log(None, 3).await.unwrap();
    let numbers: Vec<_> = log.iter().map(|access| access.number).collect();
    // A case that is not kept any more has no number.
    assert_eq!(numbers, [None, Some(2), Some(1)]);
    let log = store.access_log(Some("case-1"), 9).await.unwrap();
    assert_eq!(log.len(), 1);
    assert_eq!(log[0].at, minute(2));
    assert_eq!(count(&fresh, "access_log").await, 4);
}

async fn an_action_is_noted_with_what_it_changed_and_once(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    let effects = |text: &str| Effects {
        outcome: Some(Outcome {
            person: person("carla"),
            action_id: "form-1".to_owned(),
            what: "say".to_owned(),
            case_id: Some("case-1".to_owned()),
            text: text.to_owned(),
        }),
        ..Effects::default()
    };
    assert_eq!(store.action(SOURCE, "form-1").await.unwrap(), None);
    // Effects that cannot be written leave no line.
    let claim = any_claim(&*store, "e1").await;
    let mut stale = case(1);
    stale.version = 7;
    let refused = Effects {
        cases: vec![stale],
        ..effects("never")
    };
    assert!(store.apply(&claim, &refused, minute(1)).await.is_err());
    assert_eq!(store.action(SOURCE, "form-1").await.unwrap(), None);
    store
        .apply(&claim, &effects("Sent."), minute(2))
        .await
        .unwrap();
    write(&*store, "e2", &effects("Sent again.")).await;
    let action = store.action(SOURCE, "form-1").await.unwrap().unwrap();
    assert_eq!(action.outcome.as_deref(), Some("Sent."));
    assert_eq!((action.what.as_str(), action.at), ("say", minute(2)));
    assert_eq!(store.action(OTHER, "form-1").await.unwrap(), None);
    assert_eq!(count(&fresh, "access_log").await, 1);
}

/// Cases 1 to 6, the even ones on another platform; all of them wait.
async fn two_platforms(store: &dyn Store) {
    let mut cases: Vec<_> = (1..=6).map(case).collect();
    for case in cases.iter_mut().filter(|case| case.number % 2 == 0) {
        OTHER.clone_into(&mut case.person.source);
    }
    let put = |number: i64| {
        let urgency = if number <= 2 {
            Urgency::Asked
        } else {
            Urgency::Eye
        };
        let mut item = queued(number, urgency, minute(number));
        item.promised = (number == 5).then(|| minute(20));
        QueueChange::Put(item)
    };
    let effects = Effects {
        lifter: Some(lifter(person("ana"))),
        cases,
        queue: (1..=6).map(put).collect(),
        ..Effects::default()
    };
    write(store, "all", &effects).await;
}

async fn the_lists_of_a_platform_hold_its_own_cases_in_the_queue_s_order(kind: EngineKind) {
    let (_fresh, store) = open(kind).await;
    two_platforms(&*store).await;
    let now = minute(30);
    let whole = store.queue(now, 24, 99).await.unwrap();
    for source in [SOURCE, OTHER] {
        let own: Vec<i64> = whole
            .iter()
            .filter(|line| line.case.person.source == source)
            .map(|line| line.case.number)
            .collect();
        let mut paged = Vec::new();
        for first in 0..4 {
            let page = store.desk_queue(source, now, 24, first, 1).await.unwrap();
            paged.extend(page.iter().map(|line| line.case.number));
        }
        assert_eq!(paged, own, "{source}");
        let at_once = store.desk_queue(source, now, 24, 0, 99).await.unwrap();
        let at_once: Vec<i64> = at_once.iter().map(|line| line.case.number).collect();
        assert_eq!(at_once, own, "{source}");
    }
    let line = &store.desk_queue(SOURCE, now, 24, 0, 1).await.unwrap()[0];
    assert_eq!((line.case.number, line.lifter_name.as_str()), (5, "Ana"));
    let counts = store.queue_counts(SOURCE, now).await.unwrap();
    let counts: Vec<_> = counts
        .iter()
        .map(|count| (count.urgency, count.number, count.overdue))
        .collect();
    assert_eq!(counts, [(Urgency::Eye, 2, 1), (Urgency::Asked, 1, 0)]);
    let numbers = async |source: &str, below: i64, limit: u32| -> Vec<i64> {
        let lines = store.recent_cases(source, below, limit).await.unwrap();
        lines.iter().map(|line| line.case.number).collect()
    };
    assert_eq!(numbers(SOURCE, i64::MAX, 2).await, [5, 3]);
    assert_eq!(numbers(SOURCE, 3, 2).await, [1]);
    assert_eq!(numbers(OTHER, i64::MAX, 9).await, [6, 4, 2]);
}

async fn a_line_written_by_a_program_of_before_is_in_the_lists_of_its_platform(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    two_platforms(&*store).await;
    let now = minute(30);
    let lists = async || {
        let lines = store.desk_queue(SOURCE, now, 24, 0, 99).await.unwrap();
        let numbers: Vec<i64> = lines.iter().map(|line| line.case.number).collect();
        let counts = store.queue_counts(SOURCE, now).await.unwrap();
        let counted: i64 = counts.iter().map(|count| count.number).sum();
        (numbers, counted)
    };
    let before = lists().await;
    assert_eq!(before.1, 3);
    // As migrations leave it for such a program: it does not know of the column.
    let old = "UPDATE queue SET source = ''";
    match kind {
        EngineKind::Sqlite => {
            let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
            connection.execute(old).await.unwrap();
        }
        EngineKind::Postgres => {
            let mut connection = PgConnection::connect(&fresh.url).await.unwrap();
            connection.execute(old).await.unwrap();
        }
    }
    assert_eq!(lists().await, before);
}

async fn dead_letters_of_a_platform_are_its_own(kind: EngineKind) {
    let (_fresh, store) = open(kind).await;
    let mut abroad = outgoing("k2", "room", Purpose::Reply);
    OTHER.clone_into(&mut abroad.source);
    let effects = Effects {
        outbox: vec![outgoing("k1", "room", Purpose::Reply), abroad],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let batch = crate::samples::batch("a", minute(1), 9);
    for leased in store.claim_outgoing(&batch).await.unwrap() {
        store
            .give_up(&leased.claim, "gone", minute(2))
            .await
            .unwrap();
    }
    let own = store.dead_letters_of(SOURCE, 9).await.unwrap();
    assert_eq!(own.len(), 1);
    assert_eq!(own[0].message.key, "k1");
}

async fn a_message_sent_with_a_secret_in_it_is_kept_without(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    let effects = Effects {
        outbox: vec![outgoing("k1", "room", Purpose::Reply)],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let batch = crate::samples::batch("a", minute(1), 9);
    let leased = store.claim_outgoing(&batch).await.unwrap().remove(0);
    let mut kept = leased.item.clone();
    "(gone)".clone_into(&mut kept.text);
    let sent = store.mark_sent_as(&leased.claim, "m-9", &kept, minute(2));
    sent.await.unwrap();
    let found = store.sent_message(SOURCE, "m-9").await.unwrap();
    assert_eq!(found, Some(kept.clone()));
    assert_eq!(
        count(&fresh, "outbox WHERE body LIKE '%text of k1%'").await,
        0
    );
    // Whoever lost the lease writes nothing.
    let again = store.mark_sent_as(&leased.claim, "m-10", &kept, minute(3));
    assert!(again.await.is_err());
}

async fn the_log_of_a_platform_is_read_page_by_page(kind: EngineKind) {
    let (_fresh, store) = open(kind).await;
    let effects = Effects {
        cases: vec![case(1)],
        ..Effects::default()
    };
    write(&*store, "cases", &effects).await;
    for at in 1..=5 {
        let case_id = (at == 3).then_some("case-1");
        store.note_access(&seen("case", case_id, at)).await.unwrap();
        let mut other = seen("queue", None, at);
        OTHER.clone_into(&mut other.person.source);
        store.note_access(&other).await.unwrap();
    }
    let first = store.access_page(SOURCE, i64::MAX, 3).await.unwrap();
    let at = |page: &[(i64, Access)]| page.iter().map(|(_, one)| one.at).collect::<Vec<_>>();
    assert_eq!(at(&first), [minute(5), minute(4), minute(3)]);
    assert_eq!(first[2].1.number, Some(1));
    let below = first[2].0;
    let second = store.access_page(SOURCE, below, 3).await.unwrap();
    assert_eq!(at(&second), [minute(2), minute(1)]);
    let everything: Vec<_> = first.iter().chain(&second).collect();
    assert!(
        everything
            .iter()
            .all(|(_, one)| one.person.source == SOURCE)
    );
}

async fn links_and_sessions_that_are_over_are_cleared_every_day(kind: EngineKind) {
    let (fresh, store) = open(kind).await;
    for number in 0..5 {
        let (hash, session) = (format!("l{number}"), format!("s{number}"));
        store
            .put_sign_in(&link(&hash, &format!("coach-{number}"), minute(number)))
            .await
            .unwrap();
        enter(&*store, &hash, &session, minute(number + 1))
            .await
            .unwrap();
    }
    let clean = async |at: i64| {
        let (privacy, now) = (store.privacy(), minute(at));
        let too_old = TooOld {
            files: now,
            pictures: now,
            words: now,
            flags: now,
            figures: now,
            unreadable: now,
            names: now,
        };
        let mut batches = Vec::new();
        loop {
            let changed = privacy
                .clean(Ageing::Links, &too_old, now, 2)
                .await
                .unwrap();
            if changed == 0 {
                return batches;
            }
            batches.push(changed);
        }
    };
    let left = async || {
        (
            count(&fresh, "sessions").await,
            count(&fresh, "sign_in_links").await,
        )
    };
    // Sessions last twelve hours; the third ends with this minute, the fourth does not.
    assert_eq!(clean(3 + 12 * 60).await, [2, 1]);
    assert_eq!(left().await, (2, 5));
    assert!(store.session("s3").await.unwrap().is_some());
    // Links are kept a day past their end, so that asking for many is seen.
    assert_eq!(clean(24 * 60).await, [2]);
    assert_eq!(left().await, (0, 5));
    assert_eq!(clean(13 + 24 * 60).await, [2, 2]);
    assert_eq!(left().await, (0, 1));
    assert_eq!(clean(14 + 24 * 60).await, [1]);
    assert_eq!(left().await, (0, 0));
}

on_both_engines!(
    the_log_of_a_platform_is_read_page_by_page,
    links_and_sessions_that_are_over_are_cleared_every_day,
    a_link_works_once_within_its_time_and_until_a_newer_one,
    of_two_at_the_same_time_one_link_lets_one_in,
    a_session_is_noted_kept_and_ended,
    what_was_seen_is_kept_in_order_and_by_case,
    an_action_is_noted_with_what_it_changed_and_once,
    the_lists_of_a_platform_hold_its_own_cases_in_the_queue_s_order,
    a_line_written_by_a_program_of_before_is_in_the_lists_of_its_platform,
    dead_letters_of_a_platform_are_its_own,
    a_message_sent_with_a_secret_in_it_is_kept_without,
);
