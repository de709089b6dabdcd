//! The coach in chat: what waits, in order; one case at a time; nobody in each other's way.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_tests::builders::Person;
use cueline_tests::platform::Message;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    danger_comes_first_then_what_was_promised_sooner,
    the_coach_sees_a_case_answers_and_finishes_it,
    two_coaches_do_not_collide,
    what_a_case_holds_is_shown_to_coaches_only,
    a_word_about_a_case_that_is_not_there_is_answered,
    talk_between_coaches_is_left_alone,
);

/// A coach says something and gets one answer.
pub(crate) async fn told(stage: &mut Stage, coach: &Person, text: &str) -> Result<Message> {
    let before = stage.river.messages_to(COACHES).len();
    stage.play(&coach.says(text)).await?;
    let answers = stage.river.messages_to(COACHES);
    assert_eq!(answers.len(), before + 1, "one answer to \"{text}\"");
    stage.river.last_to(COACHES)
}

/// A lifter's set, handed to the coach.
async fn handed_over(stage: &mut Stage, who: &str) -> Result<i64> {
    let lifter = stage.lifter(who);
    stage.play(&lifter.says(SET)).await?;
    stage.play(&lifter.says("can I ask the coach?")).await?;
    let case = stage.case_of(&lifter).await?;
    assert_eq!(case.state, CaseState::WithCoach);
    Ok(case.number)
}

async fn danger_comes_first_then_what_was_promised_sooner(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    assert!(told(stage, &ana, "queue").await?.text.contains("empty"));
    let early = handed_over(stage, "joel").await?;
    stage.pass(SignedDuration::from_hours(2)).await?;
    let late = handed_over(stage, "nora").await?;
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    let danger = stage.case_of(&mara).await?.number;
    let queue = told(stage, &ana, "queue").await?.text;
    let place = |number: i64| queue.find(&format!("**{number}**"));
    let places = [place(danger), place(early), place(late)];
    assert!(places.iter().all(Option::is_some), "{queue}");
    assert!(places.is_sorted(), "{queue}");
    assert!(queue.contains("3 waiting"), "{queue}");
    Ok(())
}

async fn the_coach_sees_a_case_answers_and_finishes_it(stage: &mut Stage) -> Result<()> {
    let number = handed_over(stage, "mara").await?;
    let (ana, mara) = (stage.coach("ana"), stage.lifter("mara"));
    let card = told(stage, &ana, &format!("show {number}")).await?.text;
    for part in ["Mara", "squat", "140 kg", "squishy"] {
        assert!(card.contains(part), "{part} in {card}");
    }
    told(stage, &ana, &format!("take {number}")).await?;
    let said = told(
        stage,
        &ana,
        &format!("say {number} Breathe in *before* you walk out."),
    )
    .await?;
    assert!(said.text.contains("Mara"), "{}", said.text);
    let heard = stage.river.last_to(LIFTERS)?;
    assert!(heard.text.contains("Breathe in *before* you walk out."));
    assert_eq!(heard.mentions, ["mara"]);
    told(stage, &ana, &format!("finish {number}")).await?;
    assert!(told(stage, &ana, "queue").await?.text.contains("empty"));
    // What the coach said is practised and asked about later.
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    assert_eq!(stage.store()?.depths().await?.follow_ups, 1);
    let before = stage.river.messages_to(LIFTERS).len();
    stage.pass(SignedDuration::from_hours(24 * 15)).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), before + 1);
    Ok(())
}

async fn two_coaches_do_not_collide(stage: &mut Stage) -> Result<()> {
    let number = handed_over(stage, "mara").await?;
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    let take = format!("take {number}");
    let (first, second) = (ana.says(&take), ben.says(&take));
    let (one, two) = tokio::join!(stage.send(&first), stage.send(&second));
    one.and(two)?;
    stage.rest().await?;
    let answers = stage.river.messages_to(COACHES);
    let yours = answers
        .iter()
        .filter(|m| m.text.contains("is yours"))
        .count();
    let theirs = answers
        .iter()
        .filter(|m| m.text.contains("is with"))
        .count();
    assert_eq!((yours, theirs), (1, 1), "{answers:#?}");
    let holder = if answers.iter().any(|m| m.text.contains("is with ana")) {
        (&ana, &ben)
    } else {
        (&ben, &ana)
    };
    let lifters = stage.river.messages_to(LIFTERS).len();
    for text in ["say {} mine", "finish {}"] {
        let text = text.replace("{}", &number.to_string());
        let answer = told(stage, holder.1, &text).await?;
        assert!(answer.text.contains("is with"), "{}", answer.text);
    }
    assert_eq!(stage.river.messages_to(LIFTERS).len(), lifters);
    // The taking runs out by itself.
    stage.pass(SignedDuration::from_mins(31)).await?;
    let answer = told(stage, holder.1, &format!("take {number}")).await?;
    assert!(answer.text.contains("is yours"), "{}", answer.text);
    Ok(())
}

async fn what_a_case_holds_is_shown_to_coaches_only(stage: &mut Stage) -> Result<()> {
    let number = handed_over(stage, "mara").await?;
    let lifters = stage.river.messages_to(LIFTERS).len();
    let ana = stage.coach("ana").in_room(LIFTERS);
    for text in ["queue".to_owned(), format!("show {number}")] {
        stage.play(&ana.says(&text)).await?;
        assert_eq!(stage.river.messages_to(LIFTERS).len(), lifters, "{text}");
        let private = stage.river.last_to("ana")?;
        assert!(private.private);
        assert!(private.text.contains("Mara"), "{}", private.text);
    }
    Ok(())
}

async fn a_word_about_a_case_that_is_not_there_is_answered(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    for text in [
        "show 99",
        "take 99",
        "say 99 hello",
        "finish 99",
        "lift halt 99",
    ] {
        let answer = told(stage, &ana, text).await?;
        assert!(answer.text.contains("no case 99"), "{}", answer.text);
    }
    Ok(())
}

async fn talk_between_coaches_is_left_alone(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    for text in [
        "see you at 12",
        "the squat queue at the rack was long",
        "180 kg x 3 today",
    ] {
        stage.play(&ana.says(text)).await?;
    }
    assert!(stage.river.messages().is_empty());
    Ok(())
}
