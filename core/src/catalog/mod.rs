//! The coach's knowledge, typed: signs, causes, corrections, questions, context and escalations.
//!
//! Takes text, reads no file. A catalog is checked as a whole: every reference resolves, nothing
//! is orphaned, every figure is in range; all faults are reported at once with file and line.

mod advice;
mod chain;
mod check;
mod condition;
mod cut;
mod document;
mod entry;
mod fact;
mod flags;
mod hazards;
mod learned;
mod lexicon;
mod manners;
pub(crate) mod nearest;
mod parse;
pub(crate) mod pattern;
mod phrases;
mod post_weights;
mod prescription;
mod sign_weights;
mod sign_words;
pub(crate) mod spelling;
mod spread;
mod summons;
#[cfg(test)]
mod tests;
mod weights;
pub(crate) mod words;

pub use advice::{Act, AdviceRule};
pub use condition::{Condition, ConditionError};
pub use entry::{
    Cause, Channel, Check, Choice, ContextRule, Correction, Dose, Escalation, Gate, Kind,
    LoadBasis, MeetRule, Prior, Question, Sign, Stage, Strength, Style, ViewRule,
};
pub(crate) use fact::{LIMIT_EFFORT, LIMIT_LOAD};
pub use flags::{FlagBook, FlagRule, Raise, WhenPast};
pub use hazards::{HazardLevel, HazardRule, Hazards};
pub use learned::Learned;
pub use lexicon::{Cues, Lexicon};
pub use manners::{MannerKind, Manners};
pub use parse::{FILES, OPTIONAL_FILES};
pub use post_weights::PostWeights;
pub use sign_weights::{LiftWeights, SignWeights};
pub(crate) use sign_words::SignWording;
pub use sign_words::SignWords;
pub(crate) use summons::{Summons, SummonsWording};
pub use weights::Weights;

use crate::motion::MotionLimits;
use crate::reading::PreparedOnce;
use crate::report::{Lift, SetReport};
use std::collections::BTreeMap;

/// Everything the coach has written down, checked.
#[derive(Clone, Debug, Default)]
pub struct Catalog {
    /// One book a lift.
    pub lifts: BTreeMap<Lift, LiftBook>,
    /// When a sign does not matter, and what body, goal and equipment change.
    pub context: Vec<ContextRule>,
    /// When a person has to look.
    pub escalations: Vec<Escalation>,
    /// What each view can show.
    pub view_rules: Vec<ViewRule>,
    /// Rules of competition.
    pub meet_rules: Vec<MeetRule>,
    /// What is said of their edition, with every rule told.
    pub meet_edition: String,
    /// Red flags: what raises them and what to say.
    pub flags: FlagBook,
    /// Hazards that need no symptom.
    pub hazards: Hazards,
    /// The words lifters use.
    pub lexicon: Lexicon,
    /// Signs by their concepts.
    pub sign_words: SignWords,
    /// How much words tell of a sign.
    pub sign_weights: SignWeights,
    /// What the lifter may write that has the coach look.
    pub(crate) summons: Summons,
    /// What the lifter may write that lets a rule of context hold.
    pub(crate) rules_said: Summons,
    /// How much words tell of a body in trouble.
    pub weights: Weights,
    /// What people write besides sets.
    pub manners: Manners,
    /// Advice between members that the coach reads before it counts.
    pub advice: Vec<AdviceRule>,
    /// Limits of what is measured on traces.
    pub motion: Box<MotionLimits>,
    /// Which edition of the texts this is: the FNV-1a hash of all of them in hexadecimal, the same
    /// for the same texts; empty for a catalog that was not parsed.
    pub edition: String,
    /// What the reader makes of the above once, at the parse or at the first text read; a clone
    /// shares it, so a catalog is changed before it is first read from, never after.
    pub(crate) prepared: PreparedOnce,
}

/// The knowledge of one lift.
#[derive(Clone, Debug, Default)]
pub struct LiftBook {
    /// Signs in the order of the file.
    pub signs: Vec<Sign>,
    /// Causes in the order of the chain: upstream first.
    pub causes: Vec<Cause>,
    /// One correction for each cause.
    pub corrections: Vec<Correction>,
    /// Questions that may be asked; those for all lifts come last.
    pub questions: Vec<Question>,
    /// How to film this lift, in one or two sentences for the reply.
    pub filming: String,
    /// What the coach's verdicts have made of its figures; empty unless learning is on.
    pub learned: Learned,
}

