//! A lifter under 18 whose parent or guardian speaks with the coach.

use super::world::{World, person};
use crate::record::{CaseState, ConsentStep, Outgoing, Purpose, Recipient};
use cueline_core::report::AgeBand;

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";
/// Invented: a pain that stops nothing.
const PAIN: &str = "my left knee has been a sore spot, it has ached for three weeks";

/// Mara, sixteen, with a case that is with the coach.
fn young() -> World {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", &format!("I'm 16. {SET}"));
    world
}

fn kept(world: &World, word: &str) -> bool {
    let kept = serde_json::to_string(&(
        world.cases.values().collect::<Vec<_>>(),
        &world.entries,
        world.queue.values().collect::<Vec<_>>(),
    ));
    kept.unwrap().contains(word)
}

/// What the coach and the lifter read.
fn read(out: &[Outgoing]) -> (String, String) {
    let text = |to: &str| {
        let to = Recipient::PersonId(to.to_owned());
        let mut own = out.iter().filter(|m| m.to == to);
        own.next().map_or_else(String::new, |m| m.text.clone())
    };
    (text("wren"), text("mara"))
}

#[test]
fn a_guardians_yes_counts_as_an_adults_own_and_the_log_names_the_coach() {
    let mut world = young();
    world.says("mara", PAIN);
    assert!(!kept(&world, "left knee"));
    let (out, _) = world.says("wren", "guardian yes 1");
    let (coach, lifter) = read(&out);
    assert!(coach.contains("agrees"), "{out:?}");
    assert!(lifter.contains("parent or guardian agrees"), "{out:?}");
    let entry = world.consents.last().unwrap();
    assert_eq!(entry.step, ConsentStep::Yes);
    assert_eq!(entry.recorded_by.as_deref(), Some("wren"));
    assert_eq!(entry.person, person("mara"));
    assert!(entry.text.as_ref().unwrap().contains("30 days"));
    world.says("mara", PAIN);
    assert!(kept(&world, "left knee"));
    // And back again, with everything kept meanwhile.
    world.says("wren", "guardian withdraw 1");
    assert!(world.lifters[&person("mara")].profile.guardian.is_none());
    let mara = &world.lifters[&person("mara")];
    assert_eq!(mara.profile.age_band, Some(AgeBand::Under18));
    let case = world.cases.values().next().unwrap();
    assert!(case.body.withheld && case.body.parts.iter().all(|part| part.text.is_empty()));
}

#[test]
fn a_guardians_no_ends_reminders_and_no_word_of_the_lifter_brings_them_back() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", SET);
    let (out, _) = world.says("wren", "guardian no 1");
    assert!(read(&out).0.contains("no reminder"), "{out:?}");
    let mara = &world.lifters[&person("mara")];
    assert_eq!(
        mara.profile.age_band,
        Some(AgeBand::Under18),
        "a guardian says so"
    );
    for text in ["start reminders", "remind me on friday"] {
        let (out, _) = world.says("mara", text);
        assert!(out[0].text.contains("stay off"), "{text}: {out:?}");
    }
    world.says("mara", "I am 25 years old");
    world.says("mara", "squat 142.5 kg x 3 @8, hips shoot up, I'm 25");
    let mara = &world.lifters[&person("mara")];
    assert_eq!(mara.profile.age_band, Some(AgeBand::Under18));
    let out = world.pass(24 * 60);
    assert!(
        out.iter().all(|m| m.purpose != Purpose::Reminder),
        "{out:?}"
    );
    // A yes lets the lifter have them again.
    world.says("wren", "guardian yes 1");
    let (out, _) = world.says("mara", "start reminders");
    assert!(out[0].text.contains("Reminders are on"), "{out:?}");
}

#[test]
fn when_a_no_is_taken_back_what_is_practised_is_asked_about_again() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", SET);
    let id = world.cases.keys().next().unwrap().clone();
    world.says("wren", "guardian no 1");
    assert!(world.open_asks(&id).is_empty());
    world.says("wren", "guardian withdraw 1");
    assert_eq!(world.open_asks(&id).len(), 1);
    let out = world.pass(24 * 20);
    assert!(out.iter().any(|m| m.purpose == Purpose::Reminder));
}

#[test]
fn the_lifter_may_still_say_no_and_change_their_mind() {
    let mut world = young();
    world.says("wren", "guardian yes 1");
    world.says("mara", PAIN);
    assert!(kept(&world, "left knee"));
    world.says("mara", "I take back my consent");
    world.says("mara", PAIN);
    let mara = &world.lifters[&person("mara")];
    assert!(!super::super::consent::consented(mara));
    let (out, _) = world.says("mara", "I consent");
    assert!(out[0].text.contains("Thank you"), "{out:?}");
    assert!(super::super::consent::consented(
        &world.lifters[&person("mara")]
    ));
}

#[test]
fn nobody_agrees_for_a_grown_lifter_and_what_is_not_on_record_cannot_be_taken_back() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    world.says("mara", &format!("I'm 30. {SET}"));
    let (out, _) = world.says("wren", "guardian yes 1");
    assert!(out[0].text.contains("18 or over"), "{out:?}");
    assert!(world.consents.is_empty());
    let (out, _) = world.says("wren", "guardian withdraw 1");
    assert!(out[0].text.contains("on record"), "{out:?}");
    // A lifter cannot record it.
    let (out, _) = world.says("mara", "guardian yes 1");
    assert!(out.iter().all(|m| !m.text.contains("Recorded")), "{out:?}");
    assert!(world.consents.is_empty());
    let case = world.cases.values().next().unwrap();
    assert_eq!(case.state, CaseState::Practising);
}

#[test]
fn a_word_about_a_child_s_set_does_not_count_for_the_parent_who_posts_it() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    let text = "posting for my daughter: squat 40 kg x 5 @7, knees cave in. she is 14";
    world.says("mara", text);
    let (out, _) = world.says("wren", "guardian yes 1");
    assert!(out[0].text.contains("for somebody else"), "{out:?}");
    assert!(world.consents.is_empty());
    let mara = &world.lifters[&person("mara")];
    assert_eq!(mara.profile.age_band, None);
}
