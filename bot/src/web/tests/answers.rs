//! One test for each answer the sender can get.

use super::super::RateSetting;
use super::{DEMO, DEMO_SECRET, GYM, GYM_SECRET, Stage, message, of_type};
use crate::record::{ActorKind, FieldValue, LeaveReason, Payload};
use crate::signing::{Secret, sign};
use crate::web::LimitSettings;
use axum::body::{Body, Bytes};
use axum::http::StatusCode;
use jiff::SignedDuration;
use serde_json::json;
use std::num::NonZeroU32;
use std::sync::atomic::Ordering;
use std::time::Duration;

#[tokio::test]
async fn a_new_event_is_stored_answered_202_and_wakes_the_workers() {
    let stage = Stage::new();
    let answer = stage.send_json(&message()).await;
    assert_eq!(answer.status, StatusCode::ACCEPTED);
    let stored = stage.stored();
    assert_eq!(stored.len(), 1);
    let event = &stored[0].event;
    assert_eq!(
        (event.key.source.as_str(), event.key.id.as_str()),
        (DEMO, "evt-1")
    );
    assert_eq!(event.time.to_string(), "2026-01-02T03:04:05Z");
    assert_eq!(
        (event.room_id.as_str(), event.thread_id.as_deref()),
        ("r1", None)
    );
    assert_eq!(event.actor.kind, ActorKind::Person);
    let Payload::Message { version, text, .. } = &event.payload else {
        panic!("a message, found {:?}", event.payload)
    };
    assert_eq!(
        (*version, text.as_str()),
        (1, "squat 140 kg x 5, tips forward")
    );
    let woken = tokio::time::timeout(Duration::from_secs(1), stage.parts.wake.notified()).await;
    assert!(woken.is_ok());
}

#[tokio::test]
async fn the_same_event_again_is_answered_200_and_kept_once() {
    let stage = Stage::new();
    stage.send_json(&message()).await;
    stage.clock.advance(SignedDuration::from_hours(24));
    assert_eq!(stage.send_json(&message()).await.status, StatusCode::OK);
    assert_eq!(stage.stored().len(), 1);
}

#[tokio::test]
async fn the_same_id_with_other_content_is_answered_409() {
    let stage = Stage::new();
    stage.send_json(&message()).await;
    let mut other = message();
    other["data"]["text"] = json!("squat 150 kg x 5");
    let answer = stage.send_json(&other).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    assert_eq!(answer.problem()["type"], "/problems/changed-event");
    assert_eq!(stage.stored().len(), 1);
}

#[tokio::test]
async fn every_bad_signature_gets_the_same_401() {
    let stage = Stage::new();
    let body = message().to_string();
    let good = || stage.signed("evt-1", body.clone());
    let now = stage.now();
    let edit = |name: &'static str, value: Option<String>| {
        let mut request = good();
        request.headers_mut().remove(name);
        if let Some(value) = value {
            request.headers_mut().insert(name, value.parse().unwrap());
        }
        request
    };
    let stranger = Secret::generate().unwrap().reveal();
    let old = sign(
        &[Secret::parse(DEMO_SECRET).unwrap()],
        "evt-1",
        now - 301,
        body.as_bytes(),
    );
    let mut stale = edit("webhook-signature", Some(old));
    stale
        .headers_mut()
        .insert("webhook-timestamp", (now - 301).into());
    let mut twice = good();
    twice
        .headers_mut()
        .append("webhook-id", "evt-1".parse().unwrap());
    let mut other_body = good();
    *other_body.body_mut() = Body::from(body.replace("140", "150"));
    let requests = [
        edit("webhook-id", None),
        edit("webhook-timestamp", None),
        edit("webhook-signature", None),
        edit("webhook-id", Some("evt-2".to_owned())),
        edit("webhook-id", Some("evt.1".to_owned())),
        edit("webhook-timestamp", Some(format!("+{now}"))),
        edit("webhook-timestamp", Some((now + 1).to_string())),
        edit("webhook-signature", Some("v1,AAAA".to_owned())),
        stage.signed_with(&stranger, "evt-1", body.clone()),
        stale,
        twice,
        other_body,
    ];
    let count = requests.len();
    for (index, request) in requests.into_iter().enumerate() {
        let answer = stage.ask(request).await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "request {index}");
        let mut problem = answer.problem();
        problem["instance"] = json!("");
        let expected = json!({
            "type": "/problems/signature", "title": "Signature not accepted", "status": 401,
            "detail": "The signature of this request is not accepted.", "instance": ""
        });
        assert_eq!(problem, expected);
    }
    assert!(stage.stored().is_empty() && stage.quarantined().is_empty());
    let page = stage.get("/metrics").await.text;
    assert!(
        page.contains("cueline_signature_failures_total{reason=\"too_old\"} 1"),
        "{page}"
    );
    assert!(page.contains(&format!(
        "cueline_events_total{{outcome=\"unsigned\"}} {count}"
    )));
}

