//! A stopped case the coach has dealt with: out of the queue, so that nobody reads it twice, and back in
//! it with the next thing the lifter does. The stop itself stays; the coach alone lifts it.

use super::coach::{held_by_other, lifter_name, say_held, write};
use super::turn::Turn;
use crate::record::{
    Case, CaseFile, CaseState, Entry, EntryKind, FollowUpChange, QueueChange, Reason, Urgency,
};

/// Noted when a coach stops a case by hand: the lifter is told by that.
pub(super) const STOPPED: &str = "stopped by the coach";

/// Whether the coach has spoken, or stopped the case, after everything the lifter wrote: nothing is unread.
pub fn dealt_with(file: &CaseFile) -> bool {
    let coachs = |entry: &Entry| {
        entry.kind == EntryKind::Coach || (entry.kind == EntryKind::Change && entry.text == STOPPED)
    };
    let lifters = |entry: &Entry| entry.kind == EntryKind::Lifter;
    let spoke = file.entries.iter().rposition(coachs);
    spoke.is_some() && spoke > file.entries.iter().rposition(lifters)
}

/// Takes a stopped case out of the queue until the lifter writes.
pub(super) fn set(turn: &mut Turn<'_>, file: &CaseFile) -> String {
    let number = file.case.number.to_string();
    if let Some((by, until)) = held_by_other(turn, file) {
        return say_held(turn, file, by, until);
    }
    let values = [("number", &*number), ("name", &*lifter_name(file))];
    if !dealt_with(file) {
        return turn.known.words.say("coach.aside_first", &values);
    }
    let said = turn.known.words.say("coach.set_aside", &values);
    turn.effects.queue.push(QueueChange::Remove {
        case_id: file.case.id.clone(),
    });
    // An emergency that was answered is not paged again.
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: file.case.id.clone(),
    });
    let mut case = file.case.clone();
    case.body.set_aside = true;
    write(turn, case, "set aside until the lifter writes");
    said
}

/// Puts a stopped case that was set aside before the coach again: the lifter has written, or changed
/// something.
pub(super) fn back(turn: &mut Turn<'_>, case: &mut Case) {
    if case.state != CaseState::Halted || !case.body.set_aside {
        return;
    }
    case.body.set_aside = false;
    let put =
        |change: &QueueChange| matches!(change, QueueChange::Put(item) if item.case_id == case.id);
    if turn.effects.queue.iter().any(put) {
        // New words of danger bring it back by themselves, with their own reasons.
        return;
    }
    let reason = Reason {
        id: "halted".to_owned(),
        why: "stopped for safety, and the lifter has written since you answered".to_owned(),
    };
    let promise = turn.known.rules.promise_clinician;
    let promised = turn.now.checked_add(promise).ok();
    turn.queue(case, Urgency::Clinician, vec![reason], promised);
}
