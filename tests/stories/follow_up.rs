//! The dated ask to come back: when it is due, not at night, not too often, not unwanted.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::Result;
use cueline_bot::record::CaseState;
use cueline_core::outcome::Verdict;
use cueline_tests::builders::Person;
use cueline_tests::platform::{Fault, Message};
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

on_both_engines!(
    a_reminder_goes_out_when_it_is_due_and_not_before,
    a_reminder_held_up_into_the_night_waits_for_the_morning,
    nobody_who_said_stop_is_reminded,
    at_most_three_reminders_then_the_case_is_closed,
    two_cases_share_one_reminder_a_week,
    a_stop_silences_the_reminders_of_every_case,
    a_resubmission_that_worked_closes_the_case,
    a_change_that_did_not_work_gives_way_to_another_and_then_to_the_coach,
    a_set_silent_on_the_signs_does_not_end_the_comparison,
);

const DAY: SignedDuration = SignedDuration::from_hours(24);

fn reminders(stage: &Stage, room: &str) -> Vec<Message> {
    let mut said = stage.river.messages_to(room);
    said.retain(|message| message.text.contains("stop reminders` ends these"));
    said
}

/// Days pass, each looked at morning and evening, as a running service would.
async fn days(stage: &mut Stage, days: i64) -> Result<()> {
    for _ in 0..days * 4 {
        stage.pass(SignedDuration::from_hours(6)).await?;
    }
    Ok(())
}

async fn due_of(stage: &mut Stage) -> Result<Timestamp> {
    let at = stage
        .look()
        .number("SELECT due_at FROM follow_ups WHERE state = 'open' AND kind = 'resubmit'")
        .await?;
    Ok(Timestamp::from_millisecond(at)?)
}

async fn a_reminder_goes_out_when_it_is_due_and_not_before(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let due = due_of(stage).await?;
    let local = TimeZone::UTC.to_datetime(due);
    assert_eq!(
        (local.hour(), local.minute()),
        (18, 0),
        "the hour of the house"
    );
    let date = local.strftime("%-d %B").to_string();
    let reply = stage.river.last_to(LIFTERS)?;
    assert!(reply.text.contains(&date), "{date} in {}", reply.text);
    stage
        .pass_until(due.checked_sub(SignedDuration::from_mins(1))?)
        .await?;
    assert_eq!(stage.river.messages().len(), 1);
    stage.pass(SignedDuration::from_mins(2)).await?;
    let said = reminders(stage, LIFTERS);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].mentions, ["mara"]);
    assert!(said[0].text.contains("Mara") && said[0].text.contains("squat"));
    Ok(())
}

async fn a_reminder_held_up_into_the_night_waits_for_the_morning(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let due = due_of(stage).await?;
    // The platform asks to come back in an hour; then it is three at night before anybody does.
    let later = Fault::Later(503, "3600".to_owned());
    stage.river.fails_in(LIFTERS, 1, later);
    stage.pass_until(due).await?;
    assert_eq!(stage.river.heard().len(), 2, "tried when it was due");
    stage.pass(SignedDuration::from_hours(9)).await?;
    assert!(reminders(stage, LIFTERS).is_empty(), "it is three at night");
    stage.pass(SignedDuration::from_hours(5)).await?;
    assert!(reminders(stage, LIFTERS).is_empty(), "it is eight");
    stage.pass(SignedDuration::from_hours(2)).await?;
    assert_eq!(reminders(stage, LIFTERS).len(), 1, "it is ten");
    Ok(())
}

async fn nobody_who_said_stop_is_reminded(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.play(&mara.says("Stop reminders, please")).await?;
    let said = stage.river.messages().len();
    days(stage, 45).await?;
    assert_eq!(stage.river.messages().len(), said);
    // Wanted again: they come.
    stage.play(&mara.says("start reminders")).await?;
    days(stage, 20).await?;
    assert_eq!(reminders(stage, LIFTERS).len(), 1);
    Ok(())
}

async fn at_most_three_reminders_then_the_case_is_closed(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    days(stage, 29).await?;
    assert_eq!(reminders(stage, LIFTERS).len(), 3);
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    days(stage, 40).await?;
    assert_eq!(reminders(stage, LIFTERS).len(), 3, "and no fourth");
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Lapsed);
    assert_eq!(stage.store()?.depths().await?.follow_ups, 0);
    Ok(())
}

