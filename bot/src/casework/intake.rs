//! A lifter's message or form: which case it belongs to, and what it is in that case.

use super::settle::settle;
use super::speech::{LifterWord, lifter_word};
use super::turn::{Turn, problem_line};
use super::{Known, answer, form as forms, times};
use crate::record::{
    Case, CaseBody, CaseState, Effects, Event, FollowUpChange, Lifter, Part, Payload, PersonKey,
    Profile, Purpose, Reason, Urgency, Withdraw,
};
use crate::wording::{figures, question_lines};
use cueline_core::reading::{FlagLevel, Hints, Polarity, Reading, read};
use cueline_core::report::{Lift, SetReport};
use jiff::Timestamp;

/// Who acted, as a person key.
pub(super) fn person(event: &Event) -> PersonKey {
    PersonKey {
        source: event.key.source.clone(),
        person_id: event.actor.id.clone(),
    }
}

/// The lifter as known, or a new one.
pub(super) fn lifter(event: &Event, known: &Known<'_>) -> Lifter {
    let mut lifter = known.lifter.clone().unwrap_or_else(|| Lifter {
        key: person(event),
        display_name: String::new(),
        zone: None,
        reminders: true,
        left: false,
        last_reminder: None,
        profile: Profile::default(),
        version: 0,
    });
    lifter.display_name.clone_from(&event.actor.display_name);
    // What was written after leaving means the lifter is back; what arrives late does not.
    if lifter.left && lifter.profile.left_at.is_none_or(|left| event.time > left) {
        lifter.left = false;
    }
    lifter
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
        return;
    }
    let mut turn = Turn::new(event, known, now, lifter(event, known), effects);
    let reading = read(text, known.catalog, hints(&turn.lifter, None));
    // Danger is looked for before anything else, in whatever is written.
    let danger = reading.level >= FlagLevel::Clinician;
    if !danger && let Some(word) = lifter_word(text) {
        say_word(&mut turn, word);
        return;
    }
    let part = Part {
        message_id: message_id.clone(),
        text: text.clone(),
    };
    if *version > 1
        && let Some(case) = holding(known, message_id)
    {
        edited(&mut turn, case.clone(), part);
        return;
    }
    match belongs(event, known, &reading) {
        Some(case) => in_case(&mut turn, case.clone(), part, &reading),
        None if is_set(&reading) => {
            let mut case = open_case(&turn);
            case.body.parts.push(part);
            settle(&mut turn, case, Vec::new());
        }
        None if known.cases.is_empty() => {
            let hello = known.words.say("talk.first_hello", &[]);
            turn.reply("first", hello, None);
        }
        // Talk between members in a room of lifters is left alone.
        None => {}
    }
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
    let report = match forms::report(form_id, *form_version, fields, known.catalog) {
        Ok(report) => report,
        Err(problems) => {
            let lines: Vec<String> = problems
                .iter()
                .map(|problem| problem_line(known.words, problem))
                .collect();
            turn.reply("first", lines.join("\n"), None);
            return;
        }
    };
    let resubmitted = known.cases.iter().find(|case| {
        case.state == CaseState::Practising
            && case.lift == report.lift
            && event
                .thread_id
                .as_ref()
                .is_none_or(|thread| case.thread_id.as_ref() == Some(thread))
    });
    let mut case = resubmitted.cloned().unwrap_or_else(|| open_case(&turn));
    let words = report.words.clone().unwrap_or_default();
    case.body.parts = vec![Part {
        message_id: submission_id.clone(),
        text: words,
    }];
    case.body.report = SetReport {
        words: None,
        ..report
    };
    case.body.asked = 0;
    case.body.settled.clear();
    settle(&mut turn, case, Vec::new());
}

/// What is known before a text is read.
pub(super) fn hints(lifter: &Lifter, lift: Option<Lift>) -> Hints {
    Hints {
        unit: lifter.profile.unit,
        lift,
    }
}

/// The text reports a set, or something about one.
fn is_set(reading: &Reading) -> bool {
    let fields = &reading.fields;
    reading.level > FlagLevel::None
        || fields.load.is_some()
        || reading.bare_load.is_some()
        || fields.missed.is_some()
        || (fields.lift.is_some() && fields.reps.is_some())
        || !reading.signs.is_empty()
        || !reading.asks.is_empty()
}

/// The case whose set was read from this message.
fn holding<'a>(known: &'a Known<'_>, message_id: &str) -> Option<&'a Case> {
    known.cases.iter().find(|case| {
        case.state.is_open()
            && case
                .body
                .parts
                .iter()
                .any(|part| part.message_id == message_id)
    })
}

