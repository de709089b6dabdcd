//! The coach asks the lifter one question, and the answer comes back to the coach.

use super::world::{World, person};
use crate::record::{Case, CaseState, EntryKind, FollowUpKind, Outgoing, Purpose};
use jiff::SignedDuration;

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";

/// A case that was handed to the coach, or still practises.
fn world(handed_over: bool) -> World {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", SET);
    if handed_over {
        world.says("mara", "ask the coach");
    }
    world
}

fn case(world: &World) -> Case {
    world.cases_of(&person("mara")).remove(0)
}

fn queued(world: &World) -> bool {
    world.queue.contains_key(&case(world).id)
}

/// What the coach was told.
fn order(world: &mut World, text: &str) -> String {
    let (out, _) = world.says("ana", text);
    let told = out.iter().find(|m| m.purpose == Purpose::Reply);
    told.map(|m| m.text.clone()).unwrap_or_default()
}

fn to_lifter(out: &[Outgoing]) -> Vec<&str> {
    let theirs = out
        .iter()
        .filter(|m| m.person_id.as_deref() == Some("mara"));
    theirs.map(|m| m.text.as_str()).collect()
}

#[test]
fn a_question_leaves_the_queue_and_its_answer_brings_the_case_back() {
    let mut world = world(true);
    assert!(queued(&world));
    let (out, _) = world.says("ana", "ask 1 Do your heels stay down?");
    assert_eq!(to_lifter(&out), ["Coach asks: Do your heels stay down?"]);
    assert_eq!(case(&world).state, CaseState::Asking);
    assert!(!queued(&world), "nothing to do for the coach until then");
    assert!(
        world
            .open_asks(&case(&world).id)
            .iter()
            .all(|ask| ask.kind == FollowUpKind::Answer)
    );
    // Thanks are no answer; "I do" is one, and nothing is decided about it by the service.
    world.says("mara", "thanks coach!");
    assert_eq!(case(&world).state, CaseState::Asking);
    let rounds = case(&world).body.rounds.len();
    let (out, _) = world.says("mara", "I do");
    assert!(
        to_lifter(&out)[0].contains("the coach has your answer"),
        "{out:#?}"
    );
    let answered = case(&world);
    assert_eq!(answered.state, CaseState::WithCoach);
    assert_eq!(
        (answered.body.rounds.len(), answered.body.open_question),
        (rounds, None)
    );
    let item = &world.queue[&answered.id];
    assert_eq!(item.reasons[0].why, "the lifter answered your question");
    assert!(item.promised.is_some());
    let kept = world
        .entries
        .iter()
        .any(|e| e.kind == EntryKind::Lifter && e.text == "I do");
    assert!(kept, "the coach reads it in the history");
}

#[test]
fn whatever_else_an_answer_is_it_goes_to_the_coach() {
    for answer in [
        "my best squat is 180 kg",
        "yes, hips still shoot up",
        "squat 145 kg x 3 @8, hips shoot up",
        "1",
    ] {
        let mut world = world(false);
        order(&mut world, "ask 1 What was your best lately?");
        world.says("mara", answer);
        assert_eq!(case(&world).state, CaseState::WithCoach, "{answer}");
        assert!(queued(&world), "{answer}");
        let open = world.open_asks(&case(&world).id);
        assert!(open.is_empty(), "{answer}: {open:?}");
    }
}

#[test]
fn a_question_is_no_answer_to_what_was_promised() {
    let mut world = world(true);
    order(&mut world, "ask 1 Do your heels stay down?");
    world.says("mara", "they lift a little");
    let said = order(&mut world, "finish 1");
    assert!(said.contains("was promised an answer"), "{said}");
    assert_eq!(case(&world).state, CaseState::WithCoach);
    order(&mut world, "say 1 Raise them on a small plate.");
    order(&mut world, "finish 1");
    assert_eq!(case(&world).state, CaseState::Practising);
}

#[test]
fn danger_in_an_answer_stops_the_case_as_everywhere() {
    let mut world = world(true);
    order(&mut world, "ask 1 How does it feel?");
    world.says("mara", "I felt a pop in my back and my legs are numb since");
    assert_eq!(case(&world).state, CaseState::Halted);
}

#[test]
fn without_an_answer_the_case_lapses() {
    let mut world = world(true);
    order(&mut world, "ask 1 How does it feel?");
    world.pass(24 * 60);
    let lapsed = case(&world);
    assert_eq!(lapsed.state, CaseState::Lapsed);
    assert!(!queued(&world));
    assert!(order(&mut world, "ask 1 Still there?").contains("is over"));
    assert_eq!(case(&world).state, CaseState::Lapsed);
}

#[test]
fn under_a_stop_and_while_another_coach_holds_it_nothing_is_asked() {
    let mut stopped = world(true);
    order(&mut stopped, "halt 1 looks unsafe");
    assert!(order(&mut stopped, "ask 1 Can you squat?").contains("stopped for safety"));
    assert_eq!(case(&stopped).state, CaseState::Halted);
    let mut held = world(true);
    order(&mut held, "take 1");
    let (out, _) = held.says("wren", "ask 1 mine?");
    assert!(to_lifter(&out).is_empty(), "{out:#?}");
    assert!(order(&mut held, "ask 1").contains("What shall I ask?"));
    assert_eq!(case(&held).state, CaseState::WithCoach);
}

#[test]
fn a_question_replaces_the_one_of_the_service_and_its_reminders() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", "my squat feels heavy, 80 kg x 5 rpe 7");
    let before = case(&world);
    assert_eq!(before.state, CaseState::Asking);
    order(&mut world, "ask 1 Where in the lift?");
    let open = case(&world).body.open_question.unwrap();
    assert_eq!(open.text, "Where in the lift?");
    assert_eq!(world.open_asks(&before.id).len(), 1);
    let mut practising = self::world(false);
    order(&mut practising, "ask 1 Did it help?");
    let sent = practising.sent.len();
    practising.now += SignedDuration::from_hours(1);
    practising.pass(24 * 16);
    let reminded = practising.sent.iter().skip(sent);
    assert!(
        reminded
            .clone()
            .all(|sent| sent.message.purpose != Purpose::Reminder)
    );
}
