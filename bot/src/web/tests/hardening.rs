//! Hostile and careless bodies, all with a good signature.

use super::{Stage, file, message, of_type};
use crate::record::{Event, FieldValue, Payload};
use axum::http::StatusCode;
use proptest::prelude::*;
use serde_json::{Value, json};

/// The message with one value replaced, by JSON pointer.
fn with(pointer: &str, value: Value) -> Value {
    let mut event = message();
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    event.pointer_mut(parent).unwrap()[name] = value;
    event
}

async fn refused(event: &Value, field: &str) -> (String, String) {
    let stage = Stage::new();
    let answer = stage.send_json(event).await;
    let (named, found, accepted) = answer.fault();
    assert_eq!(named, field, "{}", answer.text);
    assert!(stage.stored().is_empty());
    assert_eq!(stage.quarantined().len(), 1);
    (found, accepted)
}

async fn accepted(event: &Value) -> Event {
    let stage = Stage::new();
    let answer = stage.send_json(event).await;
    assert_eq!(answer.status, StatusCode::ACCEPTED, "{}", answer.text);
    stage.stored()[0].event.clone()
}

#[tokio::test]
async fn broken_json_is_answered_400_never_guessed_at() {
    let good = message().to_string();
    let edit = |from: &str, to: &str| {
        assert!(good.contains(from), "{from}");
        good.replacen(from, to, 1)
    };
    let deep = format!("\"text\":{}{}", "[".repeat(128), "]".repeat(128));
    let deep = edit("\"text\":\"squat 140 kg x 5, tips forward\"", &deep);
    for body in [
        edit("\"id\":\"evt-1\"", "\"id\":\"evt-1\",\"id\":\"evt-1\""),
        edit(
            "\"id\":\"evt-1\"",
            "\"id\":\"evt-1\",\"\\u0069d\":\"evt-9\"",
        ),
        edit("\"version\":1", "\"version\":1,\"version\":2"),
        edit(
            "\"kind\":\"person\"",
            "\"kind\":\"bot\",\"kind\":\"person\"",
        ),
        edit("\"version\":1", "\"version\":1e400"),
        edit("\"version\":1", "\"version\":NaN"),
        edit("\"version\":1", "\"version\":01"),
        edit("tips", "\\ud800"),
        edit("tips", "\\u0000"),
        format!("\u{FEFF}{good}"),
        format!("{good}x"),
        format!("{good}{good}"),
        deep,
        "[".repeat(100_000),
        format!("{{\"ignored\":{}", "[".repeat(100_000)),
        String::new(),
    ] {
        let stage = Stage::new();
        let answer = stage.send(body.clone()).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{body:.200}");
        answer.problem();
        assert!(stage.stored().is_empty());
    }
    let stage = Stage::new();
    let mut latin = good.into_bytes();
    let place = latin.iter().position(|b| *b == b'5').unwrap();
    latin[place] = 0xe9;
    assert_eq!(stage.send(latin).await.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn a_wrong_envelope_is_named_by_its_attribute() {
    for (pointer, value) in [
        ("/specversion", json!("0.3")),
        ("/specversion", json!(1.0)),
        ("/id", json!("")),
        ("/id", json!("evt.1")),
        ("/id", json!(18_446_744_073_709_551_615_u64)),
        ("/source", json!("")),
        ("/source", json!("/chat/de mo")),
        ("/type", json!("")),
        ("/type", json!(null)),
        ("/time", json!("yesterday")),
        ("/time", json!(1_767_323_045)),
        ("/datacontenttype", json!("text/xml")),
        ("/subject", json!(7)),
        ("/data_base64", json!("e30=")),
        ("/Traceparent", json!("x")),
        ("/trace-parent", json!("x")),
        ("/tracestate", json!({"a": 1})),
        ("/data", json!([])),
        ("/data", json!(null)),
    ] {
        refused(&with(pointer, value), &pointer[1..]).await;
    }
    refused(&json!([]), "").await;
    accepted(&with("/traceparent", json!("00-abc-01"))).await;
    accepted(&with("/sampled9", json!(true))).await;
}

#[tokio::test]
async fn every_limit_of_a_message_holds_at_its_edge() {
    // Code points, not bytes: each of these is four bytes long.
    accepted(&with("/data/text", json!("🏋".repeat(8_000)))).await;
    let long = with("/data/text", json!("x".repeat(8_001)));
    let (found, _) = refused(&long, "data.text").await;
    assert_eq!(found, "text of 8001 characters");
    accepted(&with("/data/text", json!(""))).await;
    accepted(&with("/data/version", json!(2_147_483_647))).await;
    for version in [
        json!(0),
        json!(-1),
        json!(2_147_483_648_u64),
        json!(1.0),
        json!(1.5),
        json!("1"),
        json!(null),
        json!(1e-400),
    ] {
        refused(&with("/data/version", version), "data.version").await;
    }
    accepted(&with("/data/room_id", json!("r".repeat(128)))).await;
    for id in [
        json!("r".repeat(129)),
        json!(""),
        json!("../r"),
        json!("r 1"),
        json!("é"),
        json!(5),
        json!(null),
    ] {
        refused(&with("/data/room_id", id), "data.room_id").await;
    }
    refused(&with("/data/thread_id", json!("a b")), "data.thread_id").await;
    refused(&with("/data/reply_to", json!(1)), "data.reply_to").await;
    refused(&with("/data/text", json!(null)), "data.text").await;
}

#[tokio::test]
async fn a_name_cannot_hold_control_or_turning_characters() {
    accepted(&with("/data/actor/display_name", json!("Ана-María 🏋️"))).await;
    accepted(&with("/data/actor/display_name", json!("n".repeat(80)))).await;
    for name in [
        "",
        "a\nb",
        "a\u{202E}b",
        "a\u{2066}b",
        "a\u{200F}b",
        "\u{7}",
        &"n".repeat(81),
    ] {
        let event = with("/data/actor/display_name", json!(name));
        refused(&event, "data.actor.display_name").await;
    }
    refused(&with("/data/actor/kind", json!("coach")), "data.actor.kind").await;
    refused(&with("/data/actor", json!("u1")), "data.actor").await;
}

#[tokio::test]
async fn a_field_nobody_asked_for_is_refused_by_name() {
    for (pointer, field) in [
        ("/data/priority", "data.priority"),
        ("/data/actor/role", "data.actor.role"),
        ("/data/state", "data.state"),
    ] {
        let (_, accepted) = refused(&with(pointer, json!("coach")), field).await;
        assert_eq!(accepted, "no such field");
    }
    let mut many = message();
    for n in 0..100 {
        many["data"][format!("x{n}")] = json!(1);
    }
    let stage = Stage::new();
    let listed = stage.send_json(&many).await.problem()["errors"]
        .as_array()
        .unwrap()
        .len();
    assert_eq!(listed, 16, "an answer stays short");
}

#[tokio::test]
async fn files_are_what_they_say_they_are() {
    let png = b"\x89PNG\r\n\x1a\nrest";
    let files = json!([
        file("text/csv", b"t,y\n0,0\n"),
        file("image/png", png),
        file("image/jpeg", b"\xff\xd8\xff\xe0rest"),
        file("application/json", b"{}"),
    ]);
    let event = accepted(&with("/data/attachments", files)).await;
    let Payload::Message { attachments, .. } = event.payload else {
        panic!("a message")
    };
    assert_eq!(attachments.len(), 4);
    let bent = |name: &str, value: Value| {
        let mut bent = file("image/png", png);
        bent[name] = value;
        bent
    };
    let mut link = bent("url", json!("https://files.example/x.png"));
    link.as_object_mut().unwrap().remove("data_base64");
    accepted(&with("/data/attachments", json!([link]))).await;
    let mut neither = link.clone();
    neither.as_object_mut().unwrap().remove("url");
    let too_big = vec![b'x'; 262_145];
    let cases = [
        (bent("media_type", json!("image/svg+xml")), "media_type"),
        (bent("media_type", json!("image/jpeg")), "media_type"),
        (file("text/csv", png), "media_type"),
        (file("text/csv", b"a\0b"), "media_type"),
        (bent("size", json!(11)), "size"),
        (bent("size", json!(2_097_153)), "size"),
        (bent("sha256", json!("0".repeat(64))), "sha256"),
        (bent("sha256", json!("xyz")), "sha256"),
        (bent("data_base64", json!("not base64!")), "data_base64"),
        (bent("data_base64", json!("iVBORw")), "data_base64"),
        (file("text/csv", &too_big), "data_base64"),
        (
            bent("url", json!("https://files.example/x.png")),
            "data_base64",
        ),
        (neither, "data_base64"),
        (bent("name", json!("a\u{202E}gnp.csv")), "name"),
        (bent("path", json!("/etc/passwd")), "path"),
    ];
    for (bad, field) in cases {
        let event = with("/data/attachments", json!([bad]));
        refused(&event, &format!("data.attachments[0].{field}")).await;
    }
    for url in [
        "http://files.example/x",
        "https://u@files.example/x",
        "https://",
        "javascript:alert(1)",
        "https://a/\"x",
    ] {
        let mut bad = link.clone();
        bad["url"] = json!(url);
        let event = with("/data/attachments", json!([bad]));
        refused(&event, "data.attachments[0].url").await;
    }
    let five = vec![file("text/csv", b"x"); 5];
    refused(&with("/data/attachments", json!(five)), "data.attachments").await;
}

#[tokio::test]
async fn forms_stay_within_their_limits() {
    let form = |fields: Value| {
        of_type(
            "form.submitted",
            &json!({"submission_id": "s1", "form_id": "set", "form_version": 1, "fields": fields}),
        )
    };
    let names = |count: usize| -> Value {
        (0..count)
            .map(|n| (format!("f{n}"), json!(n)))
            .collect::<serde_json::Map<_, _>>()
            .into()
    };
    accepted(&form(names(64))).await;
    refused(&form(names(65)), "data.fields").await;
    refused(&form(json!({"Load": 1})), "data.fields.Load").await;
    refused(&form(json!({"a": {"b": 1}})), "data.fields.a").await;
    refused(&form(json!({"a": [1]})), "data.fields.a").await;
    refused(&form(json!({"a": "x".repeat(2_001)})), "data.fields.a").await;
    refused(&form(json!(null)), "data.fields").await;
    let event = accepted(&form(json!({"reps": 5}))).await;
    let Payload::Form { fields, .. } = event.payload else {
        panic!("a form")
    };
    assert_eq!(fields["reps"], FieldValue::Number(5.0));
    let choice = |id: &str| {
        of_type(
            "choice.selected",
            &json!({"message_id": "m1", "choice_id": id}),
        )
    };
    accepted(&choice(&"c".repeat(64))).await;
    refused(&choice(&"c".repeat(65)), "data.choice_id").await;
    let left = of_type(
        "member.left",
        &json!({"member_id": "u1", "reason": "bored"}),
    );
    let (_, accepted) = refused(&left, "data.reason").await;
    assert_eq!(accepted, "one of \"left\", \"removed\", \"banned\"");
}

#[tokio::test]
async fn an_answer_never_repeats_a_long_text() {
    let stage = Stage::new();
    let secret = "my knee gave way and ".repeat(500);
    let answer = stage.send_json(&with("/data/text", json!(secret))).await;
    assert!(!answer.text.contains("knee"), "{}", answer.text);
    let answer = stage.send_json(&with("/data/unknown", json!(secret))).await;
    assert!(!answer.text.contains("knee"), "{}", answer.text);
}

/// Everything logged, kept in memory.
#[derive(Clone, Default)]
struct Log(std::sync::Arc<std::sync::Mutex<Vec<u8>>>);

impl std::io::Write for Log {
    fn write(&mut self, piece: &[u8]) -> std::io::Result<usize> {
        self.0.lock().unwrap().extend_from_slice(piece);
        Ok(piece.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[tokio::test]
async fn the_log_at_its_most_talkative_holds_no_words_names_secrets_or_signatures() {
    let log = Log::default();
    let writer = log.clone();
    let subscriber = tracing_subscriber::fmt()
        .with_max_level(tracing::Level::TRACE)
        .with_span_events(tracing_subscriber::fmt::format::FmtSpan::FULL)
        .with_writer(move || writer.clone())
        .finish();
    let guard = tracing::subscriber::set_default(subscriber);
    let stage = Stage::new();
    let changed = with("/data/text", json!("squat 150 kg, knee hurts"));
    let bad = with("/data/version", json!("squat"));
    for event in [message(), changed, bad] {
        stage.send_json(&event).await;
    }
    stage.get("/a-secret-link-0123456789").await;
    stage
        .store
        .broken
        .store(true, std::sync::atomic::Ordering::SeqCst);
    stage.send_json(&message()).await;
    let signed = stage.signed("evt-1", message().to_string());
    let signature = signed.headers()["webhook-signature"].to_str().unwrap();
    drop(guard);
    let text = String::from_utf8(log.0.lock().unwrap().clone()).unwrap();
    assert!(text.contains("same event id with other content"), "{text}");
    assert!(text.contains("event not stored"), "{text}");
    for private in [
        "squat",
        "knee",
        "Ana",
        "AAECAwQF",
        "whsec",
        signature,
        "v1,",
        "0123456789",
    ] {
        assert!(!text.contains(private), "{private} in {text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// One byte changed anywhere: refused or taken, never a server fault, always a known answer.
    #[test]
    fn a_changed_byte_never_makes_it_fall_over(place in 0_usize..400, byte: u8) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let stage = Stage::new();
            let mut body = message().to_string().into_bytes();
            let place = place % body.len();
            body[place] = byte;
            let status = stage.send(body).await.status.as_u16();
            assert!([202, 400, 403, 422].contains(&status), "{status}");
        });
    }
}
