//! An assessment becomes effects: state, queue, follow-up, reply.

use super::{Known, outbox, times};
use crate::record::{
    Case, CaseState, Effects, Entry, EntryKind, Event, FollowUp, FollowUpChange, FollowUpKind,
    Given, Lifter, OpenQuestion, Part, Payload, Purpose, QueueChange, QueueItem, Reason, Round,
    Urgency, Withdraw,
};
use crate::wording::{ReplyParts, Words, figures, reply, sign_list};
use cueline_core::assess::{Assessment, FIELD_QUESTION, History, PastRound, assess};
use cueline_core::outcome::{Verdict, compare};
use cueline_core::reading::read;
use cueline_core::report::{FieldError, SetReport};
use cueline_core::triage::Level;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// One input being worked on.
pub(super) struct Turn<'a> {
    pub(super) event: &'a Event,
    pub(super) known: &'a Known<'a>,
    pub(super) now: Timestamp,
    pub(super) lifter: Lifter,
    pub(super) zone: TimeZone,
    pub(super) effects: &'a mut Effects,
}

/// How far the next look at a case is, when nobody says otherwise.
const LATER_DAYS: i64 = 14;

impl<'a> Turn<'a> {
    pub(super) fn new(
        event: &'a Event,
        known: &'a Known<'a>,
        now: Timestamp,
        lifter: Lifter,
        effects: &'a mut Effects,
    ) -> Self {
        let zone = times::zone(known.rules, lifter.zone.as_deref());
        Self {
            event,
            known,
            now,
            lifter,
            zone,
            effects,
        }
    }

    /// The text of the message acted on.
    pub(super) fn text(&self) -> &str {
        match &self.event.payload {
            Payload::Message { text, .. } => text,
            _ => "",
        }
    }

    /// Sends a reply and keeps it in the case's history.
    pub(super) fn reply(&mut self, slot: &str, text: String, case: Option<&Case>) {
        if let Some(case) = case {
            self.entry(case, EntryKind::Reply, "cueline", None, text.clone());
        }
        let message = outbox::reply(self.event, slot, text, case);
        self.effects.outbox.push(message);
    }

    /// Sends a reply with the open question's buttons.
    pub(super) fn reply_with_buttons(
        &mut self,
        slot: &str,
        text: String,
        case: &Case,
        purpose: Purpose,
    ) {
        self.entry(case, EntryKind::Reply, "cueline", None, text.clone());
        let mut message = outbox::reply(self.event, slot, text, Some(case));
        message.purpose = purpose;
        if let Some(question) = &case.body.open_question {
            message.choices = outbox::buttons(question);
        }
        self.effects.outbox.push(message);
    }

    /// Says that the stop is still on.
    pub(super) fn say_halted(&mut self, case: &Case) {
        let number = self
            .known
            .rules
            .emergency_number(self.lifter.zone.as_deref());
        let why = halt_reason(case);
        let text = self.known.words.say(
            "stop.still",
            &[("why", &why), ("emergency_number", &number)],
        );
        self.reply("first", text, Some(case));
    }

    /// Tells the coaches.
    pub(super) fn alert(&mut self, slot: &str, text: String, case: Option<&Case>) {
        let key = outbox::key(&self.event.key, slot);
        let source = &self.event.key.source;
        let case_id = case.map(|case| case.id.as_str());
        let message = outbox::to_coach(self.known.rules, source, key, text, case_id);
        self.effects.outbox.extend(message);
    }

    /// Adds to a case's history.
    pub(super) fn entry(
        &mut self,
        case: &Case,
        kind: EntryKind,
        who: &str,
        message_id: Option<String>,
        text: String,
    ) {
        self.effects.entries.push(Entry {
            case_id: case.id.clone(),
            at: self.now,
            kind,
            who: who.to_owned(),
            message_id,
            text,
        });
    }

    /// Keeps a lifter's words in the history.
    pub(super) fn note(&mut self, case: &Case, part: &Part) {
        let who = self.lifter.key.person_id.clone();
        self.entry(
            case,
            EntryKind::Lifter,
            &who,
            Some(part.message_id.clone()),
            part.text.clone(),
        );
    }

