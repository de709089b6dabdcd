//! The review sheet: the run of cases for the coach's weekly session.

use super::{Case, PersonKey, QueueItem};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A case that a review sheet may choose, as the store finds it.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetLine {
    /// The case.
    pub case: Case,
    /// Name of the lifter as last shown.
    pub lifter_name: String,
    /// Its place in the queue; none when it is answered.
    pub item: Option<QueueItem>,
    /// Chosen for a sheet since the coach last answered in it; when first so.
    pub carried_since: Option<Timestamp>,
    /// The challenge in which the lifter agreed to have the newest set shown, if that still holds:
    /// its text may be shown to others. Without one the case is for the coach alone.
    pub consent: Option<i64>,
}

/// A review sheet that was drawn up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SheetDrawn {
    /// Id, made from the event that asked for it.
    pub id: String,
    /// Whose platform's cases it holds.
    pub source: String,
    /// The coach who asked for it.
    pub by: PersonKey,
    /// When.
    pub at: Timestamp,
    /// Minutes it was drawn up for.
    pub minutes: u32,
    /// The cases chosen, in running order.
    pub cases: Vec<String>,
}

/// The sheet: what is looked at, in order, within the minutes given.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Sheet {
    /// Minutes given.
    pub minutes: u32,
    /// Minutes the cards fill.
    pub filled: u32,
    /// Cases in running order.
    pub cards: Vec<SheetCard>,
    /// Numbers of waiting cases there was no time for.
    pub left_out: Vec<i64>,
    /// Numbers of cases stopped for safety: for the coach alone and never for a session.
    pub stopped: Vec<i64>,
}

/// One case of the sheet. Every text is plain and already harmless in Markdown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetCard {
    /// The case.
    pub case_id: String,
    /// Its number.
    pub number: i64,
    /// Name of the lifter; not for showing.
    pub lifter_name: String,
    /// The lift in words.
    pub lift: String,
    /// Minute of the session at which it begins.
    pub at_minute: u32,
    /// Minutes it is given.
    pub minutes: u32,
    /// The challenge whose text may be shown to others: the lifter agreed to it, is of age, and
    /// nothing in the case is a matter of health. None: it is for the coach alone.
    pub showable: Option<i64>,
    /// Chosen before and not answered since.
    pub carried_over: bool,
    /// Why it is on the sheet.
    pub why: Vec<String>,
    /// What to talk about.
    pub points: Vec<String>,
    /// What to show.
    pub show: Vec<String>,
    /// The loads: of the set, and of the work that would follow from it.
    pub loads: Vec<String>,
}
