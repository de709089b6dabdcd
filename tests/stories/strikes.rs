//! Advice that harms is taken out, put right where it stood, and told kindly; a person has the last
//! word.

use crate::challenge::{challenge, hears, key, opened};
use crate::coach_queue::told;
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result};
use cueline_bot::record::{AnswerState, ChallengeAnswer, StrikeState, StrikeStep};
use cueline_tests::builders::Person;
use cueline_tests::stage::{COACHES, COMMUNITY, LIFTERS, Stage};
use jiff::SignedDuration;
use serde_json::json;

on_both_engines!(
    the_first_strike_warns_the_second_is_a_week_and_the_third_is_the_end,
    an_appeal_goes_to_the_coach_whose_word_is_the_last,
    advice_to_somebody_under_a_stop_is_a_week_at_once_and_is_put_right_where_it_stood,
    advice_that_names_the_others_danger_is_put_right_beside_the_answer_about_it,
    talk_in_the_room_of_challenges_is_looked_at_and_good_talk_left_alone,
    a_coach_gives_strikes_and_drops_answers_by_hand,
    forgetting_a_member_takes_their_strikes,
);

/// A member's answer to the first challenge.
async fn answer(stage: &mut Stage, member: &Person) -> Result<ChallengeAnswer> {
    let store = stage.store()?.challenges();
    store.answer_of(1, &key(member)).await?.context("an answer")
}

async fn the_first_strike_warns_the_second_is_a_week_and_the_third_is_the_end(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    let bad = joel.says("answer 1 brace late; cue: push through the pain");
    stage.play(&bad).await?;
    let said = stage.river.last_to("joel")?;
    assert!(said.private);
    for part in [
        "it tells somebody to lift through pain",
        "Pain is a reason to stop",
        "first warning",
        "`appeal`",
    ] {
        assert!(said.text.contains(part), "{part} in {}", said.text);
    }
    let alert = stage.river.last_to(COACHES)?.text;
    for part in [
        "push through the pain",
        "first, a warning",
        "`take back strike joel`",
        "`release answer 1 joel`",
    ] {
        assert!(alert.contains(part), "{part} in {alert}");
    }
    assert_eq!(answer(stage, &joel).await?.state, AnswerState::Withdrawn);
    // The same message, changed and still wrong: out again, and no second strike.
    stage
        .play(&joel.edits(
            &bad.message_id(),
            2,
            "answer 1 brace late; cue: ignore the pain",
        ))
        .await?;
    let said = stage.river.last_to("joel")?.text;
    assert!(said.contains("Nothing more comes of it"), "{said}");
    // A warning keeps nobody from answering well.
    let said = hears(stage, &joel, "answer 1 brace late 70%; cue: breathe first").await?;
    assert!(said.contains("It counts"), "{said}");
    assert_eq!(answer(stage, &joel).await?.state, AnswerState::Taken);
    the_second_and_the_third(stage, &joel).await
}

/// A week for the second strike, and the end for the third.
async fn the_second_and_the_third(stage: &mut Stage, joel: &Person) -> Result<()> {
    // The second: a week, in words, by button, and for every challenge.
    let said = hears(
        stage,
        joel,
        "answer 1 brace late, bit of tren would fix that",
    )
    .await?;
    assert!(
        said.contains("do not count until") && said.contains("UTC"),
        "{said}"
    );
    let said = hears(stage, joel, "answer 1 brace late 60%").await?;
    assert!(
        said.contains("does not count: until") && said.contains("`appeal`"),
        "{said}"
    );
    let post = stage.river.messages_to(COMMUNITY)[0].clone();
    let button = &post.choices.first().context("a button")?.choice_id;
    stage.play(&joel.presses(&post.message_id, button)).await?;
    let said = stage.river.last_to("joel")?.text;
    assert!(said.contains("does not count: until"), "{said}");
    assert_eq!(answer(stage, joel).await?.state, AnswerState::Withdrawn);
    // After the week it is the closing time that keeps answers out.
    stage.pass(SignedDuration::from_hours(24 * 8)).await?;
    let said = hears(stage, joel, "answer 1 brace late 60%").await?;
    assert!(said.contains("too late"), "{said}");
    // The third, late or not, is the end.
    let said = hears(stage, joel, "answer 1 what an idiot").await?;
    assert!(said.contains("do not count any more"), "{said}");
    stage.pass(SignedDuration::from_hours(24 * 30)).await?;
    let said = hears(stage, joel, "answer 1 brace late 60%").await?;
    assert!(said.contains("do not any more"), "{said}");
    let strikes = stage.store()?.challenges().strikes_of(&key(joel)).await?;
    let steps: Vec<StrikeStep> = strikes.iter().rev().map(|strike| strike.step).collect();
    assert_eq!(
        steps,
        [StrikeStep::Warning, StrikeStep::Week, StrikeStep::Out]
    );
    // Nothing of what was written is kept with them.
    for strike in strikes {
        assert!(!strike.why.contains("tren") && !strike.why.contains("idiot"));
    }
    Ok(())
}

