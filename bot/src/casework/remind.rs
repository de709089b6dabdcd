//! What has come due: a reminder, a lapse, a page to the coach. Everything is looked at again at
//! the moment of sending, for much may have happened since the date was set.

use super::{Known, guardian, outbox, times};
use crate::record::{
    CaseFile, CaseState, Effects, Entry, EntryKind, EventKey, FollowUp, FollowUpChange,
    FollowUpKind, Lifter, Purpose, QueueChange,
};
use jiff::{SignedDuration, Timestamp};

/// Time between the last reminder of a case and its lapse.
pub(super) const LAPSE_AFTER: SignedDuration = SignedDuration::from_hours(7 * 24);
/// After so long without a word from the lifter or the coach nothing is asked any more (common
/// practice, no source).
const SILENCE: SignedDuration = SignedDuration::from_hours(30 * 24);
/// A case that was just asked about comes due this much after the gap, so that another one of the
/// lifter's, put off until its end, has its turn first.
const AFTER_OTHERS: SignedDuration = SignedDuration::from_millis(1);
/// How often a page is repeated.
const MOST_PAGES: u32 = 2;

/// Decides what one dated ask does now that it is due.
pub fn due(follow_up: &FollowUp, file: &CaseFile, known: &Known<'_>, now: Timestamp) -> Effects {
    let mut effects = Effects::default();
    match follow_up.kind {
        FollowUpKind::PageCoach => page(follow_up, file, known, now, &mut effects),
        FollowUpKind::Answer => lapse(file, CaseState::Asking, now, &mut effects),
        FollowUpKind::Resubmit => remind(follow_up, file, known, now, &mut effects),
    }
    effects
}

/// The cause that keys of messages are made from: this ask and no other.
fn cause(follow_up: &FollowUp) -> EventKey {
    EventKey {
        source: "cueline:follow-up".to_owned(),
        id: follow_up.id.clone(),
    }
}

/// Pages the coach again while nobody has taken an emergency.
fn page(
    follow_up: &FollowUp,
    file: &CaseFile,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let Some(item) = &file.queue_item else {
        return;
    };
    if file.case.state != CaseState::Halted {
        return;
    }
    if let Some(until) = item.taken_until.filter(|until| *until > now) {
        // Somebody has it now; if that runs out unanswered, the page is due again.
        let later = next(follow_up, until, 0);
        effects.follow_ups.push(FollowUpChange::Open(later));
        return;
    }
    let name = file.lifter.as_ref().map_or_else(String::new, |lifter| {
        crate::wording::escape(&lifter.display_name)
    });
    let text = known.words.say(
        "coach.alert_again",
        &[("number", &file.case.number.to_string()), ("name", &name)],
    );
    let key = outbox::key(&cause(follow_up), "page");
    let source = &file.case.person.source;
    effects.outbox.extend(outbox::to_coach(
        known.rules,
        source,
        key,
        text,
        Some(&file.case.id),
    ));
    if follow_up.sent + 1 < MOST_PAGES
        && let Ok(at) = now.checked_add(known.rules.page_again)
    {
        effects
            .follow_ups
            .push(FollowUpChange::Open(next(follow_up, at, 1)));
    }
}

/// The ask after this one.
fn next(follow_up: &FollowUp, due_at: Timestamp, more: u32) -> FollowUp {
    FollowUp {
        id: outbox::key(&cause(follow_up), &due_at.to_string()),
        due_at,
        sent: follow_up.sent + more,
        ..follow_up.clone()
    }
}

/// Closes a case nobody answered in.
fn lapse(file: &CaseFile, expected: CaseState, now: Timestamp, effects: &mut Effects) {
    if file.case.state != expected {
        return;
    }
    let mut case = file.case.clone();
    case.state = CaseState::Lapsed;
    case.body.open_question = None;
    case.updated_at = now;
    effects.entries.push(Entry {
        case_id: case.id.clone(),
        at: now,
        kind: EntryKind::Change,
        who: "cueline".to_owned(),
        message_id: None,
        text: "lapsed: no answer".to_owned(),
    });
    effects.queue.push(QueueChange::Remove {
        case_id: case.id.clone(),
    });
    effects.cases.push(case);
}

