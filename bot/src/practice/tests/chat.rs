//! The platform's memory.

use super::stage::{chat, room};
use crate::practice::{Author, AuthorKind, Chat, ChatError, Draft, Handover, Sent};
use crate::record::{ChoiceButton, ChoiceStyle, Picture};
use jiff::Timestamp;
use std::time::Duration;

fn now() -> Timestamp {
    "2026-03-02T18:05:00Z".parse().unwrap()
}

fn author(id: &str, kind: AuthorKind) -> Author {
    Author {
        id: id.to_owned(),
        name: id.to_uppercase(),
        kind,
    }
}

fn ines() -> Author {
    author("ines", AuthorKind::Person)
}

fn draft(author: Author, text: &str) -> Draft {
    Draft {
        room_id: "platform".to_owned(),
        thread_id: None,
        reply_to: None,
        author,
        text: text.to_owned(),
        file: None,
        at: now(),
    }
}

fn sent(text: &str) -> Sent {
    Sent {
        draft: draft(author("cueline", AuthorKind::Service), text),
        choices: vec![ChoiceButton {
            choice_id: "yes".to_owned(),
            label: "Yes".to_owned(),
            style: ChoiceStyle::Plain,
        }],
        choices_until: Some(now()),
        mentions: Vec::new(),
        notify: true,
        picture: None,
    }
}

fn say(chat: &Chat, text: &str) -> String {
    chat.write(&chat.fresh_id("m"), draft(ines(), text)).id
}

#[test]
fn whoever_asks_what_is_new_gets_each_changed_message_once_in_its_newest_version() {
    let chat = chat();
    let first = say(&chat, "squat 140 x 5");
    let second = say(&chat, "bench 100 x 4");
    let seen = chat.latest();
    chat.edit(&first, &ines(), "squat 145 x 5").unwrap();
    chat.note_handover(&first, Handover::Taken);
    let news = chat.messages_since(seen);
    assert_eq!(news.len(), 1);
    assert_eq!(
        (news[0].version, news[0].text.as_str()),
        (2, "squat 145 x 5")
    );
    assert_eq!(news[0].handover, Handover::Taken);
    let all: Vec<_> = chat
        .newest(10, |_| true)
        .into_iter()
        .map(|one| one.id)
        .collect();
    assert_eq!(all, [first, second], "an edit does not move a message");
}

#[test]
fn a_repeated_key_gives_the_first_receipt_and_another_payload_is_refused() {
    let chat = chat();
    let first = chat.take("k", [1; 32], sent("hello")).unwrap();
    assert_eq!(chat.take("k", [1; 32], sent("hello")).unwrap(), first);
    assert_eq!(
        chat.take("k", [2; 32], sent("other")),
        Err(ChatError::KeyReused)
    );
    assert_eq!(chat.messages_since(0).len(), 1);
}

#[test]
fn only_the_author_changes_a_message_even_when_the_service_has_the_same_id() {
    let chat = chat();
    let id = say(&chat, "mine");
    let tomo = author("tomo", AuthorKind::Person);
    assert_eq!(chat.edit(&id, &tomo, "x").unwrap_err(), ChatError::NotYours);
    let program = author("ines", AuthorKind::Service);
    assert_eq!(chat.delete(&id, &program).unwrap_err(), ChatError::NotYours);
    let gone = chat.delete(&id, &ines()).unwrap();
    assert!(gone.deleted && gone.text.is_empty());
    assert!(matches!(
        chat.edit(&id, &ines(), "x"),
        Err(ChatError::NoMessage(_))
    ));
}

#[test]
fn a_button_is_pressed_once_a_person_and_not_after_its_time() {
    let chat = chat();
    let id = chat
        .take("k", [0; 32], sent("Did it pop?"))
        .unwrap()
        .message_id;
    for _ in 0..3 {
        chat.press(&id, "yes", &ines(), now()).unwrap();
    }
    assert_eq!(chat.message(&id).unwrap().presses.len(), 1);
    let wrong = chat.press(&id, "no", &ines(), now());
    assert!(matches!(wrong, Err(ChatError::NoChoice { .. })));
    let late = now() + Duration::from_secs(1);
    assert_eq!(
        chat.press(&id, "yes", &ines(), late),
        Err(ChatError::TooLate(now()))
    );
}

#[test]
fn five_thousand_messages_and_forty_pictures_are_kept_and_no_more() {
    let chat = chat();
    for at in 0..45_u8 {
        let mut message = sent("with a picture");
        message.picture = Some(Picture {
            media_type: "image/png".to_owned(),
            data_base64: "AAAA".to_owned(),
            alt: "bar path".to_owned(),
        });
        chat.take(&format!("p{at}"), [at; 32], message).unwrap();
    }
    let pictures = chat
        .messages_since(0)
        .iter()
        .filter(|one| one.picture.is_some())
        .count();
    assert_eq!(pictures, 40);
    for at in 0..5_010 {
        say(&chat, &at.to_string());
    }
    let kept = chat.messages_since(0);
    assert_eq!(kept.len(), 5_000);
    assert_eq!(kept.last().unwrap().text, "5009");
}

#[test]
fn a_message_for_a_room_that_does_not_exist_is_refused() {
    let chat = chat();
    let mut message = sent("hello");
    message.draft.room_id = "attic".to_owned();
    assert_eq!(
        chat.take("k", [0; 32], message.clone()),
        Err(ChatError::NoRoom("attic".to_owned()))
    );
    chat.add_room(room("attic", "The attic"));
    chat.take("k", [0; 32], message).unwrap();
}

#[tokio::test]
async fn waiting_ends_when_something_comes_or_the_time_is_over() {
    let chat = chat();
    let soon = Duration::from_millis(30);
    assert!(chat.wait_for_more(0, soon).await.is_empty());
    let writer = chat.clone();
    let task = tokio::spawn(async move {
        tokio::time::sleep(Duration::from_millis(20)).await;
        say(&writer, "late");
    });
    let news = chat.wait_for_more(0, Duration::from_secs(10)).await;
    assert_eq!(news[0].text, "late");
    task.await.unwrap();
}

#[tokio::test]
async fn closing_ends_every_wait_at_once() {
    let chat = chat();
    let closer = chat.clone();
    let task = tokio::spawn(async move {
        tokio::time::sleep(Duration::from_millis(20)).await;
        closer.close();
    });
    let started = tokio::time::Instant::now();
    assert!(
        chat.wait_for_more(0, Duration::from_mins(1))
            .await
            .is_empty()
    );
    assert!(
        chat.wait_for_more(0, Duration::from_mins(1))
            .await
            .is_empty()
    );
    assert!(started.elapsed() < Duration::from_secs(30));
    task.await.unwrap();
}
