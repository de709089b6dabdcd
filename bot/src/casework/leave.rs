//! Messages taken back, and members gone.

use super::Known;
use super::intake::person;
use super::settle::settle;
use super::turn::Turn;
use crate::record::{
    CaseState, Effects, EntryKind, Event, FollowUpChange, Lifter, PersonKey, Profile, QueueChange,
    Withdraw,
};
use jiff::Timestamp;

/// A message was taken back: its text is forgotten, and a case made of nothing else is withdrawn.
pub(super) fn deleted(
    event: &Event,
    message_id: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    effects.forget_texts.push((
        event.key.source.clone(),
        event.room_id.clone(),
        message_id.to_owned(),
    ));
    let found = known.cases.iter().find(|case| {
        case.body
            .parts
            .iter()
            .any(|part| part.message_id == message_id)
    });
    let Some(mut case) = found.cloned() else {
        return;
    };
    case.body.parts.retain(|part| part.message_id != message_id);
    let lifter = super::intake::lifter(event, known);
    let mut turn = Turn::new(event, known, now, lifter, effects);
    for round in &mut case.body.rounds {
        round.report.words = None;
        round.flags.iter_mut().for_each(|(_, quote)| quote.clear());
    }
    if !case.state.is_open() {
        turn.keep(case);
        return;
    }
    if !case.body.parts.is_empty() && case.state != CaseState::Halted {
        case.body.rounds.pop();
        settle(&mut turn, case, Vec::new());
        return;
    }
    // A stop stays on: taking the words back does not make it safe to lift.
    if case.state != CaseState::Halted {
        case.state = CaseState::Withdrawn;
        case.body.open_question = None;
        turn.effects.queue.push(QueueChange::Remove {
            case_id: case.id.clone(),
        });
    }
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    turn.effects.withdraw.push(Withdraw::Case(case.id.clone()));
    turn.entry(
        &case,
        EntryKind::Change,
        "cueline",
        None,
        "message taken back".to_owned(),
    );
    turn.keep(case);
}

/// A member is gone: no reminders, nothing asked any more. What waits for the coach for safety
/// stays there.
pub(super) fn left(
    event: &Event,
    member_id: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let key = PersonKey {
        person_id: member_id.to_owned(),
        ..person(event)
    };
    // What is known was loaded for the member, who need not be the one who acted.
    let mut lifter = known
        .lifter
        .clone()
        .filter(|lifter| lifter.key == key)
        .unwrap_or_else(|| Lifter {
            key: key.clone(),
            display_name: event.actor.display_name.clone(),
            zone: None,
            reminders: true,
            left: false,
            last_reminder: None,
            profile: Profile::default(),
            version: 0,
        });
    lifter.left = true;
    lifter.profile.left_at = Some(event.time);
    effects.follow_ups.push(FollowUpChange::CancelPerson {
        person: key.clone(),
    });
    effects.withdraw.push(Withdraw::RemindersOf(key.clone()));
    let mut turn = Turn::new(event, known, now, lifter, effects);
    for case in known.cases.iter().filter(|case| case.person == key) {
        if !matches!(case.state, CaseState::Asking | CaseState::Practising) {
            continue;
        }
        let mut case = case.clone();
        case.state = CaseState::Withdrawn;
        case.body.open_question = None;
        turn.effects.queue.push(QueueChange::Remove {
            case_id: case.id.clone(),
        });
        turn.entry(
            &case,
            EntryKind::Change,
            "cueline",
            None,
            "the lifter left".to_owned(),
        );
        turn.keep(case);
    }
    turn.keep_lifter();
}
