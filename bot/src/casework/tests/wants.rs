//! Facts about the lifter, asked for where they would change the plan.

use super::world::{World, person};
use crate::record::{CaseState, Outgoing, Payload, Purpose};
use cueline_core::report::Competes;

/// A set that says everything but the best single and the effort.
const NO_BEST: &str = "squat 140 kg x 3, filmed from the side. I forget to breathe and my core \
                       feels squishy, then hips shoot up";
const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";

/// A world whose lifter has said where they are, so that the zone is not asked for.
fn world() -> World {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", "my time zone is Europe/Berlin");
    world
}

fn reply(out: &[Outgoing]) -> String {
    let mut replies = out.iter().filter(|m| m.purpose == Purpose::Reply);
    let first = replies.next().expect("a reply").text.clone();
    assert!(replies.next().is_none(), "one reply only");
    first
}

fn says(world: &mut World, text: &str) -> String {
    reply(&world.says("mara", text).0)
}

/// Posts a set and answers what the diagnosis asks, which goes first; the last reply.
fn posts(world: &mut World, text: &str) -> String {
    let mut said = says(world, text);
    for _ in 0..4 {
        let asked = open(world).filter(|id| !id.starts_with("profile:"));
        if asked.is_none() {
            break;
        }
        said = says(world, "1");
    }
    said
}

fn open(world: &World) -> Option<String> {
    let case = world.cases.values().max_by_key(|case| case.number)?;
    case.body.open_question.as_ref().map(|open| open.id.clone())
}

#[test]
fn a_best_single_is_asked_for_and_its_answer_gives_other_loads() {
    let mut world = world();
    let before = posts(&mut world, NO_BEST);
    assert!(before.contains("best single on the squat"), "{before}");
    assert_eq!(open(&world).as_deref(), Some("profile:best"));
    let after = says(&mut world, "about 165");
    assert!(after.contains("best squat 165 kg"), "{after}");
    let loads = |text: &str| -> Vec<String> {
        let lines = text.lines().filter(|line| line.contains("a side"));
        lines.map(str::to_owned).collect()
    };
    assert_ne!(loads(&before), loads(&after), "{before}\n{after}");
    let best = &world.lifters[&person("mara")].profile.bests["squat"];
    assert!((best.value - 165.0).abs() < 1e-9);
    let case = world.cases.values().next().unwrap();
    assert_eq!(
        (case.state, case.body.rounds.len()),
        (CaseState::Practising, 1)
    );
    assert_eq!(case.body.given.len(), 1, "the same correction, given once");
    assert_eq!(open(&world), None, "one fact a case");
}

#[test]
fn skip_is_respected_and_nothing_is_asked_twice() {
    let mut world = world();
    posts(&mut world, NO_BEST);
    assert!(says(&mut world, "skip").contains("without it"));
    assert_eq!(open(&world), None);
    world.pass(24 * 8);
    let again = says(
        &mut world,
        "squat 140 kg x 3, side video, hips still shoot up, core squishy",
    );
    assert!(!again.contains("best single on the squat"), "{again}");
}

#[test]
fn an_answer_that_cannot_be_true_is_refused_and_the_question_stays() {
    let mut world = world();
    posts(&mut world, NO_BEST);
    let said = says(&mut world, "1100 kg");
    assert!(said.contains("best") && said.contains("I accept"), "{said}");
    assert_eq!(open(&world).as_deref(), Some("profile:best"));
    assert!(world.lifters[&person("mara")].profile.bests.is_empty());
    says(&mut world, "my best squat is 160 kg");
    assert_eq!(open(&world), None);
}

#[test]
fn a_new_set_is_no_answer_and_takes_the_question_away() {
    let mut world = world();
    posts(&mut world, NO_BEST);
    world.pass(24 * 8);
    says(&mut world, "squat 142.5 kg x 3 @8, hips still shoot up");
    assert!(world.lifters[&person("mara")].profile.bests.is_empty());
    let case = world.cases.values().next().unwrap();
    assert_eq!(case.body.rounds.len(), 2);
}

#[test]
fn plates_are_asked_for_with_choices_and_a_button_is_an_answer() {
    let mut world = world();
    let said = posts(&mut world, SET);
    assert!(said.contains("Which plates do you have"), "{said}");
    let sent = world.sent.last().unwrap();
    assert_eq!(sent.message.choices.len(), 2);
    let payload = Payload::Choice {
        message_id: sent.platform_id.clone(),
        choice_id: sent.message.choices[1].choice_id.clone(),
    };
    let event = world.event("mara", None, payload);
    let said = reply(&world.happens(&event));
    assert!(said.contains("Kept: plates"), "{said}");
    for line in said.lines().filter(|line| line.contains("a side")) {
        assert!(
            !line.contains("2.5 a side") && !line.contains("1.25"),
            "{line}"
        );
    }
    let plates = world.lifters[&person("mara")].profile.plates.as_ref();
    assert!(plates.unwrap().pairs.iter().all(|(size, _)| *size >= 5.0));
}

#[test]
fn plates_may_be_told_in_words_too() {
    let mut world = world();
    posts(&mut world, SET);
    let said = says(&mut world, "I only have 20s and 10s");
    assert!(
        said.contains("20 (6 pairs)") && said.contains("Most likely"),
        "{said}"
    );
    assert_eq!(open(&world), None);
}

#[test]
fn whether_the_lifter_competes_is_asked_where_a_rule_is_broken() {
    let mut world = world();
    let said = posts(
        &mut world,
        "bench 80 kg x 5 @8, side video, my feet dance and my butt lifts off the bench, I kick \
         with my legs, best 95 kg, spotter there",
    );
    assert!(said.contains("Do you compete"), "{said}");
    let said = says(&mut world, "I plan to");
    assert!(said.contains("At a meet"), "{said}");
    let profile = &world.lifters[&person("mara")].profile;
    assert_eq!(profile.competes, Some(Competes::Planned));
}

#[test]
fn the_question_of_the_diagnosis_and_the_zone_go_first() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    let said = says(&mut world, SET);
    assert!(
        said.contains("my time zone is") && !said.contains("Which plates"),
        "{said}"
    );
    let mut world = self::world();
    let said = says(&mut world, "my squat feels heavy, 80 kg x 5");
    assert!(!said.contains("best single on"), "{said}");
    assert!(open(&world).is_some_and(|id| !id.starts_with("profile:")));
}

#[test]
fn nothing_is_asked_under_a_stop_nor_of_somebody_else_s_set() {
    let mut world = world();
    let text = "posting for my wife: squat 60 kg x 5, side video, I forget to breathe and my core \
                feels squishy, then hips shoot up";
    let said = says(&mut world, text);
    assert!(!said.contains("best single on"), "{said}");
    let said = says(
        &mut world,
        "felt a tightness across my chest on rep 3 of bench 60 kg x 5 and it hasnt gone",
    );
    assert!(
        !said.contains("best single on") && !said.contains("Which plates"),
        "{said}"
    );
}