async fn an_appeal_goes_to_the_coach_whose_word_is_the_last(stage: &mut Stage) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    let said = hears(stage, &joel, "appeal").await?;
    assert!(said.contains("no strike of yours"), "{said}");
    hears(
        stage,
        &joel,
        "answer 1 brace late 80%; cue: nobody says suck it up",
    )
    .await?;
    let before = stage.river.messages_to(COACHES).len();
    let said = hears(stage, &joel, "Appeal: I said that NOBODY should say it").await?;
    assert!(said.contains("has your appeal and decides"), "{said}");
    let alerts = stage.river.messages_to(COACHES);
    assert_eq!(alerts.len(), before + 1);
    assert!(
        alerts[before].text.contains("NOBODY"),
        "{}",
        alerts[before].text
    );
    let said = hears(stage, &joel, "appeal again").await?;
    assert!(said.contains("already"), "{said}");
    assert_eq!(stage.river.messages_to(COACHES).len(), before + 1);
    // Members do not decide on it.
    stage.play(&joel.says("take back strike joel")).await?;
    let store = stage.store()?.challenges();
    let strikes = store.strikes_of(&key(&joel)).await?;
    assert_eq!(strikes[0].state, StrikeState::Appealed);
    let list = told(stage, &ana, "strikes").await?.text;
    assert!(
        list.contains("joel: first, a warning") && list.contains("appealed"),
        "{list}"
    );
    told(stage, &ana, "take back strike joel").await?;
    let said = stage.river.last_to("joel")?;
    assert!(
        said.private && said.text.contains("taken the strike back"),
        "{}",
        said.text
    );
    told(stage, &ana, "release answer 1 joel").await?;
    let said = stage.river.last_to("joel")?.text;
    assert!(said.contains("it counts"), "{said}");
    let kept = answer(stage, &joel).await?;
    assert_eq!(kept.state, AnswerState::Taken);
    assert_eq!(kept.answer.causes[0].confidence, Some(0.8));
    assert!(
        told(stage, &ana, "strikes")
            .await?
            .text
            .contains("No strikes")
    );
    // What was taken back does not count: the next is a warning again. This one stays.
    let said = hears(stage, &joel, "answer 1 brace late, pop it back in first").await?;
    assert!(said.contains("first warning"), "{said}");
    hears(stage, &joel, "I appeal, it was a joke").await?;
    told(stage, &ana, "keep strike joel").await?;
    let said = stage.river.last_to("joel")?.text;
    assert!(
        said.contains("kept the strike, because it tells somebody"),
        "{said}"
    );
    let said = hears(stage, &joel, "appeal").await?;
    assert!(said.contains("looked at this already"), "{said}");
    let said = hears(stage, &joel, "my strikes").await?;
    assert!(
        said.contains("first, a warning") && said.contains("kept"),
        "{said}"
    );
    Ok(())
}

async fn advice_to_somebody_under_a_stop_is_a_week_at_once_and_is_put_right_where_it_stood(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(DANGER)).await?;
    let stop = stage.river.last_to(LIFTERS)?;
    let advice = joel
        .says("suck it up and finish your session")
        .set("reply_to", json!(stop.message_id));
    stage.play(&advice).await?;
    let note = stage.river.last_to(LIFTERS)?;
    assert!(
        note.text.contains("Please do not follow the message above"),
        "{}",
        note.text
    );
    assert_eq!(note.reply_to, Some(advice.message_id()));
    let said = stage.river.last_to("joel")?;
    assert!(
        said.private
            && said.text.contains("do not count until")
            && said.text.contains("told to stop"),
        "{}",
        said.text
    );
    let strikes = stage.store()?.challenges().strikes_of(&key(&joel)).await?;
    assert_eq!(strikes.len(), 1);
    assert_eq!(strikes[0].step, StrikeStep::Week);
    assert!(stage.cases_of(&joel).await?.is_empty());
    assert!(stage.river.last_to(COACHES)?.text.contains("suck it up"));
    Ok(())
}

async fn advice_that_names_the_others_danger_is_put_right_beside_the_answer_about_it(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(DANGER)).await?;
    let stop = stage.river.last_to(LIFTERS)?;
    let before = stage.river.messages_to(LIFTERS).len();
    let advice = joel
        .says("just push through the chest pain bro")
        .set("reply_to", json!(stop.message_id));
    stage.play(&advice).await?;
    let said = stage.river.messages_to(LIFTERS);
    let said: Vec<&str> = said
        .iter()
        .skip(before)
        .map(|one| one.text.as_str())
        .collect();
    // Danger is answered, whoever's it is; and the advice does not stand.
    assert!(
        said.iter().any(|text| text.contains("Stop now")),
        "{said:#?}"
    );
    assert!(
        said.iter()
            .any(|text| text.contains("Please do not follow")),
        "{said:#?}"
    );
    let strikes = stage.store()?.challenges().strikes_of(&key(&joel)).await?;
    assert_eq!(strikes.len(), 1);
    assert_eq!(strikes[0].step, StrikeStep::Week);
    // Who tells of their own danger in the room of challenges gets no strike.
    let pia = stage.lifter("pia").in_room(COMMUNITY);
    stage
        .play(&pia.says("chest pain since the last set, shall I walk it off?"))
        .await?;
    assert!(stage.river.last_to(COMMUNITY)?.text.contains("Stop now"));
    let strikes = stage.store()?.challenges().strikes_of(&key(&pia)).await?;
    assert!(strikes.is_empty(), "{strikes:?}");
    Ok(())
}

