//! Red flags in the words: every wording of the catalog that can match is tried, with denial,
//! time and person.

use super::excuses::Excuses;
use super::measured::Measures;
use super::prepared::{Key, Prepared, Wording, Wordings};
use super::said::{At, Meant, Said};
use super::{FlagLevel, FlagMention, work};
use crate::catalog::{Catalog, FlagRule, WhenPast};

/// Words the longest phrase of the catalog may take, small words between counted.
const LONGEST_PHRASE: usize = 32;

/// Places tried on each side for a part that may stand anywhere.
const FAR_TRIES: usize = 8;

/// A wording found, with its level.
#[derive(Clone, Copy)]
struct Hit {
    level: FlagLevel,
    at: At,
}

/// Every flag found, each once at its highest level, in the order of the flag file.
pub(super) fn flags(said: &Said, catalog: &Catalog, prepared: &Prepared) -> Vec<FlagMention> {
    let measured = Measures::new(said).all(prepared);
    let finder = Finder::new(said, catalog, prepared, &measured);
    let candidates = prepared.candidates(finder.places.iter().map(|(key, _)| *key));
    let mut found: Vec<FlagMention> = Vec::new();
    for tries in candidates.chunk_by(|a, b| a.0 == b.0) {
        let number = tries.first().map_or(usize::MAX, |(flag, _)| *flag as usize);
        let flag = catalog.flags.flags.get(number);
        let Some((flag, wordings)) = flag.zip(prepared.flags.get(number)) else {
            continue;
        };
        if let Some(hit) = finder.flag(flag, wordings, tries) {
            found.push(FlagMention {
                flag: flag.id.clone(),
                level: hit.level,
                span: finder.span(hit.at),
            });
        }
    }
    raise(&mut found, catalog);
    found
}

/// Flags that grow beside others.
fn raise(found: &mut [FlagMention], catalog: &Catalog) {
    let present: Vec<String> = found.iter().map(|mention| mention.flag.clone()).collect();
    for mention in found {
        let rule = catalog.flags.flag(&mention.flag);
        if let Some(raise) = rule.and_then(|rule| rule.raise.as_ref())
            && raise.beside.iter().any(|other| present.contains(other))
        {
            mention.level = mention.level.max(raise.to);
        }
    }
}

/// Finds wordings in one text.
pub(super) struct Finder<'a> {
    pub(super) said: &'a Said,
    /// Where each key of the wordings that is there is said, in order of the keys.
    places: Vec<(Key, &'a [At])>,
    /// Which keys are there.
    present: Vec<bool>,
    /// Words of body parts.
    is_body: Vec<bool>,
    /// Clauses that name a body part.
    body_clauses: Vec<bool>,
}

impl<'a> Finder<'a> {
    fn new(
        said: &'a Said,
        catalog: &Catalog,
        prepared: &Prepared,
        measured: &'a [Vec<At>],
    ) -> Self {
        let words = &said.words;
        let mut is_body = vec![false; words.len()];
        let clauses = words.last().map_or(0, |word| word.clause + 1);
        let mut body_clauses = vec![false; clauses];
        for at in said.group(&catalog.lexicon, "body-part") {
            for slot in is_body.iter_mut().take(at.to).skip(at.from) {
                *slot = true;
            }
            if let Some(slot) = words
                .get(at.from)
                .and_then(|word| body_clauses.get_mut(word.clause))
            {
                *slot = true;
            }
        }
        let places = prepared.present(said, measured);
        let mut present = vec![false; prepared.keys()];
        for (key, _) in &places {
            if let Some(slot) = present.get_mut(*key as usize) {
                *slot = true;
            }
        }
        Self {
            said,
            places,
            present,
            is_body,
            body_clauses,
        }
    }

