//! Advice that is not counted before the coach has read it.

use super::answer::Answer;
use super::marks::unsafe_load;
use crate::catalog::AdviceRule;
use crate::catalog::words::{fold, stem};

/// Words that turn a phrase round.
const TURNS: [&str; 8] = [
    "never", "not", "no", "dont", "don't", "avoid", "without", "stop",
];

/// How many words before a phrase may turn it round (common practice, no source).
const REACH: usize = 3;

/// Why an answer is held: every reason once, in the order of the rules; empty when it may count.
///
/// `text` is the answer as written, `answer` what was understood of it.
pub fn unsafe_advice(rules: &[AdviceRule], text: &str, answer: &Answer) -> Vec<String> {
    let said = words(text);
    let mut why: Vec<String> = rules
        .iter()
        .filter(|rule| rule.phrases.iter().any(|phrase| holds(&said, phrase)))
        .map(|rule| rule.why.clone())
        .collect();
    if answer.exercise.as_ref().is_some_and(unsafe_load) {
        why.push("its load is above 80 % of the best single".to_owned());
    }
    why
}

/// The words of a text: each folded, and its stem.
fn words(text: &str) -> Vec<(String, String)> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .map(fold)
        .filter(|word| !word.is_empty())
        .map(|word| {
            let root = stem(&word);
            (word, root)
        })
        .collect()
}

/// The phrase stands in what is said, and nothing right before turns it round.
fn holds(said: &[(String, String)], phrase: &str) -> bool {
    let phrase = words(phrase);
    if phrase.is_empty() {
        return false;
    }
    said.windows(phrase.len()).enumerate().any(|(at, window)| {
        let same = window
            .iter()
            .zip(&phrase)
            .all(|(said, wanted)| said.1 == wanted.1);
        let turned = said
            .iter()
            .take(at)
            .rev()
            .take(REACH)
            .any(|(word, _)| TURNS.contains(&word.as_str()));
        same && !turned
    })
}
