//! What a seat does and what the service hears of it; and who is not let in.

use super::stage::{Stage, post, read};
use axum::body::Body;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};

#[tokio::test]
async fn a_lifter_s_words_reach_the_service_as_a_platform_would_send_them() {
    let stage = Stage::new();
    let (status, answer) = stage.act("say", "seat=ines&text=squat+140+kg+x+5").await;
    assert_eq!(status, StatusCode::OK);
    let event = &stage.events()[0];
    assert_eq!(event["specversion"], "1.0");
    assert_eq!(event["source"], "/chat/practice");
    assert_eq!(event["type"], "message.created");
    assert!(
        event["time"]
            .as_str()
            .unwrap()
            .starts_with("2026-03-02T18:05:0")
    );
    assert_eq!(
        event["data"],
        json!({
            "room_id": "platform", "thread_id": null,
            "actor": { "id": "ines", "display_name": "Ines Falk", "kind": "person" },
            "message_id": answer["message_id"], "version": 1, "text": "squat 140 kg x 5",
            "reply_to": null, "attachments": [],
        })
    );
}

#[tokio::test]
async fn a_picture_goes_along_as_the_contract_has_it_and_what_is_none_is_refused() {
    let stage = Stage::new();
    // The eight bytes every PNG begins with (PNG specification, section 5.2); %2B and %3D are + and =.
    let file = "file_name=side.png&file_type=image/png&file_data=iVBORw0KGgo%3D";
    let (status, _) = stage.act("say", &format!("seat=ines&text=&{file}")).await;
    assert_eq!(status, StatusCode::OK);
    let data = stage.events()[0]["data"].clone();
    assert_eq!(data["text"], "");
    let sent = &data["attachments"][0];
    for (field, wanted) in [
        ("name", json!("side.png")),
        ("media_type", json!("image/png")),
        ("size", json!(8)),
        // `printf '\x89PNG\r\n\x1a\n' | sha256sum`, GNU coreutils.
        (
            "sha256",
            json!("4c4b6a3be1314ab86138bef4314dde022e600960d8689a2c8f8631802d20dab6"),
        ),
        ("data_base64", json!("iVBORw0KGgo=")),
    ] {
        assert_eq!(sent[field], wanted, "{field}");
    }
    let (_, page) = stage.get("/practice?seat=ines").await;
    assert!(page.contains("sent along: side.png"), "{page}");
    for (wrong, why) in [
        (
            "file_name=a.gif&file_type=image/gif&file_data=R0lGODlh",
            "image/png",
        ),
        (
            "file_name=a.png&file_type=image/png&file_data=%25%25",
            "base64",
        ),
        ("file_type=image/png&file_data=iVBORw0KGgo%3D", "file_name"),
    ] {
        let (status, told) = stage.act("say", &format!("seat=ines&text=x&{wrong}")).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{wrong}");
        assert!(told.to_string().contains(why), "{wrong}: {told}");
    }
    assert_eq!(stage.events().len(), 1);
}

#[tokio::test]
async fn a_reply_stands_in_the_thread_of_what_it_answers() {
    let stage = Stage::new();
    let first = said(&stage.act("say", "seat=ines&text=one").await.1);
    let second = said(
        &stage
            .act("say", &format!("seat=tomo&text=two&reply_to={first}"))
            .await
            .1,
    );
    stage
        .act("say", &format!("seat=ines&text=three&reply_to={second}"))
        .await;
    let last = stage.events()[2]["data"].clone();
    assert_eq!(
        (&last["thread_id"], &last["reply_to"]),
        (&json!(first), &json!(second))
    );
}

#[tokio::test]
async fn edit_take_back_and_leave_are_told_with_version_and_person() {
    let stage = Stage::new();
    let id = said(&stage.act("say", "seat=ines&text=squat+14+kg").await.1);
    let refused = stage
        .act("edit", &format!("seat=tomo&message={id}&text=x"))
        .await
        .0;
    assert_eq!(refused, StatusCode::FORBIDDEN);
    stage
        .act("edit", &format!("seat=ines&message={id}&text=squat+140+kg"))
        .await;
    stage
        .act("delete", &format!("seat=ines&message={id}"))
        .await;
    stage.act("leave", "seat=ines").await;
    let events = stage.events();
    let types: Vec<_> = events
        .iter()
        .map(|event| event["type"].as_str().unwrap())
        .collect();
    assert_eq!(
        types,
        [
            "message.created",
            "message.created",
            "message.deleted",
            "member.left"
        ]
    );
    assert_eq!(events[1]["data"]["version"], 2);
    assert_eq!(events[2]["data"]["deleted_by"], "ines");
    assert_eq!(events[3]["data"]["member_id"], "ines");
    assert_eq!(events[3]["data"]["reason"], "left");
    let mut ids: Vec<_> = events
        .iter()
        .map(|event| event["id"].as_str().unwrap())
        .collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), 4, "every event has its own id");
}

