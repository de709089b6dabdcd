//! What the page puts before a reader, the way over real HTTP, and a room to look at by hand.

use super::stage::{Stage, TOKEN, chat, clock, people, read, seat};
use crate::clock::Clock;
use crate::platform::door::HttpDoor;
use crate::platform::{
    BearerToken, ChatPlatform as _, GenericPlatform, GenericSettings, PostFault,
};
use crate::practice::{EventDoor as _, PLATFORM_PREFIX, PracticeParts, SeatKind, router};
use crate::record::{ChoiceButton, ChoiceStyle, Keep, Outgoing, Purpose, Recipient};
use crate::signing::Secret;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use axum::routing::post;
use serde_json::json;
use std::sync::{Arc, Mutex};

const HOSTILE: &str = "<script>alert(1)</script>\"><img src=x onerror=alert(2)>";

#[tokio::test]
async fn scripts_in_words_names_and_button_labels_are_shown_as_text() {
    let mut cast = people();
    cast.push(seat("bad", HOSTILE, HOSTILE, SeatKind::Lifter, "platform"));
    let stage = Stage::with(cast);
    let form =
        "seat=bad&text=%3Cscript%3Ealert(1)%3C%2Fscript%3E%22%3E%3Cimg+src%3Dx+onerror%3D1%3E";
    stage.act("say", form).await;
    let body = json!({
        "to": { "room_id": "platform" },
        "text": format!("You wrote: **{HOSTILE}** [x](javascript:alert(3))"),
        "choices": [{ "choice_id": "\"><script>", "label": "\"><script>alert(4)</script>" }],
        "picture": { "media_type": "image/png", "data_base64": "iVBORw0KGgo=", "alt": HOSTILE },
    });
    let key = "8e03978e-40d5-43e8-bc93-6894a57f9324";
    assert_eq!(stage.deliver(key, &body).await.0, StatusCode::CREATED);
    for path in ["/practice?seat=bad", "/practice?seat=ines"] {
        let page = stage.get(path).await.1;
        assert_eq!(
            page.matches("<script").count(),
            1,
            "only the page's own script: {page}"
        );
        assert!(!page.contains("<img src=x"), "{page}");
        assert!(!page.contains("href=\"javascript:"), "{page}");
        assert!(page.contains("&lt;script&gt;alert(1)"));
    }
    let asked = stage.get("/practice?seat=%22%3E%3Cscript%3E").await;
    assert_eq!(asked.0, StatusCode::NOT_FOUND);
    assert!(!asked.1.contains("\"><script>"));
}

#[tokio::test]
async fn every_answer_of_the_page_carries_the_strict_policy_and_nothing_is_inline() {
    let stage = Stage::new();
    for path in [
        "/practice",
        "/practice/page.css",
        "/practice/page.js",
        "/practice?seat=nobody",
    ] {
        let request = Request::get(path).header("host", "[::1]:8080");
        let answer = stage.ask(request.body(Body::empty()).unwrap()).await;
        let policy = answer.headers()["content-security-policy"]
            .to_str()
            .unwrap()
            .to_owned();
        assert_eq!(
            policy,
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
             connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
        );
        assert_eq!(answer.headers()["x-content-type-options"], "nosniff");
        let (_, text) = read(answer).await;
        assert!(
            !text.contains(" style=\"") && !text.contains(" onclick="),
            "{path}"
        );
        assert!(
            !text.contains("innerHTML") && !text.contains("insertAdjacentHTML"),
            "{path}"
        );
    }
}

#[tokio::test]
async fn events_arrive_over_http_with_the_headers_of_standard_webhooks() {
    let seen: Arc<Mutex<Vec<(HeaderMap, Bytes)>>> = Arc::default();
    let notebook = seen.clone();
    let take = move |headers: HeaderMap, body: Bytes| async move {
        notebook.lock().unwrap().push((headers, body));
        StatusCode::ACCEPTED
    };
    let app = axum::Router::new().route("/events", post(take));
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let server = tokio::spawn(async move { axum::serve(listener, app).await });

    // Secret, id, time, body and signature as published in the test suites of Standard Webhooks.
    let door = HttpDoor::new(&format!("http://{address}/events"), secret()).unwrap();
    let time = jiff::Timestamp::from_second(1_614_265_330).unwrap();
    let body = br#"{"test": 2432232314}"#.to_vec();
    let status = door
        .post("msg_p5jXN8AQM9LWM0D4loKWxJek", body.clone(), time)
        .await;
    assert_eq!(status, Ok(202));
    let (headers, got) = seen.lock().unwrap()[0].clone();
    assert_eq!(got, body);
    assert_eq!(headers["webhook-id"], "msg_p5jXN8AQM9LWM0D4loKWxJek");
    assert_eq!(headers["webhook-timestamp"], "1614265330");
    assert_eq!(
        headers["webhook-signature"],
        "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
    );
    assert_eq!(headers["content-type"], "application/cloudevents+json");
    server.abort();
    assert!(server.await.unwrap_err().is_cancelled());
    let gone = door.post("evt-1", body, time).await.unwrap_err();
    assert_eq!(gone, "no connection");
}

