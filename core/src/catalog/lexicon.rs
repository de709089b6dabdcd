//! The words lifters use: cues for negation, time and person, idioms, and groups of synonyms.

use super::spread::{Places, spread};
use super::words::{PhraseBook, SliceTable, WordId, WordTable};
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
    /// Words of danger in other languages.
    pub emergency_abroad: Vec<String>,
    /// Small words of other languages, several to a line.
    pub small_abroad: Vec<String>,
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

/// The file of body words as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct BodyFile {
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
    /// Folded small words of other languages.
    pub(crate) small_abroad: BTreeSet<String>,
    /// Stems that stand for another stem.
    pub(crate) same: BTreeMap<String, String>,
    /// The number of each group by its name, in order.
    pub(crate) names: BTreeMap<String, usize>,
    /// The number of each group, for looking up.
    numbers: WordTable<usize>,
    pub(crate) phrases: PhraseBook,
    /// Whether a word of the phrases is one of the small words that may stand inside a phrase.
    small: Vec<bool>,
}

impl Lexicon {
    /// Reads the lexicon file and the file of body words; all faults at once, each with its line.
    ///
    /// A group may hold another (`<chest>`) and a saying may stand for many
    /// (`lost (all |)feeling`).
    pub fn parse(file: CatalogFile, body: CatalogFile) -> Result<Self, Vec<CatalogProblem>> {
        let read: LexiconFile = toml::from_str(file.text)
            .map_err(|error| vec![super::flags::problem(&file, &error)])?;
        let more: BodyFile = toml::from_str(body.text)
            .map_err(|error| vec![super::flags::problem(&body, &error)])?;
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
            small_abroad: read
                .cues
                .small_abroad
                .iter()
                .flat_map(|line| line.split_whitespace())
                .map(super::words::fold)
                .collect(),
            cues: read.cues.clone(),
            long_past_until: read.long_past_until,
            ..Self::default()
        };
        let cues = lexicon.cue_lists();
        let mut groups = Groups::default();
        for (name, phrases) in &cues {
            groups.add(name, phrases, file);
        }
        for (list, file) in [(&read.concepts, file), (&more.concepts, body)] {
            for (name, phrases) in list {
                groups.add(name, phrases, file);
            }
        }
        let names: Vec<&str> = groups.lists.keys().copied().collect();
        for (term, name) in names.iter().enumerate() {
            lexicon.names.insert((*name).to_owned(), term);
            let mut phrases = Vec::new();
            groups.collect(name, &mut BTreeSet::new(), &mut phrases);
            phrases.sort_unstable();
            phrases.dedup();
            for phrase in phrases {
                if let Some((_, terms)) = groups.sayings.get_mut(phrase) {
                    terms.push(term);
                }
            }
        }
        for (sayings, terms) in &groups.sayings {
            lexicon.phrases.add_for(sayings, terms);
        }
        if let Some(filler) = lexicon.names.get("cue filler") {
            lexicon.small = lexicon.phrases.alone(*filler);
        }
        lexicon.numbers = lexicon.names.clone().into_iter().collect();
        if groups.problems.is_empty() {
            Ok(lexicon)
        } else {
            Err(groups.problems)
        }
    }

    /// The number of a group.
    pub(crate) fn number(&self, group: &str) -> Option<usize> {
        self.numbers.get(group).copied()
    }

    /// Whether any of these words is one of the small words that may stand inside a phrase.
    pub(crate) fn is_small(&self, words: &[WordId]) -> bool {
        let small = |word: &WordId| self.small.get(*word as usize) == Some(&true);
        words.iter().any(small)
    }

    /// Whether a group of this name exists.
    pub fn has(&self, concept: &str) -> bool {
        self.names.contains_key(concept)
    }

    /// The cues as groups, under names no file group can have by chance.
    fn cue_lists(&self) -> [(&'static str, Vec<String>); 17] {
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
            ("cue emergency abroad", very(&cues.emergency_abroad)),
        ]
    }
}

/// Sayings of which each word counts in this very form only, so that none is taken for a slip in
/// an English word.
fn very(sayings: &[String]) -> Vec<String> {
    let mark = |saying: &String| {
        let mut marked = String::with_capacity(saying.len() * 2);
        let mut starts = true;
        for c in saying.chars() {
            if starts && c.is_alphabetic() {
                marked.push('=');
            }
            starts = !c.is_alphabetic() && c != '=';
            marked.push(c);
        }
        marked
    };
    sayings.iter().map(mark).collect()
}

/// Groups as written, with the faults found in them.
#[derive(Default)]
struct Groups<'a> {
    lists: BTreeMap<&'a str, Vec<(&'a str, CatalogFile<'a>)>>,
    /// The number of each phrase met.
    numbers: SliceTable<'a, usize>,
    /// For each phrase the sayings it stands for, and the terms it stands in.
    sayings: Vec<(Vec<Places>, Vec<usize>)>,
    problems: Vec<CatalogProblem>,
}

impl<'a> Groups<'a> {
    /// Adds sayings to a group; one of two files may widen a group of the other.
    fn add(&mut self, name: &'a str, phrases: &'a [String], file: CatalogFile<'a>) {
        let list = self.lists.entry(name).or_default();
        list.extend(phrases.iter().map(|phrase| (phrase.as_str(), file)));
    }

    /// Every saying of a group and of those it holds.
    fn collect(&mut self, name: &'a str, seen: &mut BTreeSet<&'a str>, into: &mut Vec<usize>) {
        if !seen.insert(name) {
            return;
        }
        for (phrase, file) in self.lists.get(name).cloned().unwrap_or_default() {
            let held = phrase
                .strip_prefix('<')
                .and_then(|rest| rest.strip_suffix('>'));
            match held {
                Some(other) if self.lists.contains_key(other) => self.collect(other, seen, into),
                Some(other) => self.fault(phrase, file, &format!("no group {other}")),
                None => into.extend(self.number(phrase, file)),
            }
        }
    }

    /// The number of a phrase; none for one that cannot be read.
    fn number(&mut self, phrase: &'a str, file: CatalogFile<'a>) -> Option<usize> {
        if let Some(number) = self.numbers.get(phrase) {
            return Some(*number);
        }
        match spread(phrase) {
            Ok(sayings) => {
                let number = self.sayings.len();
                self.numbers.insert(phrase, number);
                self.sayings.push((sayings, Vec::new()));
                Some(number)
            }
            Err(what) => {
                self.fault(phrase, file, &what);
                None
            }
        }
    }

    fn fault(&mut self, phrase: &str, file: CatalogFile, what: &str) {
        let line = file.text.lines().position(|line| line.contains(phrase));
        let problem = CatalogProblem {
            file: file.name.to_owned(),
            line: line.map_or(1, |at| at + 1),
            what: format!("{what}: {phrase}"),
            accepted: "words, (one|or other) of several, or the <name> of a group".to_owned(),
        };
        if !self.problems.contains(&problem) {
            self.problems.push(problem);
        }
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
