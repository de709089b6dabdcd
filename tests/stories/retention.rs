//! What has grown old goes by itself, and what is still needed stays.

use crate::first_report::SET;
use anyhow::{Result, bail};
use cueline_bot::record::CaseState;
use cueline_tests::files::{PIXEL, inline, pixel};
use cueline_tests::stage::Stage;
use jiff::SignedDuration;
use std::time::{Duration, Instant};

on_both_engines!(
    words_of_a_case_that_is_over_go_after_ninety_days_and_its_figures_after_two_years,
    words_of_a_case_that_is_open_stay_until_it_is_over,
    files_go_after_thirty_days_and_what_could_not_be_read_too,
    two_instances_do_not_clean_twice_and_a_dead_one_is_followed,
);

/// Days pass, a service is awake on the last of them, and the cleaning of that day is done.
async fn days(stage: &mut Stage, days: i64) -> Result<()> {
    stage.pass(SignedDuration::from_hours(24 * days)).await?;
    let now = stage.now().as_millisecond();
    let end = Instant::now() + Duration::from_secs(30);
    while Instant::now() < end {
        let next = stage
            .look()
            .number("SELECT run_at FROM chores WHERE name = 'clean'")
            .await?;
        // Done, not merely begun: a lease is a minute long.
        if next > now + 3_600_000 {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    bail!("the cleaning was not done")
}

async fn words_of_a_case_that_is_over_go_after_ninety_days_and_its_figures_after_two_years(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage
        .play(&mara.says(&format!("{SET}. I had zwieback before")))
        .await?;
    stage
        .play(&stage.coach("ana").says("say 1 more zwieback"))
        .await?;
    // Nobody answers: the reminders run out and the case lapses.
    for _ in 0..5 {
        days(stage, 14).await?;
    }
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Lapsed);
    assert!(
        !stage.look().anywhere("zwieback").await?.is_empty(),
        "not old enough"
    );
    days(stage, 120).await?;
    assert_eq!(
        stage.look().anywhere("zwieback").await?,
        Vec::<String>::new()
    );
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.rounds[0].report.reps, Some(3), "figures stay");
    days(stage, 700).await?;
    days(stage, 90).await?;
    assert!(stage.cases_of(&mara).await?.is_empty());
    assert_eq!(stage.look().anywhere("mara").await?, Vec::<String>::new());
    Ok(())
}

async fn words_of_a_case_that_is_open_stay_until_it_is_over(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage
        .play(&mara.says(&format!("{SET}. I had zwieback before")))
        .await?;
    stage.play(&mara.says("ask the coach")).await?;
    days(stage, 200).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::WithCoach);
    let places = stage.look().places_of("zwieback").await?;
    assert_eq!(
        places,
        ["cases.body", "entries.text"],
        "for the coach to see"
    );
    stage
        .play(&stage.coach("ana").says("say 1 sorry for the wait"))
        .await?;
    stage.play(&stage.coach("ana").says("finish 1")).await?;
    for _ in 0..8 {
        days(stage, 30).await?;
    }
    assert!(!stage.case_of(&mara).await?.state.is_open());
    assert_eq!(
        stage.look().places_of("zwieback").await?,
        Vec::<&str>::new()
    );
    Ok(())
}

async fn files_go_after_thirty_days_and_what_could_not_be_read_too(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says("I consent")).await?;
    let file = serde_json::json!([{ "attachment_id": "a1", "name": "plumfile.csv",
        "media_type": "text/csv", "size": 1, "sha256": "0".repeat(64),
        "url": "https://clips.example/plumfile" }]);
    stage.play(&mara.says(SET).set("attachments", file)).await?;
    let picture = inline("picture.png", "image/png", &pixel());
    let picture = mara
        .says("")
        .set("attachments", serde_json::json!([picture]));
    stage.play(&picture).await?;
    let bad = mara.says("zwieback").set("version", serde_json::json!(0));
    assert_eq!(stage.hand_in(&bad).await?.status, 422);
    days(stage, 29).await?;
    for mark in ["plumfile", &PIXEL[..60]] {
        let places = stage.look().anywhere(mark).await?;
        assert!(
            places.iter().all(|place| place.starts_with("case_files.")) && !places.is_empty(),
            "{places:?}"
        );
    }
    assert!(!stage.look().anywhere("zwieback").await?.is_empty());
    days(stage, 2).await?;
    for mark in ["plumfile", &PIXEL[..60]] {
        assert_eq!(stage.look().anywhere(mark).await?, Vec::<String>::new());
    }
    assert_eq!(
        stage.look().anywhere("zwieback").await?,
        Vec::<String>::new()
    );
    assert!(
        !stage.look().anywhere("squishy").await?.is_empty(),
        "words are younger than 90 days"
    );
    Ok(())
}

async fn two_instances_do_not_clean_twice_and_a_dead_one_is_followed(
    stage: &mut Stage,
) -> Result<()> {
    days(stage, 1).await?;
    let privacy = |stage: &Stage| stage.store().cloned();
    let store = privacy(stage)?;
    stage.stop().await;
    let store = {
        drop(store);
        stage.database.open().await?
    };
    let now = stage.now() + SignedDuration::from_hours(24);
    let until = now + SignedDuration::from_mins(1);
    let claims = store.privacy();
    assert!(claims.claim_cleaning(now, until).await?);
    assert!(
        !claims.claim_cleaning(now, until).await?,
        "somebody is at it"
    );
    // The one who was at it died: after its lease another begins, and the first can write no more.
    let later = until + SignedDuration::from_secs(1);
    let next = later + SignedDuration::from_mins(1);
    assert!(claims.claim_cleaning(later, next).await?);
    assert!(!claims.hold_cleaning(until, next).await?);
    assert!(
        claims
            .hold_cleaning(next, next + SignedDuration::from_hours(24))
            .await?
    );
    store.close().await;
    Ok(())
}
