//! Marks on the platform's messages, and forgetting what was taken back.

use crate::samples::{SOURCE, batch, case, message, minute, write};
use cueline_bot::record::{Attachment, Effects, Entry, EntryKind, MessageMark, Payload};
use cueline_bot::store::{NewEvent, Store};
use cueline_tests::databases::{EngineKind, Fresh};

fn mark(version: u32, deleted: bool) -> MessageMark {
    MessageMark {
        source: SOURCE.to_owned(),
        room_id: "room".to_owned(),
        message_id: "m-1".to_owned(),
        version,
        deleted,
    }
}

async fn marked(store: &dyn Store, id: &str, mark: MessageMark) -> MessageMark {
    let effects = Effects {
        marks: vec![mark],
        ..Effects::default()
    };
    write(store, id, &effects).await;
    store
        .message_mark(SOURCE, "room", "m-1")
        .await
        .unwrap()
        .unwrap()
}

async fn an_old_version_or_a_late_create_never_undoes_a_mark(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    assert_eq!(
        store.message_mark(SOURCE, "room", "m-1").await.unwrap(),
        None
    );
    assert_eq!(marked(&*store, "e1", mark(3, false)).await, mark(3, false));
    assert_eq!(marked(&*store, "e2", mark(2, false)).await, mark(3, false));
    assert_eq!(marked(&*store, "e3", mark(1, true)).await, mark(3, true));
    assert_eq!(marked(&*store, "e4", mark(9, false)).await, mark(9, true));
    assert_eq!(
        store.message_mark(SOURCE, "hall", "m-1").await.unwrap(),
        None
    );
}

fn entry(message_id: &str, text: &str) -> Entry {
    Entry {
        case_id: "case-1".to_owned(),
        at: minute(0),
        kind: EntryKind::Lifter,
        who: "ana".to_owned(),
        message_id: Some(message_id.to_owned()),
        text: text.to_owned(),
    }
}

fn text_of(payload: &Payload) -> (&str, usize) {
    match payload {
        Payload::Message {
            text, attachments, ..
        } => (text, attachments.len()),
        other => panic!("{other:?}"),
    }
}

/// Makes it a version of message `m-1`, with a file.
fn make_secret(event: &mut NewEvent) {
    if let Payload::Message {
        message_id,
        attachments,
        ..
    } = &mut event.event.payload
    {
        *message_id = "m-1".to_owned();
        attachments.push(Attachment {
            attachment_id: "a".to_owned(),
            name: "my secret.csv".to_owned(),
            media_type: "text/csv".to_owned(),
            size: 1,
            sha256: "0".repeat(64),
            data_base64: Some("AA==".to_owned()),
            url: None,
        });
    }
}

/// Claims and finishes all events that are left: id, text, number of files.
async fn drain(store: &dyn Store) -> Vec<(String, String, usize)> {
    let mut seen = Vec::new();
    loop {
        let leased = store.claim_events(&batch("a", minute(2), 9)).await.unwrap();
        if leased.is_empty() {
            seen.sort();
            return seen;
        }
        for one in leased {
            let (text, files) = text_of(&one.item.payload);
            seen.push((one.item.key.id.clone(), text.to_owned(), files));
            store
                .apply(&one.claim, &Effects::default(), minute(2))
                .await
                .unwrap();
        }
    }
}

async fn a_message_taken_back_is_emptied_in_the_history_and_in_the_kept_event(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    // Three versions of one message: one finished, one given up, one still waiting; and a
    // neighbour in the same room, and the same message id on another platform.
    let mut finished = message("v1", "room", "my secret");
    let mut waiting = message("v2", "room", "my secret, edited");
    let neighbour = message("other", "room", "keep me");
    let mut elsewhere = message("v3", "room", "keep me too");
    elsewhere.event.key.source = "/chat/other".to_owned();
    for event in [&mut finished, &mut waiting, &mut elsewhere] {
        make_secret(event);
    }
    store.accept(finished).await.unwrap();
    let first = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    let open = Effects {
        cases: vec![case(1)],
        entries: vec![entry("m-1", "my secret"), entry("m-2", "keep me")],
        ..Effects::default()
    };
    store
        .apply(&first[0].claim, &open, minute(0))
        .await
        .unwrap();
    for event in [waiting, neighbour, elsewhere] {
        store.accept(event).await.unwrap();
    }
    let forget = Effects {
        forget_texts: vec![(SOURCE.to_owned(), "room".to_owned(), "m-1".to_owned())],
        ..Effects::default()
    };
    let other_room = store
        .accept(message("deletion", "another room", "delete"))
        .await;
    assert!(other_room.is_ok());
    let leased = store.claim_events(&batch("a", minute(0), 9)).await.unwrap();
    let deletion = leased
        .iter()
        .find(|one| one.item.key.id == "deletion")
        .unwrap();
    store
        .apply(&deletion.claim, &forget, minute(1))
        .await
        .unwrap();

    let entries = store.entries("case-1", 9).await.unwrap();
    assert_eq!(entries, [entry("m-1", ""), entry("m-2", "keep me")]);
    store.release_all("a").await.unwrap();
    assert_eq!(
        drain(&*store).await,
        [
            ("other".to_owned(), "keep me".to_owned(), 0),
            ("v2".to_owned(), String::new(), 0),
            ("v3".to_owned(), "keep me too".to_owned(), 1),
        ]
    );
    // The finished version cannot be claimed any more; look at the row itself.
    assert_eq!(
        crate::schema::count(
            &fresh,
            "inbox WHERE source = '/chat/demo' AND body LIKE '%my secret%'"
        )
        .await,
        0
    );
}

on_both_engines!(
    an_old_version_or_a_late_create_never_undoes_a_mark,
    a_message_taken_back_is_emptied_in_the_history_and_in_the_kept_event,
);