#[tokio::test]
async fn the_service_s_own_sender_and_the_platform_agree_over_http() {
    let stage = Stage::new();
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let base = format!("http://{}{PLATFORM_PREFIX}", listener.local_addr().unwrap());
    let app = stage.app.clone();
    let server = tokio::spawn(async move { axum::serve(listener, app).await });
    let send = |token: &str| {
        let settings = GenericSettings::new(base.clone(), BearerToken::parse(token).unwrap());
        GenericPlatform::new(settings, Arc::new(clock())).unwrap()
    };
    let mut message = Outgoing {
        key: "8e03978e-40d5-43e8-bc93-6894a57f9324".to_owned(),
        source: "/chat/practice".to_owned(),
        to: Recipient::PersonId("ines".to_owned()),
        thread_id: Some("m-1".to_owned()),
        reply_to: Some("m-1".to_owned()),
        text: "Which plates do you have?".to_owned(),
        mentions: vec!["ines".to_owned()],
        choices: vec![ChoiceButton {
            choice_id: "plates:kg".to_owned(),
            label: "Kilograms".to_owned(),
            style: ChoiceStyle::Confirm,
        }],
        picture: None,
        notify: true,
        purpose: Purpose::Reply,
        case_id: None,
        person_id: None,
        plain: false,
        keep: Keep::All,
        unpost: None,
    };
    let good = send(TOKEN);
    let first = good.post(&message).await.unwrap();
    assert_eq!(
        good.post(&message).await.unwrap(),
        first,
        "a retry posts nothing new"
    );
    let kept = stage.chat.message(&first.message_id).unwrap();
    assert_eq!(kept.room_id, "private-ines");
    assert_eq!(
        (&kept.choices, &kept.mentions),
        (&message.choices, &message.mentions)
    );
    assert_eq!(stage.chat.messages_since(0).len(), 1);

    message.text.push_str(" Tell me.");
    let reused = good.post(&message).await;
    assert!(matches!(
        reused,
        Err(PostFault::Refused {
            status: Some(422),
            ..
        })
    ));
    let stranger = send("another-token-0123456789").post(&message).await;
    assert!(matches!(stranger, Err(PostFault::Unauthorised)));
    message.to = Recipient::RoomId("attic".to_owned());
    message.key = "1e03978e-40d5-43e8-bc93-6894a57f9324".to_owned();
    assert!(matches!(good.post(&message).await, Err(PostFault::Gone)));
    server.abort();
}

fn secret() -> Secret {
    Secret::parse("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").unwrap()
}

/// Serves a room with a few messages for a person to look at in a browser:
/// `PRACTICE_PORT=8099 cargo test -p cueline-bot --lib a_room_to_look_at -- --ignored`.
#[tokio::test]
#[ignore = "serves until it is stopped"]
async fn a_room_to_look_at() {
    let stage = Stage::new();
    fill(&stage).await;
    let port = std::env::var("PRACTICE_PORT").unwrap_or_else(|_| "8099".to_owned());
    let listener = tokio::net::TcpListener::bind(format!("127.0.0.1:{port}"))
        .await
        .unwrap();
    axum::serve(listener, stage.app).await.unwrap();
}

