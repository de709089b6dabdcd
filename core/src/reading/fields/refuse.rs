//! Figures that cannot be true: kept out of the report and asked for by name, with what was found and
//! what is accepted.

use super::asks::ask;
use super::line::Line;
use super::sets::LoadSaid;
use crate::quantity::{Mass, MassUnit};
use crate::reading::Reading;
use crate::report::{FieldError, SetReport, check, most_load_kg};

/// Takes every figure of the set that cannot be true out of the fields.
pub(super) fn refuse(line: &Line, top: Option<LoadSaid>, out: &mut Reading) {
    let mut refused = check(&told(&out.fields)).err().unwrap_or_default();
    refused.extend(bare(out));
    refused.extend(top.and_then(|top| far_too_many(line, top, out)));
    let fields = &mut out.fields;
    for error in &refused {
        match error.field.split('.').next().unwrap_or_default() {
            "load" => {
                fields.load = None;
                out.bare_load = None;
            }
            "reps" => fields.reps = None,
            "sets" => fields.sets = None,
            "effort" => fields.effort = None,
            _ => {}
        }
    }
    out.refused = refused;
}

/// What of the fields is judged here; the rest is judged with the whole report, for what is too light
/// depends on the lifter's bar.
fn told(fields: &SetReport) -> SetReport {
    let most = most_load_kg(fields.lift);
    SetReport {
        lift: fields.lift,
        load: fields.load.filter(|load| load.kg() > most),
        reps: fields.reps.filter(|reps| *reps > 0),
        sets: fields.sets,
        effort: fields.effort,
        ..SetReport::default()
    }
}

/// A figure without its unit that is too much in pounds is too much in kilograms.
fn bare(out: &Reading) -> Option<FieldError> {
    let value = out.bare_load?;
    let most = Mass::from_kg(most_load_kg(out.fields.lift), MassUnit::Lb);
    let most = Mass::new(most.value.ceil(), MassUnit::Lb);
    (value > most.value).then(|| {
        FieldError::new(
            "load",
            super::asks::figure(value),
            format!("up to {}", most.both()),
        )
    })
}

/// "90 kg x 60": repetitions beyond any set, which no field holds.
fn far_too_many(line: &Line, top: LoadSaid, out: &Reading) -> Option<FieldError> {
    if out.fields.reps.is_some() || out.fields.missed.is_some() {
        return None;
    }
    let end = (top.at.1 + 2).min(line.len());
    (top.at.0..end).find_map(|at| {
        let counted = at > top.at.0 && line.is(at - 1, &["x", "*", "for"]);
        let value = line
            .digits(at)
            .filter(|_| counted && line.unit_after(at).is_none())?;
        let many = (value.fract() == 0.0 && (51.0..=9999.0).contains(&value)).then_some(value)?;
        let report = SetReport {
            reps: Some(whole(many)),
            ..SetReport::default()
        };
        check(&report).err()?.into_iter().next()
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "called with whole numbers from 51 to 9999"
)]
const fn whole(value: f64) -> u32 {
    value as u32
}

/// Puts a question with what was found and what is accepted in the place of the plain one.
pub(super) fn by_name(out: &mut Reading) {
    for error in &out.refused {
        let field = error.field.split('.').next().unwrap_or_default();
        let (name, again) = match field {
            "load" => ("a load of", "What was on the bar, and in kg or lb?"),
            "reps" => ("reps of", "How many reps did you complete?"),
            "sets" => ("a number of sets of", "How many sets were there?"),
            "effort" => ("an effort of", "How hard was it?"),
            _ => continue,
        };
        let question = format!(
            "I read {name} {}, which I cannot take; I accept {}. {again}",
            error.found, error.accepted
        );
        out.asks
            .retain(|ask| ask.field.split('.').next() != Some(field));
        out.asks.push(ask(field, question, &[]));
    }
}
