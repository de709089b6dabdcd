//! What the lifter writes that has the coach look: a wish to change style, a fault three cues did
//! not mend, two views that disagree.

use super::TextSpan;
use super::hits::Hits;
use super::said::{At, Said};
use crate::catalog::{Catalog, Summons, SummonsWording};
use serde::{Deserialize, Serialize};

/// One escalation that the words call for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SummonsMention {
    /// Escalation id.
    pub escalation: String,
    /// Where it stands.
    pub span: TextSpan,
}

/// Every escalation called for, each once, in the order of the file.
pub(super) fn summons(said: &Said, catalog: &Catalog) -> Vec<SummonsMention> {
    of(said, catalog, &catalog.summons)
}

/// Ids of the context rules whose words are said.
pub(super) fn rules_said(said: &Said, catalog: &Catalog) -> Vec<String> {
    let found = of(said, catalog, &catalog.rules_said);
    found
        .into_iter()
        .map(|mention| mention.escalation)
        .collect()
}

/// What of a book is said, each id once.
fn of(said: &Said, catalog: &Catalog, book: &Summons) -> Vec<SummonsMention> {
    if book.wordings.is_empty() || said.words.is_empty() {
        return Vec::new();
    }
    let places = said.find(&book.phrases, &catalog.lexicon);
    let mut found: Vec<SummonsMention> = Vec::new();
    for (id, wording) in &book.wordings {
        if found.iter().any(|mention| mention.escalation == *id) {
            continue;
        }
        if let Some(at) = stands(said, &places, wording) {
            found.push(SummonsMention {
                escalation: id.clone(),
                span: span(said, at),
            });
        }
    }
    found
}

/// Where a wording stands: its parts in one sentence, near one another and meant of the lifter.
///
/// A wish counts (`thinking of switching`); what is denied, a saying or another person's does not.
pub(super) fn stands(said: &Said, places: &Hits, wording: &SummonsWording) -> Option<At> {
    let all = |numbers: &[usize]| -> Vec<At> {
        let lists = numbers.iter().map(|number| places.of(*number));
        lists.flatten().copied().collect()
    };
    let meant = |at: &At| {
        !said.any(*at, |word| {
            word.idiom
                || word.other && !wording.any_person
                || word.denied.is_some_and(|by| by < at.from || by >= at.to)
        })
    };
    let (first, rest) = wording.parts.split_first()?;
    let unless = all(&wording.unless);
    all(first).into_iter().filter(meant).find_map(|anchor| {
        let mut whole = anchor;
        for part in rest {
            let next = all(part)
                .into_iter()
                .filter(meant)
                .find(|at| near(said, whole, *at, wording.near))?;
            whole = At {
                from: whole.from.min(next.from),
                to: whole.to.max(next.to),
            };
        }
        let blocked = unless.iter().any(|at| near(said, whole, *at, wording.near));
        (!blocked).then_some(whole)
    })
}

/// True when two places of one sentence do not overlap and stand at most so many words apart.
fn near(said: &Said, a: At, b: At, most: usize) -> bool {
    let (first, second) = if a.from <= b.from { (a, b) } else { (b, a) };
    let sentence = |at: At| said.words.get(at.from).map(|word| word.sentence);
    second.from >= first.to && second.from - first.to <= most && sentence(a) == sentence(b)
}

pub(super) fn span(said: &Said, at: At) -> TextSpan {
    let words = said.slice(at);
    let from = words.first().map_or(0, |word| word.token.span[0]);
    let to = words.last().map_or(from, |word| word.token.span[1]);
    [from, to]
}
