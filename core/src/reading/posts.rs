//! What a post tells as a whole: that there is no fault in it, and by which rule of context.
//!
//! A worry about what is no fault ("told my knees must stay back, they pass my toes, all is well")
//! names things that read as signs one by one. The words of the whole post are weighed for it, as
//! those of a clause are for signs; what follows is for the diagnosis to say.

use super::features::{Numbered, Termed, named, numbered, saying_features};
use super::known::Words;
use super::said::Said;
use super::sayings::weigh;
use crate::catalog::{Catalog, PostWeights};
use crate::report::Lift;
use serde::{Deserialize, Serialize};

/// A chance smaller than this is not told.
const TOLD: f64 = 0.05;

/// A post that tells of no fault.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FineByRule {
    /// Id of the rule of context that tells it best.
    pub rule: String,
    /// Chance that the post is one without a fault, by whatever rule, 0 to 1.
    pub chance: f64,
}

/// The rule by which a post tells of no fault, if that is not out of the question.
pub(super) fn fine(
    said: &Said,
    catalog: &Catalog,
    terms: &[Termed],
    lift: Lift,
) -> Option<FineByRule> {
    let PostWeights {
        least_words,
        weights,
    } = &catalog.sign_weights.posts;
    if weights.signs.is_empty() || said.words.len() < *least_words {
        return None;
    }
    let mut features = numbered(terms, weights);
    features.extend(told(said, catalog));
    features.sort_unstable_by_key(|feature| feature.number);
    features.dedup_by_key(|feature| feature.number);
    let chances = weigh(weights, &features);
    let (none, rules) = chances.split_last()?;
    let here = |id: &str| {
        let mut rules = catalog.context.iter();
        rules.any(|rule| rule.id == id && rule.lift.is_none_or(|of| of == lift))
    };
    let best = rules
        .iter()
        .zip(&weights.signs)
        .filter(|(_, id)| here(id))
        .max_by(|(a, _), (b, _)| a.total_cmp(b));
    let (_, rule) = best?;
    let chance = ((1.0 - none) * 100.0).round() / 100.0;
    (chance >= TOLD).then(|| FineByRule {
        rule: rule.clone(),
        chance,
    })
}

/// What is said of the whole post, as features.
fn told(said: &Said, catalog: &Catalog) -> Vec<Numbered> {
    let names = said_of_all(said, catalog);
    names.iter().map(|name| named(name, catalog)).collect()
}

/// The groups said of the whole post, as they are named among the weights.
fn said_of_all(said: &Said, catalog: &Catalog) -> Vec<String> {
    let book = &catalog.sign_words;
    let groups = said.find(&book.posts, &catalog.lexicon);
    let found = groups.iter().filter(|(_, places)| !places.is_empty());
    let names = found.filter_map(|(group, _)| book.post_names.get(group));
    names.map(|name| format!("<{name}>")).collect()
}

/// What of a post is weighed, for the tool that learns the weights: names, each once.
pub fn post_features(text: &str, catalog: &Catalog) -> Vec<String> {
    let said = Said::new(text, catalog, &mut Words::default());
    let mut names = saying_features(text, catalog);
    names.extend(said_of_all(&said, catalog));
    names.sort();
    names.dedup();
    names
}
