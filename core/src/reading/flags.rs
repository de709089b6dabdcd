//! Red flags in the words: every wording of the catalog tried, with denial, time and person.

use super::measure::{ages, fevers, lengths, masses, percents, pressures};
use super::said::{At, Meant, Said};
use super::{FlagLevel, FlagMention};
use crate::catalog::pattern::{Pattern, Term};
use crate::catalog::{Catalog, FlagRule, WhenPast};

/// Words a harmless look-alike may stand away from the words it excuses.
const EXCUSES: usize = 4;

/// The same for words of an emergency: only a look-alike that stands with them.
const EXCUSES_EMERGENCY: usize = 0;

/// Measured things of one text, found once.
struct Measures {
    days: Vec<(f64, At)>,
    ages: Vec<(f64, At)>,
    pressures: Vec<(f64, f64, At)>,
    fevers: Vec<At>,
    percents: Vec<At>,
    masses: Vec<At>,
}

/// A wording found, with its level.
#[derive(Clone, Copy)]
struct Hit {
    level: FlagLevel,
    at: At,
}

/// Every flag found, each once at its highest level, in the order of the flag file.
pub(super) fn flags(said: &Said, catalog: &Catalog) -> Vec<FlagMention> {
    let finder = Finder::new(said, catalog);
    let mut found: Vec<FlagMention> = Vec::new();
    for flag in &catalog.flags.flags {
        if let Some(hit) = finder.flag(flag) {
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

struct Finder<'a> {
    said: &'a Said,
    catalog: &'a Catalog,
    measures: Measures,
    bodies: Vec<At>,
}

impl<'a> Finder<'a> {
    fn new(said: &'a Said, catalog: &'a Catalog) -> Self {
        let words = &said.words;
        let mut bodies: Vec<At> = said.group(&catalog.lexicon, "body-part").to_vec();
        bodies.sort_by_key(|at| at.from);
        Self {
            said,
            catalog,
            measures: Measures {
                days: lengths(words).iter().map(|l| (l.days, l.at)).collect(),
                ages: ages(words),
                pressures: pressures(words),
                fevers: fevers(words),
                percents: percents(words),
                masses: masses(words),
            },
            bodies,
        }
    }

    /// The most serious reading of one flag.
    fn flag(&self, flag: &FlagRule) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        for (level, pattern) in &flag.rules {
            if best.is_some_and(|hit| hit.level >= *level) {
                continue;
            }
            for at in self.matches(pattern, *level) {
                let level = self.timed(flag, pattern, *level, at);
                if level > best.map_or(FlagLevel::None, |hit| hit.level)
                    && !self.excused(flag, at, level)
                {
                    best = Some(Hit { level, at });
                }
            }
        }
        let hit = best?;
        let eased = hit.level == FlagLevel::Clinician
            && flag
                .eased_by
                .iter()
                .any(|pattern| !self.matches(pattern, FlagLevel::Clinician).is_empty());
        Some(Hit {
            level: if eased { FlagLevel::Coach } else { hit.level },
            ..hit
        })
    }

    /// What the time told of leaves of a level.
    fn timed(&self, flag: &FlagRule, pattern: &Pattern, level: FlagLevel, at: At) -> FlagLevel {
        if pattern.any_time {
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

    /// Whether a harmless look-alike explains the words found.
    fn excused(&self, flag: &FlagRule, at: At, level: FlagLevel) -> bool {
        let room = if level == FlagLevel::Emergency {
            EXCUSES_EMERGENCY
        } else {
            EXCUSES
        };
        flag.harmless.iter().any(|pattern| {
            self.matches_meant(pattern, |_, _| true)
                .iter()
                .any(|near| self.gap(*near, at) <= room)
        })
    }

    /// Every place a wording stands, meant as told now and of the lifter.
    fn matches(&self, pattern: &Pattern, level: FlagLevel) -> Vec<At> {
        self.matches_meant(pattern, |meant, at| counts(meant, at, pattern, level))
    }

    fn matches_meant(&self, pattern: &Pattern, holds: impl Fn(&Meant, At) -> bool) -> Vec<At> {
        let mut lists: Vec<Vec<At>> = Vec::with_capacity(pattern.parts.len());
        for part in &pattern.parts {
            let list: Vec<At> = self
                .places(&part.any)
                .into_iter()
                .filter(|at| {
                    self.said
                        .slice(*at)
                        .iter()
                        .all(|word| holds(&word.meant, *at))
                })
                .collect();
            if list.is_empty() {
                return Vec::new();
            }
            lists.push(list);
        }
        let Some((first, rest)) = lists.split_first() else {
            return Vec::new();
        };
        first
            .iter()
            .filter_map(|anchor| self.gather(*anchor, rest, pattern))
            .filter(|at| !self.blocked(*at, pattern))
            .collect()
    }

    /// The whole place of a wording around one anchor.
    fn gather(&self, anchor: At, rest: &[Vec<At>], pattern: &Pattern) -> Option<At> {
        let mut whole = anchor;
        let mut taken = vec![anchor];
        for (list, part) in rest.iter().zip(pattern.parts.iter().skip(1)) {
            let free = |at: &&At| !taken.iter().any(|t| t.from < at.to && at.from < t.to);
            let next = *list
                .iter()
                .filter(free)
                .filter(|at| part.far || self.bound(anchor, **at))
                .min_by_key(|at| taken.iter().map(|t| self.gap(*t, **at)).min())?;
            let gap = taken.iter().map(|t| self.gap(*t, next)).min()?;
            if !part.far && gap > pattern.near {
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
        let is_body = |at: At| self.bodies.iter().any(|b| b.from < at.to && at.from < b.to);
        let feeling = match (is_body(one), is_body(two)) {
            (true, false) => two,
            (false, true) => one,
            _ => return true,
        };
        !self
            .bodies
            .iter()
            .any(|body| clause(*body) == clause(feeling))
    }

    fn blocked(&self, at: At, pattern: &Pattern) -> bool {
        pattern.unless.iter().any(|terms| {
            self.places(terms)
                .iter()
                .any(|block| self.gap(*block, at) <= pattern.near)
        })
    }

    /// Words between two places, punctuation counted.
    fn gap(&self, a: At, b: At) -> usize {
        let place = |index: usize| self.said.words.get(index).map_or(0, |word| word.place);
        let (first, second) = if a.from <= b.from { (a, b) } else { (b, a) };
        if second.from < first.to {
            return 0;
        }
        place(second.from).saturating_sub(place(first.to.saturating_sub(1)) + 1)
    }

    fn places(&self, terms: &[Term]) -> Vec<At> {
        let mut all: Vec<At> = terms.iter().flat_map(|term| self.term(term)).collect();
        all.sort_by_key(|at| (at.from, at.to));
        all.dedup();
        all
    }

    fn term(&self, term: &Term) -> Vec<At> {
        let within = |list: &[(f64, At)], low: u32, high: u32| -> Vec<At> {
            list.iter()
                .filter(|(value, _)| *value >= f64::from(low) && *value <= f64::from(high))
                .map(|(_, at)| *at)
                .collect()
        };
        match term {
            Term::Group(name) => self.said.group(&self.catalog.lexicon, name).to_vec(),
            Term::Literal(id) => self.said.literals.get(*id).cloned().unwrap_or_default(),
            Term::Days(low, high) => within(&self.measures.days, *low, *high),
            Term::Age(low, high) => within(&self.measures.ages, *low, *high),
            Term::Pressure(high) => self
                .measures
                .pressures
                .iter()
                .filter(|(upper, lower, _)| *upper >= f64::from(*high) || *lower >= 110.0)
                .map(|(_, _, at)| *at)
                .collect(),
            Term::Fever => self.measures.fevers.clone(),
            Term::Percent => self.measures.percents.clone(),
            Term::Mass => self.measures.masses.clone(),
        }
    }

    fn span(&self, at: At) -> [usize; 2] {
        let words = self.said.slice(at);
        let from = words.first().map_or(0, |word| word.token.span[0]);
        let to = words.last().map_or(from, |word| word.token.span[1]);
        [from, to]
    }
}

/// Whether words meant so raise a wording of this level.
fn counts(meant: &Meant, at: At, pattern: &Pattern, level: FlagLevel) -> bool {
    // A complaint that holds its own "no" (`no feeling`) is not denied by it.
    let denied = meant.denied.is_some_and(|by| by < at.from || by >= at.to);
    if denied || meant.idiom {
        return false;
    }
    if pattern.any_person {
        return true;
    }
    // Something happening to a person at hand gets the emergency text all the same.
    let other = meant.other && !(meant.right_now && level == FlagLevel::Emergency);
    !meant.thought && !other
}
