//! A lifter's level over time: a local-level filter on the logarithm of the best single.
//!
//! The level drifts by `g` and wanders by `q` a week between sets; each set is one observation of
//! it with the set's own spread and that of a day (the Kalman filter of Harvey 1989, chapter 4).
//! What does not fit within three standard deviations is held and asked about, not averaged in.
//! All observations of a day are weighed together, so their order does not matter. The level is
//! not the best lift done: that is kept beside it.

use super::estimate::{NoEstimate, Standard, Z80, observe};
use super::filter::Filter;
use crate::quantity::Mass;
use crate::report::SetReport;
use jiff::civil::Date;

/// Wander of a level in a week, log scale: 5 % in a year.
pub const WANDER_PER_WEEK: f64 = 0.007;

/// Spread from day to day, log scale: the trained end of what retests show (Grgic et al. 2020).
const DAY_SIGMA: f64 = 0.025;

/// Spread of a single lift as a measure of that day's best, log scale.
const SINGLE_SIGMA: f64 = 0.015;

/// Weeks without a report after which no further gain is assumed.
pub const SILENT_WEEKS: f64 = 12.0;

/// Weeks in a year.
pub(super) const WEEKS_A_YEAR: f64 = 52.177_5;

/// Expected gain, log scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Mean gain in a week.
    pub per_week: f64,
    /// How unsure that mean is, a week.
    pub sd_per_week: f64,
}

impl Trend {
    /// No gain, for certain.
    pub const NONE: Self = Self {
        per_week: 0.0,
        sd_per_week: 0.0,
    };

    /// A trend given per year, log scale.
    pub fn per_year(mean: f64, sd: f64) -> Self {
        Self {
            per_week: mean / WEEKS_A_YEAR,
            sd_per_week: sd / WEEKS_A_YEAR,
        }
    }

    /// What to expect by training age, before any set is seen. Judgement, from the gains of
    /// competitors in Latella et al. 2020 and the position stand of the American College of Sports
    /// Medicine; a training age nobody gave is taken as the middle of the range, twice as unsure.
    pub fn expected(training_months: Option<u32>) -> Self {
        let (mean, sd) = match training_months {
            Some(0..12) => (0.25, 0.12),
            Some(12..36) => (0.10, 0.06),
            Some(36..84) => (0.04, 0.03),
            Some(_) => (0.015, 0.02),
            None => (0.04, 0.06),
        };
        Self::per_year(mean, sd)
    }

    /// The gain over a gap: none beyond twelve weeks without a report.
    fn over(self, weeks: f64) -> f64 {
        self.per_week * weeks.min(SILENT_WEEKS)
    }

    /// The same trend, or none when the last report is over twelve weeks ago.
    #[must_use]
    pub fn after_silence(self, weeks: f64) -> Self {
        if weeks > SILENT_WEEKS {
            Self::NONE
        } else {
            self
        }
    }
}

/// What was seen of a lifter on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// A set or a velocity: an estimate of the best single.
    Estimated {
        /// Estimate, kg.
        kg: f64,
        /// Its spread, log scale, without the spread of the day.
        sigma: f64,
    },
    /// A single that was missed: the best single that day was below it.
    Missed {
        /// Load, kg.
        kg: f64,
    },
}

/// One observation in a lifter's history.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sighting {
    /// The day.
    pub day: Date,
    /// What was seen.
    pub seen: Seen,
    /// Load that was completed at least once, kg: may be the best performed.
    pub done_kg: Option<f64>,
    /// The lifter or the coach has said it is right although it does not fit: taken anew from it.
    pub confirmed: bool,
}

impl Sighting {
    /// What a report says, if anything: the set, or a missed single as an upper bound.
    pub fn of_report(
        report: &SetReport,
        day: Date,
        standard: Standard,
    ) -> Result<Self, NoEstimate> {
        let done = |met: bool| {
            let load = report.load.filter(|load| load.is_some_load());
            load.map(Mass::kg).filter(|_| met)
        };
        let (seen, done_kg) = match observe(report, standard) {
            Ok(set) => (
                Seen::Estimated {
                    kg: set.ln_kg.exp(),
                    sigma: set.sigma,
                },
                done(standard == Standard::Met),
            ),
            Err(NoEstimate::OnlyMissed) => {
                let load = report.load.ok_or(NoEstimate::NoLoad)?;
                (Seen::Missed { kg: load.kg() }, None)
            }
            Err(why) => return Err(why),
        };
        Ok(Self {
            day,
            seen,
            done_kg,
            confirmed: false,
        })
    }

