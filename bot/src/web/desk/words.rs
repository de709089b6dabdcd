//! A lifter's words with what was read in them marked. The words are text from first to last:
//! nothing in them becomes markup.

use cueline_core::catalog::{Catalog, LiftBook};
use cueline_core::reading::{FlagLevel, Hints, Polarity, TextSpan, read};
use cueline_core::report::Lift;
use maud::{Markup, html};

/// What a part of the words was read as; the first of those that claim a letter gets it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// A red flag.
    Flag,
    /// A sign that is there.
    There,
    /// A sign said not to be there.
    NotThere,
    /// A fact of the set or the lifter.
    Fact,
}

impl Kind {
    /// Every kind, as the legend lists them.
    pub(super) const ALL: [Self; 4] = [Self::Flag, Self::There, Self::NotThere, Self::Fact];

    const fn class(self) -> &'static str {
        match self {
            Self::Flag => "flag",
            Self::There => "there",
            Self::NotThere => "not-there",
            Self::Fact => "fact",
        }
    }

    /// In words, for the legend and for those who do not see the marks.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Flag => "red flag",
            Self::There => "sign",
            Self::NotThere => "sign, said not to be there",
            Self::Fact => "fact",
        }
    }
}

/// One run of the words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Piece {
    /// The words, as they are.
    pub(super) text: String,
    /// What they were read as, and its name.
    pub(super) mark: Option<(Kind, String)>,
}

/// Splits words into marked and unmarked runs; together they are the words again.
pub(super) fn pieces(text: &str, catalog: &Catalog, hints: Hints) -> Vec<Piece> {
    let mut marks = marks(text, catalog, hints);
    marks.sort_by_key(|(span, kind, _)| (*kind, span[0]));
    let mut taken: Vec<(TextSpan, Kind, String)> = Vec::new();
    for (span, kind, name) in marks {
        let free = taken
            .iter()
            .all(|(other, ..)| span[1] <= other[0] || other[1] <= span[0]);
        if free && span[0] < span[1] {
            taken.push((span, kind, name));
        }
    }
    taken.sort_by_key(|(span, ..)| span[0]);
    let letters: Vec<char> = text.chars().collect();
    let run = |from: usize, to: usize| letters.get(from..to).unwrap_or_default().iter().collect();
    let mut pieces = Vec::new();
    let mut at = 0;
    for (span, kind, name) in taken {
        let to = span[1].min(letters.len());
        if at < span[0] {
            pieces.push(Piece {
                text: run(at, span[0]),
                mark: None,
            });
        }
        pieces.push(Piece {
            text: run(span[0], to),
            mark: Some((kind, name)),
        });
        at = to;
    }
    if at < letters.len() {
        pieces.push(Piece {
            text: run(at, letters.len()),
            mark: None,
        });
    }
    pieces
}

/// Everything read, with its place and its name.
fn marks(text: &str, catalog: &Catalog, hints: Hints) -> Vec<(TextSpan, Kind, String)> {
    let reading = read(text, catalog, hints);
    let lift = hints.lift.or(reading.fields.lift);
    let books: Vec<&LiftBook> = match lift {
        Some(lift) => catalog.lifts.get(&lift).into_iter().collect(),
        None => Lift::ALL
            .iter()
            .filter_map(|lift| catalog.lifts.get(lift))
            .collect(),
    };
    let flags = reading.flags.iter().map(|mention| {
        let level = match mention.level {
            FlagLevel::Emergency => "emergency",
            FlagLevel::Clinician => "clinician",
            FlagLevel::Coach => "for the coach",
            FlagLevel::None => "no level",
        };
        let name = format!("{} ({level})", mention.flag);
        (mention.span, Kind::Flag, name)
    });
    let signs = reading.signs.iter().map(|mention| {
        let kind = match mention.polarity {
            Polarity::Present => Kind::There,
            Polarity::Absent => Kind::NotThere,
        };
        let known = books.iter().find_map(|book| book.sign(&mention.sign));
        let name = known.map_or_else(|| mention.sign.clone(), |sign| sign.meaning.clone());
        (mention.span, kind, name)
    });
    let facts = reading
        .mentions
        .iter()
        .map(|mention| (mention.span, Kind::Fact, mention.field.replace('_', " ")));
    flags.chain(signs).chain(facts).collect()
}

/// The words as markup.
pub(super) fn marked(text: &str, catalog: &Catalog, hints: Hints) -> Markup {
    html! {
        @for piece in pieces(text, catalog, hints) {
            @match &piece.mark {
                Some((kind, name)) => {
                    mark class=(kind.class()) title={ (kind.name()) ": " (name) } { (piece.text) }
                    span.unseen { " (" (kind.name()) ": " (name) ") " }
                }
                None => (piece.text),
            }
        }
    }
}

/// What the marks mean.
pub(super) fn legend() -> Markup {
    html! {
        p.legend {
            "Read in the words: "
            @for kind in Kind::ALL { mark class=(kind.class()) { (kind.name()) } " " }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;
    use std::sync::OnceLock;

    fn catalog() -> &'static Catalog {
        static CATALOG: OnceLock<Catalog> = OnceLock::new();
        CATALOG.get_or_init(|| crate::brain::load(None).unwrap().1.catalog)
    }

    fn kinds(text: &str) -> Vec<(String, Kind)> {
        pieces(text, catalog(), Hints::default())
            .into_iter()
            .filter_map(|piece| Some((piece.text, piece.mark?.0)))
            .collect()
    }

    #[test]
    fn signs_facts_and_danger_are_marked_where_they_stand() {
        let found = kinds("squat 140 kg x 3, hips shoot up, no knee cave. sharp chest pain");
        let kind = |part: &str| {
            let piece = found.iter().find(|(text, _)| text.contains(part));
            piece.map(|(_, kind)| *kind)
        };
        assert_eq!(kind("140"), Some(Kind::Fact), "{found:?}");
        assert_eq!(kind("hips shoot"), Some(Kind::There), "{found:?}");
        assert_eq!(kind("chest"), Some(Kind::Flag), "{found:?}");
        assert_eq!(kind("knee"), Some(Kind::NotThere), "{found:?}");
    }

    #[test]
    fn words_never_become_markup() {
        let attack =
            "squat 140 kg <script>alert(1)</script> hips shoot up \"><img src=x onerror=y>";
        let shown = marked(attack, catalog(), Hints::default()).into_string();
        assert!(
            !shown.contains("<script") && !shown.contains("<img"),
            "{shown}"
        );
        assert!(shown.contains("&lt;script"), "{shown}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn the_pieces_together_are_the_words(text in "(squat |140 kg |hips shoot up |é|<b>|no pain |\\n|[a-z ]{0,6}){0,8}") {
            let pieces = pieces(&text, catalog(), Hints::default());
            let together: String = pieces.iter().map(|piece| piece.text.as_str()).collect();
            prop_assert_eq!(together, text);
        }
    }
}
