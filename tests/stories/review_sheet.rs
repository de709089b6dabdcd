//! The weekly session: a sheet that fits its minutes, and what was put off comes first next time.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::Result;
use cueline_tests::builders::Person;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    what_was_chosen_and_not_answered_is_carried_over,
    a_sheet_is_for_coaches_and_stopped_cases_are_not_for_the_session,
    a_case_goes_from_one_coach_to_another,
    a_set_told_by_the_last_one_is_judged_against_it,
);

const BENCH: &str = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                     best 95 kg, spotter there";

/// Everything the coaches read after an order.
async fn told(stage: &mut Stage, coach: &Person, text: &str) -> Result<String> {
    let before = stage.river.messages_to(COACHES).len();
    stage.play(&coach.says(text)).await?;
    let messages = stage.river.messages_to(COACHES);
    let said: Vec<String> = messages
        .into_iter()
        .skip(before)
        .map(|message| message.text)
        .collect();
    assert!(!said.is_empty(), "no answer to \"{text}\"");
    Ok(said.join("\n"))
}

async fn asks_for_the_coach(stage: &mut Stage, who: &str, set: &str) -> Result<i64> {
    let lifter = stage.lifter(who);
    stage.play(&lifter.says(set)).await?;
    stage.play(&lifter.says("ask the coach")).await?;
    Ok(stage.case_of(&lifter).await?.number)
}

async fn what_was_chosen_and_not_answered_is_carried_over(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    let first = asks_for_the_coach(stage, "mara", SET).await?;
    let second = asks_for_the_coach(stage, "tobi", BENCH).await?;
    let sheet = told(stage, &ana, "review sheet 20 minutes").await?;
    for number in [first, second] {
        assert!(sheet.contains(&format!("Case {number}")), "{sheet}");
    }
    assert!(!sheet.contains("Carried over"), "{sheet}");
    // Asked for once more in the same session it is the same sheet.
    let again = told(stage, &ana, "review sheet 20 minutes").await?;
    assert_eq!(again, sheet);
    told(
        stage,
        &ana,
        &format!("say {first} breathe before you walk out"),
    )
    .await?;
    told(stage, &ana, &format!("finish {first}")).await?;
    stage.pass(SignedDuration::from_hours(24 * 7)).await?;
    let next = told(stage, &ana, "review sheet 20 minutes").await?;
    let card = next.split("**Minute 0").nth(1).unwrap_or_default();
    assert!(
        card.contains(&format!("Case {second}")),
        "it comes first: {next}"
    );
    assert!(card.contains("Carried over"), "{next}");
    Ok(())
}

async fn a_sheet_is_for_coaches_and_stopped_cases_are_not_for_the_session(
    stage: &mut Stage,
) -> Result<()> {
    let (ana, mara) = (stage.coach("ana"), stage.lifter("mara"));
    stage.play(&mara.says(DANGER)).await?;
    let number = stage.case_of(&mara).await?.number;
    let sheet = told(stage, &ana, "review sheet 20 minutes").await?;
    assert!(
        sheet.contains(&format!("stopped for safety: {number}")),
        "{sheet}"
    );
    assert!(!sheet.contains("Minute 0"), "{sheet}");
    // Asked for among lifters it comes in private; a lifter gets none.
    let lifters = stage.river.messages_to(LIFTERS).len();
    stage
        .play(&ana.in_room(LIFTERS).says("review sheet 20 minutes"))
        .await?;
    assert!(stage.river.last_to("ana")?.private);
    stage
        .play(&stage.lifter("tobi").says("review sheet 20 minutes"))
        .await?;
    let said = stage.river.messages_to(LIFTERS);
    let leaked = said
        .iter()
        .skip(lifters)
        .any(|m| m.text.contains("stopped for safety"));
    assert!(!leaked, "{said:#?}");
    Ok(())
}

async fn a_case_goes_from_one_coach_to_another(stage: &mut Stage) -> Result<()> {
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    let number = asks_for_the_coach(stage, "mara", SET).await?;
    told(stage, &ana, &format!("take {number}")).await?;
    let said = told(stage, &ana, &format!("hand {number} to ben")).await?;
    assert!(said.contains("is with ben"), "{said}");
    let private = stage.river.last_to("ben")?;
    assert!(private.private && private.text.contains("hands you case"));
    // Ben answers; Ana is told whose it is.
    let refused = told(stage, &ana, &format!("say {number} mine")).await?;
    assert!(refused.contains("is with ben"), "{refused}");
    let said = told(stage, &ben, &format!("say {number} breathe first")).await?;
    assert!(said.contains("Sent to Mara"), "{said}");
    Ok(())
}

async fn a_set_told_by_the_last_one_is_judged_against_it(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.pass(SignedDuration::from_hours(24 * 7)).await?;
    let text = "same as last week but 5 kg more, I did not forget to breathe, core not squishy, \
                hips no longer shoot up";
    stage.play(&mara.says(text)).await?;
    let said = stage.river.last_to(LIFTERS)?.text;
    assert!(
        said.contains("145 kg (320 lb) x 3") && said.contains("It worked"),
        "{said}"
    );
    Ok(())
}