async fn talk_in_the_room_of_challenges_is_looked_at_and_good_talk_left_alone(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let nora = stage.lifter("nora").in_room(COMMUNITY);
    opened(stage, &mara, &ana).await?;
    hears(stage, &stage.lifter("nora"), "my strikes").await?;
    let before = stage.river.messages().len();
    stage
        .play(&nora.says("lovely set, keep the chest up"))
        .await?;
    stage
        .play(&nora.says("never skip your warm-up, people"))
        .await?;
    let said: Vec<_> = stage.river.messages().into_iter().skip(before).collect();
    assert!(said.is_empty(), "good talk is left alone: {said:#?}");
    let bad = nora.says("you have a herniated disc mate");
    stage.play(&bad).await?;
    let note = stage.river.last_to(COMMUNITY)?;
    assert_eq!(note.reply_to, Some(bad.message_id()));
    assert!(
        note.text.contains("examination by licensed care"),
        "{}",
        note.text
    );
    assert!(!note.text.contains("nora") && !note.text.contains("Nora"));
    let said = stage.river.last_to("nora")?;
    assert!(
        said.private && said.text.contains("first warning"),
        "{}",
        said.text
    );
    // An answer in the room is put right there, and the challenge goes on.
    stage
        .play(&nora.says("answer 1 brace late, sauna cut first"))
        .await?;
    let notes = stage.river.messages_to(COMMUNITY);
    let notes = notes
        .iter()
        .filter(|said| said.text.contains("do not follow"))
        .count();
    assert_eq!(notes, 2);
    assert_eq!(challenge(stage).await?.state.word(), "open");
    Ok(())
}

async fn a_coach_gives_strikes_and_drops_answers_by_hand(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let (joel, nora) = (stage.lifter("joel"), stage.lifter("nora"));
    opened(stage, &mara, &ana).await?;
    let said = told(stage, &ana, "strike joel for calling Nora names")
        .await?
        .text;
    assert!(said.contains("I know nobody"), "{said}");
    hears(stage, &joel, "answer 1 brace late 70%").await?;
    let said = told(stage, &ana, "strike joel").await?.text;
    assert!(said.contains("Why?"), "{said}");
    let said = told(stage, &ana, "strike joel for calling Nora *names*")
        .await?
        .text;
    assert!(said.contains("first, a warning"), "{said}");
    let said = stage.river.last_to("joel")?.text;
    assert!(said.contains("for calling Nora \\*names\\*"), "{said}");
    // An answer that was held may be dropped, or dropped with a strike; the member is told.
    for who in [&joel, &nora] {
        hears(stage, who, "answer 1 brace late; cue: just max out").await?;
    }
    told(stage, &ana, "drop answer 1 nora").await?;
    let said = stage.river.last_to("nora")?.text;
    assert!(
        said.contains("does not count, because it asks for a maximal attempt"),
        "{said}"
    );
    let said = told(stage, &ana, "strike answer 1 joel").await?.text;
    assert!(said.contains("second, a week"), "{said}");
    assert_eq!(answer(stage, &joel).await?.state, AnswerState::Withdrawn);
    let said = hears(stage, &joel, "answer 1 brace late").await?;
    assert!(said.contains("does not count: until"), "{said}");
    let said = told(stage, &ana, "strike answer 1 pia").await?.text;
    assert!(said.contains("no answer of pia"), "{said}");
    // In a room of lifters it is talk.
    let there = ana.in_room(LIFTERS);
    let before = stage.river.messages().len();
    stage
        .play(&there.says("strike joel while the iron is hot"))
        .await?;
    assert_eq!(stage.river.messages().len(), before);
    Ok(())
}

async fn forgetting_a_member_takes_their_strikes(stage: &mut Stage) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    hears(stage, &joel, "answer 1 brace late, what an idiot").await?;
    stage.play(&joel.says("my data")).await?;
    let data = stage.river.messages_to("joel");
    assert!(
        data.iter()
            .any(|said| said.text.contains("strikes (advice of yours")),
        "{data:#?}"
    );
    assert!(
        data.iter()
            .any(|said| said.text.contains("it insults somebody"))
    );
    stage.play(&joel.says("yes forget me")).await?;
    let kept = "SELECT COUNT(*) FROM strikes";
    assert_eq!(stage.look().number(kept).await?, 0);
    assert!(stage.look().anywhere("joel").await?.is_empty());
    Ok(())
}