    /// Writes the lifter.
    pub(super) fn keep_lifter(&mut self) {
        self.effects.lifter = Some(self.lifter.clone());
    }

    /// Writes a case and its lifter.
    pub(super) fn keep(&mut self, mut case: Case) {
        case.updated_at = self.now;
        self.keep_lifter();
        self.effects.cases.push(case);
    }

    /// Puts a case before the coach.
    pub(super) fn queue(
        &mut self,
        case: &Case,
        urgency: Urgency,
        reasons: Vec<Reason>,
        promised: Option<Timestamp>,
    ) {
        self.effects.queue.push(QueueChange::Put(QueueItem {
            case_id: case.id.clone(),
            urgency,
            minutes: minutes(case, reasons.len()),
            reasons,
            since: self.now,
            promised,
            taken_by: None,
            taken_until: None,
        }));
    }

    /// Dates the ask to resubmit: on `due`, or in a fortnight, at the hour of the house.
    pub(super) fn date_follow_up(&mut self, case: &Case, due: Option<Date>) {
        if !self.lifter.reminders || self.lifter.left {
            return;
        }
        let rules = self.known.rules;
        let date = due.or_else(|| {
            times::today(&self.zone, self.now)
                .checked_add(jiff::Span::new().days(LATER_DAYS))
                .ok()
        });
        let Some(due_at) = date.and_then(|date| times::at(&self.zone, date, rules.follow_up_at))
        else {
            return;
        };
        self.follow_up(case, FollowUpKind::Resubmit, due_at);
    }

    /// Opens a dated ask.
    pub(super) fn follow_up(&mut self, case: &Case, kind: FollowUpKind, due_at: Timestamp) {
        self.effects.follow_ups.push(FollowUpChange::Open(FollowUp {
            id: outbox::key(&self.event.key, &format!("{}:{}", kind.word(), case.id)),
            case_id: case.id.clone(),
            person: case.person.clone(),
            kind,
            due_at,
            sent: 0,
        }));
    }

    /// Whether another case of this lifter is stopped for safety.
    fn halted_elsewhere(&self, case: &Case) -> Option<&Case> {
        self.known
            .cases
            .iter()
            .find(|other| other.id != case.id && other.state == CaseState::Halted)
    }
}

/// Minutes a case is likely to take the coach: more rounds and reasons, more to read.
fn minutes(case: &Case, reasons: usize) -> i64 {
    let more = case.body.rounds.len() + reasons;
    3 + i64::try_from(more).unwrap_or(10).min(10)
}

/// Why a case is stopped, in the lifter's own words where there are some.
pub(super) fn halt_reason(case: &Case) -> String {
    let quotes: Vec<String> = case
        .body
        .rounds
        .iter()
        .rev()
        .flat_map(|round| &round.flags)
        .filter(|(_, quote)| !quote.is_empty())
        .map(|(_, quote)| format!("you wrote \"{}\"", crate::wording::escape(quote)))
        .take(2)
        .collect();
    if quotes.is_empty() {
        "the coach or your report raised it".to_owned()
    } else {
        quotes.join(", ")
    }
}

/// One field that cannot be true, as a line for the lifter.
pub(super) fn problem_line(words: &Words, problem: &FieldError) -> String {
    words.say(
        "reply.problem",
        &[
            ("field", &crate::wording::escape(&problem.field)),
            ("found", &crate::wording::escape(&problem.found)),
            ("accepted", &problem.accepted),
        ],
    )
}

/// The report of the set under review, completed from words and profile.
fn completed(case: &Case, turn: &Turn<'_>) -> SetReport {
    let mut report = case.body.report.clone();
    let texts: Vec<&str> = case
        .body
        .parts
        .iter()
        .map(|part| part.text.as_str())
        .collect();
    let words = texts.join("\n");
    let lift = report.lift.or(case.lift);
    let reading = read(
        &words,
        turn.known.catalog,
        super::intake::hints(&turn.lifter, lift),
    );
    report.words = Some(words).filter(|words| !words.is_empty());
    let mut report = report.or(&reading.fields);
    report.lift = report.lift.or(case.lift);
    let carried = carried(turn, &report);
    report.or(&carried)
}

