//! Messages of the outbox to the platforms: same key on every try, waiting as told, given up in
//! sight of the coach.

use super::{Shared, follow_ups, later, wait};
use crate::casework::{Hold, hold_reminder, plain_fallback, undelivered, without_link};
use crate::platform::backoff::busy_wait;
use crate::platform::{PostFault, Posted};
use crate::record::{Effects, FollowUpChange, Outgoing, Purpose, Recipient};
use crate::store::{Leased, StoreError};
use crate::telemetry::MessageOutcome;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::task::JoinSet;
use tokio_util::sync::CancellationToken;

/// How long a platform that refuses our token is left alone.
const PAUSE: SignedDuration = SignedDuration::from_secs(60);
/// Longest a message waits in hand for its place in the pace; a longer wait goes back to the row.
const MOST_WAIT_IN_HAND: Duration = Duration::from_millis(500);
/// How long messages that end at about the same time are waited for, so that one lease takes the
/// place of many.
const TOGETHER: Duration = Duration::from_millis(2);

/// Platforms left alone, and until when.
type Paused = Mutex<BTreeMap<String, Timestamp>>;

/// Works until the end. Each message is sent on a task of its own, so that a platform that hangs
/// on one room holds nobody else up.
pub(super) async fn run(shared: Arc<Shared>, stop: CancellationToken) {
    let paused = Arc::new(Paused::default());
    let mut sending = JoinSet::new();
    while !stop.is_cancelled() {
        while sending.try_join_next().is_some() {}
        if claim(&shared, &paused, &mut sending).await {
            continue;
        }
        // Retries come due between rings; a second is soon enough.
        let poll = shared.parts.settings.poll.min(Duration::from_secs(1));
        tokio::select! {
            _ = wait(&shared.outbox_wake, poll, &stop) => {}
            // Its place is free, and so is the next message of its room.
            Some(_) = sending.join_next() => tokio::time::sleep(TOGETHER).await,
        }
    }
    while sending.join_next().await.is_some() {}
}

/// Leases as many messages as there are places and starts on them. False when there was none.
async fn claim(shared: &Arc<Shared>, paused: &Arc<Paused>, sending: &mut JoinSet<()>) -> bool {
    let mut batch = shared.batch();
    let busy = u32::try_from(sending.len()).unwrap_or(u32::MAX);
    batch.limit = batch.limit.saturating_sub(busy);
    if batch.limit == 0 {
        return false;
    }
    match shared.parts.store.claim_outgoing(&batch).await {
        Ok(messages) => {
            let some = !messages.is_empty();
            for leased in messages {
                let (shared, paused) = (shared.clone(), paused.clone());
                sending.spawn(async move { handle(&shared, &paused, leased).await });
            }
            some
        }
        Err(error) => {
            tracing::warn!(%error, "no messages could be leased");
            false
        }
    }
}

/// One message; what cannot be written stays leased and is taken up again.
async fn handle(shared: &Shared, paused: &Paused, leased: Leased<Outgoing>) {
    let key = leased.item.key.clone();
    if let Err(error) = one(shared, paused, leased).await {
        tracing::warn!(%error, key, "what became of a message could not be written");
    }
}

/// Sends one message and writes what became of it.
async fn one(shared: &Shared, paused: &Paused, leased: Leased<Outgoing>) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let message = &leased.item;
    let now = parts.clock.now();
    if let Some(until) = pause_of(paused, &message.source).filter(|until| *until > now) {
        return parts
            .store
            .retry_at(&leased.claim, until, "platform paused")
            .await;
    }
    if message.purpose == Purpose::Reminder {
        match hold(shared, &leased, now).await? {
            Hold::Send => {}
            Hold::Until(at) => {
                return parts.store.retry_at(&leased.claim, at, "quiet hours").await;
            }
            Hold::Drop => return parts.store.withdraw(&leased.claim, now).await,
        }
    }
    if let Err(wait) = parts.paces.take(&message.source, room(message)) {
        if wait > MOST_WAIT_IN_HAND {
            let at = later(now, SignedDuration::try_from(wait).unwrap_or(PAUSE));
            return parts
                .store
                .retry_at(&leased.claim, at, "waiting for its turn")
                .await;
        }
        tokio::time::sleep(wait).await;
        if let Err(longer) = parts.paces.take(&message.source, room(message)) {
            let at = later(now, SignedDuration::try_from(longer).unwrap_or(PAUSE));
            return parts
                .store
                .retry_at(&leased.claim, at, "waiting for its turn")
                .await;
        }
    }
    let Some(platform) = parts.platforms.get(&message.source) else {
        return dead(shared, &leased, "no such platform is configured").await;
    };
    let done = match &message.unpost {
        Some(id) => platform.unpost(id).await.map(|()| Posted {
            message_id: id.clone(),
        }),
        None => platform.post(message).await,
    };
    match done {
        Ok(posted) => {
            let now = parts.clock.now();
            let (claim, id) = (&leased.claim, &posted.message_id);
            match without_link(message, &parts.brain.now().rules) {
                Some(kept) => parts.store.mark_sent_as(claim, id, &kept, now).await?,
                None => parts.store.mark_sent(claim, id, now).await?,
            }
            parts.metrics.message(MessageOutcome::Sent);
            if message.purpose == Purpose::Reply {
                let took = now.duration_since(leased.created_at).unsigned_abs();
                parts.metrics.observe_reply(took);
            }
            Ok(())
        }
        Err(fault) => failed(shared, paused, &leased, fault).await,
    }
}

