//! Words that tell of a sign, each with how much it speaks for it: for wordings that neither a
//! phrase nor a group of concepts covers.
//!
//! The weights come from sayings with known signs, by multinomial logistic regression (Böhning
//! 1992; from memory) with the step sizes of Duchi 2011; `examples/learn_sayings.rs` makes the
//! file.

use super::words::WordTable;
use super::{CatalogFile, CatalogProblem, LiftBook};
use crate::report::Lift;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The file as written: signs by their ids, and under the name of a lift what tells no sign at all.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    sure_from: f64,
    signs: BTreeMap<String, Row>,
    none: BTreeMap<String, Row>,
}

/// One sign as written: where its sum begins, and `words weight` parted by commas.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    start: i32,
    words: String,
}

/// The weights of every lift.
#[derive(Clone, Debug, Default)]
pub struct SignWeights {
    /// A sign is taken as told from this probability on.
    pub(crate) sure_from: f64,
    /// One set of weights a lift.
    pub(crate) lifts: BTreeMap<Lift, LiftWeights>,
}

/// What the words of one lift's lifters weigh.
#[derive(Clone, Debug, Default)]
pub struct LiftWeights {
    /// Ids of the signs, with `-` before what is told as not there; one more column, the last, stands for no sign at all.
    pub(crate) signs: Vec<String>,
    /// Where the sum of each column begins.
    pub(crate) start: Vec<f64>,
    /// Number of each feature (a word, two words, a group, two groups).
    pub(crate) features: WordTable<u32>,
    /// For each feature, column and weight.
    pub(crate) weights: Vec<Vec<(u32, f64)>>,
}

impl SignWeights {
    /// Reads the file; a fault comes back with its line.
    ///
    /// # Errors
    /// What is not TOML of this shape, or an entry without its weight.
    pub fn parse(file: CatalogFile<'_>) -> Result<Self, Vec<CatalogProblem>> {
        let read: File = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut book = Self {
            sure_from: read.sure_from,
            ..Self::default()
        };
        let mut problems = Vec::new();
        for lift in Lift::ALL {
            let prefix = prefix(lift);
            let mut weights = LiftWeights::default();
            let of_lift = read
                .signs
                .iter()
                .filter(|(id, _)| bare(id).starts_with(prefix));
            for (id, row) in of_lift {
                weights.signs.push(id.clone());
                weights.add(row, &file, &mut problems);
            }
            if weights.signs.is_empty() {
                continue;
            }
            match read.none.get(lift.word()) {
                Some(row) => weights.add(row, &file, &mut problems),
                None => problems.push(problem(&file, lift.word(), "no [none] of this lift")),
            }
            book.lifts.insert(lift, weights);
        }
        if problems.is_empty() {
            Ok(book)
        } else {
            Err(problems)
        }
    }

    /// Signs named here that no lift has.
    pub(super) fn strangers(
        &self,
        lifts: &BTreeMap<Lift, LiftBook>,
        file: &CatalogFile<'_>,
    ) -> Vec<CatalogProblem> {
        let known = |id: &str| lifts.values().any(|book| book.sign(id).is_some());
        let signs = self.lifts.values().flat_map(|weights| &weights.signs);
        signs
            .filter(|id| !known(bare(id)))
            .map(|id| problem(file, id, &format!("no sign `{id}`")))
            .collect()
    }
}

impl LiftWeights {
    fn add(&mut self, row: &Row, file: &CatalogFile<'_>, problems: &mut Vec<CatalogProblem>) {
        let column = u32::try_from(self.start.len()).unwrap_or(u32::MAX);
        self.start.push(f64::from(row.start) / 100.0);
        for entry in row
            .words
            .split(',')
            .map(str::trim)
            .filter(|e| !e.is_empty())
        {
            let read = entry
                .rsplit_once(' ')
                .and_then(|(name, weight)| Some((name.trim(), weight.parse::<i32>().ok()?)));
            let Some((name, weight)) = read else {
                problems.push(problem(file, entry, &format!("no weight in `{entry}`")));
                continue;
            };
            let next = self.weights.len();
            let number = *self
                .features
                .entry(name.to_owned())
                .or_insert_with(|| u32::try_from(next).unwrap_or(u32::MAX));
            if number as usize == next {
                self.weights.push(Vec::new());
            }
            if let Some(list) = self.weights.get_mut(number as usize) {
                list.push((column, f64::from(weight) / 100.0));
            }
        }
    }
}

/// The id of the sign, whether it is told as there or (`-`) as not there.
fn bare(id: &str) -> &str {
    id.strip_prefix('-').unwrap_or(id)
}

/// What the ids of a lift's signs begin with.
const fn prefix(lift: Lift) -> &'static str {
    match lift {
        Lift::Squat => "sq-",
        Lift::Bench => "bp-",
        Lift::Deadlift => "dl-",
    }
}

/// A fault at the line where these words first stand.
fn problem(file: &CatalogFile<'_>, words: &str, what: &str) -> CatalogProblem {
    let before = file.text.split_once(words).map_or("", |(before, _)| before);
    CatalogProblem {
        file: file.name.to_owned(),
        line: before.matches('\n').count() + 1,
        what: what.to_owned(),
        accepted: "the shapes shown at the head of the file".to_owned(),
    }
}
