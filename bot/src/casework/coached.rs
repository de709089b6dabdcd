//! What the coach gives in their own words, noted so that the table of what works counts it beside the
//! catalog's corrections.

use crate::record::{Case, CaseFile, CaseState, EntryKind, Given, Round};
use cueline_core::catalog::{Catalog, LiftBook};
use jiff::Timestamp;

/// The coach's words of just now are the plan for the newest set: no correction of the catalog runs
/// that they could be a remark on.
pub(super) fn said(case: &mut Case, file: &CaseFile, catalog: &Catalog, now: Timestamp) {
    let running = case.body.given.last();
    if running.is_none_or(|given| given.outcome.is_some()) {
        note(case, file, catalog, now);
    }
}

/// The case goes back to practice after the coach spoke of the newest set: what was said is the plan,
/// also in place of one that ran.
pub(super) fn finished(case: &mut Case, file: &CaseFile, catalog: &Catalog, now: Timestamp) {
    let set = case.body.rounds.last().map(|round| round.at);
    let since = |at: Timestamp| set.is_some_and(|set| at >= set);
    let mut entries = file.entries.iter();
    if entries.any(|entry| entry.kind == EntryKind::Coach && since(entry.at)) {
        note(case, file, catalog, now);
    }
}

/// Notes it once for each set.
fn note(case: &mut Case, file: &CaseFile, catalog: &Catalog, now: Timestamp) {
    let Some((round, book)) = newest(case, catalog) else {
        return;
    };
    if case.state == CaseState::Halted || of_set(case, round).is_some() {
        return;
    }
    let verdict = file.verdict.as_ref();
    let verdict = verdict.filter(|verdict| verdict.event_id == round.event_id);
    let cause = match verdict {
        // No fault, nothing to correct.
        Some(verdict) => verdict.judged.causes.first(),
        None => round
            .chosen
            .first()
            .or_else(|| round.beliefs.first().map(|(cause, _)| cause)),
    };
    let Some(cause) = cause.cloned() else { return };
    let given = Given {
        targets: targets(book, &cause, round),
        cause,
        at: now,
        outcome: None,
    };
    case.body.by_coach.push(given);
}

/// A verdict on the newest set says which cause the coach's words were for. True when that changes
/// what is noted.
pub(super) fn judged(case: &mut Case, catalog: &Catalog, causes: &[String]) -> bool {
    let Some((round, book)) = newest(case, catalog) else {
        return false;
    };
    let (Some(at), Some(cause)) = (of_set(case, round), causes.first()) else {
        return false;
    };
    let targets = targets(book, cause, round);
    match case.body.by_coach.get_mut(at) {
        Some(given) if given.cause != *cause => {
            given.cause.clone_from(cause);
            given.targets = targets;
            true
        }
        _ => false,
    }
}

/// The newest set and the book of its lift.
fn newest<'a>(case: &'a Case, catalog: &'a Catalog) -> Option<(&'a Round, &'a LiftBook)> {
    let round = case.body.rounds.last()?;
    let lift = round.report.lift.or(case.lift)?;
    Some((round, catalog.lifts.get(&lift)?))
}

/// Where it is noted for a set.
fn of_set(case: &Case, round: &Round) -> Option<usize> {
    let mut coached = case.body.by_coach.iter();
    coached.position(|given| given.at >= round.at)
}

/// The signs that should go: those of the set that the cause shows, else all that were there. Never a
/// pain: words on health stand where a consent taken back finds them, and nowhere else.
fn targets(book: &LiftBook, cause: &str, round: &Round) -> Vec<String> {
    let plain = |sign: &&String| book.sign(sign).is_some_and(|sign| !sign.pain);
    let present: Vec<String> = round.present.iter().filter(plain).cloned().collect();
    let shows = book.cause(cause).map(|cause| &cause.shows);
    let is_shown =
        |sign: &&String| shows.is_some_and(|shows| shows.iter().any(|(known, _)| known == *sign));
    let shown: Vec<String> = present.iter().filter(is_shown).cloned().collect();
    if shown.is_empty() { present } else { shown }
}
