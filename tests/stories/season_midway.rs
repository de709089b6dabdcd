//! What happens in the middle of a season: a consent taken back, a stop in a reveal, a member deleted.

use crate::season::{DELETED, Play, SOURCE, at, batch, known, leased, person, says, work};
use anyhow::{Context as _, Result, ensure};
use cueline_bot::casework::challenge::due;
use cueline_bot::casework::{Known, decide};
use cueline_bot::record::ChallengeState;
use cueline_core::challenge::Answer;
use jiff::{SignedDuration, Timestamp};

/// The lifter takes the set back while it is open: it is over, and nobody is marked.
pub(crate) async fn taken_back(play: &mut Play, number: i64) -> Result<()> {
    let now = at(number * 24 + 5);
    let event = says(
        play,
        "mara",
        "lifters",
        &format!("take back challenge {number}"),
        now,
    );
    let claim = leased(play, &event, now).await?;
    let kept = play.store.challenges().numbered(number).await?;
    let kept = kept.context("the challenge")?;
    let mut known = known(play, &kept, None).await?;
    known.lifter = play.store.lifter(&person("mara")).await?;
    known.community.own = vec![kept];
    let effects = decide(&event, &known, now);
    play.store.apply(&claim, &effects, now).await?;
    ensure!(
        work(play, at(number * 24 + 20)).await? == 0,
        "nothing is left to do"
    );
    let over = play.store.challenges().numbered(number).await?;
    let over = over.context("the challenge")?;
    ensure!(over.state == ChallengeState::Withdrawn, "{over:?}");
    let left = play
        .store
        .challenges()
        .answers(number, SOURCE, "", 10)
        .await?;
    ensure!(
        left.iter()
            .all(|one| one.mark.is_none() && one.answer == Answer::default()),
        "{left:?}"
    );
    Ok(())
}

/// The service is killed with a page of marks in hand and starts again: what it held is taken up by
/// the next, once its lease has run out.
pub(crate) async fn stopped_midway(play: &mut Play, now: Timestamp) -> Result<Timestamp> {
    ensure!(work(play, now).await? == 1, "a first page");
    let next = now + SignedDuration::from_secs(15);
    let held = play.store.challenges().claim(&batch(next)).await?;
    ensure!(held.len() == 1, "a second page in hand");
    play.store.close().await;
    play.store = play.fresh.open().await?;
    ensure!(work(play, next).await? == 0, "held by the one that is gone");
    let later = next + SignedDuration::from_mins(61);
    ensure!(work(play, later).await? == 1, "taken up again");
    // And had the one that is gone come back, it would have changed nothing.
    for one in held {
        let page = one.item.body.marked_to.clone().unwrap_or_default();
        let known = known(play, &one.item, Some(&page)).await?;
        let effects = due(&one.item, &known, later);
        let late = play.store.apply(&one.claim, &effects, later);
        ensure!(late.await.is_err(), "a lost lease writes nothing");
    }
    Ok(later)
}

/// A member has everything deleted: answers, marks and what was sent go.
pub(crate) async fn deleted(play: &mut Play, number: i64) -> Result<()> {
    let now = at(number * 24 + 23);
    let who = format!("m-{DELETED:05}");
    let event = says(play, &who, "lifters", "yes forget me", now);
    let claim = leased(play, &event, now).await?;
    let known = Known::of_nobody(&play.brain.catalog, &play.brain.words, &play.brain.rules);
    let effects = decide(&event, &known, now);
    ensure!(effects.erase.is_some(), "{effects:?}");
    play.store.apply(&claim, &effects, now).await?;
    let left = play
        .store
        .challenges()
        .answer_of(number, &person(&who))
        .await?;
    ensure!(left.is_none(), "{left:?}");
    Ok(())
}
