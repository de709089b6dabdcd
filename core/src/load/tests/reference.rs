//! Levels, goals, lines and scores against statsmodels, `SciPy` and `NumPy`; the figures are made by
//! `tests/reference/load_progress.py` with the versions named in the file.

use super::super::velocity::VelocityLine;
use super::super::{
    Category, FirstPassage, Level, Seen, Sighting, TimeToGoal, Total, Trend, VelocityPoint,
    change_since, dots, follow, normal_cdf,
};
use super::close;
use jiff::ToSpan as _;
use jiff::civil::{Date, date};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    levels: Vec<Levels>,
    goals: Vec<Goal>,
    unsure_goals: Vec<UnsureGoal>,
    lines: Vec<Line>,
    scores: Vec<Score>,
    normal: Normal,
}

#[derive(Deserialize)]
struct Levels {
    start: f64,
    sigma: f64,
    weeks: Vec<i64>,
    kg: Vec<f64>,
    ln_level: Vec<f64>,
    variance: Vec<f64>,
    ln_smoothed: f64,
}

#[derive(Deserialize)]
struct Goal {
    distance: f64,
    drift: f64,
    mean: f64,
    sd: f64,
    weeks: Vec<f64>,
    within: Vec<f64>,
    quantiles: Vec<f64>,
}

#[derive(Deserialize)]
struct UnsureGoal {
    mean: f64,
    sd: f64,
    distance: f64,
    weeks: Vec<f64>,
    within: Vec<f64>,
}

#[derive(Deserialize)]
struct Line {
    kg: Vec<f64>,
    velocity: Vec<f64>,
    at_rest: f64,
    slope: f64,
    r2: f64,
}

#[derive(Deserialize)]
struct Score {
    who: String,
    body: f64,
    dots_of_600: f64,
}

#[derive(Deserialize)]
struct Normal {
    z: Vec<f64>,
    cdf: Vec<f64>,
}

fn reference() -> Reference {
    let text = include_str!("../../../../tests/reference/load_progress.json");
    serde_json::from_str(text).unwrap()
}

fn week(weeks: i64) -> Date {
    date(2026, 1, 5).checked_add((7 * weeks).days()).unwrap()
}

#[test]
fn levels_with_gaps_are_those_of_statsmodels() {
    for case in reference().levels {
        let sets: Vec<Sighting> = case
            .weeks
            .iter()
            .zip(&case.kg)
            .map(|(at, kg)| Sighting {
                day: week(*at),
                seen: Seen::Estimated {
                    kg: *kg,
                    sigma: case.sigma,
                },
                done_kg: None,
                confirmed: false,
            })
            .collect();
        let start = Some(Level::supposed(week(0), case.start));
        let progress = follow(&sets, start, Trend::NONE).unwrap();
        assert!(progress.held.is_empty());
        assert_eq!(progress.levels.len(), case.ln_level.len());
        let expected = case.ln_level.iter().zip(&case.variance);
        for (level, (ln_kg, variance)) in progress.levels.iter().zip(expected) {
            close(level.ln_kg, *ln_kg, 1e-10);
            close(level.variance, *variance, 1e-9);
        }
        // The change since the fourth report: the smoother knows that day in the light of all.
        let change = change_since(&sets, start, Trend::NONE, week(case.weeks[3])).unwrap();
        let smoothed = case.ln_level.last().unwrap() - case.ln_smoothed;
        assert!((change.percent - 100.0 * smoothed.exp_m1()).abs() < 1e-7);
    }
}

#[test]
fn times_to_a_goal_are_those_of_scipy() {
    for case in reference().goals {
        let law = FirstPassage::new(case.distance, case.drift);
        close(law.mean(), case.mean, 1e-9);
        close(law.sd(), case.sd, 1e-9);
        for (weeks, within) in case.weeks.iter().zip(&case.within) {
            let found = law.within(*weeks);
            assert!((found - within).abs() < 1e-9, "{found} {within}");
        }
        for (share, weeks) in [0.1, 0.5, 0.9].into_iter().zip(&case.quantiles) {
            close(law.quantile(share).unwrap(), *weeks, 1e-7);
        }
    }
}

#[test]
fn an_unsure_gain_is_averaged_as_scipys_quadrature_does() {
    for case in reference().unsure_goals {
        let level = Level {
            day: week(0),
            ln_kg: 0.0,
            variance: 0.0,
        };
        let trend = Trend::per_year(case.mean, case.sd);
        let goal = TimeToGoal::new(&level, case.distance.exp(), trend);
        for (weeks, within) in case.weeks.iter().zip(&case.within) {
            let found = goal.within(*weeks);
            assert!((found - within).abs() < 5e-4, "{weeks}: {found} {within}");
        }
    }
}

#[test]
fn lines_are_those_of_numpy_polyfit() {
    for case in reference().lines {
        let points: Vec<VelocityPoint> = case
            .kg
            .iter()
            .zip(&case.velocity)
            .map(|(&kg, &velocity)| VelocityPoint { kg, velocity })
            .collect();
        let line = VelocityLine::through(&points).unwrap();
        close(line.at_rest, case.at_rest, 1e-9);
        close(line.slope, case.slope, 1e-9);
        close(line.r2, case.r2, 1e-9);
    }
}

#[test]
fn scores_are_those_of_numpy_polyval() {
    for case in reference().scores {
        let category = match case.who.as_str() {
            "men" => Category::Men,
            _ => Category::Women,
        };
        let total = Total::of(220.0, 140.0, 240.0).unwrap();
        close(
            dots(category, total, case.body).unwrap(),
            case.dots_of_600,
            1e-12,
        );
    }
}

#[test]
fn the_normal_law_is_that_of_scipy_far_into_both_tails() {
    let normal = reference().normal;
    for (z, p) in normal.z.into_iter().zip(normal.cdf) {
        close(normal_cdf(z), p, 1e-13);
    }
}
