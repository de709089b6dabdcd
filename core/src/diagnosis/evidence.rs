//! From findings to evidence: one likelihood a sign, whoever reported it and in whatever order.
//!
//! - A sign nobody mentions is unknown and drops out; it is not absent.
//! - Several findings of one sign from one origin are one testimony: their mean counts.
//! - Different origins are independent witnesses: their odds multiply. Once two origins speak, none
//!   of them is taken as surer than [`SUREST`], so that one can be outvoted.
//! - A probability between 0 and 1 is virtual evidence with likelihood ratio `p / (1 - p)` (Pearl
//!   1988, section 2.2.2; from memory).
//! - A context rule with weight `w` says the finding means something only that often; otherwise it
//!   is as likely either way. The likelihood `L` becomes `w * L + (1 - w)`.
//! - Some rules hold only while certain signs were looked for and are away, or while nothing else is
//!   there.
//! - Pain signs raise no cause: triage answers them. Rule-only signs count for those who compete.

use super::gates::Facts;
use super::{Finding, Origin};
use crate::catalog::{ContextRule, LiftBook, Sign};
use std::collections::BTreeMap;

/// No origin is taken as surer than this while another one speaks too (common practice, no source).
const SUREST: f64 = 0.99;

/// Two origins contradict each other when one says at least this and another at most one minus this.
const CONTRADICTS: f64 = 0.8;

/// Most signs that count; beyond it the least telling are left out.
const MOST_SIGNS: usize = 64;

/// What is known of one sign, ready for the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Evidence<'a> {
    /// Sign id, as in the book.
    pub(super) sign: &'a str,
    /// It says little by itself.
    pub(super) vague: bool,
    /// Probability that it is there, all origins together.
    pub(super) probability: f64,
    /// Likelihood of the findings if it is not there.
    pub(super) if_absent: f64,
    /// Likelihood of the findings if it is there.
    pub(super) if_present: f64,
}

impl Evidence<'_> {
    /// True when the sign is more likely there than not and still counts.
    pub(super) fn shown(&self) -> bool {
        self.if_present > self.if_absent
    }
}

/// All that the findings of one report say.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered<'a> {
    /// Signs that count, in the order of their ids.
    pub(super) evidence: Vec<Evidence<'a>>,
    /// Signs said to be there, counting or not, in the order of their ids.
    pub(super) present: Vec<&'a Sign>,
    /// Signs on which two origins contradict each other.
    pub(super) contradicted: Vec<&'a Sign>,
    /// The rules that hold with these findings.
    pub(super) rules: Vec<&'a ContextRule>,
}

/// One sign vague by itself is no verdict unless this many others were looked for and are away
/// (common practice, no source).
const RULED_OUT: usize = 2;

impl<'a> Gathered<'a> {
    /// With more known of other signs, none of which a rule weighs anew.
    pub(super) fn with(&self, more: Self) -> Self {
        let mut all = self.clone();
        all.evidence.extend(more.evidence);
        all.present.extend(more.present);
        all.contradicted.extend(more.contradicted);
        all
    }

    /// What is there and counts.
    pub(super) fn seen(&self) -> Seen<'a> {
        let shown: Vec<&Evidence<'a>> = self.evidence.iter().filter(|e| e.shown()).collect();
        let away = self
            .evidence
            .iter()
            .filter(|e| e.probability <= AWAY)
            .count();
        let vague = matches!(shown.as_slice(), [only] if only.vague) && away < RULED_OUT;
        Seen {
            marks: shown.iter().fold(0, |all, e| all | mark(e.sign)),
            signs: shown.into_iter().map(|e| e.sign).collect(),
            vague,
        }
    }
}

/// What is there and counts.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen<'a> {
    /// Ids of the signs.
    pub(super) signs: Vec<&'a str>,
    /// All there is is one sign that says little by itself.
    pub(super) vague: bool,
    /// Marks of these signs, so that most others are told apart at a glance.
    marks: u64,
}

impl Seen<'_> {
    /// Whether this sign is there and counts.
    pub(super) fn has(&self, sign: &str) -> bool {
        self.marks & mark(sign) != 0 && self.signs.contains(&sign)
    }
}

/// One of 64 marks for the id of a sign, by its length and three of its letters.
fn mark(id: &str) -> u64 {
    let bytes = id.as_bytes();
    let letter = |at: usize| bytes.get(at).map_or(0, |byte| usize::from(*byte));
    let last = bytes.len().saturating_sub(1);
    let number = bytes.len() + letter(3) * 5 + letter(last / 2) * 11 + letter(last) * 17;
    1 << (number & 63)
}

/// A sign is taken as away up to this probability.
const AWAY: f64 = 0.2;

