//! Where one clause ends and the next begins.

use super::said::{Said, Word};
use crate::catalog::Lexicon;

/// Divides clauses further at joining words.
pub(super) fn divide(words: &mut [Word], said: &Said, lexicon: &Lexicon) {
    let mut starts = vec![false; words.len()];
    for at in said.group(lexicon, "cue scope ends") {
        if let Some(start) = starts.get_mut(at.from) {
            *start = true;
        }
    }
    for index in 1..words.len() {
        let text = |at: usize| words.get(at).map_or("", |word| word.token.text.as_str());
        let joins = match text(index) {
            "and" | "n" => {
                matches!(
                    text(index + 1),
                    "i" | "im"
                        | "ive"
                        | "my"
                        | "now"
                        | "then"
                        | "feel"
                        | "felt"
                        | "the"
                        | "its"
                        | "it"
                        | "still"
                        | "there"
                        | "had"
                        | "have"
                        | "got"
                        | "he"
                        | "she"
                        | "we"
                ) || begins(text(index + 1))
            }
            "because" | "cos" | "when" | "while" | "so" | "since" => true,
            _ => false,
        };
        if joins && let Some(start) = starts.get_mut(index) {
            *start = true;
        }
    }
    let mut added = 0;
    for (word, start) in words.iter_mut().zip(starts) {
        added += usize::from(start);
        word.clause += added;
    }
}

/// Whether a word after "and" begins a statement of its own ("no pain and fainted"), not the
/// next thing of a list ("no pain and dizziness").
fn begins(word: &str) -> bool {
    (word.len() > 4 && word.ends_with("ed"))
        || matches!(
            word,
            "went"
                | "got"
                | "fell"
                | "threw"
                | "cant"
                | "keep"
                | "keeps"
                | "lost"
                | "woke"
                | "was"
                | "is"
                | "feels"
                | "has"
                | "wont"
                | "couldnt"
                | "came"
                | "hurts"
                | "aches"
                | "being"
        )
}
