//! Challenges that end early, members who are forgotten, and what works.

use crate::challenge::{asks, challenge, hears, opened};
use crate::coach_queue::told;
use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result, ensure};
use cueline_bot::record::{ChallengeState, PersonKey};
use cueline_tests::platform::{Fault, Message};
use cueline_tests::program::path;
use cueline_tests::stage::{COACHES, COMMUNITY, RIVER, Stage};
use jiff::SignedDuration;
use std::process::Command;

on_both_engines!(
    consent_taken_back_midway_ends_it_and_empties_what_is_kept,
    a_platform_that_deletes_nothing_leaves_it_to_the_coach,
    a_forgotten_lifters_posts_are_taken_down,
    a_no_and_no_answer_post_nothing,
    danger_in_the_case_ends_the_challenge_by_itself,
    forgetting_a_member_takes_their_answers,
    what_works_and_common_faults_are_told_from_the_cases,
    the_coachs_own_words_are_counted_beside_the_catalogs_correction,
);

async fn consent_taken_back_midway_ends_it_and_empties_what_is_kept(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, ana, joel) = (
        stage.lifter("mara"),
        stage.coach("ana"),
        stage.lifter("joel"),
    );
    opened(stage, &mara, &ana).await?;
    hears(
        stage,
        &joel,
        "answer 1 brace late 70%; cue: an xylophone of air",
    )
    .await?;
    let post = stage.river.last_to(COMMUNITY)?.text;
    let line = post
        .lines()
        .find(|line| line.contains("Seen or felt"))
        .context("the signs")?;
    let line = line.trim_start_matches("- ").to_owned();
    assert!(!stage.look().places_of(&line).await?.is_empty());
    assert!(!stage.look().places_of("<svg").await?.is_empty());
    // Somebody else cannot take it back.
    let said = hears(stage, &joel, "take my case back").await?;
    assert!(said.contains("No set of yours"), "{said}");
    let said = hears(stage, &mara, "take my case back").await?;
    assert!(said.contains("are being deleted"), "{said}");
    assert_eq!(challenge(stage).await?.state, ChallengeState::Withdrawn);
    let note = stage.river.last_to(COMMUNITY)?.text;
    assert!(note.contains("was withdrawn"), "{note}");
    assert!(
        stage
            .river
            .last_to(COACHES)?
            .text
            .contains("delete its posts")
    );
    // Nor does it stand on the platform any more, in the community's room or the coaches'.
    let left = stage.river.standing_in(COMMUNITY);
    assert_eq!(left.len(), 1, "{left:#?}");
    assert!(left[0].text.contains("was withdrawn"), "{left:#?}");
    for room in [COMMUNITY, COACHES] {
        let mut left = stage.river.standing_in(room).into_iter();
        assert!(
            left.all(|one| !one.text.contains(&line) && one.picture.is_none()),
            "{room}"
        );
    }
    // What was shown is gone here, in every place it stood.
    assert_eq!(stage.look().places_of(&line).await?, Vec::<&str>::new());
    for part in ["<svg", "image/png"] {
        assert_eq!(stage.look().places_of(part).await?, Vec::<&str>::new());
    }
    let answers = "SELECT COUNT(*) FROM challenge_answers WHERE body LIKE '%xylophone%' OR state <> 'withdrawn'";
    assert_eq!(stage.look().number(answers).await?, 0);
    // No more answers, no closing post, no reveal.
    let said = hears(stage, &joel, "answer 1 brace late").await?;
    assert!(said.contains("is over"), "{said}");
    stage.pass(SignedDuration::from_hours(24 * 6)).await?;
    assert_eq!(stage.river.messages_to(COMMUNITY).len(), 2);
    let said = told(stage, &ana, "reveal 1 brace late").await?.text;
    assert!(said.contains("is over"), "{said}");
    Ok(())
}

async fn a_platform_that_deletes_nothing_leaves_it_to_the_coach(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    // Put off once, then refused.
    stage.river.keeps_in(COMMUNITY, 1, Fault::Status(503));
    stage.river.keeps_in(COMMUNITY, 1, Fault::Status(403));
    stage.play(&mara.says("take my case back")).await?;
    stage.pass(SignedDuration::from_mins(5)).await?;
    let said = stage.river.messages_to(COACHES);
    let by_hand = |one: &&Message| one.text.contains("Please have it deleted by hand");
    assert_eq!(said.iter().filter(by_hand).count(), 1, "{said:#?}");
    // What it may post it goes on posting: a refused deletion is no wrong token.
    let said = hears(stage, &mara, "take my case back").await?;
    assert!(said.contains("No set of yours"), "{said}");
    Ok(())
}