/// What is known of the lifter from before, as a partial report.
fn carried(turn: &Turn<'_>, report: &SetReport) -> SetReport {
    let profile = &turn.lifter.profile;
    let lift = report.lift.map(|lift| lift.word());
    let months = profile.training.map(|(months, at)| {
        let since = turn.now.duration_since(at).as_hours() / (24 * 30);
        months.saturating_add(u32::try_from(since).unwrap_or(0))
    });
    SetReport {
        body_mass: profile.body_mass,
        best: lift.and_then(|lift| profile.bests.get(lift)).cloned(),
        goal: lift.and_then(|lift| profile.goals.get(lift)).cloned(),
        training_months: months,
        age_band: profile.age_band,
        competes: profile.competes,
        plates: profile.plates.clone(),
        ..SetReport::default()
    }
}

/// Keeps what the report says about the lifter for the next set.
fn learn(turn: &mut Turn<'_>, assessment: &Assessment) {
    let report = &assessment.report;
    let profile = &mut turn.lifter.profile;
    if let Some(load) = report.load.filter(|_| {
        assessment
            .question
            .as_ref()
            .is_none_or(|q| q.id != "field:load.unit")
    }) {
        profile.unit = Some(load.unit);
    }
    profile.body_mass = report.body_mass.or(profile.body_mass);
    profile.age_band = report.age_band.or(profile.age_band);
    profile.competes = report.competes.or(profile.competes);
    if report.plates.is_some() {
        profile.plates.clone_from(&report.plates);
    }
    if let Some(months) = assessment.reading.fields.training_months {
        profile.training = Some((months, turn.now));
    }
    if let Some(lift) = report.lift {
        if let Some(best) = &report.best {
            profile.bests.insert(lift.word().to_owned(), best.clone());
        }
        if let Some(goal) = &report.goal {
            profile.goals.insert(lift.word().to_owned(), goal.clone());
        }
    }
    if let Some(zone) = &report.time_zone {
        turn.lifter.zone = Some(zone.clone());
        turn.zone = times::zone(turn.known.rules, Some(zone));
    }
}

/// Earlier sets of the case as the core wants them.
fn history(case: &Case, turn: &Turn<'_>) -> History {
    let rounds = &case.body.rounds;
    let failed = |index: usize| {
        rounds
            .get(index + 1)
            .and_then(|next: &Round| next.outcome)
            .is_some_and(Verdict::failed)
    };
    History {
        rounds: rounds
            .iter()
            .enumerate()
            .map(|(index, round)| PastRound {
                date: times::today(&turn.zone, round.at),
                present: round.present.clone(),
                chosen: round.chosen.clone(),
                load_kg: round.report.load.map(|load| load.kg()),
                reps: round.report.reps,
                estimate_kg: round.estimate_kg.map(|(kg, _, _)| kg),
                missed: round.report.missed.as_ref().map_or(0, |miss| miss.reps),
                failed: failed(index),
            })
            .collect(),
        unit: turn.lifter.profile.unit,
        lift: case.lift,
        questions_asked: case.body.asked,
        settled: case.body.settled.clone(),
    }
}

