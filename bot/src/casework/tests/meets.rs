//! Whether a lifter competes, told in chat and beside a set.

use super::world::{World, person};
use crate::record::Purpose;
use cueline_core::report::Competes;

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";

/// The reply to a message.
fn says(world: &mut World, who: &str, text: &str) -> String {
    let (out, _) = world.says(who, text);
    let mut replies = out.into_iter().filter(|m| m.purpose == Purpose::Reply);
    replies.next().expect("a reply").text
}

#[test]
fn whether_one_competes_is_kept_and_corrected_by_saying_so() {
    let mut world = World::new("2026-03-02T17:00:00Z");
    says(&mut world, "mara", SET);
    let competes = |world: &World| world.lifters[&person("mara")].profile.competes;
    for (text, kept, shown) in [
        ("i do compete", Competes::Yes, "competes: yes"),
        ("I don't compete anymore", Competes::No, "competes: no"),
        ("planning my first meet", Competes::Planned, "planned"),
        ("no plans to compete", Competes::No, "competes: no"),
    ] {
        let said = says(&mut world, "mara", text);
        assert!(said.contains("Kept"), "{text}: {said}");
        assert_eq!(competes(&world), Some(kept), "{text}");
        let profile = says(&mut world, "mara", "my profile");
        assert!(profile.contains(shown), "{text}: {profile}");
    }
    // Somebody else's meets are none of the lifter's.
    world.says("mara", "my coach competes");
    assert_eq!(competes(&world), Some(Competes::No));
    // Told beside a set it counts for that set at once.
    says(
        &mut world,
        "mara",
        "squat 142.5 kg x 3 @8, hips shoot up, I compete",
    );
    assert_eq!(competes(&world), Some(Competes::Yes));
    assert_eq!(world.cases.len(), 1, "none of it opened a case");
}
