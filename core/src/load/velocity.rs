//! Load against bar velocity: the lifter's own line first, published group curves as a fallback.
//!
//! Group curves fail for strong lifters (a best single at 0.10 m/s reads over 100 % on the bench
//! curve), so a line through at least four of the lifter's own loads is asked for. Only sets meant
//! to be fast count: paused, tempo and banded repetitions say something else.

use crate::quantity::Effort;
use crate::report::Lift;

/// Fewest loads a line is drawn through.
const FEWEST_LOADS: usize = 4;

/// The loads must span this much velocity, m/s, or [`LEAST_SHARE`] of the best single.
const LEAST_SPAN: f64 = 0.5;

/// The loads must span this share of the best single, or [`LEAST_SPAN`].
const LEAST_SHARE: f64 = 0.30;

/// Least share of the loads' variance that the line must explain.
const LEAST_R2: f64 = 0.9;

/// A velocity never says more than this about a best single, as log spread.
const LEAST_SIGMA: f64 = 0.05;

/// Velocities that a bar under a work load has, m/s.
const POSSIBLE: std::ops::RangeInclusive<f64> = 0.02..=2.5;

/// The fastest repetition at one load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VelocityPoint {
    /// Load, kg.
    pub kg: f64,
    /// Mean velocity of the way up, m/s.
    pub velocity: f64,
}

/// Why there is no line, or no figure from it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoVelocity {
    /// A velocity that is none.
    #[error("velocity: found {0} m/s, accepted 0.02 to 2.5")]
    Velocity(f64),
    /// A load that is none.
    #[error("load: found {0} kg, accepted above 0")]
    Load(f64),
    /// Too few different loads.
    #[error("loads: found {0} different, accepted at least 4")]
    TooFew(usize),
    /// Too close together.
    #[error(
        "loads: found {percent:.0} % of the best single and {span:.2} m/s apart, accepted at least 30 % or 0.5 m/s"
    )]
    TooClose {
        /// Largest minus smallest load, percent of the best single.
        percent: f64,
        /// Fastest minus slowest, m/s.
        span: f64,
    },
    /// Heavier is not slower.
    #[error("velocity: found heavier loads no slower, accepted velocity that falls with load")]
    NotFalling,
    /// The points do not lie on a line.
    #[error("velocity: found a line that explains {0:.2} of the spread, accepted at least 0.9")]
    Scattered(f64),
    /// No published curve for this lift, or outside where it was measured.
    #[error(
        "velocity: found no published curve for this, accepted squat and bench from 30 to 100 %"
    )]
    NoCurve,
}

/// Mean velocity of a best single, m/s, with its spread between lifters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VelocityOfBest {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// Velocity of a best single in experienced lifters (Helms et al. 2017, 15 powerlifters).
pub const fn velocity_of_best(lift: Lift) -> VelocityOfBest {
    match lift {
        Lift::Squat => VelocityOfBest {
            mean: 0.23,
            sd: 0.05,
        },
        Lift::Bench => VelocityOfBest {
            mean: 0.10,
            sd: 0.04,
        },
        Lift::Deadlift => VelocityOfBest {
            mean: 0.14,
            sd: 0.05,
        },
    }
}

/// A lifter's own line, `load = at_rest + slope * velocity`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VelocityLine {
    /// Load at no velocity, kg.
    pub at_rest: f64,
    /// Kilograms for a metre a second; below zero.
    pub slope: f64,
    /// Share of the variance explained.
    pub r2: f64,
    /// Spread of the loads about the line, kg.
    pub residual_sd: f64,
}

/// A best single from velocity; never shown without its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VelocityEstimate {
    /// Point estimate, kg.
    pub kg: f64,
    /// One standard deviation below, kg.
    pub low_kg: f64,
    /// One standard deviation above, kg.
    pub high_kg: f64,
    /// Spread on the log scale, at least 0.05.
    pub sigma: f64,
    /// From a group curve and not from the lifter's own loads: say so.
    pub from_group: bool,
}

