//! What a lifter writes about their health is kept with their consent only; danger is answered
//! with or without it.

use crate::first_report::SET;
use crate::red_flag::{DANGER, nothing_about_lifting};
use anyhow::Result;
use cueline_bot::record::{CaseState, ConsentStep, PersonKey};
use cueline_core::triage::Level;
use cueline_tests::builders::Person;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    a_lifter_without_a_word_on_health_is_never_asked,
    danger_is_answered_at_once_and_without_consent_no_word_of_it_is_kept,
    nobody_is_asked_for_consent_at_a_stop_but_when_they_next_write,
    pain_is_passed_to_the_coach_once_and_the_lifter_is_asked_in_private,
    after_a_yes_words_are_kept_and_the_log_says_what_was_agreed_to,
    after_a_no_nothing_is_kept_and_nobody_asks_again,
    an_unanswered_question_is_not_put_again_for_a_month,
    taking_consent_back_deletes_every_word_at_once,
    under_eighteen_nobody_is_asked_and_nothing_is_kept,
    a_ticked_flag_in_the_form_is_words_on_health_too,
    nobody_can_consent_for_somebody_else,
);

/// Invented: a set with a pain in it that a person has to look at, and that stops nothing.
const PAIN: &str = "squat 140 kg x 3 @8, side video, best 165 kg, my left knee has been a sore \
                    spot, it has ached for three weeks";

/// What of the words stands anywhere.
async fn kept(stage: &mut Stage, words: &[&str]) -> Result<Vec<String>> {
    let mut found = Vec::new();
    for word in words {
        found.extend(stage.look().anywhere(word).await?);
    }
    Ok(found)
}

async fn step(stage: &Stage, person: &Person) -> Result<Option<ConsentStep>> {
    let key = PersonKey {
        source: person.source.clone(),
        person_id: person.id.clone(),
    };
    let lifter = stage.store()?.lifter(&key).await?;
    Ok(lifter.and_then(|lifter| lifter.profile.health.map(|health| health.step)))
}

fn asked(stage: &Stage, person: &str) -> usize {
    let private = stage.river.messages_to(person);
    private
        .iter()
        .filter(|message| message.text.contains("May I keep"))
        .count()
}

async fn a_lifter_without_a_word_on_health_is_never_asked(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    for text in [
        SET,
        "no pain, no dizziness, all good",
        "my cases",
        "thanks!",
    ] {
        stage.play(&mara.says(text)).await?;
    }
    assert_eq!(asked(stage, "mara"), 0);
    assert_eq!(step(stage, &mara).await?, None);
    assert!(
        !stage.look().anywhere("squishy").await?.is_empty(),
        "a set needs no consent"
    );
    Ok(())
}

async fn danger_is_answered_at_once_and_without_consent_no_word_of_it_is_kept(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    let said = stage.river.messages_to(LIFTERS);
    assert_eq!(said.len(), 1);
    assert!(said[0].text.contains("Stop now"), "{}", said[0].text);
    nothing_about_lifting(&said[0].text);
    // The coach has the words, in the alert alone.
    let alert = stage.river.last_to(COACHES)?;
    assert!(alert.text.contains("crushing chest"), "{}", alert.text);
    assert_eq!(
        kept(stage, &["chest", "left arm", "crushing"]).await?,
        Vec::<String>::new()
    );
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Halted);
    assert_eq!(
        case.body.halt,
        Some(Level::Emergency),
        "state and level stay"
    );
    stage.play(&stage.coach("ana").says("show 1")).await?;
    let card = stage.river.last_to(COACHES)?;
    assert!(card.text.contains("words not kept"), "{}", card.text);
    Ok(())
}

async fn nobody_is_asked_for_consent_at_a_stop_but_when_they_next_write(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    assert_eq!(asked(stage, "mara"), 0);
    stage.pass(SignedDuration::from_hours(48)).await?;
    stage
        .play(&mara.says("my cardiologist has looked at it and cleared me for lifting"))
        .await?;
    assert!(stage.river.last_to(COACHES)?.text.contains("cardiologist"));
    assert_eq!(
        kept(stage, &["cardiologist", "looked at it"]).await?,
        Vec::<String>::new()
    );
    assert_eq!(asked(stage, "mara"), 1);
    Ok(())
}

async fn pain_is_passed_to_the_coach_once_and_the_lifter_is_asked_in_private(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(PAIN)).await?;
    assert_eq!(
        stage.river.messages_to(LIFTERS).len(),
        1,
        "one answer in the room"
    );
    assert_eq!(asked(stage, "mara"), 1);
    let question = stage.river.last_to("mara")?;
    assert!(question.private);
    for part in [
        "90 days",
        "24 months",
        "take back my consent",
        "need no consent",
    ] {
        assert!(question.text.contains(part), "{part} in {}", question.text);
    }
    let alerts = stage.river.messages_to(COACHES);
    assert_eq!(alerts.len(), 1, "{alerts:#?}");
    assert!(alerts[0].text.contains("left knee"), "{}", alerts[0].text);
    assert_eq!(
        kept(stage, &["left knee", "ached", "sq-pain"]).await?,
        Vec::<String>::new()
    );
    // What the set was stays: figures need no consent.
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.rounds[0].report.reps, Some(3));
    Ok(())
}

