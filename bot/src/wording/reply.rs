//! The reply to a lifter: the order of lines is fixed, the texts are the coach's.

use super::figures;
use super::listed::listed;
use super::measured::{measured_lines, trace_faults};
use super::question::question_lines;
use super::sentence::{capital, sentence};
use super::words::Words;
use cueline_core::assess::Assessment;
use cueline_core::catalog::{Catalog, LiftBook, Sign};
use cueline_core::diagnosis::Weight;
use cueline_core::load::{Prescription, percent_of};
use cueline_core::plan::{Change, Plan};
use cueline_core::quantity::Mass;
use cueline_core::triage::Level;
use jiff::civil::Date;

/// Everything a reply is made of beside the assessment.
#[derive(Clone, Copy, Debug)]
pub struct ReplyParts<'a> {
    /// The coach's texts.
    pub words: &'a Words,
    /// The coach's knowledge, for the plain words of signs and causes.
    pub catalog: &'a Catalog,
    /// What to ring, in words (`112`, or "your local emergency number").
    pub emergency_number: &'a str,
    /// By when the coach answers, when the case goes to the coach.
    pub coach_by: Option<Date>,
    /// Lines on what a resubmission showed, said before everything but safety.
    pub progress: &'a [String],
}

/// How many plain words of signs are quoted at most.
const MOST_SIGNS: usize = 4;
/// From this probability on a cause is said with more confidence.
const FAIRLY_SURE: f64 = 0.8;

/// The whole reply.
pub fn reply(assessment: &Assessment, parts: &ReplyParts<'_>) -> String {
    let mut lines = safety(assessment, parts);
    lines.extend(parts.progress.iter().cloned());
    if !assessment.triage.level.stops() {
        problems(assessment, parts, &mut lines);
        reading(assessment, parts, &mut lines);
        view(assessment, parts, &mut lines);
        traces(assessment, parts, &mut lines);
        standing(assessment, parts, &mut lines);
        lines.extend(change_line(assessment, parts.words));
        goal(assessment, parts, &mut lines);
        cause(assessment, parts, &mut lines);
        if let Some(plan) = &assessment.plan {
            changes(assessment, plan, parts, &mut lines);
        }
        question(assessment, parts, &mut lines);
        coach(assessment, parts, &mut lines);
    }
    lines.retain(|line| !line.trim().is_empty());
    lines.join("\n")
}

/// The lines of the plan alone, for the coach to work from.
pub fn plan_text(assessment: &Assessment, parts: &ReplyParts<'_>) -> String {
    let mut lines = Vec::new();
    if let Some(plan) = &assessment.plan {
        changes(assessment, plan, parts, &mut lines);
    }
    lines.retain(|line| !line.trim().is_empty());
    lines.join("\n")
}

/// Safety notes first; under a stop level nothing else follows.
fn safety(assessment: &Assessment, parts: &ReplyParts<'_>) -> Vec<String> {
    let number = parts.emergency_number;
    let mut lines: Vec<String> = assessment
        .triage
        .notes
        .iter()
        .map(|note| quoted(note, assessment).replace("{emergency_number}", number))
        .collect();
    match assessment.triage.level {
        // The flag's own note says stop and where to go; without one, ours does.
        Level::Emergency if lines.is_empty() => {
            lines.push(parts.words.say("stop.emergency", &[]));
        }
        Level::Emergency => lines.push(parts.words.say("stop.told", &[])),
        Level::Clinician => {
            // A stop raised by an answer or a ticked sign has no flag's note of its own.
            if lines.is_empty() {
                lines.extend(escalation_texts(assessment, parts));
            }
            lines.push(parts.words.say("stop.clinician", &[]));
        }
        _ => {}
    }
    lines
}

/// A note with the lifter's words in it made harmless: no markup, mention or link of theirs acts.
fn quoted(note: &str, assessment: &Assessment) -> String {
    let flags = assessment.triage.flags.iter();
    let found = flags
        .map(|flag| flag.quote.as_str())
        .find(|quote| !quote.is_empty() && note.contains(quote));
    found.map_or_else(
        || note.to_owned(),
        |quote| note.replacen(quote, &super::escape(quote), 1),
    )
}

