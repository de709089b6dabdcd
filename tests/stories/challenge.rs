//! A case put to the community: asked, answered, revealed, marked.

use crate::coach_queue::told;
use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result};
use cueline_bot::record::{AnswerState, Challenge, ChallengeState, PersonKey};
use cueline_tests::builders::Person;
use cueline_tests::stage::{COACHES, COMMUNITY, RIVER, Stage};
use jiff::SignedDuration;

on_both_engines!(
    the_lifter_agrees_to_the_exact_text_before_anything_is_posted,
    answers_are_private_edits_count_and_late_ones_do_not,
    unsafe_advice_is_held_for_the_coach_and_danger_is_the_members_own,
    what_may_not_be_shown_is_never_opened,
    a_button_answers_with_one_cause,
);

/// The coach opens a challenge, and reads the text that the lifter is asked about.
pub(crate) async fn asks(stage: &mut Stage, ana: &Person, case: i64) -> Result<()> {
    let before = stage.river.messages_to(COACHES).len();
    let text = format!("open challenge {case} until friday 18:00");
    stage.play(&ana.says(&text)).await?;
    let said = stage.river.messages_to(COACHES);
    assert_eq!(said.len(), before + 2, "{said:#?}");
    let text: String = said
        .iter()
        .skip(before)
        .map(|said| said.text.as_str())
        .collect();
    assert!(
        text.contains("is made of case") && text.contains("Seen or felt"),
        "{text}"
    );
    Ok(())
}

/// A lifter's case, asked and agreed to, open until Friday.
pub(crate) async fn opened(stage: &mut Stage, mara: &Person, ana: &Person) -> Result<Challenge> {
    stage.play(&mara.says(SET)).await?;
    let number = stage.case_of(mara).await?.number;
    asks(stage, ana, number).await?;
    let ask = stage.river.last_to("mara")?;
    assert!(ask.private);
    let yes = ask.button("Yes, I am 18 or over: post it")?;
    stage
        .play(&mara.presses(&ask.message_id, &yes.choice_id))
        .await?;
    challenge(stage).await
}

pub(crate) async fn challenge(stage: &Stage) -> Result<Challenge> {
    let challenge = stage.store()?.challenges().numbered(1).await?;
    challenge.context("the challenge")
}

pub(crate) fn key(person: &Person) -> PersonKey {
    PersonKey {
        source: person.source.clone(),
        person_id: person.id.clone(),
    }
}

/// A member says something and reads the answer in private.
pub(crate) async fn hears(stage: &mut Stage, member: &Person, text: &str) -> Result<String> {
    let before = stage.river.messages_to(&member.id).len();
    stage.play(&member.says(text)).await?;
    let heard = stage.river.messages_to(&member.id);
    assert_eq!(heard.len(), before + 1, "one answer to \"{text}\"");
    assert!(heard[before].private);
    Ok(heard[before].text.clone())
}

async fn the_lifter_agrees_to_the_exact_text_before_anything_is_posted(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    stage.play(&mara.says(SET)).await?;
    let number = stage.case_of(&mara).await?.number;
    asks(stage, &ana, number).await?;
    // Nothing is posted before the lifter has seen and agreed to it.
    assert!(stage.river.messages_to(COMMUNITY).is_empty());
    assert_eq!(challenge(stage).await?.state, ChallengeState::Asked);
    let said = hears(stage, &joel, "answer 1 brace late").await?;
    assert!(said.contains("no challenge 1"), "{said}");
    // Somebody else's yes changes nothing.
    let said = hears(stage, &joel, "yes challenge 1").await?;
    assert!(said.contains("not about a set of yours"), "{said}");
    let ask = stage.river.last_to("mara")?;
    let yes = ask
        .button("Yes, I am 18 or over: post it")?
        .choice_id
        .clone();
    stage.play(&joel.presses(&ask.message_id, &yes)).await?;
    assert!(stage.river.messages_to(COMMUNITY).is_empty());
    stage.play(&mara.presses(&ask.message_id, &yes)).await?;
    let posted = stage.river.last_to(COMMUNITY)?;
    // The picture that is posted is the one that was agreed to, to the byte; the coach saw it too.
    let picture = posted.picture.clone().context("a picture")?;
    assert_eq!(ask.picture.as_ref(), Some(&picture));
    let copies = stage.river.messages_to(COACHES);
    assert!(
        copies
            .iter()
            .any(|copy| copy.picture.as_ref() == Some(&picture))
    );
    assert_eq!(picture["media_type"], "image/png");
    let alt = picture["alt"].as_str().context("words for it")?;
    assert!(
        alt.contains("about 140 kg (309 lb): 25 + 25 + 10 kg on each side") && alt.len() <= 300,
        "{alt}"
    );
    let data = picture["data_base64"].as_str().context("data")?;
    // "\x89PNG\r\n" in base64 (RFC 4648): the beginning of every PNG file.
    assert!(
        data.starts_with("iVBORw0K") && data.len() < 524_288,
        "{}",
        data.len()
    );
    let post = posted.text;
    // Word for word what was agreed to; no name, no words of hers.
    assert!(ask.text.contains(&post), "{post}\nnot in\n{}", ask.text);
    for part in ["Mara", "mara", "squishy", "forget to breathe", "165"] {
        assert!(!post.contains(part), "{part} in {post}");
    }
    for part in [
        "Friday 6 March 18:00 (UTC+00:00)",
        "140 kg (309 lb) x 3",
        "Seen or felt:",
    ] {
        assert!(post.contains(part), "{part} in {post}");
    }
    // Pressed again: nothing is posted twice.
    stage.play(&mara.presses(&ask.message_id, &yes)).await?;
    assert_eq!(stage.river.messages_to(COMMUNITY).len(), 1);
    Ok(())
}

