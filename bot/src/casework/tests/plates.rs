//! Plates told without their unit: one question, and the unit, the choice or its number answers.

use super::world::{World, person};
use cueline_core::quantity::{Mass, MassUnit};

const SET: &str = "bench two plates for 3 @8, elbows flare, bar drifts to my face";

/// The load of the case once the question is answered so.
fn load_after(answer: &str) -> Option<Mass> {
    let mut world = World::new("2026-03-02T17:00:00Z");
    let (out, _) = world.says("mara", SET);
    assert!(
        out[0].text.contains("kg plates or lb plates"),
        "{}",
        out[0].text
    );
    assert_eq!(out[0].choices.len(), 2);
    world.says("mara", answer);
    let case = world.cases_of(&person("mara")).remove(0);
    case.body.report.load
}

#[test]
fn plates_are_asked_about_and_every_way_to_answer_gives_the_load() {
    let kg = Some(Mass::new(100.0, MassUnit::Kg));
    let lb = Some(Mass::new(225.0, MassUnit::Lb));
    for (answer, load) in [
        ("kg", kg),
        ("kilos", kg),
        ("1", kg),
        ("100 kg", kg),
        ("lbs", lb),
        ("2", lb),
        ("225 lb", lb),
        ("it was 105 kg in all", Some(Mass::new(105.0, MassUnit::Kg))),
        ("hello there", None),
    ] {
        assert_eq!(load_after(answer), load, "{answer}");
    }
}
