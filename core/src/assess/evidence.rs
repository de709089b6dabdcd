//! Ticks, answers and words to findings, one a sign.

use super::SignView;
use crate::catalog::{Channel, LiftBook};
use crate::diagnosis::{Finding, Origin, findings_from_answers, findings_from_ticks, together};
use crate::motion::Measurement;
use crate::reading::{Polarity, Reading};
use crate::report::{FieldError, SetReport, View};

/// Ids in the report that the catalog does not know, each with the nearest known one.
pub(super) fn unknown_ids(book: &LiftBook, report: &SetReport) -> Vec<FieldError> {
    let ticks = findings_from_ticks(book, report).err();
    let answers = findings_from_answers(book, report).err();
    ticks.into_iter().chain(answers).collect()
}

/// Everything known about signs. What was ticked or answered outweighs what was read; what was
/// measured is a witness of its own beside them.
pub(super) fn collect(
    book: &LiftBook,
    report: &SetReport,
    reading: &Reading,
    measured: Option<&Measurement>,
) -> Vec<Finding> {
    let mut findings = findings_from_ticks(book, report).unwrap_or_default();
    let answers = findings_from_answers(book, report).unwrap_or_default();
    add(&mut findings, answers);
    let words = reading
        .signs
        .iter()
        .filter(|mention| book.sign(&mention.sign).is_some())
        .filter(|mention| {
            // A doubtful reading is no witness against a measurement.
            mention.confidence >= SURE
                || measured.is_none_or(|all| all.sign(&mention.sign).is_none())
        })
        .map(|mention| Finding {
            sign: mention.sign.clone(),
            probability: match mention.polarity {
                Polarity::Present => telling(mention.confidence),
                Polarity::Absent => 1.0 - telling(mention.confidence),
            },
            from: Origin::Words,
        });
    add(&mut findings, words);
    let measured = measured.into_iter().flat_map(|all| &all.signs);
    let known = measured.filter(|sign| book.sign(&sign.sign).is_some());
    findings.extend(known.map(|sign| Finding {
        sign: sign.sign.clone(),
        probability: sign.probability,
        from: Origin::Measured,
    }));
    findings.sort_by(|a, b| a.sign.cmp(&b.sign));
    findings
}

/// One line a sign, all witnesses together; named after the one that is surest of what they say
/// together. `findings` are sorted by sign.
pub(super) fn views(findings: &[Finding]) -> Vec<SignView> {
    findings
        .chunk_by(|a, b| a.sign == b.sign)
        .filter_map(|of_one| {
            let probability = together(of_one);
            let says = |finding: &&Finding| (finding.probability >= 0.5) == (probability >= 0.5);
            let surest = of_one
                .iter()
                .filter(says)
                .max_by(|a, b| sureness(a).total_cmp(&sureness(b)))
                .or(of_one.first())?;
            Some(SignView {
                sign: surest.sign.clone(),
                probability,
                from: surest.from,
            })
        })
        .collect()
}

/// A reading at least this sure can dispute a tick (common practice, no source).
const SURE: f64 = 0.8;

/// Plain words of the signs that the lifter's words or answers and the ticked boxes tell differently.
///
/// Words that say both (gone at one load, there at another) dispute nothing.
pub(super) fn disputed(book: &LiftBook, report: &SetReport, reading: &Reading) -> Vec<String> {
    let says = |id: &str, polarity: Polarity| {
        let mut said = reading.signs.iter();
        said.any(|m| m.sign == id && m.polarity == polarity && m.confidence >= SURE)
    };
    let answered = findings_from_answers(book, report).unwrap_or_default();
    let answers = |id: &str, polarity: Polarity| {
        let told = if polarity == Polarity::Present {
            1.0
        } else {
            0.0
        };
        let mut all = answered.iter();
        all.any(|finding| finding.sign == id && (finding.probability - told).abs() < 0.5)
    };
    let says = |id: &str, polarity: Polarity| says(id, polarity) || answers(id, polarity);
    let against =
        |id: &&String, told: Polarity, other: Polarity| says(id, other) && !says(id, told);
    let seen = report.seen.iter();
    let seen = seen.filter(|id| against(id, Polarity::Present, Polarity::Absent));
    let away = report.not_seen.iter();
    let away = away.filter(|id| against(id, Polarity::Absent, Polarity::Present));
    seen.chain(away)
        .filter_map(|id| book.sign(id))
        .map(|sign| sign.plain.clone())
        .collect()
}

