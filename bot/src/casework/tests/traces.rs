//! Traces: measured with the set they came with, under consent, and told of plainly.

use super::files::file;
use super::world::{World, person};
use crate::record::{Attachment, Case, CaseState, Outgoing, Payload, Recipient};
use cueline_core::outcome::Verdict;
use jiff::SignedDuration;

const FORWARD: &str = include_str!("../../../../demo-data/bar-forward.csv");
const STRAIGHT: &str = include_str!("../../../../demo-data/bar-straight.csv");
const SET: &str = "squat 140 kg x 3 @8, best 165 kg, filmed from the side";

fn world() -> World {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", "I consent");
    world
}

fn trace(text: &str) -> Vec<Attachment> {
    vec![file("text/csv", text.as_bytes())]
}

/// Mara sends words and files; what was said in the room.
fn sends(world: &mut World, id: &str, text: &str, attachments: Vec<Attachment>) -> String {
    let payload = Payload::Message {
        message_id: id.to_owned(),
        version: 1,
        text: text.to_owned(),
        reply_to: None,
        attachments,
    };
    let event = world.event("mara", None, payload);
    let out = world.happens(&event);
    let room = |m: &&Outgoing| matches!(m.to, Recipient::RoomId(_));
    let texts: Vec<&str> = out.iter().filter(room).map(|m| m.text.as_str()).collect();
    texts.join("\n---\n")
}

fn case(world: &World) -> &Case {
    world.cases.values().next().unwrap()
}

fn drift_measured(case: &Case) -> bool {
    let newest = case.body.rounds.last().unwrap();
    let measured = newest.measured.as_ref();
    measured.is_some_and(|all| all.sign("sq-bar-forward").is_some())
}

#[test]
fn a_bar_that_drifts_forward_is_measured_and_named_in_the_reply() {
    let mut world = world();
    let said = sends(&mut world, "m-a", SET, trace(FORWARD));
    assert!(said.contains("Measured"), "{said}");
    assert!(said.contains("3 repetitions"), "{said}");
    assert!(said.contains("cm"), "{said}");
    assert!(said.contains("is measured and kept"), "{said}");
    let case = case(&world);
    assert!(drift_measured(case));
    assert!(
        case.body.rounds[0]
            .present
            .contains(&"sq-bar-forward".to_owned())
    );
    assert!(
        case.body.rounds[0].report.traces.is_empty(),
        "it stands with the files"
    );
    assert_eq!(world.files.len(), 1);
}

#[test]
fn without_a_yes_a_trace_is_not_measured() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    let said = sends(&mut world, "m-a", SET, trace(FORWARD));
    assert!(!said.contains("Measured"), "{said}");
    assert!(said.contains("kept no picture or trace"), "{said}");
    assert!(case(&world).body.rounds[0].measured.is_none());
}

#[test]
fn a_trace_of_somebody_elses_set_is_not_measured() {
    let mut world = world();
    let text = "posting for my wife: squat 60 kg x 5 @8, knees cave in. best 75 kg";
    let said = sends(&mut world, "m-a", text, trace(FORWARD));
    assert!(!said.contains("Measured"), "{said}");
}

#[test]
fn a_trace_that_cannot_be_read_is_told_and_the_set_is_answered_all_the_same() {
    let mut world = world();
    let broken = "t,height\n0,1.4\n0.1,1.3\n";
    let told = format!("{SET}, hips shoot up out of the hole");
    let said = sends(&mut world, "m-a", &told, trace(broken));
    assert_eq!(
        said.matches("could not measure the trace").count(),
        1,
        "{said}"
    );
    assert!(said.contains("I accept"), "{said}");
    assert!(said.contains("140 kg"), "{said}");
    assert_ne!(case(&world).state, CaseState::Halted);
    assert_eq!(world.files.len(), 1, "kept for the coach's eye");
}

