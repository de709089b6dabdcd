//! How well beliefs agree with the coach's verdicts.
//!
//! Each belief in a cause is a forecast that the coach will name it. Scored by the Brier score
//! (Brier 1950) with its parts (Murphy 1973), by the logarithmic score (Good 1952), and shown as a
//! reliability table; shares carry the interval of Wilson (1927).

use super::Judged;
use crate::report::Lift;
use serde::Serialize;
use std::collections::BTreeMap;

/// Bins of the reliability table, each a tenth wide.
pub const BINS: u32 = 10;

/// The 97.5th percentile of the normal law: intervals hold 95 in 100 (any table of it).
const Z: f64 = 1.959_963_984_540_054;

/// One forecast and what came of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// Probability that was given, 0 to 1.
    pub probability: f64,
    /// Whether it came true.
    pub happened: bool,
}

/// A share of a count, with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Share {
    /// How many did.
    pub yes: u32,
    /// Of how many.
    pub of: u32,
    /// `yes / of`.
    pub share: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl Share {
    /// The share of `of` with the interval of Wilson (1927, J Am Stat Assoc 22:209-212); none of
    /// nothing.
    pub fn of(yes: u32, of: u32) -> Option<Self> {
        if of == 0 || yes > of {
            return None;
        }
        let n = f64::from(of);
        let share = f64::from(yes) / n;
        let spread = Z * Z / n;
        let middle = (share + spread / 2.0) / (1.0 + spread);
        let half = Z * (share * (1.0 - share) / n + spread / (4.0 * n)).sqrt() / (1.0 + spread);
        Some(Self {
            yes,
            of,
            share,
            // The ends meet 0 and 1 exactly where rounding would miss them.
            low: if yes == 0 {
                0.0
            } else {
                (middle - half).max(0.0)
            },
            high: if yes == of {
                1.0
            } else {
                (middle + half).min(1.0)
            },
        })
    }
}

/// One line of the reliability table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bin {
    /// Forecasts above this (the first bin: from 0 on) ...
    pub above: f64,
    /// ... up to this.
    pub up_to: f64,
    /// How many.
    pub count: u32,
    /// Their mean; none in an empty bin.
    pub mean: Option<f64>,
    /// How often they came true; none in an empty bin.
    pub observed: Option<Share>,
}

/// The Brier score and its parts: `score = reliability - resolution + uncertainty + within`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Brier {
    /// Mean squared difference; 0 is perfect.
    pub score: f64,
    /// How far the bins' means are from what was observed; 0 is perfect.
    pub reliability: f64,
    /// How far what was observed in the bins differs from the overall share; more is better.
    pub resolution: f64,
    /// What the overall share alone leaves open.
    pub uncertainty: f64,
    /// What is left because forecasts of one bin differ among themselves (Stephenson, Coelho &
    /// Jolliffe 2008); 0 when all of a bin are equal, as in Murphy's own form.
    pub within: f64,
}

/// How well forecasts did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scores {
    /// Forecasts scored.
    pub forecasts: u32,
    /// The reliability table.
    pub bins: Vec<Bin>,
    /// The Brier score; none without forecasts.
    pub brier: Option<Brier>,
    /// Mean of `-ln` of the probability given to what came about; 0 is perfect.
    pub log_score: Option<f64>,
}

/// Beliefs against verdicts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Calibration {
    /// Verdicts looked at.
    pub verdicts: u32,
    /// Of them, without a fault.
    pub no_fault: u32,
    /// Causes the coach named although a fact had ruled them out; scored as a forecast of 0.
    pub ruled_out: u32,
    /// The coach's first cause was the first belief; among verdicts that name a cause.
    pub first: Option<Share>,
    /// The coach's first cause was among the first three beliefs.
    pub first_three: Option<Share>,
    /// The scores.
    #[serde(flatten)]
    pub scores: Scores,
}

