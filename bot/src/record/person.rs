//! What is known about a lifter between sets.

use super::{GuardianConsent, HealthConsent};
use cueline_core::quantity::{Length, Mass, MassUnit};
use cueline_core::report::{AgeBand, Best, Competes, Goal, Plates};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Names one person on one platform.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct PersonKey {
    /// `CloudEvents` source of the platform.
    pub source: String,
    /// The platform's id of the person.
    pub person_id: String,
}

/// Facts that carry over from set to set; each stays open until said.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Profile {
    /// The unit this lifter states loads in.
    pub unit: Option<MassUnit>,
    /// Body mass as last said.
    pub body_mass: Option<Mass>,
    /// Standing height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stature: Option<Length>,
    /// Best single for each lift, by the lift's word.
    pub bests: std::collections::BTreeMap<String, Best>,
    /// Months of training when last said, and when that was.
    pub training: Option<(u32, Timestamp)>,
    /// Age band.
    pub age_band: Option<AgeBand>,
    /// Whether the lifter competes.
    pub competes: Option<Competes>,
    /// Goal for each lift, by the lift's word.
    pub goals: std::collections::BTreeMap<String, Goal>,
    /// Plates at hand.
    pub plates: Option<Plates>,
    /// The rules the lifter competes under, in their own words.
    pub rule_set: Option<String>,
    /// When the lifter last wrote or pressed something; long silence ends the reminders.
    pub heard_at: Option<Timestamp>,
    /// When the lifter told of illness or a death in the family; no reminder until they post a set
    /// or ask for reminders again.
    pub quiet_since: Option<Timestamp>,
    /// The time zone was asked for once.
    pub zone_asked: bool,
    /// When the lifter left; what was written before that starts no reminder any more.
    pub left_at: Option<Timestamp>,
    /// Where the lifter stands on the keeping of words about health; nothing: never asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub health: Option<HealthConsent>,
    /// What a parent or guardian has said, where a coach recorded it; the lifter is under 18 then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guardian: Option<GuardianConsent>,
    /// When the lifter was asked back whether to be forgotten, until they write again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub forget_asked: Option<Timestamp>,
    /// What was written besides sets lately, by kind: answered once, then left alone for a while.
    #[serde(skip_serializing_if = "std::collections::BTreeMap::is_empty")]
    pub manners: std::collections::BTreeMap<String, Spell>,
    /// Facts asked for once (`best:squat`, `plates`), answered or not: not asked again.
    #[serde(skip_serializing_if = "std::collections::BTreeSet::is_empty")]
    pub asked: std::collections::BTreeSet<String>,
}

/// Messages of one kind within a while: insults, advertising.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Spell {
    /// When the first of them came.
    pub since: Option<Timestamp>,
    /// When the newest of them came.
    pub last: Option<Timestamp>,
    /// How many.
    pub count: u32,
    /// The coach has been told.
    pub told: bool,
}

/// One lifter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lifter {
    /// Who.
    pub key: PersonKey,
    /// Name as last shown.
    pub display_name: String,
    /// IANA time zone name, when said.
    pub zone: Option<String>,
    /// Reminders are welcome; off at once when the lifter says stop.
    pub reminders: bool,
    /// Gone from the room.
    pub left: bool,
    /// When the last reminder went out, over all cases.
    pub last_reminder: Option<Timestamp>,
    /// Facts that carry over.
    pub profile: Profile,
    /// Counts writes; a write with a stale version is refused.
    pub version: i64,
}
