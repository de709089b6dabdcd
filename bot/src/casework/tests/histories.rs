//! Random histories: whatever people write, press, edit and take back in whatever order, and
//! however much time passes, the promises hold after every step.

use super::world::{ROOM, World, built_in, person};
use crate::casework::times;
use crate::record::{
    CaseState, FollowUpKind, LeaveReason, Lifter, Outgoing, Payload, Purpose, QueueItem, Urgency,
};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use std::collections::{BTreeMap, BTreeSet};

/// Whole sets: each is answered by exactly one first reply.
const SETS: [&str; 9] = [
    "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core feels squishy, then hips shoot up. best 165 kg",
    "squat 140 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to breathe and hips don't shoot up",
    "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, best 95 kg, spotter there",
    "deadlift 315 x 3 @8, hips shoot before it moves, shoulders behind the bar",
    "squat 1200 kg x 3 @8, I dive bomb it",
    "my squat feels heavy, 80 kg x 5 rpe 7",
    "posting for my wife: squat 60 kg x 5 @8, knees cave in",
    "squat 140x3, bench 100x5, deadlift 180x2 kg",
    "deadlift 90 kg x 4 rpe 8, im 16, my back rounds",
];
/// Danger, at a stop level.
const DANGER: [&str; 2] = [
    "felt a tightness across my chest on rep 3 of bench 60 kg x 5 and it hasnt gone",
    "deadlift 200 kg x 2, felt a pop in my hamstring and its bruising",
];
/// Everything else a lifter may write.
const TALK: [&str; 22] = [
    "thanks!",
    "1",
    "2",
    "kg",
    "lb",
    "help",
    "my cases",
    "my profile",
    "ask the coach",
    "stop reminders",
    "start reminders",
    "same as last week but 5 kg more",
    "my best squat is 180 kg",
    "I only have 20s and 10s",
    "I train in lb",
    "I have the flu",
    "remind me in 3 days",
    "my time zone is Australia/Lord_Howe",
    "plates 142.5 kg",
    "warm up to 120 kg",
    "hips still shoot up",
    "what a day",
];
/// What a coach may say about a case.
const ORDERS: [&str; 8] = [
    "take N",
    "say N move the feet back a hand",
    "halt N looks unsafe",
    "lift halt N",
    "finish N",
    "show N",
    "hand N to ana",
    "review sheet 20 minutes",
];
const PEOPLE: [&str; 2] = ["mara", "tobi"];

#[derive(Clone, Debug)]
enum Step {
    Set(usize, usize, bool),
    Danger(usize, usize),
    Talk(usize, usize, bool),
    Press(usize, usize),
    Edit(usize, usize),
    TakeBack(usize),
    Leave(usize),
    Coach(usize, usize, bool),
    Pass(i64),
}

fn step() -> impl Strategy<Value = Step> {
    let who = 0..PEOPLE.len();
    prop_oneof![
        5 => (who.clone(), 0..SETS.len(), any::<bool>()).prop_map(|(w, t, th)| Step::Set(w, t, th)),
        1 => (who.clone(), 0..DANGER.len()).prop_map(|(w, t)| Step::Danger(w, t)),
        6 => (who.clone(), 0..TALK.len(), any::<bool>()).prop_map(|(w, t, th)| Step::Talk(w, t, th)),
        4 => (0_usize..6, 0_usize..4).prop_map(|(message, button)| Step::Press(message, button)),
        2 => (0_usize..6, 0..SETS.len()).prop_map(|(message, text)| Step::Edit(message, text)),
        1 => (0_usize..6).prop_map(Step::TakeBack),
        1 => who.prop_map(Step::Leave),
        4 => (0..ORDERS.len(), 0_usize..6, any::<bool>()).prop_map(|(o, c, a)| Step::Coach(o, c, a)),
        4 => prop_oneof![1_i64..12, 24_i64..200, 300_i64..900].prop_map(Step::Pass),
    ]
}

/// Messages of lifters, newest last: who, where, id, version.
type Written = Vec<(String, Option<String>, String, u32)>;

/// What a person was told that binds the service.
#[derive(Default)]
struct Bound {
    /// Their own words were the last of hard times; nothing is asked.
    ill: BTreeMap<String, bool>,
    /// When they last wrote or pressed anything.
    heard: BTreeMap<String, Timestamp>,
}

