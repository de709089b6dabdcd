//! A form's fields to a set report, each field named when it cannot be taken.

use crate::record::FieldValue;
use cueline_core::assess::validate;
use cueline_core::catalog::Catalog;
use cueline_core::quantity::{Effort, Mass, MassUnit, Span};
use cueline_core::report::{Best, FieldError, Lift, SetReport, View};
use std::collections::BTreeMap;

/// The form that is understood, and its version.
const FORM: (&str, u32) = ("set-report", 1);

/// Fields by name.
type Fields = BTreeMap<String, FieldValue>;

/// Reads a form: the fields that can be taken, and every one that cannot, named.
pub(super) fn report(
    form_id: &str,
    version: u32,
    fields: &Fields,
    catalog: &Catalog,
) -> (SetReport, Vec<FieldError>) {
    if (form_id, version) != FORM {
        let found = format!("{form_id} version {version}");
        let accepted = format!("{} version {}", FORM.0, FORM.1);
        let problem = FieldError::new("form_id", found, accepted);
        return (SetReport::default(), vec![problem]);
    }
    let mut problems = Vec::new();
    let mut report = SetReport::default();
    for (name, value) in fields {
        if matches!(value, FieldValue::Empty) || *value == FieldValue::Text(String::new()) {
            continue;
        }
        if let Err(problem) = field(&mut report, name, value, fields) {
            problems.push(problem);
        }
    }
    if let Err(more) = validate(catalog, &report) {
        problems.extend(more);
    }
    (report, problems)
}

/// Takes one field.
fn field(
    report: &mut SetReport,
    name: &str,
    value: &FieldValue,
    fields: &Fields,
) -> Result<(), FieldError> {
    match name {
        "lift" => report.lift = Some(lift(value)?),
        "load" => report.load = Some(mass(name, value, fields)?),
        "load_kg" => report.load = Some(Mass::new(number(name, value)?, MassUnit::Kg)),
        "unit" => {
            unit(value)?;
        }
        "reps" => report.reps = Some(whole(name, value)?),
        "sets" => report.sets = Some(whole(name, value)?),
        "rpe" | "effort" => report.effort = Some(Effort::Rpe(Span::exactly(number(name, value)?))),
        "rir" => report.effort = Some(Effort::Rir(Span::exactly(number(name, value)?))),
        "body_mass" => report.body_mass = Some(mass(name, value, fields)?),
        "best" => {
            let best = mass(name, value, fields)?;
            report.best = Some(Best {
                value: best.value,
                unit: best.unit,
                date: None,
                tested: None,
            });
        }
        "training_months" => report.training_months = Some(whole(name, value)?),
        "view" => report.view = Some(view(value)?),
        "words" => report.words = Some(text(name, value)?),
        "clip" => report.clip = Some(text(name, value)?),
        "time_zone" => report.time_zone = Some(text(name, value)?),
        "alone" => report.setting.alone = Some(flag(name, value)?),
        "spotter" => report.setting.spotter = Some(flag(name, value)?),
        "safeties" => report.setting.safeties = Some(flag(name, value)?),
        "collars" => report.setting.collars = Some(flag(name, value)?),
        "hand_off" => report.setting.hand_off = Some(flag(name, value)?),
        "belt" => report.setting.equipment.belt = Some(flag(name, value)?),
        "seen" => report.seen = texts(name, value)?,
        "not_seen" => report.not_seen = texts(name, value)?,
        "flags" => report.flags = texts(name, value)?,
        _ => {
            return Err(FieldError::new(
                name,
                "a field this form does not have",
                "lift, load, unit, reps, sets, rpe, rir, body_mass, best, training_months, view, \
                 words, clip, time_zone, alone, spotter, safeties, collars, hand_off, belt, seen, \
                 not_seen, flags",
            ));
        }
    }
    Ok(())
}

