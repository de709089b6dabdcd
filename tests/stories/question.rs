//! One question at a time, answered as people answer.

use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_tests::platform::Message;
use cueline_tests::stage::{LIFTERS, Stage};
use jiff::SignedDuration;

/// Invented: a set whose unit nobody can know, and nothing else to say of it.
const NO_UNIT: &str = "squat 140 x 3 @8, filmed from the side";

/// Invented: the same with a fault told.
const NO_UNIT_AND_A_FAULT: &str = "squat 140 x 3 @8, filmed from the side. I forget to breathe and \
                                   my core feels squishy, then hips shoot up";

on_both_engines!(
    a_fault_is_answered_at_once_and_the_unit_gives_the_loads,
    a_missing_unit_is_asked_for_once_with_buttons,
    a_button_a_number_and_a_word_answer_alike,
    somebody_elses_press_changes_nothing,
    a_second_press_finds_the_question_closed,
    words_that_answer_nothing_bring_the_question_again,
    an_unanswered_question_closes_the_case_after_a_month,
);

async fn asked(stage: &mut Stage, who: &str) -> Result<Message> {
    let lifter = stage.lifter(who);
    stage.play(&lifter.says(NO_UNIT)).await?;
    stage.river.last_to(LIFTERS)
}

async fn a_missing_unit_is_asked_for_once_with_buttons(stage: &mut Stage) -> Result<()> {
    let question = asked(stage, "mara").await?;
    assert_eq!(stage.river.messages().len(), 1);
    assert!(question.text.contains("One question"), "{}", question.text);
    let labels: Vec<&str> = question.choices.iter().map(|c| c.label.as_str()).collect();
    assert_eq!(labels, ["kg", "lb"]);
    // No load is named while its unit is not known.
    assert!(!question.text.contains("a side"), "{}", question.text);
    let mara = stage.lifter("mara");
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Asking);
    Ok(())
}

async fn a_fault_is_answered_at_once_and_the_unit_gives_the_loads(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(NO_UNIT_AND_A_FAULT)).await?;
    let first = stage.river.last_to(LIFTERS)?;
    assert!(first.text.contains("Most likely"), "{}", first.text);
    assert!(first.text.contains("One question"), "{}", first.text);
    assert!(first.button("kg").is_ok() && first.button("lb").is_ok());
    // No load is named while its unit is not known.
    assert!(!first.text.contains("a side"), "{}", first.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    stage.play(&mara.says("it was 140 kg")).await?;
    let second = stage.river.last_to(LIFTERS)?;
    assert!(
        second.text.contains("140 kg (309 lb) x 3"),
        "{}",
        second.text
    );
    assert!(second.text.contains("a side"), "{}", second.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    Ok(())
}

async fn a_button_a_number_and_a_word_answer_alike(stage: &mut Stage) -> Result<()> {
    let question = asked(stage, "mara").await?;
    let mara = stage.lifter("mara");
    let kg = question.button("kg")?.choice_id.clone();
    stage.play(&mara.presses(&question.message_id, &kg)).await?;
    let wanted = stage.river.last_to(LIFTERS)?;
    assert!(
        wanted.text.contains("140 kg (309 lb) x 3"),
        "{}",
        wanted.text
    );
    for (who, text) in [
        ("joel", "1"),
        ("nora", "kilos"),
        ("pia", "KG!"),
        ("ravi", "140 kg"),
    ] {
        let room = format!("room-{who}");
        let lifter = stage.lifter(who).in_room(&room);
        stage.play(&lifter.says(NO_UNIT)).await?;
        stage.play(&lifter.says(text)).await?;
        let said = stage.river.messages_to(&room);
        assert_eq!(said.len(), 2, "{who}: {said:#?}");
        assert_eq!(said[1].text, wanted.text, "{who} answered \"{text}\"");
    }
    Ok(())
}

async fn somebody_elses_press_changes_nothing(stage: &mut Stage) -> Result<()> {
    let question = asked(stage, "mara").await?;
    let mara = stage.lifter("mara");
    let before = stage.case_of(&mara).await?;
    let kg = question.button("kg")?.choice_id.clone();
    for who in [stage.lifter("joel"), stage.coach("ana").in_room(LIFTERS)] {
        stage.play(&who.presses(&question.message_id, &kg)).await?;
    }
    assert_eq!(stage.case_of(&mara).await?, before);
    assert_eq!(stage.river.messages().len(), 1);
    Ok(())
}

async fn a_second_press_finds_the_question_closed(stage: &mut Stage) -> Result<()> {
    let question = asked(stage, "mara").await?;
    let mara = stage.lifter("mara");
    let (kg, lb) = (
        question.button("kg")?.choice_id.clone(),
        question.button("lb")?.choice_id.clone(),
    );
    stage.play(&mara.presses(&question.message_id, &kg)).await?;
    let settled = stage.case_of(&mara).await?;
    stage.play(&mara.presses(&question.message_id, &lb)).await?;
    let last = stage.river.last_to(LIFTERS)?;
    assert!(last.text.contains("no longer open"), "{}", last.text);
    assert_eq!(stage.case_of(&mara).await?.body.report, settled.body.report);
    Ok(())
}

async fn words_that_answer_nothing_bring_the_question_again(stage: &mut Stage) -> Result<()> {
    asked(stage, "mara").await?;
    let mara = stage.lifter("mara");
    stage.play(&mara.says("hm, not sure what you mean")).await?;
    let again = stage.river.last_to(LIFTERS)?;
    assert!(again.text.contains("did not get that"), "{}", again.text);
    assert!(again.button("kg").is_ok() && again.button("lb").is_ok());
    let kg = again.button("kg")?.choice_id.clone();
    stage.play(&mara.presses(&again.message_id, &kg)).await?;
    assert!(stage.river.last_to(LIFTERS)?.text.contains("140 kg"));
    Ok(())
}

async fn an_unanswered_question_closes_the_case_after_a_month(stage: &mut Stage) -> Result<()> {
    asked(stage, "mara").await?;
    stage.pass(SignedDuration::from_hours(24 * 29)).await?;
    let mara = stage.lifter("mara");
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Asking);
    stage.pass(SignedDuration::from_hours(24 * 2)).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Lapsed);
    assert_eq!(stage.river.messages().len(), 1, "nothing is said about it");
    Ok(())
}
