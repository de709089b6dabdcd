//! A coach's verdict in words: the causes of one lift, by id, by name, or by the nearest words.

use crate::catalog::nearest::nearest;
use crate::catalog::words::{fold, stem};
use crate::catalog::{Cause, Kind, LiftBook, Strength};
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// Most causes of one verdict.
pub const MOST_CAUSES: usize = 3;

/// Most pieces a verdict is cut into; more is a letter, not a verdict.
const MOST_PIECES: usize = 12;

/// Share of what a piece says that has to be found in a cause (common practice, no source).
const ENOUGH: f64 = 0.5;

/// How far ahead of the next cause it has to be (common practice, no source).
const AHEAD: f64 = 0.16;

/// How much a word counts that stands in what the cause is called, and not in its id.
const OF_A_NAME: f64 = 0.85;

/// How much a word counts that stands with a sign of the cause only.
const OF_A_SIGN: f64 = 0.55;

/// What a word weighs that no cause of the lift knows ("poor", "really").
const STRANGE: f64 = 0.6;

/// Causes named as nearest.
const NEAREST: usize = 3;

/// Words that carry nothing here.
const SMALL: [&str; 31] = [
    "a", "an", "and", "are", "at", "be", "first", "for", "from", "has", "he", "her", "his", "in",
    "is", "it", "no", "not", "of", "on", "or", "out", "she", "so", "the", "their", "then", "to",
    "too", "was", "with",
];

/// Why a verdict could not be taken.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SpokenFault {
    /// Nothing was said.
    #[error("no cause was named")]
    Nothing,
    /// A piece that is no cause of the lift, or could be several.
    #[error("\"{said}\" is not a known cause")]
    Unknown {
        /// The piece as said.
        said: String,
        /// Ids of the causes nearest to it, nearest first; may be empty.
        nearest: Vec<String>,
    },
    /// More causes than a verdict holds.
    #[error("found {found} causes, accepted are at most {MOST_CAUSES}")]
    TooMany {
        /// How many different ones.
        found: usize,
    },
}

/// Ids of the causes a coach names, in the coach's order, each once; none for "none". Pieces are
/// parted by commas, semicolons, new lines or "then".
pub fn spoken_causes(book: &LiftBook, said: &str) -> Result<Vec<String>, SpokenFault> {
    let whole = plain(said);
    if whole.is_empty() {
        return Err(SpokenFault::Nothing);
    }
    if ["none", "no fault", "no faults", "nothing"].contains(&whole.as_str()) {
        return Ok(Vec::new());
    }
    // A name may hold a comma of its own.
    if let Some(cause) = by_name(book, said) {
        return Ok(vec![cause.id.clone()]);
    }
    let pieces: Vec<&str> = said
        .split([',', ';', '\n', '>'])
        .flat_map(|piece| piece.split(" then "))
        .filter(|piece| !plain(piece).is_empty())
        .collect();
    if pieces.len() > MOST_PIECES {
        return Err(SpokenFault::TooMany {
            found: pieces.len(),
        });
    }
    let mut causes: Vec<String> = Vec::new();
    for piece in pieces {
        let cause = one(book, piece).map_err(|nearest| SpokenFault::Unknown {
            said: piece.trim().to_owned(),
            nearest,
        })?;
        if !causes.contains(&cause.id) {
            causes.push(cause.id.clone());
        }
    }
    if causes.len() > MOST_CAUSES {
        return Err(SpokenFault::TooMany {
            found: causes.len(),
        });
    }
    Ok(causes)
}

/// Lower case, single spaces, punctuation gone at the ends of words; what ids hold stays.
pub(crate) fn plain(text: &str) -> String {
    let words = text.split_whitespace().map(|word| {
        word.trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    });
    let words: Vec<String> = words.filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

/// The cause with this id, with or without its beginning (`c-sq-`), or with this very name.
pub(crate) fn by_name<'a>(book: &'a LiftBook, said: &str) -> Option<&'a Cause> {
    let said = plain(said);
    book.causes.iter().find(|cause| {
        cause.id == said
            || short(&cause.id) == said
            || plain(&cause.meaning) == said
            || plain(&cause.plain) == said
    })
}

/// An id without what all ids of a lift begin with: `c-sq-brace` is `brace`.
fn short(id: &str) -> &str {
    id.splitn(3, '-').nth(2).unwrap_or(id)
}