/// Calibration of all verdicts together, and of each lift that has any.
pub fn calibrate(judged: &[Judged]) -> (Calibration, BTreeMap<Lift, Calibration>) {
    let all: Vec<&Judged> = judged.iter().collect();
    let lifts = Lift::ALL.into_iter().filter_map(|lift| {
        let own: Vec<&Judged> = judged.iter().filter(|one| one.lift == lift).collect();
        (!own.is_empty()).then(|| (lift, of(&own)))
    });
    (of(&all), lifts.collect())
}

fn of(judged: &[&Judged]) -> Calibration {
    let mut forecasts = Vec::new();
    let mut ruled_out = 0;
    for one in judged {
        forecasts.extend(one.beliefs.iter().map(|(cause, probability)| Forecast {
            probability: *probability,
            happened: one.names(cause),
        }));
        let strangers = one.causes.iter().filter(|cause| !one.in_play(cause));
        for _ in strangers {
            ruled_out += 1;
            forecasts.push(Forecast {
                probability: 0.0,
                happened: true,
            });
        }
    }
    let named: Vec<(&String, &&Judged)> = judged
        .iter()
        .filter_map(|one| Some((one.causes.first()?, one)))
        .collect();
    let among = |most: usize| {
        let agreed = named.iter().filter(|(cause, one)| {
            let mut beliefs = one.beliefs.iter().take(most);
            beliefs.any(|(believed, _)| believed == *cause)
        });
        Share::of(count(agreed.count()), count(named.len()))
    };
    Calibration {
        verdicts: count(judged.len()),
        no_fault: count(judged.len() - named.len()),
        ruled_out,
        first: among(1),
        first_three: among(3),
        scores: score(&forecasts),
    }
}

/// A count that fits: there are never more verdicts than a person can give.
fn count(of: usize) -> u32 {
    u32::try_from(of).unwrap_or(u32::MAX)
}

/// Scores forecasts. The logarithm of a forecast that was certain and wrong is taken at the
/// smallest step next to 1, so that one of them does not make the mean infinite.
pub fn score(forecasts: &[Forecast]) -> Scores {
    let bins: Vec<Tally> = (0..BINS).map(|number| tally(forecasts, number)).collect();
    let brier = brier(forecasts, &bins);
    let log_score = (!forecasts.is_empty()).then(|| {
        let lost: f64 = forecasts
            .iter()
            .map(|forecast| {
                let p = forecast.probability.clamp(f64::EPSILON, 1.0 - f64::EPSILON);
                if forecast.happened {
                    -p.ln()
                } else {
                    -(1.0 - p).ln()
                }
            })
            .sum();
        lost / forecasts.len() as f64
    });
    Scores {
        forecasts: count(forecasts.len()),
        bins: bins.iter().map(Tally::bin).collect(),
        brier,
        log_score,
    }
}

/// What fell into one bin.
struct Tally {
    number: u32,
    count: u32,
    yes: u32,
    sum: f64,
}

fn tally(forecasts: &[Forecast], number: u32) -> Tally {
    let mut tally = Tally {
        number,
        count: 0,
        yes: 0,
        sum: 0.0,
    };
    let (above, up_to) = tally.edges();
    for forecast in forecasts {
        let p = forecast.probability;
        if (p > above || number == 0) && p <= up_to {
            tally.count += 1;
            tally.yes += u32::from(forecast.happened);
            tally.sum += p;
        }
    }
    tally
}

impl Tally {
    fn edges(&self) -> (f64, f64) {
        let edge = |number: u32| f64::from(number) / f64::from(BINS);
        (edge(self.number), edge(self.number + 1))
    }

    fn mean(&self) -> f64 {
        self.sum / f64::from(self.count)
    }

    fn bin(&self) -> Bin {
        let (above, up_to) = self.edges();
        Bin {
            above,
            up_to,
            count: self.count,
            mean: (self.count > 0).then(|| self.mean()),
            observed: Share::of(self.yes, self.count),
        }
    }
}

