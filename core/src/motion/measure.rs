//! The traces of one set as a whole: followed, cut into repetitions, and held against the limits.

use super::{About, Measured, Motion, MotionLimits, Rep, follow, reps, signs};
use crate::body::deadlift::Pull;
use crate::body::{Dimension, build_of};
use crate::load::BarSpeed;
use crate::report::{FieldError, Lift, SetReport, Stance};
use serde::{Deserialize, Serialize};

/// Id of the quantity that holds the mean speed of each repetition's way up, m/s.
const REP_SPEED: &str = "rep-speed";

/// One thing measured over a set, as it is kept and shown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// Which (`squat-depth`).
    pub id: String,
    /// What it is in plain words, to stand before its value.
    pub plain: String,
    /// Unit: `m`, `s`, `m/s`, `m/s²`, `°`, or empty for a ratio or a share.
    pub unit: String,
    /// The value of each repetition; none where it could not be measured.
    pub per_rep: Vec<Option<f64>>,
    /// The value of the set.
    pub value: f64,
    /// Standard error of `value`, same unit.
    pub error: f64,
    /// From where on it shows a sign, when it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub threshold: Option<f64>,
}

/// A sign as measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SignMeasured {
    /// Sign id of the catalog.
    pub sign: String,
    /// Probability that it is there.
    pub probability: f64,
    /// Id of the quantity that says so most.
    pub quantity: String,
    /// The repetition, from 0, that shows it most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_rep: Option<usize>,
    /// The sign is shown by values over the quantity's threshold, not under it.
    pub over: bool,
}

/// Everything measured on the traces of one set.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Measurement {
    /// Repetitions found in the trace.
    pub reps: usize,
    /// What was measured.
    pub quantities: Vec<Figure>,
    /// What it says of the signs; a sign not measured is not listed.
    pub signs: Vec<SignMeasured>,
    /// What cannot be seen in this trace, in plain words.
    pub cannot_show: Vec<String>,
    /// What had to be done to the trace, in plain words.
    pub notes: Vec<String>,
    /// What of the traces could not be read; then nothing is measured.
    pub problems: Vec<FieldError>,
}

/// The set as followed, for drawing it.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The points through the set.
    pub motion: Motion,
    /// Its repetitions.
    pub reps: Vec<Rep>,
}

impl Measurement {
    /// The quantity with this id.
    pub fn quantity(&self, id: &str) -> Option<&Figure> {
        self.quantities.iter().find(|quantity| quantity.id == id)
    }

    /// The sign with this id, if it was measured.
    pub fn sign(&self, id: &str) -> Option<&SignMeasured> {
        self.signs.iter().find(|sign| sign.sign == id)
    }

    /// Mean speed on the way up of the fastest repetition, m/s, with its error.
    pub fn bar_speed(&self) -> Option<BarSpeed> {
        let figure = self.quantity(REP_SPEED)?;
        let fastest = figure.per_rep.iter().flatten().copied().reduce(f64::max)?;
        Some(BarSpeed {
            mean: fastest,
            error: figure.error,
        })
    }

    /// Something was measured.
    pub fn shows_anything(&self) -> bool {
        !self.quantities.is_empty() || !self.signs.is_empty()
    }
}

/// Measures the traces of a set; none without traces or without the lift.
///
/// `load_share` is the load as a share of the best single, where it is known.
pub fn measure(
    report: &SetReport,
    limits: &MotionLimits,
    load_share: Option<f64>,
) -> Option<(Measurement, Option<Followed>)> {
    let lift = report.lift.filter(|_| !report.traces.is_empty())?;
    let stature = report.stature.map(crate::quantity::Length::metres);
    let motion = match follow(lift, report.view, stature, &report.traces, &limits.trace) {
        Ok(motion) => motion?,
        Err(problems) => {
            let measurement = Measurement {
                problems,
                ..Measurement::default()
            };
            return Some((measurement, None));
        }
    };
    let reps = reps(&motion, &limits.trace);
    let about = about(report, lift, load_share);
    let measured = signs(&motion, &reps, &about, &limits.sign);
    let measurement = kept(measured, &motion, reps.len());
    Some((measurement, Some(Followed { motion, reps })))
}

/// What is known of the set besides its motion.
fn about(report: &SetReport, lift: Lift, load_share: Option<f64>) -> About {
    let paused = report.variant.pause_seconds.map(|seconds| seconds > 0.0);
    About {
        meant_to_pause: paused.filter(|_| lift != Lift::Squat),
        expected_hip_height_m: expected_hip(report, lift),
        load_share,
    }
}

/// Height of the hip above the ankle that the build lets expect before a conventional deadlift,
/// metres, with its standard deviation; never surer than the margin the expectation itself keeps.
fn expected_hip(report: &SetReport, lift: Lift) -> Option<(f64, f64)> {
    /// Half an 80 % interval in standard deviations.
    const Z80: f64 = 1.281_551_565_544_600_4;
    if lift != Lift::Deadlift || report.variant.stance == Some(Stance::Sumo) {
        return None;
    }
    let build = build_of(report)?;
    let hip = Pull::default().expected_hip(&build)?;
    let above = hip.value - build.metres(Dimension::Ankle);
    let sd = hip.sd.max((hip.high - hip.low) / (2.0 * Z80));
    Some((above, sd))
}

/// As it is kept: nothing that is no number, and signs only with a quantity.
fn kept(measured: Measured, motion: &Motion, reps: usize) -> Measurement {
    let finite = |value: &f64| value.is_finite();
    let quantities: Vec<Figure> = measured
        .quantities
        .into_iter()
        .filter(|quantity| quantity.value.is_finite() && quantity.error.is_finite())
        .map(|quantity| Figure {
            id: quantity.id.to_owned(),
            plain: quantity.plain.to_owned(),
            unit: quantity.unit.to_owned(),
            per_rep: quantity
                .per_rep
                .into_iter()
                .map(|value| value.filter(finite))
                .collect(),
            value: quantity.value,
            error: quantity.error,
            threshold: quantity.threshold.filter(finite),
        })
        .collect();
    let signs = measured
        .signs
        .into_iter()
        .filter(|sign| sign.probability.is_finite())
        .map(|sign| {
            let quantity = quantities.iter().find(|known| known.id == sign.quantity);
            let above =
                |quantity: &Figure| quantity.threshold.is_none_or(|from| quantity.value >= from);
            SignMeasured {
                sign: sign.sign.to_owned(),
                probability: sign.probability,
                quantity: sign.quantity.to_owned(),
                worst_rep: sign.worst_rep,
                over: quantity.is_none_or(above) == (sign.probability >= 0.5),
            }
        })
        .collect();
    Measurement {
        reps,
        quantities,
        signs,
        cannot_show: owned(&measured.cannot_show),
        notes: motion.notes.clone(),
        problems: Vec::new(),
    }
}

fn owned(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}
