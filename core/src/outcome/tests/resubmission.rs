//! What a resubmission shows.

use crate::assess::SignView;
use crate::diagnosis::Origin;
use crate::motion::{Figure, Measurement, SignMeasured, VerdictLimits};
use crate::outcome::{MeasuredChange, Seen, Verdict, compare, compare_measured};

fn view(sign: &str, probability: f64) -> SignView {
    SignView {
        sign: sign.to_owned(),
        probability,
        from: Origin::Words,
    }
}

fn ids(list: &[&str]) -> Vec<String> {
    list.iter().map(|id| (*id).to_owned()).collect()
}

#[test]
fn a_sign_said_to_be_absent_is_gone() {
    let now = [view("sq-hips-shoot", 0.05)];
    let verdict = compare(&ids(&["sq-hips-shoot"]), &ids(&["sq-hips-shoot"]), &now);
    assert_eq!(verdict, Verdict::Gone);
}

#[test]
fn a_sign_not_mentioned_is_not_taken_as_gone() {
    let verdict = compare(&ids(&["sq-hips-shoot"]), &ids(&["sq-hips-shoot"]), &[]);
    assert_eq!(verdict, Verdict::CannotTell);
}

#[test]
fn one_of_two_gone_is_better_and_both_still_there_is_the_same() {
    let aimed = ids(&["dl-bar-far", "dl-bar-drifts"]);
    let half = [view("dl-bar-far", 0.1), view("dl-bar-drifts", 0.9)];
    assert_eq!(compare(&aimed, &aimed, &half), Verdict::Better);
    let both = [view("dl-bar-far", 0.9), view("dl-bar-drifts", 0.9)];
    assert_eq!(compare(&aimed, &aimed, &both), Verdict::Same);
}

#[test]
fn still_there_with_a_new_sign_is_worse() {
    let aimed = ids(&["bp-bounce"]);
    let now = [view("bp-bounce", 1.0), view("bp-hips-lift", 1.0)];
    assert_eq!(compare(&aimed, &aimed, &now), Verdict::Worse);
}

#[test]
fn signs_never_named_before_are_judged_by_what_was_named() {
    let now = [view("sq-torso-pitch", 0.0)];
    let verdict = compare(&ids(&["sq-knees-first"]), &ids(&["sq-torso-pitch"]), &now);
    assert_eq!(verdict, Verdict::Gone);
}

/// One quantity with its error, and the sign it tells of.
fn measured(sign: &str, value: f64, error: f64, probability: f64) -> Measurement {
    let figure = Figure {
        id: "bar-forward".to_owned(),
        plain: "the bar went forward by".to_owned(),
        unit: "m".to_owned(),
        per_rep: vec![Some(value)],
        value,
        error,
        threshold: Some(0.04),
    };
    Measurement {
        reps: 1,
        signs: vec![SignMeasured {
            sign: sign.to_owned(),
            probability,
            quantity: figure.id.clone(),
            worst_rep: None,
            over: true,
        }],
        quantities: vec![figure],
        ..Measurement::default()
    }
}

/// The bar drifted 6 cm before, and so far now.
fn after_six_centimetres(now: &Measurement) -> (Verdict, Vec<MeasuredChange>) {
    let drift = ids(&["sq-bar-forward"]);
    let last = measured("sq-bar-forward", 0.06, 0.006, 0.98);
    let before = Seen {
        present: &drift,
        measured: Some(&last),
    };
    let signs: Vec<SignView> = now
        .signs
        .iter()
        .map(|sign| SignView {
            from: Origin::Measured,
            ..view(&sign.sign, sign.probability)
        })
        .collect();
    let now = (signs.as_slice(), Some(now));
    compare_measured(&drift, before, now, &VerdictLimits::default())
}

#[test]
fn a_measured_sign_is_judged_by_its_figure_and_its_error() {
    let drift = |value, error, probability| {
        let (verdict, changes) =
            after_six_centimetres(&measured("sq-bar-forward", value, error, probability));
        assert_eq!(changes.len(), 1);
        assert_eq!(changes[0].course, verdict);
        verdict
    };
    // Well inside the limit of 4 cm.
    assert_eq!(drift(0.021, 0.006, 0.02), Verdict::Gone);
    // Still over it, but less by more than the error of both: 1.4 cm against 1.645 x 0.85 cm.
    assert_eq!(drift(0.045, 0.006, 0.8), Verdict::Better);
    assert_eq!(drift(0.058, 0.006, 0.98), Verdict::Same);
    assert_eq!(drift(0.09, 0.006, 0.98), Verdict::Worse);
    // A camera that is off by 3 cm cannot tell 5 cm from 6.
    assert_eq!(drift(0.05, 0.03, 0.63), Verdict::CannotTell);
}

#[test]
fn a_change_tells_both_figures_and_the_error_of_their_difference() {
    let (_, changes) = after_six_centimetres(&measured("sq-bar-forward", 0.021, 0.008, 0.02));
    let change = &changes[0];
    assert!((change.before - 0.06).abs() < 1e-12 && (change.now - 0.021).abs() < 1e-12);
    // The error of a difference of independent figures: 6 and 8 mm give 10 mm.
    assert!((change.error - 0.01).abs() < 1e-12);
}

#[test]
fn less_of_a_sign_shown_by_small_values_is_more() {
    // A squat that does not reach depth shows by little depth: here the sign lies under its limit.
    let under = |value, probability| {
        let mut all = measured("sq-bar-forward", value, 0.002, probability);
        all.signs[0].over = false;
        all
    };
    let drift = ids(&["sq-bar-forward"]);
    let last = under(0.02, 0.98);
    let before = Seen {
        present: &drift,
        measured: Some(&last),
    };
    let judged = |now: &Measurement| {
        let signs = [view("sq-bar-forward", now.signs[0].probability)];
        compare_measured(
            &drift,
            before,
            (&signs, Some(now)),
            &VerdictLimits::default(),
        )
        .0
    };
    assert_eq!(judged(&under(0.035, 0.9)), Verdict::Better);
    assert_eq!(judged(&under(0.01, 0.98)), Verdict::Worse);
}

#[test]
fn what_only_the_new_trace_looked_for_is_nothing_new() {
    let hips = ids(&["sq-hips-shoot"]);
    let now = [
        view("sq-hips-shoot", 0.9),
        SignView {
            from: Origin::Measured,
            ..view("sq-bar-forward", 0.95)
        },
    ];
    let trace = measured("sq-bar-forward", 0.06, 0.006, 0.95);
    let judged = |before: Option<&Measurement>| {
        let before = Seen {
            present: &hips,
            measured: before,
        };
        let now = (now.as_slice(), Some(&trace));
        compare_measured(&hips, before, now, &VerdictLimits::default()).0
    };
    assert_eq!(judged(None), Verdict::Same);
    let clean = measured("sq-bar-forward", 0.01, 0.006, 0.02);
    assert_eq!(judged(Some(&clean)), Verdict::Worse);
}
