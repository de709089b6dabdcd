//! The filter behind a lifter's level: day by day, what fits weighed in, the rest held.

use super::history::{Held, Level, Performed, Progress, Seen, Sighting, Trend};
use jiff::civil::Date;

/// Observations further off than this many standard deviations are held.
const HELD_BEYOND: f64 = 3.0;

/// The level of a day gone by, carried along.
#[derive(Clone, Copy)]
pub(super) struct Mark {
    /// Logarithm of the level, kg.
    pub(super) ln_kg: f64,
    /// Its variance.
    pub(super) variance: f64,
    /// Covariance with the level now.
    pub(super) shared: f64,
}

/// The filter at work.
pub(super) struct Filter {
    now: Level,
    mark: Option<Mark>,
}

impl Filter {
    /// Works through all days.
    pub(super) fn run(
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
        sorted.sort_by_key(|one| one.day);
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
            let taken = if let Some(filter) = filter.as_mut() {
                filter.day(today, trend, since, &mut progress.held)
            } else {
                filter = Self::begin(today);
                filter.is_some()
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
