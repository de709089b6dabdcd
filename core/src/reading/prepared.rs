//! What a catalog needs made ready once, so that reading a text only looks things up.

use super::said::{At, Said};
use super::sign_phrases::SignBook;
use crate::catalog::pattern::{Pattern, Term};
use crate::catalog::{Catalog, FlagRule};
use crate::reading::FlagLevel;
use crate::report::Lift;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// Number of a term among those that wordings use.
pub(super) type Key = u32;

/// The prepared form, made at most once for a catalog and its clones.
#[derive(Clone, Debug, Default)]
pub(crate) struct PreparedOnce(OnceLock<Arc<Prepared>>);

impl PreparedOnce {
    /// The prepared form of this catalog.
    pub(super) fn of(catalog: &Catalog) -> &Prepared {
        catalog
            .prepared
            .0
            .get_or_init(|| Arc::new(Prepared::new(catalog)))
    }
}

/// Everything compiled.
#[derive(Debug)]
pub(super) struct Prepared {
    /// Measured things that wordings use.
    pub(super) measured: Vec<Term>,
    /// The wordings of each flag, in the order of the flag file.
    pub(super) flags: Vec<Wordings>,
    /// The key of each group that wordings use, by its number in the lexicon.
    groups: Vec<Option<Key>>,
    /// The key of each phrase of the flag file that wordings use, by its number.
    literals: Vec<Option<Key>>,
    /// The key of each measured thing.
    measures: Vec<Key>,
    /// Wordings to try when a key is present: flag and number among its rules.
    index: Vec<Vec<(u32, u32)>>,
    /// For each wording of a sign, by its number, the lifts that have the sign, and whether it is
    /// one of pain.
    worded: Vec<(Vec<Lift>, bool)>,
    /// For each group of signs, by its number, its number among what is weighed for signs, plain
    /// and denied.
    pub(super) told: Vec<[Option<u32>; 2]>,
    signs: BTreeMap<Option<Lift>, SignBook>,
}

/// The lifts that have the sign of each wording, and whether it is one of pain.
fn worded(catalog: &Catalog) -> Vec<(Vec<Lift>, bool)> {
    let mut known: BTreeMap<&str, (Vec<Lift>, bool)> = BTreeMap::new();
    for (lift, book) in &catalog.lifts {
        for sign in &book.signs {
            let (lifts, pain) = known.entry(&sign.id).or_default();
            lifts.push(*lift);
            *pain |= sign.pain;
        }
    }
    let wordings = catalog.sign_words.wordings.iter();
    wordings
        .map(|wording| {
            known
                .get(wording.sign.as_str())
                .cloned()
                .unwrap_or_default()
        })
        .collect()
}

fn told(catalog: &Catalog) -> Vec<[Option<u32>; 2]> {
    let terms = &catalog.sign_weights.terms;
    let number = |name: String| terms.get(&name).copied();
    let names = catalog.sign_words.names.iter();
    let both = |name: &String| [number(format!("<{name}>")), number(format!("!<{name}>"))];
    names.map(both).collect()
}

/// Where the places of a term come from.
#[derive(Debug)]
enum Source {
    /// A group, by its number in the lexicon.
    Group(usize),
    /// A phrase of the flag file.
    Literal(usize),
    /// A measured thing; they are numbered in the order of their keys.
    Measured,
}

/// The wordings of one flag.
#[derive(Debug)]
pub(super) struct Wordings {
    pub(super) rules: Vec<(FlagLevel, Wording)>,
    pub(super) harmless: Vec<Wording>,
    pub(super) eased_by: Vec<Wording>,
}

/// One wording, its terms as keys.
#[derive(Debug)]
pub(super) struct Wording {
    pub(super) parts: Vec<PartKeys>,
    pub(super) unless: Vec<Vec<Key>>,
    pub(super) near: usize,
    pub(super) block: usize,
    pub(super) any_time: bool,
    pub(super) any_person: bool,
}

/// One part: any of its keys.
#[derive(Debug)]
pub(super) struct PartKeys {
    pub(super) any: Vec<Key>,
    pub(super) far: bool,
}

impl Prepared {
    fn new(catalog: &Catalog) -> Self {
        let mut keys = Keys {
            catalog,
            known: BTreeMap::new(),
            sources: Vec::new(),
            measured: Vec::new(),
        };
        let flags: Vec<Wordings> = catalog.flags.flags.iter().map(|f| keys.flag(f)).collect();
        let mut index = vec![Vec::new(); keys.sources.len()];
        for (flag, wordings) in (0_u32..).zip(&flags) {
            for (number, (_, wording)) in (0_u32..).zip(&wordings.rules) {
                let rarest = wording.parts.iter().min_by_key(|part| part.any.len());
                for key in rarest.iter().flat_map(|part| &part.any) {
                    if let Some(list) = index.get_mut(*key as usize) {
                        list.push((flag, number));
                    }
                }
            }
        }
        let signs = std::iter::once(None)
            .chain(Lift::ALL.into_iter().map(Some))
            .map(|lift| (lift, SignBook::new(catalog, lift)))
            .collect();
        let mut prepared = Self {
            measured: keys.measured,
            flags,
            groups: Vec::new(),
            literals: Vec::new(),
            measures: Vec::new(),
            index,
            worded: worded(catalog),
            told: told(catalog),
            signs,
        };
        for (key, source) in (0..).zip(&keys.sources) {
            let (list, at) = match source {
                Source::Group(at) => (&mut prepared.groups, *at),
                Source::Literal(at) => (&mut prepared.literals, *at),
                Source::Measured => {
                    prepared.measures.push(key);
                    continue;
                }
            };
            if list.len() <= at {
                list.resize(at + 1, None);
            }
            if let Some(slot) = list.get_mut(at) {
                *slot = Some(key);
            }
        }
        prepared
    }