#[test]
fn a_trace_sent_later_by_itself_is_measured_with_its_set_and_loses_no_question() {
    let mut world = world();
    sends(
        &mut world,
        "m-a",
        "my squat feels heavy, 80 kg x 5 rpe 7",
        Vec::new(),
    );
    let asked = case(&world).body.asked;
    assert_eq!((case(&world).state, asked), (CaseState::Asking, 1));
    world.now = world
        .now
        .checked_add(SignedDuration::from_hours(2))
        .unwrap();
    let said = sends(&mut world, "m-b", "", trace(FORWARD));
    assert!(said.contains("Measured"), "{said}");
    let case = case(&world);
    assert_eq!(case.body.rounds.len(), 1, "the same set, read again");
    assert!(drift_measured(case));
    assert!(case.body.asked <= asked, "no question is used up by it");
    let lines = world
        .entries
        .iter()
        .filter(|e| e.text.contains("feels heavy"));
    assert_eq!(lines.count(), 1, "its words stand in the history once");
}

#[test]
fn a_trace_that_comes_days_later_may_be_of_another_set() {
    let mut world = world();
    sends(
        &mut world,
        "m-a",
        &format!("{SET}, hips shoot up"),
        Vec::new(),
    );
    world.now = world
        .now
        .checked_add(SignedDuration::from_hours(100))
        .unwrap();
    let said = sends(&mut world, "m-b", "", trace(FORWARD));
    assert!(said.contains("comes with its set"), "{said}");
    assert!(case(&world).body.rounds[0].measured.is_none());
}

#[test]
fn an_answer_given_later_still_counts_what_the_trace_showed() {
    let mut world = world();
    sends(
        &mut world,
        "m-a",
        "my squat feels heavy, 80 kg x 5 rpe 7",
        trace(STRAIGHT),
    );
    let event = case(&world).body.rounds[0].event_id.clone();
    assert_eq!(case(&world).state, CaseState::Asking);
    world.says("mara", "1");
    assert_eq!(case(&world).body.rounds.len(), 1);
    assert_ne!(case(&world).body.rounds[0].event_id, event, "read again");
    assert!(
        drift_measured(case(&world)),
        "{:?}",
        case(&world).body.rounds.last()
    );
}

#[test]
fn the_next_set_is_judged_by_what_was_measured() {
    let mut world = world();
    sends(&mut world, "m-a", SET, trace(FORWARD));
    assert_eq!(
        case(&world).state,
        CaseState::Practising,
        "{:?}",
        case(&world)
    );
    world.now = world
        .now
        .checked_add(SignedDuration::from_hours(24 * 7))
        .unwrap();
    let next = "squat 140 kg x 3 @8, filmed from the side";
    let said = sends(&mut world, "m-b", next, trace(STRAIGHT));
    assert!(said.contains("last time"), "{said}");
    let rounds = &case(&world).body.rounds;
    let verdict = rounds.last().unwrap().outcome.unwrap();
    assert!(
        matches!(verdict, Verdict::Gone | Verdict::Better),
        "{verdict:?}: {said}"
    );
}

#[test]
fn danger_in_the_words_is_answered_with_nothing_measured() {
    let mut world = world();
    let text = "felt a tightness across my chest on rep 3 of squat 60 kg x 5 and it hasnt gone";
    let said = sends(&mut world, "m-a", text, trace(FORWARD));
    assert!(!said.contains("easured"), "{said}");
    assert!(case(&world).body.rounds[0].measured.is_none());
}

#[test]
fn a_trace_goes_with_its_message_and_is_not_measured_again() {
    let mut world = world();
    sends(
        &mut world,
        "m-a",
        "my squat feels heavy, 80 kg x 5 rpe 7",
        Vec::new(),
    );
    sends(&mut world, "m-b", "", trace(FORWARD));
    let payload = Payload::Deleted {
        message_id: "m-b".to_owned(),
        deleted_by: "mara".to_owned(),
    };
    let event = world.event("mara", None, payload);
    world.happens(&event);
    assert!(world.files.is_empty());
    world.says("mara", "it was 82.5 kg");
    assert!(!drift_measured(case(&world)));
    assert!(world.lifters.contains_key(&person("mara")));
}
