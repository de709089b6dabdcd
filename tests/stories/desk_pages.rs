//! The desk's pages beside queue and case: the review sheet and the log; and what a case's page offers
//! beside an answer.

use crate::desk::{at_the_desk, handed_over, with_desk};
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result};
use cueline_bot::record::{CaseState, ChallengeState};
use cueline_tests::desk::{Desk, Page};
use cueline_tests::stage::{COACHES, COMMUNITY, HILL, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    opening_the_sheet_keeps_nothing_and_drawing_it_up_does,
    the_kept_sheet_stays_through_the_session_and_the_document_is_the_same,
    what_the_lifter_agreed_to_is_what_may_be_shown,
    a_case_is_put_to_the_community_at_the_desk_or_told_why_not,
    the_lifter_is_asked_one_question_from_the_desk,
    the_log_tells_who_did_what_and_nothing_that_was_written,
);

const BENCH: &str = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                     best 95 kg, spotter there";

async fn sheets(stage: &mut Stage) -> Result<i64> {
    stage.look().number("SELECT COUNT(*) FROM sheets").await
}

/// Another lifter's bench press, handed to the coach.
async fn benched(stage: &mut Stage, who: &str) -> Result<i64> {
    let lifter = stage.lifter(who);
    stage.play(&lifter.says(BENCH)).await?;
    stage.play(&lifter.says("ask the coach")).await?;
    Ok(stage.case_of(&lifter).await?.number)
}

/// Page and policy fit: no style or script within the page.
pub(crate) fn obeys_its_policy(page: &Page) {
    assert_eq!(page.status, 200, "{}", page.text);
    for forbidden in [" style=", "<style", "onclick", "<script>"] {
        assert!(
            !page.text.contains(forbidden),
            "{forbidden} in {}",
            page.text
        );
    }
}

async fn keep(desk: &mut Desk, minutes: &str) -> Result<Page> {
    let page = desk.get(&format!("/desk/sheet?minutes={minutes}")).await?;
    let sent = desk
        .send(&page, "/desk/sheet/keep", &[("minutes", minutes)])
        .await?;
    assert_eq!(sent.status, 303, "{sent:?}");
    desk.follow(&sent).await
}

async fn opening_the_sheet_keeps_nothing_and_drawing_it_up_does(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let first = handed_over(stage, "mara").await?;
    let second = benched(stage, "tobi").await?;
    let ruth = stage.lifter("ruth");
    stage.play(&ruth.says(DANGER)).await?;
    let stopped = stage.case_of(&ruth).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    for path in ["/desk/sheet", "/desk/sheet?minutes=20", "/desk/sheet.md"] {
        let page = desk.get(path).await?;
        obeys_its_policy(&page);
        for number in [first, second] {
            assert!(
                page.text.contains(&format!("Case {number}")),
                "{}",
                page.text
            );
        }
        let named = page.text.split_once("stopped for safety: ");
        let (_, named) = named.context("no stop is named")?;
        let named: String = named.chars().take(30).collect();
        assert!(named.contains(&stopped.to_string()), "{named}");
        assert!(
            !page.text.contains(&format!("case-{stopped}")),
            "no card of a stopped case"
        );
    }
    assert_eq!(sheets(stage).await?, 0, "looking changes nothing");
    let odd = desk.get("/desk/sheet?minutes=5000").await?;
    assert!(odd.text.contains("for 5 to 240 minutes"), "{}", odd.text);
    let refused = desk
        .send(&odd, "/desk/sheet/keep", &[("minutes", "5000")])
        .await?;
    let refused = desk.follow(&refused).await?;
    assert!(
        refused.text.contains("5 to 240 minutes"),
        "{}",
        refused.text
    );
    assert_eq!(sheets(stage).await?, 0);
    let before = stage.river.messages_to(COACHES).len();
    let kept = keep(&mut desk, "20").await?;
    assert!(kept.text.contains("Kept: a sheet with"), "{}", kept.text);
    assert!(kept.text.contains("stopped for safety: "), "{}", kept.text);
    assert!(
        kept.text.contains("by ana, for 20 minutes"),
        "{}",
        kept.text
    );
    assert_eq!(sheets(stage).await?, 1);
    // What came of it stands at the desk; the coaches' room is left in peace.
    assert_eq!(stage.river.messages_to(COACHES).len(), before);
    // The word in chat knows of it, and the desk of the word in chat.
    stage.pass(SignedDuration::from_hours(24 * 7)).await?;
    stage.play(&ana.says("review sheet 20 minutes")).await?;
    let said = stage.river.last_to(COACHES)?.text;
    assert!(said.contains("Carried over"), "{said}");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get("/desk/sheet").await?;
    assert!(page.text.contains("Carried over"), "{}", page.text);
    assert!(page.text.contains("Kept <time"), "{}", page.text);
    assert_eq!(sheets(stage).await?, 2);
    Ok(())
}