    /// The most serious reading of one flag.
    fn flag(&self, flag: &FlagRule, wordings: &Wordings, tries: &[(u32, u32)]) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        let mut excuses = Excuses::default();
        let tried = tries.iter().map(|(_, number)| *number as usize);
        for (level, wording) in tried.filter_map(|at| wordings.rules.get(at)) {
            if best.is_some_and(|hit| hit.level >= *level) {
                continue;
            }
            self.each_match(
                wording,
                |meant, at| counts(meant, at, wording, *level),
                |at| {
                    let timed = self.timed(flag, wording, *level, at);
                    if timed > best.map_or(FlagLevel::None, |hit| hit.level)
                        && !excuses.cover(self, wordings, at, timed)
                    {
                        best = Some(Hit { level: timed, at });
                    }
                    best.is_some_and(|hit| hit.level >= *level)
                },
            );
        }
        let hit = best?;
        let eased = hit.level == FlagLevel::Clinician
            && wordings.eased_by.iter().any(|wording| {
                let mut any = false;
                self.each_match(
                    wording,
                    |meant, at| counts(meant, at, wording, FlagLevel::Clinician),
                    |_| {
                        any = true;
                        true
                    },
                );
                any
            });
        Some(Hit {
            level: if eased { FlagLevel::Coach } else { hit.level },
            ..hit
        })
    }

    /// What the time told of leaves of a level.
    fn timed(&self, flag: &FlagRule, wording: &Wording, level: FlagLevel, at: At) -> FlagLevel {
        if wording.any_time {
            return level;
        }
        let long_past = self.said.any(at, |m| m.long_past);
        let earlier_gone = self.said.any(at, |m| m.earlier_gone);
        match flag.past {
            WhenPast::Clinician if long_past || earlier_gone => level.min(FlagLevel::Clinician),
            WhenPast::Drops | WhenPast::Gone if long_past => FlagLevel::None,
            WhenPast::Gone if earlier_gone => FlagLevel::None,
            _ => level,
        }
    }

    /// Gives `found` every place where a wording stands, its words meant so, until it is content.
    pub(super) fn each_match(
        &self,
        wording: &Wording,
        holds: impl Fn(&Meant, At) -> bool,
        mut found: impl FnMut(At) -> bool,
    ) {
        let here = |key: &Key| self.present.get(*key as usize) == Some(&true);
        if !wording.parts.iter().all(|part| part.any.iter().any(here)) {
            return;
        }
        let mut lists: Vec<Vec<At>> = Vec::with_capacity(wording.parts.len());
        for part in &wording.parts {
            let mut list = self.places(&part.any);
            list.retain(|at| {
                self.said
                    .slice(*at)
                    .iter()
                    .all(|word| holds(&word.meant, *at))
            });
            if list.is_empty() {
                return;
            }
            lists.push(list);
        }
        let unless: Vec<Vec<At>> = wording.unless.iter().map(|any| self.places(any)).collect();
        let Some((first, rest)) = lists.split_first() else {
            return;
        };
        for anchor in first {
            work::steps(1);
            if let Some(at) = self.gather(*anchor, rest, wording)
                && !self.blocked(at, wording, &unless)
                && found(at)
            {
                return;
            }
        }
    }

    /// The whole place of a wording around one anchor.
    fn gather(&self, anchor: At, rest: &[Vec<At>], wording: &Wording) -> Option<At> {
        let mut whole = anchor;
        let mut taken = vec![anchor];
        for (list, part) in rest.iter().zip(wording.parts.iter().skip(1)) {
            let free = |at: &&At| !taken.iter().any(|t| t.from < at.to && at.from < t.to);
            let tried = if part.far {
                around(list, anchor)
            } else {
                window(list, whole, wording.near)
            };
            work::steps(tried.len());
            let next = *tried
                .iter()
                .filter(free)
                .filter(|at| part.far || taken.iter().any(|t| self.bound(*t, **at)))
                .min_by_key(|at| taken.iter().map(|t| self.gap(*t, **at)).min())?;
            let gap = taken.iter().map(|t| self.gap(*t, next)).min()?;
            if !part.far && gap > wording.near {
                return None;
            }
            taken.push(next);
            whole = At {
                from: whole.from.min(next.from),
                to: whole.to.max(next.to),
            };
        }
        Some(whole)
    }

    /// A body part and a feeling in two clauses belong together only if the feeling's clause
    /// names no other body part.
    fn bound(&self, one: At, two: At) -> bool {
        let clause = |at: At| self.said.words.get(at.from).map(|word| word.clause);
        if clause(one) == clause(two) {
            return true;
        }
        let is_body = |at: At| {
            self.is_body
                .get(at.from..at.to)
                .is_some_and(|words| words.contains(&true))
        };
        let feeling = match (is_body(one), is_body(two)) {
            (true, false) => two,
            (false, true) => one,
            _ => return true,
        };
        !clause(feeling)
            .and_then(|clause| self.body_clauses.get(clause))
            .copied()
            .unwrap_or(false)
    }

    fn blocked(&self, at: At, wording: &Wording, unless: &[Vec<At>]) -> bool {
        let near = wording.block;
        unless.iter().any(|list| {
            window(list, at, near)
                .iter()
                .any(|block| self.gap(*block, at) <= near)
        })
    }

    /// Words between two places, punctuation counted.
    fn gap(&self, a: At, b: At) -> usize {
        let (first, second) = if a.from <= b.from { (a, b) } else { (b, a) };
        if second.from < first.to {
            return 0;
        }
        self.place(second.from)
            .saturating_sub(self.place(first.to.saturating_sub(1)) + 1)
    }

    pub(super) fn place(&self, index: usize) -> usize {
        self.said.words.get(index).map_or(0, |word| word.place)
    }

    fn places(&self, keys: &[Key]) -> Vec<At> {
        let here = keys
            .iter()
            .filter(|key| self.present.get(**key as usize) == Some(&true));
        let mut all: Vec<At> = here
            .filter_map(|key| {
                let at = self.places.binary_search_by_key(key, |(key, _)| *key);
                self.places.get(at.ok()?)
            })
            .flat_map(|(_, list)| list.iter().copied())
            .collect();
        all.sort_unstable_by_key(|at| (at.from, at.to));
        all.dedup();
        all
    }

    fn span(&self, at: At) -> [usize; 2] {
        let words = self.said.slice(at);
        let from = words.first().map_or(0, |word| word.token.span[0]);
        let to = words.last().map_or(from, |word| word.token.span[1]);
        [from, to]
    }
}

