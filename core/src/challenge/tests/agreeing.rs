//! Agreement against the published example, and what must hold of the interval.

use crate::challenge::{Answer, Chance, NamedCause, agreement, alpha_nominal, naming_alpha};

/// Krippendorff 2011, "Computing Krippendorff's Alpha-Reliability", example C: four observers,
/// twelve units, missing values; nominal alpha 0.743. One row an observer there, as here.
#[test]
fn four_observers_of_twelve_units_agree_as_far_as_published() {
    let observers: [[u8; 12]; 4] = [
        [1, 2, 3, 3, 2, 1, 4, 1, 2, 0, 0, 0],
        [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, 0, 3],
        [0, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, 0],
        [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, 0],
    ];
    let units: Vec<Vec<Option<u8>>> = (0..12)
        .map(|unit| {
            let values = observers.iter().map(|row| Some(row[unit]));
            values.map(|value| value.filter(|v| *v != 0)).collect()
        })
        .collect();
    let alpha = alpha_nominal(&units).unwrap();
    assert!((alpha - 0.743).abs() < 5e-4, "{alpha}");
}

/// The first outputs of the generator for seed 1234567, as its reference code in C gives them (from
/// memory, widely used as a check).
#[test]
fn draws_are_those_of_the_published_generator() {
    let mut chance = Chance::from_seed(1_234_567);
    let first: Vec<u64> = (0..3).map(|_| chance.bits()).collect();
    assert_eq!(
        first,
        [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423
        ]
    );
    assert!((0..1000).all(|_| chance.below(7) < 7));
    assert_eq!(chance.below(0), 0);
}

fn naming(causes: &[&str]) -> Answer {
    let named = |cause: &&str| NamedCause {
        cause: (*cause).to_owned(),
        confidence: None,
    };
    Answer {
        causes: causes.iter().map(named).collect(),
        ..Answer::default()
    }
}

fn four_causes() -> Vec<String> {
    ["a", "b", "c", "d"].map(str::to_owned).to_vec()
}

#[test]
fn members_who_all_say_the_same_agree_fully() {
    let answers = vec![naming(&["a"]); 20];
    let found = agreement(&answers, &four_causes(), 100, 1).unwrap();
    assert!((found.alpha - 1.0).abs() < 1e-12);
    assert!((found.interval.low - 1.0).abs() < 1e-12);
}

#[test]
fn two_camps_agree_less_than_one_and_the_interval_holds_the_figure() {
    let mut answers = vec![naming(&["a"]); 30];
    answers.extend(vec![naming(&["b"]); 30]);
    let found = agreement(&answers, &four_causes(), 500, 1).unwrap();
    assert!(found.alpha < 0.5, "{}", found.alpha);
    assert!(found.interval.low <= found.alpha && found.alpha <= found.interval.high + 0.05);
    assert_eq!(found, agreement(&answers, &four_causes(), 500, 1).unwrap());
}

#[test]
fn one_answer_or_none_has_nothing_to_agree_with() {
    assert!(agreement(&[naming(&["a"])], &four_causes(), 10, 1).is_none());
    assert!(agreement(&[], &four_causes(), 10, 1).is_none());
    assert!(naming_alpha(&[2, 2], 2).is_none(), "all named everything");
    assert!(alpha_nominal::<u8>(&[]).is_none());
    assert!(alpha_nominal(&[vec![Some(1), Some(1)], vec![Some(1), None]]).is_none());
}

/// Percentile bootstrap against the textbook's promise: about 95 in 100 intervals hold the figure of
/// the whole community (Efron and Tibshirani 1993); small samples fall a little short.
#[test]
fn intervals_of_samples_hold_the_communitys_figure_about_as_often_as_they_say() {
    let mut chance = Chance::from_seed(5);
    let pool: Vec<Answer> = (0..4000)
        .map(|_| match chance.below(10) {
            0..=5 => naming(&["a"]),
            6..=7 => naming(&["b", "a"]),
            8 => naming(&["c"]),
            _ => naming(&["d"]),
        })
        .collect();
    let whole = agreement(&pool, &four_causes(), 1, 1).unwrap().alpha;
    let held = (0..200)
        .filter(|seed| {
            let sample: Vec<Answer> = (0..120)
                .map(|_| pool[chance.below(pool.len())].clone())
                .collect();
            let found = agreement(&sample, &four_causes(), 200, *seed).unwrap();
            found.interval.low <= whole && whole <= found.interval.high
        })
        .count();
    assert!((178..=199).contains(&held), "{held} of 200");
}