async fn the_kept_sheet_stays_through_the_session_and_the_document_is_the_same(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let first = handed_over(stage, "mara").await?;
    let second = benched(stage, "tobi").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    keep(&mut desk, "20").await?;
    stage
        .play(&ana.says(&format!("say {first} breathe first")))
        .await?;
    stage.play(&ana.says(&format!("finish {first}"))).await?;
    benched(stage, "nora").await?;
    let page = desk.get("/desk/sheet").await?;
    for number in [first, second] {
        assert!(
            page.text.contains(&format!("id=\"case-{number}\"")),
            "{}",
            page.text
        );
    }
    assert!(
        !page.text.contains("Nora"),
        "came after it was kept: {}",
        page.text
    );
    let document = desk.get("/desk/sheet.md").await?;
    assert_eq!(
        document.header("content-type"),
        "text/markdown; charset=utf-8"
    );
    assert!(
        document
            .header("content-disposition")
            .contains("review-sheet.md")
    );
    let headings = document
        .text
        .lines()
        .filter(|line| line.starts_with("## "))
        .count();
    assert_eq!(headings, 2, "a heading a case: {}", document.text);
    for part in [
        "To talk about",
        "To look at",
        "Loads",
        "80 kg (176 lb)",
        "Not for showing",
    ] {
        assert!(document.text.contains(part), "{part} in {}", document.text);
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    // Over with the session; a coach of another platform never sees it.
    stage.pass(SignedDuration::from_hours(13)).await?;
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get("/desk/sheet").await?;
    assert!(page.text.contains("Nothing is kept yet"), "{}", page.text);
    let eve = stage.person(HILL, "eve", COACHES);
    let mut other = at_the_desk(stage, &eve).await?;
    for path in [
        "/desk/sheet",
        "/desk/sheet.md",
        "/desk/works",
        "/desk/faults",
        "/desk/log",
    ] {
        let page = other.get(path).await?;
        assert_eq!(page.status, 200);
        for theirs in ["Mara", "Tobi", "ana"] {
            let found = page
                .text
                .split(|c: char| !c.is_alphanumeric())
                .any(|word| word == theirs);
            assert!(!found, "{theirs} at {path}: {}", page.text);
        }
    }
    Ok(())
}

async fn what_the_lifter_agreed_to_is_what_may_be_shown(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    crate::challenge::opened(stage, &mara, &ana).await?;
    stage.play(&mara.says("ask the coach")).await?;
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get("/desk/sheet").await?;
    assert!(page.text.contains("posted as challenge 1"), "{}", page.text);
    stage.play(&mara.says("take my case back")).await?;
    let page = desk.get("/desk/sheet").await?;
    assert!(
        !page.text.contains("posted as challenge 1"),
        "{}",
        page.text
    );
    assert!(page.text.contains("Not for showing"), "{}", page.text);
    Ok(())
}

async fn a_case_is_put_to_the_community_at_the_desk_or_told_why_not(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let ruth = stage.lifter("ruth");
    stage.play(&ruth.says(DANGER)).await?;
    let stopped = stage.case_of(&ruth).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{stopped}")).await?;
    assert!(
        page.text.contains("stopped for safety: nothing of theirs"),
        "{}",
        page.text
    );
    assert!(
        !page
            .text
            .contains(&format!("/desk/case/{stopped}/challenge"))
    );
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    assert!(
        page.text.contains(&format!("{case}/challenge")),
        "{}",
        page.text
    );
    let closes = (stage.now() + SignedDuration::from_hours(72)).to_string();
    let closes: String = closes.chars().take(16).collect();
    let sent = desk
        .send(&page, &format!("{case}/challenge"), &[("closes", &closes)])
        .await?;
    let page = desk.follow(&sent).await?;
    assert!(
        page.text.contains("Challenge 1 is made of case"),
        "{}",
        page.text
    );
    stage.rest().await?;
    let kept = crate::challenge::challenge(stage).await?;
    assert_eq!(
        kept.state,
        ChallengeState::Asked,
        "the lifter is asked first"
    );
    assert!(stage.river.messages_to(COMMUNITY).is_empty());
    assert!(
        stage
            .river
            .last_to("mara")?
            .text
            .contains("This and nothing else")
    );
    // A time that is none is answered in words, and opens nothing; a number is spent on it.
    let sent = desk
        .send(&page, &format!("{case}/challenge"), &[("closes", "soon")])
        .await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("Until when?"), "{}", page.text);
    let second = stage.store()?.challenges().numbered(2).await?;
    assert!(second.is_none(), "{second:?}");
    // While it goes on there is no second one.
    let page = desk.get(&case).await?;
    assert!(
        page.text.contains("is in challenge 1 already"),
        "{}",
        page.text
    );
    assert!(!page.text.contains(&format!("{case}/challenge")));
    Ok(())
}

