//! Several sets told in one message, as they are said back.

use super::figures;
use super::words::Words;
use cueline_core::quantity::Mass;
use cueline_core::report::{ListedSet, SetReport};

/// Every set that was read, when there were several, and which of them was taken.
pub(super) fn listed(report: &SetReport, words: &Words) -> Option<String> {
    let taken = taken(report)?;
    let sets = sets(&report.listed)?;
    let count = report.listed.len().to_string();
    let values = [("count", &*count), ("sets", &*sets), ("set", &*taken)];
    Some(words.say("reply.listed", &values))
}

/// Most sets of a list that are written out.
const MOST_LISTED: usize = 8;

/// The sets of a list: `100 kg (220.5 lb) x 5, 110 kg (242.5 lb) x 5 and 120 kg (264.6 lb) x 3`; none
/// while a unit is not known.
fn sets(sets: &[ListedSet]) -> Option<String> {
    let shown = |set: &ListedSet| {
        let load = Mass::new(set.load.value, set.load.unit?).both();
        let of = set.sets.filter(|sets| *sets > 1);
        let reps = match (of, set.reps) {
            (Some(of), Some(reps)) => format!(" {of} x {reps}"),
            (None, Some(reps)) => format!(" x {reps}"),
            _ => String::new(),
        };
        let felt = set
            .effort
            .map(|felt| format!(" at {}", figures::effort(felt)));
        Some(format!("{load}{reps}{}", felt.unwrap_or_default()))
    };
    let more = sets.len().saturating_sub(MOST_LISTED);
    let first: Option<Vec<String>> = sets.iter().take(MOST_LISTED).map(shown).collect();
    let mut first = first?;
    if more > 0 {
        first.push(format!("{more} more"));
    }
    Some(figures::list(&first, "and"))
}

/// The set of a list that the report is of, in short; none when no list was read or none is taken yet.
fn taken(report: &SetReport) -> Option<String> {
    let load = report.load.filter(|_| report.listed.len() > 1)?;
    let reps = report.reps?;
    Some(format!("{} x {reps}", load.both()))
}
