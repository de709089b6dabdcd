//! Scores and intervals against scikit-learn and statsmodels.

use super::close;
use cueline_core::outcome::{Forecast, Share, score};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    wilson: Vec<(u32, u32, f64, f64)>,
    samples: Vec<Sample>,
}

#[derive(Deserialize)]
struct Sample {
    probability: Vec<f64>,
    happened: Vec<bool>,
    brier: f64,
    log_score: f64,
    counts: Vec<u32>,
    mean: Vec<f64>,
    observed: Vec<f64>,
    reliability: f64,
    resolution: f64,
    uncertainty: f64,
}

fn reference() -> Reference {
    serde_json::from_str(include_str!("calibration.json")).unwrap()
}

/// As close as sums in another order are.
#[track_caller]
fn near(what: &str, found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-12,
        "{what}: found {found}, expected {expected}"
    );
}

#[test]
fn the_interval_of_a_share_is_the_one_statsmodels_gives() {
    let wilson = reference().wilson;
    assert_eq!(wilson.len(), 10);
    for (yes, of, low, high) in wilson {
        let share = Share::of(yes, of).unwrap();
        near(&format!("low end of {yes} of {of}"), share.low, low);
        near(&format!("high end of {yes} of {of}"), share.high, high);
    }
}

#[test]
fn scores_and_the_reliability_table_are_those_of_scikit_learn() {
    let samples = reference().samples;
    assert_eq!(samples.len(), 7);
    for (at, sample) in samples.iter().enumerate() {
        let pairs = sample.probability.iter().zip(&sample.happened);
        let forecasts: Vec<Forecast> = pairs
            .map(|(probability, happened)| Forecast {
                probability: *probability,
                happened: *happened,
            })
            .collect();
        let found = score(&forecasts);
        let brier = found.brier.unwrap();
        near(&format!("Brier score {at}"), brier.score, sample.brier);
        close(
            "log score",
            found.log_score.unwrap(),
            sample.log_score,
            1e-12,
        );
        near("reliability", brier.reliability, sample.reliability);
        near("resolution", brier.resolution, sample.resolution);
        near("uncertainty", brier.uncertainty, sample.uncertainty);
        let counts: Vec<u32> = found.bins.iter().map(|bin| bin.count).collect();
        assert_eq!(counts, sample.counts, "bins of sample {at}");
        let full = found.bins.iter().filter(|bin| bin.count > 0);
        for ((bin, mean), observed) in full.zip(&sample.mean).zip(&sample.observed) {
            near("mean of a bin", bin.mean.unwrap(), *mean);
            near("share of a bin", bin.observed.unwrap().share, *observed);
        }
    }
    // One value a bin: Murphy's three parts are the whole of the score.
    let last = samples.last().unwrap();
    let parts = last.reliability - last.resolution + last.uncertainty;
    near("the three parts", parts, last.brier);
}