/// The case a message belongs to: by thread, by what it answers, by an open question, by lift.
fn belongs<'a>(event: &Event, known: &'a Known<'_>, reading: &Reading) -> Option<&'a Case> {
    let open = || known.cases.iter().filter(|case| case.state.is_open());
    let by_thread = open().find(|case| {
        event.thread_id.is_some()
            && (case.thread_id == event.thread_id || case.body.root == event.thread_id)
    });
    let by_answer = || {
        let id = known
            .ours
            .as_ref()
            .and_then(|message| message.case_id.as_ref())?;
        open().find(|case| case.id == *id)
    };
    let by_quote = || {
        let Payload::Message {
            reply_to: Some(quoted),
            ..
        } = &event.payload
        else {
            return None;
        };
        open().find(|case| {
            case.body
                .parts
                .iter()
                .any(|part| part.message_id == *quoted)
        })
    };
    if let Some(case) = by_thread.or_else(by_answer).or_else(by_quote) {
        return Some(case);
    }
    let here = || {
        open().filter(|case| {
            case.room_id == event.room_id
                && (event.thread_id.is_none() || case.thread_id == event.thread_id)
        })
    };
    let same_lift = |case: &&Case| match (case.lift, reading.fields.lift) {
        (Some(known), Some(said)) => known == said,
        _ => true,
    };
    here()
        .find(|case| case.body.open_question.is_some() && same_lift(case))
        .or_else(|| {
            is_set(reading).then(|| {
                here().find(|case| case.lift.is_some() && case.lift == reading.fields.lift)
            })?
        })
        .or_else(|| {
            // Signs alone ("they are gone now") speak of the one case there is.
            let mut cases = here();
            let only = cases.next()?;
            (cases.next().is_none()
                && reading.fields.lift.is_none()
                && (!reading.signs.is_empty() || reading.level > FlagLevel::None))
                .then_some(only)
        })
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

/// A message in an open case.
fn in_case(turn: &mut Turn<'_>, mut case: Case, part: Part, reading: &Reading) {
    if case.thread_id.is_none() {
        // A thread begun later is where the case goes on.
        case.thread_id.clone_from(&turn.event.thread_id);
    }
    let danger = reading.level >= FlagLevel::Clinician;
    if case.state == CaseState::Halted && !danger {
        turn.note(&case, &part);
        turn.say_halted(&case);
        turn.keep(case);
        return;
    }
    if case.body.open_question.is_some() && !danger && !is_new_set(reading) {
        answer::text(turn, case, part);
        return;
    }
    match case.state {
        CaseState::Practising if !is_set(reading) && !said_of_targets(&case, reading) => {
            // Thanks and small talk: kept in the history, not answered.
            turn.note(&case, &part);
            turn.keep(case);
        }
        CaseState::Practising => {
            case.body.report = SetReport::default();
            case.body.parts = vec![part];
            case.body.asked = 0;
            case.body.settled.clear();
            case.body.open_question = None;
            settle(turn, case, Vec::new());
        }
        _ => {
            // More about the set under review: read together with what was said before.
            case.body.rounds.pop();
            case.body.parts.push(part);
            settle(turn, case, Vec::new());
        }
    }
}

/// A whole set, rather than an answer: load and repetitions of its own.
fn is_new_set(reading: &Reading) -> bool {
    let load = reading.fields.load.is_some() || reading.bare_load.is_some();
    load && reading.fields.reps.is_some()
}

/// Names a sign the correction aims at.
fn said_of_targets(case: &Case, reading: &Reading) -> bool {
    case.body.given.last().is_some_and(|given| {
        reading.signs.iter().any(|mention| {
            given.targets.contains(&mention.sign) || mention.polarity == Polarity::Absent
        })
    })
}

/// A message of the set under review was edited: read again with the new text.
fn edited(turn: &mut Turn<'_>, mut case: Case, part: Part) {
    for known in &mut case.body.parts {
        if known.message_id == part.message_id {
            known.text.clone_from(&part.text);
        }
    }
    case.body.rounds.pop();
    turn.effects.forget_texts.push((
        turn.event.key.source.clone(),
        turn.event.room_id.clone(),
        part.message_id,
    ));
    settle(turn, case, Vec::new());
}

/// One of the lifter's chat words.
fn say_word(turn: &mut Turn<'_>, word: LifterWord) {
    let words = turn.known.words;
    match word {
        LifterWord::Help => {
            let number = turn
                .known
                .rules
                .emergency_number(turn.lifter.zone.as_deref());
            let text = words.say("talk.help", &[("emergency_number", &number)]);
            turn.reply("first", text, None);
        }
        LifterWord::MyCases => my_cases(turn),
        LifterWord::Rack(word) => super::rack::answer(turn, word),
        LifterWord::AskCoach => ask_coach(turn),
        LifterWord::StopReminders => {
            turn.lifter.reminders = false;
            let person = turn.lifter.key.clone();
            turn.effects.follow_ups.push(FollowUpChange::CancelPerson {
                person: person.clone(),
            });
            turn.effects.withdraw.push(Withdraw::RemindersOf(person));
            turn.keep_lifter();
            turn.reply("first", words.say("talk.reminders_off", &[]), None);
        }
        LifterWord::StartReminders => {
            turn.lifter.reminders = true;
            turn.keep_lifter();
            let practising: Vec<Case> = turn
                .known
                .cases
                .iter()
                .filter(|case| case.state == CaseState::Practising)
                .cloned()
                .collect();
            for case in &practising {
                turn.date_follow_up(case, None);
            }
            turn.reply("first", words.say("talk.reminders_on", &[]), None);
        }
        LifterWord::DataRequest => {
            turn.keep_lifter();
            turn.reply("first", words.say("talk.data_request", &[]), None);
            let text = format!(
                "Data request from {} ({}): \"{}\"",
                crate::wording::escape(&turn.lifter.display_name),
                crate::wording::escape(&turn.lifter.key.person_id),
                crate::wording::escape(turn.text())
            );
            turn.alert("data", text, None);
        }
    }
}

/// Lists the lifter's own cases.
fn my_cases(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    if turn.known.cases.is_empty() {
        turn.reply("first", words.say("talk.no_cases", &[]), None);
        return;
    }
    let mut lines = vec![words.say("talk.my_cases", &[])];
    for case in turn.known.cases.iter().take(10) {
        let next = case
            .body
            .open_question
            .as_ref()
            .filter(|_| case.state == CaseState::Asking)
            .map(|question| format!(" ({})", question.text))
            .unwrap_or_default();
        let lift = case.lift.map_or("set", Lift::name);
        lines.push(words.say(
            "talk.my_case",
            &[
                ("number", &case.number.to_string()),
                ("lift", lift),
                ("state", state_words(case.state)),
                ("next", &next),
            ],
        ));
    }
    turn.reply("first", lines.join("\n"), None);
}

/// A state as said to a lifter.
const fn state_words(state: CaseState) -> &'static str {
    match state {
        CaseState::Asking => "one question is open",
        CaseState::Practising => "you are practising; post the next set here",
        CaseState::WithCoach => "the coach has it",
        CaseState::Halted => "stopped for safety",
        CaseState::Mended => "done",
        CaseState::Lapsed => "closed for want of an answer",
        CaseState::Withdrawn => "taken back",
    }
}

