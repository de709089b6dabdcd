//! Small invented records.

use cueline_bot::record::{
    Actor, ActorKind, Case, CaseBody, CaseState, Effects, Event, EventKey, FollowUp, FollowUpKind,
    Keep, Lifter, Outgoing, Payload, PersonKey, Profile, Purpose, QueueItem, Reason, Recipient,
    Urgency,
};
use cueline_bot::store::{Claim, ClaimBatch, NewEvent, Store};
use cueline_core::report::Lift;
use jiff::{SignedDuration, Timestamp};

pub(crate) const SOURCE: &str = "/chat/demo";

/// Minutes after a fixed morning.
pub(crate) fn minute(minutes: i64) -> Timestamp {
    "2026-03-02T08:00:00Z".parse::<Timestamp>().unwrap() + SignedDuration::from_mins(minutes)
}

pub(crate) fn ana() -> PersonKey {
    person("ana")
}

pub(crate) fn person(id: &str) -> PersonKey {
    PersonKey {
        source: SOURCE.to_owned(),
        person_id: id.to_owned(),
    }
}

pub(crate) fn message(id: &str, room: &str, text: &str) -> NewEvent {
    NewEvent {
        event: Event {
            key: EventKey {
                source: SOURCE.to_owned(),
                id: id.to_owned(),
            },
            time: minute(0),
            room_id: room.to_owned(),
            thread_id: None,
            actor: Actor {
                id: "ana".to_owned(),
                display_name: "Ana".to_owned(),
                kind: ActorKind::Person,
            },
            payload: Payload::Message {
                message_id: format!("m-{id}"),
                version: 1,
                text: text.to_owned(),
                reply_to: None,
                attachments: Vec::new(),
            },
        },
        body_hash: format!("hash of {text}"),
        received_at: minute(0),
    }
}

/// A claim of ten minutes by `owner`.
pub(crate) fn batch(owner: &str, now: Timestamp, limit: u32) -> ClaimBatch {
    ClaimBatch {
        owner: owner.to_owned(),
        now,
        until: now + SignedDuration::from_mins(10),
        limit,
    }
}

/// Stores an event of its own and claims it, for a test that only needs some claim.
pub(crate) async fn any_claim(store: &dyn Store, id: &str) -> Claim {
    store
        .accept(message(id, &format!("room of {id}"), "squat 100 kg x 5"))
        .await
        .unwrap();
    let mut leased = store.claim_events(&batch("a", minute(0), 1)).await.unwrap();
    leased.pop().expect("the event just stored").claim
}

/// Applies effects with a claim of their own.
pub(crate) async fn write(store: &dyn Store, id: &str, effects: &Effects) {
    let claim = any_claim(store, id).await;
    store.apply(&claim, effects, minute(0)).await.unwrap();
}

pub(crate) fn lifter(key: PersonKey) -> Lifter {
    Lifter {
        key,
        display_name: "Ana".to_owned(),
        zone: Some("Europe/Lisbon".to_owned()),
        reminders: true,
        left: false,
        last_reminder: None,
        profile: Profile::default(),
        version: 0,
    }
}

pub(crate) fn case(number: i64) -> Case {
    Case {
        id: format!("case-{number}"),
        number,
        person: ana(),
        room_id: "room".to_owned(),
        thread_id: Some("thread".to_owned()),
        lift: Some(Lift::Squat),
        state: CaseState::WithCoach,
        opened_at: minute(number),
        updated_at: minute(number),
        version: 0,
        body: CaseBody::default(),
    }
}

pub(crate) fn queued(number: i64, urgency: Urgency, since: Timestamp) -> QueueItem {
    QueueItem {
        case_id: format!("case-{number}"),
        urgency,
        reasons: vec![Reason {
            id: "asked".to_owned(),
            why: "the lifter asked".to_owned(),
        }],
        since,
        promised: None,
        minutes: 5,
        taken_by: None,
        taken_until: None,
    }
}

pub(crate) fn reminder(id: &str, number: i64, due_at: Timestamp) -> FollowUp {
    FollowUp {
        id: id.to_owned(),
        case_id: format!("case-{number}"),
        person: ana(),
        kind: FollowUpKind::Resubmit,
        due_at,
        sent: 0,
    }
}

pub(crate) fn outgoing(key: &str, room: &str, purpose: Purpose) -> Outgoing {
    Outgoing {
        key: key.to_owned(),
        source: SOURCE.to_owned(),
        to: Recipient::RoomId(room.to_owned()),
        thread_id: None,
        reply_to: None,
        text: format!("text of {key}"),
        mentions: Vec::new(),
        choices: Vec::new(),
        picture: None,
        notify: false,
        purpose,
        case_id: Some("case-1".to_owned()),
        person_id: Some("ana".to_owned()),
        plain: false,
        keep: Keep::All,
        unpost: None,
    }
}
