//! What a resubmission shows: are the signs of the correction gone?
//!
//! A sign measured in both sets is judged by its quantity, the change held against its standard
//! error; any other by what is known of it now.

use crate::assess::SignView;
use crate::diagnosis::Origin;
use crate::motion::{Figure, Measurement, SignMeasured, VerdictLimits};
use serde::{Deserialize, Serialize};

/// What a resubmission showed, judged by the signs the correction aimed at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Every sign aimed at that was there is gone.
    Gone,
    /// Some are gone or measurably less, none is new.
    Better,
    /// As before.
    Same,
    /// All still there, and new ones with them or measurably more of them.
    Worse,
    /// The new set says nothing of them.
    CannotTell,
}

impl Verdict {
    /// The correction did not take the signs away.
    pub const fn failed(self) -> bool {
        matches!(self, Self::Same | Self::Worse)
    }
}

/// One set, as far as a verdict on a correction needs it.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// Signs taken as there.
    pub present: &'a [String],
    /// What was measured, if anything was.
    pub measured: Option<&'a Measurement>,
}

/// How the quantity behind a sign moved between two sets.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredChange {
    /// Sign id.
    pub sign: String,
    /// The quantity in plain words.
    pub plain: String,
    /// Its unit, as in [`Figure::unit`].
    pub unit: String,
    /// Value of the set before.
    pub before: f64,
    /// Value of the new set.
    pub now: f64,
    /// Standard error of the change: both errors, taken as independent.
    pub error: f64,
    /// What it means for the sign alone.
    pub course: Verdict,
}

/// Compares a new set with the one before, by what is known of its signs alone.
///
/// `targets` are the signs the correction aimed at, `before` the signs taken as there then,
/// `now` the signs of the new set. A sign not mentioned now is unknown, never absent.
pub fn compare(targets: &[String], before: &[String], now: &[SignView]) -> Verdict {
    let before = Seen {
        present: before,
        measured: None,
    };
    compare_measured(targets, before, (now, None), &VerdictLimits::default()).0
}

/// Compares a new set with the one before, a sign measured in both by its quantity. Returns the
/// verdict and the changes it rests on, in the order of the signs aimed at.
pub fn compare_measured(
    targets: &[String],
    before: Seen<'_>,
    now: (&[SignView], Option<&Measurement>),
    limits: &VerdictLimits,
) -> (Verdict, Vec<MeasuredChange>) {
    let (signs, measured) = now;
    let aimed = aimed_at(targets, before.present);
    let changes: Vec<MeasuredChange> = aimed
        .iter()
        .filter_map(|sign| change(sign, before.measured?, measured?, limits))
        .collect();
    let course = |sign: &str| {
        let measured = changes.iter().find(|change| change.sign == sign);
        measured.map_or_else(|| told(sign, signs, limits), |change| change.course)
    };
    let courses: Vec<Verdict> = aimed.iter().map(|sign| course(sign)).collect();
    let new = signs.iter().any(|view| is_new(view, before));
    (together(&courses, new), changes)
}

/// The signs aimed at that were there; if none of them was ever named, all that were named.
fn aimed_at<'a>(targets: &'a [String], before: &'a [String]) -> Vec<&'a String> {
    let named = |sign: &&String| before.contains(sign);
    if targets.iter().any(|sign| before.contains(sign)) {
        targets.iter().filter(named).collect()
    } else {
        before.iter().collect()
    }
}

/// What is known of a sign without a measured change.
fn told(sign: &str, now: &[SignView], limits: &VerdictLimits) -> Verdict {
    let Some(view) = now.iter().find(|view| view.sign == sign) else {
        return Verdict::CannotTell;
    };
    let (gone, there) = if view.from == Origin::Measured {
        (limits.gone_at_most, limits.there_at_least)
    } else {
        (0.5, 0.5)
    };
    if view.probability >= there {
        Verdict::Same
    } else if view.probability <= gone {
        Verdict::Gone
    } else {
        Verdict::CannotTell
    }
}

/// How the quantity behind a sign moved; none unless the same quantity tells of it in both sets.
fn change(
    sign: &str,
    before: &Measurement,
    now: &Measurement,
    limits: &VerdictLimits,
) -> Option<MeasuredChange> {
    let told = |of: &'_ Measurement| -> Option<(SignMeasured, Figure)> {
        let sign = of.sign(sign)?;
        let figure = of.quantity(&sign.quantity)?;
        Some((sign.clone(), figure.clone()))
    };
    let (_, was) = told(before)?;
    let (sign, is) = told(now)?;
    if was.id != is.id {
        return None;
    }
    let error = was.error.hypot(is.error);
    let more = if sign.over {
        is.value - was.value
    } else {
        was.value - is.value
    };
    let course = if sign.probability <= limits.gone_at_most {
        Verdict::Gone
    } else if more < -limits.beyond_errors * error {
        Verdict::Better
    } else if more > limits.beyond_errors * error {
        Verdict::Worse
    } else if sign.probability >= limits.there_at_least {
        Verdict::Same
    } else {
        Verdict::CannotTell
    };
    Some(MeasuredChange {
        sign: sign.sign,
        plain: is.plain,
        unit: is.unit,
        before: was.value,
        now: is.value,
        error,
        course,
    })
}

/// A sign that is there now and was not before. What only a trace shows is new only where a trace
/// looked for it before.
fn is_new(view: &SignView, before: Seen<'_>) -> bool {
    let looked_for = || {
        let measured = before.measured.and_then(|all| all.sign(&view.sign));
        measured.is_some_and(|sign| sign.probability < 0.5)
    };
    view.probability >= 0.5
        && !before.present.contains(&view.sign)
        && (view.from != Origin::Measured || looked_for())
}

/// One verdict from what became of each sign aimed at.
fn together(courses: &[Verdict], new: bool) -> Verdict {
    let count = |of: Verdict| courses.iter().filter(|course| **course == of).count();
    let (gone, better) = (count(Verdict::Gone), count(Verdict::Better));
    let (same, worse) = (count(Verdict::Same), count(Verdict::Worse));
    if gone > 0 && gone == courses.len() {
        Verdict::Gone
    } else if gone + better > 0 && worse == 0 {
        Verdict::Better
    } else if gone + better > 0 {
        // Less of one and more of another is no progress.
        Verdict::Same
    } else if worse > 0 || (same > 0 && new) {
        Verdict::Worse
    } else if same > 0 {
        Verdict::Same
    } else {
        Verdict::CannotTell
    }
}
