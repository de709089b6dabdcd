//! What the coach's verdicts teach of how common causes are and how often they show their signs.
//!
//! Each of the catalog's words is taken as a Beta distribution with the word's share as its mean and
//! a set number of imagined cases as its weight; verdicts are added as counts, and the mean of the
//! result takes the word's place (Gelman et al. 2013, *Bayesian Data Analysis*, section 2.4; from
//! memory).
//!
//! * **How common a cause is.** Every verdict on a set in which the cause was in play is one case,
//!   whether the coach named it or not. A cause that others feed is counted whole, though in the
//!   network its own share comes before theirs: with links as weak as they are the two are close.
//! * **How often a cause shows a sign.** A verdict counts only where it can be laid to one cause: the
//!   coach named the cause, the sign was looked for (taken as there or as not there), and no other
//!   cause the coach named shows it. What the sign's own leak explains is taken off.

use super::Judged;
use crate::catalog::{Catalog, Cause, LiftBook};
use crate::report::Lift;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Bounds of what is learned of a cause: never impossible, never most of all sets (common
/// practice, no source).
const PRIORS: (f64, f64) = (0.005, 0.6);

/// Bounds of what is learned of a sign (common practice, no source).
const STRENGTHS: (f64, f64) = (0.02, 0.98);

/// Fewest and most imagined cases the catalog may count for.
const WEIGHTS: (u32, u32) = (5, 10_000);

/// Whether verdicts are learned from, and how fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LearningSettings {
    /// Whether they are.
    pub enabled: bool,
    /// Verdicts that the catalog's word for how common a cause is counts for.
    pub prior_weight: u32,
    /// Verdicts that its word for how often a sign is shown counts for.
    pub strength_weight: u32,
}

impl Default for LearningSettings {
    fn default() -> Self {
        Self {
            enabled: false,
            prior_weight: 60,
            strength_weight: 30,
        }
    }
}

impl LearningSettings {
    /// Keys whose value cannot be used, with the value and what is accepted.
    pub fn faults(&self) -> Vec<(&'static str, u32, String)> {
        [
            ("prior_weight", self.prior_weight),
            ("strength_weight", self.strength_weight),
        ]
        .into_iter()
        .filter(|(_, weight)| !(WEIGHTS.0..=WEIGHTS.1).contains(weight))
        .map(|(key, weight)| (key, weight, format!("{} to {}", WEIGHTS.0, WEIGHTS.1)))
        .collect()
    }
}

/// How often something was so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Cases in which it was.
    pub yes: u32,
    /// Cases in all.
    pub of: u32,
}

impl Tally {
    fn add(&mut self, yes: bool) {
        self.yes = self.yes.saturating_add(u32::from(yes));
        self.of = self.of.saturating_add(1);
    }

    /// The mean of the Beta distribution that begins at `mean` and counts for `weight` cases.
    fn mean(self, mean: f64, weight: u32) -> f64 {
        let weight = f64::from(weight);
        (weight * mean + f64::from(self.yes)) / (weight + f64::from(self.of))
    }
}

/// What verdicts say, counted; the order they come in makes no difference.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Verdicts on each lift.
    pub verdicts: BTreeMap<Lift, u32>,
    /// How often each cause was named where it was in play.
    pub causes: BTreeMap<String, Tally>,
    /// How often each sign was there where the cause was, by cause and sign.
    pub shown: BTreeMap<String, BTreeMap<String, Tally>>,
}

impl Counts {
    /// Counts verdicts by the causes and signs this catalog has.
    pub fn of<'a>(catalog: &Catalog, judged: impl IntoIterator<Item = &'a Judged>) -> Self {
        let mut counts = Self::default();
        for one in judged {
            if let Some(book) = catalog.lifts.get(&one.lift) {
                counts.add(book, one);
            }
        }
        counts
    }

    fn add(&mut self, book: &LiftBook, judged: &Judged) {
        let verdicts = self.verdicts.entry(judged.lift).or_default();
        *verdicts = verdicts.saturating_add(1);
        for cause in &book.causes {
            let named = judged.names(&cause.id);
            if named || judged.in_play(&cause.id) {
                self.causes.entry(cause.id.clone()).or_default().add(named);
            }
        }
        let named: Vec<&Cause> = judged
            .causes
            .iter()
            .filter_map(|id| book.cause(id))
            .collect();
        // A cause the catalog no longer has may be the one that showed the sign.
        if named.len() < judged.causes.len() {
            return;
        }
        for cause in &named {
            for (sign, _) in &cause.shows {
                let others = named.iter().filter(|other| other.id != cause.id);
                if others.filter(|other| shows(other, sign)).count() > 0 {
                    continue;
                }
                let there = judged.present.contains(sign);
                if there || judged.absent.contains(sign) {
                    let signs = self.shown.entry(cause.id.clone()).or_default();
                    signs.entry(sign.clone()).or_default().add(there);
                }
            }
        }
    }
}

