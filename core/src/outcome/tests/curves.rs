//! Survival curves against the example every textbook has, and what must hold of any.

use crate::outcome::survival::{Followed, curve, log_rank};
use proptest::prelude::*;

/// Weeks in remission of 21 patients on 6-mercaptopurine and 21 on placebo: Freireich et al. 1963,
/// "The effect of 6-mercaptopurine on the duration of steroid-induced remissions in acute leukemia",
/// Blood 21, 699-716; printed with the Kaplan-Meier figures in Cox and Oakes 1984 and in Collett 2015.
const TREATED: [(f64, bool); 21] = [
    (6.0, true),
    (6.0, true),
    (6.0, true),
    (6.0, false),
    (7.0, true),
    (9.0, false),
    (10.0, true),
    (10.0, false),
    (11.0, false),
    (13.0, true),
    (16.0, true),
    (17.0, false),
    (19.0, false),
    (20.0, false),
    (22.0, true),
    (23.0, true),
    (25.0, false),
    (32.0, false),
    (32.0, false),
    (34.0, false),
    (35.0, false),
];

const PLACEBO: [f64; 21] = [
    1.0, 1.0, 2.0, 2.0, 3.0, 4.0, 4.0, 5.0, 5.0, 8.0, 8.0, 8.0, 8.0, 11.0, 11.0, 12.0, 12.0, 15.0,
    17.0, 22.0, 23.0,
];

fn treated() -> Vec<Followed> {
    TREATED.map(|(days, gone)| Followed { days, gone }).to_vec()
}

fn placebo() -> Vec<Followed> {
    PLACEBO.map(|days| Followed { days, gone: true }).to_vec()
}

#[test]
fn the_textbook_curve_has_the_printed_steps() {
    let curve = curve(&treated());
    let printed = [
        (6.0, 21, 0.857),
        (7.0, 17, 0.807),
        (10.0, 15, 0.753),
        (13.0, 12, 0.690),
        (16.0, 11, 0.627),
        (22.0, 7, 0.538),
        (23.0, 6, 0.448),
    ];
    assert_eq!(curve.steps.len(), printed.len());
    for (step, (days, at_risk, still)) in curve.steps.iter().zip(printed) {
        assert!((step.days - days).abs() < 1e-12);
        assert_eq!(step.at_risk, at_risk);
        assert!((step.still - still).abs() < 5e-4, "{step:?}");
        assert!(step.low < step.still && step.still < step.high);
    }
    assert_eq!(curve.median().days, Some(23.0));
    assert_eq!((curve.courses, curve.gone), (21, 9));
}

#[test]
fn with_nobody_lost_the_curve_is_the_plain_share() {
    let curve = curve(&placebo());
    assert_eq!(curve.median().days, Some(8.0));
    for step in &curve.steps {
        let left = PLACEBO.iter().filter(|days| **days > step.days).count();
        assert!((step.still - left as f64 / 21.0).abs() < 1e-12);
    }
}

/// Log-rank chi-squared 16.79, printed with the same data.
#[test]
fn the_textbook_comparison_has_the_printed_statistic() {
    let test = log_rank(&treated(), &placebo()).unwrap();
    assert!((test.statistic - 16.79).abs() < 5e-3, "{test:?}");
    assert!((test.p - 4.17e-5).abs() < 1e-7, "{test:?}");
    assert_eq!(test.gone, 9);
    assert!((test.expected - 19.25).abs() < 5e-3, "{test:?}");
}

#[test]
fn nothing_followed_gives_an_empty_curve_and_no_comparison() {
    assert!(curve(&[]).steps.is_empty());
    assert_eq!(curve(&[]).median().days, None);
    assert!(log_rank(&[], &placebo()).is_none());
    let lost = [Followed {
        days: 3.0,
        gone: false,
    }];
    assert!(log_rank(&lost, &lost).is_none());
    let odd = [f64::NAN, -1.0, f64::INFINITY].map(|days| Followed { days, gone: true });
    assert_eq!(curve(&odd).courses, 0);
}

fn courses() -> impl Strategy<Value = Vec<Followed>> {
    prop::collection::vec((0_u32..90, any::<bool>()), 0..60).prop_map(|drawn| {
        let followed = |(days, gone)| Followed {
            days: f64::from(days),
            gone,
        };
        drawn.into_iter().map(followed).collect()
    })
}

proptest! {
    #[test]
    fn a_curve_only_falls_and_its_interval_holds_it(courses in courses()) {
        let curve = curve(&courses);
        let mut before = 1.0;
        for step in &curve.steps {
            prop_assert!(step.still < before && step.still >= 0.0);
            prop_assert!(step.low <= step.still + 1e-12 && step.still <= step.high + 1e-12);
            prop_assert!((0.0..=1.0).contains(&step.low) && (0.0..=1.0).contains(&step.high));
            before = step.still;
        }
        prop_assert_eq!(curve.gone, courses.iter().filter(|c| c.gone).count());
    }

    #[test]
    fn which_group_comes_first_makes_no_difference(one in courses(), two in courses()) {
        match (log_rank(&one, &two), log_rank(&two, &one)) {
            (Some(a), Some(b)) => {
                prop_assert!((a.statistic - b.statistic).abs() < 1e-6);
                prop_assert!((0.0..=1.0).contains(&a.p));
            }
            (a, b) => prop_assert_eq!(a.is_none(), b.is_none()),
        }
    }

    #[test]
    fn the_order_of_courses_makes_no_difference(mut courses in courses()) {
        let forwards = curve(&courses);
        courses.reverse();
        prop_assert_eq!(forwards, curve(&courses));
    }
}
