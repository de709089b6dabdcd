//! What waits for the coach on an evening: thirty cases, brought in as events alone.

use crate::{DANGER, SET, handed_over};
use anyhow::Result;
use cueline_tests::stage::Stage;
use jiff::SignedDuration;
use std::collections::BTreeMap;

/// What a case needs of the coach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// An answer, looked at in both units.
    Answer,
    /// The bot's plan, changed.
    Plan,
    /// A verdict beside the answer.
    Verdict,
    /// An answer that the platform does not take at first.
    Undelivered,
    /// One question first.
    Ask,
    /// Two corrections did not help.
    SecondFailure,
    /// Emergency words.
    Emergency,
    /// Something in it worries the coach.
    Stop,
    /// A clinician has cleared the lifter.
    Cleared,
    /// Worth showing to the community.
    Challenge,
    /// Ben has it.
    Bens,
    /// Taken up by the coach, and nothing more to say.
    Finish,
}

/// How many of each: thirty.
const EVENING: [(Kind, usize); 12] = [
    (Kind::SecondFailure, 2),
    (Kind::Cleared, 2),
    (Kind::Finish, 1),
    (Kind::Answer, 5),
    (Kind::Bens, 2),
    (Kind::Plan, 3),
    (Kind::Verdict, 3),
    (Kind::Challenge, 2),
    (Kind::Undelivered, 1),
    (Kind::Stop, 3),
    (Kind::Ask, 4),
    (Kind::Emergency, 2),
];
/// Sets that leave the bot something to say, of all three lifts and both units.
const SETS: [&str; 3] = [
    SET,
    "bench 225 lb x 5 @8, side video, elbows flare and the bar drifts to my face, best 265 lb, \
     spotter there",
    "deadlift 180 kg x 2 @8, back rounds off the floor, side video, best 200 kg",
];
/// Invented: signs of two faults that no correction moves.
const TWO_FAULTS: &str = "squat 140 kg x 3 @8 from the side. I forget to breathe, core squishy. heels \
                          lift off the floor and weight on my toes. best 165 kg";
/// Words that send to a clinician.
const NUMB: &str = "deadlift 150 kg x 3, since last week my back hurts with a numb foot";

/// Brings all of them in; what each needs, by its number.
pub(crate) async fn brought(stage: &mut Stage) -> Result<BTreeMap<i64, Kind>> {
    let mut kinds = BTreeMap::new();
    weeks_before(stage).await?;
    for (kind, count) in EVENING {
        for index in 0..count {
            kinds.insert(one(stage, kind, index).await?, kind);
        }
    }
    Ok(kinds)
}

/// Brings one case of a kind in.
async fn one(stage: &mut Stage, kind: Kind, index: usize) -> Result<i64> {
    let id = format!("{kind:?}-{index}").to_lowercase();
    let name = format!("{kind:?} {index}");
    let lifter = stage.lifter(&id).called(&name);
    let set = SETS[index % SETS.len()];
    match kind {
        Kind::SecondFailure => stage.play(&lifter.says(TWO_FAULTS)).await?,
        Kind::Cleared => {
            stage.play(&lifter.says(NUMB)).await?;
            stage
                .play(&lifter.says("my doctor has cleared me to lift again"))
                .await?;
        }
        Kind::Emergency => stage.play(&lifter.says(DANGER)).await?,
        Kind::Finish => {
            stage.play(&lifter.says(set)).await?;
            let number = stage.case_of(&lifter).await?.number;
            let take = format!("take {number}");
            stage.play(&stage.coach("ana").says(&take)).await?;
        }
        Kind::Bens => {
            let number = handed_over(stage, &id, &name, set).await?;
            let take = format!("take {number}");
            stage.play(&stage.coach("ben").says(&take)).await?;
        }
        _ => {
            handed_over(stage, &id, &name, set).await?;
        }
    }
    Ok(stage.case_of(&lifter).await?.number)
}

/// Two sets of those whom two corrections will not have helped; the third comes on the evening's day.
async fn weeks_before(stage: &mut Stage) -> Result<()> {
    let failures = EVENING
        .iter()
        .find(|(kind, _)| *kind == Kind::SecondFailure);
    for _ in 0..2 {
        for index in 0..failures.map_or(0, |(_, count)| *count) {
            let who = stage.lifter(&format!("secondfailure-{index}"));
            stage.play(&who.says(TWO_FAULTS)).await?;
        }
        stage.pass(SignedDuration::from_hours(24 * 8)).await?;
    }
    Ok(())
}
