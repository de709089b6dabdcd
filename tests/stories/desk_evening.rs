//! Clearing the queue at the desk without scripts: sent and finished in one step, the place in the queue
//! kept, a stop set aside until the lifter writes.

use crate::desk::{at_the_desk, handed_over, with_desk};
use crate::red_flag::DANGER;
use anyhow::{Context as _, Result};
use cueline_bot::record::CaseState;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};

on_both_engines!(
    an_answer_and_its_end_are_one_step_carried_out_once,
    what_cannot_be_sent_finishes_nothing,
    the_place_in_the_queue_is_kept_when_a_case_is_stopped,
    a_stop_that_was_answered_is_set_aside_until_the_lifter_writes,
);

const WORDS: [(&str, &str); 1] = [("text", "Stay at 95 kg and breathe in first.")];

async fn an_answer_and_its_end_are_one_step_carried_out_once(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let (first, second) = (
        handed_over(stage, "mara").await?,
        handed_over(stage, "joel").await?,
    );
    let mut desk = at_the_desk(stage, &stage.coach("ana")).await?;
    let case = format!("/desk/case/{first}");
    let page = desk.get(&case).await?;
    assert_eq!(page.field("next"), Some(second.to_string()));
    let next = second.to_string();
    let typed = [WORDS[0], ("next", &next)];
    let preview = desk.send(&page, &format!("{case}/preview"), &typed).await?;
    assert!(preview.text.contains("Send and finish"), "{}", preview.text);
    let end = preview.field("second-deed").context("no second deed")?;
    let typed = [WORDS[0], ("next", &next), ("second-deed", &end)];
    // The button pressed three times is one answer and one end.
    for _ in 0..3 {
        let sent = desk
            .send(&preview, &format!("{case}/answered"), &typed)
            .await?;
        let queue = desk.follow(&sent).await?;
        for part in ["Sent to Mara", "is finished", "1 waiting"] {
            assert!(queue.text.contains(part), "{part} in {}", queue.text);
        }
        let marked = format!("href=\"/desk/case/{second}\" autofocus");
        assert!(queue.text.contains(&marked), "{marked} in {}", queue.text);
    }
    stage.rest().await?;
    let said = stage.river.messages_to(LIFTERS);
    let said = said.iter().filter(|one| one.text.contains("Stay at 95 kg"));
    assert_eq!(said.count(), 1);
    let mara = stage.case_of(&stage.lifter("mara")).await?;
    assert_eq!(mara.state, CaseState::Practising);
    Ok(())
}

async fn what_cannot_be_sent_finishes_nothing(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let number = handed_over(stage, "mara").await?;
    let (ana, ben) = (stage.coach("ana"), stage.coach("ben"));
    stage
        .play(&ana.says(&format!("say {number} One moment.")))
        .await?;
    let mut desk = at_the_desk(stage, &ana).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    let preview = desk.send(&page, &format!("{case}/preview"), &WORDS).await?;
    let end = preview.field("second-deed").context("no second deed")?;
    // The words were emptied before the button was pressed.
    let typed = [("text", "  "), ("second-deed", &*end)];
    let sent = desk
        .send(&preview, &format!("{case}/answered"), &typed)
        .await?;
    let back = desk.follow(&sent).await?;
    assert!(back.text.contains("What shall I say?"), "{}", back.text);
    // Ben took it meanwhile: neither goes.
    stage.play(&ben.says(&format!("take {number}"))).await?;
    let preview = desk.send(&back, &format!("{case}/preview"), &WORDS).await?;
    let end = preview.field("second-deed").context("no second deed")?;
    let typed = [WORDS[0], ("second-deed", &*end)];
    let sent = desk
        .send(&preview, &format!("{case}/answered"), &typed)
        .await?;
    let back = desk.follow(&sent).await?;
    assert!(back.text.contains("is with ben"), "{}", back.text);
    stage.rest().await?;
    let said = stage.river.messages_to(LIFTERS);
    assert!(said.iter().all(|one| !one.text.contains("Stay at 95 kg")));
    let mara = stage.case_of(&stage.lifter("mara")).await?;
    assert_eq!(mara.state, CaseState::WithCoach);
    Ok(())
}

async fn the_place_in_the_queue_is_kept_when_a_case_is_stopped(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let mut numbers = Vec::new();
    for who in ["mara", "joel", "nora"] {
        numbers.push(handed_over(stage, who).await?);
    }
    let mut desk = at_the_desk(stage, &stage.coach("ana")).await?;
    // The second of three is stopped: it stands first now, and the third comes next all the same.
    let case = format!("/desk/case/{}", numbers[1]);
    let third = numbers[2].to_string();
    let page = desk.get(&case).await?;
    assert_eq!(page.field("next").as_deref(), Some(&*third));
    let typed = [("text", "this does not look right"), ("next", &*third)];
    let sent = desk.send(&page, &format!("{case}/halt"), &typed).await?;
    let page = desk.follow(&sent).await?;
    assert!(page.text.contains("Stopped for safety"), "{}", page.text);
    let next = format!("Next: case {third}");
    assert!(page.text.contains(&next), "{next} in {}", page.text);
    // Set aside: out of the queue, and the third is marked.
    let typed = [("next", &*third)];
    let sent = desk.send(&page, &format!("{case}/aside"), &typed).await?;
    let queue = desk.follow(&sent).await?;
    assert!(queue.text.contains("2 waiting"), "{}", queue.text);
    let marked = format!("href=\"/desk/case/{third}\" autofocus");
    assert!(queue.text.contains(&marked), "{marked} in {}", queue.text);
    // A place that is no number is no place.
    let odd = desk.get(&format!("{case}?next=x")).await?;
    assert_eq!(odd.status, 400);
    Ok(())
}

async fn a_stop_that_was_answered_is_set_aside_until_the_lifter_writes(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    let number = stage.case_of(&mara).await?.number;
    let mut desk = at_the_desk(stage, &stage.coach("ana")).await?;
    let case = format!("/desk/case/{number}");
    let page = desk.get(&case).await?;
    assert!(
        !page.text.contains("/aside"),
        "offered before anything was said"
    );
    let words = [("text", "Please ring your emergency number now.")];
    let preview = desk.send(&page, &format!("{case}/preview"), &words).await?;
    let end = preview.field("second-deed").context("no second deed")?;
    assert!(
        preview.text.contains("Send and set aside"),
        "{}",
        preview.text
    );
    let typed = [words[0], ("second-deed", &end)];
    let sent = desk
        .send(&preview, &format!("{case}/answered"), &typed)
        .await?;
    let queue = desk.follow(&sent).await?;
    assert!(queue.text.contains("stays stopped"), "{}", queue.text);
    assert!(queue.text.contains("Nothing waits"), "{}", queue.text);
    // Not paged again, for days.
    stage.rest().await?;
    let alerts = stage.river.messages_to(COACHES).len();
    stage.pass(jiff::SignedDuration::from_hours(48)).await?;
    assert_eq!(stage.river.messages_to(COACHES).len(), alerts);
    // The lifter's word brings it back, and the stop holds.
    stage
        .play(&mara.says("the doctor says I may lift again"))
        .await?;
    let queue = at_the_desk(stage, &stage.coach("ana"))
        .await?
        .get("/desk")
        .await?;
    assert!(queue.text.contains("1 waiting"), "{}", queue.text);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Halted);
    Ok(())
}