/// What the set shows of the correction given before; told again when it failed, so that the
/// core can put another cause first.
fn judge(case: &Case, turn: &Turn<'_>, report: &SetReport) -> (Assessment, Option<Verdict>) {
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
    let (Some(given), Some(last)) = (case.body.given.last(), case.body.rounds.last()) else {
        return (assessment, None);
    };
    let verdict = compare(&given.targets, &last.present, &assessment.signs);
    if !verdict.failed() {
        return (assessment, Some(verdict));
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
    (assessment, Some(verdict))
}

/// Assesses the set under review and turns what follows into effects.
pub(super) fn settle(turn: &mut Turn<'_>, mut case: Case, mut progress: Vec<String>) {
    let report = completed(&case, turn);
    let (assessment, verdict) = judge(&case, turn, &report);
    learn(turn, &assessment);
    case.lift = case.lift.or(assessment.report.lift);
    if let Some(part) = case.body.parts.last().cloned() {
        turn.note(&case, &part);
    }
    if let Some(verdict) = verdict.filter(|_| !assessment.triage.level.stops()) {
        progress.extend(progress_line(turn, &case, &assessment, verdict));
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
    match assessment.triage.level {
        Level::Emergency | Level::Clinician => stop(turn, case, &assessment),
        Level::Coach => hand_over(turn, case, &assessment, &progress),
        Level::Ask => ask(turn, case, &assessment, &progress),
        Level::Answer => answer(turn, case, &assessment, verdict, &progress),
    }
}

/// The round of this set.
fn round(turn: &Turn<'_>, assessment: &Assessment, verdict: Option<Verdict>) -> Round {
    let named = |there: bool| {
        assessment
            .signs
            .iter()
            .filter(|view| (view.probability >= 0.5) == there)
            .map(|view| view.sign.clone())
            .collect()
    };
    Round {
        at: turn.now,
        event_id: turn.event.key.id.clone(),
        report: assessment.report.clone(),
        level: assessment.triage.level,
        present: named(true),
        absent: named(false),
        chosen: assessment.chosen.clone(),
        beliefs: assessment
            .beliefs
            .iter()
            .take(5)
            .map(|belief| (belief.cause.clone(), belief.probability))
            .collect(),
        estimate_kg: assessment
            .estimate
            .as_ref()
            .map(|estimate| (estimate.kg, estimate.low_kg, estimate.high_kg)),
        flags: assessment
            .triage
            .flags
            .iter()
            .map(|flag| (flag.flag.clone(), flag.quote.clone()))
            .collect(),
        outcome: verdict,
    }
}

/// What the resubmission showed, as a line.
fn progress_line(
    turn: &Turn<'_>,
    case: &Case,
    assessment: &Assessment,
    verdict: Verdict,
) -> Option<String> {
    let words = turn.known.words;
    let given = case.body.given.last()?;
    let last = case.body.rounds.last()?;
    let book = turn.known.catalog.lifts.get(&case.lift?)?;
    let there = |sign: &&String| {
        assessment
            .signs
            .iter()
            .any(|view| view.sign == **sign && view.probability >= 0.5)
    };
    let aimed: Vec<&String> = given
        .targets
        .iter()
        .filter(|sign| last.present.contains(sign))
        .collect();
    let aimed = if aimed.is_empty() {
        last.present.iter().collect()
    } else {
        aimed
    };
    let still = sign_list(book, aimed.iter().copied().filter(there));
    let gone = sign_list(book, aimed.iter().copied().filter(|sign| !there(sign)));
    let date = assessment
        .follow_up
        .as_ref()
        .map_or_else(String::new, |follow_up| figures::day(follow_up.due));
    let (key, values): (&str, Vec<(&str, String)>) = match verdict {
        Verdict::Gone => (
            "progress.gone",
            vec![
                ("signs", gone),
                ("now", figures::set(&assessment.report)),
                ("before", figures::set(&last.report)),
            ],
        ),
        Verdict::Better => ("progress.better", vec![("signs", gone), ("date", date)]),
        Verdict::Same => ("progress.same", vec![("signs", still)]),
        Verdict::Worse => ("progress.worse", vec![("signs", still)]),
        Verdict::CannotTell => ("progress.cannot_tell", Vec::new()),
    };
    let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
    Some(words.say(key, &values))
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
            why: raised.why.clone(),
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
    let person = turn.lifter.key.clone();
    turn.effects.follow_ups.push(FollowUpChange::CancelPerson {
        person: person.clone(),
    });
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
    if let Ok(lapse) = turn.now.checked_add(turn.known.rules.answer_within) {
        turn.follow_up(&case, FollowUpKind::Answer, lapse);
    }
    let said = text(turn, assessment, None, progress);
    turn.reply_with_buttons("first", said, &case, Purpose::Reply);
    turn.keep(case);
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
    } else {
        case.state = CaseState::Mended;
        turn.effects.queue.push(crate::record::QueueChange::Remove {
            case_id: case.id.clone(),
        });
    }
    if verdict == Some(Verdict::Gone) {
        progress.push(turn.known.words.say("progress.now_practise", &[]));
        let said = progress.join("\n");
        turn.reply("first", said, Some(&case));
    } else {
        let said = text(turn, assessment, None, &progress);
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
