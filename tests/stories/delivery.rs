//! A platform that fails: one message in the end, in order, and nobody else has to wait for it.

use crate::first_report::SET;
use anyhow::Result;
use cueline_tests::platform::{Fault, Platform};
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;
use std::time::Duration;

on_both_engines!(
    a_failing_platform_gets_the_message_once_it_works,
    a_lost_acknowledgement_does_not_post_twice,
    an_answer_that_never_comes_does_not_post_twice,
    retry_after_is_obeyed,
    a_refused_message_falls_back_to_plain_words_then_to_the_coach,
    a_platform_that_refuses_our_token_is_left_alone_for_a_while,
    a_room_that_is_gone_is_given_up_in_sight_of_the_coach,
    messages_of_a_room_keep_their_order,
    one_bad_room_does_not_hold_up_another,
    what_cannot_be_delivered_for_a_day_is_shown_to_the_coach,
);

/// Statuses of the requests for a room, in order.
fn statuses(platform: &Platform, room: &str) -> Vec<u16> {
    let heard = platform.heard();
    let to_room = heard.iter().filter(|heard| heard.to == room);
    to_room.map(|heard| heard.status).collect()
}

/// Sends and waits until the platform has heard `times` requests for the lifters' room.
async fn send_and_hear(stage: &Stage, text: &str, times: usize) -> Result<()> {
    stage.send(&stage.lifter("mara").says(text)).await?;
    let enough = |platform: &Platform| statuses(platform, LIFTERS).len() >= times;
    stage.river.wait_until("enough requests", enough).await
}

async fn a_failing_platform_gets_the_message_once_it_works(stage: &mut Stage) -> Result<()> {
    for status in [500, 502, 409, 408] {
        stage.river.fails(1, Fault::Status(status));
    }
    send_and_hear(stage, SET, 1).await?;
    for _ in 0..4 {
        stage.pass(SignedDuration::from_secs(20)).await?;
    }
    assert_eq!(statuses(&stage.river, LIFTERS), [500, 502, 409, 408, 201]);
    assert_eq!(stage.river.messages().len(), 1);
    let keys: Vec<String> = stage
        .river
        .heard()
        .into_iter()
        .map(|heard| heard.key)
        .collect();
    assert!(keys.iter().all(|key| *key == keys[0]), "{keys:?}");
    Ok(())
}

async fn a_lost_acknowledgement_does_not_post_twice(stage: &mut Stage) -> Result<()> {
    stage.river.fails(1, Fault::PostedBut(503));
    stage.river.fails(1, Fault::Garbage);
    send_and_hear(stage, SET, 1).await?;
    stage.pass(SignedDuration::from_secs(20)).await?;
    stage.pass(SignedDuration::from_secs(20)).await?;
    let heard = stage.river.heard();
    assert_eq!(heard.len(), 3, "{heard:#?}");
    assert!(heard.iter().all(|request| request.key == heard[0].key));
    assert_eq!(stage.river.messages().len(), 1);
    assert_eq!(stage.store()?.depths().await?.outbox, 0);
    Ok(())
}

async fn an_answer_that_never_comes_does_not_post_twice(stage: &mut Stage) -> Result<()> {
    // The platform posts, but the service stops waiting for its answer after 15 seconds.
    stage.river.fails(1, Fault::Slow(Duration::from_secs(40)));
    send_and_hear(stage, SET, 1).await?;
    let twice = |platform: &Platform| platform.heard().len() >= 2;
    stage.river.wait_until("another try", twice).await?;
    stage.rest().await?;
    let heard = stage.river.heard();
    assert_eq!(heard[0].key, heard[1].key);
    assert_eq!(stage.river.messages().len(), 1);
    assert_eq!(stage.store()?.depths().await?.outbox, 0);
    Ok(())
}

async fn retry_after_is_obeyed(stage: &mut Stage) -> Result<()> {
    stage.river.fails(1, Fault::Later(429, "120".to_owned()));
    send_and_hear(stage, SET, 1).await?;
    stage.pass(SignedDuration::from_secs(100)).await?;
    assert_eq!(
        statuses(&stage.river, LIFTERS),
        [429],
        "not before the time"
    );
    stage.pass(SignedDuration::from_secs(25)).await?;
    assert_eq!(statuses(&stage.river, LIFTERS), [429, 201]);
    // An hour is the most a platform can ask for.
    stage
        .river
        .fails(1, Fault::Later(503, "1000000000".to_owned()));
    send_and_hear(stage, "my cases", 3).await?;
    stage.pass(SignedDuration::from_mins(59)).await?;
    assert_eq!(statuses(&stage.river, LIFTERS).len(), 3);
    stage.pass(SignedDuration::from_mins(2)).await?;
    assert_eq!(statuses(&stage.river, LIFTERS), [429, 201, 503, 201]);
    Ok(())
}

