//! Messages on their way out.

use crate::samples::{SOURCE, ana, any_claim, batch, case, minute, outgoing, write};
use cueline_bot::record::{Effects, Outgoing, Purpose, Recipient, Withdraw};
use cueline_bot::store::{Claim, Leased, Store, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};

async fn send(store: &dyn Store, id: &str, messages: Vec<Outgoing>) {
    let effects = Effects {
        outbox: messages,
        ..Effects::default()
    };
    write(store, id, &effects).await;
}

async fn claim(store: &dyn Store, minutes: i64) -> Vec<Leased<Outgoing>> {
    store
        .claim_outgoing(&batch("sender", minute(minutes), 10))
        .await
        .unwrap()
}

fn keys(leased: &[Leased<Outgoing>]) -> Vec<&str> {
    leased.iter().map(|one| one.item.key.as_str()).collect()
}

async fn messages_go_in_order_within_a_room_and_rooms_side_by_side(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut private = outgoing("4", "x", Purpose::Reply);
    private.to = Recipient::PersonId("x".to_owned());
    let messages = vec![
        outgoing("1", "x", Purpose::Reply),
        outgoing("2", "x", Purpose::Reply),
        outgoing("3", "y", Purpose::Reply),
        private,
    ];
    send(&*store, "e1", messages.clone()).await;
    let first = claim(&*store, 0).await;
    assert_eq!(keys(&first), ["1", "3", "4"]);
    assert_eq!(first[0].item, messages[0]);
    assert!(claim(&*store, 1).await.is_empty());
    store
        .mark_sent(&first[0].claim, "p-1", minute(1))
        .await
        .unwrap();
    assert_eq!(keys(&claim(&*store, 1).await), ["2"]);
    let sent = store.sent_message(SOURCE, "p-1").await.unwrap();
    assert_eq!(sent.as_ref(), Some(&messages[0]));
    assert_eq!(
        store.sent_message("/chat/other", "p-1").await.unwrap(),
        None
    );
}

async fn a_message_waiting_for_a_retry_holds_back_its_room_only(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let messages = vec![
        outgoing("1", "x", Purpose::Reply),
        outgoing("2", "x", Purpose::Reply),
        outgoing("3", "y", Purpose::Reply),
    ];
    send(&*store, "e1", messages).await;
    let first = claim(&*store, 0).await;
    store
        .mark_sent(&first[1].claim, "p-3", minute(1))
        .await
        .unwrap();
    store
        .retry_at(&first[0].claim, minute(30), "503")
        .await
        .unwrap();
    assert!(claim(&*store, 29).await.is_empty());
    let again = claim(&*store, 30).await;
    assert_eq!(keys(&again), ["1"]);
    assert_eq!(again[0].attempts, 2);
    assert_eq!(again[0].created_at, minute(0));
    let late = store.mark_sent(&first[0].claim, "p-1", minute(31)).await;
    assert!(matches!(late, Err(StoreError::Stale(_))), "{late:?}");
}

async fn a_message_given_up_is_a_dead_letter_frees_its_room_and_can_be_revived(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let messages = vec![
        outgoing("1", "x", Purpose::Reply),
        outgoing("2", "x", Purpose::Reply),
    ];
    send(&*store, "e1", messages).await;
    let first = claim(&*store, 0).await.remove(0);
    // Telling the coach comes first and leaves the message as it is.
    let alert = Effects {
        outbox: vec![outgoing("alert", "coach room", Purpose::Alert)],
        ..Effects::default()
    };
    store.apply(&first.claim, &alert, minute(1)).await.unwrap();
    store.apply(&first.claim, &alert, minute(1)).await.unwrap();
    assert_eq!(store.depths().await.unwrap().outbox, 3);
    store
        .give_up(&first.claim, "404: no such room", minute(2))
        .await
        .unwrap();
    let letters = store.dead_letters(9).await.unwrap();
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].message, first.item);
    assert_eq!(letters[0].last_error, "404: no such room");
    assert_eq!(letters[0].died_at, minute(2));
    assert_eq!(store.depths().await.unwrap().dead, 1);
    let next = claim(&*store, 2).await;
    assert_eq!(keys(&next), ["2", "alert"]);
    for one in &next {
        let id = format!("p-{}", one.item.key);
        store.mark_sent(&one.claim, &id, minute(2)).await.unwrap();
    }

    let revive = Effects {
        revive: vec!["1".to_owned(), "2".to_owned(), "no such".to_owned()],
        ..Effects::default()
    };
    write(&*store, "e2", &revive).await;
    assert!(store.dead_letters(9).await.unwrap().is_empty());
    let again = claim(&*store, 3).await;
    assert_eq!(keys(&again), ["1"]);
    assert_eq!(again[0].attempts, 1);
    let stale = store.apply(&first.claim, &alert, minute(4)).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))), "{stale:?}");
}