#[tokio::test]
async fn what_is_not_json_is_answered_400_and_kept_for_a_person() {
    let stage = Stage::new();
    let answer = stage.send("{\"id\":\"evt-1\"").await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    answer.problem();
    let kept = stage.quarantined();
    assert_eq!(
        (kept[0].source.as_str(), kept[0].id.as_str()),
        (DEMO, "evt-1")
    );
    assert_eq!(kept[0].body, "{\"id\":\"evt-1\"");
}

#[tokio::test]
async fn bytes_that_are_not_text_with_a_good_signature_are_answered_400() {
    let stage = Stage::new();
    let answer = stage.send(b"\xff\x00.".as_slice()).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert_eq!(stage.quarantined()[0].body, "\u{FFFD}\u{FFFD}.");
}

#[tokio::test]
async fn what_is_not_as_agreed_is_answered_422_naming_the_field() {
    let stage = Stage::new();
    let mut event = message();
    event["data"]["version"] = json!(0);
    let answer = stage.send_json(&event).await;
    let fault = answer.fault();
    assert_eq!(fault.0, "data.version");
    assert_eq!(fault.1, "0");
    assert_eq!(fault.2, "an integer, 1 to 2147483647");
    let kept = stage.quarantined();
    assert_eq!(
        kept[0].reason,
        "`data.version`: found 0; accepted is an integer, 1 to 2147483647."
    );
    assert!(stage.stored().is_empty());
}

#[tokio::test]
async fn another_id_in_the_body_than_was_signed_is_answered_400() {
    let stage = Stage::new();
    let answer = stage
        .ask(stage.signed("evt-2", message().to_string()))
        .await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert!(stage.stored().is_empty());
}

#[tokio::test]
async fn a_platform_cannot_speak_for_another() {
    let stage = Stage::new();
    let request = stage.signed_with(GYM_SECRET, "evt-1", message().to_string());
    let answer = stage.ask(request).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    answer.problem();
    assert!(stage.stored().is_empty());
    let mut own = message();
    own["source"] = json!(GYM);
    let request = stage.signed_with(GYM_SECRET, "evt-1", own.to_string());
    assert_eq!(stage.ask(request).await.status, StatusCode::ACCEPTED);
}

#[tokio::test]
async fn while_secrets_are_changed_over_the_old_and_the_new_one_are_good() {
    let mut stage = Stage::new();
    let new = Secret::generate().unwrap();
    stage.parts.platforms[1].secrets.push(new.clone());
    stage.router = crate::web::router(stage.parts.clone());
    for (secret, expected) in [(DEMO_SECRET, 202), (new.reveal().as_str(), 200)] {
        let request = stage.signed_with(secret, "evt-1", message().to_string());
        assert_eq!(stage.ask(request).await.status, expected);
    }
}

#[tokio::test]
async fn an_unknown_type_is_answered_202_ignored_and_counted() {
    let stage = Stage::new();
    let mut event = message();
    event["type"] = json!("room.renamed");
    event["data"] = json!({"anything": [1, 2]});
    assert_eq!(stage.send_json(&event).await.status, StatusCode::ACCEPTED);
    assert!(stage.stored().is_empty() && stage.quarantined().is_empty());
    let page = stage.get("/metrics").await.text;
    assert!(
        page.contains("cueline_events_total{outcome=\"ignored\"} 1"),
        "{page}"
    );
}

#[tokio::test]
async fn a_body_announced_too_large_is_answered_413_before_it_is_read() {
    let stage = Stage::new();
    let mut request = stage.signed("evt-1", "{}");
    request
        .headers_mut()
        .insert("content-length", 524_289.into());
    // Reading this body would never end.
    *request.body_mut() =
        Body::from_stream(futures::stream::pending::<Result<Bytes, std::io::Error>>());
    let answer = stage.ask(request).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(answer.header("connection"), "close");
    answer.problem();
}

