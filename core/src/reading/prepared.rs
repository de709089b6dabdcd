//! What a catalog needs made ready once, so that reading a text only looks things up.

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
    /// What each key stands for; group names are resolved to the lexicon's numbers.
    pub(super) sources: Vec<Source>,
    /// Measured things that wordings use.
    pub(super) measured: Vec<Term>,
    /// The wordings of each flag, in the order of the flag file.
    pub(super) flags: Vec<Wordings>,
    /// Wordings to try when a key is present: flag and number among its rules.
    index: Vec<Vec<(u32, u32)>>,
    signs: BTreeMap<Option<Lift>, SignBook>,
}

/// Where the places of a term come from.
#[derive(Debug)]
pub(super) enum Source {
    /// A group, by its number in the lexicon.
    Group(usize),
    /// A phrase of the flag file.
    Literal(usize),
    /// A measured thing, by its number among those that wordings use.
    Measured(usize),
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
        Self {
            sources: keys.sources,
            measured: keys.measured,
            flags,
            index,
            signs,
        }
    }

    /// The wordings that may match when exactly these keys are present, by flag.
    pub(super) fn candidates(&self, present: impl Iterator<Item = usize>) -> Vec<Vec<usize>> {
        let mut out = vec![Vec::new(); self.flags.len()];
        for key in present {
            for (flag, number) in self.index.get(key).into_iter().flatten() {
                if let Some(list) = out.get_mut(*flag as usize) {
                    list.push(*number as usize);
                }
            }
        }
        for list in &mut out {
            list.sort_unstable();
            list.dedup();
        }
        out
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
                Source::Measured(self.measured.len() - 1)
            }
        };
        let key = Key::try_from(self.sources.len()).ok()?;
        self.sources.push(source);
        self.known.insert(term.clone(), key);
        Some(key)
    }
}
