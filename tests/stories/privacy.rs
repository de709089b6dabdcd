//! Nobody reads another lifter's case, and what is taken back is forgotten.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    a_lifter_cannot_read_or_change_another_lifters_case,
    my_cases_are_mine,
    the_words_of_a_message_taken_back_are_gone_everywhere,
    taking_back_an_earlier_message_leaves_the_rest,
    a_moderator_who_takes_a_message_back_does_not_become_the_lifter,
    taking_words_of_danger_back_does_not_end_the_stop,
    somebody_who_left_is_asked_nothing_any_more,
);

async fn a_lifter_cannot_read_or_change_another_lifters_case(stage: &mut Stage) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says("help")).await?;
    let before = stage.case_of(&mara).await?;
    let said = stage.river.messages();
    let asked = [
        "show 1",
        "queue",
        "take 1",
        "say 1 hello",
        "finish 1",
        "halt 1",
        "send again",
    ];
    for text in asked {
        for room in [LIFTERS, COACHES, "elsewhere"] {
            stage.play(&joel.in_room(room).says(text)).await?;
        }
    }
    for message in stage.river.messages().iter().skip(said.len()) {
        for part in ["Mara", "squishy", "Case 1"] {
            assert!(!message.text.contains(part), "{part} in {message:#?}");
        }
    }
    assert_eq!(stage.case_of(&mara).await?, before);
    assert_eq!(stage.store()?.depths().await?.queue, 0);
    // Nor by answering in her thread or to her message.
    let reply = &said[0].message_id;
    stage.play(&joel.says("stop").answering(reply)).await?;
    stage.play(&joel.says("140 lb").in_thread(reply)).await?;
    assert_eq!(stage.case_of(&mara).await?, before);
    Ok(())
}

async fn my_cases_are_mine(stage: &mut Stage) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says("my cases")).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("no cases"), "{}", said.text);
    stage.play(&mara.says("my cases")).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("1. squat"), "{}", said.text);
    Ok(())
}

async fn the_words_of_a_message_taken_back_are_gone_everywhere(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let word = "zwieback";
    let set = mara.says(&format!("{SET}. I had {word} before"));
    stage.play(&set).await?;
    assert!(!stage.look().places_of(word).await?.is_empty());
    stage.play(&mara.takes_back(&set.message_id())).await?;
    assert_eq!(stage.look().places_of(word).await?, Vec::<&str>::new());
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Withdrawn);
    stage.play(&stage.coach("ana").says("show 1")).await?;
    let card = stage.river.last_to(COACHES)?;
    assert!(!card.text.contains(word), "{}", card.text);
    let said = stage.river.messages().len();
    stage.pass(SignedDuration::from_hours(24 * 30)).await?;
    assert_eq!(stage.river.messages().len(), said, "no reminder about it");
    Ok(())
}

async fn taking_back_an_earlier_message_leaves_the_rest(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let first = mara.says(&format!("{SET}. I had zwieback before"));
    stage.play(&first).await?;
    stage.pass(SignedDuration::from_hours(24 * 10)).await?;
    stage
        .play(&mara.says(&format!("{SET}. I had porridge before")))
        .await?;
    stage.play(&mara.takes_back(&first.message_id())).await?;
    assert_eq!(
        stage.look().places_of("zwieback").await?,
        Vec::<&str>::new()
    );
    assert!(!stage.look().places_of("porridge").await?.is_empty());
    assert!(stage.case_of(&mara).await?.state.is_open());
    Ok(())
}

async fn a_moderator_who_takes_a_message_back_does_not_become_the_lifter(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let set = mara.says(SET);
    stage.play(&set).await?;
    stage
        .play(&stage.lifter("moderator").takes_back(&set.message_id()))
        .await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Withdrawn);
    assert_eq!(stage.look().places_of("squishy").await?, Vec::<&str>::new());
    let key = cueline_bot::record::PersonKey {
        source: mara.source.clone(),
        person_id: mara.id.clone(),
    };
    let known = stage.store()?.lifter(&key).await?;
    assert_eq!(
        known.map(|lifter| lifter.display_name).as_deref(),
        Some("Mara")
    );
    Ok(())
}

async fn taking_words_of_danger_back_does_not_end_the_stop(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let danger = mara.says(DANGER);
    stage.play(&danger).await?;
    stage.play(&mara.takes_back(&danger.message_id())).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Halted);
    assert_eq!(
        stage.store()?.depths().await?.queue,
        1,
        "a person still looks"
    );
    Ok(())
}

async fn somebody_who_left_is_asked_nothing_any_more(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let joel = stage.lifter("joel");
    stage.play(&joel.says(DANGER)).await?;
    stage.play(&mara.leaves()).await?;
    stage.play(&joel.leaves()).await?;
    let said = stage.river.messages_to(LIFTERS).len();
    stage.pass(SignedDuration::from_hours(24 * 30)).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), said);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Withdrawn);
    assert_eq!(stage.case_of(&joel).await?.state, CaseState::Halted);
    assert_eq!(
        stage.store()?.depths().await?.queue,
        1,
        "what is about safety stays"
    );
    Ok(())
}
