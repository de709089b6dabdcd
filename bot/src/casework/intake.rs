//! A lifter's message or form: what it is, and in which case.

use super::heard::{for_another, told_otherwise, understood};
use super::matching::{
    addressed, belongs, holding, in_thread, is_new_set, is_set, named_over, said_of_targets,
};
use super::progress::reopen;
use super::settle::{held, settle};
use super::speech::lifter_word;
use super::turn::{Turn, problem_line};
use super::{
    Known, answer, ask, chat_words, form as forms, manners, profile_words, quiet, several, traces,
};
use crate::record::{
    Case, CaseBody, CaseState, Effects, Event, Lifter, Part, Payload, PersonKey, Profile, Withdraw,
};
use cueline_core::reading::{FlagLevel, Hints, Reading, read};
use cueline_core::report::{Lift, SetReport};
use jiff::Timestamp;

/// Who acted, as a person key.
pub(super) fn person(event: &Event) -> PersonKey {
    PersonKey {
        source: event.key.source.clone(),
        person_id: event.actor.id.clone(),
    }
}

/// A lifter nobody has met yet.
pub(super) fn stranger(key: PersonKey, name: &str) -> Lifter {
    Lifter {
        key,
        display_name: name.to_owned(),
        zone: None,
        reminders: true,
        left: false,
        last_reminder: None,
        profile: Profile::default(),
        version: 0,
    }
}

/// The lifter as known, or a new one.
pub(super) fn lifter(event: &Event, known: &Known<'_>) -> Lifter {
    let mut lifter = known
        .lifter
        .clone()
        .unwrap_or_else(|| stranger(person(event), &event.actor.display_name));
    // A moderator who takes a lifter's message back is not the lifter.
    if lifter.key != person(event) {
        return lifter;
    }
    lifter.display_name.clone_from(&event.actor.display_name);
    // What was written after leaving means the lifter is back; what arrives late does not.
    if lifter.left && lifter.profile.left_at.is_none_or(|left| event.time > left) {
        lifter.left = false;
    }
    lifter.profile.heard_at = lifter.profile.heard_at.max(Some(event.time));
    lifter
}

/// What is known before a text is read.
pub(super) fn hints(lifter: &Lifter, lift: Option<Lift>) -> Hints {
    Hints {
        unit: lifter.profile.unit,
        lift,
    }
}

/// A message.
pub(super) fn message(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let Payload::Message {
        message_id,
        version,
        text,
        ..
    } = &event.payload
    else {
        return;
    };
    if text.trim().is_empty() {
        super::files::alone(event, known, now, effects);
        return;
    }
    let mut turn = Turn::new(event, known, now, lifter(event, known), effects);
    let reading = understood(&turn, text);
    // Danger is looked for before anything else, in whatever is written.
    turn.effects.on_health = super::consent::on_health(known, text, &reading);
    let danger = reading.level >= FlagLevel::Clinician;
    if super::erase::asked_back(&mut turn, text) {
        return;
    }
    if !danger && let Some(word) = lifter_word(text) {
        chat_words::say(&mut turn, word);
        return;
    }
    // Advice to another lifter may name that lifter's danger: it is taken for the writer's own all the
    // same, and put right beside that.
    let removed = super::challenge::moderated(&mut turn, text, danger);
    if removed && !danger {
        return;
    }
    let part = Part {
        message_id: message_id.clone(),
        text: text.clone(),
    };
    if *version > 1 {
        if let Some(case) = holding(known, message_id) {
            edited(&mut turn, case.clone(), &part, danger);
            return;
        }
        // A slip mended in an older message is no new set; danger in it still counts.
        if known.mark.is_some() && !danger {
            // A fact about the lifter is what it says now.
            profile_words::taken(&mut turn, text, &reading);
            return;
        }
    }
    if quiet::hard_times(text) && !danger {
        in_hard_times(&mut turn);
    }
    let asked = belongs(event, known, &reading).filter(|case| ask::waits(case));
    if let Some(case) = asked.filter(|_| !danger) {
        // The coach asked: whatever else it is, it is an answer for the coach.
        in_case(&mut turn, case.clone(), part, &reading);
        return;
    }
    if !danger && manners::taken(&mut turn, &part, &reading) {
        return;
    }
    if !danger && told_otherwise(&mut turn, &part, &reading) {
        return;
    }
    if reading.other_exercise.is_some() && !danger && !is_set(&reading) {
        turn.keep_lifter();
        turn.reply("first", known.words.say("talk.other_exercise", &[]), None);
        return;
    }
    match belongs(event, known, &reading) {
        Some(case) => in_case(&mut turn, case.clone(), part, &reading),
        None if is_set(&reading) && !super::challenge::talked_over(event, known, &reading) => {
            let mut case = open_case(&turn);
            let anew = begun_anew(&turn, &mut case, &reading);
            let said = for_another(&turn, &mut case, &part.text);
            case.body.parts.push(part);
            settle(&mut turn, case, anew.into_iter().chain(said).collect());
        }
        None => elsewhere(&mut turn, &part, &reading),
    }
}