/// The immediate replies of the escalations raised.
fn escalation_texts(assessment: &Assessment, parts: &ReplyParts<'_>) -> Vec<String> {
    assessment
        .escalations
        .iter()
        .filter_map(|raised| {
            parts
                .catalog
                .escalations
                .iter()
                .find(|known| known.id == raised.id && known.stops)
        })
        .map(|known| known.reply.clone())
        .collect()
}

/// Facts that cannot be true, each with what is accepted.
fn problems(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    for problem in &assessment.problems {
        lines.push(parts.words.say(
            "reply.problem",
            &[
                ("field", &problem.field),
                ("found", &problem.found),
                ("accepted", &problem.accepted),
            ],
        ));
    }
}

/// What was read.
fn reading(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    if assessment.report.lift.is_some() || assessment.report.load.is_some() {
        let set = figures::set(&assessment.report);
        lines.push(parts.words.say("reply.read", &[("set", &set)]));
    }
    lines.extend(listed(&assessment.report, parts.words));
}

/// What this view cannot show, and which one can.
fn view(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    let (Some(book), Some(view)) = (book(assessment, parts.catalog), assessment.report.view) else {
        return;
    };
    let hidden: Vec<&Sign> = assessment
        .unseen
        .iter()
        .filter_map(|id| book.sign(id))
        .collect();
    let Some(first) = hidden.first() else {
        return;
    };
    let named = signs(book, assessment.unseen.iter());
    let views: Vec<String> = first
        .views
        .iter()
        .map(|view| figures::view_name(*view))
        .collect();
    lines.push(parts.words.say(
        "reply.view",
        &[
            ("view", &figures::view_name(view)),
            ("signs", &named),
            ("views", &figures::list(&views, "or")),
        ],
    ));
}

/// What was measured on the traces.
fn traces(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    if let Some(measured) = &assessment.measured {
        let book = book(assessment, parts.catalog);
        let report = &assessment.report;
        lines.extend(trace_faults(parts.words, &measured.problems));
        lines.extend(measured_lines(measured, book, report, parts.words));
    }
}

/// Where the lifter stands.
fn standing(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    let (Some(estimate), Some(load)) = (&assessment.estimate, assessment.report.load) else {
        return;
    };
    if !assessment.problems.is_empty() || asks_unit(assessment) {
        return;
    }
    let shown = |kg: f64| {
        let mass = Mass::from_kg(kg, estimate.unit);
        Mass::new(mass.value.round(), estimate.unit).both()
    };
    let percent = format!("{:.0} %", percent_of(estimate, load));
    let key = if estimate.coarse {
        "reply.stand_rough"
    } else {
        "reply.stand"
    };
    lines.push(parts.words.say(
        key,
        &[
            ("estimate", &shown(estimate.kg)),
            ("low", &shown(estimate.low_kg)),
            ("high", &shown(estimate.high_kg)),
            ("percent", &percent),
        ],
    ));
}

/// How the level moved since the case's first set.
pub fn change_line(assessment: &Assessment, words: &Words) -> Option<String> {
    let (since, change) = assessment.change.as_ref()?;
    let values = [
        ("date", figures::day(*since)),
        ("change", figures::change(change.percent)),
        ("low", figures::change(change.low_percent)),
        ("high", figures::change(change.high_percent)),
    ];
    let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
    Some(words.say("reply.change", &values))
}

/// When the goal is in reach.
fn goal(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    if let (Some(when), Some(goal)) = (&assessment.goal, &assessment.report.goal) {
        let load = goal.load.both();
        let values = [("goal", load.as_str()), ("when", when.as_str())];
        lines.push(parts.words.say("reply.goal", &values));
    }
}

/// The unit is in doubt: no figure is worked out from it.
fn asks_unit(assessment: &Assessment) -> bool {
    assessment
        .question
        .as_ref()
        .is_some_and(|question| question.id == "field:load.unit")
}

