//! Bad input over real HTTP: a clear refusal, and nothing lost. Figures that cannot be true: a
//! clear answer in chat.

use crate::first_report::SET;
use anyhow::{Context, Result};
use cueline_bot::record::CaseState;
use cueline_tests::builders::{EventBuilder, Signed};
use cueline_tests::stage::{Answer, LIFTERS, Stage};
use jiff::SignedDuration;
use serde_json::{Value, json};
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

on_both_engines!(
    every_fault_of_a_signature_is_answered_in_the_same_words,
    a_body_over_the_limit_is_refused_before_it_is_sent,
    a_wrong_format_is_refused,
    what_is_no_json_is_refused_and_kept_for_a_person,
    fields_that_are_not_as_agreed_are_named,
    another_platforms_source_is_refused,
    a_type_nobody_handles_is_taken_and_left,
    a_service_that_stops_asks_to_try_again,
    figures_that_cannot_be_true_are_answered_in_chat,
    a_form_that_cannot_be_true_names_the_field,
    hostile_words_change_nothing,
);

async fn every_fault_of_a_signature_is_answered_in_the_same_words(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let good = stage.signed(&mara.says(SET))?;
    let changed = |change: &dyn Fn(&mut Signed)| {
        let mut signed = good.clone();
        change(&mut signed);
        signed
    };
    let now = stage.now();
    let event = mara.says(SET);
    let stale = now.checked_sub(SignedDuration::from_secs(301))?;
    let early = now.checked_add(SignedDuration::from_secs(305))?;
    let at = |time| -> Result<Signed> {
        let secret = &stage.river.secret;
        Ok(Signed::new(secret, &event.id, event.body(now)?, time))
    };
    let other_secret = Signed::new(
        &cueline_bot::signing::Secret::generate()?,
        &event.id,
        event.body(now)?,
        now,
    );
    let bad = [
        changed(&|signed| signed.body.push(b' ')),
        changed(&|signed| signed.id = "e-999".to_owned()),
        changed(&|signed| signed.timestamp = "soon".to_owned()),
        changed(&|signed| signed.signature = "v1,AAAA".to_owned()),
        changed(&|signed| signed.signature = String::new()),
        changed(&|signed| signed.signature = signed.signature.replace("v1,", "v2,")),
        at(stale)?,
        at(early)?,
        other_secret,
    ];
    let mut words = Vec::new();
    for signed in bad {
        let mut answer = stage.post(signed).await?;
        assert_eq!(answer.status, 401, "{answer:?}");
        // The id of the request is the one thing that differs.
        if let Some(problem) = answer.problem.as_object_mut() {
            problem.remove("instance");
        }
        words.push(answer.problem);
    }
    assert!(words.iter().all(|said| *said == words[0]), "{words:#?}");
    assert_eq!(stage.post(good).await?.status, 202, "the good one is taken");
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 1);
    Ok(())
}

async fn a_body_over_the_limit_is_refused_before_it_is_sent(stage: &mut Stage) -> Result<()> {
    let mut wire = tokio::net::TcpStream::connect(stage.address()?).await?;
    let head = "POST /events HTTP/1.1\r\nhost: here\r\n\
                content-type: application/cloudevents+json\r\ncontent-length: 100000000\r\n\r\n";
    wire.write_all(head.as_bytes()).await?;
    // Not one byte of the body is sent, and the answer comes all the same.
    let mut answer = vec![0; 512];
    let reading = wire.read(&mut answer);
    let read = tokio::time::timeout(Duration::from_secs(5), reading).await??;
    let text = String::from_utf8_lossy(answer.get(..read).context("what was read")?).into_owned();
    assert!(text.starts_with("HTTP/1.1 413"), "{text}");
    assert!(text.contains("application/problem+json"), "{text}");
    Ok(())
}

async fn a_wrong_format_is_refused(stage: &mut Stage) -> Result<()> {
    for kind in [
        "application/json",
        "text/plain",
        "application/cloudevents+json; charset=utf-16",
    ] {
        let mut signed = stage.signed(&stage.lifter("mara").says(SET))?;
        kind.clone_into(&mut signed.content_type);
        let answer = stage.post(signed).await?;
        assert_eq!(answer.status, 415, "{kind}");
        assert!(answer.problem["detail"].is_string());
    }
    Ok(())
}

async fn what_is_no_json_is_refused_and_kept_for_a_person(stage: &mut Stage) -> Result<()> {
    let bodies: [&[u8]; 4] = [b"{", b"\xff\x00\x2e", b"{\"a\":1}{}", b"[1e400]"];
    for (number, body) in bodies.into_iter().enumerate() {
        let id = format!("bad-{number}");
        let signed = Signed::new(&stage.river.secret, &id, body.to_vec(), stage.now());
        let answer = stage.post(signed).await?;
        assert!(matches!(answer.status, 400 | 422), "{id}: {answer:?}");
        assert_eq!(answer.problem["status"], answer.status);
    }
    let kept = stage
        .look()
        .number("SELECT COUNT(*) FROM quarantine")
        .await?;
    assert_eq!(kept, 4, "signed, so a person may look at it");
    Ok(())
}

