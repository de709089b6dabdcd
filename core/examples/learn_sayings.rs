//! Makes the catalog's `sign-weights.toml` from sayings whose sign is known.
//!
//! `cargo run -p cueline-core --example learn_sayings -- config/catalog FOLDER [LINES.tsv...]`
//! The folder holds `squat.txt`, `bench.txt` and `deadlift.txt`: lines under `@sign`, `@-sign` (told
//! to be away) or `@none`, and `talk.txt`, lines that tell no sign of any lift.
//! A table of two columns holds a sign, or the name of a lift for a line that tells none, and the
//! text; one of three columns a lift, a sign that the text tells to be away, and the text.
//! With `--check` it prints instead how sayings left out of the learning are read, in five parts.
//! Same input, same output.

#![expect(
    clippy::disallowed_methods,
    reason = "a tool reads files; the library reads none"
)]

mod tool;

use cueline_core::catalog::Catalog;
use cueline_core::reading::{hundredths, saying_features};
use cueline_core::report::Lift;
use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write as _;

/// Rounds over all lines.
const ROUNDS: usize = 25;
/// Step size (after Duchi 2011).
const STEP: f64 = 0.5;
/// Step size of the start.
const START_STEP: f64 = 0.02;
/// Pull of every weight towards nought.
const PULL: f64 = 1e-4;
/// Lines a feature must stand in to be weighed.
const SEEN: usize = 2;
/// Weights nearer to nought than this are left out.
const SMALL: f64 = 1.0;
/// Parts of the check.
const PARTS: usize = 5;

/// One saying: its features and its sign's column.
struct Line {
    features: Vec<String>,
    column: usize,
}

/// A start for every column, and a weight for every feature and column.
struct Learned {
    start: Vec<f64>,
    names: Vec<String>,
    weights: Vec<Vec<f64>>,
}

