//! A dose worked out for one lifter, week by week and plate by plate.
//!
//! Over the weeks the percentage goes from its low to its high end in even steps, and the sets
//! rise from the low to the high end with it. Repetitions rise only when the load does not: one
//! of the two at a time. Work of one week stays at the low end of everything. Loads are rounded
//! down to what the plates can make.

use super::estimate::Estimate;
use super::formulas::load_for;
use super::guard::{CEILING, EFFORT_CAP, WIDE_SIGMA, demonstrated_kg, most_after_kg};
use super::words::{number, span};
use super::{LoadedBar, Rounding, bar_over, load_bar, usual_plates};
use crate::catalog::{Dose, LoadBasis};
use crate::quantity::{Mass, MassUnit, Span};
use crate::report::{AgeBand, Plates, SetReport};
use serde::{Deserialize, Serialize};

/// No dose runs longer; a plan is looked at again long before.
const MOST_WEEKS: u32 = 26;

/// One week of prescribed work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Week {
    /// Counted from 1.
    pub week: u32,
    /// Sets.
    pub sets: u32,
    /// Repetitions a set (or seconds, see the dose).
    pub reps: u32,
    /// What to load; absent when the load is set by feel or cannot be worked out.
    pub bar: Option<LoadedBar>,
    /// Percent aimed at before rounding, of what `basis` names, guard rails applied.
    pub percent: Option<f64>,
}

/// A dose worked out for one lifter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prescription {
    /// The exercise.
    pub exercise: String,
    /// `reps`, `seconds`, `metres` or `each side`.
    pub unit: String,
    /// Week by week.
    pub weeks: Vec<Week>,
    /// Effort cap as RPE.
    pub effort_cap: f64,
    /// Anything more to say.
    pub note: String,
    /// True when a guard rail lowered the load, or the coach must approve what is above it.
    pub held_back: bool,
    /// What the loads were worked out from, in words.
    pub basis: String,
}

/// Where the loads of a dose come from.
enum Source {
    /// A share of a mass.
    Of {
        /// The mass, kg.
        kg: f64,
        /// What no load may exceed, kg, and why, when it bites.
        ceiling: Ceiling,
        /// What the percentage is of, in words.
        words: String,
    },
    /// No load: set by feel, with what to say about it.
    Feel(Option<String>),
    /// No load for a minor.
    Minor,
}

/// What no load of a dose may exceed.
struct Ceiling {
    /// Lower end of the best single, kg.
    low_kg: f64,
    /// The most in view of what was done, kg.
    after_kg: f64,
}

/// Which guard rail bit.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rail {
    Share,
    Effort,
    Step,
}

/// Works a dose out for one lifter, inside the guard rails.
///
/// No load is above 80 % of the lower end of the estimate, above what the effort cap (RPE 8)
/// allows for its repetitions, or above what was done plus one small step. A lifter under 18 gets
/// no load. Without an estimate, or for an exercise of its own, the load is set by feel.
pub fn prescribe(dose: &Dose, estimate: Option<&Estimate>, report: &SetReport) -> Prescription {
    let asked_effort = dose.effort.filter(|effort| effort.is_finite());
    let effort_cap = asked_effort.unwrap_or(EFFORT_CAP).clamp(1.0, EFFORT_CAP);
    let source = source(dose, estimate, report, effort_cap);
    let rack = rack(estimate, report);
    let mut out = Written {
        notes: Vec::new(),
        held_back: asked_effort.is_some_and(|effort| effort > EFFORT_CAP),
    };
    if !dose.note.is_empty() {
        out.note(dose.note.clone());
    }
    match &source {
        Source::Feel(Some(note)) => out.note(note.clone()),
        Source::Minor => {
            out.note(
                "no load is given under 18: an adult in the room and the coach decide it"
                    .to_owned(),
            );
            out.held_back = true;
        }
        Source::Feel(None) | Source::Of { .. } => {}
    }
    let basis = match (&source, dose.percent) {
        (Source::Of { words, .. }, Some(percent)) => format!("{} % of {words}", span(percent)),
        _ => String::new(),
    };
    let weeks = (0..week_count(dose))
        .map(|index| week(dose, index, &source, effort_cap, &rack, &mut out))
        .collect();
    Prescription {
        exercise: dose.exercise.clone(),
        unit: unit_of(dose).to_owned(),
        weeks,
        effort_cap,
        note: out.notes.join("; "),
        held_back: out.held_back,
        basis,
    }
}

/// What the reader is told beside the weeks.
struct Written {
    notes: Vec<String>,
    held_back: bool,
}

impl Written {
    /// Says something once.
    fn note(&mut self, note: String) {
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }
}

/// The unit the dose counts in.
fn unit_of(dose: &Dose) -> &str {
    dose.unit.as_deref().unwrap_or("reps")
}

/// Weeks the dose runs: the high end, at least one.
fn week_count(dose: &Dose) -> u32 {
    dose.weeks
        .map_or(1, |weeks| whole(weeks.high))
        .clamp(1, MOST_WEEKS)
}

/// A count from a dose; the catalog's check keeps them small.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and 10 000"
)]
fn whole(value: f64) -> u32 {
    value.round().clamp(0.0, 10_000.0) as u32
}

/// The value of a span in week `index` of `weeks`: even steps from the low to the high end.
fn stepped(span: Span, index: u32, weeks: u32) -> f64 {
    if weeks <= 1 {
        span.low
    } else {
        span.low + span.width() * f64::from(index) / f64::from(weeks - 1)
    }
}

