//! Where the terms of a book of phrases are said in one text.

use super::said::At;

/// Places by term; terms that are said nowhere take no room.
#[derive(Clone, Debug, Default)]
pub(super) struct Hits {
    /// Each term said, in order, with where its places begin.
    terms: Vec<(u32, u32)>,
    places: Vec<At>,
}

impl Hits {
    /// Sorts what was found by term; the places of a term keep the order they were found in.
    pub(super) fn new(mut found: Vec<(u32, At)>) -> Self {
        found.sort_by_key(|(term, _)| *term);
        Self::of_sorted(&found)
    }

    /// The same, the places of a term in order and each once.
    pub(super) fn in_order(mut found: Vec<(u32, At)>) -> Self {
        found.sort_unstable_by_key(|(term, at)| (*term, at.from, at.to));
        found.dedup();
        Self::of_sorted(&found)
    }

    fn of_sorted(found: &[(u32, At)]) -> Self {
        let mut terms: Vec<(u32, u32)> = Vec::new();
        for (start, (term, _)) in (0..).zip(found) {
            if terms.last().is_none_or(|(last, _)| last != term) {
                terms.push((*term, start));
            }
        }
        Self {
            terms,
            places: found.iter().map(|(_, at)| *at).collect(),
        }
    }

    /// Where a term is said.
    pub(super) fn of(&self, term: usize) -> &[At] {
        let found = u32::try_from(term)
            .ok()
            .and_then(|term| self.terms.binary_search_by_key(&term, |one| one.0).ok());
        found.map_or(&[], |at| self.at(at))
    }

    /// The same without the places that are to be left out.
    pub(super) fn without(&self, out: impl Fn(&At) -> bool) -> Self {
        let all = self.iter().flat_map(|(term, places)| {
            let term = u32::try_from(term).unwrap_or(u32::MAX);
            places.iter().map(move |at| (term, *at))
        });
        Self::of_sorted(&all.filter(|(_, at)| !out(at)).collect::<Vec<_>>())
    }

    /// Every term said, in order, with where.
    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, &[At])> {
        let terms = self.terms.iter().enumerate();
        terms.map(|(at, (term, _))| (*term as usize, self.at(at)))
    }

    /// The places of the term at this place of the list.
    fn at(&self, at: usize) -> &[At] {
        let start = |at: usize| self.terms.get(at).map(|(_, start)| *start as usize);
        let from = start(at).unwrap_or(self.places.len());
        let to = start(at + 1).unwrap_or(self.places.len());
        self.places.get(from..to).unwrap_or_default()
    }
}