/// Plays one step and checks what it sent.
fn play(world: &mut World, written: &mut Written, bound: &mut Bound, step: &Step) {
    let now = world.now;
    let halted_before = |world: &World, who: &str| {
        let cases = world.cases_of(&person(who));
        cases.iter().any(|case| case.state == CaseState::Halted)
    };
    match step {
        Step::Set(who, text, thread) | Step::Talk(who, text, thread) => {
            let whole = matches!(step, Step::Set(..));
            let who = PEOPLE[*who];
            let text = if whole { SETS[*text] } else { TALK[*text] };
            let thread = thread.then_some("t-1");
            let (out, id) = world.says_in(who, thread, text);
            bound.heard.insert(who.to_owned(), now);
            if whole || text == "start reminders" || text.starts_with("same as") {
                bound.ill.insert(who.to_owned(), false);
            }
            if text == "I have the flu" {
                bound.ill.insert(who.to_owned(), true);
            }
            if text.starts_with("remind me") {
                bound.ill.insert(who.to_owned(), false);
            }
            let replies = out.iter().filter(|m| m.purpose == Purpose::Reply).count();
            if whole {
                assert_eq!(replies, 1, "one first reply to \"{text}\": {out:#?}");
            }
            assert!(replies <= 1, "more than one reply to \"{text}\"");
            if halted_before(world, who) {
                assert_no_loads(&out);
            }
            written.push((who.to_owned(), thread.map(str::to_owned), id, 1));
        }
        Step::Danger(who, text) => {
            let who = PEOPLE[*who];
            let (out, id) = world.says(who, DANGER[*text]);
            bound.heard.insert(who.to_owned(), now);
            assert!(halted_before(world, who), "a red flag stops");
            assert_no_loads(&out);
            let alerts = out.iter().filter(|m| m.purpose == Purpose::Alert).count();
            assert_eq!(alerts, 1, "the coach is told at once");
            written.push((who.to_owned(), None, id, 1));
        }
        Step::Press(message, button) => {
            let with_buttons = world
                .sent
                .iter()
                .rev()
                .filter(|s| !s.message.choices.is_empty());
            let Some(sent) = with_buttons.clone().nth(*message).cloned() else {
                return;
            };
            let choices = &sent.message.choices;
            let choice = choices[button % choices.len()].choice_id.clone();
            let who = sent.message.person_id.clone().unwrap();
            let payload = Payload::Choice {
                message_id: sent.platform_id.clone(),
                choice_id: choice,
            };
            let event = world.event(&who, sent.message.thread_id.as_deref(), payload);
            let out = world.happens(&event);
            bound.heard.insert(who.clone(), now);
            assert_eq!(
                out.iter().filter(|m| m.purpose == Purpose::Reply).count(),
                1
            );
            if halted_before(world, &who) {
                assert_no_loads(&out);
            }
        }
        Step::Edit(message, text) => {
            let Some((who, thread, id, version)) = written.iter_mut().rev().nth(*message) else {
                return;
            };
            *version += 1;
            let stopped = halted_before(world, who);
            let out = world.edits(who, thread.as_deref(), id, *version, SETS[*text]);
            bound.heard.insert(who.clone(), now);
            // A set told by mending an older message is a set as well.
            bound.ill.insert(who.clone(), false);
            assert!(out.iter().filter(|m| m.purpose == Purpose::Reply).count() <= 1);
            assert!(
                !stopped || halted_before(world, who),
                "an edit never lifts a stop"
            );
            if stopped {
                assert_no_loads(&out);
            }
        }
        Step::TakeBack(message) => {
            let Some((who, thread, id, _)) = written.iter().rev().nth(*message).cloned() else {
                return;
            };
            let stopped = halted_before(world, &who);
            let payload = Payload::Deleted {
                message_id: id.clone(),
                deleted_by: who.clone(),
            };
            let event = world.event(&who, thread.as_deref(), payload);
            world.happens(&event);
            bound.heard.insert(who.clone(), now);
            assert!(
                !stopped || halted_before(world, &who),
                "nor does taking it back"
            );
            let left = world
                .entries
                .iter()
                .filter(|e| e.message_id.as_ref() == Some(&id));
            assert!(
                left.clone().all(|entry| entry.text.is_empty()),
                "words taken back are kept"
            );
        }
        Step::Leave(who) => {
            let payload = Payload::Left {
                member_id: PEOPLE[*who].to_owned(),
                reason: LeaveReason::Left,
            };
            let event = world.event(PEOPLE[*who], None, payload);
            world.happens(&event);
            // What is written at the very moment of leaving counts as written before.
            world.now += SignedDuration::from_secs(1);
        }
        Step::Coach(order, case, ana) => {
            let who = if *ana { "ana" } else { "wren" };
            let number = (case + 1).to_string();
            let (out, _) = world.says(who, &ORDERS[*order].replace('N', &number));
            assert!(!out.is_empty(), "an order is answered");
        }
        Step::Pass(hours) => {
            let sent = world.sent.len();
            let clone = world.clone();
            world.pass(*hours);
            check_reminders(&clone, world, sent, bound);
        }
    }
}