async fn answers_are_private_edits_count_and_late_ones_do_not(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let (joel, nora) = (stage.lifter("joel"), stage.lifter("nora"));
    opened(stage, &mara, &ana).await?;
    // Said back in private.
    let said = hears(
        stage,
        &joel,
        "answer 1 ankle 60%; cue: breathe first; practise paused squat 60-65%",
    )
    .await?;
    assert!(
        said.contains("60 %") && said.contains("breathe first"),
        "{said}"
    );
    let said = hears(
        stage,
        &joel,
        "answer 1 brace late 70%, hips; cue: breathe first",
    )
    .await?;
    assert!(
        said.contains("70 %") && said.contains("Not understood: \"hips\""),
        "{said}"
    );
    let message = joel.says("answer 1 brace late 75%, loose rack");
    stage.play(&message).await?;
    let edit = joel.edits(&message.message_id(), 2, "answer 1 brace late 80%");
    stage.play(&edit).await?;
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&joel)).await?.context("kept")?;
    assert_eq!(answer.edits, 3);
    assert_eq!(answer.answer.causes.len(), 1);
    assert_eq!(answer.answer.causes[0].confidence, Some(0.8));
    let said = hears(stage, &joel, "my answer 1").await?;
    assert!(said.contains("80 %"), "{said}");
    let said = hears(stage, &nora, "my answer 1").await?;
    assert!(said.contains("no answer of yours"), "{said}");
    let said = hears(stage, &mara, "answer 1 brace late").await?;
    assert!(said.contains("your own set"), "{said}");
    stage.play(&nora.says("challenges")).await?;
    assert!(
        stage
            .river
            .messages()
            .last()
            .context("said")?
            .text
            .contains("**1** squat")
    );
    // A message taken back takes its answer back.
    hears(stage, &nora, "answer 1 brace late").await?;
    let withdrawn = nora.says("answer 1 stance");
    stage.play(&withdrawn).await?;
    stage
        .play(&nora.takes_back(&withdrawn.message_id()))
        .await?;
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&nora)).await?.context("a row")?;
    assert_eq!(answer.state, AnswerState::Withdrawn);
    assert!(answer.answer.causes.is_empty());

    // Closing: posted once, and late answers are told so.
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    assert_eq!(challenge(stage).await?.state, ChallengeState::Closed);
    let said = stage.river.messages_to(COMMUNITY);
    assert_eq!(said.len(), 2, "{said:#?}");
    let said = hears(stage, &nora, "answer 1 brace late").await?;
    assert!(said.contains("too late"), "{said}");
    for message in stage.river.messages_to(COMMUNITY) {
        assert!(
            !message.text.contains("80 %\n") && !message.text.contains("oel"),
            "{}",
            message.text
        );
    }
    Ok(())
}

