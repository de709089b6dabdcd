//! Words that tell, each with two weights: how much it speaks for a body in trouble, and, if in
//! trouble, for an emergency.
//!
//! What is said is weighed: the weights of the words, word pairs and groups of a text, and of the
//! wordings of flags found in it, are added up. The weights come from lines with known levels, by logistic regression
//! (Cox 1958) with the step sizes of Duchi 2011; `examples/learn_weights.rs` makes the file.

use super::cut::{self, Cut};
use super::words::{PairTable, WordTable};
use super::{CatalogFile, CatalogProblem, Lexicon};
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
    clears_plain_below: i32,
    plain_statements: Vec<String>,
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
    /// The same for a flag that rests on a figure or a plain statement.
    pub(crate) clears_plain_below: i32,
    /// Flags that rest on a figure or a plain statement.
    pub(crate) plain_statements: Vec<String>,
    /// Numbers of the terms that have a weight, alone or in a pair: stems, and groups as `<chest>`.
    pub(crate) terms: WordTable<u32>,
    /// Which weight a term has, by its number.
    pub(crate) single: Vec<Option<u32>>,
    /// Which weight two terms have: two stems near each other in a sentence, in the order they
    /// stand, or a stem and a group near it.
    pub(crate) pairs: PairTable<u32>,
    /// The number of each group of the lexicon that has one here, by its number there.
    pub(crate) groups: Vec<(usize, u32)>,
    /// The first term of the line read last, while the file is read.
    last: Option<(String, u32)>,
    /// Terms that are groups, with their numbers.
    named: Vec<(String, u32)>,
    /// Which weight a wording found has, by flag and level.
    pub(crate) wordings: BTreeMap<String, u32>,
    /// The weights.
    pub(crate) values: Vec<Pair>,
}

impl Weights {
    /// Reads the file; a fault comes back with its line.
    pub fn parse(file: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let cut: Cut<'_, WeightFile> = Cut::open(&file)?;
        let table = cut.text(&cut.read.table);
        let read = &cut.read;
        let mut weights = Self {
            start: read.start,
            flags_from: read.flags_from,
            emergency_from: read.emergency_from,
            sure_from: read.sure_from,
            sentence_more: read.sentence_more,
            clears_below: read.clears_below,
            clears_emergency_below: read.clears_emergency_below,
            clears_plain_below: read.clears_plain_below,
            plain_statements: read.plain_statements.clone(),
            ..Self::default()
        };
        let mut problems = Vec::new();
        let first = first_line(file.text);
        let lines = table.len() / LINE;
        weights.pairs.reserve(lines);
        weights.values.reserve(lines);
        for (at, line) in table.lines().enumerate() {
            if !weights.take(line) {
                problems.push(CatalogProblem {
                    file: file.name.to_owned(),
                    line: first + at,
                    what: format!("no weight: {line:?}"),
                    accepted: "one word or <group>, two of them, or a [flag level], then | and \
                               two whole figures"
                        .to_owned(),
                });
            }
        }
        weights.last = None;
        if problems.is_empty() {
            Ok(weights)
        } else {
            Err(problems)
        }
    }

    /// Takes one line of the table; false when it is none.
    fn take(&mut self, line: &str) -> bool {
        let Some((name, figures)) = parted(line) else {
            return false;
        };
        let Some((one, two)) = cut::parted(figures, b' ') else {
            return false;
        };
        let (Ok(one), Ok(two)) = (one.parse(), two.parse()) else {
            return false;
        };
        let value = [one, two];
        let wording = name
            .strip_prefix('[')
            .and_then(|rest| rest.strip_suffix(']'));
        if let Some(wording) = wording {
            let weight = self.value(value);
            self.wordings.insert(wording.to_owned(), weight);
            return true;
        }
        match cut::parted(name, b' ') {
            None if !name.is_empty() => {
                let (term, weight) = (self.term(name), self.value(value));
                if let Some(place) = self.single.get_mut(term as usize) {
                    *place = Some(weight);
                }
            }
            Some((one, two)) if !one.is_empty() && !two.is_empty() && !two.contains(' ') => {
                let pair = (self.first(one), self.term(two));
                let weight = self.value(value);
                self.pairs.insert(pair, weight);
            }
            _ => return false,
        }
        true
    }

    /// A group's name as one word, as the table writes it.
    pub(crate) fn group_name(name: &str) -> String {
        name.replace(' ', "-")
    }

    /// Finds the groups of the lexicon; those it does not know come back.
    pub(crate) fn find_groups(&mut self, lexicon: &Lexicon) -> Vec<String> {
        let mut strangers = Vec::new();
        let names = lexicon.names.iter();
        let known: BTreeMap<String, usize> = names
            .map(|(name, number)| (Self::group_name(name), *number))
            .collect();
        self.groups.clear();
        for (name, number) in &self.named {
            match known.get(name) {
                Some(group) => self.groups.push((*group, *number)),
                None => strangers.push(format!("<{name}>")),
            }
        }
        self.groups.sort_unstable();
        strangers
    }

    /// The number of a first term; in a sorted table it often is that of the line before.
    fn first(&mut self, term: &str) -> u32 {
        match &self.last {
            Some((last, number)) if last == term => *number,
            _ => {
                let number = self.term(term);
                self.last = Some((term.to_owned(), number));
                number
            }
        }
    }

    fn term(&mut self, term: &str) -> u32 {
        if let Some(number) = self.terms.get(term) {
            return *number;
        }
        let next = u32::try_from(self.terms.len()).unwrap_or(u32::MAX);
        self.terms.insert(term.to_owned(), next);
        self.single.push(None);
        if let Some(name) = term.strip_prefix('<').and_then(|t| t.strip_suffix('>')) {
            self.named.push((name.to_owned(), next));
        }
        next
    }

    fn value(&mut self, value: Pair) -> u32 {
        let number = u32::try_from(self.values.len()).unwrap_or(u32::MAX);
        self.values.push(value);
        number
    }
}

/// Bytes of a line of the table, about; only for making room beforehand.
const LINE: usize = 20;

/// A line's name and figures.
fn parted(line: &str) -> Option<(&str, &str)> {
    let (name, figures) = cut::parted(line, b'|')?;
    match (name.strip_suffix(' '), figures.strip_prefix(' ')) {
        (Some(name), Some(figures)) => Some((name, figures)),
        _ => line.split_once(" | "),
    }
}

/// The line of the file the table's first line is.
fn first_line(text: &str) -> usize {
    let before = text.lines().position(|line| line.starts_with("table = "));
    before.map_or(1, |at| at + 2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::tests::words_catalog;

    #[test]
    fn a_group_that_is_no_more_is_named() {
        let text = "start = [0, 0]\nflags_from = 0\nemergency_from = 0\nsure_from = 0\n\
                    sentence_more = 0\nclears_below = 0\nclears_emergency_below = 0\n\
                    clears_plain_below = 0\nplain_statements = []\n\
                    table = '''\n<chest> | 10 20\ntight <elsewhere> | 5 0\n'''\n";
        let name = "weights.toml";
        let mut weights = Weights::parse(CatalogFile { name, text }).unwrap();
        let strangers = weights.find_groups(&words_catalog().lexicon);
        assert_eq!(strangers, ["<elsewhere>"]);
        assert_eq!(weights.groups.len(), 1);
    }
}
