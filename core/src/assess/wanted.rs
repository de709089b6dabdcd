//! Facts about the lifter that the plan wants and does not have: only those whose answer would
//! change what is told. Body mass, goal and rule set change nothing in a plan, so they are never
//! among them.

use super::Assessment;
use crate::catalog::{Catalog, Dose, LiftBook, LoadBasis};
use crate::diagnosis::facts_with_answers;
use crate::load::{WIDE_SIGMA, usual_plates};
use crate::plan::{self, Plan};
use crate::quantity::MassUnit;
use crate::report::{AgeBand, Competes, Plates};

/// A fact that would change the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WantedFact {
    /// The best single of the lift: without it, and without the effort of the set, loads are given by
    /// feel or from a rough estimate.
    Best,
    /// Whether the lifter competes: what was found breaks a rule of competition.
    Competes,
    /// The plates at hand: without small ones, a load told could not be made.
    Plates,
}

/// What would change the plan of this assessment, the fact that changes most first. Nothing without a
/// plan, and so nothing under a stop or while something has to be asked or looked at first.
pub fn wanted_facts(catalog: &Catalog, assessment: &Assessment) -> Vec<WantedFact> {
    let report = &assessment.report;
    let book = report.lift.and_then(|lift| catalog.lifts.get(&lift));
    let (Some(book), Some(plan)) = (book, &assessment.plan) else {
        return Vec::new();
    };
    let mut wanted = Vec::new();
    if report.best.is_none() && wants_best(book, assessment) {
        wanted.push(WantedFact::Best);
    }
    if report.competes.is_none() && breaks_a_rule(catalog, book, assessment) {
        wanted.push(WantedFact::Competes);
    }
    if report.plates.is_none() && needs_small_plates(book, plan, assessment) {
        wanted.push(WantedFact::Plates);
    }
    wanted
}

/// Some work is a share of the best single, and that is not known, or only roughly.
fn wants_best(book: &LiftBook, assessment: &Assessment) -> bool {
    // No load is given under 18, whatever the best.
    if assessment.report.age_band == Some(AgeBand::Under18) {
        return false;
    }
    // Without the effort, what was left in the tank is a guess.
    let rough = assessment.report.effort.is_none()
        || assessment
            .estimate
            .as_ref()
            .is_none_or(|estimate| estimate.sigma > WIDE_SIGMA);
    let of_best = |dose: &Dose| dose.of == LoadBasis::Lift && dose.percent.is_some();
    let corrections = assessment
        .chosen
        .iter()
        .filter_map(|cause| book.correction(cause));
    let mut doses = corrections.flat_map(|one| one.drill.iter().chain(&one.assistance));
    rough && doses.any(of_best)
}

/// To somebody who competes a rule would be told.
fn breaks_a_rule(catalog: &Catalog, book: &LiftBook, assessment: &Assessment) -> bool {
    let mut facts = facts_with_answers(book, &assessment.report);
    facts.competes = Some(Competes::Yes);
    let there = assessment
        .signs
        .iter()
        .filter(|sign| sign.probability >= 0.5);
    let present: Vec<&str> = there.map(|sign| sign.sign.as_str()).collect();
    !plan::meet_rules(catalog, &facts, &present).is_empty()
}

/// Some load of the plan cannot be made without the small plates a home gym may lack.
fn needs_small_plates(book: &LiftBook, plan: &Plan, assessment: &Assessment) -> bool {
    let loads = |plan: &Plan| -> Vec<Option<f64>> {
        let practice = plan.changes.iter().flat_map(|change| &change.practice);
        let weeks = practice.flat_map(|work| &work.weeks);
        weeks
            .map(|week| week.bar.as_ref().map(|bar| bar.total.kg()))
            .collect()
    };
    let own = loads(plan);
    let Some(unit) = first_unit(plan).filter(|_| own.iter().any(Option::is_some)) else {
        return false;
    };
    let mut report = assessment.report.clone();
    report.plates = Some(without_small_plates(unit));
    let estimate = assessment.estimate.as_ref();
    let coarse = plan::build(book, &assessment.chosen, estimate, &report);
    coarse.is_some_and(|coarse| loads(&coarse) != own)
}

/// The unit of the first bar of the plan.
fn first_unit(plan: &Plan) -> Option<MassUnit> {
    let mut practice = plan.changes.iter().flat_map(|change| &change.practice);
    let week = practice.find_map(|work| work.weeks.iter().find_map(|week| week.bar.as_ref()))?;
    Some(week.total.unit)
}

/// The usual plates of a gym without the small ones: nothing under 5 kg or 10 lb (common practice in
/// home gyms, no source).
pub fn without_small_plates(unit: MassUnit) -> Plates {
    let least = match unit {
        MassUnit::Kg => 5.0,
        MassUnit::Lb => 10.0,
    };
    let mut plates = usual_plates(unit);
    plates.pairs.retain(|(size, _)| *size >= least);
    plates
}