/// One file of the catalog as text.
#[derive(Clone, Copy, Debug)]
pub struct CatalogFile<'a> {
    /// File name without folder (`squat-signs.toml`), shown in problems.
    pub name: &'a str,
    /// The whole text.
    pub text: &'a str,
}

/// One fault of the catalog, said so that a coach can mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogProblem {
    /// The file's name.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// What is wrong, with what was found.
    pub what: String,
    /// What is accepted there.
    pub accepted: String,
}

impl std::fmt::Display for CatalogProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}:{}: {}; accepted: {}",
            self.file, self.line, self.what, self.accepted
        )
    }
}

impl std::error::Error for CatalogProblem {}

impl ContextRule {
    /// Whether the machine may apply the rule to this report: it has conditions, and all of them
    /// hold. A rule without conditions needs a human eye; a fact not said does not hold.
    pub fn applies(&self, report: &SetReport) -> bool {
        let here = self.lift.is_none() || self.lift == report.lift;
        let holds = |text: &String| {
            Condition::parse(text).is_ok_and(|condition| condition.holds(report) == Some(true))
        };
        here && !self.conditions.is_empty() && self.conditions.iter().all(holds)
    }
}

impl Question {
    /// The choice meant: by its words whatever the case, spaces and punctuation, by its shorter
    /// words, by its number counted from 1, or by words that begin no other.
    pub fn choice(&self, said: &str) -> Option<&Choice> {
        let meant = plain(said);
        if meant.is_empty() {
            return None;
        }
        let named = |c: &&Choice| plain(&c.say) == meant || c.or.iter().any(|w| plain(w) == meant);
        let by_number = || {
            let number: usize = said.trim().trim_end_matches(['.', ')']).parse().ok()?;
            self.choices.get(number.checked_sub(1)?)
        };
        let by_words = self.choices.iter().find(named);
        by_words.or_else(by_number).or_else(|| {
            let begins = |c: &&Choice| plain(&c.say).starts_with(&meant);
            let mut beginning = self.choices.iter().filter(begins);
            let first = beginning.next()?;
            beginning.next().is_none().then_some(first)
        })
    }

    /// Whether the question fits this report.
    pub fn fits(&self, report: &SetReport) -> bool {
        let holds = |text: &String| {
            Condition::parse(text).is_ok_and(|condition| condition.holds(report) == Some(true))
        };
        self.when.is_empty() || self.when.iter().any(holds)
    }
}

/// Lower case letters and digits only, so that case, spaces and punctuation do not matter.
fn plain(words: &str) -> String {
    words
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

impl LiftBook {
    /// The sign with this id.
    pub fn sign(&self, id: &str) -> Option<&Sign> {
        self.signs.iter().find(|sign| sign.id == id)
    }

    /// The cause with this id.
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|cause| cause.id == id)
    }

    /// The correction of the cause with this id.
    pub fn correction(&self, cause: &str) -> Option<&Correction> {
        self.corrections.iter().find(|c| c.cause == cause)
    }

    /// The question with this id.
    pub fn question(&self, id: &str) -> Option<&Question> {
        self.questions.iter().find(|question| question.id == id)
    }

    /// The choice the report gives to a question, matched as [`Question::choice`] does.
    pub fn chosen<'a>(&'a self, report: &SetReport, question: &str) -> Option<&'a Choice> {
        self.question(question)?
            .choice(report.answers.get(question)?)
    }

    /// Writes the facts that answers settle (`shoes=running`) into the report's own fields; what
    /// the lifter has said there already is kept.
    pub fn settle(&self, report: &mut SetReport) {
        let facts: Vec<Condition> = report
            .answers
            .keys()
            .filter_map(|question| self.chosen(report, question))
            .flat_map(|choice| &choice.context)
            .filter_map(|fact| Condition::parse(fact).ok())
            .collect();
        for fact in facts {
            fact.record(report);
        }
    }
}
