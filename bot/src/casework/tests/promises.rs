//! What must hold after every step, whatever was said before.

use super::world::{ROOM, World, built_in, person};
use crate::casework::aside::STOPPED;
use crate::casework::guardian::refuses;
use crate::casework::times;
use crate::record::{
    CaseState, EntryKind, FollowUpKind, Lifter, Outgoing, Purpose, QueueItem, Urgency,
};
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;

/// What a person was told that binds the service.
#[derive(Default)]
pub(super) struct Bound {
    /// Their own words were the last of hard times; nothing is asked.
    pub(super) ill: BTreeMap<String, bool>,
    /// When they last wrote or pressed anything.
    pub(super) heard: BTreeMap<String, Timestamp>,
}

/// No load and no technique in what goes to a lifter.
pub(super) fn assert_no_loads(out: &[Outgoing]) {
    for message in out.iter().filter(|m| m.purpose == Purpose::Reply) {
        for word in [
            "a side",
            "Practise:",
            "Set-up:",
            "Where you stand",
            "bar only",
        ] {
            assert!(
                !message.text.contains(word),
                "\"{word}\" under a stop: {}",
                message.text
            );
        }
    }
}

/// Every reminder sent while time passed was allowed.
pub(super) fn check_reminders(before: &World, world: &World, from: usize, bound: &Bound) {
    let rules = &built_in().rules;
    for (index, sent) in world.sent.iter().enumerate().skip(from) {
        if sent.message.purpose != Purpose::Reminder {
            continue;
        }
        let who = sent.message.person_id.as_deref().unwrap();
        let lifter: &Lifter = &before.lifters[&person(who)];
        assert!(lifter.reminders && !lifter.left, "after an opt-out");
        assert!(!refuses(lifter), "after a guardian's no");
        assert_ne!(bound.ill.get(who), Some(&true), "in hard times");
        let stopped = before.cases_of(&person(who));
        assert!(
            stopped.iter().all(|case| case.state != CaseState::Halted),
            "under a stop"
        );
        let zone = times::zone(rules, lifter.zone.as_deref());
        let local = zone.to_datetime(sent.at);
        assert!((9..21).contains(&local.hour()), "at night: {local}");
        let earlier = world.sent.iter().take(index).rev().filter(|other| {
            other.message.purpose == Purpose::Reminder
                && other.message.person_id.as_deref() == Some(who)
        });
        if let Some(last) = earlier.clone().next() {
            let apart = sent.at.duration_since(last.at);
            assert!(
                apart >= SignedDuration::from_hours(7 * 24),
                "{apart:?} apart"
            );
        }
        let same = earlier.filter(|other| other.message.case_id == sent.message.case_id);
        assert!(same.count() < 3, "a fourth for one case");
        let coach = world.entries.iter().filter(|e| {
            Some(&e.case_id) == sent.message.case_id.as_ref() && e.kind == EntryKind::Coach
        });
        let heard = coach
            .map(|e| e.at)
            .chain(bound.heard.get(who).copied())
            .max();
        let silent = sent.at.duration_since(heard.unwrap());
        assert!(
            silent < SignedDuration::from_hours(30 * 24),
            "after {silent:?} of silence"
        );
    }
}

/// What holds after every step.
pub(super) fn check(world: &World) {
    for case in world.cases.values() {
        let queued: Option<&QueueItem> = world.queue.get(&case.id);
        let asks = world.open_asks(&case.id);
        let has = |kind: FollowUpKind| asks.iter().any(|ask| ask.kind == kind);
        let lifter = &world.lifters[&case.person];
        let about = format!("case {} {:?}", case.number, case.state);
        match case.state {
            CaseState::Asking => {
                assert!(
                    has(FollowUpKind::Answer),
                    "{about}: a question never lapses"
                );
            }
            CaseState::Practising => {
                let wanted = lifter.reminders && !lifter.left && !refuses(lifter);
                assert!(
                    has(FollowUpKind::Resubmit) || !wanted,
                    "{about}: nothing is dated"
                );
                assert!(queued.is_none() || !has(FollowUpKind::Answer), "{about}");
            }
            CaseState::WithCoach => assert!(queued.is_some(), "{about}: nobody sees it"),
            CaseState::Halted => {
                // Set aside once the coach has dealt with it, and back with the lifter's next word.
                let aside = case.body.set_aside;
                assert_ne!(queued.is_some(), aside, "{about}: set aside {aside}");
                assert!(
                    queued.is_none_or(|item| item.urgency <= Urgency::Clinician),
                    "{about}: {queued:?}"
                );
                let newest = world.entries.iter().rev().find(|entry| {
                    let said = [EntryKind::Lifter, EntryKind::Coach].contains(&entry.kind);
                    let stop = entry.kind == EntryKind::Change && entry.text == STOPPED;
                    entry.case_id == case.id && (said || stop)
                });
                let unread = newest.is_none_or(|entry| entry.kind == EntryKind::Lifter);
                assert!(!(aside && unread), "{about}: unread, and nobody sees it");
                assert!(
                    !has(FollowUpKind::Resubmit),
                    "{about}: reminded under a stop"
                );
            }
            CaseState::Mended | CaseState::Lapsed | CaseState::Withdrawn => {
                // A coach may take up a case that is over; nothing else puts it back.
                let taken_up = |item: &QueueItem| item.reasons.iter().all(|why| why.id == "coach");
                assert!(
                    queued.is_none_or(taken_up),
                    "{about}: waits though it is over"
                );
                assert!(case.body.open_question.is_none(), "{about}: still asks");
            }
        }
        let open = case.body.open_question.as_ref();
        let may = matches!(case.state, CaseState::Asking | CaseState::Practising);
        assert!(open.is_none() || may, "{about}: a question nobody waits on");
        assert_eq!(case.room_id, ROOM);
    }
    for sent in &world.sent {
        let mut questions: Vec<&str> = sent
            .message
            .choices
            .iter()
            .filter_map(|choice| choice.choice_id.rsplit_once(':'))
            .map(|(question, _)| question)
            .collect();
        questions.dedup();
        assert!(questions.len() <= 1, "two questions in one message");
    }
}
