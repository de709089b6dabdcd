//! When a goal is in reach: a distribution of times, said as a range and never as a date.
//!
//! A level that drifts by `g` and wanders by `q` a week first reaches a goal after a time with
//! the inverse Gaussian law (first passage of Brownian motion, Schrödinger 1915). The drift is not
//! known but has a normal prior, and the level has its own spread, so the law is averaged over
//! both by the trapezoid rule, which needs no randomness. Gains slow near a ceiling, which the law
//! does not know: the words say "on the present trend".

use super::history::{Level, Trend, WANDER_PER_WEEK, WEEKS_A_YEAR};
use super::normal::{erfcx, normal_cdf};
use std::f64::consts::FRAC_1_SQRT_2;

/// Drift below which nobody who trains is put, log scale a year.
const LEAST_DRIFT_PER_YEAR: f64 = 0.005;

/// Years within which a goal must be as likely as not, to name a time at all.
const HORIZON_YEARS: f64 = 5.0;

/// Beyond this many years no figure is said: nobody's gain is known that far ahead.
const LONGEST_SAID_YEARS: f64 = 10.0;

/// Standard deviations to either side that the averages reach.
const REACH: f64 = 6.0;

/// Steps of the average over the drift.
const DRIFT_STEPS: u32 = 60;

/// Steps of the average over the level.
const LEVEL_STEPS: u32 = 12;

/// Time to first reach a level `distance` above (log scale) at a known drift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstPassage {
    /// Logarithm of goal over level.
    pub distance: f64,
    /// Drift a week.
    pub drift: f64,
    /// Wander: standard deviation in a week.
    pub wander: f64,
}

impl FirstPassage {
    /// From a level to a goal at a drift a week, with the usual wander.
    pub fn new(distance: f64, drift: f64) -> Self {
        Self {
            distance,
            drift,
            wander: WANDER_PER_WEEK,
        }
    }

    /// Mean, weeks; infinite without an upward drift, 0 when the goal is reached.
    pub fn mean(&self) -> f64 {
        if self.distance <= 0.0 {
            0.0
        } else if self.drift > 0.0 {
            self.distance / self.drift
        } else {
            f64::INFINITY
        }
    }

    /// Standard deviation, weeks; infinite without an upward drift.
    pub fn sd(&self) -> f64 {
        if self.distance <= 0.0 {
            0.0
        } else if self.drift > 0.0 {
            self.wander * (self.distance / self.drift.powi(3)).sqrt()
        } else {
            f64::INFINITY
        }
    }

    /// Probability that the goal is reached within `weeks`.
    ///
    /// `Φ((μt - D)/σ√t) + exp(2μD/σ²) Φ(-(μt + D)/σ√t)`, the second term written so that neither
    /// factor overflows. Holds for a falling drift too, where it stays below 1.
    pub fn within(&self, weeks: f64) -> f64 {
        if self.distance <= 0.0 {
            return 1.0;
        }
        if weeks.is_nan() || weeks <= 0.0 {
            return 0.0;
        }
        let scale = self.wander * weeks.sqrt();
        let ahead = (self.drift * weeks - self.distance) / scale;
        let behind = (self.drift * weeks + self.distance) / scale;
        let mirror = if behind >= 0.0 {
            0.5 * erfcx(behind * FRAC_1_SQRT_2) * (-0.5 * ahead * ahead).exp()
        } else {
            (2.0 * self.drift * self.distance / (self.wander * self.wander)).exp()
                * normal_cdf(-behind)
        };
        (normal_cdf(ahead) + mirror).min(1.0)
    }

    /// Weeks by which the goal is reached with probability `share`; none when it never gets there.
    pub fn quantile(&self, share: f64) -> Option<f64> {
        quantile(|weeks| self.within(weeks), share)
    }
}

/// How likely a goal is by when, drift and level unsure.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeToGoal {
    /// Weights and laws that make up the average.
    parts: Vec<(f64, FirstPassage)>,
}

impl TimeToGoal {
    /// From a level to a goal, kg, under a trend that is itself unsure.
    pub fn new(level: &Level, goal_kg: f64, trend: Trend) -> Self {
        let distance = goal_kg.ln() - level.ln_kg;
        let mut parts = Vec::new();
        for (of_drift, drift) in nodes(trend.per_week, trend.sd_per_week, DRIFT_STEPS) {
            // A prior that allows no gain at all is left as it is; else training counts a little.
            let drift = if trend.sd_per_week > 0.0 {
                drift.max(LEAST_DRIFT_PER_YEAR / WEEKS_A_YEAR)
            } else {
                drift
            };
            for (of_level, off) in nodes(0.0, level.sigma(), LEVEL_STEPS) {
                let law = FirstPassage::new(distance + off, drift);
                parts.push((of_drift * of_level, law));
            }
        }
        Self { parts }
    }