#[tokio::test]
async fn a_chunked_body_is_counted_while_it_is_read() {
    let stage = Stage::new();
    let mut request = stage.signed("evt-1", "{}");
    request.headers_mut().remove("content-length");
    // Eight times the limit: enough to show, and an end should the count ever be lost.
    let piece = || Ok::<_, std::io::Error>(Bytes::from(vec![b' '; 65_536]));
    let endless = futures::stream::iter(std::iter::repeat_with(piece).take(64));
    *request.body_mut() = Body::from_stream(endless);
    assert_eq!(
        stage.ask(request).await.status,
        StatusCode::PAYLOAD_TOO_LARGE
    );
}

#[tokio::test]
async fn a_body_of_exactly_the_limit_is_read() {
    let stage = Stage::new();
    let body = message().to_string();
    let padded = format!("{body}{}", " ".repeat(524_288 - body.len()));
    assert_eq!(stage.send(padded).await.status, StatusCode::ACCEPTED);
}

#[tokio::test]
async fn a_slow_body_is_answered_408() {
    let stage = Stage::with(LimitSettings {
        body_deadline: Duration::from_millis(30),
        ..LimitSettings::default()
    });
    let mut request = stage.signed("evt-1", "{}");
    *request.body_mut() =
        Body::from_stream(futures::stream::pending::<Result<Bytes, std::io::Error>>());
    let answer = stage.ask(request).await;
    assert_eq!(answer.status, StatusCode::REQUEST_TIMEOUT);
    answer.problem();
}

#[tokio::test]
async fn a_body_that_breaks_off_is_answered_400() {
    let stage = Stage::new();
    let mut request = stage.signed("evt-1", "{}");
    let broken = futures::stream::once(async { Err::<Bytes, _>(std::io::Error::other("reset")) });
    *request.body_mut() = Body::from_stream(broken);
    assert_eq!(stage.ask(request).await.status, StatusCode::BAD_REQUEST);
}

fn rate(count: u32) -> RateSetting {
    RateSetting {
        per_second: NonZeroU32::MIN,
        burst: NonZeroU32::new(count).unwrap(),
    }
}

#[tokio::test]
async fn too_many_from_one_address_are_answered_429_whatever_they_claim() {
    let stage = Stage::with(LimitSettings {
        per_address: rate(2),
        ..LimitSettings::default()
    });
    for expected in [202, 200, 429, 429] {
        let mut request = stage.signed("evt-1", message().to_string());
        // Anybody can write this header, so it changes nothing.
        let claimed = format!("198.51.100.{}", expected % 250);
        request
            .headers_mut()
            .insert("x-forwarded-for", claimed.parse().unwrap());
        let answer = stage.ask(request).await;
        assert_eq!(answer.status, expected);
        if expected == 429 {
            assert_eq!(answer.header("retry-after"), "1");
            answer.problem();
        }
    }
}

#[tokio::test]
async fn one_platform_s_flood_leaves_another_s_allowance_alone_and_forgers_take_nothing() {
    let stage = Stage::with(LimitSettings {
        per_platform: rate(1),
        ..LimitSettings::default()
    });
    let stranger = Secret::generate().unwrap().reveal();
    for _ in 0..5 {
        let forged = stage.signed_with(&stranger, "evt-1", message().to_string());
        assert_eq!(stage.ask(forged).await.status, StatusCode::UNAUTHORIZED);
    }
    assert_eq!(
        stage.send_json(&message()).await.status,
        StatusCode::ACCEPTED
    );
    assert_eq!(
        stage.send_json(&message()).await.status,
        StatusCode::TOO_MANY_REQUESTS
    );
    let mut gym = message();
    gym["source"] = json!(GYM);
    let request = stage.signed_with(GYM_SECRET, "evt-1", gym.to_string());
    assert_eq!(stage.ask(request).await.status, StatusCode::ACCEPTED);
}

#[tokio::test]
async fn our_own_trouble_is_always_503_and_says_nothing_of_the_inside() {
    let stage = Stage::new();
    stage.store.broken.store(true, Ordering::SeqCst);
    // A good event, and a bad one that cannot be put aside.
    for body in [message().to_string(), "{".to_owned()] {
        let answer = stage.send(body).await;
        assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE);
        assert_eq!(answer.header("retry-after"), "2");
        answer.problem();
        assert!(!answer.text.contains("disk") && !answer.text.contains("secret"));
    }
    stage.store.broken.store(false, Ordering::SeqCst);
    assert_eq!(
        stage.send_json(&message()).await.status,
        StatusCode::ACCEPTED
    );
}