async fn the_same_key_is_sent_once_whatever_repeats(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let original = outgoing("1", "x", Purpose::Reply);
    let mut repeat = original.clone();
    repeat.text = "another text".to_owned();
    send(&*store, "e1", vec![original.clone(), repeat.clone()]).await;
    send(&*store, "e2", vec![repeat]).await;
    let only = claim(&*store, 0).await;
    assert_eq!(only.len(), 1);
    assert_eq!(only[0].item, original);
}

async fn stopping_reminders_withdraws_those_not_sent_and_nothing_else(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut of_ben = outgoing("ben", "b", Purpose::Reminder);
    of_ben.person_id = Some("ben".to_owned());
    let mut elsewhere = outgoing("elsewhere", "c", Purpose::Reminder);
    elsewhere.source = "/chat/other".to_owned();
    let messages = vec![
        outgoing("reminder", "a", Purpose::Reminder),
        outgoing("reply", "a", Purpose::Reply),
        of_ben,
        elsewhere,
    ];
    send(&*store, "e1", messages).await;
    let stop = Effects {
        withdraw: vec![Withdraw::RemindersOf(ana())],
        // Withdrawing comes before writing: what the same input sends goes out.
        outbox: vec![outgoing("last words", "d", Purpose::Reminder)],
        ..Effects::default()
    };
    write(&*store, "e2", &stop).await;
    let left = claim(&*store, 0).await;
    assert_eq!(keys(&left), ["reply", "ben", "elsewhere", "last words"]);
}

async fn a_withdrawn_case_sends_nothing_more_but_alerts_and_the_coachs_own_words(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut other = outgoing("other", "e", Purpose::Reply);
    other.case_id = Some("case-2".to_owned());
    let messages = vec![
        outgoing("reply", "a", Purpose::Reply),
        outgoing("coach", "b", Purpose::Coach),
        outgoing("reminder", "c", Purpose::Reminder),
        outgoing("alert", "d", Purpose::Alert),
        other,
    ];
    send(&*store, "e1", messages).await;
    let withdraw = Effects {
        cases: vec![case(1)],
        withdraw: vec![Withdraw::Case("case-1".to_owned())],
        ..Effects::default()
    };
    write(&*store, "e2", &withdraw).await;
    assert_eq!(keys(&claim(&*store, 0).await), ["coach", "alert", "other"]);
}

async fn a_message_withdrawn_while_it_is_being_sent_is_not_sent_again(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let messages = vec![
        outgoing("gone out", "a", Purpose::Reply),
        outgoing("failed", "b", Purpose::Reply),
        outgoing("refused", "c", Purpose::Reply),
        outgoing("sender died", "d", Purpose::Reply),
    ];
    send(&*store, "e1", messages).await;
    let sending = claim(&*store, 0).await;
    let withdraw = Effects {
        withdraw: vec![Withdraw::Case("case-1".to_owned())],
        ..Effects::default()
    };
    write(&*store, "e2", &withdraw).await;
    store
        .mark_sent(&sending[0].claim, "p-1", minute(1))
        .await
        .unwrap();
    store
        .retry_at(&sending[1].claim, minute(2), "503")
        .await
        .unwrap();
    store
        .give_up(&sending[2].claim, "404", minute(1))
        .await
        .unwrap();
    assert!(claim(&*store, 60).await.is_empty());
    assert!(store.dead_letters(9).await.unwrap().is_empty());
    assert!(store.sent_message(SOURCE, "p-1").await.unwrap().is_some());
    assert_eq!(store.depths().await.unwrap().outbox, 0);
}

async fn only_a_message_can_be_marked_sent(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let event = any_claim(&*store, "e1").await;
    let refused = store.mark_sent(&event, "p-1", minute(1)).await;
    assert!(
        matches!(refused, Err(StoreError::Unexpected(_))),
        "{refused:?}"
    );
    let unknown = Claim::Outgoing {
        key: "no such".to_owned(),
        fence: 1,
    };
    let stale = store.mark_sent(&unknown, "p-1", minute(1)).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))), "{stale:?}");
}

on_both_engines!(
    messages_go_in_order_within_a_room_and_rooms_side_by_side,
    a_message_waiting_for_a_retry_holds_back_its_room_only,
    a_message_given_up_is_a_dead_letter_frees_its_room_and_can_be_revived,
    the_same_key_is_sent_once_whatever_repeats,
    stopping_reminders_withdraws_those_not_sent_and_nothing_else,
    a_withdrawn_case_sends_nothing_more_but_alerts_and_the_coachs_own_words,
    a_message_withdrawn_while_it_is_being_sent_is_not_sent_again,
    only_a_message_can_be_marked_sent,
);
