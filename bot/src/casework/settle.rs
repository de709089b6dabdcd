//! An assessment becomes effects: state, queue, follow-up, reply.

use super::profile::{completed, history, learn};
use super::progress::{change_lines, compared_with, progress_line, round};
use super::times;
use super::turn::Turn;
use crate::record::{
    Case, CaseState, FollowUpChange, FollowUpKind, Given, OpenQuestion, Purpose, QueueChange,
    Reason, Urgency, Withdraw,
};
use crate::wording::{ReplyParts, change_line, reply};
use cueline_core::assess::{Assessment, FIELD_QUESTION, assess};
use cueline_core::diagnosis::NextQuestion;
use cueline_core::diagnosis::Origin;
use cueline_core::outcome::{MeasuredChange, Seen, Verdict, compare_measured};
use cueline_core::report::SetReport;
use cueline_core::triage::Level;
use jiff::Timestamp;
use jiff::civil::Date;

/// What the set shows of the correction given before; told again when it failed, so that the
/// core can put another cause first.
fn judge(case: &Case, turn: &Turn<'_>, report: &SetReport) -> (Assessment, Option<Judged>) {
    let today = times::today(&turn.zone, turn.now);
    let rules = turn.known.rules;
    let mut history = history(case, turn);
    let assessment = assess(
        turn.known.catalog,
        report,
        &history,
        &rules.diagnosis,
        today,
    );
    let (Some(given), Some(last)) = (case.body.given.last(), compared_with(case)) else {
        return (assessment, None);
    };
    let before = Seen {
        present: &last.present,
        measured: last.measured.as_ref(),
    };
    let now = (assessment.signs.as_slice(), assessment.measured.as_ref());
    let limits = &turn.known.catalog.motion.verdict;
    let (verdict, changes) = compare_measured(&given.targets, before, now, limits);
    let judged = Some(Judged { verdict, changes });
    if !verdict.failed() {
        return (assessment, judged);
    }
    if let Some(last) = history.rounds.last_mut() {
        last.failed = true;
    }
    let assessment = assess(
        turn.known.catalog,
        report,
        &history,
        &rules.diagnosis,
        today,
    );
    (assessment, judged)
}

/// What a set shows of the correction before, with the measured changes it rests on.
struct Judged {
    verdict: Verdict,
    changes: Vec<MeasuredChange>,
}

/// Assesses the set under review and turns what follows into effects.
pub(super) fn settle(turn: &mut Turn<'_>, mut case: Case, mut progress: Vec<String>) {
    let report = completed(&case, turn);
    let (assessment, judged) = judge(&case, turn, &report);
    let verdict = judged.as_ref().map(|judged| judged.verdict);
    if turn.lifter.profile.quiet_since != Some(turn.now) && !turn.answering {
        // Whoever posts a set is back.
        turn.lifter.profile.quiet_since = None;
    }
    if assessment.problems.is_empty() && case.body.for_whom.is_none() {
        learn(turn, &assessment);
    }
    case.lift = case.lift.or(assessment.report.lift);
    note_newest(turn, &case);
    super::traces::note_faults(turn, &assessment);
    if let Some(judged) = judged.filter(|_| !assessment.triage.level.stops()) {
        let verdict = judged.verdict;
        progress.extend(progress_line(turn, &case, &assessment, verdict));
        progress.extend(change_lines(turn, &assessment, &judged.changes));
        if let Some(given) = case.body.given.last_mut() {
            given.outcome = Some(verdict);
        }
    }
    case.body.rounds.push(round(turn, &assessment, verdict));
    case.body.open_question = None;
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    if !assessment.triage.level.stops()
        && let Some(halted) = turn.halted_elsewhere(&case).cloned()
    {
        held_by_halt(turn, case, &halted);
        return;
    }
    decided(turn, case, &assessment, verdict, progress);
    super::traces::drawn(turn, &assessment);
}

/// The words of the newest message go into the history, unless they are there already.
fn note_newest(turn: &mut Turn<'_>, case: &Case) {
    if turn.rereads {
        return;
    }
    if let Some(part) = case.body.parts.last().cloned() {
        turn.note(case, &part);
    }
}

