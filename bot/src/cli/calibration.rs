//! `cueline calibration`: the bot's beliefs against the coaches' verdicts, and what those teach.

use super::{Failure, runtime};
use crate::brain;
use crate::reload::MOST_VERDICTS;
use crate::store::{OpenOptions, open};
use cueline_core::catalog::Catalog;
use cueline_core::outcome::{Calibration, Counts, Judged, Moved, Share, calibrate, moved};
use cueline_core::report::Lift;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;

/// Figures that have moved most, as many as are shown.
const MOST_MOVED: usize = 12;

/// What is printed as JSON.
#[derive(Serialize)]
struct Answer<'a> {
    all: &'a Calibration,
    lifts: BTreeMap<&'static str, &'a Calibration>,
    learning: Learning<'a>,
}

/// What verdicts make of the catalog's figures, or would if learning were on.
#[derive(Serialize)]
struct Learning<'a> {
    enabled: bool,
    moved: &'a [Moved],
}

/// Prints the agreement of beliefs and verdicts.
pub(super) fn run(config: Option<&Path>, json: bool) -> Result<(), Failure> {
    let (settings, brain) = brain::load(config)?;
    let judged = runtime()?.block_on(verdicts(&settings.store.url))?;
    let (all, lifts) = calibrate(&judged);
    let counts = Counts::of(&brain.catalog, &judged);
    let figures = moved(&brain.catalog, &counts, &settings.learning);
    let learning = Learning {
        enabled: settings.learning.enabled,
        moved: &figures,
    };
    let mut out = std::io::stdout().lock();
    if json {
        let answer = Answer {
            all: &all,
            lifts: lifts.iter().map(|(lift, one)| (lift.word(), one)).collect(),
            learning,
        };
        let text = serde_json::to_string(&answer)
            .map_err(|error| Failure::Other(format!("calibration as JSON: {error}")))?;
        writeln!(out, "{text}")?;
    } else {
        let said = text(&brain.catalog, &all, &lifts, &learning);
        out.write_all(said.as_bytes())?;
    }
    Ok(())
}

/// Every verdict kept; the database is only looked at.
async fn verdicts(url: &str) -> Result<Vec<Judged>, Failure> {
    let options = OpenOptions {
        read_only: true,
        ..OpenOptions::default()
    };
    let failure = |error| {
        Failure::Other(format!(
            "the verdicts cannot be read from the database of [store]: {error}. `cueline serve` \
             makes the database and brings it up to date"
        ))
    };
    let store = open(url, &options).await.map_err(failure)?;
    let verdicts = store.verdicts(MOST_VERDICTS).await.map_err(failure);
    store.close().await;
    Ok(verdicts?
        .into_iter()
        .map(|verdict| verdict.judged)
        .collect())
}

/// The same in words and tables.
fn text(
    catalog: &Catalog,
    all: &Calibration,
    lifts: &BTreeMap<Lift, Calibration>,
    learning: &Learning<'_>,
) -> String {
    let mut out = String::new();
    block(&mut out, "All lifts", all);
    for (lift, one) in lifts {
        block(&mut out, lift.name(), one);
    }
    if all.verdicts > 0 {
        taught(&mut out, catalog, learning);
    }
    out
}

/// One calibration. Writing to a `String` cannot fail.
fn block(out: &mut String, name: &str, of: &Calibration) {
    let _ = writeln!(
        out,
        "{name}: verdicts {}, of them without a fault {}",
        of.verdicts, of.no_fault
    );
    let (Some(brier), Some(log_score)) = (of.scores.brier, of.scores.log_score) else {
        let _ = writeln!(
            out,
            "  Nothing to score yet. Coaches give verdicts in chat: `verdict 12 brace late`."
        );
        return;
    };
    for (what, share) in [
        ("the first belief", of.first),
        ("one of the first three", of.first_three),
    ] {
        if let Some(share) = share {
            let _ = writeln!(
                out,
                "  The coach's first cause was {what} in {}",
                shown(share)
            );
        }
    }
    if of.ruled_out > 0 {
        let _ = writeln!(
            out,
            "  Causes named although a fact had ruled them out: {}",
            of.ruled_out
        );
    }
    let _ = writeln!(
        out,
        "  Brier score {:.4} = reliability {:.4} - resolution {:.4} + uncertainty {:.4} + within bins {:.4}",
        brier.score, brier.reliability, brier.resolution, brier.uncertainty, brier.within
    );
    let _ = writeln!(
        out,
        "  Log score {log_score:.4} (natural logarithm; 0 is perfect), over {} beliefs",
        of.scores.forecasts
    );
    let _ = writeln!(
        out,
        "  {:<11} {:>6} {:>7}  observed",
        "belief", "count", "mean"
    );
    for bin in &of.scores.bins {
        let _ = write!(
            out,
            "  {:<11} {:>6}",
            format!("{:.1} - {:.1}", bin.above, bin.up_to),
            bin.count
        );
        match (bin.mean, bin.observed) {
            (Some(mean), Some(observed)) => {
                let _ = writeln!(out, " {mean:>7.3}  {}", shown(observed));
            }
            _ => out.push('\n'),
        }
    }
    out.push('\n');
}

