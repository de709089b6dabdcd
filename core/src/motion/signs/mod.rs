//! From a followed set to quantities with their errors, and to how probable each sign is.
//!
//! A quantity is measured in every repetition that can show it, with an error of two kinds: jitter
//! of the points, which each repetition has anew, and steady offsets, scale and perspective, which
//! all repetitions share ([`series`]). Value, limit and error give a probability; repetitions are
//! put together by how much of their error they share. What happens once (a dip, a hitch, where the
//! bar stalls) is told by the worst repetition; how somebody lifts, by all of them, and one clear
//! repetition keeps such a sign from being called absent.
//!
//! By the camera: times, speeds and heights of the bar from anywhere; trunk, legs and the way of
//! the bar along the body only square from the side; left against right only from in front or
//! behind. Of points of the body, an oblique or unknown view says nothing.
//!
//! Of the signs that the catalog says a trace can show one is left out: `dl-slack-clank`. The slack
//! is a centimetre at a shoulder that is followed to one, and the clank is a sound.
//!
//! Not measured, though a viewer may see it: the shape of the back, breath and bracing, heels and
//! toes (the ankle stands for a heel), chest contact (the lowest point of the bar stands for it),
//! wrists and grip, shoulder blades, the bar over the foot to the centimetre. Gaps between bar and
//! body are measured with the offset of perspective in their error, so that they are seldom sure.

mod bar_path;
mod bench;
mod bench_path;
mod deadlift;
mod deadlift_start;
mod front;
mod lead;
mod limits;
mod scene;
mod series;
mod speed;
mod squat;
mod squat_down;
mod tempo;
#[cfg(test)]
mod tests;

pub use limits::{BenchLimits, DeadliftLimits, SignLimits, SquatLimits};

use super::{Motion, Rep};
use crate::report::Lift;
use scene::Scene;
use series::Ledger;

/// One thing measured over a set.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// Which quantity, `squat-depth` and so on.
    pub id: &'static str,
    /// What it is in plain words, to stand before its value.
    pub plain: &'static str,
    /// Its unit: `m`, `s`, `m/s`, `m/s²`, `°`, or empty for a ratio or a share.
    pub unit: &'static str,
    /// The value of each repetition; none where it could not be measured.
    pub per_rep: Vec<Option<f64>>,
    /// The value of the set.
    pub value: f64,
    /// Standard error of `value`, in the same unit.
    pub error: f64,
    /// From where on it shows a sign, when it does.
    pub threshold: Option<f64>,
}

/// How probable it is that a sign is there. A sign that could not be measured is not listed.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredSign {
    /// Sign id of the catalog.
    pub sign: &'static str,
    /// Probability that the sign is there: evidence with the likelihood ratio `p / (1 - p)`.
    pub probability: f64,
    /// Id of the quantity that says so most.
    pub quantity: &'static str,
    /// The repetition, from 0, that shows it most.
    pub worst_rep: Option<usize>,
}

/// All that a motion gives.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measured {
    /// What was measured.
    pub quantities: Vec<Quantity>,
    /// What it says of the signs.
    pub signs: Vec<MeasuredSign>,
    /// What cannot be seen in this trace, in plain words.
    pub cannot_show: Vec<&'static str>,
}

/// What is known about the set besides its motion.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct About {
    /// The repetitions are meant to stop: bench press on the chest, deadlift dead on the floor.
    pub meant_to_pause: Option<bool>,
    /// Height of the hip above the ankle that the build lets expect at the start of a deadlift,
    /// metres, and its standard deviation.
    pub expected_hip_height_m: Option<(f64, f64)>,
    /// Load as a share of the best single.
    pub load_share: Option<f64>,
}

/// Measures a set: every quantity that the view and the points allow, and how probable it makes
/// each sign. What could not be measured says nothing, neither that a sign is there nor that it is
/// not.
pub fn signs(motion: &Motion, reps: &[Rep], about: &About, limits: &SignLimits) -> Measured {
    let scene = Scene::new(motion, reps, about, limits);
    let mut ledger = Ledger::new(limits);
    if reps.is_empty() {
        ledger.hidden("anything at all: no repetition could be told apart");
        return ledger.close();
    }
    match motion.lift {
        Lift::Squat => squat::signs(&scene, &mut ledger),
        Lift::Bench => bench::signs(&scene, &mut ledger),
        Lift::Deadlift => deadlift::signs(&scene, &mut ledger),
    }
    ledger
        .hidden("the shape of the back, breath and bracing: no point that is followed shows them");
    ledger.close()
}