async fn unsafe_advice_is_held_for_the_coach_and_danger_is_the_members_own(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    for (text, why) in [
        (
            "answer 1 brace late; cue: two painkillers first",
            "medicines",
        ),
        (
            "answer 1 brace late; practise paused squat 90%",
            "above 80 %",
        ),
        ("answer 1 brace late, just max out", "maximal"),
    ] {
        let before = stage.river.messages_to(COACHES).len();
        let said = hears(stage, &joel, text).await?;
        assert!(
            said.contains("coach reads it before") && said.contains(why),
            "{said}"
        );
        let alerts = stage.river.messages_to(COACHES);
        assert_eq!(alerts.len(), before + 1);
        assert!(alerts[before].text.contains(why), "{}", alerts[before].text);
        let store = stage.store()?.challenges();
        let answer = store.answer_of(1, &key(&joel)).await?.context("kept")?;
        assert_eq!(answer.state, AnswerState::Held);
    }
    told(stage, &ana, "release answer 1 joel").await?;
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&joel)).await?.context("kept")?;
    assert_eq!(answer.state, AnswerState::Taken);
    told(stage, &ana, "drop answer 1 joel").await?;
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&joel)).await?.context("kept")?;
    assert_eq!(answer.state, AnswerState::Withdrawn);
    // The member is hurt: that comes first, and it is no answer.
    let nora = stage.lifter("nora");
    stage
        .play(&nora.says(&format!("answer 1 brace late. {DANGER}")))
        .await?;
    let store = stage.store()?.challenges();
    assert_eq!(store.answer_of(1, &key(&nora)).await?, None);
    assert!(
        stage
            .river
            .messages_to(COACHES)
            .last()
            .context("alert")?
            .text
            .contains("Nora")
    );
    Ok(())
}

async fn what_may_not_be_shown_is_never_opened(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    // A lifter cannot open one.
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let own = stage.case_of(&mara).await?.number;
    stage
        .play(&mara.says(&format!("open challenge {own} until friday 18:00")))
        .await?;
    // Of a minor; under a stop; with words on health; of a case that is not there.
    for (who, set, why) in [
        ("pia", "squat 60 kg x 5, hips shoot up, i am 16", "under 18"),
        ("ruth", DANGER, "stopped for safety"),
        (
            "nora",
            "squat 100 kg x 5 @8, my knee has been niggling for 3 weeks, hips shoot up",
            "health",
        ),
    ] {
        let lifter = stage.lifter(who);
        stage.play(&lifter.says(set)).await?;
        let number = stage.case_of(&lifter).await?.number;
        let text = format!("open challenge {number} until friday 18:00");
        let said = told(stage, &ana, &text).await?.text;
        assert!(said.contains(why), "{who}: {said}");
    }
    for (text, why) in [
        (
            format!("open challenge {own} until whenever"),
            "Until when?",
        ),
        (
            format!("open challenge {own} until today 10:30"),
            "an hour to 60 days",
        ),
        (
            "open challenge 4711 until friday".to_owned(),
            "no case 4711",
        ),
        ("reveal 9".to_owned(), "no challenge 9"),
    ] {
        let said = told(stage, &ana, &text).await?.text;
        assert!(said.contains(why), "{text}: {said}");
    }
    // A coach of another platform sees neither case nor challenge.
    let eve = stage.person("/chat/hill", "eve", COACHES);
    stage
        .play(&eve.says(&format!("open challenge {own} until friday 18:00")))
        .await?;
    assert!(stage.hill.last_to(COACHES)?.text.contains("no case"));
    assert!(
        stage
            .store()?
            .challenges()
            .live(RIVER, 10)
            .await?
            .is_empty()
    );
    assert!(stage.river.messages_to(COMMUNITY).is_empty());
    // Without a room nothing can be posted, and the word says how to set one.
    stage.stop().await;
    for platform in &mut stage.settings.platform {
        platform.challenge_room = None;
    }
    stage.start().await?;
    let said = told(
        stage,
        &ana,
        &format!("open challenge {own} until friday 18:00"),
    )
    .await?
    .text;
    assert!(said.contains("challenge_room"), "{said}");
    Ok(())
}

async fn a_button_answers_with_one_cause(stage: &mut Stage) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    let post = stage.river.last_to(COMMUNITY)?;
    assert_eq!(post.choices.len(), 5, "{post:#?}");
    hears(stage, &joel, "answer 1 ankle 60%; cue: breathe first").await?;
    let button = post
        .choices
        .iter()
        .find(|button| button.choice_id == "ch:1:c-sq-brace");
    let choice = &button.context("a button for bracing")?.choice_id;
    stage.play(&joel.presses(&post.message_id, choice)).await?;
    let said = stage.river.last_to("joel")?;
    assert!(
        said.private && said.text.contains("breath"),
        "{}",
        said.text
    );
    // A cause that has no button is no press.
    stage
        .play(&joel.presses(&post.message_id, "ch:1:c-sq-nothing"))
        .await?;
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&joel)).await?.context("kept")?;
    assert_eq!(answer.answer.causes.len(), 1);
    assert_eq!(answer.answer.causes[0].cause, "c-sq-brace");
    assert_eq!(answer.answer.cue, "breathe first");
    Ok(())
}