    /// Where each key that is there stands, in order of the keys; `measured` are the places of the
    /// measured things.
    pub(super) fn present<'s>(
        &self,
        said: &'s Said,
        measured: &'s [Vec<At>],
    ) -> Vec<(Key, &'s [At])> {
        let key = |list: &[Option<Key>], at: usize| list.get(at).copied().flatten();
        let groups = said.groups.iter();
        let groups = groups.filter_map(|(at, places)| Some((key(&self.groups, at)?, places)));
        let literals = said.literals.iter();
        let literals = literals.filter_map(|(at, places)| Some((key(&self.literals, at)?, places)));
        let measures = self.measures.iter().copied();
        let measures = measures.zip(measured.iter().map(Vec::as_slice));
        let measures = measures.filter(|(_, places)| !places.is_empty());
        let mut all: Vec<(Key, &[At])> = groups.chain(literals).chain(measures).collect();
        all.sort_unstable_by_key(|(key, _)| *key);
        all
    }

    /// How many keys there are.
    pub(super) const fn keys(&self) -> usize {
        self.index.len()
    }

    /// The wordings that may match when exactly these keys are present: flag and number among its
    /// rules, in order, each once.
    pub(super) fn candidates(&self, present: impl Iterator<Item = Key>) -> Vec<(u32, u32)> {
        let mut all: Vec<(u32, u32)> = present
            .filter_map(|key| self.index.get(key as usize))
            .flatten()
            .copied()
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The lift whose sign a wording says: this one, or the first that has it.
    pub(super) fn lift_of(&self, wording: usize, only: Option<Lift>) -> Option<Lift> {
        let (lifts, _) = self.worded.get(wording)?;
        let mut lifts = lifts.iter().copied();
        lifts.find(|lift| only.is_none_or(|only| only == *lift))
    }

    /// Whether a wording says a sign of pain.
    pub(super) fn is_pain(&self, wording: usize) -> bool {
        self.worded.get(wording).is_some_and(|(_, pain)| *pain)
    }

    /// The phrases of signs for a lift, or for all when it is not known.
    pub(super) fn signs(&self, lift: Option<Lift>) -> Option<&SignBook> {
        self.signs.get(&lift)
    }
}

struct Keys<'a> {
    catalog: &'a Catalog,
    known: BTreeMap<Term, Key>,
    sources: Vec<Source>,
    measured: Vec<Term>,
}

impl Keys<'_> {
    fn flag(&mut self, flag: &FlagRule) -> Wordings {
        let mut all = |list: &[Pattern]| list.iter().map(|p| self.wording(p)).collect::<Vec<_>>();
        let harmless = all(&flag.harmless);
        let eased_by = all(&flag.eased_by);
        let rules = flag
            .rules
            .iter()
            .map(|(level, pattern)| (*level, self.wording(pattern)))
            .collect();
        Wordings {
            rules,
            harmless,
            eased_by,
        }
    }

    fn wording(&mut self, pattern: &Pattern) -> Wording {
        Wording {
            parts: pattern
                .parts
                .iter()
                .map(|part| PartKeys {
                    any: self.keys(&part.any),
                    far: part.far,
                })
                .collect(),
            unless: pattern.unless.iter().map(|any| self.keys(any)).collect(),
            near: pattern.near,
            block: pattern.block,
            any_time: pattern.any_time,
            any_person: pattern.any_person,
        }
    }

    /// Keys of terms; a group the lexicon does not have is never said and gets none.
    fn keys(&mut self, terms: &[Term]) -> Vec<Key> {
        terms.iter().filter_map(|term| self.key(term)).collect()
    }

    fn key(&mut self, term: &Term) -> Option<Key> {
        if let Some(key) = self.known.get(term) {
            return Some(*key);
        }
        let source = match term {
            Term::Group(name) => Source::Group(*self.catalog.lexicon.names.get(name)?),
            Term::Literal(id) => Source::Literal(*id),
            other => {
                self.measured.push(other.clone());
                Source::Measured
            }
        };
        let key = Key::try_from(self.sources.len()).ok()?;
        self.sources.push(source);
        self.known.insert(term.clone(), key);
        Some(key)
    }
}