/// What follows at the level of the assessment.
fn decided(
    turn: &mut Turn<'_>,
    case: Case,
    assessment: &Assessment,
    verdict: Option<Verdict>,
    progress: Vec<String>,
) {
    match assessment.triage.level {
        Level::Emergency | Level::Clinician => stop(turn, case, assessment),
        Level::Coach => hand_over(turn, case, assessment, &progress),
        // What was aimed at is gone: nothing more has to be found out.
        Level::Ask if verdict == Some(Verdict::Gone) && !asks_a_fact(assessment) => {
            answer(turn, case, assessment, verdict, &progress);
        }
        // Part of it is gone: the same work goes on, and nothing else is begun beside it.
        Level::Ask | Level::Answer
            if verdict == Some(Verdict::Better) && !asks_a_fact(assessment) =>
        {
            carry_on(turn, case, assessment, progress);
        }
        Level::Ask => ask(turn, case, assessment, &progress),
        Level::Answer => answer(turn, case, assessment, verdict, &progress),
    }
}

/// The correction given before goes on.
fn carry_on(turn: &mut Turn<'_>, mut case: Case, assessment: &Assessment, progress: Vec<String>) {
    case.state = CaseState::Practising;
    if let Some(given) = case.body.given.last_mut() {
        given.outcome = None;
    }
    turn.date_follow_up(&case, None);
    let notes = assessment.triage.notes.iter().cloned();
    let said: Vec<String> = notes.chain(progress).collect();
    turn.reply("first", said.join("\n"), Some(&case));
    turn.keep(case);
}

/// The question is about a fact of the set, or the set cannot be true as it stands.
fn asks_a_fact(assessment: &Assessment) -> bool {
    let field = |question: &NextQuestion| question.id.starts_with(FIELD_QUESTION);
    !assessment.problems.is_empty() || assessment.question.as_ref().is_some_and(field)
}

/// The reply's text.
fn text(
    turn: &Turn<'_>,
    assessment: &Assessment,
    coach_by: Option<Date>,
    progress: &[String],
) -> String {
    let number = turn
        .known
        .rules
        .emergency_number(turn.lifter.zone.as_deref());
    reply(
        assessment,
        &ReplyParts {
            words: turn.known.words,
            catalog: turn.known.catalog,
            emergency_number: &number,
            coach_by,
            progress,
        },
    )
}

/// Reasons for the queue: escalations, then flags that have none.
fn reasons(assessment: &Assessment) -> Vec<Reason> {
    let mut reasons: Vec<Reason> = assessment
        .escalations
        .iter()
        .map(|raised| Reason {
            id: raised.id.clone(),
            why: if raised.see.is_empty() {
                raised.why.clone()
            } else {
                format!("{} (look at: {})", raised.why, raised.see)
            },
        })
        .collect();
    if reasons.is_empty() {
        reasons.push(Reason {
            id: "no-answer".to_owned(),
            why: "nothing in the catalog fits".to_owned(),
        });
    }
    reasons
}

/// A stop level: nothing about lifting, the coach told at once, all reminders off.
fn stop(turn: &mut Turn<'_>, mut case: Case, assessment: &Assessment) {
    let rules = turn.known.rules;
    let emergency = assessment.triage.level == Level::Emergency;
    case.state = CaseState::Halted;
    case.body.halt = Some(assessment.triage.level);
    case.body.raised.clone_from(&assessment.escalations);
    let (urgency, promise) = if emergency {
        (Urgency::Emergency, rules.promise_emergency)
    } else {
        (Urgency::Clinician, rules.promise_clinician)
    };
    let promised = turn.now.checked_add(promise).ok();
    turn.queue(&case, urgency, reasons(assessment), promised);
    // Dated asks of the lifter's other cases stay, and find the stop when they come due.
    let person = turn.lifter.key.clone();
    turn.effects.withdraw.push(Withdraw::RemindersOf(person));
    turn.effects.withdraw.push(Withdraw::Case(case.id.clone()));
    let said = text(turn, assessment, None, &[]);
    turn.reply("first", said, Some(&case));
    let key = if emergency {
        "coach.alert_emergency"
    } else {
        "coach.alert_clinician"
    };
    let quote = assessment
        .triage
        .flags
        .iter()
        .find(|flag| !flag.quote.is_empty())
        .map_or_else(
            || "(ticked)".to_owned(),
            |flag| crate::wording::escape(&flag.quote),
        );
    let number = rules.emergency_number(turn.lifter.zone.as_deref());
    let alert = turn.known.words.say(
        key,
        &[
            ("number", &case.number.to_string()),
            ("name", &crate::wording::escape(&turn.lifter.display_name)),
            ("quote", &quote),
            ("emergency_number", &number),
        ],
    );
    turn.alert("alert", alert, Some(&case));
    if emergency && let Ok(again) = turn.now.checked_add(rules.page_again) {
        turn.follow_up(&case, FollowUpKind::PageCoach, again);
    }
    turn.keep(case);
}