async fn a_refused_message_falls_back_to_plain_words_then_to_the_coach(
    stage: &mut Stage,
) -> Result<()> {
    // Refused once: the words alone arrive, under a key of their own.
    stage.river.fails_in(LIFTERS, 1, Fault::Status(400));
    send_and_hear(stage, SET, 2).await?;
    stage.rest().await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("140 kg (309 lb) x 3"), "{}", said.text);
    assert!(said.choices.is_empty() && said.mentions.is_empty());
    assert!(stage.river.messages_to(COACHES).is_empty());
    // Refused again: given up, in sight of the coach.
    stage.river.fails_in(LIFTERS, 2, Fault::Status(422));
    let joel = stage.lifter("joel");
    stage.play(&joel.says(SET)).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 1);
    let alert = stage.river.last_to(COACHES)?;
    assert!(
        alert.text.contains("could not be delivered"),
        "{}",
        alert.text
    );
    let ana = stage.coach("ana");
    stage.play(&ana.says("queue")).await?;
    let queue = stage.river.last_to(COACHES)?;
    assert!(
        queue.text.contains("could not be delivered"),
        "{}",
        queue.text
    );
    // The platform is mended: the coach sends it again, and only what was not delivered.
    stage.play(&ana.says("send again")).await?;
    let said = stage.river.messages_to(LIFTERS);
    let to_joel: Vec<_> = said.iter().skip(1).collect();
    assert_eq!(to_joel.len(), 1, "{to_joel:#?}");
    assert!(to_joel[0].text.contains("140 kg"));
    Ok(())
}

async fn a_platform_that_refuses_our_token_is_left_alone_for_a_while(
    stage: &mut Stage,
) -> Result<()> {
    stage.river.fails(1, Fault::Status(401));
    send_and_hear(stage, SET, 1).await?;
    // A second message is not even tried while the platform is left alone.
    stage
        .play(&stage.lifter("joel").in_room("room-b").says(SET))
        .await?;
    assert_eq!(stage.river.heard().len(), 1);
    // The other platform is not affected.
    let far = stage.person(cueline_tests::stage::HILL, "zoe", LIFTERS);
    stage.play(&far.says(SET)).await?;
    assert_eq!(stage.hill.messages().len(), 1);
    stage.pass(SignedDuration::from_secs(70)).await?;
    assert_eq!(stage.river.messages().len(), 2, "nothing was lost");
    assert_eq!(stage.river.heard().len(), 3);
    Ok(())
}

async fn a_room_that_is_gone_is_given_up_in_sight_of_the_coach(stage: &mut Stage) -> Result<()> {
    stage
        .river
        .fails_in("closed-room", usize::MAX, Fault::Status(404));
    let mara = stage.lifter("mara").in_room("closed-room");
    stage.play(&mara.says(SET)).await?;
    assert_eq!(statuses(&stage.river, "closed-room"), [404]);
    let depths = stage.store()?.depths().await?;
    assert_eq!(
        (depths.dead, depths.follow_ups),
        (1, 0),
        "and no reminder into it"
    );
    let alert = stage.river.last_to(COACHES)?;
    assert!(alert.text.contains("gone"), "{}", alert.text);
    Ok(())
}

async fn messages_of_a_room_keep_their_order(stage: &mut Stage) -> Result<()> {
    stage
        .river
        .fails_in(LIFTERS, 1, Fault::Later(503, "60".to_owned()));
    let mara = stage.lifter("mara");
    for text in ["help", "my cases", "stop reminders", "start reminders"] {
        stage.send(&mara.says(text)).await?;
    }
    stage
        .river
        .wait_until("a try", |platform| platform.heard().len() == 1)
        .await?;
    stage.pass(SignedDuration::from_secs(65)).await?;
    let said: Vec<String> = stage
        .river
        .messages_to(LIFTERS)
        .iter()
        .map(|message| message.text.chars().take(16).collect())
        .collect();
    let wanted = [
        "I review squats,",
        "You have no case",
        "No more reminder",
        "Reminders are on",
    ];
    assert_eq!(said, wanted);
    Ok(())
}

async fn one_bad_room_does_not_hold_up_another(stage: &mut Stage) -> Result<()> {
    // The platform hangs on one room for longer than anybody waits.
    stage
        .river
        .fails_in("bad-room", 1, Fault::Slow(Duration::from_secs(40)));
    stage
        .send(&stage.lifter("mara").in_room("bad-room").says(SET))
        .await?;
    stage
        .river
        .wait_until("the hanging try", |platform| platform.heard().len() == 1)
        .await?;
    let started = std::time::Instant::now();
    stage
        .send(&stage.lifter("joel").in_room("good-room").says(SET))
        .await?;
    stage
        .river
        .wait_until("the other room's answer", |platform| {
            !platform.messages_to("good-room").is_empty()
        })
        .await?;
    let took = started.elapsed();
    assert!(took < Duration::from_secs(8), "{took:?} held up");
    Ok(())
}

async fn what_cannot_be_delivered_for_a_day_is_shown_to_the_coach(stage: &mut Stage) -> Result<()> {
    stage
        .river
        .fails_in(LIFTERS, usize::MAX, Fault::Status(500));
    send_and_hear(stage, SET, 1).await?;
    for _ in 0..5 {
        stage.pass(SignedDuration::from_hours(6)).await?;
    }
    let alert = stage.river.last_to(COACHES)?;
    assert!(
        alert.text.contains("could not be delivered"),
        "{}",
        alert.text
    );
    let tries = statuses(&stage.river, LIFTERS).len();
    stage.pass(SignedDuration::from_hours(5)).await?;
    assert_eq!(
        statuses(&stage.river, LIFTERS).len(),
        tries,
        "no more tries"
    );
    stage.river.recovers();
    stage.play(&stage.coach("ana").says("send again")).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 1);
    Ok(())
}
