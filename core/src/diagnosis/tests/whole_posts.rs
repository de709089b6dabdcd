//! What becomes of a post that tells as a whole of no fault (common practice, no source).

use super::books::{CATALOG, book};
use crate::diagnosis::{Diagnosis, Finding, Origin, Settings, Told, diagnose_as_told};
use crate::quantity::{Effort, Span};
use crate::report::{Competes, Lift, SetReport};

fn found(sign: &str, from: Origin) -> Finding {
    Finding {
        sign: sign.to_owned(),
        probability: 0.97,
        from,
    }
}

fn judge(report: &SetReport, findings: &[Finding], fine: (&str, f64)) -> Diagnosis {
    diagnose_as_told(
        book(report.lift.unwrap()),
        &CATALOG.context,
        report,
        findings,
        &Settings::default(),
        Told {
            rules: &[],
            fine: Some(fine),
        },
    )
}

fn lift(lift: Lift) -> SetReport {
    SetReport {
        lift: Some(lift),
        ..SetReport::default()
    }
}

fn rules(found: &Diagnosis) -> Vec<&str> {
    found.no_fault.iter().map(|(rule, _)| &**rule).collect()
}

#[test]
fn what_the_words_alone_told_was_the_worry_and_is_no_fault() {
    let heard = [found("sq-heels-rise", Origin::Words)];
    let judged = judge(&lift(Lift::Squat), &heard, ("ctx-knee-forward", 0.8));
    assert!(judged.chosen.is_empty());
    assert_eq!(rules(&judged), ["ctx-knee-forward"]);
    assert!(judged.no_fault[0].1.contains("always allowed"));
}

#[test]
fn what_was_ticked_measured_or_hurts_counts_all_the_same() {
    for seen in [
        found("sq-heels-rise", Origin::Ticked),
        found("sq-heels-rise", Origin::Measured),
        found("sq-heels-rise", Origin::Answered),
        found("sq-pain", Origin::Words),
    ] {
        let judged = judge(&lift(Lift::Squat), &[seen], ("ctx-knee-forward", 0.8));
        assert!(rules(&judged).is_empty(), "{judged:?}");
    }
}

#[test]
fn a_doubtful_post_needs_a_figure_or_a_tick_that_bears_it_out() {
    let report = lift(Lift::Squat);
    let doubtful = ("ctx-tuck-small", 0.12);
    let heard = [
        found("sq-pelvis-tucks", Origin::Words),
        found("sq-bottom-loose", Origin::Words),
    ];
    assert!(rules(&judge(&report, &heard, doubtful)).is_empty());
    let ticked = [
        found("sq-pelvis-tucks", Origin::Ticked),
        found("sq-bottom-loose", Origin::Words),
    ];
    assert_eq!(
        rules(&judge(&report, &ticked, doubtful)),
        ["ctx-tuck-small"]
    );
}

#[test]
fn a_rule_whose_condition_is_known_not_to_hold_excuses_nothing() {
    let heels = [
        found("bp-heels-up", Origin::Words),
        found("bp-feet-move", Origin::Words),
    ];
    let told = ("ctx-heels-bench", 0.9);
    let mut report = lift(Lift::Bench);
    assert_eq!(rules(&judge(&report, &heels, told)), ["ctx-heels-bench"]);
    report.competes = Some(Competes::Yes);
    assert!(rules(&judge(&report, &heels, told)).is_empty());
}

#[test]
fn a_limit_set_told_and_rated_as_one_excuses_what_was_ticked_and_an_easy_one_does_not() {
    let ticked = [
        found("sq-hips-shoot", Origin::Ticked),
        found("sq-speed-fade", Origin::Ticked),
    ];
    let told = ("ctx-limit", 0.6);
    let mut report = lift(Lift::Squat);
    report.effort = Some(Effort::Rpe(Span::exactly(10.0)));
    assert_eq!(rules(&judge(&report, &ticked, told)), ["ctx-limit"]);
    report.effort = Some(Effort::Rpe(Span::exactly(7.0)));
    assert!(rules(&judge(&report, &ticked, told)).is_empty());
}