/// Whether a reminder is still wanted, now.
async fn hold(
    shared: &Shared,
    leased: &Leased<Outgoing>,
    now: Timestamp,
) -> Result<Hold, StoreError> {
    let (message, written_at) = (&leased.item, leased.created_at);
    let Some(id) = &message.case_id else {
        return Ok(Hold::Drop);
    };
    let Some(case) = shared.parts.store.case(id).await? else {
        return Ok(Hold::Drop);
    };
    let brain = shared.parts.brain.now();
    let (file, known) = follow_ups::load(shared, &brain, case).await?;
    Ok(hold_reminder(&file, &known, written_at, now))
}

/// The room or person a message goes to.
fn room(message: &Outgoing) -> &str {
    match &message.to {
        Recipient::RoomId(id) | Recipient::PersonId(id) => id,
    }
}

/// What a fault asks for.
async fn failed(
    shared: &Shared,
    paused: &Paused,
    leased: &Leased<Outgoing>,
    fault: PostFault,
) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let now = parts.clock.now();
    let why = fault.to_string();
    tracing::info!(key = %leased.item.key, why, attempts = leased.attempts, "message not taken");
    match fault {
        PostFault::Refused { .. } => refused(shared, leased, &why).await,
        PostFault::Gone => {
            let mut effects = Effects::default();
            // The coaches' room may be gone; the case is not.
            if leased.item.purpose != Purpose::Alert
                && let Some(case_id) = leased.item.case_id.clone()
            {
                effects
                    .follow_ups
                    .push(FollowUpChange::CancelCase { case_id });
            }
            parts.store.apply(&leased.claim, &effects, now).await?;
            dead(shared, leased, &why).await
        }
        _ if parts.settings.backoff.is_over(leased.created_at, now) => {
            dead(shared, leased, &why).await
        }
        PostFault::Unauthorised => {
            let until = later(now, PAUSE);
            tracing::error!(source = %leased.item.source, "the platform does not accept our token");
            lock(paused).insert(leased.item.source.clone(), until);
            parts.metrics.message(MessageOutcome::Retried);
            parts.store.retry_at(&leased.claim, until, &why).await
        }
        PostFault::Busy409 => retry(shared, leased, busy_wait(rand::random()), &why).await,
        PostFault::Retry { after, .. } => {
            let failures = leased.attempts.saturating_sub(1);
            let backoff = &parts.settings.backoff;
            let wait = backoff.wait_at_least(failures, rand::random(), after);
            retry(shared, leased, wait, &why).await
        }
    }
}

/// Puts a message back for later.
async fn retry(
    shared: &Shared,
    leased: &Leased<Outgoing>,
    wait: Duration,
    why: &str,
) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let at = later(
        parts.clock.now(),
        SignedDuration::try_from(wait).unwrap_or(PAUSE),
    );
    parts.metrics.message(MessageOutcome::Retried);
    parts.store.retry_at(&leased.claim, at, why).await
}

/// A refused message falls back to its words alone, once; then it is given up.
async fn refused(shared: &Shared, leased: &Leased<Outgoing>, why: &str) -> Result<(), StoreError> {
    let Some(plain) = plain_fallback(&leased.item) else {
        return dead(shared, leased, why).await;
    };
    let effects = Effects {
        outbox: vec![plain],
        ..Effects::default()
    };
    let now = shared.parts.clock.now();
    shared
        .parts
        .store
        .apply(&leased.claim, &effects, now)
        .await?;
    tracing::warn!(key = %leased.item.key, why, "refused; the plain words go out instead");
    // No dead letter: sent again beside its fallback it would be said twice.
    shared.parts.store.withdraw(&leased.claim, now).await?;
    shared.outbox_wake.notify_one();
    Ok(())
}

/// Gives a message up, in sight of the coach.
async fn dead(shared: &Shared, leased: &Leased<Outgoing>, why: &str) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let now = parts.clock.now();
    let alert = undelivered(&parts.brain.now().rules, &leased.item, why);
    let effects = Effects {
        outbox: alert,
        ..Effects::default()
    };
    parts.store.apply(&leased.claim, &effects, now).await?;
    parts.store.give_up(&leased.claim, why, now).await?;
    parts.metrics.message(MessageOutcome::Dead);
    shared.outbox_wake.notify_one();
    Ok(())
}

/// Until when a platform is left alone.
fn pause_of(paused: &Paused, source: &str) -> Option<Timestamp> {
    lock(paused).get(source).copied()
}

/// The map behind its lock; what a panic left is still a map.
fn lock(paused: &Paused) -> std::sync::MutexGuard<'_, BTreeMap<String, Timestamp>> {
    paused.lock().unwrap_or_else(PoisonError::into_inner)
}
