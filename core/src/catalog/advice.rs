//! Advice that members should not give one another: what it is known by, and what becomes of it.

use super::check::{Check, unique_ids};
use super::words::fold;
use serde::{Deserialize, Serialize};

/// What becomes of an answer that holds such advice.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Act {
    /// The coach reads it before it counts.
    #[default]
    Hold,
    /// It is removed at once, and the member gets a strike.
    Remove,
}

/// One kind of advice that does not simply count.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdviceRule {
    /// Id such as `through-pain`.
    pub id: String,
    /// What becomes of it.
    #[serde(default)]
    pub act: Act,
    /// Removed at once, whatever `act` says, when it is said to somebody under 18.
    #[serde(default)]
    pub remove_for_minors: bool,
    /// Why, as said to the member and the coach (`it tells somebody to lift through pain`).
    pub why: String,
    /// What is right instead, in a sentence or two: said where the advice stood. Required of what is
    /// removed.
    #[serde(default)]
    pub note: String,
    /// What the coach is told beside the words, if anything.
    #[serde(default)]
    pub coach_note: String,
    /// Words that stand together in such advice; an ending such as `-ing` or `-s` makes no difference.
    pub phrases: Vec<String>,
    /// Wordings around a phrase that make it harmless ("like an idiot", of oneself).
    #[serde(default)]
    pub except: Vec<String>,
}

impl Check<'_, '_, '_> {
    /// Every kind of advice is known by words, says why, and what is removed says what is right.
    pub(super) fn advice(&mut self) {
        let blocks = &self.shelves.advice;
        unique_ids(blocks, "", |rule| &rule.id, self.problems);
        for entry in &blocks.entries {
            let rule = &entry.value;
            self.words(entry, &[("why", &rule.why)]);
            self.fragments(entry, &[("why", &rule.why)]);
            if (rule.act == Act::Remove || rule.remove_for_minors) && rule.note.trim().is_empty() {
                let what = format!("`{}` is removed and has no note", rule.id);
                self.say(entry, &rule.id, what, "a note: what is right instead");
            }
            if rule.phrases.is_empty() {
                let what = format!("`{}` has no phrase", rule.id);
                self.say(entry, "phrases =", what, "at least one phrase");
            }
            for phrase in rule.phrases.iter().chain(&rule.except) {
                if fold(phrase).chars().all(|letter| !letter.is_alphanumeric()) {
                    let what = format!("the phrase \"{phrase}\" holds no word");
                    self.say(entry, phrase, what, "one word or more");
                }
            }
        }
    }
}
