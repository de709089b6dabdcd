//! From a quantity with its error to soft evidence.
//!
//! A measured value does not say yes or no. Its error turns it into a probability, several
//! repetitions into one, and a probability is kept from ever being certain. The rules are choices
//! of ours with no source, each a figure in [`SignLimits`](super::SignLimits); the propagation of
//! errors is the usual one.

use crate::load::normal_cdf;

/// Probability that the true value lies above `threshold`, when `value` was measured with normally
/// distributed `error` (same unit; 0 for a value that is exact).
pub fn probability_above(value: f64, threshold: f64, error: f64) -> f64 {
    if error > 0.0 {
        normal_cdf((value - threshold) / error)
    } else if value > threshold {
        1.0
    } else if value < threshold {
        0.0
    } else {
        0.5
    }
}

/// Natural log of the odds of a probability held within `1 - surest` and `surest`.
pub fn log_odds(probability: f64, surest: f64) -> f64 {
    let held = probability.clamp(1.0 - surest, surest);
    (held / (1.0 - held)).ln()
}

/// The probability of natural log odds, held within `1 - surest` and `surest`.
pub fn from_log_odds(log_odds: f64, surest: f64) -> f64 {
    (1.0 / (1.0 + (-log_odds).exp())).clamp(1.0 - surest, surest)
}

/// How much a measurement counts at a mean confidence of its points: in full from `full` on.
pub fn trust_weight(confidence: f64, full: f64) -> f64 {
    if full > 0.0 {
        (confidence / full).clamp(0.0, 1.0)
    } else {
        1.0
    }
}

/// Log odds of several repetitions together. They share part of their error, so `n` of them count
/// as `n / (1 + (n - 1) * shared)` that know nothing of each other (`shared` 0 to 1, the intraclass
/// correlation; this is the design effect of cluster sampling, L. Kish 1965, from memory).
pub fn combined(log_odds: &[f64], shared: f64) -> f64 {
    let sum: f64 = log_odds.iter().sum();
    let others = log_odds.len().saturating_sub(1) as f64;
    sum / (1.0 + others * shared.clamp(0.0, 1.0))
}

/// What a quantity is like in sets with or without a sign: normal, mean and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likeness {
    /// Mean.
    pub mean: f64,
    /// Standard deviation between lifters.
    pub spread: f64,
}

/// Natural log of the likelihood ratio of a value measured with `error`: `with` against `without`.
pub fn log_likelihood_ratio(value: f64, error: f64, with: Likeness, without: Likeness) -> f64 {
    let log_density = |like: Likeness| {
        let variance = like.spread * like.spread + error * error;
        let off = value - like.mean;
        -0.5 * (off * off / variance + variance.ln())
    };
    log_density(with) - log_density(without)
}

/// Posterior probability of a prior and a log likelihood ratio.
pub fn posterior(prior: f64, log_likelihood_ratio: f64) -> f64 {
    let odds = prior / (1.0 - prior) * log_likelihood_ratio.exp();
    odds / (1.0 + odds)
}

/// Standard deviation, radians, of the direction of a segment of `length` whose ends are known to
/// `one` and `other` on each axis (same unit).
pub fn segment_angle_error(one: f64, other: f64, length: f64) -> f64 {
    one.hypot(other) / length
}

/// Standard deviation, radians, of the angle at the middle of three points. `near` and `far` are
/// the lengths of its sides, `angle` the angle between them in radians; the errors on each axis are
/// those of the end of `near`, of the middle, and of the end of `far`.
pub fn joint_angle_error(near: f64, far: f64, angle: f64, errors: [f64; 3]) -> f64 {
    let [first, middle, last] = errors;
    let own = (first / near).powi(2) + (last / far).powi(2);
    let shared = 1.0 / near.powi(2) + 1.0 / far.powi(2) - 2.0 * angle.cos() / (near * far);
    (own + middle * middle * shared).sqrt()
}
