//! The parts of a set report.

use super::SetReport;
use crate::quantity::{Effort, Mass, MassUnit};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The three lifts reviewed here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Lift {
    /// Back squat.
    Squat,
    /// Bench press.
    Bench,
    /// Deadlift, conventional or sumo.
    Deadlift,
}

impl Lift {
    /// All three, in the order they are usually done.
    pub const ALL: [Self; 3] = [Self::Squat, Self::Bench, Self::Deadlift];

    /// The word used in files and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Squat => "squat",
            Self::Bench => "bench",
            Self::Deadlift => "deadlift",
        }
    }

    /// The lift as said in a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Squat => "squat",
            Self::Bench => "bench press",
            Self::Deadlift => "deadlift",
        }
    }

    /// The prefix of this lift's sign, cause and question ids (`sq`, `bp`, `dl`).
    pub const fn prefix(self) -> &'static str {
        match self {
            Self::Squat => "sq",
            Self::Bench => "bp",
            Self::Deadlift => "dl",
        }
    }
}

impl fmt::Display for Lift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// How the lift was done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Variant {
    /// Squat: where the bar lies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bar_position: Option<BarPosition>,
    /// Deadlift: conventional or sumo.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stance: Option<Stance>,
    /// How the bar is held.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grip: Option<Grip>,
    /// Length of the pause in seconds; 0 means touch and go.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pause_seconds: Option<f64>,
}

impl Variant {
    /// True when nothing was said.
    pub fn is_unsaid(&self) -> bool {
        *self == Self::default()
    }
}

/// Where the bar lies in a squat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BarPosition {
    /// On the upper back muscle.
    High,
    /// Just above the shoulder-blade ridge.
    Low,
    /// On the front of the shoulders.
    Front,
    /// A specialty bar; the tables here do not apply to it.
    Special,
}

/// Deadlift style.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stance {
    /// Hands outside the legs.
    Conventional,
    /// Hands inside the legs.
    Sumo,
}

/// How the bar is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Grip {
    /// Both palms back, thumbs over the fingers' side.
    Double,
    /// One palm forward.
    Mixed,
    /// Thumbs held under the fingers.
    Hook,
    /// With straps.
    Straps,
    /// Bench: thumbs not round the bar.
    Thumbless,
    /// Bench: narrower than usual.
    Close,
    /// Bench: wider than usual.
    Wide,
}

/// Missed repetitions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Miss {
    /// How many were missed.
    pub reps: u32,
    /// Where the bar stopped, in the lifter's words (`bottom`, `half way`, `lockout`).
    #[serde(default, rename = "where", skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

/// Best single so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Best {
    /// The number as typed, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: crate::quantity::MassUnit,
    /// When it was done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<Date>,
    /// True when lifted, false when only worked out from a set; absent when not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<bool>,
}

impl Best {
    /// The best single as a mass.
    pub const fn mass(&self) -> Mass {
        Mass::new(self.value, self.unit)
    }
}

/// Only the bands that change the advice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AgeBand {
    /// Under 18: the coach and an adult in the room, always.
    #[serde(rename = "under-18", alias = "under18")]
    Under18,
    /// 18 to 59.
    Adult,
    /// 60 and over.
    SixtyPlus,
}

/// A load to reach.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Goal {
    /// The load wanted for one repetition.
    pub load: Mass,
    /// By when, if said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Date>,
}

/// Whether the lifter competes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Competes {
    /// Yes.
    Yes,
    /// No.
    No,
    /// A meet is planned.
    Planned,
}

/// Where and with what the set was done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Setting {
    /// Nobody else in the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alone: Option<bool>,
    /// Somebody ready to help.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spotter: Option<bool>,
    /// Safety bars or arms set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub safeties: Option<bool>,
    /// Collars on the bar.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub collars: Option<bool>,
    /// Bench: the bar was handed out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hand_off: Option<bool>,
    /// What was worn or added.
    #[serde(skip_serializing_if = "Equipment::is_unsaid")]
    pub equipment: Equipment,
}

impl Setting {
    /// True when nothing was said.
    pub fn is_unsaid(&self) -> bool {
        *self == Self::default()
    }
}

