//! Words of a whole post that tell of no fault, and by which rule of context: for posts that no
//! wording of a rule covers.
//!
//! The same kind of weights as for signs, and the same words: `examples/learn_posts.rs` makes the
//! file from posts that were judged. The lifts share them, for what makes a post one without a
//! fault ("same every rep for years, nothing hurts, must I change it?") is said alike.

use super::cut::Cut;
use super::sign_weights::{LiftWeights, Row, problem};
use super::words::WordTable;
use super::{CatalogFile, CatalogProblem, ContextRule};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The file as written: rules by their ids, and what tells of none of them.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    least_words: usize,
    rules: BTreeMap<String, Row>,
    none: Row,
}

/// The weights; the columns bear the ids of rules of context.
#[derive(Clone, Debug, Default)]
pub struct PostWeights {
    /// A post of fewer words tells too little.
    pub(crate) least_words: usize,
    pub(crate) weights: LiftWeights,
}

impl PostWeights {
    /// Reads the file; words that the signs do not weigh are added to `terms`.
    ///
    /// # Errors
    /// What is not TOML of this shape, or an entry without its weight, with its line.
    pub(super) fn parse(
        file: CatalogFile<'_>,
        terms: &mut WordTable<u32>,
    ) -> Result<Self, Vec<CatalogProblem>> {
        let cut: Cut<'_, File> = Cut::open(&file)?;
        let read = &cut.read;
        let mut problems = Vec::new();
        let mut fault = |words: &str, what| problems.push(problem(&file, words, what));
        let mut weights = LiftWeights::default();
        for (id, row) in &read.rules {
            weights.signs.push(id.clone());
            weights.add(row, cut.text(&row.words), terms, &mut fault);
        }
        let none = &read.none;
        weights.add(none, cut.text(&none.words), terms, &mut fault);
        weights.settle();
        let least_words = read.least_words;
        if problems.is_empty() {
            Ok(Self {
                least_words,
                weights,
            })
        } else {
            Err(problems)
        }
    }

    /// Rules named here that the catalog does not have.
    pub(super) fn strangers(
        &self,
        context: &[ContextRule],
        file: &CatalogFile<'_>,
    ) -> Vec<CatalogProblem> {
        let known = |id: &String| context.iter().any(|rule| rule.id == *id);
        let strange = self.weights.signs.iter().filter(|id| !known(id));
        strange
            .map(|id| problem(file, id, format!("no rule `{id}` in context.toml")))
            .collect()
    }
}
