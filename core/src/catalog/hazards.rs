//! Hazards of a set that need no symptom, each with its condition and its note.

use super::{CatalogFile, CatalogProblem};
use crate::report::Lift;
use serde::Deserialize;

/// The level a hazard may raise; never more than the coach's look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum HazardLevel {
    /// Only a note in the reply.
    #[default]
    Note,
    /// The coach looks.
    Coach,
}

/// One hazard.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HazardRule {
    /// Id such as `bench-alone`.
    pub id: String,
    /// What to say about it.
    pub note: String,
    /// Lifts it belongs to; all when empty.
    #[serde(default)]
    pub lifts: Vec<Lift>,
    /// Facts of the report, all of which must be said to be so (`alone`, `no-safeties`).
    #[serde(default)]
    pub facts: Vec<String>,
    /// Effort as RPE at or over this, when the hazard needs a hard set.
    #[serde(default)]
    pub effort_from: Option<f64>,
    /// Groups of the lexicon, any of which said in the words shows it; empty when only facts count.
    #[serde(default)]
    pub groups: Vec<String>,
    /// What it raises.
    #[serde(default)]
    pub level: HazardLevel,
}

/// All hazards, most important first.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazards {
    /// The hazards.
    #[serde(rename = "hazard")]
    pub rules: Vec<HazardRule>,
}

/// Facts a hazard may name.
pub(crate) const FACTS: [&str; 14] = [
    "alone",
    "no-spotter",
    "spotter",
    "no-safeties",
    "collars",
    "thumbless",
    "hand-off",
    "bands",
    "running-shoes",
    "straps",
    "belt",
    "wraps",
    "missed",
    "missed-twice",
];

impl Hazards {
    /// Reads the hazard file; all faults at once, each with its line.
    pub fn parse(file: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let read: Self = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut problems = Vec::new();
        for rule in &read.rules {
            for fact in rule.facts.iter().filter(|f| !FACTS.contains(&f.as_str())) {
                problems.push(CatalogProblem {
                    file: file.name.to_owned(),
                    line: file
                        .text
                        .lines()
                        .position(|line| line.contains(fact.as_str()))
                        .map_or(1, |at| at + 1),
                    what: format!("hazard {} names the unknown fact {fact}", rule.id),
                    accepted: FACTS.join(", "),
                });
            }
        }
        if problems.is_empty() {
            Ok(read)
        } else {
            Err(problems)
        }
    }
}
