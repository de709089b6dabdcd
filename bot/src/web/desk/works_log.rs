//! What became of corrections, worked out from many cases and kept for a while between pages.
//!
//! It has to read the whole body of every case it looks at, so it looks at the newest only, never while
//! a page that has an older result waits, and not more often than every few minutes.

use super::Desk;
use crate::casework::{NEWEST_CASES, WorkLog};
use crate::record::CoachVerdict;
use crate::store::StoreError;
use crate::wording::community::faults_agreement;
use cueline_core::outcome::works::{Line, table};
use cueline_core::report::Lift;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use tokio::sync::watch;

/// A result is shown for so long before it is worked out again.
const FRESH: SignedDuration = SignedDuration::from_mins(10);
/// A page waits so long for the first result before it says that it is under way.
const FIRST_WAIT: Duration = Duration::from_secs(4);
/// A page that has an older result waits so long for a newer one.
const NEXT_WAIT: Duration = Duration::from_millis(40);
/// Cases read at once.
const CASES_AT_ONCE: u32 = 200;
/// Newest verdicts compared.
const MOST_VERDICTS: u32 = 20_000;

/// What was worked out.
pub(super) struct Worked {
    /// Courses and faults.
    pub(super) log: WorkLog,
    /// The table of each platform.
    tables: BTreeMap<String, Vec<Line>>,
    /// How often service and coach agree, in words, by platform and lift; all lifts together too.
    agreement: BTreeMap<(String, Option<Lift>), String>,
    /// When.
    pub(super) at: Timestamp,
    /// From how many cases.
    pub(super) cases: usize,
    /// There are older cases that were not looked at.
    pub(super) more: bool,
}

impl Worked {
    /// The table of one platform, lift by lift, the most given first.
    pub(super) fn table(&self, source: &str) -> &[Line] {
        self.tables.get(source).map_or(&[], Vec::as_slice)
    }

    /// How often service and coach agree on one platform; none when no coach gave a verdict there.
    pub(super) fn agreement(&self, source: &str, lift: Option<Lift>) -> Option<&str> {
        let key = (source.to_owned(), lift);
        self.agreement.get(&key).map(String::as_str)
    }
}

/// The result kept, and whether a newer one is under way.
pub(super) struct Works {
    kept: watch::Sender<Option<Arc<Worked>>>,
    under_way: AtomicBool,
}

impl Works {
    pub(super) fn new() -> Self {
        Self {
            kept: watch::Sender::new(None),
            under_way: AtomicBool::new(false),
        }
    }
}

/// Somebody is at it; ends with the task, however that ends.
struct AtIt(Arc<Desk>);

impl Drop for AtIt {
    fn drop(&mut self) {
        self.0.works.under_way.store(false, Ordering::Release);
    }
}

/// The result to show; none while the first one is still under way.
pub(super) async fn worked(desk: &Arc<Desk>) -> Option<Arc<Worked>> {
    let mut kept = desk.works.kept.subscribe();
    let now = kept.borrow_and_update().clone();
    let fresh = |worked: &Arc<Worked>| desk.now().duration_since(worked.at).abs() < FRESH;
    if now.as_ref().is_some_and(fresh) {
        return now;
    }
    begin(desk);
    let wait = if now.is_some() { NEXT_WAIT } else { FIRST_WAIT };
    // Whether it came or not, what there is then is shown.
    let _ = tokio::time::timeout(wait, kept.changed()).await;
    kept.borrow().clone()
}

/// Works it out beside everything else, unless somebody is at it.
pub(super) fn begin(desk: &Arc<Desk>) {
    if desk.works.under_way.swap(true, Ordering::AcqRel) {
        return;
    }
    let at_it = AtIt(desk.clone());
    tokio::spawn(async move {
        let desk = &at_it.0;
        match work_out(desk).await {
            Ok(worked) => {
                desk.works.kept.send_replace(Some(Arc::new(worked)));
            }
            // The next page tries again, and shows what there was until then.
            Err(error) => tracing::warn!(%error, "what works could not be worked out"),
        }
    });
}

/// The words for each platform that has verdicts. The verdicts themselves are not kept here.
fn agreement(desk: &Desk, verdicts: &[CoachVerdict]) -> BTreeMap<(String, Option<Lift>), String> {
    let brain = desk.brain();
    let mut by_source: BTreeMap<&str, Vec<&CoachVerdict>> = BTreeMap::new();
    for verdict in verdicts {
        let of_source = by_source.entry(&verdict.by.source).or_default();
        of_source.push(verdict);
    }
    let lifts = || [None].into_iter().chain(Lift::ALL.map(Some));
    let told = |(source, verdicts): (&str, Vec<&CoachVerdict>)| {
        let told = lifts().map(|lift| {
            let words = faults_agreement(&brain.words, &verdicts, lift);
            ((source.to_owned(), lift), words)
        });
        told.collect::<Vec<_>>()
    };
    by_source.into_iter().flat_map(told).collect()
}

async fn work_out(desk: &Desk) -> Result<Worked, StoreError> {
    let store = &desk.parts.store;
    let now = desk.now();
    let mut worked = Worked {
        log: WorkLog::default(),
        tables: BTreeMap::new(),
        agreement: agreement(desk, &store.verdicts(MOST_VERDICTS).await?),
        at: now,
        cases: 0,
        more: false,
    };
    let mut below = i64::MAX;
    loop {
        let page = store.challenges().cases_below(below, CASES_AT_ONCE).await?;
        let Some(last) = page.last() else { break };
        below = last.number;
        if worked.cases >= NEWEST_CASES {
            worked.more = true;
            break;
        }
        worked.cases += page.len();
        for case in &page {
            worked.log.add(case);
        }
        tokio::task::yield_now().await;
    }
    let sources = worked.log.platforms();
    worked.tables = sources
        .map(|source| (source.to_owned(), table(worked.log.on(source))))
        .collect();
    Ok(worked)
}