/// The coach has the case: the set is assessed for the coach to see, and the bot keeps still.
/// Danger is the exception.
pub(super) fn held(turn: &mut Turn<'_>, mut case: Case) {
    let report = completed(&case, turn);
    let (assessment, judged) = judge(&case, turn, &report);
    let verdict = judged.map(|judged| judged.verdict);
    if assessment.triage.level.stops() {
        settle(turn, case, Vec::new());
        return;
    }
    if assessment.problems.is_empty() && case.body.for_whom.is_none() {
        learn(turn, &assessment);
    }
    case.lift = case.lift.or(assessment.report.lift);
    note_newest(turn, &case);
    super::traces::note_faults(turn, &assessment);
    case.body.rounds.push(round(turn, &assessment, verdict));
    let text = turn.known.words.say("talk.noted_with_coach", &[]);
    turn.reply("first", text, Some(&case));
    turn.keep(case);
}

/// Another case of this lifter is stopped: no loads, no technique; the coach sees the new set.
fn held_by_halt(turn: &mut Turn<'_>, mut case: Case, halted: &Case) {
    case.state = CaseState::WithCoach;
    let reason = Reason {
        id: "halted".to_owned(),
        why: format!(
            "case {} of this lifter is stopped for safety",
            halted.number
        ),
    };
    let promised = turn
        .now
        .checked_add(turn.known.rules.promise_clinician)
        .ok();
    turn.queue(&case, Urgency::Clinician, vec![reason], promised);
    turn.say_halted(halted);
    turn.keep(case);
}

/// The coach has to look.
fn hand_over(turn: &mut Turn<'_>, mut case: Case, assessment: &Assessment, progress: &[String]) {
    case.state = CaseState::WithCoach;
    case.body.raised.clone_from(&assessment.escalations);
    let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
    turn.queue(&case, Urgency::Eye, reasons(assessment), promised);
    let by = promised.map(|at| times::today(&turn.zone, at));
    let said = text(turn, assessment, by, progress);
    turn.reply("first", said, Some(&case));
    turn.keep(case);
}

/// One question first.
fn ask(turn: &mut Turn<'_>, mut case: Case, assessment: &Assessment, progress: &[String]) {
    case.state = CaseState::Asking;
    open_question(&mut case, assessment);
    if !assessment.problems.is_empty() {
        set_aside(&mut case, assessment);
    }
    if let Ok(lapse) = turn.now.checked_add(turn.known.rules.answer_within) {
        turn.follow_up(&case, FollowUpKind::Answer, lapse);
    }
    let said = text(turn, assessment, None, progress);
    turn.reply_with_buttons("first", said, &case, Purpose::Reply);
    turn.keep(case);
}

