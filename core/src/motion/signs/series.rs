//! One quantity over the repetitions of a set, and what it says of a sign.

use super::super::evidence::{combined, from_log_odds, log_odds, probability_above, trust_weight};
use super::{Measured, MeasuredSign, Quantity, SignLimits};

/// One value with the two kinds of its error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    /// The value.
    pub(super) value: f64,
    /// Error that each repetition has anew (jitter of the points).
    pub(super) noise: f64,
    /// Error that all repetitions of the set share (steady offsets, scale, camera).
    pub(super) shared: f64,
    /// Mean trust of the points it came from, 0 to 1.
    pub(super) trust: f64,
}

impl Reading {
    /// A value with no error that repetitions share.
    pub(super) fn plain(value: f64, noise: f64, trust: f64) -> Self {
        Self {
            value,
            noise,
            shared: 0.0,
            trust,
        }
    }

    /// Every figure is a number.
    pub(super) fn is_sound(&self) -> bool {
        self.value.is_finite() && self.error().is_finite() && self.trust.is_finite()
    }

    /// Both kinds of error together.
    pub(super) fn error(&self) -> f64 {
        self.noise.hypot(self.shared)
    }
}

/// How repetitions make up a sign of the set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pool {
    /// The way somebody lifts: all repetitions speak.
    Habit,
    /// Something that happens: one repetition is enough.
    Event,
}

/// Which side of the limit shows the sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shows {
    Above,
    Below,
}

/// A quantity over the set.
#[derive(Clone, Debug)]
pub(super) struct Series {
    pub(super) id: &'static str,
    pub(super) plain: &'static str,
    pub(super) unit: &'static str,
    pub(super) pool: Pool,
    pub(super) per_rep: Vec<Option<Reading>>,
    /// Value of the set as a whole, where it is not that of its repetitions (a spread, a loss).
    pub(super) whole: Option<Reading>,
}

/// What one quantity says of one sign.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Verdict {
    /// Natural log of the odds.
    pub(super) log_odds: f64,
    /// Quantity it comes from.
    pub(super) quantity: &'static str,
    /// The repetition that shows it most.
    pub(super) worst_rep: Option<usize>,
}

/// How several quantities make one sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Join {
    /// Any of them shows it.
    Either,
    /// Only all of them together show it.
    Both,
    /// They say the same in different ways.
    Alike,
}

/// Log odds of one repetition from which on it shows a sign clearly (9 to 1).
const CLEAR: f64 = 2.197_224_577_336_219_6;

impl Series {
    /// A quantity in which all repetitions speak.
    pub(super) fn habit(
        id: &'static str,
        plain: &'static str,
        unit: &'static str,
        per_rep: Vec<Option<Reading>>,
    ) -> Self {
        Self {
            id,
            plain,
            unit,
            pool: Pool::Habit,
            per_rep,
            whole: None,
        }
    }

    /// A quantity in which one repetition is enough.
    pub(super) fn event(
        id: &'static str,
        plain: &'static str,
        unit: &'static str,
        per_rep: Vec<Option<Reading>>,
    ) -> Self {
        Self {
            pool: Pool::Event,
            ..Self::habit(id, plain, unit, per_rep)
        }
    }

    /// Value and error of the set; of a habit the mean, of an event the worst repetition, which is
    /// the largest or smallest by the side that shows.
    fn of_set(&self, shows: Shows) -> Option<Reading> {
        if self.whole.is_some() {
            return self.whole;
        }
        let known: Vec<Reading> = self.per_rep.iter().flatten().copied().collect();
        let count = known.len() as f64;
        let mean = |part: fn(&Reading) -> f64| known.iter().map(part).sum::<f64>() / count;
        match self.pool {
            _ if known.is_empty() => None,
            Pool::Habit => Some(Reading {
                value: mean(|one| one.value),
                noise: (mean(|one| one.noise * one.noise) / count).sqrt(),
                shared: mean(|one| one.shared * one.shared).sqrt(),
                trust: mean(|one| one.trust),
            }),
            Pool::Event => known.into_iter().reduce(|worst, one| {
                let further = match shows {
                    Shows::Above => one.value > worst.value,
                    Shows::Below => one.value < worst.value,
                };
                if further { one } else { worst }
            }),
        }
    }

    /// How much the repetitions share their error: never less than the house's figure.
    fn shared_share(&self, limits: &SignLimits) -> f64 {
        let known = || self.per_rep.iter().flatten();
        let shared: f64 = known().map(|one| one.shared * one.shared).sum();
        let all: f64 = known().map(|one| one.error() * one.error()).sum();
        let found = if all > 0.0 { shared / all } else { 0.0 };
        found.max(limits.shared_error)
    }

