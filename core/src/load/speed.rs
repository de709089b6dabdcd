//! The speed of a followed bar, weighed against what the set says of the best single.
//!
//! Only a set that was hard enough to be lifted as fast as it would go, and that is neither paused
//! nor banded, says anything by its speed. There is a group curve for squat and bench press alone.
//! It fails for strong lifters, so it never raises the lower end of the estimate.

use super::estimate::{Estimate, Z80};
use super::fuse::other_variant;
use super::velocity::{VelocityPoint, from_group_curve};
use crate::quantity::Mass;
use crate::report::SetReport;

/// Effort, as RPE, from which a bar is taken to be lifted as fast as it would go (common practice,
/// no source).
const HARD: f64 = 8.0;

/// Beyond this many standard deviations the two do not speak of the same thing.
const TOO_FAR: f64 = 3.0;

/// Mean speed of the way up, as measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarSpeed {
    /// Of the fastest repetition, m/s.
    pub mean: f64,
    /// Standard error, m/s.
    pub error: f64,
}

/// The estimate with the bar's speed weighed in, and said in its basis; none when the speed says
/// nothing about this set.
pub fn with_speed(estimate: &Estimate, report: &SetReport, speed: BarSpeed) -> Option<Estimate> {
    let (lift, load) = report.lift.zip(report.load)?;
    let hard = report
        .effort
        .is_some_and(|effort| effort.rpe().low >= HARD - 1e-9);
    let held = report
        .variant
        .pause_seconds
        .is_some_and(|pause| pause > 0.0);
    let banded = report.setting.equipment.bands == Some(true);
    if !hard || held || banded || other_variant(report) || !speed.error.is_finite() {
        return None;
    }
    let at = |velocity: f64| {
        let kg = load.kg();
        from_group_curve(lift, VelocityPoint { kg, velocity }).ok()
    };
    let told = at(speed.mean)?;
    let (slow, fast) = (at(speed.mean - speed.error), at(speed.mean + speed.error));
    let measured = match (slow, fast) {
        (Some(slow), Some(fast)) => (fast.kg / slow.kg).ln().abs() / 2.0,
        // The error reaches beyond the curve: it says too little.
        _ => return None,
    };
    let sigma = told.sigma.hypot(measured);
    let apart = told.kg.ln() - estimate.kg.ln();
    let stretch = apart.abs() / estimate.sigma.hypot(sigma);
    let mut fused = estimate.clone();
    let shown = Mass::from_kg(told.kg, estimate.unit).about();
    let said = format!("bar speed {:.2} m/s, by a group curve {shown}", speed.mean);
    if stretch > TOO_FAR {
        fused.basis.push(format!("{said}: too far off, left out"));
        return Some(fused);
    }
    let (of_set, of_speed) = (estimate.sigma.powi(-2), sigma.powi(-2));
    let ln_kg = estimate.kg.ln() + apart * of_speed / (of_set + of_speed);
    fused.sigma = stretch.max(1.0) / (of_set + of_speed).sqrt();
    fused.kg = ln_kg.exp().max(load.kg());
    let low = (ln_kg - Z80 * fused.sigma).exp().max(load.kg());
    fused.low_kg = low.min(estimate.low_kg);
    let high = (ln_kg + Z80 * fused.sigma).exp();
    fused.high_kg = high.max(fused.kg);
    fused.basis.push(said);
    Some(fused)
}
