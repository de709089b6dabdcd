//! When a goal is in reach.

use super::super::{FirstPassage, Level, Outlook, TimeToGoal, Trend};
use super::progress::{trend_per_year, week};
use super::{close, printed};
use proptest::prelude::*;

/// The goal of 400 from 340 at a yearly gain.
fn from_340_to_400(rate: f64) -> FirstPassage {
    FirstPassage::new((400.0_f64 / 340.0).ln(), trend_per_year(rate).per_week)
}

#[test]
fn time_to_a_goal_is_that_of_scipys_inverse_gaussian() {
    // SciPy 1.17.1, scipy.stats.invgauss.
    #[rustfmt::skip]
    let rows = [
        (0.05, 173.8021, 98.6908, [76.233, 150.084, 301.321], 0.019_481, 0.249_961),
        (0.10, 88.9709, 36.1465, [49.795, 82.261, 136.719], 0.123_113, 0.724_864),
        (0.20, 46.5103, 13.6621, [30.823, 44.599, 64.649], 0.705_418, 0.998_627),
    ];
    for (rate, mean, sd, quantiles, one_year, two_years) in rows {
        let law = from_340_to_400(rate);
        printed(law.mean(), mean, 4);
        printed(law.sd(), sd, 4);
        for (share, weeks) in [0.1, 0.5, 0.9].into_iter().zip(quantiles) {
            printed(law.quantile(share).unwrap(), weeks, 3);
        }
        printed(law.within(52.1775), one_year, 6);
        printed(law.within(104.355), two_years, 6);
    }
}

/// A level known for certain.
fn certain(kg: f64) -> Level {
    Level {
        day: week(0.0),
        ln_kg: kg.ln(),
        variance: 0.0,
    }
}

#[test]
fn an_unsure_trend_gives_a_wide_range_in_words() {
    // A simulation of 400 000 draws gave about 44.5, 82.3 and 203 weeks.
    let trend = Trend::per_year(1.1_f64.ln(), 0.04);
    let goal = TimeToGoal::new(&certain(340.0), 400.0, trend);
    for (share, weeks) in [(0.1, 44.5), (0.5, 82.3), (0.9, 203.0)] {
        close(goal.quantile(share).unwrap(), weeks, 0.005);
    }
    assert_eq!(goal.outlook().words(), "about 10 months to 4 years");
}

#[test]
fn a_goal_that_is_reached_or_out_of_reach_is_said_so() {
    let goal = |kg, trend| TimeToGoal::new(&certain(340.0), kg, trend).outlook();
    let trend = Trend::per_year(0.04, 0.03);
    assert_eq!(goal(340.0, trend), Outlook::Reached);
    assert_eq!(goal(300.0, trend).words(), "in reach now");
    assert_eq!(goal(500.0, trend), Outlook::NotOnTrend);
    assert_eq!(
        goal(350.0, Trend::per_year(-0.05, 0.0)),
        Outlook::NotOnTrend
    );
    assert_eq!(goal(500.0, trend).words(), "not on the present trend");
    // A trend that may be next to nothing has a tail of decades, which nobody can vouch for.
    assert_eq!(
        goal(400.0, Trend::per_year(0.04, 0.06)).words(),
        "about 13 months to more than 10 years"
    );
    let close_by = goal(343.0, Trend::per_year(0.25, 0.0)).words();
    assert_eq!(close_by, "about 1 to 4 weeks");
}

#[test]
fn an_unsure_level_makes_the_range_wider() {
    let trend = Trend::per_year(0.10, 0.03);
    let wide = |variance| {
        let level = Level {
            variance,
            ..certain(340.0)
        };
        let goal = TimeToGoal::new(&level, 380.0, trend);
        goal.quantile(0.9).unwrap() - goal.quantile(0.1).unwrap()
    };
    assert!(wide(0.04 * 0.04) > wide(0.0) * 1.05);
}

proptest! {
    #[test]
    fn chances_rise_with_time_and_the_mean_halves_when_the_gain_doubles(
        goal in 1.01..1.5_f64, drift in 1e-4..8e-3_f64, weeks in 1.0..500.0_f64,
    ) {
        let law = FirstPassage::new(goal.ln(), drift);
        let (a, b) = (law.within(weeks), law.within(weeks * 1.1));
        prop_assert!((0.0..=1.0).contains(&a) && a <= b + 1e-12);
        let faster = FirstPassage::new(goal.ln(), 2.0 * drift);
        prop_assert!((faster.mean() * 2.0 / law.mean() - 1.0).abs() < 1e-12);
        prop_assert!(FirstPassage::new(-0.01, drift).mean() == 0.0);
        let back = law.quantile(0.5).unwrap();
        prop_assert!((law.within(back) - 0.5).abs() < 1e-9);
    }
}
