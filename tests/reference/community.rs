//! Agreement, time to gone and a season's levels against krippendorff, lifelines and statsmodels.

use super::close;
use cueline_core::catalog::LiftBook;
use cueline_core::challenge::{
    Answer, Entrant, Key, NamedCause, agreement, alpha_nominal, mark, season_model, standing,
};
use cueline_core::outcome::survival::{Curve, Followed, curve, log_rank};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    tables: Vec<Table>,
    namings: Vec<Naming>,
    pairs: Vec<Pair>,
    seasons: Vec<Season>,
    unequal: Vec<Season>,
    answers: Vec<Given>,
}

/// One member's answer: causes by number, how sure if said, what the coach sees, and the points.
#[derive(Deserialize)]
struct Given {
    named: Vec<usize>,
    said: Vec<Option<f64>>,
    truth: Vec<usize>,
    points: f64,
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
    interval: Option<[f64; 2]>,
}

#[derive(Deserialize)]
struct Pair {
    first: Vec<(f64, bool)>,
    second: Vec<(f64, bool)>,
    first_curve: Drawn,
    second_curve: Drawn,
    statistic: f64,
    p: f64,
    p_scipy: f64,
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

/// A naming as the core takes it: the answers, and the causes of the lift.
fn named(naming: &Naming) -> (Vec<Answer>, Vec<String>) {
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
    (naming.answers.iter().map(answer).collect(), causes)
}

#[test]
fn agreement_of_members_who_name_causes_is_that_of_krippendorff() {
    for naming in reference().namings {
        let (answers, causes) = named(&naming);
        let found = agreement(&answers, &causes, 200, 7).unwrap();
        assert!(
            (found.alpha - naming.alpha).abs() < 1e-9,
            "{} for {}",
            found.alpha,
            naming.alpha
        );
    }
}

/// Two bootstraps with draws of their own never agree to the last digit. With 4,000 draws the error of
/// an end is about a hundredth of the interval; eight hundredths would be eight times that.
#[test]
fn the_interval_of_agreement_is_that_of_scipys_bootstrap() {
    let mut compared = 0;
    for naming in reference().namings {
        let Some([low, high]) = naming.interval else {
            continue;
        };
        let (answers, causes) = named(&naming);
        let found = agreement(&answers, &causes, 4000, 7).unwrap().interval;
        let near = 0.08 * (high - low);
        assert!(
            (found.low - low).abs() < near && (found.high - high).abs() < near,
            "{found:?} for {low} to {high}"
        );
        compared += 1;
    }
    assert!(compared >= 8, "{compared} compared");
}

#[test]
fn marks_of_causes_are_the_gain_in_the_brier_score_of_scikit_learn() {
    for given in reference().answers {
        let id = |at: &usize| format!("c-{at}");
        let causes = given.named.iter().zip(&given.said);
        let answer = Answer {
            causes: causes
                .map(|(at, said)| NamedCause {
                    cause: id(at),
                    confidence: *said,
                })
                .collect(),
            ..Answer::default()
        };
        let key = Key {
            causes: given.truth.iter().map(id).collect(),
        };
        let found = mark(&answer, &key, &LiftBook::default()).causes;
        assert!(
            (found - given.points).abs() < 1e-9,
            "{found} for {}",
            given.points
        );
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
        close("p of SciPy", found.p, pair.p_scipy, 1e-9);
    }
}

/// The levels of a season, each spread and level as close as `near`.
#[track_caller]
fn same_season(season: &Season, near: f64) {
    let entrant = |(at, marks): (usize, &Vec<f64>)| Entrant::new(format!("m-{at:02}"), marks);
    let entrants: Vec<Entrant> = season.marks.iter().enumerate().map(entrant).collect();
    let model = season_model(&entrants).unwrap();
    close("mean", model.mean, season.mean, near);
    close("within", model.within, season.within, near);
    close("between", model.between, season.between, 2.0 * near);
    let table = standing(&entrants, 1);
    for (at, level) in season.levels.iter().enumerate() {
        let name = format!("m-{at:02}");
        let line = table.iter().find(|line| line.member == name).unwrap();
        close("level", line.level, *level, near);
    }
}

/// With as many marks for each member, the analysis of variance and restricted maximum likelihood
/// (statsmodels' mixed linear model) are the same.
#[test]
fn levels_of_a_season_are_those_of_a_mixed_model() {
    for season in reference().seasons {
        same_season(&season, 1e-4);
    }
}

/// With different numbers of marks: spreads from statsmodels' table of variances, levels from
/// Henderson's mixed model equations solved by `NumPy`.
#[test]
fn levels_of_an_uneven_season_solve_the_mixed_model_equations() {
    for season in reference().unequal {
        same_season(&season, 1e-9);
    }
}