/// The part of a sorted list that can stand near a place.
fn window(list: &[At], place: At, near: usize) -> &[At] {
    let low = place.from.saturating_sub(near + LONGEST_PHRASE);
    let high = place.to + near;
    let from = list.partition_point(|at| at.from < low);
    let to = list.partition_point(|at| at.from <= high);
    list.get(from..to).unwrap_or_default()
}

/// The part of a sorted list that stands nearest to a place.
fn around(list: &[At], place: At) -> &[At] {
    let middle = list.partition_point(|at| at.from < place.from);
    let to = (middle + FAR_TRIES).min(list.len());
    list.get(middle.saturating_sub(FAR_TRIES)..to)
        .unwrap_or_default()
}

/// Whether something is denied, only thought of, or part of a harmless saying.
pub(super) fn denied(said: &Said, at: At) -> bool {
    said.any(at, |meant| {
        meant.denied.is_some() || meant.thought || meant.idiom
    })
}

/// Whether words meant so raise a wording of this level.
fn counts(meant: &Meant, at: At, wording: &Wording, level: FlagLevel) -> bool {
    // A complaint that holds its own "no" (`no feeling`) is not denied by it.
    let denied = meant.denied.is_some_and(|by| by < at.from || by >= at.to);
    if denied || meant.idiom {
        return false;
    }
    if wording.any_person {
        return true;
    }
    // Something happening to a person at hand gets the emergency text all the same.
    let other = meant.other && !(meant.right_now && level == FlagLevel::Emergency);
    !meant.thought && !other
}