/// Nobody is asked about their squat from a hospital bed.
fn in_hard_times(turn: &mut Turn<'_>) {
    turn.lifter.profile.quiet_since = Some(turn.now);
    let person = turn.lifter.key.clone();
    turn.effects.withdraw.push(Withdraw::RemindersOf(person));
    turn.keep_lifter();
}

/// The message names a case that is over: this one goes on from it, with its lift and whose it is.
fn begun_anew(turn: &Turn<'_>, case: &mut Case, reading: &Reading) -> Option<String> {
    let over = named_over(turn.event, turn.known)?;
    case.lift = reading.fields.lift.or(over.lift);
    case.body.for_whom.clone_from(&over.body.for_whom);
    let state = chat_words::state_words(over.state);
    let values = [("number", &*over.number.to_string()), ("state", state)];
    Some(turn.known.words.say("talk.begun_anew", &values))
}

/// Talk that belongs to no case.
fn elsewhere(turn: &mut Turn<'_>, part: &Part, reading: &Reading) {
    let words = turn.known.words;
    let halted = turn
        .known
        .cases
        .iter()
        .find(|case| case.state == CaseState::Halted && case.room_id == turn.event.room_id)
        .cloned();
    if let Some(case) = halted {
        // "The doctor has cleared me" must reach the coach, wherever it is written.
        turn.note(&case, part);
        turn.tell_of_halted(&case, part);
        let asks = part.text.contains('?') || quiet::of_a_clearance(&part.text);
        if asks || addressed(turn.event, turn.known, reading).is_some() {
            turn.say_halted(&case);
        }
        turn.keep(case);
    } else if let Some(case) = coachs_alone(turn, part) {
        with_coach(turn, case, part.clone(), reading);
    } else if turn.lifter.profile.quiet_since == Some(turn.now) {
        turn.reply("first", words.say("talk.hard_times", &[]), None);
    } else if let Some(case) = over_here(turn, part) {
        let state = chat_words::state_words(case.state);
        let values = [("number", &*case.number.to_string()), ("state", state)];
        turn.keep_lifter();
        turn.reply("first", words.say("talk.case_over", &values), None);
    } else if turn.known.lifter.is_none() && turn.known.erased_at.is_none() {
        // Greeted once; talk between members is left alone after that.
        turn.keep_lifter();
        turn.reply("first", words.say("talk.first_hello", &[]), None);
    }
}

/// The coach has the one case this lifter has open here, and it is the lifter who speaks, to nobody else:
/// `help` says that what is written goes with it. Talk among members names nobody and asks nothing.
fn coachs_alone(turn: &Turn<'_>, part: &Part) -> Option<Case> {
    let here = |case: &&Case| case.state.is_open() && case.room_id == turn.event.room_id;
    let mut open = turn.known.cases.iter().filter(here);
    let only = open.next().filter(|_| open.next().is_none())?;
    let to_others = matches!(
        &turn.event.payload,
        Payload::Message {
            reply_to: Some(_),
            ..
        }
    ) || turn.event.thread_id.is_some();
    let speaks = part.text.contains('?') || quiet::of_oneself(&part.text);
    let meant = speaks && !to_others && !quiet::small_talk(&part.text);
    (meant && only.state == CaseState::WithCoach).then(|| only.clone())
}

/// The case that is over and that this message answers all the same: a late answer must not be lost
/// without a word. Thanks are left alone.
fn over_here<'a>(turn: &Turn<'a>, part: &Part) -> Option<&'a Case> {
    let known = turn.known;
    let answered = known
        .ours
        .as_ref()
        .and_then(|message| message.case_id.as_ref());
    let over = |case: &&Case| {
        let here = in_thread(case, turn.event) || Some(&case.id) == answered;
        here && !case.state.is_open()
    };
    let case = known.cases.iter().find(over)?;
    (!quiet::small_talk(&part.text)).then_some(case)
}