/// Hands the newest open case to the coach.
fn ask_coach(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let in_thread =
        |case: &&Case| turn.event.thread_id.is_some() && case.thread_id == turn.event.thread_id;
    let mut open = turn.known.cases.iter().filter(|case| case.state.is_open());
    let found = open
        .clone()
        .find(in_thread)
        .or_else(|| open.next())
        .cloned();
    let Some(mut case) = found else {
        turn.reply("first", words.say("talk.asked_nothing", &[]), None);
        return;
    };
    if case.state == CaseState::Halted {
        turn.say_halted(&case);
        return;
    }
    case.state = CaseState::WithCoach;
    case.body.open_question = None;
    let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
    let reason = Reason {
        id: "asked".to_owned(),
        why: "the lifter asked for the coach".to_owned(),
    };
    turn.queue(&case, Urgency::Asked, vec![reason], promised);
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    let by = promised
        .map(|at| times::today(&turn.zone, at))
        .map(figures::day);
    let date = by.unwrap_or_default();
    let text = words.say("talk.asked_coach", &[("date", &date)]);
    turn.reply("first", text, Some(&case));
    turn.keep(case);
}

/// Says the open question again.
pub(super) fn ask_again(turn: &mut Turn<'_>, case: &Case) {
    let Some(question) = &case.body.open_question else {
        return;
    };
    let words = turn.known.words;
    let said = question_lines(words, &question.text, &question.choices).join("\n");
    let text = words.say("talk.not_understood", &[("question", &said)]);
    turn.reply_with_buttons("first", text, case, Purpose::Reply);
}
