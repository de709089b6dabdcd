//! Marks: properness of the score, the credit for the earliest link, and exercises.

use crate::catalog::{Check, Correction, Dose, LiftBook, LoadBasis};
use crate::challenge::{
    Answer, AnswerFault, ExerciseAnswer, ExerciseVerdict, Key, NamedCause, UNNAMED, mark,
};
use crate::quantity::Span;
use crate::reading::tests::whole_catalog;
use crate::report::Lift;
use proptest::prelude::*;

fn book(lift: Lift) -> &'static LiftBook {
    &whole_catalog().lifts[&lift]
}

fn answer(causes: &[(&str, Option<f64>)]) -> Answer {
    let named = |(cause, confidence): &(&str, Option<f64>)| NamedCause {
        cause: (*cause).to_owned(),
        confidence: *confidence,
    };
    Answer {
        causes: causes.iter().map(named).collect(),
        ..Answer::default()
    }
}

fn key(causes: &[&str]) -> Key {
    Key {
        causes: causes.iter().map(|cause| (*cause).to_owned()).collect(),
    }
}

#[test]
fn surely_right_gains_and_surely_wrong_loses_as_much() {
    let squat = book(Lift::Squat);
    let right = mark(
        &answer(&[("c-sq-brace", Some(1.0))]),
        &key(&["c-sq-brace"]),
        squat,
    );
    let wrong = mark(
        &answer(&[("c-sq-brace", Some(1.0))]),
        &key(&["c-sq-legs"]),
        squat,
    );
    assert!((right.causes - 90.25).abs() < 1e-9, "{right:?}");
    assert!((wrong.causes + 99.75).abs() < 1e-9, "{wrong:?}");
    assert_eq!((right.first, wrong.first), (20.0, 0.0));
}

/// Brier 1950's own measure for one event: forecast 0.8, and it rains: (0.8 - 1)². Set against the
/// forecast for what is not named.
#[test]
fn a_forecast_of_80_percent_scores_as_brier_has_it() {
    let found = mark(
        &answer(&[("c-sq-brace", Some(0.8))]),
        &key(&["c-sq-brace"]),
        book(Lift::Squat),
    );
    let brier = |forecast: f64| (forecast - 1.0_f64).powi(2);
    assert!((found.causes - 100.0 * (brier(UNNAMED) - brier(0.8))).abs() < 1e-9);
}

#[test]
fn the_earliest_link_counts_most_when_it_is_named_first() {
    let squat = book(Lift::Squat);
    let verdict = key(&["c-sq-brace", "c-sq-legs"]);
    let names = |first, second| answer(&[(first, Some(0.5)), (second, Some(0.5))]);
    let early = mark(&names("c-sq-brace", "c-sq-legs"), &verdict, squat);
    let late = mark(&names("c-sq-legs", "c-sq-brace"), &verdict, squat);
    let beside = mark(&names("c-sq-stance", "c-sq-brace"), &verdict, squat);
    assert_eq!((early.first, late.first, beside.first), (20.0, 10.0, 0.0));
    assert!((early.causes - late.causes).abs() < 1e-12);
}

#[test]
fn with_no_fault_to_find_naming_one_costs_and_a_small_doubt_costs_little() {
    let squat = book(Lift::Squat);
    let sure = mark(&answer(&[("c-sq-brace", Some(0.9))]), &key(&[]), squat);
    let careful = mark(&answer(&[("c-sq-brace", Some(0.1))]), &key(&[]), squat);
    assert!(sure.causes < -75.0 && careful.causes > -1.0);
}

/// The catalog's own correction with these doses.
fn small_book() -> LiftBook {
    let dose = |exercise: &str, percent: Option<Span>, of| Dose {
        exercise: exercise.to_owned(),
        sets: Span::exactly(3.0),
        reps: Span::exactly(5.0),
        unit: None,
        percent,
        of,
        effort: None,
        weeks: None,
        note: String::new(),
    };
    LiftBook {
        corrections: vec![Correction {
            cause: "c-sq-brace".to_owned(),
            cue: String::new(),
            set_up: String::new(),
            drill: Some(dose(
                "Paused squat",
                Some(Span::exactly(60.0)),
                LoadBasis::Lift,
            )),
            assistance: vec![dose("Plank", None, LoadBasis::None)],
            trial: String::new(),
            do_not: String::new(),
            check: Check {
                gone: Vec::new(),
                less: Vec::new(),
                set: String::new(),
                sets: None,
                reps: None,
                percent: None,
                views: Vec::new(),
                days: 14,
                note: String::new(),
            },
        }],
        ..LiftBook::default()
    }
}

