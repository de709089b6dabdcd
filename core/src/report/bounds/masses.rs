//! Bounds on masses: load, body, best single, goal and plates.

use super::{Broken, shown};
use crate::quantity::{Mass, MassUnit};
use crate::report::{Lift, Plates, SetReport};

/// The lightest bar in use, kg: shorter bars of 15 kg and 35 lb exist.
const LIGHTEST_BAR_KG: f64 = 15.0;

/// Body mass, kg.
const BODY_KG: (f64, f64) = (30.0, 250.0);

/// Heaviest bar, and heaviest single plate, kg.
const HEAVIEST_PIECE_KG: f64 = 100.0;

/// Heaviest pair of collars, kg.
const HEAVIEST_COLLARS_KG: f64 = 20.0;

/// Sizes of plate.
const MOST_SIZES: usize = 16;

/// Pairs of one size.
const MOST_PAIRS: u32 = 20;

/// Above this nobody has lifted in any kit, kg: refused, not asked about. A little over the
/// records of the three lifts (judgement).
pub const fn most_load_kg(lift: Option<Lift>) -> f64 {
    match lift {
        Some(Lift::Squat) => 620.0,
        Some(Lift::Bench) | None => 640.0,
        Some(Lift::Deadlift) => 525.0,
    }
}

/// The least load accepted, in `unit`: the lifter's own bar when known, else the lightest there
/// is; rounded down to a whole number so that the figure shown is accepted.
pub fn least_load(plates: Option<&Plates>, unit: MassUnit) -> f64 {
    let bar = plates
        .map(|plates| Mass::new(plates.bar, plates.unit))
        .filter(|bar| bar.is_some_load())
        .unwrap_or(Mass::new(LIGHTEST_BAR_KG, MassUnit::Kg));
    if bar.unit == unit {
        bar.value
    } else {
        bar.in_unit(unit).value.floor()
    }
}

/// Notes a mass outside `least..=most`, both in the mass's own unit.
fn within(broken: &mut Broken, field: &str, mass: Mass, least: f64, most: f64) {
    if !(least..=most).contains(&mass.value) {
        let found = if mass.value.is_finite() {
            mass.both()
        } else {
            shown(mass.value)
        };
        let [least, most] = [least, most].map(|value| Mass::new(value, mass.unit).both());
        broken.push(field, found, format!("{least} to {most}"));
    }
}

/// The most accepted, in `unit`, rounded up to a whole number.
fn most_load(lift: Option<Lift>, unit: MassUnit) -> f64 {
    Mass::from_kg(most_load_kg(lift), unit).value.ceil()
}

/// The load of the set.
pub(super) fn load(broken: &mut Broken, report: &SetReport) {
    if let Some(load) = report.load {
        let least = least_load(report.plates.as_ref(), load.unit);
        within(
            broken,
            "load",
            load,
            least,
            most_load(report.lift, load.unit),
        );
    }
}

/// Body mass.
pub(super) fn body(broken: &mut Broken, report: &SetReport) {
    if let Some(body) = report.body_mass {
        let [least, most] = [BODY_KG.0, BODY_KG.1].map(|kg| Mass::from_kg(kg, body.unit).value);
        within(broken, "body_mass", body, least.floor(), most.ceil());
    }
}

/// The best single.
pub(super) fn best(broken: &mut Broken, report: &SetReport) {
    if let Some(best) = &report.best {
        let least = least_load(None, best.unit);
        within(
            broken,
            "best",
            best.mass(),
            least,
            most_load(report.lift, best.unit),
        );
    }
}

/// The load to reach.
pub(super) fn goal(broken: &mut Broken, report: &SetReport) {
    if let Some(goal) = &report.goal {
        let unit = goal.load.unit;
        let least = least_load(None, unit);
        within(
            broken,
            "goal.load",
            goal.load,
            least,
            most_load(report.lift, unit),
        );
    }
}

/// The bar, the collars and the pairs.
pub(super) fn plates(broken: &mut Broken, report: &SetReport) {
    let Some(plates) = &report.plates else {
        return;
    };
    let unit = plates.unit;
    let most = Mass::from_kg(HEAVIEST_PIECE_KG, unit).value.ceil();
    let most_shown = Mass::new(most, unit).both();
    let piece = |value: f64| {
        if value.is_finite() {
            Mass::new(value, unit).both()
        } else {
            shown(value)
        }
    };
    let sane = |value: f64| value > 0.0 && value <= most;
    if !sane(plates.bar) {
        broken.push(
            "plates.bar",
            piece(plates.bar),
            format!("above 0, up to {most_shown}"),
        );
    }
    let collars = Mass::from_kg(HEAVIEST_COLLARS_KG, unit).value.ceil();
    if !(0.0..=collars).contains(&plates.collars) {
        broken.push(
            "plates.collars",
            piece(plates.collars),
            format!("0 to {}", Mass::new(collars, unit).both()),
        );
    }
    if plates.pairs.len() > MOST_SIZES {
        broken.push(
            "plates.pairs",
            format!("{} sizes", plates.pairs.len()),
            format!("at most {MOST_SIZES} sizes of plate"),
        );
    }
    for &(plate, pairs) in plates.pairs.iter().take(MOST_SIZES) {
        if !sane(plate) {
            broken.push(
                "plates.pairs",
                piece(plate),
                format!("plates above 0, up to {most_shown}"),
            );
        }
        if pairs > MOST_PAIRS {
            broken.push(
                "plates.pairs",
                format!("{pairs} pairs of {}", piece(plate)),
                format!("0 to {MOST_PAIRS} pairs of a size"),
            );
        }
    }
}