/// The Brier score and Murphy's parts over the bins.
fn brier(forecasts: &[Forecast], bins: &[Tally]) -> Option<Brier> {
    if forecasts.is_empty() {
        return None;
    }
    let n = forecasts.len() as f64;
    let squares = forecasts.iter().map(|forecast| {
        let came = f64::from(u8::from(forecast.happened));
        (forecast.probability - came).powi(2)
    });
    let score = squares.sum::<f64>() / n;
    let overall = f64::from(bins.iter().map(|bin| bin.yes).sum::<u32>()) / n;
    let (mut reliability, mut resolution) = (0.0, 0.0);
    for bin in bins.iter().filter(|bin| bin.count > 0) {
        let weight = f64::from(bin.count) / n;
        let observed = f64::from(bin.yes) / f64::from(bin.count);
        reliability += weight * (bin.mean() - observed).powi(2);
        resolution += weight * (observed - overall).powi(2);
    }
    let uncertainty = overall * (1.0 - overall);
    Some(Brier {
        score,
        reliability,
        resolution,
        uncertainty,
        within: score - (reliability - resolution + uncertainty),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn judged(lift: Lift, causes: &[&str], beliefs: &[(&str, f64)]) -> Judged {
        Judged {
            lift,
            causes: causes.iter().map(|id| (*id).to_owned()).collect(),
            beliefs: beliefs
                .iter()
                .map(|(id, p)| ((*id).to_owned(), *p))
                .collect(),
            present: Vec::new(),
            absent: Vec::new(),
        }
    }

    #[test]
    fn agreement_counts_the_coach_s_first_cause_only() {
        let beliefs = [("a", 0.6), ("b", 0.3), ("c", 0.2), ("d", 0.1)];
        let (all, lifts) = calibrate(&[
            judged(Lift::Squat, &["a", "d"], &beliefs),
            judged(Lift::Squat, &["c", "a"], &beliefs),
            judged(Lift::Bench, &["d"], &beliefs),
            judged(Lift::Bench, &[], &beliefs),
        ]);
        let (first, three) = (all.first.unwrap(), all.first_three.unwrap());
        assert_eq!((first.yes, first.of), (1, 3));
        assert_eq!((three.yes, three.of), (2, 3));
        assert_eq!(
            (all.verdicts, all.no_fault, all.scores.forecasts),
            (4, 1, 16)
        );
        assert_eq!(
            lifts.keys().collect::<Vec<_>>(),
            [&Lift::Squat, &Lift::Bench]
        );
        assert_eq!(lifts[&Lift::Bench].first.unwrap().yes, 0);
    }

    #[test]
    fn a_cause_that_was_ruled_out_and_named_all_the_same_counts_as_missed() {
        let (all, _) = calibrate(&[judged(Lift::Squat, &["x"], &[("a", 0.5)])]);
        assert_eq!((all.ruled_out, all.scores.forecasts), (1, 2));
        let first_bin = all.scores.bins[0];
        assert_eq!((first_bin.count, first_bin.observed.unwrap().yes), (1, 1));
    }

    #[test]
    fn without_verdicts_nothing_is_claimed() {
        let (all, lifts) = calibrate(&[]);
        assert!(all.scores.brier.is_none() && all.first.is_none() && lifts.is_empty());
        assert!(all.scores.bins.iter().all(|bin| bin.observed.is_none()));
    }

    proptest! {
        #[test]
        fn every_forecast_falls_into_one_bin_and_the_parts_add_up(
            drawn in prop::collection::vec((0.0..=1.0_f64, any::<bool>()), 1..60)
        ) {
            let forecasts: Vec<Forecast> = drawn
                .into_iter()
                .map(|(probability, happened)| Forecast { probability, happened })
                .collect();
            let scores = score(&forecasts);
            let binned: u32 = scores.bins.iter().map(|bin| bin.count).sum();
            prop_assert_eq!(binned, scores.forecasts);
            let brier = scores.brier.unwrap();
            prop_assert!(brier.reliability >= 0.0 && brier.resolution >= 0.0);
            // No bin is wider than a tenth, so what it hides is small.
            prop_assert!(brier.within.abs() <= 0.1, "{brier:?}");
            for bin in scores.bins {
                if let Some(share) = bin.observed {
                    prop_assert!(share.low <= share.share && share.share <= share.high);
                }
            }
        }
    }
}