/// A share with its interval.
fn shown(share: Share) -> String {
    format!(
        "{} of {}: {:.0} % (95 % interval {:.0} to {:.0} %)",
        share.yes,
        share.of,
        share.share * 100.0,
        share.low * 100.0,
        share.high * 100.0
    )
}

/// What verdicts move.
fn taught(out: &mut String, catalog: &Catalog, learning: &Learning<'_>) {
    let head = if learning.enabled {
        "Learning is on. Moved most:"
    } else {
        "Learning is off ([learning] in cueline.toml). It would move most:"
    };
    let _ = writeln!(out, "{head}");
    for moved in learning.moved.iter().take(MOST_MOVED) {
        let book = catalog.lifts.get(&moved.lift);
        let cause = book.and_then(|book| book.cause(&moved.cause));
        let cause = cause.map_or(moved.cause.as_str(), |cause| cause.meaning.as_str());
        let what = match &moved.sign {
            None => "how common it is".to_owned(),
            Some(sign) => {
                let known = book.and_then(|book| book.sign(sign));
                format!(
                    "shows \"{}\"",
                    known.map_or(sign.as_str(), |sign| sign.meaning.as_str())
                )
            }
        };
        let _ = writeln!(
            out,
            "  {} ({cause}), {what}: {:.1} % -> {:.1} % ({} of {})",
            moved.cause,
            moved.from * 100.0,
            moved.to * 100.0,
            moved.cases.yes,
            moved.cases.of
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_say_how_often_beliefs_came_true_and_what_would_move() {
        let (settings, brain) = brain::load(None).unwrap();
        let beliefs = [("c-sq-brace", 0.72), ("c-sq-loose-rack", 0.41)];
        let judged = vec![
            Judged {
                lift: Lift::Squat,
                causes: vec!["c-sq-brace".to_owned()],
                beliefs: beliefs.map(|(id, p)| (id.to_owned(), p)).to_vec(),
                present: vec!["sq-trunk-soft".to_owned()],
                absent: Vec::new(),
            };
            4
        ];
        let (all, lifts) = calibrate(&judged);
        let counts = Counts::of(&brain.catalog, &judged);
        let figures = moved(&brain.catalog, &counts, &settings.learning);
        let learning = Learning {
            enabled: false,
            moved: &figures,
        };
        let said = text(&brain.catalog, &all, &lifts, &learning);
        for part in [
            "All lifts: verdicts 4, of them without a fault 0",
            "squat: verdicts 4,",
            // Wilson 1927: 4 of 4 is 51 to 100 %.
            "the first belief in 4 of 4: 100 % (95 % interval 51 to 100 %)",
            "0.7 - 0.8        4   0.720  4 of 4",
            "0.4 - 0.5        4   0.410  0 of 4",
            "It would move most:",
            // 0.35 of 60 and 4 more of 4: 25 of 64.
            "c-sq-brace (breath shallow, late or lost), how common it is: 35.0 % -> 39.1 % (4 of 4)",
        ] {
            assert!(said.contains(part), "{part} in {said}");
        }
        let (none, lifts) = calibrate(&[]);
        let said = text(&brain.catalog, &none, &lifts, &learning);
        assert!(said.contains("Nothing to score yet"), "{said}");
    }
}