async fn a_forgotten_lifters_posts_are_taken_down(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    assert_eq!(stage.river.standing_in(COMMUNITY).len(), 1);
    stage.play(&mara.says("forget me")).await?;
    stage.play(&mara.says("yes, forget me")).await?;
    stage.rest().await?;
    assert!(stage.river.standing_in(COMMUNITY).is_empty());
    let copies = stage.river.standing_in(COACHES);
    let shown = |one: &Message| one.text.contains("Seen or felt");
    assert!(!copies.iter().any(shown), "{copies:#?}");
    // And nothing is left that says whose it was.
    let left = "SELECT COUNT(*) FROM outbox WHERE key LIKE 'unpost-%' AND body <> '{}'";
    assert_eq!(stage.look().number(left).await?, 0);
    Ok(())
}

async fn a_no_and_no_answer_post_nothing(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    stage.play(&mara.says(SET)).await?;
    let case = stage.case_of(&mara).await?.number;
    asks(stage, &ana, case).await?;
    let said = told(
        stage,
        &ana,
        &format!("open challenge {case} until friday 19:00"),
    )
    .await?
    .text;
    assert!(said.contains("in challenge 1 already"), "{said}");
    hears(stage, &mara, "no challenge 1").await?;
    assert_eq!(challenge(stage).await?.state, ChallengeState::Withdrawn);
    // A second one nobody answers: it lapses at its closing time.
    asks(stage, &ana, case).await?;
    let live = stage.store()?.challenges().live(RIVER, 10).await?;
    let number = live.first().context("asked")?.number;
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    let said = hears(stage, &mara, &format!("yes challenge {number}")).await?;
    assert!(said.contains("is over"), "{said}");
    assert!(stage.river.messages_to(COMMUNITY).is_empty());
    assert!(
        stage
            .river
            .messages_to(COACHES)
            .iter()
            .any(|said| said.text.contains("did not answer in time"))
    );
    Ok(())
}

async fn danger_in_the_case_ends_the_challenge_by_itself(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    stage.play(&mara.says(DANGER)).await?;
    stage.rest().await?;
    assert_eq!(challenge(stage).await?.state, ChallengeState::Withdrawn);
    let posts = stage.river.messages_to(COMMUNITY);
    assert_eq!(posts.len(), 2, "{posts:#?}");
    assert!(posts[1].text.contains("was withdrawn"));
    // Nothing of what happened is said there.
    assert!(!posts[1].text.contains("chest") && !posts[1].text.contains("safety"));
    Ok(())
}

async fn forgetting_a_member_takes_their_answers(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let (joel, nora) = (stage.lifter("joel"), stage.lifter("nora"));
    opened(stage, &mara, &ana).await?;
    hears(
        stage,
        &joel,
        "answer 1 brace late 70%; cue: an xylophone of air",
    )
    .await?;
    hears(stage, &nora, "answer 1 ankle 50%").await?;
    hears(stage, &joel, "hide me from the standing").await?;
    let key = |person_id: &str| PersonKey {
        source: RIVER.to_owned(),
        person_id: person_id.to_owned(),
    };
    let store = stage.store()?.challenges();
    assert_eq!(store.forget_member(&key("joel")).await?, 1);
    assert_eq!(store.answer_of(1, &key("joel")).await?, None);
    assert!(store.answer_of(1, &key("nora")).await?.is_some());
    for statement in [
        "SELECT COUNT(*) FROM challenge_answers WHERE person_id = 'joel'",
        "SELECT COUNT(*) FROM standing_hidden",
    ] {
        assert_eq!(stage.look().number(statement).await?, 0, "{statement}");
    }
    Ok(())
}

