//! Words that tell of a sign, each with how much it speaks for it: for wordings that neither a
//! phrase nor a group of concepts covers.
//!
//! The weights come from sayings with known signs, by multinomial logistic regression (Böhning
//! 1992; from memory) with the step sizes of Duchi 2011; `examples/learn_sayings.rs` makes the
//! file.

use super::cut::{self, Cut};
use super::post_weights::PostWeights;
use super::words::{PairTable, WordTable};
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

/// One column as written: where its sum begins, and `words weight` parted by commas.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) start: i32,
    pub(super) words: String,
}

/// The weights of every lift.
#[derive(Clone, Debug, Default)]
pub struct SignWeights {
    /// A sign is taken as told from this probability on.
    pub(crate) sure_from: f64,
    /// Numbers of what features are made of: stems, and groups as `<back>`, each with `!` before it
    /// when denied.
    pub(crate) terms: WordTable<u32>,
    /// One set of weights a lift.
    pub(crate) lifts: BTreeMap<Lift, LiftWeights>,
    /// What whole posts tell, by the same terms.
    pub(crate) posts: PostWeights,
}

/// What the words of one lift's lifters weigh.
#[derive(Clone, Debug, Default)]
pub struct LiftWeights {
    /// Ids of the signs (of the rules, for whole posts), with `-` before what is told as not there; one more column, the last, stands for no sign at all.
    pub(crate) signs: Vec<String>,
    /// Where the sum of each column begins.
    pub(crate) start: Vec<f64>,
    /// Number of each feature of one term, by its term.
    single: Vec<Option<u32>>,
    /// Number of each feature of two words or two groups.
    pairs: PairTable<u32>,
    /// Where the weights of each feature begin.
    starts: Vec<u32>,
    /// Column and weight, feature after feature, in order of the columns.
    weights: Vec<(u32, f64)>,
    /// Feature, column and weight as read, until all are.
    read: Vec<(u32, u32, i32)>,
    /// How many features there are.
    count: u32,
}

impl SignWeights {
    /// Reads the file; a fault comes back with its line.
    ///
    /// # Errors
    /// What is not TOML of this shape, or an entry without its weight.
    pub fn parse(file: CatalogFile<'_>) -> Result<Self, Vec<CatalogProblem>> {
        let cut: Cut<'_, File> = Cut::open(&file)?;
        let read = &cut.read;
        let mut book = Self {
            sure_from: read.sure_from,
            ..Self::default()
        };
        let mut problems = Vec::new();
        let mut fault = |words: &str, what| problems.push(problem(&file, words, what));
        for lift in Lift::ALL {
            let prefix = prefix(lift);
            let mut weights = LiftWeights::default();
            let of_lift = read
                .signs
                .iter()
                .filter(|(id, _)| bare(id).starts_with(prefix));
            for (id, row) in of_lift {
                weights.signs.push(id.clone());
                weights.add(row, cut.text(&row.words), &mut book.terms, &mut fault);
            }
            if weights.signs.is_empty() {
                continue;
            }
            match read.none.get(lift.word()) {
                Some(row) => {
                    weights.add(row, cut.text(&row.words), &mut book.terms, &mut fault);
                }
                None => fault(lift.word(), "no [none] of this lift".to_owned()),
            }
            weights.settle();
            book.lifts.insert(lift, weights);
        }
        if problems.is_empty() {
            Ok(book)
        } else {
            Err(problems)
        }
    }

    /// Takes what whole posts tell to the same terms.
    ///
    /// # Errors
    /// As [`PostWeights::parse`].
    pub(super) fn add_posts(&mut self, file: CatalogFile<'_>) -> Result<(), Vec<CatalogProblem>> {
        self.posts = PostWeights::parse(file, &mut self.terms)?;
        Ok(())
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
            .map(|id| problem(file, id, format!("no sign `{id}`")))
            .collect()
    }
}