/// A reminder to resubmit, if it may go out at all, now.
fn remind(
    follow_up: &FollowUp,
    file: &CaseFile,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let rules = known.rules;
    let Some(lifter) = &file.lifter else { return };
    let halted = known
        .cases
        .iter()
        .any(|case| case.state == CaseState::Halted);
    if file.case.state != CaseState::Practising || unwanted(lifter) {
        return;
    }
    if halted {
        // Nothing while a stop is on; looked at again after it.
        if let Ok(later) = now.checked_add(rules.reminder_gap) {
            let later = next(follow_up, later, 0);
            effects.follow_ups.push(FollowUpChange::Open(later));
        }
        return;
    }
    let silent_at = heard(file).checked_add(SILENCE).unwrap_or(now);
    if follow_up.sent >= rules.most_reminders || silent_at <= now {
        lapse(file, CaseState::Practising, now, effects);
        return;
    }
    if lifter.profile.quiet_since.is_some() {
        // Illness or a death: nothing is asked; without a word the case closes by itself.
        let later = next(follow_up, silent_at, 0);
        effects.follow_ups.push(FollowUpChange::Open(later));
        return;
    }
    let zone = times::zone(rules, lifter.zone.as_deref());
    let earliest = lifter
        .last_reminder
        .and_then(|last| last.checked_add(rules.reminder_gap).ok())
        .map_or(now, |at| at.max(now));
    let at = times::after_quiet(rules, &zone, earliest);
    if at > now {
        effects
            .follow_ups
            .push(FollowUpChange::Open(next(follow_up, at, 0)));
        return;
    }
    send(follow_up, file, known, now, effects);
    let last = follow_up.sent + 1 >= rules.most_reminders;
    let gap = rules.reminder_gap.saturating_add(AFTER_OTHERS);
    if let Ok(at) = now.checked_add(if last { LAPSE_AFTER } else { gap }) {
        let at = times::after_quiet(rules, &zone, at);
        effects
            .follow_ups
            .push(FollowUpChange::Open(next(follow_up, at, 1)));
    }
}

/// The lifter has said stop or is gone, or a parent or guardian has said no.
fn unwanted(lifter: &Lifter) -> bool {
    !lifter.reminders || lifter.left || guardian::refuses(lifter)
}

/// When the lifter or the coach last said something in the case.
fn heard(file: &CaseFile) -> Timestamp {
    let lifter = file.lifter.as_ref();
    let lifter = lifter.and_then(|lifter| lifter.profile.heard_at);
    let spoken = |entry: &&Entry| matches!(entry.kind, EntryKind::Lifter | EntryKind::Coach);
    let last = file.entries.iter().filter(spoken).map(|entry| entry.at);
    let rounds = file.case.body.rounds.iter().map(|round| round.at);
    last.chain(rounds)
        .chain(lifter)
        .max()
        .unwrap_or(file.case.opened_at)
}

/// Writes the reminder.
fn send(
    follow_up: &FollowUp,
    file: &CaseFile,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let Some(mut lifter) = file.lifter.clone() else {
        return;
    };
    let case = &file.case;
    let correction = case.body.given.last().and_then(|given| {
        known
            .catalog
            .lifts
            .get(&case.lift?)?
            .correction(&given.cause)
    });
    let cue = correction.map_or("", |correction| correction.cue.trim_end_matches('.'));
    let given = |given: &crate::record::Given| given.at;
    let body = &case.body;
    // The coach's own words came after the last correction of the catalog: they are what is practised.
    let coachs = body.by_coach.last().map(given) > body.given.last().map(given);
    let text = known.words.say(
        match follow_up.sent {
            0 if coachs => "reminder.coach",
            0 if !cue.is_empty() => "reminder.first",
            _ => "reminder.again",
        },
        &[
            ("name", &crate::wording::escape(&lifter.display_name)),
            (
                "lift",
                case.lift.map_or("set", cueline_core::report::Lift::name),
            ),
            ("cue", cue),
        ],
    );
    effects.entries.push(Entry {
        case_id: case.id.clone(),
        at: now,
        kind: EntryKind::Reminder,
        who: "cueline".to_owned(),
        message_id: None,
        text: text.clone(),
    });
    let cause = cause(follow_up);
    effects.outbox.push(outbox::to_lifter(
        &cause,
        "reminder",
        text,
        case,
        Purpose::Reminder,
    ));
    lifter.last_reminder = Some(now);
    effects.lifter = Some(lifter);
    let mut case = case.clone();
    case.body.reminders += 1;
    case.updated_at = now;
    effects.cases.push(case);
}

/// What becomes of a reminder at the moment it would be sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// It goes out.
    Send,
    /// It waits until the quiet hours are over.
    Until(Timestamp),
    /// It is not wanted any more.
    Drop,
}

/// Looks at a written reminder once more: a platform's outage may have kept it into the night, or
/// until after the lifter has answered, left or said stop.
pub fn hold_reminder(
    file: &CaseFile,
    known: &Known<'_>,
    written_at: Timestamp,
    now: Timestamp,
) -> Hold {
    let Some(lifter) = &file.lifter else {
        return Hold::Drop;
    };
    let answered = file.case.body.rounds.last();
    if answered.is_some_and(|round| round.at > written_at) {
        return Hold::Drop;
    }
    let halted = known
        .cases
        .iter()
        .any(|case| case.state == CaseState::Halted);
    if file.case.state != CaseState::Practising || halted || unwanted(lifter) {
        return Hold::Drop;
    }
    let silent_at = heard(file).checked_add(SILENCE).unwrap_or(now);
    if lifter.profile.quiet_since.is_some() || silent_at <= now {
        return Hold::Drop;
    }
    let zone = times::zone(known.rules, lifter.zone.as_deref());
    match times::after_quiet(known.rules, &zone, now) {
        at if at > now => Hold::Until(at),
        _ => Hold::Send,
    }
}