/// A form.
pub(super) fn form(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let Payload::Form {
        submission_id,
        form_id,
        form_version,
        fields,
        ..
    } = &event.payload
    else {
        return;
    };
    let mut turn = Turn::new(event, known, now, lifter(event, known), effects);
    let (report, problems) = forms::report(form_id, *form_version, fields, known.catalog);
    let words = report.words.clone().unwrap_or_default();
    let reading = read(&words, known.catalog, hints(&turn.lifter, report.lift));
    turn.effects.on_health = super::consent::on_health(known, &words, &reading);
    let danger = reading.level >= FlagLevel::Clinician || !report.flags.is_empty();
    if !problems.is_empty() && !danger {
        let lines: Vec<String> = problems
            .iter()
            .map(|problem| problem_line(known.words, problem))
            .collect();
        turn.keep_lifter();
        turn.reply("first", lines.join("\n"), None);
        return;
    }
    // The lifter's own case: a form names nobody else.
    let resubmitted = known.cases.iter().find(|case| {
        matches!(case.state, CaseState::Practising | CaseState::WithCoach)
            && case.lift == report.lift
            && case.body.for_whom.is_none()
            && case.room_id == event.room_id
            && event
                .thread_id
                .as_ref()
                .is_none_or(|thread| case.thread_id.as_ref() == Some(thread))
    });
    let mut case = resubmitted.cloned().unwrap_or_else(|| open_case(&turn));
    begin_round(&mut case);
    case.body.parts.push(Part {
        message_id: submission_id.clone(),
        text: words,
    });
    case.body.report = SetReport {
        words: None,
        ..report
    };
    if case.state == CaseState::WithCoach {
        held(&mut turn, case);
    } else {
        settle(&mut turn, case, Vec::new());
    }
}

/// A case not stored yet.
pub(super) fn open_case(turn: &Turn<'_>) -> Case {
    Case {
        id: super::outbox::key(&turn.event.key, "case"),
        number: turn.known.new_number,
        person: person(turn.event),
        room_id: turn.event.room_id.clone(),
        thread_id: turn.event.thread_id.clone(),
        lift: None,
        state: CaseState::Asking,
        opened_at: turn.now,
        updated_at: turn.now,
        version: 0,
        body: CaseBody {
            root: super::outbox::message_id(turn.event),
            ..CaseBody::default()
        },
    }
}

/// Makes room for a set of its own.
pub(super) fn begin_round(case: &mut Case) {
    case.body.report = SetReport::default();
    case.body.parts.clear();
    case.body.traces.clear();
    case.body.asked = 0;
    case.body.settled.clear();
    case.body.open_question = None;
}

/// A message in an open case.
fn in_case(turn: &mut Turn<'_>, mut case: Case, part: Part, reading: &Reading) {
    if case.thread_id.is_none() {
        // A thread begun later is where the case goes on.
        case.thread_id.clone_from(&turn.event.thread_id);
    }
    let danger = reading.level >= FlagLevel::Clinician;
    if case.state == CaseState::Halted && !danger {
        turn.note(&case, &part);
        turn.tell_of_halted(&case, &part);
        turn.say_halted(&case);
        turn.keep(case);
        return;
    }
    if danger {
        in_danger(turn, case, part);
        return;
    }
    let hard_times = turn.lifter.profile.quiet_since == Some(turn.now);
    if hard_times && !is_set(reading) {
        turn.note(&case, &part);
        let text = turn.known.words.say("talk.hard_times", &[]);
        turn.reply("first", text, Some(&case));
        turn.keep(case);
        return;
    }
    if ask::waits(&case) && !danger {
        ask::answered(turn, case, part, reading);
        return;
    }
    if let Some(open) = &case.body.open_question
        && !is_new_set(reading)
    {
        // In a running correction the question is on the side: only a plain answer is one, or the
        // load again where its unit is asked for.
        let figure = open.id == "field:load.unit" && reading.fields.load.is_some();
        let plain = figure || answer::choice(open, &part.text).is_some();
        if case.state == CaseState::Asking && !plain && quiet::small_talk(&part.text) {
            // Thanks are no answer, and no reason to ask again.
            turn.note(&case, &part);
            turn.keep(case);
            return;
        }
        if case.state == CaseState::Asking || plain {
            answer::text(turn, case, part);
            return;
        }
    }
    match case.state {
        CaseState::Practising if !is_set(reading) && !said_of_targets(&case, reading) => {
            if traces::belong(turn, &case) {
                turn.note(&case, &part);
                traces::again(turn, case);
                return;
            }
            // Thanks and small talk: kept in the history, not answered. A question is for a person.
            turn.note(&case, &part);
            if part.text.contains('?') {
                let text = turn.known.words.say("talk.ask_a_person", &[]);
                turn.reply("first", text, Some(&case));
            }
            turn.keep(case);
        }
        CaseState::WithCoach => with_coach(turn, case, part, reading),
        CaseState::Practising => {
            begin_round(&mut case);
            case.body.parts.push(part);
            settle(turn, case, Vec::new());
        }
        _ => more_of_it(turn, case, part, reading),
    }
}

