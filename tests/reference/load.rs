//! Best singles, intervals and units against `NumPy`, `SciPy` and `Pint`.

use super::close;
use cueline_core::load::formulas::{
    Formula, formula_sigma, load_for, multiple, reps_to_failure, slope,
};
use cueline_core::load::{estimate, mix_up_probability};
use cueline_core::quantity::{KG_PER_LB, Length, LengthUnit, MassUnit};
use cueline_core::report::SetReport;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
struct Reference {
    kg_per_lb: f64,
    lengths: Vec<StatedLength>,
    formulas: Vec<Published>,
    average: Vec<Average>,
    inverse: Vec<Inverse>,
    sets: Vec<Set>,
    mix_ups: Vec<MixUp>,
}

#[derive(Deserialize)]
struct StatedLength {
    value: f64,
    unit: LengthUnit,
    metres: f64,
}

#[derive(Deserialize)]
struct Published {
    name: String,
    /// One for each row of `average`.
    multiples: Vec<f64>,
}

#[derive(Deserialize)]
struct Average {
    reps: f64,
    multiple: f64,
    slope: f64,
    sigma: f64,
}

#[derive(Deserialize)]
struct Inverse {
    best: f64,
    load: f64,
    reps: f64,
}

#[derive(Deserialize)]
struct Set {
    report: SetReport,
    estimate: Ends,
}

#[derive(Deserialize)]
struct Ends {
    kg: f64,
    low_kg: f64,
    high_kg: f64,
    sigma: f64,
}

#[derive(Deserialize)]
struct MixUp {
    difference: f64,
    spread: f64,
    labelled: MassUnit,
    probability: f64,
}

static REFERENCE: LazyLock<Reference> =
    LazyLock::new(|| serde_json::from_str(include_str!("load.json")).unwrap());

#[test]
fn a_pound_and_an_inch_are_as_long_and_heavy_as_pint_has_them() {
    close("lb", KG_PER_LB, REFERENCE.kg_per_lb, 1e-15);
    // NIST SP 811, appendix B: exact by definition.
    assert_eq!(KG_PER_LB.to_bits(), 0.453_592_37_f64.to_bits());
    assert_eq!(REFERENCE.lengths.len(), 3);
    for row in &REFERENCE.lengths {
        let length = Length {
            value: row.value,
            unit: row.unit,
        };
        close(&length.both(), length.metres(), row.metres, 1e-15);
    }
}

#[test]
fn the_seven_formulas_give_what_numpy_makes_of_them_as_printed() {
    assert_eq!(REFERENCE.formulas.len(), Formula::ALL.len());
    for (formula, published) in Formula::ALL.into_iter().zip(&REFERENCE.formulas) {
        assert_eq!(published.multiples.len(), REFERENCE.average.len());
        for (row, expected) in REFERENCE.average.iter().zip(&published.multiples) {
            let what = format!("{} at {}", published.name, row.reps);
            close(&what, formula.multiple(row.reps), *expected, 1e-13);
        }
    }
}

#[test]
fn their_anchored_average_is_the_geometric_mean_of_scipy() {
    assert_eq!(REFERENCE.average.len(), 24);
    for row in &REFERENCE.average {
        let what = format!("{} repetitions", row.reps);
        close(&what, multiple(row.reps), row.multiple, 1e-13);
        close(&what, slope(row.reps), row.slope, 1e-12);
        close(&what, formula_sigma(row.reps), row.sigma, 1e-13);
    }
}

#[test]
fn repetitions_for_a_load_are_the_root_that_brent_finds() {
    assert!(REFERENCE.inverse.len() >= 7);
    for row in &REFERENCE.inverse {
        let what = format!("{} of {}", row.load, row.best);
        close(&what, reps_to_failure(row.best, row.load), row.reps, 1e-10);
        close(&what, load_for(row.best, row.reps, 0.0), row.load, 1e-12);
    }
}

#[test]
fn sets_have_the_estimates_and_ends_that_scipy_gives_them() {
    assert!(REFERENCE.sets.len() >= 19);
    for Set {
        report,
        estimate: expected,
    } in &REFERENCE.sets
    {
        let found = estimate(report).unwrap();
        let what = format!("{report:?}");
        close(&what, found.kg, expected.kg, 1e-12);
        close(&what, found.low_kg, expected.low_kg, 1e-12);
        close(&what, found.high_kg, expected.high_kg, 1e-12);
        close(&what, found.sigma, expected.sigma, 1e-12);
    }
}

#[test]
fn a_wrong_unit_is_as_likely_as_the_two_normal_laws_of_scipy_say() {
    assert!(REFERENCE.mix_ups.len() >= 5);
    for row in &REFERENCE.mix_ups {
        let what = format!("{} from the level", row.difference);
        let found = mix_up_probability(row.difference, row.spread, row.labelled);
        close(&what, found, row.probability, 1e-11);
    }
}
