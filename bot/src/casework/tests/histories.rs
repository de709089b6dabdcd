//! Random histories: whatever people write, press, edit and take back in whatever order, and
//! however much time passes, the promises hold after every step.

use super::super::consent::YES as CONSENT_YES;
use super::promises::{Bound, assert_no_loads, check, check_reminders};
use super::world::{Sent, World, person};
use crate::record::{CaseState, LeaveReason, Outgoing, Payload, Purpose};
use jiff::SignedDuration;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use std::collections::BTreeSet;

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
const TALK: [&str; 29] = [
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
    "about 165",
    "skip",
    "sorry I was away",
    "any news?",
    "no",
    "the second one",
    "case 1: 100 kg x 5 @8, hips shoot up",
];
/// What a coach may say about a case.
const ORDERS: [&str; 12] = [
    "ask N do your heels stay down?",
    "take N",
    "say N move the feet back a hand",
    "halt N looks unsafe",
    "lift halt N",
    "finish N",
    "show N",
    "hand N to ana",
    "review sheet 20 minutes",
    "guardian no N",
    "guardian yes N",
    "guardian withdraw N",
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

/// A history as far as it was told.
struct Story {
    world: World,
    written: Written,
    bound: Bound,
}

impl Story {
    fn new() -> Self {
        Self {
            world: World::new("2026-03-02T17:00:00Z"),
            written: Written::new(),
            bound: Bound::default(),
        }
    }

    fn stopped(&self, who: &str) -> bool {
        let cases = self.world.cases_of(&person(who));
        cases.iter().any(|case| case.state == CaseState::Halted)
    }

    fn heard(&mut self, who: &str) {
        self.bound.heard.insert(who.to_owned(), self.world.now);
    }

    /// Plays one step and checks what it sent.
    fn play(&mut self, step: &Step) {
        match step {
            Step::Set(who, text, thread) => self.writes(PEOPLE[*who], SETS[*text], *thread, true),
            Step::Talk(who, text, thread) => self.writes(PEOPLE[*who], TALK[*text], *thread, false),
            Step::Danger(who, text) => self.danger(PEOPLE[*who], DANGER[*text]),
            Step::Press(message, button) => self.presses(*message, *button),
            Step::Edit(message, text) => self.edits(*message, SETS[*text]),
            Step::TakeBack(message) => self.takes_back(*message),
            Step::Leave(who) => self.leaves(PEOPLE[*who]),
            Step::Coach(order, case, ana) => {
                let who = if *ana { "ana" } else { "wren" };
                let number = (case + 1).to_string();
                let (out, _) = self.world.says(who, &ORDERS[*order].replace('N', &number));
                assert!(!out.is_empty(), "an order is answered");
            }
            Step::Pass(hours) => {
                let (sent, before) = (self.world.sent.len(), self.world.clone());
                self.world.pass(*hours);
                check_reminders(&before, &self.world, sent, &self.bound);
            }
        }
    }

    fn writes(&mut self, who: &str, text: &str, thread: bool, whole: bool) {
        let thread = thread.then_some("t-1");
        let (out, id) = self.world.says_in(who, thread, text);
        self.heard(who);
        let back = ["start reminders", "same as last", "remind me", "case 1"];
        if whole || back.iter().any(|words| text.starts_with(words)) {
            self.bound.ill.insert(who.to_owned(), false);
        }
        if text == "I have the flu" {
            self.bound.ill.insert(who.to_owned(), true);
        }
        let replies = replies(&out);
        assert!(replies <= 1, "more than one reply to \"{text}\"");
        assert!(
            !whole || replies == 1,
            "one first reply to \"{text}\": {out:#?}"
        );
        if self.stopped(who) {
            assert_no_loads(&out);
        }
        let thread = thread.map(str::to_owned);
        self.written.push((who.to_owned(), thread, id, 1));
    }

    fn danger(&mut self, who: &str, text: &str) {
        let (out, id) = self.world.says(who, text);
        self.heard(who);
        assert!(self.stopped(who), "a red flag stops");
        assert_no_loads(&out);
        let alerts = out.iter().filter(|m| m.purpose == Purpose::Alert).count();
        assert_eq!((replies(&out), alerts), (1, 1), "the coach is told at once");
        self.written.push((who.to_owned(), None, id, 1));
    }

    fn presses(&mut self, message: usize, button: usize) {
        let with_buttons = |sent: &&Sent| !sent.message.choices.is_empty();
        let mut found = self.world.sent.iter().rev().filter(with_buttons);
        let Some(sent) = found.nth(message).cloned() else {
            return;
        };
        let choices = &sent.message.choices;
        let payload = Payload::Choice {
            message_id: sent.platform_id.clone(),
            choice_id: choices[button % choices.len()].choice_id.clone(),
        };
        let who = sent.message.person_id.clone().unwrap();
        let thread = sent.message.thread_id.as_deref();
        let event = self.world.event(&who, thread, payload);
        let out = self.world.happens(&event);
        self.heard(&who);
        assert_eq!(replies(&out), 1);
        if self.stopped(&who) {
            assert_no_loads(&out);
        }
    }

    fn edits(&mut self, message: usize, text: &str) {
        let Some(found) = self.written.iter_mut().rev().nth(message) else {
            return;
        };
        found.3 += 1;
        let (who, thread, id, version) = found.clone();
        let stopped = self.stopped(&who);
        let out = self
            .world
            .edits(&who, thread.as_deref(), &id, version, text);
        self.heard(&who);
        // A set told by mending an older message is a set as well.
        self.bound.ill.insert(who.clone(), false);
        assert!(replies(&out) <= 1);
        assert!(!stopped || self.stopped(&who), "an edit never lifts a stop");
        if stopped {
            assert_no_loads(&out);
        }
    }

    fn takes_back(&mut self, message: usize) {
        let Some((who, thread, id, _)) = self.written.iter().rev().nth(message).cloned() else {
            return;
        };
        let stopped = self.stopped(&who);
        let payload = Payload::Deleted {
            message_id: id.clone(),
            deleted_by: who.clone(),
        };
        let event = self.world.event(&who, thread.as_deref(), payload);
        self.world.happens(&event);
        self.heard(&who);
        assert!(!stopped || self.stopped(&who), "nor does taking it back");
        let mut left = self.world.entries.iter();
        let kept = left.find(|e| e.message_id.as_ref() == Some(&id) && !e.text.is_empty());
        assert!(kept.is_none(), "words taken back are kept: {kept:?}");
    }

    fn leaves(&mut self, who: &str) {
        let payload = Payload::Left {
            member_id: who.to_owned(),
            reason: LeaveReason::Left,
        };
        let event = self.world.event(who, None, payload);
        self.world.happens(&event);
        // What is written at the very moment of leaving counts as written before.
        self.world.now += SignedDuration::from_secs(1);
    }
}

/// Replies; the question whether words on health may be kept comes beside one.
fn replies(out: &[Outgoing]) -> usize {
    let asks_consent = |m: &&Outgoing| m.choices.iter().any(|c| c.choice_id == CONSENT_YES);
    out.iter()
        .filter(|m| m.purpose == Purpose::Reply && !asks_consent(m))
        .count()
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
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn the_promises_hold_after_every_step_of_any_history(
        steps in prop::collection::vec(step(), 1..40),
    ) {
        let mut story = Story::new();
        for step in &steps {
            story.play(step);
            check(&story.world);
        }
        check_ways_out(&story.world);
    }
}

#[test]
fn such_histories_reach_every_state_and_send_reminders_and_pages() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let many = prop::collection::vec(step(), 20..40);
    let (mut states, mut reminders, mut alerts) = (BTreeSet::new(), 0, 0);
    for _ in 0..60 {
        let steps = many.new_tree(&mut runner).unwrap().current();
        let mut story = Story::new();
        for step in &steps {
            story.play(step);
            states.extend(story.world.cases.values().map(|case| case.state.word()));
        }
        let world = &story.world;
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
