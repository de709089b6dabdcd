//! Time to "gone" where not everybody was followed to the end: the product-limit estimate of Kaplan
//! and Meier, its interval, the median, and the log-rank comparison of two groups.
//!
//! Kaplan and Meier 1958, "Nonparametric estimation from incomplete observations", Journal of the
//! American Statistical Association 53, 457-481. Variance after Greenwood 1926; intervals on the
//! log(-log) scale (Kalbfleisch and Prentice 1980, section 1.3), so that they stay inside 0 to 1.
//! The median's interval after Brookmeyer and Crowley 1982, Biometrics 38, 29-41, on that scale.
//! Log-rank after Mantel 1966 and Peto and Peto 1972, with the hypergeometric variance.

use crate::load::normal_cdf;
use serde::{Deserialize, Serialize};

/// The normal quantile of a two-sided 95 % interval.
const Z95: f64 = 1.959_963_984_540_054;

/// One course of a correction.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Followed {
    /// Days from giving the correction to the sign being gone, or to the last time it was looked at.
    pub days: f64,
    /// The sign was gone then; otherwise it was followed no longer (censored on the right).
    pub gone: bool,
}

/// One step of the curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Day of the step.
    pub days: f64,
    /// Courses still followed just before.
    pub at_risk: usize,
    /// Signs gone on that day.
    pub gone: usize,
    /// Share whose sign is still there after it.
    pub still: f64,
    /// Lower end of the 95 % interval of `still`.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A curve of the share whose sign is still there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// Steps, by day; only days on which a sign was gone.
    pub steps: Vec<Step>,
    /// Courses in all.
    pub courses: usize,
    /// Courses whose sign was gone.
    pub gone: usize,
    /// Last day anybody was followed.
    pub last_day: f64,
}

/// The day by which half are gone, with its 95 % interval; an end is `None` when the curve does not
/// come down that far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Median {
    /// First day on which at most half are left.
    pub days: Option<f64>,
    /// Lower end.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
}

/// Two groups compared over their whole course.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LogRank {
    /// Chi-squared statistic, one degree of freedom.
    pub statistic: f64,
    /// Probability of a difference at least as large where there is none.
    pub p: f64,
    /// Signs gone in the first group.
    pub gone: usize,
    /// Signs that would have gone in the first group if both were alike.
    pub expected: f64,
}

/// The courses in order of day; those that are no number or lie before day 0 are left out.
fn in_order(courses: &[Followed]) -> Vec<Followed> {
    let mut sorted: Vec<Followed> = courses
        .iter()
        .copied()
        .filter(|course| course.days.is_finite() && course.days >= 0.0)
        .collect();
    sorted.sort_by(|a, b| a.days.total_cmp(&b.days));
    sorted
}

/// The curve of these courses. Whoever is censored on a day counts as followed through that day.
pub fn curve(courses: &[Followed]) -> Curve {
    let sorted = in_order(courses);
    let mut at_risk = sorted.len();
    let (mut still, mut greenwood) = (1.0, 0.0);
    let mut steps = Vec::new();
    for same_day in sorted.chunk_by(|a, b| a.days.total_cmp(&b.days).is_eq()) {
        let gone = same_day.iter().filter(|course| course.gone).count();
        if gone > 0 {
            let (n, d) = (at_risk as f64, gone as f64);
            still *= 1.0 - d / n;
            greenwood += d / (n * (n - d));
            let (low, high) = interval(still, greenwood);
            steps.push(Step {
                days: same_day.first().map_or(0.0, |course| course.days),
                at_risk,
                gone,
                still,
                low,
                high,
            });
        }
        at_risk -= same_day.len();
    }
    Curve {
        courses: sorted.len(),
        gone: sorted.iter().filter(|course| course.gone).count(),
        last_day: sorted.last().map_or(0.0, |course| course.days),
        steps,
    }
}

/// The interval of a share still there, from Greenwood's sum. At 0 nothing is left to be unsure of.
fn interval(still: f64, greenwood: f64) -> (f64, f64) {
    if still <= 0.0 {
        return (0.0, 0.0);
    }
    let log = still.ln();
    let reach = Z95 * greenwood.sqrt() / log;
    // `log` is negative, so the reach is too: the power with plus gives the upper end.
    let at = |shift: f64| (log * shift.exp()).exp();
    (at(-reach), at(reach))
}

impl Curve {
    /// Share still there on a day.
    pub fn still(&self, days: f64) -> f64 {
        let reached = self.steps.iter().take_while(|step| step.days <= days);
        reached.last().map_or(1.0, |step| step.still)
    }

    /// The day by which half are gone, with its interval.
    pub fn median(&self) -> Median {
        let first = |share: fn(&Step) -> f64| {
            let step = self.steps.iter().find(|step| share(step) <= 0.5);
            step.map(|step| step.days)
        };
        Median {
            days: first(|step| step.still),
            low: first(|step| step.low),
            high: first(|step| step.high),
        }
    }
}

/// Compares two groups; none when no sign was gone while both were followed.
pub fn log_rank(first: &[Followed], second: &[Followed]) -> Option<LogRank> {
    let mut all: Vec<(Followed, bool)> = in_order(first)
        .into_iter()
        .map(|course| (course, true))
        .chain(in_order(second).into_iter().map(|course| (course, false)))
        .collect();
    all.sort_by(|a, b| a.0.days.total_cmp(&b.0.days));
    let mut at_risk = all.len();
    let mut at_risk_first = all.iter().filter(|(_, first)| *first).count();
    let (mut gone_first, mut expected, mut variance) = (0_usize, 0.0, 0.0);
    for same_day in all.chunk_by(|a, b| a.0.days.total_cmp(&b.0.days).is_eq()) {
        let gone = same_day.iter().filter(|(course, _)| course.gone).count();
        gone_first += same_day
            .iter()
            .filter(|(course, first)| course.gone && *first)
            .count();
        let (n, n1, d) = (at_risk as f64, at_risk_first as f64, gone as f64);
        expected += d * n1 / n;
        if at_risk > 1 {
            variance += d * (n1 / n) * (1.0 - n1 / n) * (n - d) / (n - 1.0);
        }
        at_risk -= same_day.len();
        at_risk_first -= same_day.iter().filter(|(_, first)| *first).count();
    }
    if variance <= 0.0 {
        return None;
    }
    let statistic = (gone_first as f64 - expected).powi(2) / variance;
    Some(LogRank {
        statistic,
        p: 2.0 * normal_cdf(-statistic.sqrt()),
        gone: gone_first,
        expected,
    })
}
