//! Which of several things a text tells, by multinomial logistic regression over its features: what
//! the tools for sayings and for whole posts learn their tables with.

use cueline_core::reading::hundredths;
use std::collections::BTreeMap;

use crate::tool;

/// How a table is learned.
#[derive(Clone, Copy)]
pub(crate) struct How {
    /// Rounds over all lines.
    pub(crate) rounds: usize,
    /// Pull of every weight towards nought.
    pub(crate) pull: f64,
    /// Weights nearer to nought than this are left out.
    pub(crate) small: f64,
}

/// Step size (after Duchi 2011).
const STEP: f64 = 0.5;
/// Step size of the start.
const START_STEP: f64 = 0.02;
/// Lines a feature must stand in to be weighed.
const SEEN: usize = 2;

/// One text: its features and the column of what it tells.
pub(crate) struct Line {
    pub(crate) features: Vec<String>,
    pub(crate) column: usize,
}

/// A start for every column, and a weight for every feature and column.
pub(crate) struct Learned {
    start: Vec<f64>,
    names: Vec<String>,
    weights: Vec<Vec<f64>>,
}

impl Learned {
    /// Multinomial logistic regression by stochastic steps, in an order that is always the same.
    pub(crate) fn of(lines: &[&Line], columns: usize, how: How) -> Self {
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for name in lines.iter().flat_map(|line| &line.features) {
            *seen.entry(name).or_default() += 1;
        }
        let kept = seen.iter().filter(|(_, count)| **count >= SEEN);
        let names: Vec<String> = kept.map(|(name, _)| (*name).to_owned()).collect();
        let number = |name: &String| names.binary_search(name).ok();
        let numbered: Vec<(Vec<usize>, f64, usize)> = lines
            .iter()
            .map(|line| {
                let found: Vec<usize> = line.features.iter().filter_map(number).collect();
                (
                    found,
                    (line.features.len().max(1) as f64).sqrt(),
                    line.column,
                )
            })
            .collect();
        let mut start = vec![0.0; columns];
        let mut weights = vec![vec![0.0; columns]; names.len()];
        let mut mean = weights.clone();
        let mut squares = vec![vec![1e-6; columns]; names.len()];
        let mut order = tool::Order::of(numbered.len());
        for round in 0..how.rounds {
            for (found, scale, truth) in
                order.next_round().iter().filter_map(|at| numbered.get(*at))
            {
                let chances = chances(&start, found.iter().map(|f| &weights[*f]), *scale);
                for (column, chance) in chances.iter().enumerate() {
                    let error = chance - f64::from(u8::from(column == *truth));
                    start[column] -= START_STEP * error;
                    if error.abs() < 1e-3 {
                        continue;
                    }
                    for feature in found {
                        let slope = error / scale + how.pull * weights[*feature][column];
                        let square = &mut squares[*feature][column];
                        *square += slope * slope;
                        weights[*feature][column] -= STEP * slope / square.sqrt();
                    }
                }
            }
            // The mean over the later rounds hangs less on the order of the lines.
            if round >= how.rounds / 2 {
                let share = 1.0 / (how.rounds - how.rounds / 2) as f64;
                for (mean, row) in mean.iter_mut().zip(&weights) {
                    for (mean, weight) in mean.iter_mut().zip(row) {
                        *mean += share * weight;
                    }
                }
            }
        }
        let mut learned = Self {
            start,
            names,
            weights: mean,
        };
        learned.thin(how.small);
        learned
    }

    /// Only what sets a column apart is kept: the same added to every column changes no chance,
    /// so each feature's middle weight is taken off, and what is left near nought is let go.
    fn thin(&mut self, small: f64) {
        for row in &mut self.weights {
            let mut sorted = row.clone();
            sorted.sort_by(f64::total_cmp);
            let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
            for weight in row {
                *weight -= middle;
                if weight.abs() < small {
                    *weight = 0.0;
                }
            }
        }
    }

    /// Probability of every column for these features.
    pub(crate) fn chances(&self, features: &[String]) -> Vec<f64> {
        let found = features.iter().filter_map(|name| {
            let at = self.names.binary_search(name).ok()?;
            self.weights.get(at)
        });
        chances(&self.start, found, (features.len().max(1) as f64).sqrt())
    }
}

/// The sums of some rows, as probabilities.
fn chances<'a>(start: &[f64], rows: impl Iterator<Item = &'a Vec<f64>>, scale: f64) -> Vec<f64> {
    let mut sums = vec![0.0; start.len()];
    for row in rows {
        for (sum, weight) in sums.iter_mut().zip(row) {
            *sum += weight / scale;
        }
    }
    let mut most = f64::NEG_INFINITY;
    for (sum, begin) in sums.iter_mut().zip(start) {
        *sum += begin;
        most = most.max(*sum);
    }
    let total: f64 = sums.iter().map(|sum| (sum - most).exp()).sum();
    sums.iter().map(|sum| (sum - most).exp() / total).collect()
}

/// One column of the file.
pub(crate) fn row(learned: &Learned, column: usize) -> String {
    let entries: Vec<String> = learned
        .names
        .iter()
        .zip(&learned.weights)
        .map(|(name, row)| (name, hundredths(row[column])))
        .filter(|(_, weight)| *weight != 0)
        .map(|(name, weight)| format!("{name} {weight}"))
        .collect();
    let mut text = format!(
        "start = {}\nwords = \"\"\"",
        hundredths(learned.start[column])
    );
    for chunk in entries.chunks(8) {
        text.push('\n');
        text.push_str(&chunk.join(", "));
        text.push(',');
    }
    text.push_str("\n\"\"\"\n");
    text
}
