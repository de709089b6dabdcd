//! Platforms deliver twice, late and out of order; it must not show.

use crate::first_report::SET;
use anyhow::{Context, Result};
use cueline_bot::record::{CaseState, EntryKind};
use cueline_tests::builders::EventBuilder;
use cueline_tests::stage::Stage;
use jiff::SignedDuration;

on_both_engines!(
    one_event_delivered_three_times_at_once_is_one_report,
    one_event_delivered_again_a_day_later_is_still_one_report,
    the_same_id_with_other_words_is_refused_and_changes_nothing,
    an_edit_is_answered_with_the_new_figures,
    writing_editing_taking_back_and_leaving_end_alike_in_every_order,
    what_somebody_wrote_before_leaving_starts_nothing_when_it_comes_late,
);

async fn one_event_delivered_three_times_at_once_is_one_report(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let event = mara.says(SET).at(stage.now());
    let (a, b, c) = tokio::join!(
        stage.hand_in(&event),
        stage.hand_in(&event),
        stage.hand_in(&event)
    );
    let mut statuses = [a?.status, b?.status, c?.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 200, 202]);
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 1);
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    Ok(())
}

async fn one_event_delivered_again_a_day_later_is_still_one_report(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let event = mara.says(SET).at(stage.now());
    stage.play(&event).await?;
    // A retry carries a fresh timestamp and signature.
    stage.pass(SignedDuration::from_hours(24)).await?;
    assert_eq!(stage.hand_in(&event).await?.status, 200);
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 1);
    Ok(())
}

async fn the_same_id_with_other_words_is_refused_and_changes_nothing(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let event = mara.says(SET);
    stage.play(&event).await?;
    let other = mara.says("squat 200 kg x 1").with_id(&event.id);
    let answer = stage.hand_in(&other).await?;
    assert_eq!(answer.status, 409);
    assert_eq!(answer.problem["status"], 409);
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 1);
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.parts[0].text, SET);
    Ok(())
}

async fn an_edit_is_answered_with_the_new_figures(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let first = mara.says(SET);
    stage.play(&first).await?;
    let edited = SET.replace("140", "130");
    stage
        .play(&mara.edits(&first.message_id(), 2, &edited))
        .await?;
    let last = stage.river.last_to("lifters")?;
    assert!(last.text.contains("130 kg"), "{}", last.text);
    let case = stage.case_of(&mara).await?;
    assert_eq!(
        case.body.rounds.len(),
        1,
        "the set under review, read again"
    );
    let history = stage.store()?.entries(&case.id, 50).await?;
    let words: Vec<&str> = history
        .iter()
        .filter(|entry| entry.kind == EntryKind::Lifter)
        .filter(|entry| entry.message_id.as_deref() == Some(first.message_id().as_str()))
        .map(|entry| entry.text.as_str())
        .collect();
    assert_eq!(
        words,
        ["", edited.as_str()],
        "the old words are forgotten, the new ones kept"
    );
    // An older version that comes late changes nothing.
    stage
        .play(&mara.edits(&first.message_id(), 1, "squat 60 kg x 3"))
        .await?;
    assert_eq!(stage.river.messages().len(), 2);
    Ok(())
}

/// What is left when all is done, whatever the order was.
#[derive(Debug, PartialEq, Eq)]
struct Left {
    open_cases: usize,
    dated_asks: i64,
    in_queue: i64,
    gone: bool,
    places_of_the_words: Vec<&'static str>,
}

async fn writing_editing_taking_back_and_leaving_end_alike_in_every_order(
    stage: &mut Stage,
) -> Result<()> {
    let mut ends = Vec::new();
    for (number, order) in orders().into_iter().enumerate() {
        let lifter = stage.lifter(&format!("lifter{number}"));
        let lifter = lifter.in_room(&format!("room{number}"));
        let start = stage.now();
        let later = |seconds| start.checked_add(SignedDuration::from_secs(seconds));
        let word = format!("squishy{number}x");
        let first = lifter.says(&SET.replace("squishy", &word)).at(start);
        let edit = lifter
            .edits(
                &first.message_id(),
                2,
                &SET.replace("squishy", &word).replace("140", "130"),
            )
            .at(later(1)?);
        let gone = lifter.takes_back(&first.message_id()).at(later(2)?);
        let events = [first, edit, gone, lifter.leaves().at(later(3)?)];
        for place in order {
            stage.play(&events[place]).await?;
        }
        // Weeks later nothing comes of it either.
        let cases = stage.cases_of(&lifter).await?;
        let key = cueline_bot::record::PersonKey {
            source: lifter.source.clone(),
            person_id: lifter.id.clone(),
        };
        let known = stage.store()?.lifter(&key).await?;
        let depths = stage.store()?.depths().await?;
        ends.push(Left {
            open_cases: cases.iter().filter(|case| case.state.is_open()).count(),
            dated_asks: depths.follow_ups,
            in_queue: depths.queue,
            gone: known.is_some_and(|lifter| lifter.left),
            places_of_the_words: stage.look().places_of(&word).await?,
        });
    }
    assert_eq!(ends.len(), 24);
    let wanted = Left {
        open_cases: 0,
        dated_asks: 0,
        in_queue: 0,
        gone: true,
        places_of_the_words: Vec::new(),
    };
    for (end, order) in ends.iter().zip(orders()) {
        assert_eq!(*end, wanted, "order {order:?}");
    }
    Ok(())
}

async fn what_somebody_wrote_before_leaving_starts_nothing_when_it_comes_late(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let written = stage.now();
    let left = written.checked_add(SignedDuration::from_mins(1))?;
    let late: EventBuilder = mara.says(SET).at(written);
    stage.play(&mara.leaves().at(left)).await?;
    stage.play(&late).await?;
    stage.pass(SignedDuration::from_hours(24 * 40)).await?;
    let case = stage.cases_of(&mara).await?;
    assert!(case.iter().all(|case| case.state != CaseState::Asking));
    let said = stage.river.messages();
    assert!(said.len() <= 1, "no reminder to somebody gone: {said:#?}");
    assert_eq!(stage.store()?.depths().await?.follow_ups, 0);
    // Back again: what is written now counts.
    stage.play(&mara.says(SET)).await?;
    let last = stage.river.messages().pop().context("an answer")?;
    assert!(last.text.contains("140 kg"), "{}", last.text);
    Ok(())
}

/// Every order of four things.
fn orders() -> Vec<[usize; 4]> {
    let mut all = Vec::new();
    for number in 0..256_usize {
        let order = [
            number & 3,
            number >> 2 & 3,
            number >> 4 & 3,
            number >> 6 & 3,
        ];
        if (0..4).all(|place| order.contains(&place)) {
            all.push(order);
        }
    }
    all
}
