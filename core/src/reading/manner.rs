//! What a message is besides a set: an insult, a threat, advertising, orders, talk of other things.
//!
//! Says nothing of danger: red flags are read by themselves, and whoever asks here lets them go first.

use super::TextSpan;
use super::said::{At, Said};
use super::summons::{span, stands};
use crate::catalog::{Catalog, MannerKind};
use serde::{Deserialize, Serialize};

/// What a message is besides a set, and by which words it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manner {
    /// What kind.
    pub kind: MannerKind,
    /// Where it stands.
    pub span: TextSpan,
}

/// The gravest kind of which a wording of the catalog stands in a text; nothing for a plain set,
/// however much its lifter swears at it.
pub fn manner(text: &str, catalog: &Catalog) -> Option<Manner> {
    if catalog.manners.wordings.is_empty() {
        return None;
    }
    let said = Said::new(text, catalog, &mut super::known::Words::default());
    of_said(&said, catalog)
}

/// The same of a text whose words are known already.
pub(super) fn of_said(said: &Said, catalog: &Catalog) -> Option<Manner> {
    let book = &catalog.manners;
    if book.wordings.is_empty() || said.words.is_empty() {
        return None;
    }
    let places = said.find(&book.phrases, &catalog.lexicon);
    let harmless: Vec<At> = book
        .harmless
        .iter()
        .flat_map(|number| places.of(*number))
        .copied()
        .collect();
    let inside = |at: &At| {
        let mut around = harmless.iter();
        around.any(|saying| at.from < saying.to && saying.from < at.to)
    };
    let places = places.without(inside);
    book.wordings.iter().find_map(|(kind, wording)| {
        let at = stands(said, &places, wording)?;
        // What forbids a wording may stand between its parts: "coach thinks i'm clueless".
        let mut unless = wording.unless.iter().map(|number| places.of(*number));
        if unless.any(|list| list.iter().any(|no| at.from <= no.from && no.to <= at.to)) {
            return None;
        }
        Some(Manner {
            kind: *kind,
            span: span(said, at),
        })
    })
}
