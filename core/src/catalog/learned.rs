//! What the coach's verdicts have made of the catalog's words for "how often".

use super::{Cause, Prior, Strength};
use std::collections::BTreeMap;

/// Figures of one lift that stand in the place of the catalog's words. Where none is kept, the
/// word holds as it is, bit for bit. Made by [`crate::outcome::learned`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Learned {
    /// How common a cause is, by its id; between 0 and 1.
    pub priors: BTreeMap<String, f64>,
    /// How often a cause shows a sign, by cause and sign; between 0 and 1.
    pub strengths: BTreeMap<String, BTreeMap<String, f64>>,
    /// Verdicts it was made from.
    pub verdicts: u32,
}

impl Learned {
    /// How common a cause is, where the facts of the report have moved its word to `here`. What
    /// was learned of the word itself is moved by as much, in odds.
    pub(crate) fn prior(&self, cause: &Cause, here: Prior) -> f64 {
        let odds = |p: f64| p / (1.0 - p);
        match self.priors.get(&cause.id) {
            None => here.probability(),
            Some(learned) if here == cause.prior => *learned,
            Some(learned) => {
                let moved = odds(here.probability()) / odds(cause.prior.probability());
                let odds = odds(*learned) * moved;
                odds / (1.0 + odds)
            }
        }
    }

    /// How often a cause shows a sign for which the catalog has this word.
    pub(crate) fn strength(&self, cause: &str, sign: &str, word: Strength) -> f64 {
        self.strengths
            .get(cause)
            .and_then(|signs| signs.get(sign))
            .copied()
            .unwrap_or_else(|| word.probability())
    }
}