#[tokio::test]
async fn a_store_that_hangs_is_answered_503_in_time() {
    let stage = Stage::with(LimitSettings {
        store_deadline: Duration::from_millis(30),
        ..LimitSettings::default()
    });
    stage.store.hanging.store(true, Ordering::SeqCst);
    assert_eq!(
        stage.send_json(&message()).await.status,
        StatusCode::SERVICE_UNAVAILABLE
    );
    assert_eq!(
        stage.get("/health/ready").await.status,
        StatusCode::SERVICE_UNAVAILABLE
    );
}

#[tokio::test]
async fn while_stopping_nothing_is_taken_in_but_the_process_is_alive() {
    let stage = Stage::new();
    assert_eq!(stage.get("/health/ready").await.status, StatusCode::OK);
    stage.parts.draining.store(true, Ordering::SeqCst);
    let answer = stage.send_json(&message()).await;
    assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(answer.header("retry-after"), "2");
    assert!(stage.stored().is_empty());
    assert_eq!(
        stage.get("/health/ready").await.status,
        StatusCode::SERVICE_UNAVAILABLE
    );
    assert_eq!(stage.get("/health/live").await.status, StatusCode::OK);
}

#[tokio::test]
async fn other_formats_and_packed_bodies_are_answered_415() {
    let stage = Stage::new();
    let body = message().to_string();
    let with = |name: &'static str, value: Option<&'static str>| {
        let mut request = stage.signed("evt-1", body.clone());
        request.headers_mut().remove(name);
        if let Some(value) = value {
            request.headers_mut().insert(name, value.parse().unwrap());
        }
        request
    };
    for request in [
        with("content-type", None),
        with("content-type", Some("application/json")),
        with(
            "content-type",
            Some("application/cloudevents+json; charset=latin-1"),
        ),
        with("content-type", Some("application/cloudevents-batch+json")),
        with("content-encoding", Some("gzip")),
    ] {
        let answer = stage.ask(request).await;
        assert_eq!(answer.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
        answer.problem();
    }
    let named = with(
        "content-type",
        Some("Application/CloudEvents+JSON; charset=UTF-8"),
    );
    assert_eq!(stage.ask(named).await.status, StatusCode::ACCEPTED);
}

#[tokio::test]
async fn forms_buttons_deletions_and_leavings_arrive_typed() {
    let cases = [
        of_type(
            "form.submitted",
            &json!({
                "submission_id": "s1", "form_id": "set-report", "form_version": 1,
                "fields": {"load_kg": 142.5, "reps": 5, "belt": true, "note": "ok", "rpe": null, "seen": ["a", "b"]}
            }),
        ),
        of_type(
            "choice.selected",
            &json!({"message_id": "m9", "choice_id": "yes"}),
        ),
        of_type(
            "message.deleted",
            &json!({"message_id": "m1", "deleted_by": "u1"}),
        ),
        of_type(
            "member.left",
            &json!({"member_id": "u1", "reason": "banned"}),
        ),
    ];
    let stage = Stage::new();
    for (index, mut event) in cases.into_iter().enumerate() {
        let id = format!("evt-{index}");
        event["id"] = json!(id);
        event.as_object_mut().unwrap().remove("time");
        let answer = stage.ask(stage.signed(&id, event.to_string())).await;
        assert_eq!(answer.status, StatusCode::ACCEPTED, "{}", answer.text);
    }
    let stored = stage.stored();
    let payloads: Vec<_> = stored.iter().map(|new| new.event.payload.clone()).collect();
    let Payload::Form { fields, .. } = &payloads[0] else {
        panic!("a form")
    };
    assert_eq!(fields["load_kg"], FieldValue::Number(142.5));
    assert_eq!(fields["reps"], FieldValue::Number(5.0));
    assert_eq!(fields["belt"], FieldValue::Flag(true));
    assert_eq!(fields["rpe"], FieldValue::Empty);
    assert_eq!(
        fields["seen"],
        FieldValue::List(vec!["a".to_owned(), "b".to_owned()])
    );
    assert!(matches!(&payloads[1], Payload::Choice { choice_id, .. } if choice_id == "yes"));
    assert!(matches!(&payloads[2], Payload::Deleted { deleted_by, .. } if deleted_by == "u1"));
    assert!(matches!(
        &payloads[3],
        Payload::Left {
            reason: LeaveReason::Banned,
            ..
        }
    ));
    assert!(
        stored.iter().all(|new| new.event.time == new.received_at),
        "no time said"
    );
}
