//! How far many people agree: Krippendorff's alpha for nominal data, with a bootstrap interval.
//!
//! Krippendorff 2011, "Computing Krippendorff's Alpha-Reliability" (University of Pennsylvania,
//! Departmental Papers, `asc_papers/43`): one less the disagreement seen over the disagreement chance
//! would give. 1 is full agreement, 0 what throwing dice would give, below 0 is less than that.

use super::answer::Answer;
use super::chance::Chance;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// An interval of a figure worked out by resampling.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// How far the community agreed on the causes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Agreement {
    /// Krippendorff's alpha over all causes of the lift, each named or not named by each member.
    pub alpha: f64,
    /// 95 % bootstrap interval, members drawn anew.
    pub interval: Interval,
    /// Members who answered.
    pub members: usize,
}

/// Alpha of a table of nominal values: one row a unit, one value a rater, `None` where a rater said
/// nothing. Units with fewer than two values are left out. None when nothing can be compared, or when
/// all values are the same (chance would then give no disagreement either).
pub fn alpha_nominal<T: Ord>(units: &[Vec<Option<T>>]) -> Option<f64> {
    let mut totals: BTreeMap<&T, f64> = BTreeMap::new();
    let (mut pairable, mut seen) = (0.0, 0.0);
    for unit in units {
        let mut counts: BTreeMap<&T, f64> = BTreeMap::new();
        for value in unit.iter().flatten() {
            *counts.entry(value).or_default() += 1.0;
        }
        let values: f64 = counts.values().sum();
        if values < 2.0 {
            continue;
        }
        pairable += values;
        let alike: f64 = counts.values().map(|n| n * (n - 1.0)).sum();
        seen += (values * (values - 1.0) - alike) / (values - 1.0);
        for (value, n) in counts {
            *totals.entry(value).or_default() += n;
        }
    }
    let alike: f64 = totals.values().map(|n| n * (n - 1.0)).sum();
    let by_chance = (pairable * (pairable - 1.0) - alike) / (pairable - 1.0);
    (pairable >= 2.0 && by_chance > 0.0).then(|| 1.0 - seen / by_chance)
}

/// Alpha where `raters` people each name or do not name every one of `units` things, from how many
/// named each. The same as [`alpha_nominal`] over that table, without making it.
pub fn naming_alpha(named: &[usize], raters: usize) -> Option<f64> {
    if raters < 2 {
        return None;
    }
    let m = raters as f64;
    let (mut seen, mut yes) = (0.0, 0.0);
    for count in named {
        let count = *count as f64;
        seen += 2.0 * count * (m - count) / (m - 1.0);
        yes += count;
    }
    let all = m * named.len() as f64;
    let by_chance = 2.0 * yes * (all - yes) / (all - 1.0);
    (by_chance > 0.0).then(|| 1.0 - seen / by_chance)
}

/// How far the answers agree on which causes are there, out of `causes` of the lift.
///
/// The interval is the 2.5th to 97.5th percentile of `draws` bootstrap samples of the members (Efron
/// and Tibshirani 1993, An Introduction to the Bootstrap, chapter 13), with draws from `seed`. None
/// with fewer than two answers, or when nobody names anything. Causes not in `causes` are left out.
pub fn agreement(
    answers: &[Answer],
    causes: &[String],
    draws: usize,
    seed: u64,
) -> Option<Agreement> {
    let place: BTreeMap<&str, usize> = causes
        .iter()
        .enumerate()
        .map(|(at, cause)| (cause.as_str(), at))
        .collect();
    let named: Vec<Vec<usize>> = answers
        .iter()
        .map(|answer| {
            let known = answer
                .causes
                .iter()
                .filter_map(|named| place.get(named.cause.as_str()));
            known.copied().collect()
        })
        .collect();
    let mut counts = vec![0_usize; causes.len()];
    for answer in &named {
        add(&mut counts, answer);
    }
    let alpha = naming_alpha(&counts, named.len())?;
    let mut chance = Chance::from_seed(seed);
    let mut drawn: Vec<f64> = Vec::with_capacity(draws);
    for _ in 0..draws {
        counts.fill(0);
        for _ in 0..named.len() {
            if let Some(answer) = named.get(chance.below(named.len())) {
                add(&mut counts, answer);
            }
        }
        drawn.extend(naming_alpha(&counts, named.len()));
    }
    drawn.sort_by(f64::total_cmp);
    let interval = Interval {
        low: percentile(&drawn, 0.025).unwrap_or(alpha),
        high: percentile(&drawn, 0.975).unwrap_or(alpha),
    };
    Some(Agreement {
        alpha,
        interval,
        members: named.len(),
    })
}

fn add(counts: &mut [usize], named: &[usize]) {
    for at in named {
        if let Some(count) = counts.get_mut(*at) {
            *count += 1;
        }
    }
}

/// The value a share of a sorted list lies below, straight between neighbours (Hyndman and Fan 1996,
/// type 7). None for an empty list.
fn percentile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let exact = share * last as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the last place"
    )]
    let below = exact.floor() as usize;
    let low = sorted.get(below)?;
    let high = sorted.get((below + 1).min(last))?;
    Some(low + (high - low) * (exact - below as f64))
}
