//! Texts in another language: only English is read, so the coach looks; words of danger of the
//! main other languages get the emergency text all the same.

use super::said::{At, Said};
use super::{FlagLevel, FlagMention, Reading};
use crate::catalog::Catalog;

/// Small words of another language from which a text is taken to be in one.
const SMALL_WORDS: usize = 3;

/// Of how many words one must be such a small word.
const OF_WORDS: usize = 5;

/// Words that deny the next one in the languages of the lexicon.
const DENIALS: [&str; 12] = [
    "kein",
    "keine",
    "keinen",
    "ohne",
    "sans",
    "sin",
    "senza",
    "sem",
    "geen",
    "zonder",
    "bez",
    "keinerlei",
];

/// Flags a text that was not, or not all, understood because it is in another language.
pub(super) fn unread(said: &Said, catalog: &Catalog, reading: &mut Reading) {
    let danger = danger(said, catalog);
    let told = danger
        .or_else(|| pain(said, catalog))
        .or_else(|| foreign(said));
    if let Some(at) = told {
        let level = if danger.is_some() {
            FlagLevel::Emergency
        } else {
            FlagLevel::Coach
        };
        let words = said.slice(at);
        let from = words.first().map_or(0, |word| word.token.span[0]);
        reading.flags.push(FlagMention {
            flag: "unread".to_owned(),
            level,
            span: [from, words.last().map_or(from, |word| word.token.span[1])],
        });
        reading.level = reading.level.max(level);
    }
}

/// A saying of danger that no word before it denies.
fn danger(said: &Said, catalog: &Catalog) -> Option<At> {
    let places = said.group(&catalog.lexicon, "cue emergency abroad");
    let foreign = said.words.len() == 1 || small(said) > 0;
    places.iter().copied().find(|at| {
        let before = at.from.checked_sub(1).and_then(|i| said.words.get(i));
        let denied = before.is_some_and(|word| DENIALS.contains(&word.token.text.as_str()));
        // One word may be an English one too (ambulance), and what English says is read elsewhere.
        !denied && (at.to - at.from > 1 || foreign)
    })
}

/// A word of pain.
fn pain(said: &Said, catalog: &Catalog) -> Option<At> {
    let abroad = &catalog.lexicon.pain_abroad;
    let from = said.words.iter().position(|word| {
        let text = &word.token.text;
        said.meaning(word).is_some_and(|known| known.pain_abroad)
            || (!text.is_ascii()
                && abroad
                    .iter()
                    .any(|pain| !pain.is_ascii() && text.contains(pain.as_str())))
    })?;
    Some(At { from, to: from + 1 })
}

/// How many words are small words of another language.
fn small(said: &Said) -> usize {
    let words = said.words.iter();
    words
        .filter(|word| said.meaning(word).is_some_and(|known| known.small_abroad))
        .count()
}

/// A whole text in another language or script.
fn foreign(said: &Said) -> Option<At> {
    let words = &said.words;
    let scripts = words.iter().filter(|word| !word.token.text.is_ascii());
    let small = small(said);
    let letters = words.iter().filter(|word| word.number.is_none()).count();
    let script = scripts.count() * 2 > letters;
    let tongue = small >= SMALL_WORDS && small * OF_WORDS >= letters;
    (letters > 0 && (script || tongue)).then_some(At {
        from: 0,
        to: words.len(),
    })
}
