//! A stop the coach has dealt with is out of the queue, and back with the lifter's next word; a sign
//! nobody spoke of for a set is still asked about at the next.

use super::world::{World, person};
use crate::record::{CaseState, FollowUpKind, QueueItem, Urgency};
use cueline_core::outcome::Verdict;

const DANGER: &str =
    "felt a tightness across my chest on rep 3 of bench 60 kg x 5 and it hasnt gone";
const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";

fn only(world: &World) -> &crate::record::Case {
    world.cases.values().next().unwrap()
}

fn waits(world: &World) -> Option<&QueueItem> {
    world.queue.get(&only(world).id)
}

/// What the coach is told.
fn order(world: &mut World, text: &str) -> String {
    let (out, _) = world.says("wren", text);
    let texts: Vec<String> = out.into_iter().map(|message| message.text).collect();
    texts.join("\n")
}

#[test]
fn a_stop_that_was_answered_is_set_aside_and_comes_back_with_the_lifters_next_word() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", "I consent");
    world.says("mara", DANGER);
    assert_eq!(waits(&world).unwrap().urgency, Urgency::Emergency);
    // Nothing was said yet: it stays.
    let said = order(&mut world, "finish 1");
    assert!(said.contains("say 1"), "{said}");
    assert!(waits(&world).is_some());
    world.pass(1);
    order(&mut world, "say 1 Please ring your emergency number now.");
    let said = order(&mut world, "finish 1");
    assert!(said.contains("stays stopped"), "{said}");
    assert_eq!(only(&world).state, CaseState::Halted, "the stop stays");
    assert!(waits(&world).is_none());
    let asks = world.open_asks(&only(&world).id);
    let pages = asks
        .iter()
        .filter(|ask| ask.kind == FollowUpKind::PageCoach);
    assert_eq!(
        pages.count(),
        0,
        "an emergency that was answered is paged again"
    );
    // Every way of the lifter to do something brings it back.
    for (index, text) in [
        "the doctor says I am fine",
        "ask the coach",
        "bench 60 kg x 5",
    ]
    .into_iter()
    .enumerate()
    {
        world.pass(1);
        world.says("mara", text);
        let item = waits(&world).unwrap_or_else(|| panic!("\"{text}\" is seen by nobody"));
        assert_eq!(item.urgency, Urgency::Clinician, "{text}");
        assert_eq!(only(&world).state, CaseState::Halted, "{text}");
        world.pass(1);
        order(
            &mut world,
            &format!("say 1 Let a clinician look first. {index}"),
        );
        order(&mut world, "finish 1");
        assert!(waits(&world).is_none(), "{text}");
    }
    // Taking it up by hand does too, as the stop it is; and only `lift halt` ends it.
    order(&mut world, "take 1");
    assert_eq!(waits(&world).unwrap().urgency, Urgency::Clinician);
    order(&mut world, "lift halt 1");
    assert_eq!(only(&world).state, CaseState::WithCoach);
    assert!(!only(&world).body.set_aside);
}

#[test]
fn a_case_stopped_by_hand_is_set_aside_without_another_word() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", SET);
    order(&mut world, "halt 1 this does not look right");
    let said = order(&mut world, "finish 1");
    assert!(said.contains("stays stopped"), "{said}");
    assert!(waits(&world).is_none());
    // Words of danger bring it back with what they are.
    world.says("mara", DANGER);
    let mut urgencies = world.queue.values().map(|item| item.urgency);
    assert!(urgencies.any(|urgency| urgency == Urgency::Emergency));
}

#[test]
fn a_set_that_says_nothing_of_the_sign_does_not_end_the_comparison() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", SET);
    world.pass(24 * 8);
    let (out, _) = world.says("mara", "squat 142.5 kg x 3 @8, side video");
    let said = out
        .iter()
        .any(|one| one.text.contains("I cannot tell from this"));
    assert!(said, "{out:#?}");
    world.pass(24 * 8);
    let gone = "squat 145 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to \
                breathe and hips don't shoot up";
    let (out, _) = world.says("mara", gone);
    let said = out.iter().any(|one| one.text.contains("It worked"));
    assert!(said, "{out:#?}");
    let case = world.cases_of(&person("mara")).pop().unwrap();
    assert_eq!(
        case.body.rounds.last().unwrap().outcome,
        Some(Verdict::Gone)
    );
    assert_eq!(case.state, CaseState::Mended);
}
