//! The entries of the catalog as they stand in its TOML files.

use crate::quantity::Span;
use crate::report::View;
use serde::{Deserialize, Serialize};

/// A part of the lift, in order of time; `All` cuts across.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Brace and set-up.
    SetUp,
    /// Unrack and walk-out; bench: unrack; deadlift: start position.
    Unrack,
    /// Bench: hand-off.
    HandOff,
    /// Descent.
    Descent,
    /// Bottom or touch.
    Bottom,
    /// Drive.
    Drive,
    /// Lockout.
    Lockout,
    /// Re-rack or set-down.
    Rerack,
    /// The whole set.
    All,
}

/// Who or what can notice a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Channel {
    /// The lifter feels it.
    Felt,
    /// A viewer sees it.
    Viewer,
    /// A trace measures it.
    Trace,
}

/// Something seen, felt or measured in a set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// Id such as `sq-torso-pitch`.
    pub id: String,
    /// What it is, for the coach.
    pub meaning: String,
    /// The same in plain words for a reply, to follow "because" or "you said" (`your torso tips forward part-way down`).
    pub plain: String,
    /// Where in the lift it belongs.
    pub stages: Vec<Stage>,
    /// Who can notice it.
    pub by: Vec<Channel>,
    /// Views from which it can be judged; empty when it is felt or logged.
    #[serde(default)]
    pub views: Vec<View>,
    /// Phrases lifters use.
    pub phrases: Vec<String>,
    /// How often it is there with no fault behind it, 0 to 1.
    #[serde(default = "default_leak")]
    pub leak: f64,
    /// Counts as a fault only for those who compete.
    #[serde(default)]
    pub rule_only: bool,
    /// Says little by itself (where the bar slows, what is felt): with nothing else there, and
    /// nothing ruled out, it is no verdict and a question comes first.
    #[serde(default)]
    pub vague: bool,
    /// A pain sign: never raises a technique cause by itself.
    #[serde(default)]
    pub pain: bool,
    /// A pain sign that a position of the lift may bring by itself (a wrist laid back): mild, not
    /// lasting and beside a fault that brings it, it is answered with this caution; else the coach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
}

/// The share of sets that show a sign with no fault behind it, where the file gives none
/// (starting value of the trade's practice, no source).
const fn default_leak() -> f64 {
    0.06
}

/// How often a cause is behind a submitted set (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Prior {
    /// About 2 in 100.
    Rare,
    /// About 6 in 100.
    Occasional,
    /// About 17 in 100.
    Common,
    /// About 35 in 100.
    VeryCommon,
}

impl Prior {
    /// The probability meant.
    pub const fn probability(self) -> f64 {
        match self {
            Self::Rare => 0.02,
            Self::Occasional => 0.065,
            Self::Common => 0.175,
            Self::VeryCommon => 0.35,
        }
    }
}

/// How often a cause shows a sign when the cause is really there (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strength {
    /// About 1 in 10.
    Seldom,
    /// About 3 in 10.
    Sometimes,
    /// About 6 in 10.
    Often,
    /// About 9 in 10.
    NearlyAlways,
}

impl Strength {
    /// The probability meant.
    pub const fn probability(self) -> f64 {
        match self {
            Self::Seldom => 0.1,
            Self::Sometimes => 0.3,
            Self::Often => 0.6,
            Self::NearlyAlways => 0.9,
        }
    }
}

/// What sort of cause it is; strength is blamed last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// How the lift is done.
    Technique,
    /// What the muscles can hold.
    Strength,
    /// The set was simply too heavy or too hard.
    Load,
    /// A side difference.
    Side,
}

/// When a cause is in play at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gate {
    /// Only if a helper handed the bar out.
    HandOff,
    /// Void with straps.
    NoStraps,
    /// Counts only for those who compete.
    Competitors,
}

/// Deadlift style a cause belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Style {
    /// Conventional only.
    Conventional,
    /// Sumo only.
    Sumo,
}

