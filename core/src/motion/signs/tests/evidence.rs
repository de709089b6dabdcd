//! Probabilities and errors of angles against `SciPy` and statsmodels; the
//! figures are made by `tests/reference/motion_evidence.py` with the versions named in the file.

use super::super::super::evidence::{
    Likeness, combined, from_log_odds, joint_angle_error, log_likelihood_ratio, log_odds,
    posterior, probability_above, segment_angle_error, trust_weight,
};
use super::super::super::tests::near;
use super::acceptance::wilson;
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    probabilities: Vec<Probability>,
    ratios: Vec<Ratio>,
    angles: Vec<Angle>,
    intervals: Vec<Interval>,
}

#[derive(Deserialize)]
struct Probability {
    value: f64,
    limit: f64,
    error: f64,
    above: f64,
}

#[derive(Deserialize)]
struct Ratio {
    value: f64,
    error: f64,
    with: f64,
    without: f64,
    spread: f64,
    #[serde(rename = "ratio")]
    log: f64,
    posterior: f64,
}

#[derive(Deserialize)]
struct Angle {
    near: f64,
    far: f64,
    degrees: f64,
    errors: [f64; 3],
    error: f64,
}

#[derive(Deserialize)]
struct Interval {
    hits: u64,
    of: u64,
    low: f64,
    high: f64,
}

fn reference() -> Reference {
    let text = include_str!("../../../../../tests/reference/motion_evidence.json");
    serde_json::from_str(text).unwrap()
}

#[test]
fn probabilities_are_those_of_the_normal_law() {
    for one in reference().probabilities {
        let found = probability_above(one.value, one.limit, one.error);
        near("probability", found, one.above, 1e-12);
    }
    // A value without error is on one side, or on the limit.
    assert_eq!(
        [2.0, 1.0, 0.0].map(|value| probability_above(value, 1.0, 0.0)),
        [1.0, 0.5, 0.0]
    );
}

#[test]
fn ratios_and_what_they_make_of_a_prior_are_scipys() {
    for one in reference().ratios {
        let like = |mean| Likeness {
            mean,
            spread: one.spread,
        };
        let found = log_likelihood_ratio(one.value, one.error, like(one.with), like(one.without));
        near("ratio", found, one.log, 1e-12);
        near("posterior", posterior(0.2, found), one.posterior, 1e-12);
    }
}

#[test]
fn errors_of_angles_are_those_of_their_slopes() {
    for one in reference().angles {
        let found = joint_angle_error(one.near, one.far, one.degrees.to_radians(), one.errors);
        near("angle", found, one.error, 2e-6);
    }
    // Worked with NumPy: 10 mm at both ends of a trunk of 0.504 m and of a shin of 0.4305 m.
    near(
        "trunk",
        segment_angle_error(0.01, 0.01, 0.504).to_degrees(),
        1.6077,
        5e-5,
    );
    near(
        "shin",
        segment_angle_error(0.01, 0.01, 0.4305).to_degrees(),
        1.8822,
        5e-5,
    );
}

#[test]
fn the_interval_of_the_printed_table_is_that_of_statsmodels() {
    for one in reference().intervals {
        let (low, high) = wilson(one.hits, one.of);
        near("low", low, one.low, 1e-12);
        near("high", high, one.high, 1e-12);
    }
}

#[test]
fn repetitions_that_share_their_error_count_for_less() {
    // One repetition counts as it is; what is fully shared counts once; what is not counts in full.
    near("one", combined(&[1.5], 0.5), 1.5, 1e-15);
    near("shared", combined(&[1.5; 4], 1.0), 1.5, 1e-15);
    near("own", combined(&[1.5; 4], 0.0), 6.0, 1e-15);
    near("half", combined(&[1.0, 2.0, 3.0], 0.5), 3.0, 1e-15);
}

#[test]
fn nothing_is_surer_than_allowed_and_little_trust_says_little() {
    near(
        "sure",
        from_log_odds(log_odds(1.0, 0.98), 0.98),
        0.98,
        1e-12,
    );
    near(
        "sure",
        from_log_odds(log_odds(0.0, 0.98), 0.98),
        0.02,
        1e-12,
    );
    near(
        "as it is",
        from_log_odds(log_odds(0.7, 0.98), 0.98),
        0.7,
        1e-12,
    );
    near("full", trust_weight(0.9, 0.7), 1.0, 1e-15);
    near("half", trust_weight(0.35, 0.7), 0.5, 1e-15);
}