/// No load and no technique in what goes to a lifter.
fn assert_no_loads(out: &[Outgoing]) {
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
fn check_reminders(before: &World, world: &World, from: usize, bound: &Bound) {
    let rules = &built_in().rules;
    for (index, sent) in world.sent.iter().enumerate().skip(from) {
        if sent.message.purpose != Purpose::Reminder {
            continue;
        }
        let who = sent.message.person_id.as_deref().unwrap();
        let lifter: &Lifter = &before.lifters[&person(who)];
        assert!(lifter.reminders && !lifter.left, "after an opt-out");
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
            Some(&e.case_id) == sent.message.case_id.as_ref()
                && e.kind == crate::record::EntryKind::Coach
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
fn check(world: &World) {
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
                let wanted = lifter.reminders && !lifter.left;
                assert!(
                    has(FollowUpKind::Resubmit) || !wanted,
                    "{about}: nothing is dated"
                );
                assert!(queued.is_none() || !has(FollowUpKind::Answer), "{about}");
            }
            CaseState::WithCoach => assert!(queued.is_some(), "{about}: nobody sees it"),
            CaseState::Halted => {
                let item = queued.unwrap_or_else(|| panic!("{about}: nobody sees it"));
                assert!(
                    item.urgency <= Urgency::Clinician,
                    "{about}: {:?}",
                    item.urgency
                );
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

/// From every state some input leads on.
fn check_ways_out(world: &World) {
    for case in world.cases.values() {
        let mut next = world.clone();
        let who = case.person.person_id.clone();
        let number = case.number;
        let state = |world: &World| world.cases[&case.id].state;
        match case.state {
            CaseState::Halted => {
                next.says("wren", &format!("take {number}"));
                next.says("wren", &format!("lift halt {number}"));
                assert_eq!(state(&next), CaseState::WithCoach);
            }
            CaseState::WithCoach => {
                next.pass(1);
                next.says("wren", &format!("say {number} try it with a pause"));
                next.says("wren", &format!("finish {number}"));
                assert_eq!(state(&next), CaseState::Practising);
            }
            CaseState::Asking => {
                next.pass(24 * 40);
                assert_eq!(state(&next), CaseState::Lapsed, "a question waits for ever");
            }
            CaseState::Practising => {
                let rounds = case.body.rounds.len();
                let thread = case.thread_id.clone().or_else(|| case.body.root.clone());
                let text = format!("case {number}: 82.5 kg x 4 @7 done again");
                next.says_in(&who, thread.as_deref(), &text);
                let grown = next.cases[&case.id].body.rounds.len() > rounds;
                assert!(
                    grown || state(&next) != case.state,
                    "a new set goes nowhere"
                );
            }
            CaseState::Mended | CaseState::Lapsed | CaseState::Withdrawn => {
                let stopped = world.cases_of(&case.person);
                let open = stopped.iter().any(|case| case.state.is_open());
                next.says(&who, SETS[0]);
                assert!(
                    open || next.cases.len() > world.cases.len(),
                    "no new case opens"
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 96,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn the_promises_hold_after_every_step_of_any_history(
        steps in prop::collection::vec(step(), 1..40),
    ) {
        let mut world = World::new("2026-03-02T17:00:00Z");
        let mut written = Written::new();
        let mut bound = Bound::default();
        for step in &steps {
            play(&mut world, &mut written, &mut bound, step);
            check(&world);
        }
        check_ways_out(&world);
    }
}

#[test]
fn such_histories_reach_every_state_and_send_reminders_and_pages() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let many = prop::collection::vec(step(), 20..40);
    let (mut states, mut reminders, mut alerts) = (BTreeSet::new(), 0, 0);
    for _ in 0..60 {
        let steps = many.new_tree(&mut runner).unwrap().current();
        let mut world = World::new("2026-03-02T17:00:00Z");
        let (mut written, mut bound) = (Written::new(), Bound::default());
        for step in &steps {
            play(&mut world, &mut written, &mut bound, step);
            states.extend(world.cases.values().map(|case| case.state.word()));
        }
        let of = |purpose| {
            world
                .sent
                .iter()
                .filter(|s| s.message.purpose == purpose)
                .count()
        };
        reminders += of(Purpose::Reminder);
        alerts += of(Purpose::Alert);
    }
    assert_eq!(states.len(), 7, "{states:?}");
    assert!(
        reminders > 20 && alerts > 20,
        "{reminders} reminders, {alerts} alerts"
    );
}