/// The underlying fault that makes signs appear.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Id such as `c-sq-brace`.
    pub id: String,
    /// What it is, for the coach.
    pub meaning: String,
    /// The same in plain words for a reply, to follow "most likely:" (`the breath comes late, so the trunk is soft`).
    pub plain: String,
    /// Where in the lift it acts.
    pub stage: Stage,
    /// Place in the lift's chain: 1 is furthest upstream; causes that cut across have none.
    #[serde(default)]
    pub link: Option<u32>,
    /// How common it is.
    pub prior: Prior,
    /// What sort it is.
    pub kind: Kind,
    /// Signs it shows, by strength: pairs of sign id and strength word.
    pub shows: Vec<(String, Strength)>,
    /// Causes further down that it raises.
    #[serde(default)]
    pub feeds: Vec<String>,
    /// When it is in play at all.
    #[serde(default)]
    pub gate: Option<Gate>,
    /// Deadlift style, when it belongs to one only.
    #[serde(default)]
    pub style: Option<Style>,
    /// When its signs mean nothing, for the coach.
    #[serde(default)]
    pub leak_note: String,
}

/// What a percentage of a dose is taken of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LoadBasis {
    /// Estimated best single of the same lift, done the competition way.
    #[default]
    Lift,
    /// The load of the set reviewed.
    LastSet,
    /// Best single of the exercise itself (front squat); no load can be worked out from the report.
    Exercise,
    /// No load is set: body weight, band or light.
    None,
}

/// One exercise with its dose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dose {
    /// The exercise, as said to a lifter.
    pub exercise: String,
    /// Sets, one number or a range.
    pub sets: Span,
    /// Repetitions in a set; for holds, seconds (see `unit`).
    pub reps: Span,
    /// `reps` when absent; else `seconds` or `metres` or `each side`.
    #[serde(default)]
    pub unit: Option<String>,
    /// Percent of `of`, one number or a range; absent when the load is set by feel.
    #[serde(default)]
    pub percent: Option<Span>,
    /// What the percentage is of.
    #[serde(default)]
    pub of: LoadBasis,
    /// Effort cap as RPE when set by feel.
    #[serde(default)]
    pub effort: Option<f64>,
    /// Weeks, one number or a range; absent for a drill done until the check.
    #[serde(default)]
    pub weeks: Option<Span>,
    /// Anything more to say (`2 s pause`, `flat back only`).
    #[serde(default)]
    pub note: String,
}

/// How a correction is judged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Signs that should be gone.
    pub gone: Vec<String>,
    /// Signs that should be less.
    #[serde(default)]
    pub less: Vec<String>,
    /// The set to film for the check, in words (`3 x 3 at 75-80 %`).
    pub set: String,
    /// Sets of the check.
    #[serde(default)]
    pub sets: Option<Span>,
    /// Repetitions of the check.
    #[serde(default)]
    pub reps: Option<Span>,
    /// Percent of the estimated best single.
    #[serde(default)]
    pub percent: Option<Span>,
    /// Views to film from.
    pub views: Vec<View>,
    /// Days after which to come back.
    pub days: u32,
    /// Anything more to say.
    #[serde(default)]
    pub note: String,
}

/// What to do about a cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// The cause's id.
    pub cause: String,
    /// One cue, as said to the lifter; absent when only the load changes.
    #[serde(default)]
    pub cue: String,
    /// One set-up change.
    #[serde(default)]
    pub set_up: String,
    /// The drill.
    #[serde(default)]
    pub drill: Option<Dose>,
    /// Assistance work.
    #[serde(default)]
    pub assistance: Vec<Dose>,
    /// What to try before spending money, as part of a sentence (`socks before buying shoes`).
    #[serde(default)]
    pub trial: String,
    /// What not to do, to follow "Do not" (`bounce on the calves`).
    pub do_not: String,
    /// Success check.
    pub check: Check,
}