#[test]
fn an_exercise_counts_when_it_fits_and_is_safe() {
    let judged = |exercise: &str, percent: Option<Span>| {
        let mut answer = answer(&[("c-sq-brace", None)]);
        answer.exercise = Some(ExerciseAnswer {
            exercise: exercise.to_owned(),
            corrects: None,
            percent,
        });
        let mark = mark(&answer, &key(&["c-sq-brace"]), &small_book());
        (mark.exercise_verdict, mark.exercise)
    };
    let light = Some(Span::new(55.0, 65.0));
    assert_eq!(
        judged("Paused squat", light),
        (ExerciseVerdict::FitsSafe, 20.0)
    );
    assert_eq!(
        judged("Paused squat", None),
        (ExerciseVerdict::FitsNoLoad, 10.0)
    );
    // The catalog practises it at 60 %: a token load is no full answer.
    let token = Some(Span::exactly(1.0));
    assert_eq!(
        judged("Paused squat", token),
        (ExerciseVerdict::FitsTooLight, 10.0)
    );
    let careful = Some(Span::exactly(40.0));
    assert_eq!(
        judged("Paused squat", careful),
        (ExerciseVerdict::FitsSafe, 20.0)
    );
    assert_eq!(judged("Plank", None), (ExerciseVerdict::FitsSafe, 20.0));
    assert_eq!(judged("Plank", token), (ExerciseVerdict::FitsSafe, 20.0));
    assert_eq!(judged("Leg curl", light), (ExerciseVerdict::OffTarget, 0.0));
    let heavy = Some(Span::new(85.0, 95.0));
    assert_eq!(
        judged("Paused squat", heavy),
        (ExerciseVerdict::Unsafe, 0.0)
    );
}

#[test]
fn an_answer_that_cannot_be_marked_is_refused_by_name() {
    let squat = book(Lift::Squat);
    let fault = |causes: &[(&str, Option<f64>)]| answer(causes).check(squat).unwrap_err();
    assert_eq!(fault(&[]), AnswerFault::Empty);
    let four = [("c-sq-brace", None); 4];
    assert_eq!(fault(&four), AnswerFault::TooMany { found: 4 });
    assert!(matches!(fault(&four[..2]), AnswerFault::Twice { .. }));
    let slip = fault(&[("c-sq-brase", None)]).to_string();
    assert!(slip.contains("did you mean `c-sq-brace`"), "{slip}");
    let over = fault(&[("c-sq-brace", Some(1.2))]).to_string();
    assert!(
        over.contains("found 120 %") && over.contains("0 to 100 %"),
        "{over}"
    );
    assert!(
        fault(&[("c-sq-brace", Some(f64::NAN))])
            .to_string()
            .contains("NaN")
    );
    assert!(
        answer(&[("c-sq-brace", Some(0.7)), ("c-sq-legs", None)])
            .check(squat)
            .is_ok()
    );
}

/// Points expected by somebody who holds `belief` and says `said` of one cause.
fn expected(belief: f64, said: f64) -> f64 {
    let squat = book(Lift::Squat);
    let given = answer(&[("c-sq-brace", Some(said))]);
    let there = mark(&given, &key(&["c-sq-brace"]), squat).causes;
    let not = mark(&given, &key(&[]), squat).causes;
    belief * there + (1.0 - belief) * not
}

proptest! {
    /// Strictly proper: whoever says another figure than they believe expects less.
    #[test]
    fn honest_confidence_is_the_best_answer(belief in 0.0..=1.0_f64, said in 0.0..=1.0_f64) {
        let honest = expected(belief, belief);
        let other = expected(belief, said);
        prop_assert!(honest >= other - 1e-9);
        if (belief - said).abs() > 1e-3 {
            prop_assert!(honest > other);
        }
    }

    /// Naming a cause with honest confidence never costs, on average: to be silent is to say
    /// [`UNNAMED`].
    #[test]
    fn naming_what_one_believes_never_costs_on_average(belief in 0.0..=1.0_f64) {
        prop_assert!(expected(belief, belief) >= -1e-9);
    }

    /// Two causes at once: the parts add, so the best figure for one does not depend on the other,
    /// however the two hang together.
    #[test]
    fn honest_confidence_is_the_best_answer_for_two_causes_that_hang_together(
        weights in prop::array::uniform4(0.01..1.0_f64),
        said in prop::array::uniform2(0.0..=1.0_f64),
    ) {
        let squat = book(Lift::Squat);
        let sum: f64 = weights.iter().sum();
        let truths = [key(&[]), key(&["c-sq-brace"]), key(&["c-sq-legs"]), key(&["c-sq-brace", "c-sq-legs"])];
        let points = |first: f64, second: f64| -> f64 {
            let given = answer(&[("c-sq-brace", Some(first)), ("c-sq-legs", Some(second))]);
            let each = truths.iter().zip(weights);
            each.map(|(truth, weight)| weight / sum * mark(&given, truth, squat).causes).sum()
        };
        let first = (weights[1] + weights[3]) / sum;
        let second = (weights[2] + weights[3]) / sum;
        prop_assert!(points(first, second) >= points(said[0], said[1]) - 1e-9);
    }
}