async fn fill(stage: &Stage) {
    stage.act("say", "seat=tomo&text=Evening.+Bench+day.").await;
    let set = "seat=ines&text=Squat+140+kg+x+5+at+RPE+8%2C+I+weigh+92+kg.+Out+of+the+bottom+my+hips+shoot+up+first+and+I+tip+forward.+What+should+I+change%3F";
    let id = stage.act("say", set).await.1["message_id"]
        .as_str()
        .unwrap()
        .to_owned();
    let reply = json!({
        "to": { "room_id": "platform", "thread_id": id, "reply_to": id },
        "text": "**What I read:** squat, 140 kg (309 lb), 5 reps at RPE 8.\n\n**Where you stand:** about 168 kg (370 lb), likely 160 to 176 kg; this set was 83 % of it.\n\n**Most likely:** the hips rise before the bar, because the brace lets go at the bottom.\n\n**Next session**\n- Cue: *\"chest and hips together\"*\n- Set-up: big breath, hold it until the bar passes the knee\n\n**Practise:** paused squat, 3 x 4 with `120 kg` (265 lb), each side 20 + 20 + 10 kg, for 2 weeks.\n\n**Film** from the side, lens at hip height. Post again by 16 March.\n\n**One question:** do your heels come up?",
        "mentions": ["ines"],
        "choices": [
            { "choice_id": "heels:yes", "label": "Yes, they lift", "style": "plain" },
            { "choice_id": "heels:no", "label": "No, flat", "style": "plain" },
            { "choice_id": "coach", "label": "Ask the coach", "style": "confirm" },
            { "choice_id": "forget", "label": "Forget this set", "style": "danger" },
        ],
    });
    let key = "8e03978e-40d5-43e8-bc93-6894a57f9324";
    let asked = stage.deliver(key, &reply).await.1["message_id"]
        .as_str()
        .unwrap()
        .to_owned();
    stage
        .act(
            "press",
            &format!("seat=ines&message={asked}&choice=heels%3Ano"),
        )
        .await;
    stage
        .act(
            "say",
            "seat=vera&room=platform&text=Good+description.+I+will+look+tonight.",
        )
        .await;
    stage.door.answers.lock().unwrap().extend([422]);
    stage.act("say", "seat=ines&text=And+the+bench%3F").await;
    let private = json!({ "to": { "person_id": "ines" }, "text": "Your reminders are **on**. Write `stop reminders` to end them." });
    stage
        .deliver("1e03978e-40d5-43e8-bc93-6894a57f9324", &private)
        .await;
    let gone = stage.act("say", "seat=ines&text=oops").await.1["message_id"]
        .as_str()
        .unwrap()
        .to_owned();
    stage
        .act("delete", &format!("seat=ines&message={gone}"))
        .await;
    let waiting = json!({ "to": { "room_id": "office" }, "text": "**Case 1**, Ines Falk, squat: waits for you.", "choices": [{ "choice_id": "take", "label": "Take it", "style": "confirm" }] });
    stage
        .deliver("2e03978e-40d5-43e8-bc93-6894a57f9324", &waiting)
        .await;
}

/// Relative luminance and contrast after WCAG 2.2, section "relative luminance" and "contrast
/// ratio" of its definitions.
fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |colour: &str| {
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn text_and_edges_keep_the_contrast_of_wcag_aa_in_light_and_in_dark() {
    // The greatest ratio there is, and the grey that just misses 4.5 on white.
    assert!((contrast("#ffffff", "#000000") - 21.0).abs() < 1e-9);
    assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.01);

    let style = include_str!("../page.css");
    let sets: Vec<&str> = style
        .split(":root {")
        .skip(1)
        .map(|set| set.split('}').next().unwrap())
        .collect();
    assert_eq!(sets.len(), 2, "light and dark");
    for set in sets {
        let colour = |name: &str| {
            let after = set.split(&format!("--{name}: ")).nth(1).unwrap();
            after.split(';').next().unwrap()
        };
        for ground in ["ground", "sheet", "sheet-service"] {
            for text in ["ink", "soft", "strong", "warn"] {
                let ratio = contrast(colour(text), colour(ground));
                assert!(ratio >= 4.5, "{text} on {ground}: {ratio:.2}");
            }
            let ratio = contrast(colour("edge"), colour(ground));
            assert!(ratio >= 3.0, "edge of a box on {ground}: {ratio:.2}");
        }
        assert!(contrast(colour("on-strong"), colour("strong")) >= 4.5);
        assert!(contrast(colour("warn"), colour("warn-ground")) >= 4.5);
    }
}

#[test]
fn parts_do_not_show_their_token() {
    let clock: Arc<dyn Clock> = Arc::new(clock());
    let door = Arc::new(HttpDoor::new("http://127.0.0.1:1/events", secret()).unwrap());
    let parts = PracticeParts {
        chat: chat(),
        door,
        clock,
        people: people(),
        token: TOKEN.to_owned(),
        source: "/chat/practice".to_owned(),
    };
    assert!(!format!("{parts:?}").contains(TOKEN));
    let _ = router(parts);
}
