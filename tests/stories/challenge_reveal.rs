//! The reveal: one post, everybody's own mark, the season; whatever stops the service.

use crate::challenge::{challenge, hears, key, opened};
use crate::coach_queue::told;
use anyhow::{Context as _, Result};
use cueline_bot::record::{Challenge, ChallengeState};
use cueline_tests::builders::Person;
use cueline_tests::stage::{COMMUNITY, Stage};
use jiff::SignedDuration;

on_both_engines!(
    the_reveal_posts_once_and_everybody_gets_their_own_mark,
    a_stop_in_the_middle_of_a_reveal_posts_and_marks_once,
);

async fn the_reveal_posts_once_and_everybody_gets_their_own_mark(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let open = opened(stage, &mara, &ana).await?;
    let said = told(stage, &ana, "reveal 1").await?.text;
    assert!(said.contains("open until Friday"), "{said}");
    for (who, text) in [
        (
            "joel",
            "answer 1 brace late 90%; practise: squat after holding the breath for a count of 3 at the top 60%",
        ),
        ("nora", "answer 1 ankle 90%"),
        (
            "pia",
            "answer 1 brace late 90%; practise: squat after holding the breath for a count of 3 at the top 60%",
        ),
        ("ruth", "answer 1 brace late 60%, loose-rack 30%"),
    ] {
        hears(stage, &stage.lifter(who), text).await?;
    }
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    let said = told(stage, &ana, "reveal 1").await?.text;
    assert!(said.contains("First your verdict"), "{said}");
    assert_eq!(stage.river.messages_to(COMMUNITY).len(), 2);
    let case = stage.case_of(&mara).await?.number;
    told(stage, &ana, &format!("verdict {case} brace late")).await?;
    // Nor is a lifter's reveal one.
    stage.play(&stage.lifter("joel").says("reveal 1")).await?;
    assert_eq!(challenge(stage).await?.state, ChallengeState::Closed);
    told(stage, &ana, "reveal 1").await?;
    stage.pass(SignedDuration::from_mins(2)).await?;
    let said = told(stage, &ana, "reveal 1").await?.text;
    assert!(said.contains("revealed already"), "{said}");
    let posts = stage.river.messages_to(COMMUNITY);
    assert_eq!(posts.len(), 3, "{posts:#?}");
    let post = &posts[2].text;
    for part in [
        "The coach sees: 1. breath",
        "4 answered",
        "by 75 %",
        "alpha",
        "95 % interval",
        "reached by 2",
        "sealed when the challenge was opened",
    ] {
        assert!(post.contains(part), "{part} in {post}");
    }
    for name in ["Joel", "Nora", "joel", "nora", "Mara"] {
        assert!(!post.contains(name), "{name} in {post}");
    }
    everybody_has_their_mark(stage, &open).await?;
    the_season_so_far(stage, &ana).await
}

/// Every member has one mark, in private, and what was sealed is what was scored.
async fn everybody_has_their_mark(stage: &mut Stage, open: &Challenge) -> Result<()> {
    // Worked out by hand from the quadratic score: 100 x ((0.05-1)^2 - (0.9-1)^2) = 89.25, and
    // 20 + 20 for the first link and the exercise; for nora 100 x (0.05^2 - 0.9^2) = -80.75.
    let joel = stage.river.last_to("joel")?;
    assert!(
        joel.private && joel.text.contains("**129 points**"),
        "{}",
        joel.text
    );
    let nora = stage.river.last_to("nora")?.text;
    assert!(nora.contains("**-81 points**"), "{nora}");
    let store = stage.store()?.challenges();
    for who in ["joel", "nora", "pia", "ruth"] {
        let marks = stage
            .river
            .messages_to(who)
            .iter()
            .filter(|message| message.text.contains("points**"))
            .count();
        assert_eq!(marks, 1, "{who}");
        let member = key(&stage.lifter(who));
        assert!(
            store
                .answer_of(1, &member)
                .await?
                .context("kept")?
                .mark
                .is_some()
        );
    }
    // What was sealed at the opening is what is scored; nothing has changed it since.
    let revealed = challenge(stage).await?;
    assert_eq!(revealed.sealed, open.sealed);
    assert_eq!(revealed.run_at, None);
    assert_eq!(revealed.sealed.causes[0].cause, "c-sq-brace");
    Ok(())
}

/// Three marks are needed, nobody has them; then one is enough.
async fn the_season_so_far(stage: &mut Stage, ana: &Person) -> Result<()> {
    let table = told(stage, ana, "standing").await?.text;
    assert!(table.contains("Nobody has 3 marks"), "{table}");
    stage.stop().await;
    stage.settings.challenges.least_entries = 1;
    stage.start().await?;
    stage
        .play(&stage.lifter("pia").says("hide me from the standing"))
        .await?;
    let table = told(stage, ana, "standing").await?.text;
    assert!(
        table.contains("1. Joel") && table.contains("Nora"),
        "{table}"
    );
    assert!(!table.contains("Pia"), "{table}");
    Ok(())
}

async fn a_stop_in_the_middle_of_a_reveal_posts_and_marks_once(stage: &mut Stage) -> Result<()> {
    const MEMBERS: usize = 230;
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    // More than one page of marks.
    for number in 0..MEMBERS {
        let member = stage.lifter(&format!("member{number}"));
        stage
            .send(
                &member
                    .in_room(&format!("room{number}"))
                    .says("answer 1 brace late 60%"),
            )
            .await?;
    }
    stage.rest().await?;
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    stage.send(&ana.says("reveal 1 brace late")).await?;
    stage.stop().await;
    stage.start().await?;
    stage.rest().await?;
    // Between the pages too.
    stage.stop().await;
    stage.start().await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    assert_eq!(stage.river.messages_to(COMMUNITY).len(), 3);
    for number in 0..MEMBERS {
        let marks = stage
            .river
            .messages_to(&format!("member{number}"))
            .iter()
            .filter(|message| message.text.contains("points**"))
            .count();
        assert_eq!(marks, 1, "member{number}");
    }
    assert_eq!(challenge(stage).await?.run_at, None);
    let verdict = stage.store()?.verdicts(10).await?;
    assert_eq!(verdict.len(), 1, "the verdict said with the reveal is kept");
    Ok(())
}
