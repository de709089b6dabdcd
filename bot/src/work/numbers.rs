//! Numbers for new cases, reserved a block at a time so that an event costs no extra write.

use crate::store::{Store, StoreError};
use tokio::sync::Mutex;

/// Numbers in a block; at most this many are skipped by a restart.
const BLOCK: i64 = 10;

/// Numbers not given out yet.
#[derive(Debug, Default)]
pub(super) struct Numbers {
    left: Mutex<Option<(i64, i64)>>,
}

impl Numbers {
    /// A number nobody else has.
    pub(super) async fn next(&self, store: &dyn Store) -> Result<i64, StoreError> {
        let mut left = self.left.lock().await;
        let (next, end) = match *left {
            Some((next, end)) if next <= end => (next, end),
            _ => {
                let block = store.reserve_case_number().await?;
                ((block - 1) * BLOCK + 1, block * BLOCK)
            }
        };
        *left = Some((next + 1, end));
        Ok(next)
    }

    /// Gives the newest number back when it was not used and nobody took one since.
    pub(super) async fn give_back(&self, number: i64) {
        let mut left = self.left.lock().await;
        if let Some((next, _)) = left.as_mut()
            && *next == number + 1
        {
            *next = number;
        }
    }
}
