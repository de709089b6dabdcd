//! Cases a coach would set as a test, on the catalog as it stands.

use super::books::{CATALOG, book};
use crate::diagnosis::{Diagnosis, Finding, Origin, Settings, diagnose};
use crate::quantity::{Effort, Mass, MassUnit, Span};
use crate::report::{Best, Competes, Lift, SetReport};

/// A set at this share of a best single of 200 kg, with nothing else said.
fn set(lift: Lift, percent: f64) -> SetReport {
    SetReport {
        lift: Some(lift),
        load: Some(Mass::new(2.0 * percent, MassUnit::Kg)),
        best: Some(Best {
            value: 200.0,
            unit: MassUnit::Kg,
            date: None,
            tested: Some(true),
        }),
        reps: Some(3),
        ..SetReport::default()
    }
}

fn bare(lift: Lift) -> SetReport {
    SetReport {
        lift: Some(lift),
        ..SetReport::default()
    }
}

fn seen(signs: &[&str]) -> Vec<Finding> {
    let seen = signs.iter().map(|sign| Finding {
        sign: (*sign).to_owned(),
        probability: 1.0,
        from: Origin::Ticked,
    });
    seen.collect()
}

fn judge(report: &SetReport, signs: &[&str]) -> Diagnosis {
    let lift = report.lift.unwrap();
    let found = diagnose(
        book(lift),
        &CATALOG.context,
        report,
        &seen(signs),
        &Settings::default(),
    );
    println!(
        "{signs:?} -> {:?} {:?} {:?} q={:?}",
        found.chosen,
        found.unsure,
        found.no_fault,
        found.question.as_ref().map(|q| &q.id)
    );
    for b in found.beliefs.iter().take(5) {
        println!(
            "   {} {:.3} {:?} {:?}",
            b.cause,
            b.probability,
            b.supports
                .iter()
                .map(|w| format!("{} {:.2}", w.sign, w.weight))
                .collect::<Vec<_>>(),
            b.against
                .iter()
                .map(|w| format!("{} {:.2}", w.sign, w.weight))
                .collect::<Vec<_>>()
        );
    }
    found
}

fn first(found: &Diagnosis) -> &str {
    found.chosen.first().map_or("nothing", String::as_str)
}

fn place(found: &Diagnosis, cause: &str) -> usize {
    let last = found.chosen.len();
    found.chosen.iter().position(|c| c == cause).unwrap_or(last)
}

#[test]
fn all() {
    for easy in [false, true] {
        let s = |l, p| if easy { set(l, p) } else { bare(l) };
        judge(
            &s(Lift::Squat, 75.0),
            &["sq-knees-first", "sq-torso-pitch", "sq-weight-toes"],
        );
        judge(
            &s(Lift::Squat, 75.0),
            &["sq-hips-shoot", "sq-brace-late", "sq-trunk-soft"],
        );
        judge(
            &s(Lift::Squat, 75.0),
            &["sq-heels-rise", "sq-depth-short", "sq-foot-rolls-in"],
        );
        judge(&s(Lift::Squat, 75.0), &["sq-hip-shift"]);
        judge(
            &s(Lift::Bench, 75.0),
            &["bp-legdrive-jolt", "bp-hips-lift", "bp-feet-move"],
        );
        judge(
            &s(Lift::Bench, 75.0),
            &["bp-handoff-late", "bp-shoulders-reach"],
        );
        judge(&s(Lift::Bench, 75.0), &["bp-path-feet", "bp-stall-mid"]);
        judge(&s(Lift::Bench, 75.0), &["bp-heels-up"]);
        judge(
            &s(Lift::Deadlift, 75.0),
            &[
                "dl-low-back-round-start",
                "dl-stall-knee",
                "dl-legs-locked-early",
            ],
        );
        judge(
            &s(Lift::Deadlift, 75.0),
            &["dl-bar-far", "dl-weight-toes", "dl-bar-drifts"],
        );
        let mut r = s(Lift::Deadlift, 75.0);
        r.training_months = Some(60);
        judge(&r, &["dl-upper-back-rounds"]);
        judge(&s(Lift::Squat, 75.0), &[]);
    }
}