    /// The logarithm observed and its variance, the day's spread in it; none when it is no load.
    pub(super) fn reading(&self) -> Option<(f64, f64)> {
        let (kg, sigma) = match self.seen {
            Seen::Estimated { kg, sigma } => (kg, sigma),
            Seen::Missed { kg } => (kg, SINGLE_SIGMA),
        };
        let fine = kg.is_finite() && kg > 0.0 && sigma.is_finite() && sigma >= 0.0;
        fine.then(|| (kg.ln(), sigma * sigma + DAY_SIGMA * DAY_SIGMA))
    }
}

/// Where a lifter stands on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// The day it speaks of.
    pub day: Date,
    /// Natural logarithm of the best single in kg.
    pub ln_kg: f64,
    /// Variance of that.
    pub variance: f64,
}

impl Level {
    /// A level with the spread that a stated best single has when nothing more is known (10 %).
    pub fn supposed(day: Date, kg: f64) -> Self {
        Self {
            day,
            ln_kg: kg.ln(),
            variance: 0.01,
        }
    }

    /// The level an estimate stands for, with the estimate's own spread.
    pub fn of_estimate(day: Date, estimate: &super::Estimate) -> Self {
        Self {
            day,
            ln_kg: estimate.kg.ln(),
            variance: estimate.sigma * estimate.sigma,
        }
    }

    /// The level, kg.
    pub fn kg(&self) -> f64 {
        self.ln_kg.exp()
    }

    /// Standard deviation, log scale.
    pub fn sigma(&self) -> f64 {
        self.variance.sqrt()
    }

    /// Both ends of the 80 % interval, kg.
    pub fn ends(&self) -> (f64, f64) {
        let half = Z80 * self.sigma();
        ((self.ln_kg - half).exp(), (self.ln_kg + half).exp())
    }

    /// The level `weeks` later without anything seen.
    pub(super) fn later(&self, day: Date, trend: Trend) -> Self {
        let weeks = weeks_between(self.day, day);
        Self {
            day,
            ln_kg: self.ln_kg + trend.over(weeks),
            variance: self.variance + WANDER_PER_WEEK * WANDER_PER_WEEK * weeks,
        }
    }
}

/// An observation that does not fit: to be asked about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// What was held.
    pub sighting: Sighting,
    /// Standard deviations from what was expected; negative when too light.
    pub off: f64,
}

/// The heaviest load that was really completed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Performed {
    /// When first.
    pub day: Date,
    /// Load, kg.
    pub kg: f64,
}

/// A lifter's history worked through.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// The level after each day that moved it, in order.
    pub levels: Vec<Level>,
    /// What was held.
    pub held: Vec<Held>,
    /// The best performed, apart from the level.
    pub best: Option<Performed>,
    /// The trend that was assumed.
    pub trend: Trend,
}

/// Change of level between two days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Change in percent.
    pub percent: f64,
    /// Lower end of the 80 % interval, percent.
    pub low_percent: f64,
    /// Upper end of the 80 % interval, percent.
    pub high_percent: f64,
    /// Standard deviation, log scale.
    pub sigma: f64,
}

/// Weeks from one day to another; none when the second is earlier.
pub fn weeks_between(from: Date, to: Date) -> f64 {
    f64::from((to - from).get_days()).max(0.0) / 7.0
}

/// Works a history through in time order; `start` is what is supposed before anything is seen.
///
/// None when there is neither a start nor an estimate. What lies before the start is left out.
pub fn follow(sightings: &[Sighting], start: Option<Level>, trend: Trend) -> Option<Progress> {
    Filter::run(sightings, start, trend, None).map(|(progress, _)| progress)
}

/// Change of the level from `since` to the last day seen, with its interval.
///
/// The level of that day is carried along as a second state (fixed-point smoothing), so what was
/// seen later also sharpens it. None when nothing is known by then, or nothing was seen since.
pub fn change_since(
    sightings: &[Sighting],
    start: Option<Level>,
    trend: Trend,
    since: Date,
) -> Option<Change> {
    let (progress, mark) = Filter::run(sightings, start, trend, Some(since))?;
    let (now, then) = (progress.levels.last()?, mark?);
    let change = now.ln_kg - then.ln_kg;
    let variance = (now.variance + then.variance - 2.0 * then.shared).max(0.0);
    let (sigma, percent) = (variance.sqrt(), |ln: f64| 100.0 * ln.exp_m1());
    Some(Change {
        percent: percent(change),
        low_percent: percent(change - Z80 * sigma),
        high_percent: percent(change + Z80 * sigma),
        sigma,
    })
}
