//! Words that tell, each with two weights: how much it speaks for a body in trouble, and, if in
//! trouble, for an emergency.
//!
//! What no wording of a flag covers is weighed: the weights of the words, word pairs and groups of
//! a text are added up. The weights come from lines with known levels, by logistic regression
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
    clears_below: i32,
    clears_emergency_below: i32,
    never_cleared: Vec<String>,
    words: BTreeMap<String, Pair>,
    groups: BTreeMap<String, Pair>,
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
            clears_below: read.clears_below,
            clears_emergency_below: read.clears_emergency_below,
            never_cleared: read.never_cleared,
            ..Self::default()
        };
        let mut problems = Vec::new();
        for (words, value) in read.words {
            let stems: Vec<&str> = words.split(' ').collect();
            match stems[..] {
                [one] if !one.is_empty() => {
                    let (stem, weight) = (weights.stem(one), weights.value(value));
                    weights.single.insert(stem, weight);
                }
                [one, two] if !one.is_empty() && !two.is_empty() => {
                    let pair = (weights.stem(one), weights.stem(two));
                    let weight = weights.value(value);
                    weights.pairs.insert(pair, weight);
                }
                _ => problems.push(CatalogProblem {
                    file: file.name.to_owned(),
                    line: 1,
                    what: format!("no word or two words: {words:?}"),
                    accepted: "one word, or two with a space between".to_owned(),
                }),
            }
        }
        for (group, value) in read.groups {
            let weight = weights.value(value);
            weights.groups.insert(group, weight);
        }
        if problems.is_empty() {
            Ok(weights)
        } else {
            Err(problems)
        }
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