/// How often one sign is there in a set sent in, before anything is read (common practice, no
/// source).
const SELDOM: f64 = 0.15;

/// A reading's confidence is what is believed after reading, `P(sign | words)`. What the words
/// themselves weigh is its odds over the odds before reading (Pearl 1988, section 2.2.2; from
/// memory), since the network holds how common a sign is already.
fn telling(confidence: f64) -> f64 {
    let odds = |p: f64| p / (1.0 - p);
    let ratio = odds(confidence.clamp(0.01, 0.99)) / odds(SELDOM);
    ratio / (1.0 + ratio)
}

/// Probability left to a sign that was named although the view cannot show it: the lifter may
/// know it from elsewhere (common practice: no view, no verdict).
const UNSEEN: f64 = 0.75;

/// Weighs findings by the view the set was seen from: what the view cannot show counts less when
/// it is said to be there, and not at all when it is said to be absent. Returns the findings that
/// count, and the signs that another view has to show.
pub(super) fn seen_from(
    book: &LiftBook,
    view: Option<View>,
    findings: Vec<Finding>,
) -> (Vec<Finding>, Vec<String>) {
    let Some(view) = view else {
        return (findings, Vec::new());
    };
    let hidden = |finding: &Finding| {
        // A measurement knows its own view.
        !matches!(finding.from, Origin::Answered | Origin::Measured)
            && book.sign(&finding.sign).is_some_and(|sign| {
                !sign.by.contains(&Channel::Felt)
                    && !sign.views.is_empty()
                    && !sign.views.contains(&view)
            })
    };
    let mut unseen = Vec::new();
    let mut kept = Vec::new();
    for mut finding in findings {
        if hidden(&finding) {
            unseen.push(finding.sign.clone());
            if finding.probability < 0.5 {
                continue;
            }
            if finding.from == Origin::Words {
                finding.probability = finding.probability.min(UNSEEN);
            }
        }
        kept.push(finding);
    }
    (kept, unseen)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Sign, Stage};

    fn book() -> LiftBook {
        let sign = |id: &str, by: &[Channel], views: &[View]| Sign {
            id: id.to_owned(),
            meaning: String::new(),
            plain: String::new(),
            stages: vec![Stage::Drive],
            by: by.to_vec(),
            views: views.to_vec(),
            phrases: Vec::new(),
            leak: 0.06,
            rule_only: false,
            vague: false,
            pain: false,
            caution: None,
        };
        LiftBook {
            signs: vec![
                sign("sq-knees-in-up", &[Channel::Viewer], &[View::Front]),
                sign(
                    "sq-heels-rise",
                    &[Channel::Felt, Channel::Viewer],
                    &[View::Side],
                ),
            ],
            ..LiftBook::default()
        }
    }

    fn finding(sign: &str, probability: f64, from: Origin) -> Finding {
        Finding {
            sign: sign.to_owned(),
            probability,
            from,
        }
    }

    #[test]
    fn knees_said_to_cave_in_a_side_view_count_less_and_ask_for_the_front() {
        let said = vec![finding("sq-knees-in-up", 0.95, Origin::Words)];
        let (kept, unseen) = seen_from(&book(), Some(View::Side), said);
        assert!((kept[0].probability - UNSEEN).abs() < 1e-12);
        assert_eq!(unseen, ["sq-knees-in-up"]);
    }

    #[test]
    fn knees_not_seen_to_cave_in_a_side_view_are_unknown_not_absent() {
        let ticked = vec![finding("sq-knees-in-up", 0.0, Origin::Ticked)];
        let (kept, unseen) = seen_from(&book(), Some(View::Side), ticked);
        assert!(kept.is_empty());
        assert_eq!(unseen, ["sq-knees-in-up"]);
    }

    #[test]
    fn what_is_felt_needs_no_view_and_no_view_stated_changes_nothing() {
        let felt = vec![finding("sq-heels-rise", 0.9, Origin::Words)];
        let (kept, unseen) = seen_from(&book(), Some(View::Front), felt.clone());
        assert_eq!((kept, unseen.len()), (felt.clone(), 0));
        assert_eq!(seen_from(&book(), None, felt.clone()).0, felt);
    }
}
