//! What was measured beside what was said and ticked.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::{Assessment, History, assess};
use crate::diagnosis::{Origin, Settings};
use crate::motion::{Figure, Measurement, SignMeasured};
use crate::quantity::{Mass, MassUnit};
use crate::reading::tests::whole_catalog;
use crate::report::{Lift, SetReport};
use crate::triage::Level;
use jiff::civil::date;

/// A trace on which these signs were looked for.
fn measured(signs: &[(&str, f64)]) -> Measurement {
    let figure = Figure {
        id: "lead".to_owned(),
        plain: "hips rise against the shoulders".to_owned(),
        unit: String::new(),
        per_rep: vec![Some(1.4)],
        value: 1.4,
        error: 0.1,
        threshold: Some(1.1),
    };
    let signs = signs.iter().map(|(sign, probability)| SignMeasured {
        sign: (*sign).to_owned(),
        probability: *probability,
        quantity: "lead".to_owned(),
        worst_rep: Some(0),
        over: true,
    });
    Measurement {
        reps: 1,
        signs: signs.collect(),
        quantities: vec![figure],
        ..Measurement::default()
    }
}

fn judged(change: impl Fn(&mut SetReport), measured: Option<Measurement>) -> Assessment {
    let mut report = SetReport {
        lift: Some(Lift::Squat),
        load: Some(Mass::new(100.0, MassUnit::Kg)),
        reps: Some(5),
        ..SetReport::default()
    };
    change(&mut report);
    let history = History {
        measured,
        ..History::default()
    };
    let settings = Settings::default();
    let today = date(2026, 3, 2);
    assess(whole_catalog(), &report, &history, &settings, today)
}

fn raised(found: &Assessment) -> Vec<&str> {
    found
        .escalations
        .iter()
        .map(|one| one.id.as_str())
        .collect()
}

#[test]
fn a_measured_sign_counts_by_itself_and_says_where_it_comes_from() {
    let found = judged(|_| {}, Some(measured(&[("sq-hips-shoot", 0.95)])));
    let view = &found.signs[0];
    assert_eq!(
        (view.sign.as_str(), view.from),
        ("sq-hips-shoot", Origin::Measured)
    );
    assert!((view.probability - 0.95).abs() < 1e-12);
    let told = judged(
        |report| report.seen = vec!["sq-hips-shoot".to_owned()],
        None,
    );
    assert_eq!(found.beliefs[0].cause, told.beliefs[0].cause);
}

#[test]
fn what_was_not_measured_is_nothing() {
    let ticks = |report: &mut SetReport| report.seen = vec!["sq-hips-shoot".to_owned()];
    let with = judged(ticks, Some(Measurement::default()));
    let without = judged(ticks, None);
    assert_eq!(with.beliefs, without.beliefs);
    assert_eq!(with.signs, without.signs);
}

#[test]
fn a_tick_against_a_sure_measurement_is_for_the_coach() {
    let ticks = |report: &mut SetReport| report.seen = vec!["sq-hips-shoot".to_owned()];
    let against = judged(ticks, Some(measured(&[("sq-hips-shoot", 0.02)])));
    assert!(
        raised(&against).contains(&"esc-conflict"),
        "{:?}",
        raised(&against)
    );
    assert_eq!(against.triage.level, Level::Coach);
    assert_eq!(
        against.signs.len(),
        1,
        "one line a sign: {:?}",
        against.signs
    );
    let unsure = judged(ticks, Some(measured(&[("sq-hips-shoot", 0.4)])));
    assert!(!raised(&unsure).contains(&"esc-conflict"));
    let agrees = judged(ticks, Some(measured(&[("sq-hips-shoot", 0.97)])));
    assert!(!raised(&agrees).contains(&"esc-conflict"));
}

#[test]
fn a_doubtful_reading_is_no_witness_against_a_measurement() {
    let words = "the back end kind of goes first maybe";
    let says = |report: &mut SetReport| report.words = Some(words.to_owned());
    let found = judged(says, Some(measured(&[("sq-hips-shoot", 0.02)])));
    assert!(!raised(&found).contains(&"esc-conflict"));
}

#[test]
fn under_a_stop_nothing_is_measured() {
    let says = |report: &mut SetReport| {
        report.words = Some("chest pain on rep 3 and it hasnt gone".to_owned());
    };
    let found = judged(says, Some(measured(&[("sq-hips-shoot", 0.95)])));
    assert!(found.triage.level.stops());
    assert!(found.measured.is_none() && found.followed.is_none());
}
