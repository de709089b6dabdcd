//! Chosen causes and loads: what to change, what to practise, how to check it, when to come back.

use crate::catalog::{Catalog, Check, Condition, Correction, LiftBook, MeetRule};
use crate::load::{CEILING, Estimate, Prescription, prescribe};
use crate::report::{Competes, SetReport, View};
use jiff::ToSpan;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// What to do about one cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// Cause id.
    pub cause: String,
    /// One cue; empty when only the load changes.
    pub cue: String,
    /// One set-up change.
    pub set_up: String,
    /// Work to practise it, drill first.
    pub practice: Vec<Prescription>,
    /// What to try before spending money.
    pub trial: String,
    /// What not to do.
    pub do_not: String,
}

/// How and when the change is judged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SuccessCheck {
    /// Signs that should be gone, by id.
    pub gone: Vec<String>,
    /// Signs that should be less, by id.
    pub less: Vec<String>,
    /// The set to film, in words.
    pub set: String,
    /// Views to film from.
    pub views: Vec<View>,
    /// Anything more to say.
    pub note: String,
    /// The set is heavier than what may be given without the coach's word.
    pub asks_coach: bool,
}

/// One or two changes, first thing to fix first, and the check of the first.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Changes in order; the second waits until the first is judged.
    pub changes: Vec<Change>,
    /// Check of the first change.
    pub check: SuccessCheck,
    /// Rules of competition that what was found breaks; none for those who do not compete.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub meet_rules: Vec<Rule>,
}

/// A rule of competition, told with the advice to check its edition.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rule {
    /// Rule id.
    pub id: String,
    /// The rule, to follow "At a meet:".
    pub text: String,
    /// What to check before relying on it.
    pub edition: String,
}

/// The dated ask to come back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FollowUpDate {
    /// Day to resubmit.
    pub due: Date,
    /// Days from today.
    pub days: u32,
}

/// Builds the plan for the chosen causes; none when the first has no correction in the catalog.
pub fn build(
    book: &LiftBook,
    chosen: &[String],
    estimate: Option<&Estimate>,
    report: &SetReport,
) -> Option<Plan> {
    let corrections: Vec<&Correction> = chosen
        .iter()
        .filter_map(|cause| book.correction(cause))
        .collect();
    let first = corrections.first()?;
    Some(Plan {
        changes: corrections
            .iter()
            .map(|correction| change(correction, estimate, report))
            .collect(),
        check: success_check(&first.check),
        meet_rules: Vec::new(),
    })
}

/// The rules of competition that the signs there or the facts of the report bring up; none unless
/// the lifter competes or plans to.
pub fn meet_rules(catalog: &Catalog, report: &SetReport, present: &[&str]) -> Vec<Rule> {
    if !matches!(report.competes, Some(Competes::Yes | Competes::Planned)) {
        return Vec::new();
    }
    let holds = |text: &String| {
        Condition::parse(text).is_ok_and(|condition| condition.holds(report) == Some(true))
    };
    let brought_up = |rule: &&MeetRule| {
        report.lift == Some(rule.lift)
            && (rule
                .signs
                .iter()
                .any(|sign| present.contains(&sign.as_str()))
                || rule.facts.iter().any(holds))
            && !rule.not_when.iter().any(holds)
    };
    let rules = catalog.meet_rules.iter().filter(brought_up);
    rules
        .map(|rule| Rule {
            id: rule.id.clone(),
            text: rule.text.clone(),
            edition: catalog.meet_edition.clone(),
        })
        .collect()
}

/// The day to come back for this plan.
pub fn follow_up(book: &LiftBook, chosen: &[String], today: Date) -> Option<FollowUpDate> {
    let days = book.correction(chosen.first()?)?.check.days;
    let due = today.checked_add(i64::from(days).days()).ok()?;
    Some(FollowUpDate { due, days })
}

/// One correction worked out for one lifter.
fn change(correction: &Correction, estimate: Option<&Estimate>, report: &SetReport) -> Change {
    let doses = correction.drill.iter().chain(&correction.assistance);
    Change {
        cause: correction.cause.clone(),
        cue: correction.cue.clone(),
        set_up: correction.set_up.clone(),
        practice: doses
            .map(|dose| prescribe(dose, estimate, report))
            .collect(),
        trial: correction.trial.clone(),
        do_not: correction.do_not.clone(),
    }
}

/// The catalog's check as part of a plan.
fn success_check(check: &Check) -> SuccessCheck {
    SuccessCheck {
        gone: check.gone.clone(),
        less: check.less.clone(),
        set: check.set.clone(),
        views: check.views.clone(),
        note: check.note.clone(),
        asks_coach: check
            .percent
            .is_some_and(|percent| percent.high > 100.0 * CEILING),
    }
}