/// Most likely, and why; or the kind word that there is no fault.
fn cause(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    let Some(book) = book(assessment, parts.catalog) else {
        return;
    };
    for (sign, text) in &assessment.no_fault {
        // The rule's own words begin with its verdict, which ours says already.
        let why = text
            .trim_start_matches("no fault")
            .trim_start_matches([':', '.', ' ']);
        let plain = book.sign(sign).map_or("that", |sign| sign.plain.as_str());
        let why = capital(&sentence(why));
        lines.push(
            parts
                .words
                .say("reply.no_fault", &[("sign", plain), ("text", &why)]),
        );
    }
    if !assessment.problems.is_empty() {
        return;
    }
    if assessment.triage.level == Level::Ask && assessment.plan.is_none() && asks_unit(assessment) {
        return;
    }
    let Some(first) = assessment.chosen.first() else {
        return;
    };
    let (Some(cause), Some(belief)) = (
        book.cause(first),
        assessment
            .beliefs
            .iter()
            .find(|belief| belief.cause == *first),
    ) else {
        return;
    };
    let key = if belief.probability >= FAIRLY_SURE {
        "reply.likely_sure"
    } else {
        "reply.likely"
    };
    lines.push(parts.words.say(key, &[("cause", &cause.plain)]));
    // A sign said not to be there may speak for a cause too; named here it would read as if it were.
    let seen = |weight: &&Weight| {
        let mut signs = assessment.signs.iter();
        signs.any(|view| view.sign == weight.sign && view.probability >= 0.5)
    };
    let plain = |weights: &[Weight]| {
        weights
            .iter()
            .filter(seen)
            .take(MOST_SIGNS)
            .filter_map(|weight| book.sign(&weight.sign))
            .map(|sign| sign.plain.clone())
            .collect::<Vec<_>>()
    };
    let supports = plain(&belief.supports);
    if !supports.is_empty() {
        let signs = supports.join("; ");
        lines.push(parts.words.say("reply.because", &[("signs", &signs)]));
    }
    lines.extend(turning(assessment, book, parts.words));
}

/// The one observation that would change what is named first, in one sentence.
fn turning(assessment: &Assessment, book: &LiftBook, words: &Words) -> Option<String> {
    let point = assessment.turning_point.as_ref()?;
    let sign = book.sign(&point.sign)?.plain.as_str();
    let cause = point.first.as_ref().and_then(|id| book.cause(id));
    let key = match cause {
        Some(_) if point.there => "reply.turn_there",
        Some(_) => "reply.turn_away",
        None => "reply.turn_open",
    };
    let cause = cause.map_or("", |cause| cause.plain.as_str());
    Some(words.say(key, &[("sign", sign), ("cause", cause)]))
}

/// Change, practise, do not, check.
fn changes(assessment: &Assessment, plan: &Plan, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    let words = parts.words;
    let Some(first) = plan.changes.first() else {
        return;
    };
    if first.cue.is_empty() {
        lines.push(words.say("reply.load_only", &[]));
    } else {
        lines.push(words.say("reply.cue", &[("cue", first.cue.trim_end_matches('.'))]));
    }
    if !first.set_up.is_empty() {
        lines.push(words.say("reply.set_up", &[("text", &sentence(&first.set_up))]));
    }
    practice(first, parts, lines);
    if !first.do_not.is_empty() {
        lines.push(words.say("reply.do_not", &[("text", &sentence(&first.do_not))]));
    }
    check(assessment, plan, parts, lines);
    meet(plan, words, lines);
    if let Some(second) = plan.changes.get(1) {
        let plain = book(assessment, parts.catalog)
            .and_then(|book| book.cause(&second.cause))
            .map_or("", |cause| cause.plain.as_str());
        lines.push(words.say("reply.later", &[("cause", plain)]));
    }
}

/// One drill and one assistance exercise, with loads and plates.
fn practice(change: &Change, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    for (index, work) in change.practice.iter().take(2).enumerate() {
        let key = if index == 0 {
            "reply.practise"
        } else {
            "reply.practise_more"
        };
        let load = practice_load(work, parts);
        let dose = figures::dose(work);
        lines.push(parts.words.say(
            key,
            &[
                ("exercise", &work.exercise),
                ("dose", &dose),
                ("load", &load),
            ],
        ));
    }
}