/// One choice of a question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    /// The choice's words.
    pub say: String,
    /// Shorter words that are taken for it.
    #[serde(default)]
    pub or: Vec<String>,
    /// Signs it says are there.
    #[serde(default)]
    pub present: Vec<String>,
    /// Signs it says are not there.
    #[serde(default)]
    pub absent: Vec<String>,
    /// Context facts it settles (`shoes=running`, `hand-off=yes`, `competes=no`).
    #[serde(default)]
    pub context: Vec<String>,
    /// Escalation it raises.
    #[serde(default)]
    pub escalation: Option<String>,
}

/// One question that may be asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Id such as `q-sq-foot`.
    pub id: String,
    /// The question as asked.
    pub text: String,
    /// Choices, two to five; none when it is answered freely.
    #[serde(default)]
    pub choices: Vec<Choice>,
    /// Answered in the lifter's own words or figures; never chosen for what it tells of signs.
    #[serde(default)]
    pub free: bool,
    /// Conditions any of which makes the question fit (`missed=yes`, `effort>=9`); always when
    /// there are none. What the lifter did not say does not hold.
    #[serde(default)]
    pub when: Vec<String>,
    /// How much it asks of the lifter: 1 at once from memory, 2 has to think, 3 has to look or film.
    #[serde(default = "default_burden")]
    pub burden: f64,
}

/// A question answered from memory.
const fn default_burden() -> f64 {
    1.0
}

/// When a sign does not matter, or what body, goal and equipment change.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ContextRule {
    /// Id such as `ctx-novice`.
    pub id: String,
    /// Lift it belongs to; all when absent.
    #[serde(default)]
    pub lift: Option<crate::report::Lift>,
    /// Signs it speaks of.
    #[serde(default)]
    pub signs: Vec<String>,
    /// Causes it speaks of.
    #[serde(default)]
    pub causes: Vec<String>,
    /// When it applies, in words.
    pub when: String,
    /// What follows, in words.
    pub then: String,
    /// The machine-readable condition, all of which must hold (`training_months<12`, `competes=no`).
    #[serde(default)]
    pub conditions: Vec<String>,
    /// Words of the lifter one of which must have been said (`a / b`, `+ near`, `! unless`).
    #[serde(default)]
    pub said: Vec<String>,
    /// Signs that must have been looked for and not be there.
    #[serde(default)]
    pub absent: Vec<String>,
    /// Holds only while nothing else is there beside its signs.
    #[serde(default)]
    pub alone: bool,
    /// Steps by which the named causes' priors move (negative down) when it applies.
    #[serde(default)]
    pub prior_steps: i32,
    /// Factor on how much the named signs count, 0 to 1, when it applies.
    #[serde(default = "one")]
    pub sign_weight: f64,
}

/// A weight that changes nothing.
const fn one() -> f64 {
    1.0
}

/// When a person has to look.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Escalation {
    /// Id such as `esc-sharp-pain`.
    pub id: String,
    /// What raises it, in words.
    pub trigger: String,
    /// The immediate reply, in words for the lifter.
    pub reply: String,
    /// What the coach must see.
    pub coach_sees: String,
    /// Wordings of the lifter that raise it, in the language of the red flags without groups.
    #[serde(default)]
    pub words: Vec<String>,
    /// Stops all lifting advice (no loads, no technique).
    #[serde(default)]
    pub stops: bool,
}

/// One rule of competition, told only to those who compete.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeetRule {
    /// Id such as `rule-sq-depth`.
    pub id: String,
    /// Lift it belongs to.
    pub lift: crate::report::Lift,
    /// The rule, to follow "At a meet:".
    pub text: String,
    /// Signs that break it.
    #[serde(default)]
    pub signs: Vec<String>,
    /// Conditions any of which brings it up too.
    #[serde(default)]
    pub facts: Vec<String>,
    /// Conditions any of which leaves it out.
    #[serde(default)]
    pub not_when: Vec<String>,
}

/// What can be judged from a view.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ViewRule {
    /// The view, in words.
    pub view: String,
    /// What can be judged from it.
    pub shows: String,
    /// What it never shows; empty when there is nothing to say.
    #[serde(default)]
    pub limit: String,
}
