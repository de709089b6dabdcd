//! The set report: the structured description of one set, and the bounds it must keep.
//!
//! Missing is not zero: every fact a lifter may leave out stays optional to the end. The JSON
//! shape is the one outside checks rely on; unknown fields are refused by name.

mod bounds;
mod facts;
mod segments;

pub use bounds::{FieldError, check, least_load, most_load_kg};
pub use facts::{
    AgeBand, BarPosition, Best, Competes, Equipment, Goal, Grip, Lift, ListedLoad, ListedSet, Miss,
    Plates, Setting, Shoes, Stance, Trace, Variant, View,
};
pub use segments::Segments;

use crate::quantity::{Effort, Length, Mass};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One set as a lifter reports it. Everything is optional: what is not said is not assumed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SetReport {
    /// Which of the three lifts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<Lift>,
    /// Bar position, stance, grip, pause.
    #[serde(skip_serializing_if = "Variant::is_unsaid")]
    pub variant: Variant,
    /// The load on the bar, bar included.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<Mass>,
    /// Repetitions completed (0 when the first was missed).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reps: Option<u32>,
    /// Repetitions that were aimed at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reps_aimed: Option<u32>,
    /// Number of sets done alike.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sets: Option<u32>,
    /// Which set of the `sets` this one was, counted from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_number: Option<u32>,
    /// Effort, as RPE or repetitions in reserve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub effort: Option<Effort>,
    /// Missed repetitions and where the bar stopped.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missed: Option<Miss>,
    /// Every set that was told, in order, when there were several; the fields above are of the one
    /// that is asked about.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub listed: Vec<ListedSet>,
    /// Body mass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_mass: Option<Mass>,
    /// Standing height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stature: Option<Length>,
    /// Lengths of thigh, shank, trunk and arm, where measured.
    #[serde(skip_serializing_if = "Segments::is_unsaid")]
    pub segments: Segments,
    /// Best single so far.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best: Option<Best>,
    /// Months of regular training.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub training_months: Option<u32>,
    /// Age band; only what changes the advice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age_band: Option<AgeBand>,
    /// A load to reach, and by when.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<Goal>,
    /// Whether the lifter competes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub competes: Option<Competes>,
    /// The rules the lifter competes under, in their own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule_set: Option<String>,
    /// IANA time zone name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time_zone: Option<String>,
    /// Where and with what the set was done.
    #[serde(skip_serializing_if = "Setting::is_unsaid")]
    pub setting: Setting,
    /// The plates at hand, when known; used to round loads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plates: Option<Plates>,
    /// From where the set was filmed or seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub view: Option<View>,
    /// Link to a clip; shown to the coach, never fetched.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clip: Option<String>,
    /// The lifter's own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// Signs ticked as seen, by id.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub seen: Vec<String>,
    /// Signs looked for and not there, by id.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_seen: Vec<String>,
    /// Flags ticked on a form, by id of the flag.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub flags: Vec<String>,
    /// Answers to questions: question id to the words of the choice.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub answers: BTreeMap<String, String>,
    /// Motion traces, to be measured.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub traces: Vec<Trace>,
}

impl SetReport {
    /// Fills every fact this report lacks from `other`; what is already said is kept.
    ///
    /// Lists are joined without repeats. Used to complete a form with what its free words say,
    /// and a resubmission with what the case already knows about the lifter.
    #[must_use]
    pub fn or(mut self, other: &Self) -> Self {
        facts::complete(&mut self, other);
        self
    }
}