/// Gathers the findings of the signs of this book; signs of other lifts are passed over.
pub(super) fn gather<'a>(
    book: &'a LiftBook,
    rules: &[&'a ContextRule],
    facts: Facts,
    findings: &[Finding],
) -> Gathered<'a> {
    let mut by_sign: BTreeMap<&'a str, (&'a Sign, Vec<&Finding>)> = BTreeMap::new();
    for finding in findings.iter().filter(|f| !f.probability.is_nan()) {
        if let Some(sign) = book.sign(&finding.sign) {
            let entry = by_sign.entry(&sign.id).or_insert((sign, Vec::new()));
            entry.1.push(finding);
        }
    }
    let combined: Vec<(&'a Sign, f64, bool)> = by_sign
        .into_values()
        .map(|(sign, findings)| {
            let (probability, contradicted) = combine(&findings);
            (sign, probability, contradicted)
        })
        .collect();
    let mut gathered = Gathered {
        rules: holding(rules, &combined),
        ..Gathered::default()
    };
    for (sign, probability, contradicted) in combined {
        if contradicted {
            gathered.contradicted.push(sign);
        }
        if probability > 0.5 {
            gathered.present.push(sign);
        }
        let counts = !sign.pain && (!sign.rule_only || facts.competes == Some(true));
        let weight = weight(sign, &gathered.rules);
        let evidence = Evidence {
            sign: &sign.id,
            vague: sign.vague,
            probability,
            if_absent: weight.mul_add(1.0 - probability, 1.0 - weight),
            if_present: weight.mul_add(probability, 1.0 - weight),
        };
        if counts && (evidence.if_absent - evidence.if_present).abs() > 1e-12 {
            gathered.evidence.push(evidence);
        }
    }
    keep_most_telling(&mut gathered.evidence, MOST_SIGNS);
    gathered
}

/// The rules that hold with what is known of the signs.
fn holding<'a>(rules: &[&'a ContextRule], combined: &[(&Sign, f64, bool)]) -> Vec<&'a ContextRule> {
    let away = |id: &String| {
        let mut signs = combined.iter();
        signs.any(|(sign, probability, _)| sign.id == *id && *probability <= AWAY)
    };
    let others = |rule: &ContextRule| {
        let mut signs = combined.iter();
        signs.any(|(sign, probability, _)| *probability > 0.5 && !rule.signs.contains(&sign.id))
    };
    let holds =
        |rule: &&&ContextRule| rule.absent.iter().all(away) && !(rule.alone && others(rule));
    rules.iter().filter(holds).copied().collect()
}

/// Leaves out the least telling findings beyond `most`, keeping the order.
pub(super) fn keep_most_telling(evidence: &mut Vec<Evidence<'_>>, most: usize) {
    while evidence.len() > most {
        let telling =
            |e: &Evidence<'_>| (e.if_present / e.if_absent.max(1e-9)).max(1e-9).ln().abs();
        let least = (0..evidence.len()).min_by(|&a, &b| {
            let (a, b) = (telling(&evidence[a]), telling(&evidence[b]));
            a.total_cmp(&b)
        });
        evidence.remove(least.unwrap_or(0));
    }
}

/// How much a sign counts under the rules that hold: the product of their weights.
fn weight(sign: &Sign, rules: &[&ContextRule]) -> f64 {
    rules
        .iter()
        .filter(|rule| rule.signs.is_empty() || rule.signs.contains(&sign.id))
        .map(|rule| rule.sign_weight.clamp(0.0, 1.0))
        .product()
}

/// One probability from all findings of one sign, whatever their order.
pub(crate) fn together(findings: &[Finding]) -> f64 {
    let findings: Vec<&Finding> = findings.iter().collect();
    combine(&findings).0
}

/// One probability from several findings of one sign, and whether origins contradict each other.
fn combine(findings: &[&Finding]) -> (f64, bool) {
    let testimonies: Vec<f64> = [
        Origin::Words,
        Origin::Ticked,
        Origin::Measured,
        Origin::Answered,
    ]
    .into_iter()
    .filter_map(|origin| testimony(findings, origin))
    .collect();
    let (low, high) = testimonies
        .iter()
        .fold((1.0_f64, 0.0_f64), |(low, high), p| {
            (low.min(*p), high.max(*p))
        });
    let contradicted = high >= CONTRADICTS && low <= 1.0 - CONTRADICTS;
    let probability = match testimonies.as_slice() {
        [] => 0.5,
        [only] => *only,
        _ if low >= 1.0 => 1.0,
        _ if high <= 0.0 => 0.0,
        several => {
            let log_odds: f64 = several
                .iter()
                .map(|p| p.clamp(1.0 - SUREST, SUREST))
                .map(|p| (p / (1.0 - p)).ln())
                .sum();
            1.0 / (1.0 + (-log_odds).exp())
        }
    };
    (probability, contradicted)
}

/// The mean of what one origin says, the same whatever the order.
fn testimony(findings: &[&Finding], origin: Origin) -> Option<f64> {
    let mut said: Vec<f64> = findings
        .iter()
        .filter(|finding| finding.from == origin)
        .map(|finding| finding.probability.clamp(0.0, 1.0))
        .collect();
    said.sort_by(f64::total_cmp);
    (!said.is_empty()).then(|| said.iter().sum::<f64>() / said.len() as f64)
}