#[tokio::test]
async fn a_pressed_button_is_told_and_one_in_another_s_private_room_cannot_be_pressed() {
    let stage = Stage::new();
    let body = json!({
        "to": { "person_id": "ines" }, "text": "Did it pop?",
        "choices": [{ "choice_id": "q-pop:yes", "label": "Yes" }],
    });
    let key = "8e03978e-40d5-43e8-bc93-6894a57f9324";
    let id = said(&stage.deliver(key, &body).await.1);
    let press = |seat: &str| format!("seat={seat}&message={id}&choice=q-pop%3Ayes");
    assert_eq!(
        stage.act("press", &press("tomo")).await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        stage.act("press", &press("vera")).await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(stage.act("press", &press("ines")).await.0, StatusCode::OK);
    let event = &stage.events()[0];
    assert_eq!(event["type"], "choice.selected");
    assert_eq!(event["data"]["choice_id"], "q-pop:yes");
    assert_eq!(event["data"]["room_id"], "private-ines");
}

#[tokio::test]
async fn the_set_form_goes_out_typed_with_empty_fields_left_out() {
    let stage = Stage::new();
    let form =
        "seat=ines&lift=bench&load=102%2C5&unit=kg&reps=4&rpe=&alone=no&safeties=&words=stuck";
    assert_eq!(stage.act("submit", form).await.0, StatusCode::OK);
    let data = &stage.events()[0]["data"];
    assert_eq!(
        (&data["form_id"], &data["form_version"]),
        (&json!("set-report"), &json!(1))
    );
    assert_eq!(
        data["fields"],
        json!({ "lift": "bench", "load": 102.5, "unit": "kg", "reps": 4.0, "alone": false, "words": "stuck" })
    );
    for (wrong, named) in [
        ("lift=curl", "lift"),
        ("load=heavy", "load"),
        ("load=inf", "load"),
        ("alone=perhaps", "alone"),
        ("words=", "empty"),
    ] {
        let (status, answer) = stage.act("submit", &format!("seat=ines&{wrong}")).await;
        assert_eq!(status, StatusCode::BAD_REQUEST);
        assert!(
            answer["detail"].as_str().unwrap().contains(named),
            "{answer}"
        );
    }
}

#[tokio::test]
async fn json_is_read_as_a_form_is() {
    let stage = Stage::new();
    let request = Request::post("/practice/submit")
        .header("host", "localhost:8080")
        .header("content-type", "application/json");
    let body = json!({ "seat": "ines", "load": 140, "safeties": true }).to_string();
    assert_eq!(
        stage
            .ask(request.body(Body::from(body)).unwrap())
            .await
            .status(),
        StatusCode::OK
    );
    let fields = stage.events()[0]["data"]["fields"].clone();
    assert_eq!(fields, json!({ "load": 140.0, "safeties": true }));
}

#[tokio::test]
async fn a_busy_service_is_asked_again_with_the_same_event_and_a_refusal_is_shown() {
    let stage = Stage::new();
    stage.door.answers.lock().unwrap().extend([503, 202, 422]);
    assert_eq!(
        stage.act("say", "seat=ines&text=one").await.0,
        StatusCode::OK
    );
    let events = stage.events();
    assert_eq!(events.len(), 2);
    assert_eq!(events[0], events[1]);
    let (status, answer) = stage.act("say", "seat=ines&text=two").await;
    assert_eq!(status, StatusCode::BAD_GATEWAY);
    assert_eq!(answer["detail"], "The service could not read this.");
    assert!(
        stage
            .get("/practice?seat=ines")
            .await
            .1
            .contains("could not read this")
    );
}

#[tokio::test]
async fn a_seat_enters_its_own_room_and_only_the_coach_every_room() {
    let stage = Stage::new();
    assert_eq!(
        stage.act("say", "seat=ines&room=office&text=x").await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        stage.act("say", "seat=ines&room=attic&text=x").await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        stage.act("say", "seat=nobody&text=x").await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        stage.act("say", "seat=vera&room=platform&text=x").await.0,
        StatusCode::OK
    );
    assert_eq!(
        stage.get("/practice/feed?seat=ines&room=office").await.0,
        StatusCode::NOT_FOUND
    );
    assert_eq!(stage.events().len(), 1);
}

#[tokio::test]
async fn the_feed_brings_what_came_after_a_number_and_tells_a_new_run() {
    let stage = Stage::new();
    stage.act("say", "seat=ines&text=one").await;
    let news = |path: &str| {
        let path = path.to_owned();
        let stage = &stage;
        async move {
            let text = stage.get(&path).await.1;
            serde_json::from_str::<Value>(&text).unwrap()
        }
    };
    let first = news("/practice/feed?seat=ines&room=platform&after=0&mark=t").await;
    assert_eq!(first["messages"][0]["text"], "one");
    assert_eq!(first["messages"][0]["handover"]["state"], "taken");
    let next = first["next"].as_u64().unwrap();
    stage.act("say", "seat=tomo&text=two").await;
    let path = format!("/practice/feed?seat=ines&room=platform&after={next}&mark=t");
    let second = news(&path).await;
    assert_eq!(second["messages"].as_array().unwrap().len(), 1);
    let other = news("/practice/feed?room=platform&after=900&mark=an-earlier-run").await;
    assert_eq!((&other["mark"], &other["next"]), (&json!("t"), &json!(0)));
}

#[tokio::test]
async fn a_page_that_waits_is_told_when_the_service_stops() {
    let stage = Stage::new();
    stage.chat.close();
    let (status, _) = stage
        .get("/practice/feed?room=platform&after=0&mark=t")
        .await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
}

#[tokio::test]
async fn without_scripts_a_post_leads_back_to_the_page_that_shows_it() {
    let stage = Stage::new();
    let form = Body::from("seat=ines&room=platform&text=hello+there");
    let answer = stage.ask(post("say").body(form).unwrap()).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    let to = answer.headers()["location"].to_str().unwrap().to_owned();
    assert_eq!(to, "/practice?seat=ines&room=platform#newest");
    let (status, page) = stage.get(to.split('#').next().unwrap()).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("hello there"));

    let id = stage.chat.messages_since(0)[0].id.clone();
    let replying = stage
        .get(&format!("/practice?seat=tomo&reply={id}"))
        .await
        .1;
    assert!(replying.contains("Answering Ines Falk: “hello there”"));
    assert!(replying.contains(&format!("name=\"reply_to\" value=\"{id}\"")));
    let example = stage.get("/practice?seat=ines&example=2").await.1;
    assert!(
        example.contains(">Squatted 225 for 3 today"),
        "the example stands in the box"
    );

    let (status, page) = read(
        stage
            .ask(post("say").body(Body::from("seat=ines&text=")).unwrap())
            .await,
    )
    .await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(page.contains("text is missing.") && page.contains("Back to the room"));
}

