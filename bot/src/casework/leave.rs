//! Messages taken back, and members gone.

use super::Known;
use super::intake::{person, stranger};
use super::turn::Turn;
use crate::record::{
    Case, CaseState, Effects, EntryKind, Event, FollowUpChange, PersonKey, QueueChange, Reason,
    Urgency, Withdraw,
};
use cueline_core::triage::Level;
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
    let holds = |case: &&Case| {
        let mut parts = case.body.parts.iter();
        parts.any(|part| part.message_id == message_id)
    };
    let earlier = |case: &&Case| known.about.as_ref() == Some(&case.id);
    let mut cases = known.cases.iter();
    let found = cases.clone().find(holds).or_else(|| cases.find(earlier));
    let Some(mut case) = found.cloned() else {
        return;
    };
    let under_review = holds(&&case);
    case.body.parts.retain(|part| part.message_id != message_id);
    let lifter = super::intake::lifter(event, known);
    let mut turn = Turn::new(event, known, now, lifter, effects);
    forget_words(&mut turn, &mut case);
    let over = case.body.parts.is_empty() && under_review;
    // A stop stays on: taking the words back does not make it safe to lift.
    if over && matches!(case.state, CaseState::Asking | CaseState::Practising) {
        case.state = CaseState::Withdrawn;
        case.body.open_question = None;
        turn.effects.queue.push(QueueChange::Remove {
            case_id: case.id.clone(),
        });
        turn.effects.follow_ups.push(FollowUpChange::CancelCase {
            case_id: case.id.clone(),
        });
        turn.effects.withdraw.push(Withdraw::Case(case.id.clone()));
    }
    if under_review {
        let text = "message taken back".to_owned();
        turn.entry(&case, EntryKind::Change, "cueline", None, text);
    }
    turn.keep(case);
}

/// Empties what was quoted of a lifter in a case: the rounds, the reasons, the queue.
fn forget_words(turn: &mut Turn<'_>, case: &mut Case) {
    for round in &mut case.body.rounds {
        round.report.words = None;
        round.flags.iter_mut().for_each(|(_, quote)| quote.clear());
    }
    for raised in &mut case.body.raised {
        "the message was taken back".clone_into(&mut raised.why);
    }
    let urgency = match (case.state, case.body.halt) {
        (CaseState::Halted, Some(Level::Emergency)) => Urgency::Emergency,
        (CaseState::Halted, _) => Urgency::Clinician,
        (CaseState::WithCoach, _) => Urgency::Eye,
        _ => return,
    };
    let reason = Reason {
        id: "taken-back".to_owned(),
        why: "the lifter took the message back".to_owned(),
    };
    turn.queue(case, urgency, vec![reason], None);
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
        .unwrap_or_else(|| stranger(key.clone(), &event.actor.display_name));
    lifter.left = true;
    lifter.profile.left_at = Some(event.time);
    effects.follow_ups.push(FollowUpChange::CancelPerson {
        person: key.clone(),
    });
    effects.withdraw.push(Withdraw::RemindersOf(key.clone()));
    let mut turn = Turn::new(event, known, now, lifter, effects);
    let here = |case: &&Case| case.person == key && case.room_id == event.room_id;
    for case in known.cases.iter().filter(here) {
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