fn shows(cause: &Cause, sign: &str) -> bool {
    cause.shows.iter().any(|(shown, _)| shown == sign)
}

/// One figure that verdicts moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// The lift.
    pub lift: Lift,
    /// The cause.
    pub cause: String,
    /// The sign, when it is about how often the cause shows it; how common the cause is otherwise.
    pub sign: Option<String>,
    /// The catalog's figure.
    pub from: f64,
    /// What became of it.
    pub to: f64,
    /// The cases it was moved by.
    pub cases: Tally,
}

impl Moved {
    /// How far, in natural-log units of odds.
    pub fn by(&self) -> f64 {
        let log_odds = |p: f64| (p / (1.0 - p)).ln();
        log_odds(self.to) - log_odds(self.from)
    }
}

/// The catalog with what the counts teach. Without counts, and where there is none for a figure,
/// it is the catalog as it was.
pub fn learned(catalog: &Catalog, counts: &Counts, settings: &LearningSettings) -> Catalog {
    let mut out = catalog.clone();
    for (lift, book) in &mut out.lifts {
        book.learned = crate::catalog::Learned {
            verdicts: counts.verdicts.get(lift).copied().unwrap_or_default(),
            ..crate::catalog::Learned::default()
        };
    }
    for moved in figures(catalog, counts, settings) {
        let Some(book) = out.lifts.get_mut(&moved.lift) else {
            continue;
        };
        match moved.sign {
            None => {
                book.learned.priors.insert(moved.cause, moved.to);
            }
            Some(sign) => {
                let signs = book.learned.strengths.entry(moved.cause).or_default();
                signs.insert(sign, moved.to);
            }
        }
    }
    out
}

/// Figures the counts move, those moved furthest first.
pub fn moved(catalog: &Catalog, counts: &Counts, settings: &LearningSettings) -> Vec<Moved> {
    let mut all = figures(catalog, counts, settings);
    all.sort_by(|a, b| b.by().abs().total_cmp(&a.by().abs()));
    all
}

/// Every figure there is a count for, in the order of the catalog.
fn figures(catalog: &Catalog, counts: &Counts, settings: &LearningSettings) -> Vec<Moved> {
    let mut out = Vec::new();
    for (lift, book) in &catalog.lifts {
        for cause in &book.causes {
            if let Some(cases) = counts.causes.get(&cause.id).filter(|tally| tally.of > 0) {
                let from = cause.prior.probability();
                let mean = cases.mean(from, settings.prior_weight);
                out.push(Moved {
                    lift: *lift,
                    cause: cause.id.clone(),
                    sign: None,
                    from,
                    to: mean.clamp(PRIORS.0, PRIORS.1),
                    cases: *cases,
                });
            }
            let shown = counts.shown.get(&cause.id);
            for (sign, word) in &cause.shows {
                let Some(cases) = shown.and_then(|signs| signs.get(sign)) else {
                    continue;
                };
                let leak = book
                    .sign(sign)
                    .map_or(0.0, |sign| sign.leak.clamp(0.0, 0.9));
                let from = word.probability();
                // The sign is there if the cause shows it or it leaks: that is what was counted.
                let there = 1.0 - (1.0 - leak) * (1.0 - from);
                let mean = cases.mean(there, settings.strength_weight);
                let to = 1.0 - (1.0 - mean) / (1.0 - leak);
                out.push(Moved {
                    lift: *lift,
                    cause: cause.id.clone(),
                    sign: Some(sign.clone()),
                    from,
                    to: to.clamp(STRENGTHS.0, STRENGTHS.1),
                    cases: *cases,
                });
            }
        }
    }
    out
}