/// Keeps what can be true of a set that holds something that cannot; the wrong figure is set
/// aside with the words it came in, so that the lifter's next message replaces it.
fn set_aside(case: &mut Case, assessment: &Assessment) {
    let mut report = assessment.report.clone();
    report.words = None;
    for problem in &assessment.problems {
        match problem.field.split('.').next().unwrap_or_default() {
            "load" => report.load = None,
            "reps" => report.reps = None,
            "sets" | "set_number" => (report.sets, report.set_number) = (None, None),
            "effort" => report.effort = None,
            "body_mass" => report.body_mass = None,
            "best" => report.best = None,
            "goal" => report.goal = None,
            "training_months" => report.training_months = None,
            "variant" => report.variant = SetReport::default().variant,
            _ => {}
        }
    }
    // The signs were read in words that go; they stay as if ticked.
    for view in &assessment.signs {
        let list = if view.probability >= 0.5 {
            &mut report.seen
        } else {
            &mut report.not_seen
        };
        if view.from == Origin::Words && !list.contains(&view.sign) {
            list.push(view.sign.clone());
        }
    }
    case.body.report = report;
    case.body.parts.clear();
}

/// Keeps the question with the case.
fn open_question(case: &mut Case, assessment: &Assessment) {
    let Some(question) = &assessment.question else {
        return;
    };
    case.body.asked += 1;
    case.body.open_question = Some(OpenQuestion {
        id: question.id.clone(),
        text: question.text.clone(),
        choices: question.choices.clone(),
        bare: bare(&question.id, assessment),
        repeated: false,
    });
}

/// The bare number a unit question is about.
fn bare(question: &str, assessment: &Assessment) -> Option<f64> {
    match question.strip_prefix(FIELD_QUESTION)? {
        "load.unit" => assessment
            .reading
            .bare_load
            .or(assessment.report.load.map(|load| load.value)),
        "best.unit" => assessment.reading.bare_best,
        _ => None,
    }
}

/// The bot answers: practise, and come back; or it worked.
fn answer(
    turn: &mut Turn<'_>,
    mut case: Case,
    assessment: &Assessment,
    verdict: Option<Verdict>,
    progress: &[String],
) {
    let mut progress = progress.to_vec();
    let carries_on = assessment.plan.is_some() && verdict != Some(Verdict::Gone);
    if carries_on {
        case.state = CaseState::Practising;
        give(&mut case, assessment, turn.now);
        open_question(&mut case, assessment);
        let due = assessment.follow_up.as_ref().map(|follow_up| follow_up.due);
        turn.date_follow_up(&case, due);
    } else if assessment.question.is_some() && verdict != Some(Verdict::Gone) {
        ask(turn, case, assessment, &progress);
        return;
    } else {
        case.state = CaseState::Mended;
        turn.effects.queue.push(QueueChange::Remove {
            case_id: case.id.clone(),
        });
    }
    if verdict == Some(Verdict::Gone) {
        progress.extend(change_line(assessment, turn.known.words));
        progress.push(turn.known.words.say("progress.now_practise", &[]));
        // Safety notes come first in every reply.
        let notes = assessment.triage.notes.iter().cloned();
        let said: Vec<String> = notes.chain(progress).collect();
        let said = said.join("\n");
        turn.reply("first", said, Some(&case));
    } else {
        let mut said = text(turn, assessment, None, &progress);
        let zone_due = carries_on && turn.lifter.zone.is_none() && !turn.lifter.profile.zone_asked;
        let asked = if carries_on {
            super::wants::ask(turn, &mut case, assessment, zone_due)
        } else {
            Vec::new()
        };
        for line in &asked {
            said.push('\n');
            said.push_str(line);
        }
        if zone_due && asked.is_empty() {
            // Asked once, where it first matters: a day to come back was just named.
            turn.lifter.profile.zone_asked = true;
            said.push('\n');
            said.push_str(&turn.known.words.say("talk.zone_ask", &[]));
        }
        turn.reply_with_buttons("first", said, &case, Purpose::Reply);
    }
    turn.keep(case);
}

/// Notes the correction given, unless it is the one given last and not judged yet.
fn give(case: &mut Case, assessment: &Assessment, now: Timestamp) {
    let (Some(cause), Some(plan)) = (assessment.chosen.first(), &assessment.plan) else {
        return;
    };
    let running = case
        .body
        .given
        .last()
        .is_some_and(|given| given.cause == *cause && given.outcome.is_none());
    if !running {
        let targets = plan.check.gone.iter().chain(&plan.check.less);
        case.body.given.push(Given {
            cause: cause.clone(),
            at: now,
            targets: targets.cloned().collect(),
            outcome: None,
        });
    }
}
