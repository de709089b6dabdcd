//! The outbound contract, as the service meets it.

use super::stage::{Stage, TOKEN, read};
use axum::body::Body;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};

const KEY: &str = "8e03978e-40d5-43e8-bc93-6894a57f9324";

fn hello() -> Value {
    json!({
        "to": { "room_id": "platform", "thread_id": null },
        "text": "Stop for today.",
        "mentions": ["ines"],
        "choices": [{ "choice_id": "q1-yes", "label": "Yes", "style": "confirm" }],
        "notify": true,
    })
}

async fn status(stage: &Stage, request: axum::http::request::Builder, body: &str) -> StatusCode {
    stage
        .ask(request.body(Body::from(body.to_owned())).unwrap())
        .await
        .status()
}

fn call() -> axum::http::request::Builder {
    Request::post("/practice/platform/v1/messages")
        .header("host", "127.0.0.1:8080")
        .header("content-type", "application/json")
}

#[tokio::test]
async fn a_message_is_taken_once_however_often_its_key_comes() {
    let stage = Stage::new();
    let (first, answer) = stage.deliver(KEY, &hello()).await;
    assert_eq!(first, StatusCode::CREATED, "{answer}");
    let created = answer["created"].as_str().unwrap();
    assert!(created.starts_with("2026-03-02T18:05:0"), "{created}");
    assert_eq!(stage.deliver(KEY, &hello()).await, (first, answer.clone()));
    assert_eq!(
        stage.deliver(&KEY.to_uppercase(), &hello()).await.1,
        answer,
        "a UUID has no case"
    );
    let mut other = hello();
    other["text"] = json!("Go on.");
    assert_eq!(
        stage.deliver(KEY, &other).await.0,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(stage.chat.messages_since(0).len(), 1);
}

#[tokio::test]
async fn a_wrong_or_missing_token_changes_nothing() {
    let stage = Stage::new();
    let body = hello().to_string();
    for wrong in ["", "Bearer", "Bearer wrong", "Basic abc", TOKEN] {
        let request = call()
            .header("authorization", wrong)
            .header("idempotency-key", format!("\"{KEY}\""));
        assert_eq!(
            status(&stage, request, &body).await,
            StatusCode::UNAUTHORIZED,
            "{wrong}"
        );
    }
    assert!(stage.chat.messages_since(0).is_empty());
}

#[tokio::test]
async fn the_key_must_be_one_quoted_uuid() {
    let stage = Stage::new();
    let body = hello().to_string();
    let signed = || call().header("authorization", format!("Bearer {TOKEN}"));
    assert_eq!(
        status(&stage, signed(), &body).await,
        StatusCode::BAD_REQUEST
    );
    for wrong in [KEY, "\"\"", "\"order-12\"", "\"8e03978e"] {
        let request = signed().header("idempotency-key", wrong);
        assert_eq!(
            status(&stage, request, &body).await,
            StatusCode::BAD_REQUEST,
            "{wrong}"
        );
    }
    let twice = signed()
        .header("idempotency-key", format!("\"{KEY}\""))
        .header("idempotency-key", format!("\"{KEY}\""));
    assert_eq!(status(&stage, twice, &body).await, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn what_a_real_platform_would_refuse_is_refused_by_the_name_of_the_field() {
    let stage = Stage::new();
    let button = |id: &str, label: &str| json!({ "choice_id": id, "label": label });
    let picture = |data: &str, alt: &str| json!({ "media_type": "image/png", "data_base64": data, "alt": alt });
    let cases = [
        (
            "to",
            json!({ "room_id": "platform", "person_id": "ines" }),
            "to",
        ),
        ("to", json!({}), "to"),
        ("text", json!(""), "text"),
        ("text", json!("x".repeat(4_001)), "text"),
        ("mentions", json!(["a", "b", "c", "d"]), "mentions"),
        ("mentions", json!(["@everyone"]), "mentions"),
        (
            "choices",
            json!(
                (0..6)
                    .map(|at| button(&at.to_string(), "x"))
                    .collect::<Vec<_>>()
            ),
            "choices",
        ),
        (
            "choices",
            json!([button("a", "x"), button("a", "y")]),
            "choice_id",
        ),
        ("choices", json!([button("a", "")]), "label"),
        (
            "choices",
            json!([button(&"a".repeat(65), "x")]),
            "choice_id",
        ),
        ("picture", picture("AAAA", "path"), "picture"),
        ("picture", picture("iVBORw0KGgo=", ""), "picture.alt"),
        ("shout", json!(true), "shout"),
    ];
    for (field, value, named) in cases {
        let mut body = hello();
        body[field] = value;
        let (status, answer) = stage.deliver(KEY, &body).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{body}");
        assert!(
            answer["detail"].as_str().unwrap().contains(named),
            "{answer}"
        );
    }
    assert!(stage.chat.messages_since(0).is_empty());
}

#[tokio::test]
async fn a_private_word_reaches_one_seat_only_and_an_unknown_room_is_not_found() {
    let stage = Stage::new();
    let mut body = hello();
    body["to"] = json!({ "person_id": "ines" });
    assert_eq!(stage.deliver(KEY, &body).await.0, StatusCode::CREATED);
    assert!(
        stage
            .get("/practice?seat=ines")
            .await
            .1
            .contains("Stop for today.")
    );
    assert!(
        !stage
            .get("/practice?seat=tomo")
            .await
            .1
            .contains("Stop for today.")
    );
    for to in [
        json!({ "room_id": "attic" }),
        json!({ "person_id": "nobody" }),
    ] {
        body["to"] = to;
        let other = "1e03978e-40d5-43e8-bc93-6894a57f9324";
        assert_eq!(stage.deliver(other, &body).await.0, StatusCode::NOT_FOUND);
    }
}

#[tokio::test]
async fn the_service_can_replace_and_withdraw_its_own_message_but_nobody_else_s() {
    let stage = Stage::new();
    let id = stage.deliver(KEY, &hello()).await.1["message_id"]
        .as_str()
        .unwrap()
        .to_owned();
    let lifter = stage.act("say", "seat=ines&text=hi").await.1["message_id"].clone();
    let change = |method: &str, id: &str| {
        Request::builder()
            .method(method)
            .uri(format!("/practice/platform/v1/messages/{id}"))
            .header("host", "127.0.0.1:8080")
            .header("authorization", format!("Bearer {TOKEN}"))
            .header("content-type", "application/json")
    };
    let new = r#"{"text":"New words."}"#;
    assert_eq!(
        status(&stage, change("PATCH", &id), new).await,
        StatusCode::OK
    );
    assert_eq!(stage.chat.message(&id).unwrap().text, "New words.");
    let theirs = lifter.as_str().unwrap();
    assert_eq!(
        status(&stage, change("DELETE", theirs), "").await,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        status(&stage, change("DELETE", &id), "").await,
        StatusCode::NO_CONTENT
    );
    assert_eq!(
        status(&stage, change("DELETE", &id), "").await,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn an_oversized_body_is_refused_with_413() {
    let stage = Stage::new();
    let request = call()
        .header("authorization", format!("Bearer {TOKEN}"))
        .header("idempotency-key", format!("\"{KEY}\""));
    let body = Body::from(vec![b' '; 2 << 20]);
    let (status, _) = read(stage.ask(request.body(body).unwrap()).await).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
}
