//! Dated asks: what has come due is looked at afresh and decided on.

use super::events::file;
use super::{MOST_CLAIMS, Shared, wait};
use crate::brain::Brain;
use crate::casework::{Known, due};
use crate::record::{Case, CaseFile, Effects, FollowUp};
use crate::store::{Leased, StoreError};
use std::sync::Arc;
use tokio_util::sync::CancellationToken;

/// Cases of a lifter that are looked at.
const MOST_CASES: u32 = 20;

/// Works until the end.
pub(super) async fn run(shared: Arc<Shared>, stop: CancellationToken) {
    loop {
        let parts = &shared.parts;
        match parts.store.claim_follow_ups(&shared.batch()).await {
            Ok(due) if !due.is_empty() => {
                for leased in due {
                    handle(&shared, leased).await;
                }
                parts.paces.forget_quiet();
                if stop.is_cancelled() {
                    return;
                }
                continue;
            }
            Ok(_) => {}
            Err(error) => tracing::warn!(%error, "no dated asks could be leased"),
        }
        if !wait(&parts.dates_wake, parts.settings.poll, &stop).await {
            return;
        }
        // Whoever rings because time has passed means challenges too.
        shared.challenges_wake.notify_one();
    }
}

/// One dated ask; a failure is put back or, in the end, given up.
async fn handle(shared: &Shared, leased: Leased<FollowUp>) {
    let Err(error) = one(shared, &leased).await else {
        return;
    };
    if matches!(error, StoreError::Stale(_)) {
        return;
    }
    tracing::warn!(%error, id = %leased.item.id, "a dated ask could not be handled");
    let store = &shared.parts.store;
    let now = shared.parts.clock.now();
    let busy = matches!(error, StoreError::Unavailable(_) | StoreError::Conflict(_));
    let written = if leased.attempts >= MOST_CLAIMS && !busy {
        store.give_up(&leased.claim, &error.to_string(), now).await
    } else {
        let at = shared.again(leased.attempts);
        store.retry_at(&leased.claim, at, &error.to_string()).await
    };
    if let Err(error) = written {
        tracing::warn!(%error, "the failure could not be noted");
    }
}

/// Load, decide, write.
async fn one(shared: &Shared, leased: &Leased<FollowUp>) -> Result<(), StoreError> {
    let now = shared.parts.clock.now();
    let effects = match shared.parts.store.case(&leased.item.case_id).await? {
        Some(case) => {
            let brain = shared.parts.brain.now();
            let (file, known) = load(shared, &brain, case).await?;
            due(&leased.item, &file, &known, now)
        }
        // The lifter was forgotten meanwhile.
        None => Effects::default(),
    };
    shared
        .parts
        .store
        .apply(&leased.claim, &effects, now)
        .await?;
    if !effects.outbox.is_empty() {
        shared.outbox_wake.notify_one();
    }
    Ok(())
}

/// The case's file and what else is known of its lifter.
pub(super) async fn load<'a>(
    shared: &Shared,
    brain: &'a Brain,
    case: Case,
) -> Result<(CaseFile, Known<'a>), StoreError> {
    let cases = shared
        .parts
        .store
        .cases_of(&case.person, MOST_CASES)
        .await?;
    let file = file(shared, case).await?;
    let known = Known {
        catalog: &brain.catalog,
        words: &brain.words,
        rules: &brain.rules,
        lifter: file.lifter.clone(),
        cases,
        new_number: 0,
        mark: None,
        about: None,
        ours: None,
        named: None,
        queue: Vec::new(),
        traces: Vec::new(),
        dead: Vec::new(),
        erased_at: None,
        dossier: None,
        token: None,
        sheet: Vec::new(),
        fresh_link: None,
        coach_names: Vec::new(),
        community: Box::default(),
    };
    Ok((file, known))
}