    /// Probability that the goal is reached within `weeks`.
    pub fn within(&self, weeks: f64) -> f64 {
        let sum: f64 = self
            .parts
            .iter()
            .map(|(weight, law)| weight * law.within(weeks))
            .sum();
        sum.min(1.0)
    }

    /// Weeks by which the goal is reached with probability `share`.
    pub fn quantile(&self, share: f64) -> Option<f64> {
        quantile(|weeks| self.within(weeks), share)
    }

    /// What to say.
    pub fn outlook(&self) -> Outlook {
        if self.within(0.0) >= 0.5 {
            return Outlook::Reached;
        }
        if self.within(HORIZON_YEARS * WEEKS_A_YEAR) < 0.5 {
            return Outlook::NotOnTrend;
        }
        // The costly part last: both ends are searched for only when they are said.
        match self.quantile(0.1).zip(self.quantile(0.9)) {
            Some((early, late)) => Outlook::Between { early, late },
            None => Outlook::NotOnTrend,
        }
    }
}

/// What can be said about a goal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlook {
    /// The level is there already.
    Reached,
    /// Four in five chances lie between these, weeks.
    Between {
        /// One chance in ten that it is sooner.
        early: f64,
        /// One chance in ten that it is later.
        late: f64,
    },
    /// Less likely than not within five years.
    NotOnTrend,
}

impl Outlook {
    /// In words: `about 10 months to 4 years`.
    pub fn words(&self) -> String {
        match *self {
            Self::Reached => "in reach now".to_owned(),
            Self::NotOnTrend => "not on the present trend".to_owned(),
            Self::Between { early, late } => {
                let late_years = late / WEEKS_A_YEAR;
                let (early, late) = (Rough::of(early), Rough::of(late));
                if late_years > LONGEST_SAID_YEARS {
                    format!("about {} to more than 10 years", early.words())
                } else if early == late {
                    format!("about {}", late.words())
                } else if early.unit == late.unit {
                    format!("about {} to {}", early.figure(), late.words())
                } else {
                    format!("about {} to {}", early.words(), late.words())
                }
            }
        }
    }
}

/// A stretch of time as people round it.
#[derive(Clone, Copy, PartialEq)]
struct Rough {
    number: f64,
    unit: &'static str,
}

impl Rough {
    /// Whole weeks to ten weeks, whole months to eighteen months, then years: halves to three.
    fn of(weeks: f64) -> Self {
        let months = weeks / WEEKS_A_YEAR * 12.0;
        let years = weeks / WEEKS_A_YEAR;
        let (number, unit) = if weeks < 10.0 {
            (weeks.round().max(1.0), "week")
        } else if months < 18.0 {
            (months.round(), "month")
        } else if years < 3.0 {
            ((2.0 * years).round() / 2.0, "year")
        } else {
            (years.round(), "year")
        };
        Self { number, unit }
    }

    /// The number alone.
    fn figure(self) -> String {
        crate::quantity::plain(self.number)
    }

    /// Number and unit.
    fn words(self) -> String {
        let plural = if self.number > 1.0 { "s" } else { "" };
        format!("{} {}{plural}", self.figure(), self.unit)
    }
}

/// Weights and values of a normal variable on an even grid; one node when it has no spread.
fn nodes(mean: f64, sd: f64, steps: u32) -> Vec<(f64, f64)> {
    if sd.is_nan() || sd <= 0.0 {
        return vec![(1.0, mean)];
    }
    let step = 2.0 * REACH / f64::from(steps);
    let raw: Vec<(f64, f64)> = (0..=steps)
        .map(|index| f64::from(index) * step - REACH)
        .map(|z| ((-0.5 * z * z).exp(), mean + sd * z))
        .collect();
    let sum: f64 = raw.iter().map(|(weight, _)| weight).sum();
    raw.into_iter()
        .map(|(weight, value)| (weight / sum, value))
        .collect()
}

/// Weeks at which a rising probability reaches `share`, by halving; none when it does not within
/// ten thousand years.
fn quantile(within: impl Fn(f64) -> f64, share: f64) -> Option<f64> {
    /// Halvings: from 2^19 weeks down to far below a second.
    const HALVINGS: u32 = 54;
    let (mut low, mut high) = (0.0, 524_288.0);
    if within(low) >= share {
        return Some(0.0);
    }
    let ever = within(high);
    if share.is_nan() || ever.is_nan() || ever < share {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if within(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}