/// More about the set under review: read together with what was said before.
fn more_of_it(turn: &mut Turn<'_>, mut case: Case, part: Part, reading: &Reading) {
    if case.body.parts.is_empty() {
        // A figure that could not be true was no set, and no try of what was given. What is written now
        // outweighs the rest, and nothing of that is lost.
        reopen(&mut case);
        case.body.report = reading.fields.clone().or(&case.body.report);
    } else if is_new_set(reading) && another_set(&case, reading) {
        begin_round(&mut case);
    } else {
        reopen(&mut case);
    }
    case.body.parts.push(part);
    settle(turn, case, Vec::new());
}

/// Words of danger in an open case are judged by themselves: among the words of a set they weigh less.
fn in_danger(turn: &mut Turn<'_>, mut case: Case, part: Part) {
    let coachs = case.state == CaseState::WithCoach;
    begin_round(&mut case);
    case.body.parts.push(part);
    if coachs {
        // If they stop nothing after all, the case stays the coach's.
        held(turn, case);
    } else {
        settle(turn, case, Vec::new());
    }
}

/// A set of its own, not more about the one under review: other load or repetitions.
fn another_set(case: &Case, reading: &Reading) -> bool {
    let (said, known) = (&reading.fields, case.body.rounds.last());
    let same = known.is_some_and(|round| {
        let report = &round.report;
        let load = said.load.is_none() || report.load.is_none() || said.load == report.load;
        load && (report.reps.is_none() || said.reps == report.reps)
    });
    several::is_open(case) || (!same && known.is_some())
}

/// The coach has the case: what is written goes to the coach, and the bot does not take it back.
fn with_coach(turn: &mut Turn<'_>, mut case: Case, part: Part, reading: &Reading) {
    if is_new_set(reading) {
        begin_round(&mut case);
        case.body.parts.push(part);
        held(turn, case);
        return;
    }
    turn.note(&case, &part);
    if traces::belong(turn, &case) {
        traces::again(turn, case);
        return;
    }
    if is_set(reading) || part.text.contains('?') {
        let text = turn.known.words.say("talk.noted_with_coach", &[]);
        turn.reply("first", text, Some(&case));
    }
    turn.keep(case);
}

/// A message of the set under review was edited: read again with the new text. An edit never
/// lifts a stop.
fn edited(turn: &mut Turn<'_>, mut case: Case, part: &Part, danger: bool) {
    for known in &mut case.body.parts {
        if known.message_id == part.message_id {
            known.text.clone_from(&part.text);
        }
    }
    turn.effects.forget_texts.push((
        turn.event.key.source.clone(),
        turn.event.room_id.clone(),
        part.message_id.clone(),
    ));
    let halted = case.state == CaseState::Halted && !danger;
    if halted || !case.state.is_open() {
        // A case that is over is not begun anew, and a stop is the coach's to lift.
        turn.note(&case, part);
        if halted {
            turn.say_halted(&case);
        }
        turn.keep(case);
        return;
    }
    if several::edited(turn, &case, part) {
        return;
    }
    // What was settled about the old text is asked again if the new one leaves it open.
    let answers = std::mem::take(&mut case.body.report.answers);
    case.body.report = SetReport {
        answers,
        ..SetReport::default()
    };
    case.body.settled.clear();
    reopen(&mut case);
    if ask::waits(&case) {
        // What the coach asked about was changed: the coach looks first.
        ask::back_to_the_coach(turn, &mut case);
    }
    if case.state == CaseState::WithCoach {
        held(turn, case);
    } else {
        settle(turn, case, Vec::new());
    }
}
