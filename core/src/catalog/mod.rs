//! The coach's knowledge, typed: signs, causes, corrections, questions, context and escalations.
//!
//! Takes text, reads no file. A catalog is checked as a whole: every reference resolves, nothing
//! is orphaned, every figure is in range; all faults are reported at once with file and line.

mod entry;
mod flags;
mod hazards;
mod lexicon;
pub(crate) mod pattern;
pub(crate) mod words;

pub use entry::{
    Cause, Channel, Check, Choice, ContextRule, Correction, Dose, Escalation, Gate, Kind,
    LoadBasis, Prior, Question, Sign, Stage, Strength, Style,
};

pub use flags::{FlagBook, FlagRule, Raise, WhenPast};
pub use hazards::{HazardLevel, HazardRule, Hazards};
pub use lexicon::{Cues, Lexicon};

use crate::report::Lift;
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
    /// Red flags: what raises them and what to say.
    pub flags: FlagBook,
    /// Hazards that need no symptom.
    pub hazards: Hazards,
    /// The words lifters use.
    pub lexicon: Lexicon,
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
    /// Questions that may be asked.
    pub questions: Vec<Question>,
    /// How to film this lift, in one or two sentences for the reply.
    pub filming: String,
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
}