impl LiftWeights {
    /// Takes what is weighed for one sign; what cannot be read is told to `fault`.
    pub(super) fn add(
        &mut self,
        row: &Row,
        words: &str,
        terms: &mut WordTable<u32>,
        fault: &mut impl FnMut(&str, String),
    ) {
        let column = u32::try_from(self.start.len()).unwrap_or(u32::MAX);
        self.start.push(f64::from(row.start) / 100.0);
        for entry in words.split(',').map(str::trim).filter(|e| !e.is_empty()) {
            let read = entry
                .rsplit_once(' ')
                .and_then(|(name, weight)| Some((name.trim(), weight.parse::<i32>().ok()?)));
            let Some((name, weight)) = read else {
                fault(entry, format!("no weight in `{entry}`"));
                continue;
            };
            let number = self.number(name, terms);
            self.read.push((number, column, weight));
        }
    }

    /// The number of a feature, given when it is first met.
    fn number(&mut self, name: &str, terms: &mut WordTable<u32>) -> u32 {
        let next = self.count;
        let mut term = |name: &str| {
            terms.get(name).copied().unwrap_or_else(|| {
                let number = u32::try_from(terms.len()).unwrap_or(u32::MAX);
                terms.insert(name.to_owned(), number);
                number
            })
        };
        let number = if let Some((one, two)) = two(name) {
            *self.pairs.entry((term(one), term(two))).or_insert(next)
        } else {
            let at = term(name) as usize;
            if self.single.len() <= at {
                self.single.resize(at + 1, None);
            }
            let slot = self.single.get_mut(at);
            slot.map_or(next, |slot| *slot.get_or_insert(next))
        };
        self.count = self.count.max(number.saturating_add(1));
        number
    }

    /// Puts what was read in order of the features.
    pub(super) fn settle(&mut self) {
        let read = std::mem::take(&mut self.read);
        let mut ends = vec![0_u32; self.count as usize + 1];
        for (number, ..) in &read {
            if let Some(end) = ends.get_mut(*number as usize + 1) {
                *end += 1;
            }
        }
        let mut sum = 0;
        for end in &mut ends {
            sum += *end;
            *end = sum;
        }
        let mut next = ends.clone();
        self.starts = ends;
        self.weights = vec![(0, 0.0); read.len()];
        for (number, column, weight) in read {
            let Some(at) = next.get_mut(number as usize) else {
                continue;
            };
            if let Some(slot) = self.weights.get_mut(*at as usize) {
                *slot = (column, f64::from(weight) / 100.0);
            }
            *at += 1;
        }
    }

    /// The number of a feature of one term or of two.
    pub(crate) fn feature(&self, one: u32, two: Option<u32>) -> Option<u32> {
        match two {
            Some(two) => self.pairs.get(&(one, two)).copied(),
            None => self.single.get(one as usize).copied().flatten(),
        }
    }

    /// Column and weight of everything a feature speaks for or against.
    pub(crate) fn of(&self, feature: u32) -> &[(u32, f64)] {
        let start = |at: usize| self.starts.get(at).map_or(0, |start| *start as usize);
        let at = feature as usize;
        let here = self.weights.get(start(at)..start(at + 1));
        here.unwrap_or_default()
    }
}

/// The two terms of a feature, if it has two: words with a space between, or groups one right after
/// the other, each with or without `!` before it.
fn two(name: &str) -> Option<(&str, &str)> {
    if !matches!(name.as_bytes(), [b'<', ..] | [b'!', b'<', ..]) {
        return cut::parted(name, b' ');
    }
    let end = name.bytes().position(|byte| byte == b'>')? + 1;
    let both = name.split_at_checked(end);
    both.filter(|(_, second)| !second.is_empty())
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
pub(super) fn problem(file: &CatalogFile<'_>, words: &str, what: String) -> CatalogProblem {
    let before = file.text.split_once(words).map_or("", |(before, _)| before);
    CatalogProblem {
        file: file.name.to_owned(),
        line: before.matches('\n').count() + 1,
        what,
        accepted: "the shapes shown at the head of the file".to_owned(),
    }
}
