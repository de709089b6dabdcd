//! The words lifters use: cues for negation, time and person, idioms, and groups of synonyms.

use super::words::PhraseBook;
use super::{CatalogFile, CatalogProblem};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

/// Words that change what other words mean.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cues {
    /// Deny what follows (`no`, `never`).
    pub negation: Vec<String>,
    /// Deny what stands before (`is fine`).
    pub negation_after: Vec<String>,
    /// Look like a denial and are none (`no idea why`, `wont go away`).
    pub not_negation: Vec<String>,
    /// End the reach of a denial (`but`, `just`).
    pub scope_ends: Vec<String>,
    /// Long over (`used to`, `as a kid`).
    pub long_past: Vec<String>,
    /// Days or weeks back (`last tuesday`).
    pub earlier: Vec<String>,
    /// Gone again (`nothing since`).
    pub gone: Vec<String>,
    /// Goes on now, whatever else is said (`still`, `again`).
    pub current: Vec<String>,
    /// Only thought of (`what if i ever`).
    pub hypothetical: Vec<String>,
    /// Somebody else (`my mate`).
    pub other_person: Vec<String>,
    /// The lifter (`i`, `my`).
    pub self_words: Vec<String>,
    /// The writer speaks for the lifter (`his set`).
    pub reporting: Vec<String>,
    /// Happens now to a person at hand (`on the floor`).
    pub right_now: Vec<String>,
    /// Whole sayings that mean no harm.
    pub idioms: Vec<String>,
    /// Small words that may stand between the words of a phrase.
    pub fillers: Vec<String>,
    /// A fault that is over.
    pub stopped: Vec<String>,
    /// Words for pain in other languages.
    pub pain_abroad: Vec<String>,
}

/// The lexicon file as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct LexiconFile {
    long_past_until: u32,
    same: Vec<Vec<String>>,
    cues: Cues,
    protected: Vec<String>,
    concepts: BTreeMap<String, Vec<String>>,
}

/// The lexicon, compiled for matching.
#[derive(Clone, Debug, Default)]
pub struct Lexicon {
    /// Words that change what other words mean.
    pub cues: Cues,
    /// A calendar year up to this one counts as long past.
    pub long_past_until: u32,
    /// Real words that are never taken for a typo of another word.
    pub(crate) protected: BTreeSet<String>,
    /// Folded words for pain in other languages.
    pub(crate) pain_abroad: BTreeSet<String>,
    /// Stems that stand for another stem.
    pub(crate) same: BTreeMap<String, String>,
    pub(crate) names: BTreeMap<String, usize>,
    pub(crate) phrases: PhraseBook,
}

impl Lexicon {
    /// Reads the lexicon file; all faults at once, each with its line.
    pub fn parse(file: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let read: LexiconFile = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let mut lexicon = Self {
            protected: read
                .protected
                .iter()
                .flat_map(|line| line.split_whitespace())
                .map(super::words::fold)
                .collect(),
            same: same(&read.same),
            pain_abroad: read
                .cues
                .pain_abroad
                .iter()
                .map(|w| super::words::fold(w))
                .collect(),
            cues: read.cues.clone(),
            long_past_until: read.long_past_until,
            ..Self::default()
        };
        for (name, phrases) in lexicon.cue_lists() {
            lexicon.add(name, &phrases);
        }
        for (name, phrases) in &read.concepts {
            lexicon.add(name, phrases);
        }
        Ok(lexicon)
    }

    /// Whether a group of this name exists.
    pub fn has(&self, concept: &str) -> bool {
        self.names.contains_key(concept)
    }

    /// Adds a group of synonyms.
    fn add(&mut self, name: &str, phrases: &[String]) {
        let next = self.names.len();
        let term = *self.names.entry(name.to_owned()).or_insert(next);
        for phrase in phrases {
            self.phrases.add(phrase, term);
        }
    }

    /// The cues as groups, under names no file group can have by chance.
    fn cue_lists(&self) -> [(&'static str, Vec<String>); 16] {
        let cues = &self.cues;
        [
            ("cue negation", cues.negation.clone()),
            ("cue negation after", cues.negation_after.clone()),
            ("cue not negation", cues.not_negation.clone()),
            ("cue scope ends", cues.scope_ends.clone()),
            ("cue long past", cues.long_past.clone()),
            ("cue earlier", cues.earlier.clone()),
            ("cue gone", cues.gone.clone()),
            ("cue current", cues.current.clone()),
            ("cue hypothetical", cues.hypothetical.clone()),
            ("cue other person", cues.other_person.clone()),
            ("cue self", cues.self_words.clone()),
            ("cue reporting", cues.reporting.clone()),
            ("cue right now", cues.right_now.clone()),
            ("cue idiom", cues.idioms.clone()),
            ("cue filler", cues.fillers.clone()),
            ("cue stopped", cues.stopped.clone()),
        ]
    }
}

/// Every stem of a line to the stem of its first word.
fn same(lines: &[Vec<String>]) -> BTreeMap<String, String> {
    let stem = |word: &str| super::words::stem(&super::words::fold(word));
    let mut map = BTreeMap::new();
    for line in lines {
        let Some(first) = line.first() else { continue };
        for word in line {
            map.insert(stem(word), stem(first));
        }
    }
    map
}