    /// What the quantity says when its sign begins at `limit`.
    pub(super) fn judge(&self, limit: f64, shows: Shows, limits: &SignLimits) -> Option<Verdict> {
        let chance = |one: &Reading| {
            let above = probability_above(one.value, limit, one.error());
            match shows {
                Shows::Above => above,
                Shows::Below => 1.0 - above,
            }
        };
        let chances: Vec<Option<f64>> = match &self.whole {
            Some(whole) => {
                let weight = trust_weight(whole.trust, limits.full_trust);
                let log_odds = weight * log_odds(chance(whole), limits.surest);
                return Some(Verdict {
                    log_odds,
                    quantity: self.id,
                    worst_rep: None,
                });
            }
            None => self
                .per_rep
                .iter()
                .map(|one| one.as_ref().map(chance))
                .collect(),
        };
        self.judge_by(&chances, limits)
    }

    /// What the quantity says when the probability of each repetition is known.
    pub(super) fn judge_by(&self, chances: &[Option<f64>], limits: &SignLimits) -> Option<Verdict> {
        let mut odds = Vec::new();
        let mut worst: Option<(usize, f64)> = None;
        for (rep, (reading, chance)) in self.per_rep.iter().zip(chances).enumerate() {
            let (Some(reading), Some(chance)) = (reading, chance) else {
                continue;
            };
            let weight = trust_weight(reading.trust, limits.full_trust);
            let one = weight * log_odds(*chance, limits.surest);
            if !one.is_finite() {
                continue;
            }
            odds.push(one);
            if worst.is_none_or(|(_, best)| one > best) {
                worst = Some((rep, one));
            }
        }
        let (worst_rep, most) = worst?;
        let log_odds = match self.pool {
            Pool::Event => most,
            Pool::Habit => {
                let all = combined(&odds, self.shared_share(limits));
                // One clear repetition forbids to call the sign absent.
                if most >= CLEAR { all.max(0.0) } else { all }
            }
        };
        Some(Verdict {
            log_odds,
            quantity: self.id,
            worst_rep: Some(worst_rep),
        })
    }

    /// The quantity as others see it.
    fn shown(&self, threshold: Option<f64>, shows: Shows) -> Option<Quantity> {
        let of_set = self.of_set(shows)?;
        Some(Quantity {
            id: self.id,
            plain: self.plain,
            unit: self.unit,
            per_rep: self
                .per_rep
                .iter()
                .map(|one| one.map(|one| one.value))
                .collect(),
            value: of_set.value,
            error: of_set.error(),
            threshold,
        })
    }
}

/// Collects what was measured.
pub(super) struct Ledger<'a> {
    limits: &'a SignLimits,
    measured: Measured,
}

impl<'a> Ledger<'a> {
    pub(super) fn new(limits: &'a SignLimits) -> Self {
        Self {
            limits,
            measured: Measured::default(),
        }
    }

    /// Keeps a quantity that shows a sign beyond a limit, and says what it says.
    pub(super) fn weigh(&mut self, series: &Series, limit: f64, shows: Shows) -> Option<Verdict> {
        let shown = series.shown(Some(limit), shows)?;
        self.measured.quantities.push(shown);
        series.judge(limit, shows, self.limits)
    }

    /// Keeps a quantity that is told and not judged.
    pub(super) fn describe(&mut self, series: &Series) {
        if let Some(shown) = series.shown(None, Shows::Above) {
            self.measured.quantities.push(shown);
        }
    }

    /// Keeps a sign that is as probable as the verdicts say together, up to `cap`. Without any
    /// verdict it stays unmeasured.
    pub(super) fn sign(
        &mut self,
        sign: &'static str,
        join: Join,
        verdicts: &[Option<Verdict>],
        cap: f64,
    ) {
        let known: Vec<Verdict> = verdicts.iter().flatten().copied().collect();
        if join == Join::Both && known.len() < verdicts.len() {
            return;
        }
        let by = |one: &Verdict, other: &Verdict| one.log_odds.total_cmp(&other.log_odds);
        let told = match join {
            Join::Both => known.iter().copied().min_by(by),
            Join::Either | Join::Alike => known.iter().copied().max_by(by),
        };
        let Some(told) = told else {
            return;
        };
        let log_odds = match join {
            Join::Alike => known.iter().map(|one| one.log_odds).sum::<f64>() / known.len() as f64,
            Join::Either | Join::Both => told.log_odds,
        };
        self.measured.signs.push(MeasuredSign {
            sign,
            probability: from_log_odds(log_odds, self.limits.surest).min(cap),
            quantity: told.quantity,
            worst_rep: told.worst_rep,
        });
    }

    /// A sign by one quantity.
    pub(super) fn simple(&mut self, sign: &'static str, series: &Series, limit: f64, shows: Shows) {
        let verdict = self.weigh(series, limit, shows);
        self.sign(sign, Join::Either, &[verdict], 1.0);
    }

    /// Something that this trace cannot show.
    pub(super) fn hidden(&mut self, what: &'static str) {
        if !self.measured.cannot_show.contains(&what) {
            self.measured.cannot_show.push(what);
        }
    }

    pub(super) fn close(self) -> Measured {
        self.measured
    }
}
