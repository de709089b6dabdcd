//! Which case a message belongs to: by thread, by what it answers, by an open question, by lift.

use super::{Known, whose};
use crate::record::{Case, CaseState, Event, Payload};
use cueline_core::reading::{FlagLevel, Polarity, Reading};

/// The text reports a set, or something about one.
pub(super) fn is_set(reading: &Reading) -> bool {
    let fields = &reading.fields;
    reading.level > FlagLevel::None
        || fields.load.is_some()
        || reading.bare_load.is_some()
        || fields.missed.is_some()
        || (fields.lift.is_some() && fields.reps.is_some())
        || !reading.signs.is_empty()
        || !reading.asks.is_empty()
}

/// A whole set, rather than an answer: load and repetitions of its own.
pub(super) fn is_new_set(reading: &Reading) -> bool {
    let load = reading.fields.load.is_some() || reading.bare_load.is_some();
    load && reading.fields.reps.is_some()
}

/// Names a sign the running correction aims at.
pub(super) fn said_of_targets(case: &Case, reading: &Reading) -> bool {
    case.body.given.last().is_some_and(|given| {
        reading.signs.iter().any(|mention| {
            given.targets.contains(&mention.sign) || mention.polarity == Polarity::Absent
        })
    })
}

/// The case whose set was read from this message; an open one before one that is over.
pub(super) fn holding<'a>(known: &'a Known<'_>, message_id: &str) -> Option<&'a Case> {
    let holds = |case: &&Case| {
        let mut parts = case.body.parts.iter();
        parts.any(|part| part.message_id == message_id)
    };
    let open = known
        .cases
        .iter()
        .find(|case| case.state.is_open() && holds(case));
    open.or_else(|| known.cases.iter().find(holds))
}

/// Another lift than the case's is named: a case of its own.
fn same_lift(case: &Case, reading: &Reading) -> bool {
    match (case.lift, reading.fields.lift) {
        (Some(known), Some(said)) => known == said,
        _ => true,
    }
}

/// The case a message belongs to.
pub(super) fn belongs<'a>(
    event: &Event,
    known: &'a Known<'_>,
    reading: &Reading,
) -> Option<&'a Case> {
    let near = || {
        let elsewhere = named_over(event, known).is_some();
        nearby(event, known, reading).filter(|_| !elsewhere)
    };
    addressed(event, known, reading).or_else(near)
}

/// The case the message is addressed to: in its thread, or as an answer to one of its messages.
pub(super) fn addressed<'a>(
    event: &Event,
    known: &'a Known<'_>,
    reading: &Reading,
) -> Option<&'a Case> {
    let open = || {
        known
            .cases
            .iter()
            .filter(|case| case.state.is_open() && same_lift(case, reading))
    };
    let by_number = || {
        let number = case_named(event)?;
        open().find(|case| case.number == number)
    };
    let by_thread = open().find(|case| in_thread(case, event));
    let by_answer = || {
        let id = known.ours.as_ref()?.case_id.as_ref()?;
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
            let mut parts = case.body.parts.iter();
            parts.any(|part| part.message_id == *quoted)
        })
    };
    by_number()
        .or(by_thread)
        .or_else(by_answer)
        .or_else(by_quote)
}

/// The case that is over and that a message names: what it tells is no set of another case.
pub(super) fn named_over<'a>(event: &Event, known: &'a Known<'_>) -> Option<&'a Case> {
    let number = case_named(event)?;
    let mut cases = known.cases.iter();
    cases.find(|case| case.number == number && !case.state.is_open())
}

/// The number of the case a message says it is about: `case 12: squat 140 kg x 3`.
fn case_named(event: &Event) -> Option<i64> {
    let Payload::Message { text, .. } = &event.payload else {
        return None;
    };
    let lower = text.to_ascii_lowercase();
    let mut words = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty());
    words.by_ref().take(8).find(|word| *word == "case")?;
    words.next()?.parse().ok()
}

/// The event happened in the case's thread, or in one begun on the message that opened it.
pub(super) fn in_thread(case: &Case, event: &Event) -> bool {
    event.thread_id.is_some()
        && (case.thread_id == event.thread_id || case.body.root == event.thread_id)
}

/// The case in the same room that the message is most likely about.
fn nearby<'a>(event: &Event, known: &'a Known<'_>, reading: &Reading) -> Option<&'a Case> {
    let whom = match &event.payload {
        Payload::Message { text, .. } if is_new_set(reading) => whose::whom(text),
        _ => None,
    };
    let here = || {
        known.cases.iter().filter(|case| {
            case.state.is_open()
                && (!is_new_set(reading) || case.body.for_whom == whom)
                && case.room_id == event.room_id
                && (event.thread_id.is_none() || case.thread_id == event.thread_id)
        })
    };
    let waits = |case: &&Case| {
        let asks = case.state == CaseState::Asking || case.body.open_question.is_some();
        asks && same_lift(case, reading)
    };
    let by_lift = || {
        is_set(reading)
            .then(|| here().find(|case| case.lift.is_some() && case.lift == reading.fields.lift))?
    };
    let only_one = || {
        // Signs alone ("they are gone now") speak of the one case there is.
        let mut cases = here();
        let only = cases.next()?;
        let speaks = !reading.signs.is_empty() || reading.level > FlagLevel::None;
        (cases.next().is_none() && reading.fields.lift.is_none() && speaks).then_some(only)
    };
    here().find(waits).or_else(by_lift).or_else(only_one)
}
