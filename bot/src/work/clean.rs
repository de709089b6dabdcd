//! What has grown too old to keep goes, once a day and in small batches.
//!
//! When it is due, and who is at it, is a row: several instances do not do it twice, and one that
//! dies in the middle is followed by another when its lease has run out.

use super::{Shared, later};
use crate::record::TooOld;
use crate::store::{Ageing, StoreError};
use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;
use tokio_util::sync::CancellationToken;

/// Time from one cleaning to the next.
const EVERY: SignedDuration = SignedDuration::from_hours(24);
/// Rows changed at once: short enough that nobody waits for it.
const BATCH: u32 = 200;
/// Days of a month; the months of the settings are long enough for it not to matter.
const MONTH: i64 = 30;

/// How long people's data are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Retention {
    /// Clips and files, days.
    pub files_days: u32,
    /// Pictures and traces kept with cases, days.
    pub pictures_days: u32,
    /// Words, days.
    pub words_days: u32,
    /// Flags, months.
    pub flags_months: u32,
    /// Figures, months.
    pub figures_months: u32,
    /// Bodies that could not be read, days.
    pub unreadable_days: u32,
    /// Names of emptied events, days.
    pub names_days: u32,
}

impl Retention {
    /// What is too old at `now`.
    fn too_old(&self, now: Timestamp) -> TooOld {
        let before = |days: i64| {
            now.checked_sub(SignedDuration::from_hours(days * 24))
                .unwrap_or(Timestamp::MIN)
        };
        let days = |days: u32| before(i64::from(days));
        let months = |months: u32| before(i64::from(months) * MONTH);
        TooOld {
            files: days(self.files_days),
            pictures: days(self.pictures_days),
            words: days(self.words_days),
            flags: months(self.flags_months),
            figures: months(self.figures_months),
            unreadable: days(self.unreadable_days),
            names: days(self.names_days),
        }
    }
}

/// Looks until the end whether it is due.
pub(super) async fn run(shared: Arc<Shared>, stop: CancellationToken) {
    loop {
        if let Err(error) = when_due(&shared, &stop).await {
            // Its lease runs out, and then it is begun again.
            tracing::warn!(%error, "the cleaning broke off");
        }
        tokio::select! {
            () = stop.cancelled() => return,
            () = tokio::time::sleep(shared.parts.settings.poll) => {}
        }
    }
}

/// One cleaning, if it is due and nobody else is at it.
async fn when_due(shared: &Shared, stop: &CancellationToken) -> Result<(), StoreError> {
    let store = shared.parts.store.privacy();
    let now = shared.parts.clock.now();
    let lease = shared.parts.settings.lease;
    let mut held = later(now, lease);
    if !store.claim_cleaning(now, held).await? {
        return Ok(());
    }
    let too_old = shared.parts.settings.retention.too_old(now);
    for what in Ageing::ALL {
        let mut changed = 0;
        loop {
            if stop.is_cancelled() {
                // Due at once for whoever comes next.
                store.hold_cleaning(held, now).await?;
                return Ok(());
            }
            let batch = store.clean(what, &too_old, now, BATCH).await?;
            changed += batch;
            if batch == 0 {
                break;
            }
            let next = later(shared.parts.clock.now(), lease);
            if !store.hold_cleaning(held, next).await? {
                return Ok(());
            }
            held = next;
        }
        if changed > 0 {
            tracing::info!(what = what.word(), changed, "cleaned");
        }
    }
    store.hold_cleaning(held, later(now, EVERY)).await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn each_kind_has_its_own_age() {
        let retention = Retention {
            files_days: 30,
            pictures_days: 14,
            words_days: 90,
            flags_months: 24,
            figures_months: 12,
            unreadable_days: 7,
            names_days: 31,
        };
        let now: Timestamp = "2026-12-31T00:00:00Z".parse().unwrap();
        let too_old = retention.too_old(now);
        let day = |at: Timestamp| at.to_string().chars().take(10).collect::<String>();
        assert_eq!(day(too_old.files), "2026-12-01");
        assert_eq!(day(too_old.pictures), "2026-12-17");
        assert_eq!(day(too_old.words), "2026-10-02");
        assert_eq!(day(too_old.figures), "2026-01-05");
        assert_eq!(day(too_old.flags), "2025-01-10");
        assert_eq!(day(too_old.unreadable), "2026-12-24");
        assert_eq!(day(too_old.names), "2026-11-30");
    }
}