/// A value as found, for the error.
fn found(value: &FieldValue) -> String {
    match value {
        FieldValue::Empty => "nothing".to_owned(),
        FieldValue::Flag(flag) => flag.to_string(),
        FieldValue::Number(number) => number.to_string(),
        FieldValue::Text(text) => format!("\"{}\"", text.chars().take(60).collect::<String>()),
        FieldValue::List(list) => format!("a list of {}", list.len()),
    }
}

fn number(name: &str, value: &FieldValue) -> Result<f64, FieldError> {
    let read = match value {
        FieldValue::Number(number) => Some(*number),
        // A decimal comma is how half the world types it.
        FieldValue::Text(text) => text.trim().replace(',', ".").parse().ok(),
        _ => None,
    };
    read.filter(|number| number.is_finite())
        .ok_or_else(|| FieldError::new(name, found(value), "a number"))
}

fn whole(name: &str, value: &FieldValue) -> Result<u32, FieldError> {
    let number = number(name, value)?;
    if number.fract() == 0.0 && (0.0..=100_000.0).contains(&number) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked to be whole and between 0 and 100,000"
        )]
        let whole = number as u32;
        Ok(whole)
    } else {
        Err(FieldError::new(name, found(value), "a whole number"))
    }
}

fn text(name: &str, value: &FieldValue) -> Result<String, FieldError> {
    match value {
        FieldValue::Text(text) => Ok(text.clone()),
        _ => Err(FieldError::new(name, found(value), "a text")),
    }
}

fn texts(name: &str, value: &FieldValue) -> Result<Vec<String>, FieldError> {
    match value {
        FieldValue::List(list) => Ok(list.clone()),
        FieldValue::Text(one) => Ok(vec![one.clone()]),
        _ => Err(FieldError::new(name, found(value), "a list of texts")),
    }
}

fn flag(name: &str, value: &FieldValue) -> Result<bool, FieldError> {
    match value {
        FieldValue::Flag(flag) => Ok(*flag),
        FieldValue::Text(text) => match text.trim().to_lowercase().as_str() {
            "yes" | "true" | "on" => Ok(true),
            "no" | "false" | "off" => Ok(false),
            _ => Err(FieldError::new(name, found(value), "yes or no")),
        },
        _ => Err(FieldError::new(name, found(value), "yes or no")),
    }
}

fn lift(value: &FieldValue) -> Result<Lift, FieldError> {
    let said = text("lift", value)?.trim().to_lowercase();
    Lift::ALL
        .into_iter()
        .find(|lift| said == lift.word() || said == lift.name())
        .ok_or_else(|| FieldError::new("lift", found(value), "squat, bench or deadlift"))
}

fn view(value: &FieldValue) -> Result<View, FieldError> {
    match text("view", value)?.trim().to_lowercase().as_str() {
        "side" => Ok(View::Side),
        "front" => Ok(View::Front),
        "rear" | "back" => Ok(View::Rear),
        "three-quarter" => Ok(View::ThreeQuarter),
        _ => Err(FieldError::new(
            "view",
            found(value),
            "side, front, rear or three-quarter",
        )),
    }
}

fn unit(value: &FieldValue) -> Result<MassUnit, FieldError> {
    match text("unit", value)?.trim().to_lowercase().as_str() {
        "kg" => Ok(MassUnit::Kg),
        "lb" | "lbs" => Ok(MassUnit::Lb),
        _ => Err(FieldError::new("unit", found(value), "kg or lb")),
    }
}

/// A mass in the form's own unit; without a unit it is not taken.
fn mass(name: &str, value: &FieldValue, fields: &Fields) -> Result<Mass, FieldError> {
    let number = number(name, value)?;
    let unit = fields
        .get("unit")
        .filter(|value| !matches!(value, FieldValue::Empty))
        .ok_or_else(|| FieldError::new("unit", "missing", "kg or lb, so that the load is clear"))
        .and_then(unit)?;
    Ok(Mass::new(number, unit))
}