/// The plates to load with: the lifter's own, else the usual ones of their unit.
fn rack(estimate: Option<&Estimate>, report: &SetReport) -> Plates {
    report.plates.clone().unwrap_or_else(|| {
        let unit = report
            .load
            .map(|load| load.unit)
            .or(estimate.map(|estimate| estimate.unit));
        usual_plates(unit.unwrap_or(MassUnit::Kg))
    })
}

/// Decides what the loads come from.
fn source(dose: &Dose, estimate: Option<&Estimate>, report: &SetReport, effort_cap: f64) -> Source {
    if report.age_band == Some(AgeBand::Under18) && dose.of != LoadBasis::None {
        return Source::Minor;
    }
    let on_bar = matches!(dose.of, LoadBasis::Lift | LoadBasis::LastSet) && dose.percent.is_some();
    let by_feel = format!("set it by feel: stop at effort {}", number(effort_cap));
    if !on_bar {
        let silent = dose.of == LoadBasis::None && dose.effort.is_none();
        return Source::Feel((!silent).then_some(by_feel));
    }
    let load = report.load.filter(|load| load.is_some_load());
    let done = demonstrated_kg(report);
    // One completed repetition proves the load, so it bounds the best single from below.
    let low_kg = estimate.map(|estimate| estimate.low_kg).or(done);
    let (of, low_kg) = match (dose.of, estimate, load, low_kg) {
        (LoadBasis::LastSet, _, Some(load), Some(low)) => {
            ((load.kg(), format!("this set's {}", load.both())), low)
        }
        (LoadBasis::Lift, Some(estimate), _, Some(low)) => (of_estimate(estimate), low),
        _ => return Source::Feel(Some(by_feel)),
    };
    let after_kg = done.map_or(f64::INFINITY, |done| most_after_kg(done, report.lift));
    Source::Of {
        kg: of.0,
        words: of.1,
        ceiling: Ceiling { low_kg, after_kg },
    }
}

/// What a percentage of the estimate is taken of: the lower end when the estimate is wide.
fn of_estimate(estimate: &Estimate) -> (f64, String) {
    let (mass, which) = if estimate.sigma > WIDE_SIGMA {
        (
            estimate.low(),
            "the careful end of the estimated best single",
        )
    } else {
        (estimate.point(), "the estimated best single")
    };
    (mass.kg(), format!("{which}, {}", mass.about()))
}

/// One week of the dose.
fn week(
    dose: &Dose,
    index: u32,
    source: &Source,
    effort_cap: f64,
    rack: &Plates,
    out: &mut Written,
) -> Week {
    let weeks = week_count(dose);
    let load_rises = dose.percent.is_some_and(|percent| percent.width() > 0.0);
    let reps = if load_rises {
        dose.reps.low
    } else {
        stepped(dose.reps, index, weeks)
    };
    let mut week = Week {
        week: index + 1,
        sets: whole(stepped(dose.sets, index, weeks).floor()),
        reps: whole(reps.floor()),
        bar: None,
        percent: None,
    };
    let (Source::Of { kg, ceiling, .. }, Some(percent)) = (source, dose.percent) else {
        return week;
    };
    let wanted = kg * stepped(percent, index, weeks) / 100.0;
    let counted = matches!(unit_of(dose), "reps" | "each side").then_some(reps.floor());
    let (allowed, rail) = ceiling.of(counted, effort_cap);
    let target = wanted.min(allowed);
    if target < wanted * (1.0 - 1e-9) {
        out.held_back = true;
        out.note(held_note(rail, allowed, effort_cap, rack.unit));
    }
    week.percent = Some(100.0 * target / kg);
    let target = Mass::from_kg(target, rack.unit);
    week.bar = load_bar(target, rack, Rounding::Down);
    if let (None, Some(over)) = (&week.bar, bar_over(target, rack)) {
        out.note(format!(
            "the empty bar of {} is already {} % over this: use something lighter, or do it \
             without the bar",
            over.bar.both(),
            number(over.percent.round())
        ));
    }
    week
}

impl Ceiling {
    /// The most that may be loaded for `reps` (none for holds and carries), and what limits it.
    fn of(&self, reps: Option<f64>, effort_cap: f64) -> (f64, Rail) {
        let mut most = (CEILING * self.low_kg, Rail::Share);
        if let Some(reps) = reps {
            let by_effort = load_for(self.low_kg, reps, 10.0 - effort_cap);
            if by_effort < most.0 {
                most = (by_effort, Rail::Effort);
            }
        }
        if self.after_kg < most.0 {
            most = (self.after_kg, Rail::Step);
        }
        most
    }
}

/// Why the load was held back, in words.
fn held_note(rail: Rail, allowed_kg: f64, effort_cap: f64, unit: MassUnit) -> String {
    let allowed = Mass::from_kg(allowed_kg, unit).about();
    match rail {
        Rail::Share => format!(
            "held at {allowed}, which is 80 % of the careful end of the estimate; more than that \
             is the coach's to approve"
        ),
        Rail::Effort => format!(
            "held lower, so that every set ends at effort {} or under",
            number(effort_cap)
        ),
        Rail::Step => format!(
            "held at {allowed}, one small step above what was done; more than that is the \
             coach's to approve"
        ),
    }
}
