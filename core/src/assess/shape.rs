//! What goes in beside the report, and what comes out.

use crate::diagnosis::{Belief, NextQuestion, Origin, Raised, TurningPoint};
use crate::load::{Change, Estimate};
use crate::motion::{Followed, Measurement};
use crate::plan::{FollowUpDate, Plan};
use crate::quantity::MassUnit;
use crate::reading::Reading;
use crate::report::{FieldError, Lift, SetReport};
use crate::triage::Triage;
use jiff::civil::Date;
use serde::Serialize;

/// One earlier set of the same case.
#[derive(Clone, Debug, PartialEq)]
pub struct PastRound {
    /// When.
    pub date: Date,
    /// The report as completed then.
    pub report: SetReport,
    /// Signs taken as there.
    pub present: Vec<String>,
    /// Causes chosen then.
    pub chosen: Vec<String>,
    /// Load, kg.
    pub load_kg: Option<f64>,
    /// Repetitions.
    pub reps: Option<u32>,
    /// Estimated best single, kg.
    pub estimate_kg: Option<f64>,
    /// Missed repetitions.
    pub missed: u32,
    /// The correction given then did not take the signs away.
    pub failed: bool,
    /// What was measured on its traces.
    pub measured: Option<Measurement>,
}

/// What the case already knows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History {
    /// Earlier sets, oldest first.
    pub rounds: Vec<PastRound>,
    /// The unit this lifter states loads in.
    pub unit: Option<MassUnit>,
    /// The lift of the case.
    pub lift: Option<Lift>,
    /// Questions asked since the set came in.
    pub questions_asked: u32,
    /// Fields the lifter has settled when asked (`load.unit`); not doubted again.
    pub settled: Vec<String>,
    /// What was measured of this set before; used where its traces are no longer at hand.
    pub measured: Option<Measurement>,
}

/// Where the lifter stands, in their own unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strength {
    /// Estimated best single.
    pub estimate: f64,
    /// Lower end of the 80 % interval.
    pub low: f64,
    /// Upper end of the 80 % interval.
    pub high: f64,
    /// Unit of the three figures.
    pub unit: MassUnit,
    /// What they come from, in words.
    pub basis: Vec<String>,
}

impl From<&Estimate> for Strength {
    fn from(estimate: &Estimate) -> Self {
        let own = |kg: f64| kg / estimate.unit.kg();
        Self {
            estimate: own(estimate.kg),
            low: own(estimate.low_kg),
            high: own(estimate.high_kg),
            unit: estimate.unit,
            basis: estimate.basis.clone(),
        }
    }
}

/// A sign as it was taken.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SignView {
    /// Sign id.
    pub sign: String,
    /// Probability that it is there.
    pub probability: f64,
    /// How it was come by.
    pub from: Origin,
}

/// Everything that follows from one set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assessment {
    /// Level, flags, hazards, notes.
    pub triage: Triage,
    /// Where the lifter stands; none under a stop level or without load and reps.
    pub strength: Option<Strength>,
    /// Signs as they were taken.
    pub signs: Vec<SignView>,
    /// Every cause in play, most probable first.
    pub beliefs: Vec<Belief>,
    /// Causes to work on, first thing to fix first.
    pub chosen: Vec<String>,
    /// The one observation that would change the first cause chosen; none under a stop level.
    pub turning_point: Option<TurningPoint>,
    /// The one question, if its answer would change the plan.
    pub question: Option<NextQuestion>,
    /// What to do; only at the level `answer`.
    pub plan: Option<Plan>,
    /// Why the coach gets it.
    pub escalations: Vec<Raised>,
    /// When to come back.
    pub follow_up: Option<FollowUpDate>,
    /// What was measured on the traces; none without traces, and none under a stop level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measurement>,
    /// The set as followed, for drawing it.
    #[serde(skip)]
    pub followed: Option<Followed>,
    /// Signs that mean nothing here, with the kind words for it.
    #[serde(skip)]
    pub no_fault: Vec<(String, String)>,
    /// Signs that were named although the view cannot show them.
    #[serde(skip)]
    pub unseen: Vec<String>,
    /// How the level moved since the case's first set; none within a day or without both ends.
    #[serde(skip)]
    pub change: Option<(Date, Change)>,
    /// When the goal is in reach, in words; none without a goal.
    #[serde(skip)]
    pub goal: Option<String>,
    /// Facts the words add that cannot be true.
    #[serde(skip)]
    pub problems: Vec<FieldError>,
    /// The report as completed from the words.
    #[serde(skip)]
    pub report: SetReport,
    /// What was read in the words.
    #[serde(skip)]
    pub reading: Reading,
    /// The estimate in kilograms.
    #[serde(skip)]
    pub estimate: Option<Estimate>,
}