#[tokio::test]
async fn the_page_shows_the_newest_fifty() {
    let stage = Stage::new();
    for at in 0..60 {
        stage
            .act("say", &format!("seat=ines&text=word-{at}-end"))
            .await;
    }
    let page = stage.get("/practice?seat=ines").await.1;
    assert_eq!(page.matches("<li id=\"c-").count(), 50);
    assert!(page.contains("word-59-end") && !page.contains("word-9-end"));
}

#[tokio::test]
async fn another_page_s_form_and_another_host_name_change_nothing() {
    let stage = Stage::new();
    let cases = [
        ("host", "gym.example:8080"),
        ("host", "127.0.0.1.gym.example"),
        ("host", "192.168.1.10:8080"),
        ("origin", "http://evil.example"),
        ("origin", "http://127.0.0.1:9999"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ];
    for (name, value) in cases {
        let mut request = post("say").body(Body::from("seat=ines&text=x")).unwrap();
        request.headers_mut().insert(name, value.parse().unwrap());
        assert_eq!(
            stage.ask(request).await.status(),
            StatusCode::FORBIDDEN,
            "{name}: {value}"
        );
    }
    let request = Request::get("/practice").body(Body::empty()).unwrap();
    assert_eq!(
        stage.ask(request).await.status(),
        StatusCode::FORBIDDEN,
        "no Host"
    );
    let read_from_afar = Request::get("/practice/feed?room=platform")
        .header("host", "127.0.0.1:8080")
        .header("sec-fetch-site", "cross-site");
    let answer = stage.ask(read_from_afar.body(Body::empty()).unwrap()).await;
    assert_eq!(answer.status(), StatusCode::FORBIDDEN);
    assert!(stage.events().is_empty() && stage.chat.messages_since(0).is_empty());
}

#[tokio::test]
async fn more_than_64_kib_is_refused_and_with_a_file_more_than_512() {
    let stage = Stage::new();
    for (what, bytes) in [("edit", 70_000), ("submit", 70_000), ("say", 530_000)] {
        let form = format!("seat=ines&message=m&text={}", "x".repeat(bytes));
        let (status, _) = stage.act(what, &form).await;
        assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE, "{what}");
    }
    let file = format!(
        "file_name=a.csv&file_type=text/csv&file_data={}",
        "QUFB".repeat(87_382)
    );
    let (status, answer) = stage.act("say", &format!("seat=ines&text=x&{file}")).await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(answer.to_string().contains("262146 bytes"), "{answer}");
    let (status, answer) = stage
        .act("say", &format!("seat=ines&text={}", "x".repeat(8_001)))
        .await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(
        answer["detail"].as_str().unwrap().contains("8001"),
        "{answer}"
    );
    assert!(stage.events().is_empty());
}

fn said(answer: &Value) -> String {
    answer["message_id"].as_str().unwrap().to_owned()
}
