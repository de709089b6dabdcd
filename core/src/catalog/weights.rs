//! Words that tell, each with two weights: how much it speaks for a body in trouble, and, if in
//! trouble, for an emergency.
//!
//! What is said is weighed: the weights of the words, word pairs and groups of a text, and of the
//! wordings of flags found in it, are added up. The weights come from lines with known levels, by logistic regression
//! (Cox 1958) with the step sizes of Duchi 2011; `examples/learn_weights.rs` makes the file.

use super::words::WordTable;
use super::{CatalogFile, CatalogProblem};
use serde::Deserialize;
use std::collections::BTreeMap;

/// Two weights: for trouble, and for an emergency if in trouble. Hundredths of a logit.
pub(crate) type Pair = [i32; 2];

/// The file as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WeightFile {
    start: Pair,
    flags_from: i32,
    emergency_from: i32,
    sure_from: i32,
    sentence_more: i32,
    clears_below: i32,
    clears_emergency_below: i32,
    never_cleared: Vec<String>,
    /// One line a name: `pain after | 120 -15`.
    table: String,
}

/// The weights, ready for looking up.
#[derive(Clone, Debug, Default)]
pub struct Weights {
    /// Where the sums begin.
    pub(crate) start: Pair,
    /// A text without a flag is one for a clinician from this sum on.
    pub(crate) flags_from: i32,
    /// A text in trouble is an emergency from this second sum on.
    pub(crate) emergency_from: i32,
    /// Trouble sure enough for the second sum to count.
    pub(crate) sure_from: i32,
    /// How much more than a whole text one sentence of several has to weigh.
    pub(crate) sentence_more: i32,
    /// Below this sum a wording of `clinician` or `coach` was taken amiss.
    pub(crate) clears_below: i32,
    /// The same for a wording of `emergency`.
    pub(crate) clears_emergency_below: i32,
    /// Flags that are never taken amiss.
    pub(crate) never_cleared: Vec<String>,
    /// Numbers of the stems that have a weight, alone or in a pair.
    pub(crate) stems: WordTable<u32>,
    /// Which weight a stem has.
    pub(crate) single: BTreeMap<u32, u32>,
    /// Which weight two stems have, one right after the other.
    pub(crate) pairs: BTreeMap<(u32, u32), u32>,
    /// Which weight a group of the lexicon has.
    pub(crate) groups: BTreeMap<String, u32>,
    /// Which weight a wording found has, by flag and level.
    pub(crate) wordings: BTreeMap<String, u32>,
    /// The weights.
    pub(crate) values: Vec<Pair>,
}

impl Weights {
    /// Reads the file; a fault comes back with its line.
    pub fn parse(file: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let read: WeightFile = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut weights = Self {
            start: read.start,
            flags_from: read.flags_from,
            emergency_from: read.emergency_from,
            sure_from: read.sure_from,
            sentence_more: read.sentence_more,
            clears_below: read.clears_below,
            clears_emergency_below: read.clears_emergency_below,
            never_cleared: read.never_cleared,
            ..Self::default()
        };
        let mut problems = Vec::new();
        let first = first_line(file.text);
        for (at, line) in read.table.lines().enumerate() {
            if !weights.take(line) {
                problems.push(CatalogProblem {
                    file: file.name.to_owned(),
                    line: first + at,
                    what: format!("no weight: {line:?}"),
                    accepted: "one word, two words, a <group> or a [flag level], then | and two \
                               whole figures"
                        .to_owned(),
                });
            }
        }
        if problems.is_empty() {
            Ok(weights)
        } else {
            Err(problems)
        }
    }

    /// Takes one line of the table; false when it is none.
    fn take(&mut self, line: &str) -> bool {
        let Some((name, figures)) = line.split_once(" | ") else {
            return false;
        };
        let Some((one, two)) = figures.split_once(' ') else {
            return false;
        };
        let (Ok(one), Ok(two)) = (one.parse(), two.parse()) else {
            return false;
        };
        let value = [one, two];
        let inner = |open, close| {
            name.strip_prefix(open)
                .and_then(|rest: &str| rest.strip_suffix(close))
        };
        if let Some(group) = inner('<', '>') {
            let weight = self.value(value);
            self.groups.insert(group.to_owned(), weight);
        } else if let Some(wording) = inner('[', ']') {
            let weight = self.value(value);
            self.wordings.insert(wording.to_owned(), weight);
        } else {
            match name.split_once(' ') {
                None if !name.is_empty() => {
                    let (stem, weight) = (self.stem(name), self.value(value));
                    self.single.insert(stem, weight);
                }
                Some((one, two)) if !one.is_empty() && !two.is_empty() && !two.contains(' ') => {
                    let pair = (self.stem(one), self.stem(two));
                    let weight = self.value(value);
                    self.pairs.insert(pair, weight);
                }
                _ => return false,
            }
        }
        true
    }

    fn stem(&mut self, stem: &str) -> u32 {
        let next = u32::try_from(self.stems.len()).unwrap_or(u32::MAX);
        *self.stems.entry(stem.to_owned()).or_insert(next)
    }

    fn value(&mut self, value: Pair) -> u32 {
        let number = u32::try_from(self.values.len()).unwrap_or(u32::MAX);
        self.values.push(value);
        number
    }
}

/// The line of the file the table's first line is.
fn first_line(text: &str) -> usize {
    let before = text.lines().position(|line| line.starts_with("table = "));
    before.map_or(1, |at| at + 2)
}