async fn two_cases_share_one_reminder_a_week(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET).in_thread("t-1")).await?;
    let bench = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                 best 95 kg";
    stage.play(&mara.says(bench).in_thread("t-2")).await?;
    assert_eq!(stage.cases_of(&mara).await?.len(), 2);
    let mut when: Vec<Timestamp> = Vec::new();
    for _ in 0..60 * 4 {
        stage.pass(SignedDuration::from_hours(6)).await?;
        let now = stage.now();
        when.resize(reminders(stage, LIFTERS).len(), now);
    }
    let said = reminders(stage, LIFTERS);
    for lift in ["squat", "bench press"] {
        let asked = said.iter().any(|message| message.text.contains(lift));
        assert!(asked, "both cases are asked about: {said:#?}");
    }
    // After a month without a word nothing is asked any more, and both are closed.
    assert!((2..=4).contains(&when.len()), "{when:?}");
    for case in stage.cases_of(&mara).await? {
        assert_eq!(case.state, CaseState::Lapsed);
    }
    for pair in when.windows(2) {
        let apart = pair[1].duration_since(pair[0]);
        assert!(
            apart >= DAY * 6 + DAY / 2,
            "{apart:?} between two reminders"
        );
    }
    Ok(())
}

async fn a_stop_silences_the_reminders_of_every_case(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET).in_thread("t-1")).await?;
    stage.play(&mara.says(DANGER).in_thread("t-2")).await?;
    days(stage, 60).await?;
    assert!(reminders(stage, LIFTERS).is_empty());
    Ok(())
}

/// The lifter comes back a fortnight later.
async fn comes_back(stage: &mut Stage, lifter: &Person, text: &str) -> Result<Message> {
    stage.pass(DAY * 10).await?;
    stage.play(&lifter.says(text)).await?;
    stage.river.last_to(LIFTERS)
}

async fn a_resubmission_that_worked_closes_the_case(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let text = "squat 140 kg x 3 @7.5, side video. I did not forget to breathe, core not squishy, \
                hips no longer shoot up";
    let last = comes_back(stage, &mara, text).await?;
    assert!(last.text.contains("It worked"), "{}", last.text);
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Mended);
    assert_eq!(case.body.given[0].outcome, Some(Verdict::Gone));
    assert_eq!(stage.store()?.depths().await?.follow_ups, 0);
    let said = stage.river.messages().len();
    days(stage, 40).await?;
    assert_eq!(
        stage.river.messages().len(),
        said,
        "nobody is asked about what is mended"
    );
    Ok(())
}

async fn a_change_that_did_not_work_gives_way_to_another_and_then_to_the_coach(
    stage: &mut Stage,
) -> Result<()> {
    let two_faults = "squat 140 kg x 3 @8 from the side. I forget to breathe, core squishy. heels \
                      lift off the floor and weight on my toes. best 165 kg";
    let mara = stage.lifter("mara");
    stage.play(&mara.says(two_faults)).await?;
    let last = comes_back(stage, &mara, two_faults).await?;
    assert!(last.text.contains("Not yet"), "{}", last.text);
    let given = stage.case_of(&mara).await?.body.given;
    assert_eq!(given.len(), 2);
    assert_eq!(given[0].outcome, Some(Verdict::Same));
    assert_ne!(given[0].cause, given[1].cause, "something else is tried");
    comes_back(stage, &mara, two_faults).await?;
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::WithCoach, "{:?}", case.body.given);
    stage.play(&stage.coach("ana").says("queue")).await?;
    let queue = stage.river.last_to(COACHES)?;
    assert!(queue.text.contains("Mara"), "{}", queue.text);
    Ok(())
}

async fn a_set_silent_on_the_signs_does_not_end_the_comparison(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    days(stage, 8).await?;
    let silent = "squat 142.5 kg x 3 @8, side video";
    stage.play(&mara.says(silent)).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("I cannot tell"), "{}", said.text);
    days(stage, 2).await?;
    let gone = "squat 145 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to \
                breathe and hips don't shoot up";
    stage.play(&mara.says(gone)).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("It worked"), "{}", said.text);
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.state, CaseState::Mended);
    Ok(())
}
