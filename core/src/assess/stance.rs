//! May it be answered, must something be asked, or has a person to look?

use super::escalate::Escalations;
use super::{FIELD_QUESTION, Set, SignView};
use crate::catalog::Sign;
use crate::diagnosis::NextQuestion;
use crate::load::{Plausibility, UnitAction, plausible, unit_doubt};
use crate::report::View;
use crate::triage::Level;

/// The highest level that applies.
pub(super) fn level(
    set: &Set<'_>,
    escalations: &Escalations,
    question: Option<&NextQuestion>,
) -> Level {
    let from_escalations = escalations
        .all
        .iter()
        .map(|raised| {
            let stops = set
                .catalog
                .escalations
                .iter()
                .any(|known| known.id == raised.id && known.stops);
            match raised.id.as_str() {
                "esc-emergency" => Level::Emergency,
                // Equipment stops the set-up, not the lifter.
                "esc-equip" => Level::Coach,
                // What only a flag raised keeps the level the flag was weighed at.
                id if stops && escalations.direct.iter().any(|d| d == id) => Level::Clinician,
                _ => Level::Coach,
            }
        })
        .max()
        .unwrap_or_default();
    let asks = if must_ask(set, question) {
        Level::Ask
    } else {
        Level::Answer
    };
    let stuck = if set.problems.is_empty() && nothing_to_say(set) && question.is_none() {
        Level::Coach
    } else {
        Level::Answer
    };
    set.triage.level.max(from_escalations).max(asks).max(stuck)
}

/// No answer can be given before the open question is settled.
fn must_ask(set: &Set<'_>, question: Option<&NextQuestion>) -> bool {
    if !set.problems.is_empty() {
        return true;
    }
    let Some(question) = question else {
        return false;
    };
    match question.id.strip_prefix(FIELD_QUESTION) {
        Some("lift" | "view") => true,
        // A load that cannot be right says that nothing is; a bare figure costs the plan its loads,
        // and the lifter not the answer.
        Some("load.unit") if set.report.load.is_some() => true,
        None if set.diagnosis.style_open => true,
        _ => nothing_to_say(set),
    }
}

/// The open question is about what a verdict rests on (the view, the style): none is given yet.
pub(super) fn holds_back(set: &Set<'_>, question: Option<&NextQuestion>) -> bool {
    question.is_some_and(|question| match question.id.strip_prefix(FIELD_QUESTION) {
        Some(field) => field == "view",
        None => set.diagnosis.style_open,
    })
}

/// Neither a cause nor a kind word about a sign that means nothing.
fn nothing_to_say(set: &Set<'_>) -> bool {
    set.diagnosis.chosen.is_empty() && set.diagnosis.no_fault.is_empty()
}

/// The most needed fact the report still lacks, as a question.
pub(super) fn missing_fact(set: &Set<'_>) -> Option<NextQuestion> {
    // What is no fault needs no other view.
    let fine = set.diagnosis.chosen.is_empty() && !set.diagnosis.no_fault.is_empty();
    let look = || view_question(set).or_else(|| second_look(set));
    let doubt = unit_question(set).or_else(|| if fine { None } else { look() });
    if doubt.is_some() {
        return doubt;
    }
    let missing = |field: &str| match field {
        "lift" => set.report.lift.is_none(),
        "load" | "load.unit" => set.report.load.is_none(),
        "reps" => set.report.reps.is_none(),
        // Effort widens the estimate but does not stop an answer.
        _ => false,
    };
    set.reading
        .asks
        .iter()
        .find(|ask| missing(&ask.field) && wanted(set, &ask.field) && !settled(set, &ask.field))
        .map(|ask| NextQuestion {
            id: format!("{FIELD_QUESTION}{}", ask.field),
            text: ask.question.clone(),
            choices: ask.choices.clone(),
        })
        .or_else(|| lift_question(set))
}

/// The lifter has answered this once.
fn settled(set: &Set<'_>, field: &str) -> bool {
    set.history.settled.iter().any(|known| known == field)
}

/// Load and reps are asked for only when there is something to load; lift and unit always.
fn wanted(set: &Set<'_>, field: &str) -> bool {
    matches!(field, "lift" | "load.unit") || !set.diagnosis.chosen.is_empty()
}

/// Without the lift nothing can be said.
fn lift_question(set: &Set<'_>) -> Option<NextQuestion> {
    set.report.lift.is_none().then(|| NextQuestion {
        id: format!("{FIELD_QUESTION}lift"),
        text: "Which lift was it?".to_owned(),
        choices: ["squat", "bench press", "deadlift"]
            .map(str::to_owned)
            .to_vec(),
    })
}

/// Everything told is a matter of another view than the one the set was seen from: no view, no
/// verdict.
fn view_question(set: &Set<'_>) -> Option<NextQuestion> {
    let view = set.report.view.filter(|_| !settled(set, "view"))?;
    let book = set.catalog.lifts.get(&set.report.lift?)?;
    let there = || set.signs.iter().filter(|sign| sign.probability >= 0.5);
    let unseen = |sign: &SignView| set.unseen.contains(&sign.sign);
    if there().next().is_none() || !there().all(unseen) {
        return None;
    }
    let signs: Vec<&Sign> = there().filter_map(|view| book.sign(&view.sign)).collect();
    let plain: Vec<&str> = signs.iter().map(|sign| sign.plain.as_str()).collect();
    let views = signs.first()?.views.iter().map(|view| view_name(*view));
    Some(NextQuestion {
        id: format!("{FIELD_QUESTION}view"),
        text: format!(
            "From the {} nobody can judge this: {}. What does it look like from the {}?",
            view_name(view),
            plain.join("; "),
            views.collect::<Vec<_>>().join(" or "),
        ),
        choices: Vec::new(),
    })
}

/// The words tell a sign one way and the ticked boxes the other: a second look comes before a
/// verdict, and before the coach's time.
fn second_look(set: &Set<'_>) -> Option<NextQuestion> {
    if set.disputed.is_empty() || settled(set, "view") {
        return None;
    }
    Some(NextQuestion {
        id: format!("{FIELD_QUESTION}view"),
        text: format!(
            "Your words tell this one way and the ticks or answers the other: {}. Which is it, and \
             what does a second clip show?",
            set.disputed.join("; "),
        ),
        choices: Vec::new(),
    })
}

/// A load that does not fit what is known of the lifter: kilograms and pounds mixed up?
fn unit_question(set: &Set<'_>) -> Option<NextQuestion> {
    let load = set.report.load.filter(|_| set.problems.is_empty())?;
    if settled(set, "load.unit") {
        return None;
    }
    let known = set.history.rounds.iter().rev().find_map(|r| r.estimate_kg);
    let doubt = unit_doubt(&set.report, known).filter(|doubt| doubt.action == UnitAction::Ask);
    let implausible = plausible(&set.report)
        .into_iter()
        .any(|item| matches!(item, Plausibility::Ask(_)));
    if doubt.is_none() && !implausible {
        return None;
    }
    Some(NextQuestion {
        id: format!("{FIELD_QUESTION}load.unit"),
        text: format!(
            "You wrote {} {}. Is that kilograms or pounds?",
            crate::quantity::plain(load.value),
            load.unit
        ),
        choices: vec!["kg".to_owned(), "lb".to_owned()],
    })
}

/// A view as it is said.
const fn view_name(view: View) -> &'static str {
    match view {
        View::Side => "side",
        View::Front => "front",
        View::Rear => "back",
        View::ThreeQuarter => "front corner",
    }
}
