//! `cueline works`: which corrections worked, from every case in the database.

use super::{Failure, runtime};
use crate::brain;
use crate::casework::WorkLog;
use crate::store::{OpenOptions, StoreError, open};
use crate::wording::community::{what_works, works_csv};
use cueline_core::outcome::works::table;
use std::io::Write as _;
use std::path::Path;

/// Cases read at once.
const CASES_AT_ONCE: u32 = 500;

/// Prints the table, in words or as CSV; `of` narrows the words to a lift or a cause.
pub(super) fn run(config: Option<&Path>, csv: bool, of: &str) -> Result<(), Failure> {
    let (settings, brain) = brain::load(config)?;
    let log = runtime()?.block_on(log(&settings.store.url))?;
    let courses = log.all();
    let mut out = std::io::stdout().lock();
    if csv {
        out.write_all(works_csv(&table(&courses)).as_bytes())?;
    } else {
        let said = what_works(&brain.words, &brain.catalog, &courses, of);
        writeln!(out, "{said}")?;
    }
    Ok(())
}

/// What became of the corrections of all cases; the database is only looked at.
async fn log(url: &str) -> Result<WorkLog, Failure> {
    let options = OpenOptions {
        read_only: true,
        ..OpenOptions::default()
    };
    let failure = |error: StoreError| {
        Failure::Other(format!(
            "the cases cannot be read from the database of [store]: {error}. `cueline serve` makes \
             the database and brings it up to date"
        ))
    };
    let store = open(url, &options).await.map_err(failure)?;
    let mut log = WorkLog::default();
    let mut below = i64::MAX;
    loop {
        let page = store.challenges().cases_below(below, CASES_AT_ONCE).await;
        let page = page.map_err(failure)?;
        let Some(last) = page.last() else { break };
        below = last.number;
        for case in &page {
            log.add(case);
        }
    }
    store.close().await;
    Ok(log)
}