async fn the_lifter_is_asked_one_question_from_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let (mara, ana) = (stage.lifter("mara"), stage.coach("ana"));
    let mut desk = at_the_desk(stage, &ana).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    let sent = desk
        .send(
            &page,
            &format!("{case}/ask"),
            &[("text", "Do your heels *stay* down?")],
        )
        .await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("is asked in case"), "{}", page.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Asking);
    stage.rest().await?;
    let heard = stage.river.last_to(LIFTERS)?.text;
    assert_eq!(heard, "Coach asks: Do your heels *stay* down?");
    assert!(desk.get("/desk").await?.text.contains("0 waiting"));
    stage.play(&mara.says("no, they lift a little")).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::WithCoach);
    let queue = desk.get("/desk").await?;
    assert!(
        queue.text.contains("answered your question"),
        "{}",
        queue.text
    );
    let page = desk.get(&case).await?;
    assert!(page.text.contains("they lift a little"), "{}", page.text);
    // Nothing to ask is answered, and asks nothing.
    let before = stage.river.messages_to(LIFTERS).len();
    let sent = desk
        .send(&page, &format!("{case}/ask"), &[("text", "  ")])
        .await?;
    assert!(desk.follow(&sent).await?.text.contains("What shall I ask?"));
    stage.rest().await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), before);
    Ok(())
}

async fn the_log_tells_who_did_what_and_nothing_that_was_written(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    let mut desk = at_the_desk(stage, &ana).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    desk.send(
        &page,
        &format!("{case}/say"),
        &[("text", "Breathe out late.")],
    )
    .await?;
    let mut other = at_the_desk(stage, &ben).await?;
    other.get("/desk").await?;
    let log = desk.get("/desk/log").await?;
    obeys_its_policy(&log);
    for part in [
        "answered the lifter",
        "saw the queue",
        "saw the case",
        "ben",
        "signed in",
    ] {
        assert!(log.text.contains(part), "{part} in {}", log.text);
    }
    for kept_out in ["Breathe out", "Mara", "squishy", "Sent to"] {
        assert!(!log.text.contains(kept_out), "{kept_out} in {}", log.text);
    }
    let newest = log.text.find("saw the queue").context("no queue")?;
    let older = log.text.find("answered the lifter").context("no answer")?;
    assert!(newest < older, "newest first");
    // Page by page, each line once.
    for _ in 0..120 {
        desk.get("/desk/undelivered").await?;
    }
    let first = desk.get("/desk/log").await?;
    assert_eq!(first.text.matches("<tr>").count(), 101);
    let (_, rest) = first
        .text
        .split_once("/desk/log?below=")
        .context("no older page")?;
    let below = rest.split('"').next().unwrap_or_default();
    let second = desk.get(&format!("/desk/log?below={below}")).await?;
    assert!(
        second.text.contains("answered the lifter"),
        "{}",
        second.text
    );
    let undelivered = |page: &Page| page.text.matches("saw undelivered messages").count();
    assert_eq!(undelivered(&first) + undelivered(&second), 120);
    Ok(())
}
