//! What people write besides sets: one brief answer, silence for a day, one line for the coach, and danger
//! heard all the same.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    insults_get_one_answer_a_day_and_the_coach_one_line,
    advertising_is_turned_down_once_and_its_link_goes_nowhere,
    a_set_beside_an_insult_is_answered_and_danger_stops_it,
);

async fn insults_get_one_answer_a_day_and_the_coach_one_line(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    for text in ["you useless bot", "fuck you", "stupid bot", "you suck"] {
        stage.play(&mara.says(text)).await?;
    }
    let said = stage.river.messages_to(LIFTERS);
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].text.contains("keep it friendly"), "{said:#?}");
    let told = stage.river.messages_to(COACHES);
    assert_eq!(told.len(), 1, "{told:#?}");
    assert!(told[0].text.contains("stupid bot"), "{told:#?}");
    assert!(stage.cases_of(&mara).await?.is_empty());
    stage.pass(SignedDuration::from_hours(25)).await?;
    stage.play(&mara.says("fuck you")).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 2);
    Ok(())
}

async fn advertising_is_turned_down_once_and_its_link_goes_nowhere(
    stage: &mut Stage,
) -> Result<()> {
    let ravi = stage.lifter("ravi");
    for _ in 0..4 {
        let text = "buy now at https://shop.example/whey 30% off with code LIFT30";
        stage.play(&ravi.says(text)).await?;
    }
    let said = stage.river.messages_to(LIFTERS);
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].text.contains("No advertising"), "{said:#?}");
    assert_eq!(stage.river.messages_to(COACHES).len(), 1);
    for message in stage.river.messages() {
        assert!(!message.text.contains("shop"), "{message:#?}");
    }
    assert!(stage.cases_of(&ravi).await?.is_empty());
    Ok(())
}

async fn a_set_beside_an_insult_is_answered_and_danger_stops_it(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says("you useless bot")).await?;
    stage.play(&mara.says(&format!("{SET}. you idiot"))).await?;
    let answer = stage.river.last_to(LIFTERS)?;
    assert!(answer.text.contains("**Read:**"), "{answer:#?}");
    stage
        .play(&mara.says(&format!("you idiot, {DANGER}")))
        .await?;
    let stop = stage.river.last_to(LIFTERS)?;
    assert!(!stop.text.contains("friendly"), "{stop:#?}");
    let cases = stage.cases_of(&mara).await?;
    let halted = cases.iter().any(|case| case.state == CaseState::Halted);
    assert!(halted, "{cases:#?}");
    Ok(())
}
