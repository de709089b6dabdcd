//! Belief network: evidence, posterior, earliest link, next question.

use crate::catalog::{ContextRule, LiftBook};
use crate::report::SetReport;
use serde::{Deserialize, Serialize};

/// How a finding was come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// Read in the lifter's words.
    Words,
    /// Ticked on a form.
    Ticked,
    /// Measured on a trace.
    Measured,
    /// Answered to a question.
    Answered,
}

/// One thing known about one sign. A sign without a finding stays unknown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// Sign id.
    pub sign: String,
    /// Probability that the sign is there: 1 seen, 0 looked for and absent, between when soft.
    pub probability: f64,
    /// How it was come by.
    pub from: Origin,
}

/// How much one sign moved one belief.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Weight {
    /// Sign id.
    pub sign: String,
    /// Log-likelihood ratio: ln P(finding | cause) - ln P(finding | no cause), others as believed.
    pub weight: f64,
}

/// What is believed of one cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Belief {
    /// Cause id.
    pub cause: String,
    /// Posterior probability.
    pub probability: f64,
    /// Signs that raised it, strongest first.
    #[serde(rename = "for")]
    pub supports: Vec<Weight>,
    /// Signs that lowered it, strongest first.
    pub against: Vec<Weight>,
}

/// The next question and its choices.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NextQuestion {
    /// Question id.
    pub id: String,
    /// The question as asked.
    pub text: String,
    /// The choices' words.
    pub choices: Vec<String>,
}

/// A reason for the coach to look.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Raised {
    /// Escalation id.
    pub id: String,
    /// Why, in words.
    pub why: String,
}

/// The whole view of one set.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Diagnosis {
    /// Every cause in play, most probable first.
    pub beliefs: Vec<Belief>,
    /// Causes to work on, first thing to fix first; at most two.
    pub chosen: Vec<String>,
    /// The question whose answer would change the choice, if any.
    pub question: Option<NextQuestion>,
    /// Why the bot is not sure, in words; the coach gets it then.
    pub unsure: Option<String>,
    /// Signs that mean nothing here (small asymmetry, style), with the kind words for it.
    pub no_fault: Vec<(String, String)>,
}

/// Thresholds of the choice.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// A cause at or above this probability is probable.
    pub probable: f64,
    /// Causes within this many natural-log units of odds are tied, and the upstream one is named.
    pub margin: f64,
    /// Most changes given at once.
    pub most_changes: usize,
    /// Most questions asked in a case.
    pub most_questions: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            probable: 0.5,
            margin: 1.0,
            most_changes: 2,
            most_questions: 2,
        }
    }
}

/// Diagnoses one set from what is known about its signs.
pub fn diagnose(
    book: &LiftBook,
    context: &[ContextRule],
    report: &SetReport,
    findings: &[Finding],
    settings: &Settings,
) -> Diagnosis {
    let _ = (book, context, report, findings, settings);
    Diagnosis::default()
}