/// The load of one exercise with what there is to say about it; empty for work without weight.
fn practice_load(work: &Prescription, parts: &ReplyParts<'_>) -> String {
    let unweighted = !matches!(work.unit.as_str(), "reps" | "each side" | "");
    let mut said = match figures::loads(work) {
        Some(loads) => format!(", {loads}"),
        // The note says how to find the weight, or there is no weight to find.
        None if unweighted || work.note.contains("by feel") => String::new(),
        None => {
            let effort = cueline_core::quantity::plain(work.effort_cap);
            let by_feel = parts.words.say("reply.by_feel", &[("effort", &effort)]);
            format!(", {by_feel}")
        }
    };
    if !work.note.is_empty() {
        said.push_str(": ");
        said.push_str(work.note.trim_end_matches('.'));
    }
    said
}

/// Rules of competition that what was found breaks.
fn meet(plan: &Plan, words: &Words, lines: &mut Vec<String>) {
    let rules: Vec<&str> = plan.meet_rules.iter().map(|r| r.text.as_str()).collect();
    if let Some(first) = plan.meet_rules.first() {
        let values = [("rules", &*rules.join("; ")), ("edition", &*first.edition)];
        lines.push(words.say("reply.meet", &values));
    }
}

/// When it is done, how to film, when to come back.
fn check(assessment: &Assessment, plan: &Plan, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    let Some(book) = book(assessment, parts.catalog) else {
        return;
    };
    let signs = signs(book, plan.check.gone.iter().chain(&plan.check.less));
    let date = assessment
        .follow_up
        .as_ref()
        .map(|follow_up| figures::day(follow_up.due))
        .unwrap_or_default();
    let heavy = if plan.check.asks_coach {
        parts.words.say("reply.check_heavy", &[])
    } else {
        String::new()
    };
    lines.push(parts.words.say(
        "reply.check",
        &[
            ("heavy", &heavy),
            ("signs", &signs),
            ("set", &plan.check.set),
            ("views", &figures::views(&plan.check.views)),
            ("date", &date),
        ],
    ));
}

/// Signs in plain words, in quotation marks so that a clause reads as one thing.
pub fn signs<'a>(book: &LiftBook, ids: impl Iterator<Item = &'a String>) -> String {
    let plain: Vec<String> = ids
        .filter_map(|id| book.sign(id))
        .take(MOST_SIGNS)
        .map(|sign| format!("\"{}\"", sign.plain))
        .collect();
    figures::list(&plain, "and")
}

/// The one question with its choices numbered.
fn question(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    if let Some(question) = &assessment.question {
        lines.extend(question_lines(
            parts.words,
            &question.text,
            &question.choices,
        ));
    }
}

/// Where it stands with the coach.
fn coach(assessment: &Assessment, parts: &ReplyParts<'_>, lines: &mut Vec<String>) {
    match (assessment.triage.level, parts.coach_by) {
        (Level::Coach, Some(date)) => {
            let why = coach_why(assessment, parts);
            let date = figures::day(date);
            lines.push(
                parts
                    .words
                    .say("reply.coach_has_it", &[("why", &why), ("date", &date)]),
            );
        }
        (Level::Answer, _) => lines.push(parts.words.say("reply.coach_can", &[])),
        _ => {}
    }
}

/// Why the coach has it, in the words the catalog has for the lifter: the first two reasons.
fn coach_why(assessment: &Assessment, parts: &ReplyParts<'_>) -> String {
    let known = &parts.catalog.escalations;
    let replies: Vec<&str> = assessment
        .escalations
        .iter()
        .filter_map(|raised| known.iter().find(|known| known.id == raised.id))
        .map(|known| known.reply.as_str())
        .take(2)
        .collect();
    if replies.is_empty() {
        "It needs a person's eye.".to_owned()
    } else {
        replies.join(" ")
    }
}

/// The book of the set's lift.
fn book<'a>(assessment: &Assessment, catalog: &'a Catalog) -> Option<&'a LiftBook> {
    assessment
        .report
        .lift
        .and_then(|lift| catalog.lifts.get(&lift))
}
