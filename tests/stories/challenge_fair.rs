//! What would be unfair among members: a bad answer taken back after the verdict, a coach who
//! competes, an answer that is let in late and gets no mark.

use crate::challenge::{challenge, hears, key, opened};
use crate::coach_queue::told;
use anyhow::{Context as _, Result};
use cueline_bot::record::{AnswerState, ChallengeAnswer};
use cueline_tests::stage::{COMMUNITY, Stage};
use jiff::SignedDuration;

on_both_engines!(
    whoever_has_read_the_verdict_cannot_take_a_bad_answer_back,
    an_answer_let_in_after_the_reveal_gets_its_mark,
    a_coach_does_not_compete,
);

async fn kept(stage: &Stage, who: &str) -> Result<ChallengeAnswer> {
    let store = stage.store()?.challenges();
    let answer = store.answer_of(1, &key(&stage.lifter(who))).await?;
    answer.context("kept")
}

/// Marks go out in pages; those of the second page have read the verdict and wait for theirs.
async fn whoever_has_read_the_verdict_cannot_take_a_bad_answer_back(
    stage: &mut Stage,
) -> Result<()> {
    const FIRST_PAGE: usize = 200;
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    for number in 0..FIRST_PAGE {
        let member = stage.lifter(&format!("member{number}"));
        let member = member.in_room(&format!("room{number}"));
        stage.send(&member.says("answer 1 brace late 60%")).await?;
    }
    stage.rest().await?;
    let (yan, zoe) = (stage.lifter("yan"), stage.lifter("zoe"));
    let bad = yan.says("answer 1 ankle 100%");
    stage.play(&bad).await?;
    hears(stage, &zoe, "answer 1 ankle 100%").await?;
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    told(stage, &ana, "reveal 1 brace late").await?;
    assert_eq!(stage.river.messages_to(COMMUNITY).len(), 3);
    let marks_of = |stage: &Stage, who: &str| {
        let all = stage.river.messages_to(who);
        all.iter()
            .filter(|said| said.text.contains("points**"))
            .count()
    };
    assert_eq!(
        marks_of(stage, "zoe"),
        0,
        "she is of the second page and not told yet"
    );
    let said = hears(stage, &zoe, "withdraw answer 1").await?;
    assert!(said.contains("has its mark"), "{said}");
    stage.play(&yan.takes_back(&bad.message_id())).await?;
    for who in ["yan", "zoe"] {
        let answer = kept(stage, who).await?;
        assert_eq!(answer.state, AnswerState::Taken, "{who}");
        // 100 x (0.05^2 - 1^2), worked out by hand.
        let mark = answer.mark.context("a mark")?;
        assert!((mark.causes + 99.75).abs() < 1e-9, "{mark:?}");
    }
    // What was written is gone with the message; the mark stays.
    assert!(kept(stage, "yan").await?.answer.causes.is_empty());
    // The second page, and the look that finds no third.
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    assert_eq!(marks_of(stage, "zoe"), 1);
    assert_eq!(
        marks_of(stage, "yan"),
        0,
        "nothing is left to say of his answer"
    );
    assert_eq!(challenge(stage).await?.run_at, None);
    Ok(())
}

async fn an_answer_let_in_after_the_reveal_gets_its_mark(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    let joel = stage.lifter("joel");
    hears(
        stage,
        &joel,
        "answer 1 brace late 90%; practise paused squat 90%",
    )
    .await?;
    assert_eq!(kept(stage, "joel").await?.state, AnswerState::Held);
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    let said = told(stage, &ana, "reveal 1 brace late").await?.text;
    assert!(said.contains("Held and not released: 1"), "{said}");
    stage.pass(SignedDuration::from_mins(2)).await?;
    assert_eq!(kept(stage, "joel").await?.mark, None);
    told(stage, &ana, "release answer 1 joel").await?;
    let answer = kept(stage, "joel").await?;
    // 100 x ((0.05-1)^2 - (0.9-1)^2) = 89.25 and 20 for the first link; nothing for 90 % of a best.
    let total = answer.mark.context("a mark")?.total();
    assert!((total - 109.25).abs() < 1e-9, "{total}");
    let said = stage.river.last_to("joel")?.text;
    assert!(said.contains("**109 points**"), "{said}");
    Ok(())
}

async fn a_coach_does_not_compete(stage: &mut Stage) -> Result<()> {
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    opened(stage, &mara, &ana).await?;
    let post = stage.river.last_to(COMMUNITY)?;
    let button = post.choices.first().context("a button")?;
    stage
        .play(&ana.presses(&post.message_id, &button.choice_id))
        .await?;
    let said = stage.river.last_to("ana")?;
    assert!(
        said.private && said.text.contains("Coaches give the verdict"),
        "{}",
        said.text
    );
    let store = stage.store()?.challenges();
    assert_eq!(store.answer_of(1, &key(&ana)).await?, None);
    Ok(())
}
