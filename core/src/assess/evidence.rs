//! Ticks, answers and words to findings, one a sign.

use crate::catalog::LiftBook;
use crate::diagnosis::{Finding, Origin, findings_from_answers, findings_from_ticks};
use crate::reading::{Polarity, Reading};
use crate::report::{FieldError, SetReport};

/// Ids in the report that the catalog does not know, each with the nearest known one.
pub(super) fn unknown_ids(book: &LiftBook, report: &SetReport) -> Vec<FieldError> {
    let ticks = findings_from_ticks(book, report).err();
    let answers = findings_from_answers(book, report).err();
    ticks.into_iter().chain(answers).collect()
}

/// Everything known about signs. What was ticked or answered outweighs what was read.
pub(super) fn collect(book: &LiftBook, report: &SetReport, reading: &Reading) -> Vec<Finding> {
    let mut findings = findings_from_ticks(book, report).unwrap_or_default();
    let answers = findings_from_answers(book, report).unwrap_or_default();
    add(&mut findings, answers);
    let words = reading
        .signs
        .iter()
        .filter(|mention| book.sign(&mention.sign).is_some())
        .map(|mention| Finding {
            sign: mention.sign.clone(),
            probability: match mention.polarity {
                Polarity::Present => mention.confidence,
                Polarity::Absent => 1.0 - mention.confidence,
            },
            from: Origin::Words,
        });
    add(&mut findings, words);
    findings.sort_by(|a, b| a.sign.cmp(&b.sign));
    findings
}

/// Adds findings for signs that have none yet; the surer of two readings of one text is kept.
fn add(findings: &mut Vec<Finding>, more: impl IntoIterator<Item = Finding>) {
    for finding in more {
        match findings.iter_mut().find(|known| known.sign == finding.sign) {
            None => findings.push(finding),
            Some(known) if known.from == finding.from && sureness(&finding) > sureness(known) => {
                *known = finding;
            }
            Some(_) => {}
        }
    }
}

/// How far a finding is from "unknown".
fn sureness(finding: &Finding) -> f64 {
    (finding.probability - 0.5).abs()
}
