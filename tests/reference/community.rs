//! Agreement, time to gone and a season's levels against krippendorff, lifelines and statsmodels.

use super::close;
use cueline_core::challenge::{
    Answer, Entrant, NamedCause, agreement, alpha_nominal, season_model, standing,
};
use cueline_core::outcome::survival::{Curve, Followed, curve, log_rank};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    tables: Vec<Table>,
    namings: Vec<Naming>,
    pairs: Vec<Pair>,
    seasons: Vec<Season>,
}

#[derive(Deserialize)]
struct Table {
    units: Vec<Vec<Option<u32>>>,
    alpha: f64,
}

#[derive(Deserialize)]
struct Naming {
    causes: usize,
    answers: Vec<Vec<usize>>,
    alpha: f64,
}

#[derive(Deserialize)]
struct Pair {
    first: Vec<(f64, bool)>,
    second: Vec<(f64, bool)>,
    first_curve: Drawn,
    second_curve: Drawn,
    statistic: f64,
    p: f64,
}

/// A curve: day, share still there, lower and upper end; and the median with its ends.
#[derive(Deserialize)]
struct Drawn {
    steps: Vec<[f64; 4]>,
    median: [Option<f64>; 3],
}

#[derive(Deserialize)]
struct Season {
    marks: Vec<Vec<f64>>,
    mean: f64,
    within: f64,
    between: f64,
    levels: Vec<f64>,
}

fn reference() -> Reference {
    serde_json::from_str(include_str!("community.json")).unwrap()
}

fn followed(group: &[(f64, bool)]) -> Vec<Followed> {
    let followed = |(days, gone): &(f64, bool)| Followed {
        days: *days,
        gone: *gone,
    };
    group.iter().map(followed).collect()
}

#[test]
fn agreement_of_raters_with_values_missing_is_that_of_krippendorff() {
    for table in reference().tables {
        let alpha = alpha_nominal(&table.units).unwrap();
        close("alpha", alpha, table.alpha, 1e-9);
    }
}

#[test]
fn agreement_of_members_who_name_causes_is_that_of_krippendorff() {
    for naming in reference().namings {
        let causes: Vec<String> = (0..naming.causes).map(|at| format!("c-{at}")).collect();
        let answer = |named: &Vec<usize>| Answer {
            causes: named
                .iter()
                .map(|at| NamedCause {
                    cause: causes[*at].clone(),
                    confidence: None,
                })
                .collect(),
            ..Answer::default()
        };
        let answers: Vec<Answer> = naming.answers.iter().map(answer).collect();
        let found = agreement(&answers, &causes, 200, 7).unwrap();
        assert!(
            (found.alpha - naming.alpha).abs() < 1e-9,
            "{} for {}",
            found.alpha,
            naming.alpha
        );
        assert!(found.interval.low <= found.interval.high);
    }
}

#[track_caller]
fn same_curve(found: &Curve, expected: &Drawn) {
    assert_eq!(found.steps.len(), expected.steps.len());
    for (step, [day, still, low, high]) in found.steps.iter().zip(&expected.steps) {
        close("day", step.days, *day, 1e-12);
        assert!((step.still - still).abs() < 1e-12, "{step:?} for {still}");
        // At the end of a curve that falls to nothing the library gives no interval but its last.
        if *still > 0.0 {
            assert!((step.low - low).abs() < 1e-9, "{step:?} for {low}");
            assert!((step.high - high).abs() < 1e-9, "{step:?} for {high}");
        }
    }
    let median = found.median();
    assert_eq!([median.days, median.low, median.high], expected.median);
}

#[test]
fn curves_intervals_and_medians_are_those_of_lifelines() {
    for pair in reference().pairs {
        same_curve(&curve(&followed(&pair.first)), &pair.first_curve);
        same_curve(&curve(&followed(&pair.second)), &pair.second_curve);
    }
}

#[test]
fn comparing_two_corrections_gives_the_log_rank_test_of_lifelines() {
    for pair in reference().pairs {
        let found = log_rank(&followed(&pair.first), &followed(&pair.second)).unwrap();
        close("statistic", found.statistic, pair.statistic, 1e-9);
        close("p", found.p, pair.p, 1e-9);
    }
}

/// With as many marks for each member, the analysis of variance and restricted maximum likelihood
/// (statsmodels' mixed linear model) are the same.
#[test]
fn levels_of_a_season_are_those_of_a_mixed_model() {
    for season in reference().seasons {
        let entrant = |(at, marks): (usize, &Vec<f64>)| Entrant::new(format!("m-{at:02}"), marks);
        let entrants: Vec<Entrant> = season.marks.iter().enumerate().map(entrant).collect();
        let model = season_model(&entrants).unwrap();
        close("mean", model.mean, season.mean, 1e-4);
        close("within", model.within, season.within, 1e-4);
        close("between", model.between, season.between, 2e-4);
        let table = standing(&entrants, 1);
        for (at, level) in season.levels.iter().enumerate() {
            let name = format!("m-{at:02}");
            let line = table.iter().find(|line| line.member == name).unwrap();
            close("level", line.level, *level, 1e-4);
        }
    }
}
