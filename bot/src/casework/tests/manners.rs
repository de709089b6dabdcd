//! Thanks, small talk, late answers, sets of others, silence: what reads oddly when it is wrong.

use super::world::{World, person};
use crate::casework::{Hold, Known, hold_reminder};
use crate::record::{CaseFile, CaseState, Outgoing, Payload, Purpose};
use cueline_core::report::AgeBand;
use jiff::SignedDuration;

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";
const ASKED: &str = "my squat feels heavy, 80 kg x 5 rpe 7";
/// Lines with their level: flag, level, text.
const PHRASES: &str = include_str!("../../../../core/src/reading/tests/phrases.tsv");

fn world() -> World {
    World::new("2026-03-02T17:00:00Z")
}

fn reply(out: &[Outgoing]) -> String {
    let mut replies = out.iter().filter(|m| m.purpose == Purpose::Reply);
    replies.next().expect("a reply").text.clone()
}

fn case(world: &World, number: i64) -> crate::record::Case {
    let found = world.cases.values().find(|case| case.number == number);
    found.expect("such a case").clone()
}

#[test]
fn thanks_and_small_talk_are_left_alone_in_every_state_without_a_stop() {
    for setup in [&[SET][..], &[ASKED], &[SET, "ask the coach"]] {
        for talk in [
            "thanks coach, really helpful!",
            "ok will try on thursday",
            "sounds good, cheers mate",
            "good morning everyone",
            "sorry I was away",
            "\u{1f64f}",
        ] {
            let mut world = world();
            for text in setup {
                world.says("mara", text);
            }
            let before = case(&world, 1);
            let (out, _) = world.says("mara", talk);
            assert!(out.is_empty(), "{talk} after {setup:?}: {out:?}");
            let after = case(&world, 1);
            assert_eq!(before.state, after.state, "{talk}");
            assert_eq!(before.body.open_question, after.body.open_question);
        }
    }
}

#[test]
fn who_asks_is_told_that_a_program_answers() {
    let mut world = world();
    for text in ["are you a bot?", "Who are you?", "is this a bot"] {
        let (out, _) = world.says("mara", text);
        assert!(reply(&out).contains("a program"), "{text}: {out:?}");
    }
    // In a set it is no such word.
    let (out, _) = world.says("mara", SET);
    assert!(!reply(&out).contains("a program"));
}

#[test]
fn danger_told_in_an_open_case_stops_whatever_was_told_before() {
    let dangers = PHRASES.lines().filter_map(|line| {
        let mut parts = line.split('\t');
        let (_, level, text) = (parts.next()?, parts.next()?, parts.next()?);
        ["emergency", "clinician"].contains(&level).then_some(text)
    });
    let dangers: Vec<&str> = dangers.collect();
    assert!(dangers.len() > 100);
    for setup in [&[ASKED][..], &[SET], &[SET, "ask the coach"]] {
        let mut ready = world();
        for text in setup {
            ready.says("mara", text);
        }
        let mut alone = world();
        alone.says("mara", "hello");
        for text in &dangers {
            // By itself it stops: so it does here.
            let mut own = alone.clone();
            own.says("mara", text);
            let stops = own
                .cases
                .values()
                .any(|case| case.state == CaseState::Halted);
            let mut world = ready.clone();
            world.says("mara", text);
            let stopped = world
                .cases
                .values()
                .any(|case| case.state == CaseState::Halted);
            assert!(stopped || !stops, "{text} after {setup:?}");
        }
    }
}

#[test]
fn a_late_answer_to_a_case_that_is_over_is_not_lost_without_a_word() {
    let mut world = world();
    world.says("mara", ASKED);
    let root = case(&world, 1).body.root.clone();
    world.pass(24 * 45);
    assert_eq!(case(&world, 1).state, CaseState::Lapsed);
    let (out, _) = world.says_in("mara", root.as_deref(), "before unlocking");
    assert!(reply(&out).contains("Your case 1 is over"), "{out:?}");
    let (out, _) = world.says_in("mara", root.as_deref(), "thanks, sorry I was away");
    assert!(out.is_empty(), "{out:?}");
    let (out, _) = world.says("mara", "is my case still open?");
    assert!(
        reply(&out).contains("closed for want of an answer"),
        "{out:?}"
    );
    // Elsewhere in the room nobody is taken at their word.
    let (out, _) = world.says("mara", "see you at the gym");
    assert!(out.is_empty(), "{out:?}");
    let (out, _) = world.says_in("mara", root.as_deref(), SET);
    assert!(reply(&out).contains("Most likely"), "{out:?}");
}