async fn after_a_yes_words_are_kept_and_the_log_says_what_was_agreed_to(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(PAIN)).await?;
    let question = stage.river.last_to("mara")?;
    let yes = question.button("Yes, keep them")?.choice_id.clone();
    stage
        .play(&mara.in_room("mara").presses(&question.message_id, &yes))
        .await?;
    assert_eq!(step(stage, &mara).await?, Some(ConsentStep::Yes));
    stage
        .play(&mara.says("the pain in my left knee is worse on stairs"))
        .await?;
    assert!(!kept(stage, &["stairs"]).await?.is_empty());
    let same = "SELECT COUNT(DISTINCT text_version) FROM consents";
    assert_eq!(
        stage.look().number(same).await?,
        1,
        "the same text was shown and agreed to"
    );
    let shown = "SELECT COUNT(*) FROM consents WHERE step = 'asked' AND text LIKE '%90 days%'";
    assert_eq!(stage.look().number(shown).await?, 1);
    let agreed = "SELECT COUNT(*) FROM consents WHERE step = 'yes' AND how = 'button'";
    assert_eq!(stage.look().number(agreed).await?, 1);
    Ok(())
}

async fn after_a_no_nothing_is_kept_and_nobody_asks_again(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(PAIN)).await?;
    let question = stage.river.last_to("mara")?;
    let no = question.button("No, keep none")?.choice_id.clone();
    stage
        .play(&mara.in_room("mara").presses(&question.message_id, &no))
        .await?;
    for _ in 0..2 {
        stage.pass(SignedDuration::from_hours(24 * 45)).await?;
        stage.play(&mara.says(PAIN)).await?;
    }
    assert_eq!(asked(stage, "mara"), 1);
    assert_eq!(kept(stage, &["left knee"]).await?, Vec::<String>::new());
    assert!(
        stage.river.last_to(COACHES)?.text.contains("left knee"),
        "the coach still hears"
    );
    Ok(())
}

async fn an_unanswered_question_is_not_put_again_for_a_month(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    for _ in 0..3 {
        stage.play(&mara.says(PAIN)).await?;
        stage.pass(SignedDuration::from_hours(24)).await?;
    }
    assert_eq!(asked(stage, "mara"), 1);
    stage.pass(SignedDuration::from_hours(24 * 30)).await?;
    stage.play(&mara.says(PAIN)).await?;
    assert_eq!(asked(stage, "mara"), 2);
    Ok(())
}

async fn taking_consent_back_deletes_every_word_at_once(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says("I consent")).await?;
    stage.play(&mara.says(PAIN)).await?;
    stage.play(&mara.says(DANGER).in_thread("t-2")).await?;
    stage
        .play(&stage.coach("ana").says("say 1 rest the left knee"))
        .await?;
    let words = ["left knee", "chest", "ached", "sq-pain"];
    assert!(!kept(stage, &words).await?.is_empty());
    let before = stage.cases_of(&mara).await?;
    stage.play(&mara.says("I take back my consent")).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("taken back"), "{}", said.text);
    assert_eq!(kept(stage, &words).await?, Vec::<String>::new());
    // Figures, states and the stop stay.
    let after = stage.cases_of(&mara).await?;
    let states = |cases: &[cueline_bot::record::Case]| -> Vec<_> {
        cases
            .iter()
            .map(|case| (case.number, case.state, case.body.halt))
            .collect()
    };
    assert_eq!(states(&after), states(&before));
    assert_eq!(step(stage, &mara).await?, Some(ConsentStep::Withdrawn));
    stage.play(&mara.says("my left knee hurts again")).await?;
    assert_eq!(kept(stage, &["left knee"]).await?, Vec::<String>::new());
    Ok(())
}

async fn under_eighteen_nobody_is_asked_and_nothing_is_kept(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(&format!("I'm 16. {PAIN}"))).await?;
    assert_eq!(asked(stage, "mara"), 0, "a child is not asked");
    assert_eq!(kept(stage, &["left knee"]).await?, Vec::<String>::new());
    stage.play(&stage.coach("ana").says("queue")).await?;
    let queue = stage.river.last_to(COACHES)?;
    assert!(queue.text.contains("parent or guardian"), "{}", queue.text);
    stage.play(&mara.says("I consent")).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("parent or guardian"), "{}", said.text);
    stage.play(&mara.says("my left knee hurts again")).await?;
    assert_eq!(kept(stage, &["left knee"]).await?, Vec::<String>::new());
    Ok(())
}

async fn a_ticked_flag_in_the_form_is_words_on_health_too(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let fields = serde_json::json!({ "lift": "squat", "load": 140, "unit": "kg", "reps": 3,
        "flags": ["night-pain"], "words": "it wakes me at night" });
    stage.play(&mara.submits(&fields)).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Halted);
    assert_eq!(
        kept(stage, &["night-pain", "wakes"]).await?,
        Vec::<String>::new()
    );
    assert_eq!(
        asked(stage, "mara"),
        0,
        "a stop is no moment for a question"
    );
    stage.play(&mara.says("seen a physio, all fine")).await?;
    assert_eq!(asked(stage, "mara"), 1);
    Ok(())
}

async fn nobody_can_consent_for_somebody_else(stage: &mut Stage) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(PAIN)).await?;
    let question = stage.river.last_to("mara")?;
    let yes = question.button("Yes, keep them")?.choice_id.clone();
    for other in [joel, stage.coach("ana")] {
        stage
            .play(&other.presses(&question.message_id, &yes))
            .await?;
    }
    assert_eq!(step(stage, &mara).await?, Some(ConsentStep::Asked));
    Ok(())
}
