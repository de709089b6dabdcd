//! A lifter's level over time: a local-level filter on the logarithm of the best single.
//!
//! The level drifts by `g` and wanders by `q` a week between sets; each set is one observation of
//! it with the set's own spread and that of a day (the Kalman filter of Harvey 1989, chapter 4).
//! What does not fit within three standard deviations is held and asked about, not averaged in.
//! All observations of a day are weighed together, so their order does not matter. The level is
//! not the best lift done: that is kept beside it.

use super::estimate::{NoEstimate, Standard, Z80, observe};
use crate::quantity::Mass;
use crate::report::SetReport;
use jiff::civil::Date;

/// Wander of a level in a week, log scale: 5 % in a year.
pub const WANDER_PER_WEEK: f64 = 0.007;

/// Spread from day to day, log scale: the trained end of what retests show (Grgic et al. 2020).
const DAY_SIGMA: f64 = 0.025;

/// Spread of a single lift as a measure of that day's best, log scale.
const SINGLE_SIGMA: f64 = 0.015;

/// Observations further off than this many standard deviations are held.
const HELD_BEYOND: f64 = 3.0;

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
    fn reading(&self) -> Option<(f64, f64)> {
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
    fn later(&self, day: Date, trend: Trend) -> Self {
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

/// The level of a day gone by, carried along.
#[derive(Clone, Copy)]
struct Mark {
    ln_kg: f64,
    variance: f64,
    /// Covariance with the level now.
    shared: f64,
}

/// The filter at work.
struct Filter {
    now: Level,
    mark: Option<Mark>,
}

impl Filter {
    /// Works through all days.
    fn run(
        sightings: &[Sighting],
        start: Option<Level>,
        trend: Trend,
        since: Option<Date>,
    ) -> Option<(Progress, Option<Mark>)> {
        let mut sorted: Vec<&Sighting> = sightings
            .iter()
            .filter(|one| one.reading().is_some())
            .filter(|one| start.is_none_or(|start| one.day >= start.day))
            .collect();
        sorted.sort_by(|a, b| a.day.cmp(&b.day));
        let mut progress = Progress {
            levels: start.into_iter().collect(),
            held: Vec::new(),
            best: None,
            trend,
        };
        let mut filter = start.map(|now| Self { now, mark: None });
        for today in sorted.chunk_by(|a, b| a.day == b.day) {
            for one in today {
                progress.best = better(progress.best, one);
            }
            let taken = match filter.as_mut() {
                Some(filter) => filter.day(today, trend, since, &mut progress.held),
                None => {
                    filter = Self::begin(today);
                    filter.is_some()
                }
            };
            if let Some(filter) = filter.as_ref().filter(|_| taken) {
                if progress
                    .levels
                    .last()
                    .is_some_and(|last| last.day == filter.now.day)
                {
                    progress.levels.pop();
                }
                progress.levels.push(filter.now);
            }
        }
        let mut filter = filter?;
        if since == Some(filter.now.day) {
            filter.pass(since, Date::MAX, trend);
        }
        Some((progress, filter.mark))
    }

    /// The first day: the mean of its estimates by precision.
    fn begin(today: &[&Sighting]) -> Option<Self> {
        let seen: Vec<(f64, f64)> = today
            .iter()
            .filter(|one| matches!(one.seen, Seen::Estimated { .. }))
            .filter_map(|one| one.reading())
            .collect();
        let (ln_kg, variance) = pooled(&seen)?;
        let day = today.first()?.day;
        Some(Self {
            now: Level {
                day,
                ln_kg,
                variance,
            },
            mark: None,
        })
    }

    /// Marks the level of `since` when it lies before `next`, stepping there on the way.
    fn pass(&mut self, since: Option<Date>, next: Date, trend: Trend) {
        let Some(since) = since.filter(|_| self.mark.is_none()) else {
            return;
        };
        if since < self.now.day || since >= next {
            return;
        }
        // Only the level is asked of, not moved: a gap is one gap however often it is looked into.
        let then = self.now.later(since, trend);
        self.mark = Some(Mark {
            ln_kg: then.ln_kg,
            variance: then.variance,
            shared: then.variance,
        });
    }

    /// One day: what fits is weighed in together, the rest held. True when the level moved.
    fn day(
        &mut self,
        today: &[&Sighting],
        trend: Trend,
        since: Option<Date>,
        held: &mut Vec<Held>,
    ) -> bool {
        let Some(day) = today.first().map(|one| one.day) else {
            return false;
        };
        self.pass(since, day, trend);
        let expected = self.now.later(day, trend);
        let confirmed: Vec<(f64, f64)> = today
            .iter()
            .filter(|one| one.confirmed && matches!(one.seen, Seen::Estimated { .. }))
            .filter_map(|one| one.reading())
            .collect();
        let (mut fitting, mut missed) = (Vec::new(), Vec::new());
        for one in today {
            let Some((ln_kg, variance)) = one.reading() else {
                continue;
            };
            let off = (ln_kg - expected.ln_kg) / (expected.variance + variance).sqrt();
            let single = matches!(one.seen, Seen::Missed { .. });
            match (single, off.abs() > HELD_BEYOND && !one.confirmed) {
                (true, _) if off >= 0.0 => {}
                (_, true) => held.push(Held {
                    sighting: **one,
                    off,
                }),
                (true, false) => missed.push((ln_kg, variance)),
                (false, false) => fitting.push((ln_kg, variance)),
            }
        }
        if let Some((ln_kg, variance)) = pooled(&confirmed) {
            let gap = (ln_kg - expected.ln_kg) / (expected.variance + variance).sqrt();
            if gap.abs() > HELD_BEYOND {
                // It was said to be right, so the old level is not to be averaged with.
                self.now = Level {
                    day,
                    ln_kg,
                    variance,
                };
                if let Some(mark) = self.mark.as_mut() {
                    mark.shared = 0.0;
                }
                return true;
            }
        }
        let moved = !fitting.is_empty() || !missed.is_empty();
        if moved {
            self.now = expected;
            if let Some(reading) = pooled(&fitting) {
                self.update(reading);
            }
            // The lightest miss first, whatever the order they came in.
            missed.sort_by(|a, b| a.0.total_cmp(&b.0));
            for reading in missed {
                if reading.0 < self.now.ln_kg {
                    self.update(reading);
                }
            }
        }
        moved
    }

    /// Weighs one reading in.
    fn update(&mut self, (ln_kg, variance): (f64, f64)) {
        let total = self.now.variance + variance;
        let innovation = ln_kg - self.now.ln_kg;
        if let Some(mark) = self.mark.as_mut() {
            mark.ln_kg += mark.shared / total * innovation;
            mark.variance -= mark.shared * mark.shared / total;
            mark.shared *= variance / total;
        }
        self.now.ln_kg += self.now.variance / total * innovation;
        self.now.variance *= variance / total;
    }
}

/// Mean of readings by precision, and its variance: what weighing them one by one would give.
fn pooled(readings: &[(f64, f64)]) -> Option<(f64, f64)> {
    let precision: f64 = readings.iter().map(|(_, variance)| 1.0 / variance).sum();
    let weighed: f64 = readings.iter().map(|(ln, variance)| ln / variance).sum();
    (precision > 0.0 && precision.is_finite()).then(|| (weighed / precision, 1.0 / precision))
}

/// The better of the best so far and what was completed now; an equal lift does not replace it.
fn better(best: Option<Performed>, one: &Sighting) -> Option<Performed> {
    let done = one.done_kg.filter(|kg| kg.is_finite() && *kg > 0.0);
    match (best, done) {
        (Some(best), Some(kg)) if kg <= best.kg => Some(best),
        (_, Some(kg)) => Some(Performed { day: one.day, kg }),
        (best, None) => best,
    }
}