/// The cause a piece names, or the ids of the nearest ones.
fn one<'a>(book: &'a LiftBook, said: &str) -> Result<&'a Cause, Vec<String>> {
    if let Some(cause) = by_name(book, said) {
        return Ok(cause);
    }
    let text = plain(said);
    if !text.contains(' ') && text.contains('-') {
        let ids = book.causes.iter().map(|cause| cause.id.as_str());
        return Err(nearest(&text, ids).into_iter().map(str::to_owned).collect());
    }
    let words = stems(said);
    let by_id = |cause: &&Cause| !words.is_empty() && stems(short(&cause.id)) == words;
    if let Some(cause) = book.causes.iter().find(by_id) {
        return Ok(cause);
    }
    let vocabulary: Vec<Vocabulary> = book
        .causes
        .iter()
        .map(|cause| Vocabulary::of(book, cause))
        .collect();
    let mut ranked: Vec<(f64, &Cause)> = book
        .causes
        .iter()
        .zip(&vocabulary)
        .map(|(cause, own)| (likeness(&words, own, &vocabulary), cause))
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    match ranked.as_slice() {
        [(best, cause), rest @ ..]
            if *best >= ENOUGH && rest.first().is_none_or(|(next, _)| best - next >= AHEAD) =>
        {
            Ok(cause)
        }
        _ => Err(ranked
            .iter()
            .filter(|(likeness, _)| *likeness > 0.0)
            .take(NEAREST)
            .map(|(_, cause)| cause.id.clone())
            .collect()),
    }
}

/// Stems of the words that carry something.
pub(crate) fn stems(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .map(fold)
        .filter(|word| !word.is_empty() && !SMALL.contains(&word.as_str()))
        .map(|word| stem(&word))
        .collect()
}

/// The words a cause goes by, each with how much it counts, 0 to 1.
struct Vocabulary(BTreeMap<String, f64>);

impl Vocabulary {
    fn of(book: &LiftBook, cause: &Cause) -> Self {
        let mut words = BTreeMap::new();
        let mut add = |text: &str, counts: f64| {
            for word in stems(text) {
                words.entry(word).or_insert(counts);
            }
        };
        add(short(&cause.id), 1.0);
        add(of_kind(cause.kind), 1.0);
        add(&cause.meaning, OF_A_NAME);
        add(&cause.plain, OF_A_NAME);
        let signs = cause
            .shows
            .iter()
            .filter(|(_, strength)| *strength >= Strength::Often)
            .filter_map(|(id, _)| book.sign(id));
        for sign in signs {
            add(&sign.meaning, OF_A_SIGN);
            for phrase in &sign.phrases {
                add(phrase, OF_A_SIGN);
            }
        }
        Self(words)
    }

    /// How well a word is one of this cause's, 0 to 1.
    fn has(&self, word: &str) -> f64 {
        self.0.get(word).copied().unwrap_or_else(|| {
            let near = self.0.iter().filter(|(known, _)| alike(word, known));
            near.map(|(_, counts)| *counts).fold(0.0, f64::max)
        })
    }
}

/// What coaches call causes of a kind by, whatever the cause's own name.
const fn of_kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Technique => "",
        Kind::Strength => "weak strength",
        Kind::Load => "heavy load overload",
        Kind::Side => "side uneven",
    }
}

/// The same word, or one slip in a word long enough to tell.
pub(crate) fn alike(said: &str, known: &str) -> bool {
    let long = said.chars().count() >= 5 && known.chars().count() >= 5;
    said == known || (long && crate::catalog::nearest::edits(said, known) <= 1)
}

/// How much of what is said belongs to a cause, rare words counting more (inverse document
/// frequency, Spärck Jones 1972).
fn likeness(words: &BTreeSet<String>, own: &Vocabulary, all: &[Vocabulary]) -> f64 {
    let (mut found, mut said) = (0.0, 0.0);
    for word in words {
        let holders: f64 = all.iter().map(|other| other.has(word)).sum();
        let weight = if holders > 0.0 {
            (1.0 + all.len() as f64 / holders.max(1.0)).ln()
        } else {
            STRANGE
        };
        said += weight;
        found += weight * own.has(word);
    }
    if said > 0.0 { found / said } else { 0.0 }
}