impl VelocityLine {
    /// Least squares through the fastest repetition of each load.
    ///
    /// Of several repetitions at the same load the fastest counts. The span is judged against the
    /// line's own best single of `lift`.
    pub fn fit(points: &[VelocityPoint], lift: Lift) -> Result<Self, NoVelocity> {
        let points = fastest(points)?;
        if points.len() < FEWEST_LOADS {
            return Err(NoVelocity::TooFew(points.len()));
        }
        let line = Self::through(&points)?;
        if line.r2 < LEAST_R2 {
            return Err(NoVelocity::Scattered(line.r2));
        }
        line.check_span(&points, lift)?;
        Ok(line)
    }

    /// The least-squares line through points, whatever it is worth.
    pub(super) fn through(points: &[VelocityPoint]) -> Result<Self, NoVelocity> {
        let n = points.len() as f64;
        let sum = |of: &dyn Fn(&VelocityPoint) -> f64| points.iter().map(of).sum::<f64>();
        let (kg, velocity) = (sum(&|p| p.kg) / n, sum(&|p| p.velocity) / n);
        let sxx = sum(&|p| (p.velocity - velocity).powi(2));
        let sxy = sum(&|p| (p.velocity - velocity) * (p.kg - kg));
        let syy = sum(&|p| (p.kg - kg).powi(2));
        let slope = sxy / sxx;
        if !slope.is_finite() || slope >= 0.0 {
            return Err(NoVelocity::NotFalling);
        }
        Ok(Self {
            at_rest: kg - slope * velocity,
            slope,
            r2: sxy * sxy / (sxx * syy),
            residual_sd: ((syy - slope * sxy).max(0.0) / (n - 2.0)).sqrt(),
        })
    }

    /// Refuses points too close together for a line to reach down to a best single.
    fn check_span(&self, points: &[VelocityPoint], lift: Lift) -> Result<(), NoVelocity> {
        let width = |of: fn(&VelocityPoint) -> f64| {
            let (low, high) = points
                .iter()
                .map(of)
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                    (low.min(v), high.max(v))
                });
            high - low
        };
        let span = width(|p| p.velocity);
        let best = self.load_at(velocity_of_best(lift).mean);
        let share = if best > 0.0 {
            width(|p| p.kg) / best
        } else {
            0.0
        };
        // Velocities are typed to a hundredth, so a hair below still counts.
        if span >= LEAST_SPAN - 1e-9 || share >= LEAST_SHARE - 1e-9 {
            Ok(())
        } else {
            Err(NoVelocity::TooClose {
                percent: 100.0 * share,
                span,
            })
        }
    }

    /// Load at a velocity, kg.
    pub fn load_at(&self, velocity: f64) -> f64 {
        self.at_rest + self.slope * velocity
    }

    /// The best single, with the spread of its velocity between lifters and that of the line.
    pub fn best_single(&self, at: VelocityOfBest) -> Result<VelocityEstimate, NoVelocity> {
        let kg = self.load_at(at.mean);
        if !kg.is_finite() || kg <= 0.0 {
            return Err(NoVelocity::Load(kg));
        }
        let sd = (self.slope * at.sd).abs().hypot(self.residual_sd);
        Ok(spread(kg, sd, false))
    }
}

/// An estimate with `sd` kilograms either way.
fn spread(kg: f64, sd: f64, from_group: bool) -> VelocityEstimate {
    VelocityEstimate {
        kg,
        low_kg: kg - sd,
        high_kg: kg + sd,
        sigma: (sd / kg).max(LEAST_SIGMA),
        from_group,
    }
}

/// One point a load, the fastest, lightest first.
fn fastest(points: &[VelocityPoint]) -> Result<Vec<VelocityPoint>, NoVelocity> {
    let mut kept: Vec<VelocityPoint> = Vec::new();
    for point in points {
        if !POSSIBLE.contains(&point.velocity) {
            return Err(NoVelocity::Velocity(point.velocity));
        }
        if !point.kg.is_finite() || point.kg <= 0.0 {
            return Err(NoVelocity::Load(point.kg));
        }
        match kept
            .iter_mut()
            .find(|have| (have.kg - point.kg).abs() < 1e-6)
        {
            Some(have) => have.velocity = have.velocity.max(point.velocity),
            None => kept.push(*point),
        }
    }
    kept.sort_by(|a, b| a.kg.total_cmp(&b.kg));
    Ok(kept)
}