async fn fields_that_are_not_as_agreed_are_named(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let says = || mara.says(SET);
    let long = "x".repeat(8_001);
    let bad: [(EventBuilder, &str); 9] = [
        (says().set("version", json!(0)), "data.version"),
        (says().set("version", json!("1")), "data.version"),
        (says().set("text", json!(long)), "data.text"),
        (says().set("text", Value::Null), "data.text"),
        (says().set("room_id", json!("../etc")), "data.room_id"),
        (says().set("message_id", json!(12)), "data.message_id"),
        (says().set("colour", json!("red")), "data.colour"),
        (
            mara.called("\u{202e}aram").says(SET),
            "data.actor.display_name",
        ),
        (mara.leaves().set("reason", json!("bored")), "data.reason"),
    ];
    for (event, field) in bad {
        let answer = stage.hand_in(&event).await?;
        assert_eq!(answer.status, 422, "{field}: {answer:?}");
        assert!(answer.fields().contains(&field), "{field}: {answer:?}");
        let error = &answer.problem["errors"][0];
        assert!(error["found"].is_string() && error["accepted"].is_string());
    }
    stage.rest().await?;
    assert!(stage.river.messages().is_empty());
    Ok(())
}

async fn another_platforms_source_is_refused(stage: &mut Stage) -> Result<()> {
    let event = stage.person("/chat/hill", "mara", LIFTERS).says(SET);
    let body = event.body(stage.now())?;
    let signed = Signed::new(&stage.river.secret, &event.id, body, stage.now());
    assert_eq!(stage.post(signed).await?.status, 403);
    Ok(())
}

async fn a_type_nobody_handles_is_taken_and_left(stage: &mut Stage) -> Result<()> {
    let event = stage.lifter("mara").says(SET);
    let body = String::from_utf8(event.body(stage.now())?)?;
    let body = body
        .replace("message.created", "reaction.added")
        .into_bytes();
    let signed = Signed::new(&stage.river.secret, &event.id, body, stage.now());
    assert_eq!(stage.post(signed).await?.status, 202);
    stage.rest().await?;
    assert!(stage.river.messages().is_empty());
    Ok(())
}

/// Refused with a time to come back, or nobody there any more.
fn may_come_again(answer: Result<Answer>) -> bool {
    answer.map_or(true, |answer| {
        answer.status == 503 && answer.retry_after.is_some()
    })
}

async fn a_service_that_stops_asks_to_try_again(stage: &mut Stage) -> Result<()> {
    // A slow platform keeps the service at its last work while it stops.
    stage.river.fails(
        1,
        cueline_tests::platform::Fault::Slow(Duration::from_millis(600)),
    );
    stage.send(&stage.lifter("mara").says(SET)).await?;
    stage
        .river
        .wait_until("the slow request", |platform| platform.heard().len() == 1)
        .await?;
    let address = stage.address()?;
    let event = stage
        .lifter("joel")
        .in_room("room-b")
        .says(SET)
        .at(stage.now());
    let signed = stage.signed(&event)?;
    let other = reqwest::Client::builder().no_proxy().build()?;
    let knock = || async {
        let answer = other
            .post(format!("http://{address}/events"))
            .header("content-type", &signed.content_type)
            .header("webhook-id", &signed.id)
            .header("webhook-timestamp", &signed.timestamp)
            .header("webhook-signature", &signed.signature)
            .body(signed.body.clone())
            .send()
            .await?;
        Ok(Answer {
            status: answer.status().as_u16(),
            retry_after: answer
                .headers()
                .get("retry-after")
                .and_then(|value| value.to_str().ok().map(str::to_owned)),
            problem: Value::Null,
        })
    };
    let ((), answer) = tokio::join!(stage.stop(), async {
        tokio::task::yield_now().await;
        knock().await
    });
    let taken = answer.as_ref().is_ok_and(|answer| answer.status == 202);
    assert!(taken || may_come_again(answer), "refused for good");
    stage.start().await?;
    let again = stage.hand_in(&event).await?;
    assert_eq!(again.status, if taken { 200 } else { 202 });
    stage.rest().await?;
    assert_eq!(stage.river.messages_to("room-b").len(), 1);
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 1);
    Ok(())
}

