//! Leases: claiming, and the ways a claim ends.

use super::engine::{Engine, Row, Statement, Value, binds, sql};
use super::{Claim, ClaimBatch, Leased, StoreError};
use crate::record::{Event, FollowUp, Outgoing};
use jiff::Timestamp;

pub(super) fn stale(claim: &Claim) -> StoreError {
    StoreError::Stale(match claim {
        Claim::Event { key, .. } => format!("event {} of {}", key.id, key.source),
        Claim::FollowUp { id, .. } => format!("follow-up {id}"),
        Claim::Challenge { number, .. } => format!("challenge {number}"),
        Claim::Outgoing { key, .. } => format!("message {key}"),
    })
}

/// Claims rows and reads them. A row that cannot be read would come back for ever and take the rest
/// of its batch with it, so it is given up, kept and counted.
pub(super) async fn claimed<T>(
    engine: &dyn Engine,
    statement: Statement,
    batch: &ClaimBatch,
    order: &str,
    claim: impl Fn(&Row) -> Result<Claim, StoreError>,
    decode: impl Fn(&Row) -> Result<Leased<T>, StoreError>,
) -> Result<Vec<Leased<T>>, StoreError> {
    let values = binds![batch.owner.as_str(), batch.now, batch.until, batch.limit];
    // Rows come back from the database in no particular order.
    let mut rows = Vec::new();
    for row in engine.write(statement, values).await? {
        rows.push((row.int(order)?, row));
    }
    rows.sort_by_key(|(position, _)| *position);
    let mut leased = Vec::with_capacity(rows.len());
    let mut unreadable = Vec::new();
    for (_, row) in &rows {
        match decode(row) {
            Ok(one) => leased.push(one),
            Err(error) => unreadable.push((claim(row)?, error.to_string())),
        }
    }
    for (claim, error) in unreadable {
        tracing::error!(?claim, error, "a kept row cannot be read and is given up");
        give_up(engine, &claim, &error, batch.now).await?;
    }
    Ok(leased)
}

/// See `Store::claim_events`.
pub(super) async fn events(
    engine: &dyn Engine,
    batch: &ClaimBatch,
) -> Result<Vec<Leased<Event>>, StoreError> {
    let statement = engine.claims().events;
    claimed(
        engine,
        statement,
        batch,
        "seq",
        Row::event_claim,
        Row::leased_event,
    )
    .await
}

/// See `Store::claim_outgoing`.
pub(super) async fn outgoing(
    engine: &dyn Engine,
    batch: &ClaimBatch,
) -> Result<Vec<Leased<Outgoing>>, StoreError> {
    let statement = engine.claims().outgoing;
    claimed(
        engine,
        statement,
        batch,
        "seq",
        Row::outgoing_claim,
        Row::leased_outgoing,
    )
    .await
}

/// See `Store::claim_follow_ups`.
pub(super) async fn follow_ups(
    engine: &dyn Engine,
    batch: &ClaimBatch,
) -> Result<Vec<Leased<FollowUp>>, StoreError> {
    let statement = engine.claims().follow_ups;
    claimed(
        engine,
        statement,
        batch,
        "due_at",
        Row::follow_up_claim,
        Row::leased_follow_up,
    )
    .await
}

/// Runs a statement that names the claim's key and fence first; no row changed means the lease is
/// lost.
async fn held(
    engine: &dyn Engine,
    claim: &Claim,
    [events, follow_ups, outgoing, challenges]: [Statement; 4],
    more: Vec<Value>,
) -> Result<(), StoreError> {
    let (statement, mut values) = match claim {
        Claim::Event { key, fence } => (events, binds![&key.source, &key.id, *fence]),
        Claim::FollowUp { id, fence } => (follow_ups, binds![id, *fence]),
        Claim::Outgoing { key, fence } => (outgoing, binds![key, *fence]),
        Claim::Challenge { number, fence } => (challenges, binds![*number, *fence]),
    };
    values.extend(more);
    if engine.change(statement, values).await? == 1 {
        Ok(())
    } else {
        Err(stale(claim))
    }
}

/// See `Store::mark_sent`.
pub(super) async fn sent(
    engine: &dyn Engine,
    claim: &Claim,
    message_id: &str,
    now: Timestamp,
) -> Result<(), StoreError> {
    let values = sent_values(claim, message_id, now)?;
    if engine.change(sql!("outbox_sent"), values).await? == 1 {
        Ok(())
    } else {
        Err(stale(claim))
    }
}

/// The values that mark a message sent.
pub(super) fn sent_values(
    claim: &Claim,
    message_id: &str,
    now: Timestamp,
) -> Result<Vec<Value>, StoreError> {
    let Claim::Outgoing { key, fence } = claim else {
        return Err(StoreError::Unexpected(
            "only a message of the outbox can be marked sent".to_owned(),
        ));
    };
    Ok(binds![key, *fence, now, message_id])
}

/// See `Store::withdraw`.
pub(super) async fn withdraw(
    engine: &dyn Engine,
    claim: &Claim,
    now: Timestamp,
) -> Result<(), StoreError> {
    let Claim::Outgoing { key, fence } = claim else {
        return Err(StoreError::Unexpected(
            "only a message of the outbox can be withdrawn".to_owned(),
        ));
    };
    let values = binds![key, *fence, now];
    if engine.change(sql!("outbox_withdraw"), values).await? == 1 {
        Ok(())
    } else {
        Err(stale(claim))
    }
}

/// See `Store::retry_at`.
pub(super) async fn retry_at(
    engine: &dyn Engine,
    claim: &Claim,
    at: Timestamp,
    error: &str,
) -> Result<(), StoreError> {
    let statements = [
        sql!("inbox_retry"),
        sql!("follow_ups_retry"),
        sql!("outbox_retry"),
        sql!("challenges_retry"),
    ];
    held(engine, claim, statements, binds![at, error]).await
}

/// See `Store::give_up`.
pub(super) async fn give_up(
    engine: &dyn Engine,
    claim: &Claim,
    error: &str,
    now: Timestamp,
) -> Result<(), StoreError> {
    let statements = [
        sql!("inbox_give_up"),
        sql!("follow_ups_give_up"),
        sql!("outbox_give_up"),
        sql!("challenges_give_up"),
    ];
    held(engine, claim, statements, binds![now, error]).await
}

/// See `Store::extend`.
pub(super) async fn extend(
    engine: &dyn Engine,
    claim: &Claim,
    until: Timestamp,
) -> Result<(), StoreError> {
    let statements = [
        sql!("inbox_extend"),
        sql!("follow_ups_extend"),
        sql!("outbox_extend"),
        sql!("challenges_extend"),
    ];
    held(engine, claim, statements, binds![until]).await
}

/// See `Store::release_all`.
pub(super) async fn release_all(engine: &dyn Engine, owner: &str) -> Result<(), StoreError> {
    for statement in [
        sql!("inbox_release"),
        sql!("follow_ups_release"),
        sql!("outbox_release"),
        sql!("challenges_release"),
    ] {
        engine.change(statement, binds![owner]).await?;
    }
    Ok(())
}
