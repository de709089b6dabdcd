//! Words of danger: no load, no technique, a person at once, and nobody but the coach lifts it.

use crate::first_report::SET;
use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_tests::stage::{COACHES, HILL, LIFTERS, Stage};
use jiff::SignedDuration;

/// Invented: a set with words of an emergency in it.
pub(crate) const DANGER: &str = "squat 140 kg x 3 @9, side video. crushing chest pain on the last \
                                 rep and it goes down my left arm";

on_both_engines!(
    chest_pain_gets_the_emergency_words_and_nothing_about_lifting,
    the_coach_is_paged_again_while_nobody_has_taken_it,
    a_stopped_lifter_gets_no_load_until_the_coach_lifts_the_stop,
    nobody_but_the_configured_coach_lifts_a_stop,
    a_stop_holds_back_the_lifters_other_cases,
    danger_in_an_answer_to_a_question_stops_the_case,
);

/// Nothing in a text is about loads, plates or technique.
#[track_caller]
pub(crate) fn nothing_about_lifting(text: &str) {
    let lower = text.to_lowercase();
    for word in [
        "kg",
        "lb",
        "a side",
        "cue",
        "practise",
        "film",
        "%",
        "next session",
        "rpe",
    ] {
        let found = lower
            .split(|c: char| !(c.is_alphanumeric() || c == '%' || c == ' '))
            .any(|part| format!(" {part} ").contains(&format!(" {word} ")));
        assert!(!found, "\"{word}\" in: {text}");
    }
}

async fn chest_pain_gets_the_emergency_words_and_nothing_about_lifting(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    let reply = stage.river.last_to(LIFTERS)?;
    for part in [
        "Stop now",
        "your local emergency number",
        "emergency care",
        "no lifting advice",
    ] {
        assert!(reply.text.contains(part), "{part} in {}", reply.text);
    }
    nothing_about_lifting(&reply.text);
    assert!(reply.choices.is_empty());
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 1);

    let alerts = stage.river.messages_to(COACHES);
    assert_eq!(alerts.len(), 1, "{alerts:#?}");
    assert!(alerts[0].text.contains("EMERGENCY"), "{}", alerts[0].text);
    assert!(alerts[0].text.contains("Mara"), "{}", alerts[0].text);
    assert_eq!(alerts[0].mentions, ["ana", "ben"]);

    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Halted);
    assert_eq!(stage.store()?.depths().await?.queue, 1);
    Ok(())
}

async fn the_coach_is_paged_again_while_nobody_has_taken_it(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    stage.pass(SignedDuration::from_mins(14)).await?;
    assert_eq!(stage.river.messages_to(COACHES).len(), 1);
    stage.pass(SignedDuration::from_mins(2)).await?;
    let pages = stage.river.messages_to(COACHES);
    assert_eq!(pages.len(), 2);
    assert!(pages[1].text.contains("Still unread"), "{}", pages[1].text);
    // Taken before the next page was due: that page waits until the taking runs out.
    stage.play(&stage.coach("ana").says("take 1")).await?;
    stage.pass(SignedDuration::from_mins(28)).await?;
    assert_eq!(
        stage.river.messages_to(COACHES).len(),
        3,
        "two and the answer"
    );
    for _ in 0..30 {
        stage.pass(SignedDuration::from_hours(24)).await?;
    }
    assert_eq!(
        stage.river.messages_to(COACHES).len(),
        4,
        "taken and not answered: paged once more, and then no more"
    );
    assert_eq!(stage.river.messages_to(LIFTERS).len(), 1, "no reminder");
    Ok(())
}

async fn a_stopped_lifter_gets_no_load_until_the_coach_lifts_the_stop(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    for text in [
        SET,
        "what should I squat next week?",
        "deadlift 180 kg x 2 @8, back rounds",
    ] {
        let before = stage.river.messages_to(LIFTERS).len();
        stage.play(&mara.says(text)).await?;
        for message in stage.river.messages_to(LIFTERS).iter().skip(before) {
            nothing_about_lifting(&message.text);
            assert!(
                message.text.contains("stop is still on"),
                "{}",
                message.text
            );
        }
    }
    let stopped = stage.cases_of(&mara).await?;
    let number = stopped
        .iter()
        .find(|case| case.state == CaseState::Halted)
        .map(|case| case.number)
        .unwrap_or_default();
    let ana = stage.coach("ana");
    stage
        .play(&ana.says(&format!("lift halt {number}")))
        .await?;
    let lifted = stage.river.last_to(LIFTERS)?;
    assert!(lifted.text.contains("lifted the stop"), "{}", lifted.text);
    // From now on a set is answered as any other, not with the old danger.
    stage.play(&mara.says(SET)).await?;
    let last = stage.river.last_to(LIFTERS)?;
    assert!(!last.text.contains("Stop now"), "{}", last.text);
    let cases = stage.cases_of(&mara).await?;
    assert!(
        cases.iter().all(|case| case.state != CaseState::Halted),
        "stopped again by words the coach has dealt with"
    );
    Ok(())
}

async fn nobody_but_the_configured_coach_lifts_a_stop(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    let before = stage.case_of(&mara).await?;
    let pretenders = [
        mara.in_room(COACHES),
        stage.lifter("joel"),
        stage.lifter("joel").in_room(COACHES),
        stage.lifter("coach").called("coach"),
        stage.lifter("zed").called("ana"),
        stage.person(HILL, "ana", COACHES),
        stage.person(HILL, "ana", LIFTERS),
    ];
    for who in pretenders {
        for text in ["lift halt 1", "finish 1", "say 1 go on", "take 1", "halt 1"] {
            stage.play(&who.says(text)).await?;
            let case = stage.case_of(&mara).await?;
            assert_eq!(case.state, CaseState::Halted, "{who:?}: {text}");
            assert_eq!(case.body.halt, before.body.halt);
        }
    }
    let item = stage.store()?.queue_item(&before.id).await?;
    assert_eq!(item.and_then(|item| item.taken_by), None);
    for message in stage.river.messages_to(LIFTERS) {
        assert!(!message.text.contains("go on"), "{}", message.text);
    }
    stage.play(&stage.coach("ana").says("lift halt 1")).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::WithCoach);
    Ok(())
}

async fn a_stop_holds_back_the_lifters_other_cases(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage
        .play(
            &mara
                .says("deadlift 180 kg x 2 @8, back rounds off the floor, side video, best 200 kg"),
        )
        .await?;
    stage.play(&mara.says(DANGER).in_thread("t-9")).await?;
    let said = stage.river.messages_to(LIFTERS).len();
    // Six weeks: what was dated before the stop stays unsaid.
    for _ in 0..6 {
        stage.pass(SignedDuration::from_hours(24 * 7)).await?;
    }
    assert_eq!(stage.river.messages_to(LIFTERS).len(), said, "no reminder");
    Ok(())
}

async fn danger_in_an_answer_to_a_question_stops_the_case(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage
        .play(&mara.says("squat 140 x 3, hips shoot up"))
        .await?;
    stage
        .play(&mara.says("kg. by the way I passed out after the set"))
        .await?;
    let last = stage.river.last_to(LIFTERS)?;
    nothing_about_lifting(&last.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Halted);
    assert_eq!(stage.river.messages_to(COACHES).len(), 1);
    Ok(())
}