async fn figures_that_cannot_be_true_are_answered_in_chat(stage: &mut Stage) -> Result<()> {
    let cases = [
        ("squat 8 kg x 3 @8, hips shoot up", ["**load**", "8 kg"]),
        (
            "squat 1200 kg x 3 @8, hips shoot up",
            ["**load**", "1200 kg"],
        ),
        ("squat 140 kg x 0 @8, hips shoot up", ["**reps**", "0"]),
    ];
    for (number, (text, parts)) in cases.into_iter().enumerate() {
        let room = format!("room{number}");
        let lifter = stage.lifter(&format!("lifter{number}")).in_room(&room);
        stage.play(&lifter.says(text)).await?;
        let said = stage.river.messages_to(&room);
        assert_eq!(said.len(), 1, "{text}: {said:#?}");
        for part in parts.into_iter().chain(["I accept"]) {
            assert!(
                said[0].text.contains(part),
                "{text}: {part} in {}",
                said[0].text
            );
        }
        assert!(!said[0].text.contains("a side"), "{text}: {}", said[0].text);
        // Nothing is lost: the right figure alone is enough.
        assert_eq!(stage.case_of(&lifter).await?.state, CaseState::Asking);
        stage
            .play(&lifter.says("sorry, squat 140 kg x 3 @8"))
            .await?;
        let last = stage.river.last_to(&room)?;
        assert!(
            last.text.contains("140 kg (309 lb) x 3"),
            "{text}: {}",
            last.text
        );
        assert!(!last.text.contains("I accept"), "{text}: {}", last.text);
        let kept = stage.case_of(&lifter).await?;
        assert!(
            kept.body
                .rounds
                .iter()
                .any(|round| round.present.contains(&"sq-hips-shoot".to_owned())),
            "{text}: what was seen is still known"
        );
    }
    Ok(())
}

async fn a_form_that_cannot_be_true_names_the_field(stage: &mut Stage) -> Result<()> {
    let bad = [
        (
            json!({ "lift": "squat", "load": 8, "unit": "kg", "reps": 5 }),
            "load",
        ),
        (
            json!({ "lift": "squat", "load": 1200, "unit": "kg", "reps": 5 }),
            "load",
        ),
        (
            json!({ "lift": "squat", "load": 140, "unit": "kg", "reps": 0 }),
            "reps",
        ),
        (
            json!({ "lift": "squat", "load": 140, "unit": "kg", "reps": 3, "rpe": 14 }),
            "effort",
        ),
        (
            json!({ "lift": "squat", "load": 140, "unit": "stone", "reps": 3 }),
            "unit",
        ),
        (
            json!({ "lift": "curl", "load": 40, "unit": "kg", "reps": 3 }),
            "lift",
        ),
        (json!({ "lift": "squat", "load": 140, "reps": 3 }), "unit"),
        (json!({ "lift": "squat", "hat": "red" }), "hat"),
    ];
    for (number, (fields, field)) in bad.into_iter().enumerate() {
        let room = format!("room{number}");
        let lifter = stage.lifter(&format!("lifter{number}")).in_room(&room);
        stage.play(&lifter.submits(&fields)).await?;
        let said = stage.river.messages_to(&room);
        assert_eq!(said.len(), 1, "{fields}: {said:#?}");
        let text = &said[0].text;
        assert!(text.contains(&format!("**{field}")), "{field} in {text}");
        assert!(text.contains("I accept"), "{text}");
    }
    let lifter = stage.lifter("mara");
    let good = json!({ "lift": "squat", "load": "142,5", "unit": "kg", "reps": 3, "rpe": 8,
                       "view": "side", "words": "I forget to breathe and my core feels squishy, \
                       then hips shoot up", "best": 165 });
    stage.play(&lifter.submits(&good)).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("142.5 kg"), "{}", said.text);
    Ok(())
}

async fn hostile_words_change_nothing(stage: &mut Stage) -> Result<()> {
    let mara = stage
        .lifter("mara")
        .called("<b>'; DROP TABLE cases; --</b>");
    let texts = [
        "squat 140 kg x 3 @8, hips shoot up '); DROP TABLE cases; --",
        "@everyone <script>alert(1)</script> squat 140 kg x 3, hips shoot up [x](http://evil.example)",
        "{name} {number} {emergency_number} squat 140 kg x 3 {{}}",
        "squat ٣٤٥ kg × ۳ 🏋️‍♀️ \u{1F9D1}\u{200D}\u{1F4BB} \u{202e}",
        "squat 999999999999999999999999 kg x 99999999999999999999 @8",
    ];
    for text in texts {
        stage.play(&mara.says(text)).await?;
    }
    stage
        .play(&stage.lifter("joel").in_room("room-b").says(SET))
        .await?;
    assert_eq!(stage.river.messages_to("room-b").len(), 1);
    for message in stage.river.messages() {
        assert!(
            message
                .mentions
                .iter()
                .all(|id| ["mara", "joel"].contains(&id.as_str()))
        );
        assert!(!message.text.contains("<script>"), "{}", message.text);
        assert!(!message.text.contains("](http"), "{}", message.text);
    }
    assert_eq!(stage.store()?.depths().await?.dead, 0);
    Ok(())
}
