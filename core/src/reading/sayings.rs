//! Signs in words that neither a phrase nor a wording by concepts covers: every word, two words in
//! a row, group of words and pair of groups of a clause adds its weight (see the catalog's weights
//! of signs), and the sign with by far the largest sum is taken as told.
//!
//! A clause by itself and up to three in a row are weighed; the surest goes first, and what it
//! stands on tells nothing else.

use super::features::{Numbered, Termed, numbered};
use super::said::Said;
use super::work;
use crate::catalog::{Catalog, LiftWeights};
use crate::report::Lift;

/// Clauses in a row that are weighed together, at most.
const CLAUSES: usize = 3;

/// Words of the longest run that is weighed.
pub(super) const LONGEST: usize = 40;

/// A sign taken as told.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Told {
    pub(super) sign: String,
    pub(super) probability: f64,
    /// The words that speak for it.
    pub(super) words: Vec<usize>,
}

/// The features inside words `from..to`, each number once, in `found`.
fn inside(features: &[Numbered], from: usize, to: usize, found: &mut Vec<Numbered>) {
    let low = features.partition_point(|feature| feature.from < from);
    let within = features
        .iter()
        .skip(low)
        .take_while(|feature| feature.from < to)
        .filter(|feature| feature.to <= to);
    found.clear();
    found.extend(within.copied());
    found.sort_unstable_by_key(|feature| (feature.number, feature.from, feature.to));
    found.dedup_by_key(|feature| feature.number);
}

/// Probability of each column for the features of one run of words, each number once.
pub(super) fn weigh(weights: &LiftWeights, features: &[Numbered]) -> Vec<f64> {
    work::steps(1 + features.len());
    let scale = (features.len().max(1) as f64).sqrt();
    let mut sums = vec![0.0; weights.start.len()];
    for feature in features {
        let number = u32::try_from(feature.number);
        for (column, weight) in number.map_or(&[][..], |number| weights.of(number)) {
            if let Some(sum) = sums.get_mut(*column as usize) {
                *sum += weight / scale;
            }
        }
    }
    for (sum, start) in sums.iter_mut().zip(&weights.start) {
        *sum += start;
    }
    let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut total = 0.0;
    for sum in &mut sums {
        *sum = (*sum - most).exp();
        total += *sum;
    }
    for sum in &mut sums {
        *sum /= total;
    }
    sums
}

/// The runs of a text, weighed.
pub(super) struct Weighed<'a> {
    weights: &'a LiftWeights,
    sure_from: f64,
    features: Vec<Numbered>,
    runs: Vec<(usize, usize, Vec<f64>)>,
}

impl<'a> Weighed<'a> {
    /// Weighs every run; nothing where the catalog has no weights for the lift.
    pub(super) fn new(
        said: &Said,
        catalog: &'a Catalog,
        terms: &[Termed],
        lift: Lift,
    ) -> Option<Self> {
        let weights = catalog.sign_weights.lifts.get(&lift)?;
        let features = numbered(terms, weights);
        let mut here = Vec::new();
        let runs = runs(said)
            .into_iter()
            .map(|(from, to)| {
                inside(&features, from, to, &mut here);
                (from, to, weigh(weights, &here))
            })
            .collect();
        Some(Self {
            weights,
            sure_from: catalog.sign_weights.sure_from,
            features,
            runs,
        })
    }

    /// The highest probability of a sign (`-` before one told as away) among the runs that hold
    /// all these words.
    pub(super) fn chance(&self, sign: &str, first: usize, last: usize) -> f64 {
        let Some(column) = self.weights.signs.iter().position(|id| id == sign) else {
            return 0.0;
        };
        let around = self
            .runs
            .iter()
            .filter(|(from, to, _)| *from <= first && last < *to);
        let chances = around.filter_map(|(_, _, chances)| chances.get(column).copied());
        chances.fold(0.0, f64::max)
    }

    /// True when the weights know this sign.
    pub(super) fn knows(&self, sign: &str) -> bool {
        self.weights.signs.iter().any(|id| id == sign)
    }

    /// Every sign told in words that weigh enough, the surest first.
    pub(super) fn told(&self) -> Vec<Told> {
        let mut found: Vec<Told> = Vec::new();
        for (from, to, chances) in &self.runs {
            for (column, (chance, sign)) in chances.iter().zip(&self.weights.signs).enumerate() {
                if *chance >= self.sure_from {
                    found.push(Told {
                        sign: sign.clone(),
                        probability: *chance,
                        words: self.speaking(*from, *to, column),
                    });
                }
            }
        }
        found.sort_by(|a, b| {
            b.probability
                .total_cmp(&a.probability)
                .then(a.words.len().cmp(&b.words.len()))
                .then(a.words.cmp(&b.words))
                .then(a.sign.cmp(&b.sign))
        });
        let mut kept: Vec<Told> = Vec::new();
        for one in found {
            let taken = kept.iter().any(|other| {
                other.sign == one.sign || other.words.iter().any(|word| one.words.contains(word))
            });
            if !taken && !one.words.is_empty() {
                kept.push(one);
            }
        }
        kept
    }

    /// The words of a run whose features speak for a column.
    fn speaking(&self, from: usize, to: usize, column: usize) -> Vec<usize> {
        let speaks = |number: u64| {
            let row = u32::try_from(number).map_or(&[][..], |number| self.weights.of(number));
            row.iter()
                .any(|(at, weight)| *at as usize == column && *weight > 0.0)
        };
        let mut here = Vec::new();
        inside(&self.features, from, to, &mut here);
        let mut words: Vec<usize> = here
            .iter()
            .filter(|feature| speaks(feature.number))
            .flat_map(|feature| [feature.from, feature.to - 1])
            .collect();
        words.sort_unstable();
        words.dedup();
        words
    }
}

/// Runs of one to [`CLAUSES`] clauses of one sentence, as words `from..to`.
fn runs(said: &Said) -> Vec<(usize, usize)> {
    let mut starts: Vec<usize> = Vec::new();
    for (at, word) in said.words.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| said.words.get(at));
        if before.is_none_or(|before| before.clause != word.clause) {
            starts.push(at);
        }
    }
    starts.push(said.words.len());
    let mut runs = Vec::new();
    for (number, from) in starts.iter().enumerate() {
        let Some(first) = said.words.get(*from) else {
            continue;
        };
        for to in starts.iter().skip(number + 1).take(CLAUSES) {
            let last = to.checked_sub(1).and_then(|at| said.words.get(at));
            let one = last.is_some_and(|last| last.sentence == first.sentence);
            if !one || to - from > LONGEST {
                break;
            }
            runs.push((*from, *to));
        }
    }
    runs
}