async fn what_works_and_common_faults_are_told_from_the_cases(stage: &mut Stage) -> Result<()> {
    let ana = stage.coach("ana");
    let said = told(stage, &ana, "what works").await?.text;
    assert!(said.contains("Nothing to show yet"), "{said}");
    for who in ["mara", "joel", "nora"] {
        stage.play(&stage.lifter(who).says(SET)).await?;
    }
    stage.pass(SignedDuration::from_hours(24 * 14)).await?;
    let mara = stage.lifter("mara");
    stage
        .play(&mara.says(
            "squat 140 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to breathe \
             and hips don't shoot up",
        ))
        .await?;
    let number = stage.cases_of(&mara).await?[0].number;
    told(stage, &ana, &format!("verdict {number} none")).await?;
    let said = told(stage, &ana, "what works squat").await?.text;
    for part in ["given 3", "came back 1", "gone 1", "few"] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let said = told(
        stage,
        &ana,
        "what works compare c-sq-brace sq-brace-late with c-sq-brace sq-trunk-soft",
    )
    .await?
    .text;
    assert!(
        said.contains("3 courses") && said.contains("no proof"),
        "{said}"
    );
    let said = told(stage, &ana, "what works nonsense").await?.text;
    assert!(said.contains("I do not know"), "{said}");
    let said = told(stage, &ana, "common faults squat").await?.text;
    assert!(
        said.contains("squat: breath") && said.contains("3 times"),
        "{said}"
    );
    // A lifter's question is no order.
    let heard = stage.river.messages().len();
    stage.play(&mara.says("what works for you guys")).await?;
    assert!(
        stage
            .river
            .messages()
            .iter()
            .skip(heard)
            .all(|said| !said.text.contains("given"))
    );
    // The same as CSV, by the program beside the running service.
    let folder = tempfile::tempdir()?;
    let settings = format!("[store]\nurl = \"{}\"\n", stage.settings.store.url);
    std::fs::write(folder.path().join("cueline.toml"), settings)?;
    let program = path()?;
    let config = folder.path().to_owned();
    let ran = tokio::task::spawn_blocking(move || {
        Command::new(program)
            .arg("--config")
            .arg(config)
            .args(["works", "--csv"])
            .output()
    })
    .await??;
    ensure!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    let csv = String::from_utf8(ran.stdout)?;
    assert!(csv.starts_with("lift,cause,sign,by,given,"), "{csv}");
    assert!(
        csv.contains("squat,c-sq-brace,sq-brace-late,catalog,3,1,1,14.00,14.00,14.00,true"),
        "{csv}"
    );
    Ok(())
}

async fn the_coachs_own_words_are_counted_beside_the_catalogs_correction(
    stage: &mut Stage,
) -> Result<()> {
    let ana = stage.coach("ana");
    // One lifter practises the catalog's correction; the other gets the coach's own words instead.
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says(SET)).await?;
    stage.play(&joel.says("ask the coach")).await?;
    let number = stage.case_of(&joel).await?.number;
    told(
        stage,
        &ana,
        &format!("say {number} count to three before you go down"),
    )
    .await?;
    // Said twice about one set, it is one plan.
    told(
        stage,
        &ana,
        &format!("say {number} and film it from the side"),
    )
    .await?;
    told(stage, &ana, &format!("finish {number}")).await?;
    let said = told(stage, &ana, "what works c-sq-brace coach").await?.text;
    assert!(
        said.contains("the coach's own words") && said.contains("given 1, came back 0"),
        "{said}"
    );
    assert!(said.contains("count once for each set"), "{said}");
    stage.pass(SignedDuration::from_hours(24 * 14)).await?;
    stage
        .play(&joel.says(
            "squat 140 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to breathe \
             and hips don't shoot up",
        ))
        .await?;
    let said = told(stage, &ana, "what works c-sq-brace coach").await?.text;
    assert!(said.contains("given 1, came back 1, gone 1"), "{said}");
    let said = told(
        stage,
        &ana,
        "what works compare c-sq-brace with c-sq-brace coach",
    )
    .await?
    .text;
    assert!(said.contains("no proof"), "{said}");
    // A verdict says which cause it was for.
    let nora = stage.lifter("nora");
    stage.play(&nora.says(SET)).await?;
    stage.play(&nora.says("ask the coach")).await?;
    let number = stage.case_of(&nora).await?.number;
    told(stage, &ana, &format!("say {number} tighter upper back")).await?;
    told(stage, &ana, &format!("finish {number}")).await?;
    told(stage, &ana, &format!("verdict {number} c-sq-loose-rack")).await?;
    let said = told(stage, &ana, "what works c-sq-loose-rack coach")
        .await?
        .text;
    assert!(said.contains("given 1"), "{said}");
    Ok(())
}