/// A published group curve, percent of the best single as a quadratic of velocity.
struct GroupCurve {
    square: f64,
    linear: f64,
    constant: f64,
    /// Standard error of estimate, percent of the best single.
    see: f64,
}

/// The group curve of a lift: bench by González-Badillo and Sánchez-Medina 2010 (n = 120), squat
/// by Sánchez-Medina et al. 2017 (n = 80), mean propulsive velocity in a guided bar; coefficients
/// and errors from memory. None for the deadlift.
const fn group_curve(lift: Lift) -> Option<GroupCurve> {
    match lift {
        Lift::Bench => Some(GroupCurve {
            square: 8.4326,
            linear: -73.501,
            constant: 112.33,
            see: 3.56,
        }),
        Lift::Squat => Some(GroupCurve {
            square: -5.961,
            linear: -50.71,
            constant: 117.0,
            see: 4.02,
        }),
        Lift::Deadlift => None,
    }
}

/// Percent of the best single at a velocity, by the group curve of the lift.
pub fn group_percent(lift: Lift, velocity: f64) -> Option<f64> {
    let curve = group_curve(lift)?;
    POSSIBLE
        .contains(&velocity)
        .then_some(curve.square * velocity * velocity + curve.linear * velocity + curve.constant)
}

/// Velocity at a percentage of the best single, by the group curve of the lift.
pub fn group_velocity(lift: Lift, percent: f64) -> Option<f64> {
    let GroupCurve {
        square,
        linear,
        constant,
        ..
    } = group_curve(lift)?;
    let root = (linear * linear - 4.0 * square * (constant - percent)).sqrt();
    // The falling branch, which holds the velocities that were measured.
    let velocity = (-linear - root) / (2.0 * square);
    (velocity.is_finite() && POSSIBLE.contains(&velocity)).then_some(velocity)
}

/// A best single from one velocity by the group curve: a fallback, marked as such.
///
/// The spread joins the curve's own error with a video error of 0.05 m/s.
pub fn from_group_curve(lift: Lift, point: VelocityPoint) -> Result<VelocityEstimate, NoVelocity> {
    const VIDEO_ERROR: f64 = 0.05;
    let at = fastest(&[point])?;
    let point = at.first().copied().unwrap_or(point);
    let curve = group_curve(lift).ok_or(NoVelocity::NoCurve)?;
    let percent = group_percent(lift, point.velocity)
        .filter(|percent| (30.0..=100.0).contains(percent))
        .ok_or(NoVelocity::NoCurve)?;
    let slope = 2.0 * curve.square * point.velocity + curve.linear;
    let sd_percent = curve.see.hypot(slope * VIDEO_ERROR);
    let kg = 100.0 * point.kg / percent;
    Ok(spread(kg, kg * sd_percent / percent, true))
}

/// A claimed effort that the bar's velocity does not bear out. Ordinal: a reason to ask, never a
/// correction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EffortDoubt {
    /// Claimed three or more left, but the last repetition was hardly faster than a best single.
    HarderThanSaid,
    /// Claimed none left, but the bar hardly slowed.
    EasierThanSaid,
}

/// Checks a claimed effort against the first (fastest) and the last velocity of the set, m/s.
pub fn effort_doubt(
    effort: Effort,
    fastest: f64,
    last: f64,
    at_best: VelocityOfBest,
) -> Option<EffortDoubt> {
    /// RPE up to which a nearly stalled bar is odd.
    const LIGHT: f64 = 7.0;
    /// How near the velocity of a best single is "hardly faster", m/s.
    const NEAR: f64 = 0.05;
    /// Share of velocity lost below which the bar hardly slowed.
    const STEADY: f64 = 0.10;
    if !POSSIBLE.contains(&fastest) || !POSSIBLE.contains(&last) {
        return None;
    }
    let rpe = effort.rpe();
    if rpe.high <= LIGHT + 1e-9 && last < at_best.mean + NEAR {
        return Some(EffortDoubt::HarderThanSaid);
    }
    // A set that starts as slow as a best single cannot slow much more.
    let room = fastest > at_best.mean + NEAR;
    (rpe.low >= 10.0 - 1e-9 && room && 1.0 - last / fastest < STEADY)
        .then_some(EffortDoubt::EasierThanSaid)
}
