//! Answers and ticked boxes to findings.

use super::{Finding, Origin};
use crate::catalog::nearest::nearest;
use crate::catalog::{Choice, Condition, LiftBook, Question};
use crate::report::{FieldError, SetReport};

/// The findings that the answers of a report stand for.
///
/// Choices are matched whatever the case, spaces and punctuation, by their shorter words, by words
/// that begin only one of them, or by their number counted from 1. An unknown question or choice is refused, naming the nearest known one.
pub fn findings_from_answers(
    book: &LiftBook,
    report: &SetReport,
) -> Result<Vec<Finding>, FieldError> {
    let mut findings = Vec::new();
    for (id, said) in &report.answers {
        let question = book.question(id).ok_or_else(|| {
            let known = book.questions.iter().map(|q| q.id.as_str());
            unknown("answers", id, "question", known)
        })?;
        if question.free {
            continue;
        }
        let choice = question
            .choice(said)
            .ok_or_else(|| no_choice(question, said))?;
        findings.extend(findings_of(choice));
    }
    Ok(findings)
}

/// The findings that the ticked signs of a report stand for: seen is 1, looked for and absent is 0.
///
/// A sign this lift does not have is refused, naming the nearest one it has.
pub fn findings_from_ticks(
    book: &LiftBook,
    report: &SetReport,
) -> Result<Vec<Finding>, FieldError> {
    let seen = report.seen.iter().map(|id| ("seen", id, 1.0));
    let not_seen = report.not_seen.iter().map(|id| ("not_seen", id, 0.0));
    seen.chain(not_seen)
        .map(|(field, id, probability)| {
            let sign = book.sign(id).ok_or_else(|| {
                let known = book.signs.iter().map(|sign| sign.id.as_str());
                unknown(field, id, "sign", known)
            })?;
            Ok(Finding {
                sign: sign.id.clone(),
                probability,
                from: Origin::Ticked,
            })
        })
        .collect()
}

/// A copy of the report with the facts its answers settle (`competes=no`, `shoes=running`) filled
/// in where the report does not say; what cannot be read as an answer changes nothing.
///
/// Words, clip and traces are left behind: nothing here needs them.
pub fn facts_with_answers(book: &LiftBook, report: &SetReport) -> SetReport {
    let mut facts = SetReport {
        lift: report.lift,
        variant: report.variant.clone(),
        load: report.load,
        reps: report.reps,
        reps_aimed: report.reps_aimed,
        effort: report.effort,
        missed: report.missed.clone(),
        best: report.best.clone(),
        training_months: report.training_months,
        age_band: report.age_band,
        competes: report.competes,
        rule_set: report.rule_set.clone(),
        setting: report.setting.clone(),
        view: report.view,
        answers: report.answers.clone(),
        ..SetReport::default()
    };
    for (id, said) in &report.answers {
        if let Some(choice) = book.question(id).and_then(|q| q.choice(said)) {
            // The catalog's own words, so that a condition on an answer meets them.
            facts.answers.insert(id.clone(), choice.say.clone());
            record(choice, &mut facts);
        }
    }
    facts
}

/// Writes the facts a choice settles into the report, where it does not say.
pub(super) fn record(choice: &Choice, facts: &mut SetReport) {
    for condition in choice
        .context
        .iter()
        .filter_map(|text| Condition::parse(text).ok())
    {
        condition.record(facts);
    }
}

/// The findings one choice stands for.
pub(super) fn findings_of(choice: &Choice) -> impl Iterator<Item = Finding> {
    let present = choice.present.iter().map(|sign| (sign, 1.0));
    let absent = choice.absent.iter().map(|sign| (sign, 0.0));
    present.chain(absent).map(|(sign, probability)| Finding {
        sign: sign.clone(),
        probability,
        from: Origin::Answered,
    })
}

fn no_choice(question: &Question, said: &str) -> FieldError {
    let says: Vec<&str> = question.choices.iter().map(|c| c.say.as_str()).collect();
    let near = nearest(&said.to_lowercase(), says.iter().copied())
        .map_or_else(String::new, |near| format!("; nearest is `{near}`"));
    FieldError::new(
        format!("answers.{}", question.id),
        format!("`{said}`"),
        format!(
            "one of {}, or its number 1 to {}{near}",
            says.join(" / "),
            says.len()
        ),
    )
}

fn unknown<'a>(
    field: &str,
    found: &str,
    what: &str,
    known: impl Iterator<Item = &'a str>,
) -> FieldError {
    let accepted = nearest(found, known).map_or_else(
        || format!("a {what} of this lift"),
        |near| format!("a {what} of this lift; nearest is `{near}`"),
    );
    FieldError::new(field, format!("unknown {what} `{found}`"), accepted)
}