#[test]
fn a_child_s_age_told_by_a_parent_counts_for_the_child() {
    let mut world = world();
    let text = "coach my daughter, squat 40 kg x 5, knees cave in. she is 14";
    let (out, _) = world.says("mara", text);
    assert!(!reply(&out).contains("a side"), "{out:?}");
    assert_eq!(case(&world, 1).state, CaseState::WithCoach);
    let round = case(&world, 1).body.rounds.last().unwrap().report.clone();
    assert_eq!(round.age_band, Some(AgeBand::Under18));
    assert_eq!(world.lifters[&person("mara")].profile.age_band, None);
    for text in [
        "my training partner's deadlift 180 kg x 2, back rounds",
        "posting this for Anna: bench 60 kg x 5 @8, elbows flare",
    ] {
        let (out, _) = world.says("tobi", text);
        assert!(
            reply(&out).contains("kept apart from yours"),
            "{text}: {out:?}"
        );
    }
}

/// A reminder written, and the case as it was then.
fn written(world: &mut World) -> CaseFile {
    world.says("mara", SET);
    let case = case(world, 1);
    CaseFile {
        entries: Vec::new(),
        queue_item: None,
        verdict: None,
        files: Vec::new(),
        lifter: Some(world.lifters[&person("mara")].clone()),
        case,
    }
}

#[test]
fn a_reminder_that_an_outage_held_up_is_dropped_in_hard_times_and_after_a_month() {
    let mut world = world();
    let mut file = written(&mut world);
    let brain = super::world::built_in();
    let known = Known::of_nobody(&brain.catalog, &brain.words, &brain.rules);
    let wrote = world.now + SignedDuration::from_hours(24 * 14);
    let noon = |days: i64| world.now + SignedDuration::from_hours(24 * days - 6);
    let hold = |file: &CaseFile, days| hold_reminder(file, &known, wrote, noon(days));
    assert_eq!(hold(&file, 15), Hold::Send);
    assert_eq!(hold(&file, 31), Hold::Drop, "a month of silence");
    let lifter = file.lifter.as_mut().unwrap();
    lifter.profile.quiet_since = Some(wrote);
    assert_eq!(hold(&file, 15), Hold::Drop, "hard times");
}

#[test]
fn an_answer_in_hard_times_is_no_wish_to_be_reminded_again() {
    let mut world = world();
    world.says("mara", SET);
    let open = case(&world, 1).body.open_question.unwrap();
    world.says("mara", "my mother is dying");
    let sent = world
        .sent
        .iter()
        .find(|sent| !sent.message.choices.is_empty());
    let sent = sent.unwrap().clone();
    assert!(sent.message.choices[0].choice_id.starts_with(&open.id));
    let payload = Payload::Choice {
        message_id: sent.platform_id,
        choice_id: sent.message.choices[0].choice_id.clone(),
    };
    let event = world.event("mara", None, payload);
    world.happens(&event);
    assert!(world.lifters[&person("mara")].profile.quiet_since.is_some());
    assert!(world.pass(24 * 28).is_empty());
}

/// A coach writes under a name of their own.
fn writes_as(world: &mut World, who: &str, name: &str, text: &str) -> Vec<Outgoing> {
    let message_id = format!("as-{}-{text}", world.sent.len());
    let payload = Payload::Message {
        message_id,
        version: 1,
        text: text.to_owned(),
        reply_to: None,
        attachments: Vec::new(),
    };
    let mut event = world.event(who, None, payload);
    event.actor.display_name = name.to_owned();
    world.happens(&event)
}

#[test]
fn a_case_is_handed_to_a_coach_by_the_name_shown_when_it_is_clear_whose_it_is() {
    let mut world = world();
    world.says("mara", SET);
    world.says("mara", "ask the coach");
    writes_as(&mut world, "wren", "Wren Holt", "take 1");
    // Before Ana has written, her name is not known.
    let out = writes_as(&mut world, "wren", "Wren Holt", "hand 1 to Ana Holt");
    assert!(out[0].text.contains("know no coach"), "{out:?}");
    writes_as(&mut world, "ana", "Ana-Lena Holt", "morning all");
    let out = writes_as(&mut world, "wren", "Wren Holt", "hand 1 to Holt");
    assert!(out[0].text.contains("wren, ana"), "{out:?}");
    let out = writes_as(&mut world, "wren", "Wren Holt", "hand 1 to lena holt");
    assert_eq!(out.len(), 2, "{out:?}");
    let item = &world.queue[&case(&world, 1).id];
    assert_eq!(item.taken_by, Some(person("ana")));
    // An id goes before any name.
    writes_as(&mut world, "ana", "wren", "hello");
    let out = writes_as(&mut world, "ana", "wren", "hand 1 to wren");
    assert_eq!(out.len(), 2, "{out:?}");
    let item = &world.queue[&case(&world, 1).id];
    assert_eq!(item.taken_by, Some(person("wren")));
}