impl Learned {
    /// Multinomial logistic regression by stochastic steps, in an order that is always the same.
    fn of(lines: &[&Line], columns: usize) -> Self {
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
        for round in 0..ROUNDS {
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
                        let slope = error / scale + PULL * weights[*feature][column];
                        let square = &mut squares[*feature][column];
                        *square += slope * slope;
                        weights[*feature][column] -= STEP * slope / square.sqrt();
                    }
                }
            }
            // The mean over the later rounds hangs less on the order of the lines.
            if round >= ROUNDS / 2 {
                let share = 1.0 / (ROUNDS - ROUNDS / 2) as f64;
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
        learned.thin();
        learned
    }

    /// Only what sets a column apart is kept: the same added to every column changes no chance,
    /// so each feature's middle weight is taken off, and what is left near nought is let go.
    fn thin(&mut self) {
        for row in &mut self.weights {
            let mut sorted = row.clone();
            sorted.sort_by(f64::total_cmp);
            let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
            for weight in row {
                *weight -= middle;
                if weight.abs() < SMALL {
                    *weight = 0.0;
                }
            }
        }
    }

    /// Probability of every column for these features.
    fn chances(&self, features: &[String]) -> Vec<f64> {
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

/// The sayings of one lift and the catalog's own phrases; the last column is no sign.
fn lines(
    catalog: &Catalog,
    lift: Lift,
    text: &str,
    tables: &[(String, String)],
) -> Result<(Vec<String>, Vec<Line>), Box<dyn Error>> {
    let book = catalog.lifts.get(&lift).ok_or("no book of this lift")?;
    let of_sign = |id: &&str| *id != "none";
    let titles = text.lines().filter_map(|line| line.strip_prefix('@'));
    let mut signs: Vec<String> = titles.filter(of_sign).map(str::to_owned).collect();
    signs.sort();
    signs.dedup();
    let none = signs.len();
    let mut all = Vec::new();
    let mut column = none;
    for line in text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
    {
        if let Some(id) = line.strip_prefix('@') {
            column = signs.iter().position(|sign| sign == id).unwrap_or(none);
            continue;
        }
        all.push(Line {
            features: saying_features(line, catalog),
            column,
        });
    }
    for sign in &book.signs {
        let Some(column) = signs.iter().position(|id| *id == sign.id) else {
            continue;
        };
        all.extend(sign.phrases.iter().map(|phrase| Line {
            features: saying_features(phrase, catalog),
            column,
        }));
    }
    for (of, line) in tables {
        let column = signs.iter().position(|sign| sign == of);
        if let Some(column) = column.or_else(|| (of == lift.word()).then_some(none)) {
            all.push(Line {
                features: saying_features(line, catalog),
                column,
            });
        }
    }
    Ok((signs, all))
}

fn main() -> Result<(), Box<dyn Error>> {
    let (check, arguments): (Vec<String>, Vec<String>) =
        std::env::args().skip(1).partition(|a| a == "--check");
    let mut arguments = arguments.into_iter();
    let folder = arguments
        .next()
        .ok_or("the folder of the catalog is missing")?;
    let sayings = arguments.next().ok_or("the folder of sayings is missing")?;
    let catalog = tool::catalog(&folder, "sign-weights.toml")?;
    let mut tables = Vec::new();
    for path in arguments {
        for row in std::fs::read_to_string(&path)?.lines() {
            let columns: Vec<&str> = row.split('\t').collect();
            match columns[..] {
                [of, text] => tables.push((of.to_owned(), text.to_owned())),
                [_, sign, text] => tables.push((format!("-{sign}"), text.to_owned())),
                _ => {}
            }
        }
    }
    let mut out = HEAD.to_owned();
    let mut none_rows = String::new();
    for lift in Lift::ALL {
        let text = std::fs::read_to_string(format!("{sayings}/{}.txt", lift.word()))?;
        let talk = std::fs::read_to_string(format!("{sayings}/talk.txt"))?;
        let text = format!("{text}\n{talk}");
        let (signs, lines) = lines(&catalog, lift, &text, &tables)?;
        let columns = signs.len() + 1;
        if !check.is_empty() {
            examine(lift, &signs, &lines);
            continue;
        }
        let learned = Learned::of(&lines.iter().collect::<Vec<_>>(), columns);
        for (column, sign) in signs.iter().enumerate() {
            write!(out, "\n[signs.{sign}]\n{}", row(&learned, column))?;
        }
        let last = row(&learned, signs.len());
        write!(none_rows, "\n[none.{}]\n{last}", lift.word())?;
    }
    if check.is_empty() {
        print!("{out}{none_rows}");
    }
    Ok(())
}

/// One column of the file.
fn row(learned: &Learned, column: usize) -> String {
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

/// How each part is read by what was learned from the others.
fn examine(lift: Lift, signs: &[String], lines: &[Line]) {
    let none = signs.len();
    for bar in [0.3, 0.4, 0.5, 0.6, 0.7, 0.8] {
        let (mut right, mut wrong, mut told, mut all, mut nones, mut amiss) = (0, 0, 0, 0, 0, 0);
        for part in 0..PARTS {
            let rest: Vec<&Line> = lines
                .iter()
                .enumerate()
                .filter(|(at, _)| at % PARTS != part)
                .map(|(_, line)| line)
                .collect();
            let learned = Learned::of(&rest, none + 1);
            for line in lines.iter().skip(part).step_by(PARTS) {
                let chances = learned.chances(&line.features);
                let best = (0..none).max_by(|a, b| chances[*a].total_cmp(&chances[*b]));
                let best = best.filter(|best| chances[*best] >= bar);
                if line.column == none {
                    nones += 1;
                    amiss += usize::from(best.is_some());
                } else {
                    all += 1;
                    told += usize::from(best.is_some());
                    right += usize::from(best == Some(line.column));
                    wrong += usize::from(best.is_some_and(|best| best != line.column));
                }
            }
        }
        println!(
            "{}: from {bar}: {right} of {all} right, {wrong} of {told} wrong, {amiss} of {nones} that tell none",
            lift.word()
        );
    }
}

const HEAD: &str =
    "# How much words tell of a sign, for wordings that no phrase and no concepts cover.
#
# Made from sayings whose sign is known: cargo run -p cueline-core --example learn_sayings.
# For each sign, words (their stems; `!` before what is denied), two words in a row, <groups> of
# sign-words.toml and pairs of them, each with what it adds for this sign, in hundredths of a logit,
# below nought for the contrary. The sums are divided by the root of how many features there are;
# the sign that stands out far enough is taken as told. [none] is talk that tells no sign. A figure
# may be changed by hand; making the file anew loses that.

# Probability from which a sign is taken as told.
sure_from = 0.4
";