/// What was worn or added to the bar.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Equipment {
    /// Belt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub belt: Option<bool>,
    /// Knee or elbow sleeves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sleeves: Option<bool>,
    /// Knee or wrist wraps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wraps: Option<bool>,
    /// Lifting straps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub straps: Option<bool>,
    /// What is on the feet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shoes: Option<Shoes>,
    /// Bands or chains on the bar.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bands: Option<bool>,
}

impl Equipment {
    /// True when nothing was said.
    pub fn is_unsaid(&self) -> bool {
        *self == Self::default()
    }
}

/// What is on the feet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Shoes {
    /// Barefoot or a flat, firm sole.
    Flat,
    /// Soft running shoes.
    Running,
    /// Raised heel.
    Heeled,
}

/// From where the set was filmed or seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum View {
    /// Square from the side.
    Side,
    /// From the front (bench: foot end).
    #[serde(alias = "foot-end")]
    Front,
    /// From behind (bench: head end).
    #[serde(alias = "head-end")]
    Rear,
    /// About 45 degrees.
    ThreeQuarter,
}

/// The plates at hand; the bar and the pairs of each size, all in `unit`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plates {
    /// Unit of every figure here.
    pub unit: crate::quantity::MassUnit,
    /// The empty bar.
    pub bar: f64,
    /// Both collars together.
    #[serde(default)]
    pub collars: f64,
    /// `[plate, pairs]` for each size.
    pub pairs: Vec<(f64, u32)>,
}

/// A motion trace as sent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trace {
    /// `bar-track` or `keypoints`.
    pub kind: String,
    /// `csv` or `json`.
    pub format: String,
    /// The trace itself.
    pub data: String,
    /// Metres in one unit of the trace, when known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale: Option<f64>,
}

/// One of several sets told in one message, as read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListedSet {
    /// What was on the bar.
    pub load: ListedLoad,
    /// Repetitions of it, when told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reps: Option<u32>,
    /// Sets done alike, when told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sets: Option<u32>,
    /// Effort of it, when told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effort: Option<Effort>,
}

/// A load of a list; its unit may not have been said yet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListedLoad {
    /// The figure, bar included.
    pub value: f64,
    /// Its unit, when said or known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<MassUnit>,
}

/// Fills what `report` lacks from `other`.
pub(super) fn complete(report: &mut SetReport, other: &SetReport) {
    macro_rules! fill {
        ($($field:ident),* $(,)?) => {
            $(if report.$field.is_none() { report.$field.clone_from(&other.$field); })*
        };
    }
    fill!(
        lift,
        load,
        reps,
        reps_aimed,
        sets,
        set_number,
        effort,
        missed,
        body_mass,
        stature,
        best,
        training_months,
        age_band,
        goal,
        competes,
        rule_set,
        time_zone,
        plates,
        view,
        clip,
        words,
    );
    if report.listed.is_empty() {
        report.listed.clone_from(&other.listed);
    }
    macro_rules! fill_part {
        ($($part:ident . $($field:ident).+),* $(,)?) => {
            $(if report.$part.$($field).+.is_none() {
                report.$part.$($field).+.clone_from(&other.$part.$($field).+);
            })*
        };
    }
    fill_part!(
        variant.bar_position,
        variant.stance,
        variant.grip,
        variant.pause_seconds,
        segments.thigh,
        segments.shank,
        segments.trunk,
        segments.arm,
        setting.alone,
        setting.spotter,
        setting.safeties,
        setting.collars,
        setting.hand_off,
        setting.equipment.belt,
        setting.equipment.sleeves,
        setting.equipment.wraps,
        setting.equipment.straps,
        setting.equipment.shoes,
        setting.equipment.bands,
    );
    join(&mut report.seen, &other.seen);
    join(&mut report.not_seen, &other.not_seen);
    join(&mut report.flags, &other.flags);
    for (question, choice) in &other.answers {
        report
            .answers
            .entry(question.clone())
            .or_insert_with(|| choice.clone());
    }
    if report.traces.is_empty() {
        report.traces.clone_from(&other.traces);
    }
}

/// Adds the items of `more` that `list` does not hold yet.
fn join(list: &mut Vec<String>, more: &[String]) {
    for item in more {
        if !list.contains(item) {
            list.push(item.clone());
        }
    }
}
