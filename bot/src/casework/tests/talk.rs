//! What people say beside a plain set, told as short stories.

use super::world::{World, built_in, person};
use crate::record::{CaseState, Outgoing, Purpose};
use cueline_core::outcome::Verdict;
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::report::Lift;
use jiff::SignedDuration;

const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                   feels squishy, then hips shoot up. best 165 kg";
const BENCH: &str = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                     best 95 kg, spotter there";
const DANGER: &str =
    "felt a tightness across my chest on rep 3 of bench 60 kg x 5 and it hasnt gone";

fn world() -> World {
    World::new("2026-03-02T17:00:00Z")
}

/// The one reply.
fn reply(out: &[Outgoing]) -> String {
    let mut replies = out.iter().filter(|m| m.purpose == Purpose::Reply);
    let first = replies.next().expect("a reply").text.clone();
    assert!(replies.next().is_none(), "one reply only");
    first
}

fn says(world: &mut World, who: &str, text: &str) -> String {
    reply(&world.says(who, text).0)
}

fn case(world: &World, number: i64) -> crate::record::Case {
    let found = world.cases.values().find(|case| case.number == number);
    found.expect("such a case").clone()
}

#[test]
fn the_same_as_last_week_but_five_kilos_more_is_built_from_the_last_set_and_said_back() {
    let mut world = world();
    says(&mut world, "mara", SET);
    world.pass(24 * 8);
    let said = says(
        &mut world,
        "mara",
        "same as last week but 5 kg more, still felt like 8, hips don't shoot up, I don't forget to \
         breathe and my core is not squishy",
    );
    assert!(
        said.contains("Taken from your set of Monday 2 March"),
        "{said}"
    );
    assert!(said.contains("squat, 145 kg (320 lb) x 3"), "{said}");
    let case = case(&world, 1);
    let last = case.body.rounds.last().unwrap();
    assert_eq!(last.report.load, Some(Mass::new(145.0, MassUnit::Kg)));
    assert_eq!(case.body.rounds.len(), 2);
    assert_eq!(last.outcome, Some(Verdict::Gone));
    assert_eq!(case.state, CaseState::Mended);
}

#[test]
fn the_same_as_last_week_without_a_last_week_is_asked_about() {
    let mut world = world();
    let said = says(&mut world, "mara", "same as last week but 5 kg more");
    assert!(said.contains("no set to compare"), "{said}");
    // Two lifts: which is meant?
    says(&mut world, "mara", SET);
    says(&mut world, "mara", BENCH);
    let said = says(&mut world, "mara", "same as last time but 5 kg more");
    assert!(said.contains("Name the lift"), "{said}");
    let said = says(
        &mut world,
        "mara",
        "same bench as last time but 2.5 kg more",
    );
    assert!(said.contains("bench press, 82.5 kg"), "{said}");
    assert_eq!(world.cases.len(), 2);
}

#[test]
fn a_stop_is_not_talked_round_by_the_same_again() {
    let mut world = world();
    says(&mut world, "mara", SET);
    world.says("mara", DANGER);
    let said = says(&mut world, "mara", "same squat as last time but 5 kg more");
    assert!(said.contains("stop is still on"), "{said}");
    assert!(!said.contains("145"), "{said}");
}

#[test]
fn facts_of_the_profile_are_kept_corrected_and_shown() {
    let mut world = world();
    says(&mut world, "mara", SET);
    for (text, answer) in [
        ("my bodyweight is 84 kg now", "body weight 84 kg (185 lb)"),
        (
            "I only have 20s and 10s",
            "plates: bar 20 kg; 20 (6 pairs), 10 (6 pairs)",
        ),
        ("my best squat is 180", "best squat 180 kg (397 lb)"),
        (
            "my squat goal is 200 kg",
            "goal for the squat 200 kg (441 lb)",
        ),
        ("I have been lifting for 3 years", "training for 3 years"),
        ("my rule set is tested, raw", "rules: tested, raw"),
        ("I train in lb", "unit lb"),
    ] {
        let said = says(&mut world, "mara", text);
        assert!(said.contains(answer), "{text}: {said}");
        assert!(said.contains("my profile"), "{said}");
    }
    assert_eq!(world.cases.len(), 1, "none of it is a set");
    assert_eq!(case(&world, 1).state, CaseState::Practising);
    let said = says(&mut world, "mara", "my profile");
    for part in [
        "84 kg",
        "180 kg",
        "200 kg",
        "20 (6 pairs)",
        "unit lb",
        "tested, raw",
        "not said",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let said = says(&mut world, "mara", "my best squat is 385");
    assert!(said.contains("385 lb"), "the unit now said: {said}");
}

#[test]
fn a_fact_mended_in_an_older_message_is_mended_in_the_profile() {
    let mut world = world();
    let (_, message) = world.says("mara", "my best squat is 108 kg");
    let out = world.edits("mara", None, &message, 2, "my best squat is 180 kg");
    assert!(reply(&out).contains("180 kg"));
    let best = &world.lifters[&person("mara")].profile.bests["squat"];
    assert!((best.value - 180.0).abs() < 1e-9);
}

#[test]
fn a_fact_told_where_a_question_is_open_is_read_with_the_set() {
    let mut world = world();
    says(&mut world, "mara", "my squat feels heavy, 80 kg x 5 rpe 7");
    assert_eq!(case(&world, 1).state, CaseState::Asking);
    says(&mut world, "mara", "I don't compete");
    let round = case(&world, 1).body.rounds.last().unwrap().report.clone();
    assert_eq!(round.competes, Some(cueline_core::report::Competes::No));
}

#[test]
fn words_taken_back_are_nowhere_in_what_is_kept() {
    let mut world = world();
    let (_, message) = world.says("mara", DANGER);
    let (_, other) = world.says(
        "mara",
        "squat 140x3, bench 100x5, that wobbly feeling again",
    );
    for message_id in [message, other] {
        let payload = crate::record::Payload::Deleted {
            message_id,
            deleted_by: "mara".to_owned(),
        };
        let event = world.event("mara", None, payload);
        world.happens(&event);
    }
    assert_eq!(case(&world, 1).state, CaseState::Halted, "the stop stays");
    let kept = serde_json::to_string(&(
        world.cases.values().collect::<Vec<_>>(),
        &world.entries,
        world.queue.values().collect::<Vec<_>>(),
        world.lifters.values().collect::<Vec<_>>(),
    ))
    .unwrap();
    for word in ["tightness", "wobbly"] {
        assert!(!kept.contains(word), "{word} in {kept}");
    }
}

#[test]
fn plates_told_are_the_plates_loaded() {
    let mut world = world();
    says(&mut world, "mara", "I have 20 kg and 10 kg plates, no 5s");
    let said = says(&mut world, "mara", SET);
    let loads: Vec<&str> = said
        .lines()
        .filter(|line| line.contains("a side"))
        .collect();
    assert!(!loads.is_empty(), "{said}");
    for line in loads {
        assert!(
            !line.contains("25") && !line.contains("2.5 a side"),
            "{line}"
        );
    }
}

#[test]
fn a_fact_without_its_unit_or_lift_is_asked_about_and_an_impossible_one_refused() {
    let mut world = world();
    let said = says(&mut world, "mara", "my best squat is 180");
    assert!(said.contains("180 kg or lb"), "{said}");
    let said = says(&mut world, "mara", "my best is 180 kg");
    assert!(said.contains("Of which lift"), "{said}");
    let said = says(&mut world, "mara", "my best squat is 1100 kg");
    assert!(said.contains("best") && said.contains("I accept"), "{said}");
    assert!(world.lifters[&person("mara")].profile.bests.is_empty());
}

#[test]
fn several_lifts_in_one_message_are_one_question_and_one_case() {
    let mut world = world();
    let (out, _) = world.says("mara", "squat 140x3, bench 100x5, deadlift 180x2 kg");
    let said = reply(&out);
    assert!(said.contains("Which set first"), "{said}");
    assert_eq!(out[0].choices.len(), 3);
    assert_eq!(world.cases.len(), 1);
    let said = says(&mut world, "mara", "2");
    assert!(said.contains("bench press, 100 kg (220 lb) x 5"), "{said}");
    assert!(
        said.contains("Post the squat and deadlift in a message of its own"),
        "{said}"
    );
    assert!(!said.contains("140"), "{said}");
    assert_eq!(case(&world, 1).lift, Some(Lift::Bench));
}

#[test]
fn the_set_chosen_of_several_goes_on_in_the_case_its_lift_has() {
    let mut world = world();
    says(&mut world, "mara", SET);
    world.pass(24 * 9);
    let both = "squat 145 kg x 3 @8, still hips shoot up. bench 80 kg x 5 @8, elbows flare";
    says(&mut world, "mara", both);
    let said = says(&mut world, "mara", "1");
    assert!(said.contains("145 kg"), "{said}");
    assert_eq!(
        case(&world, 1).body.rounds.len(),
        2,
        "the squat goes on where it was"
    );
    assert_eq!(case(&world, 2).state, CaseState::Withdrawn);
}

#[test]
fn a_set_posted_for_somebody_else_is_kept_apart() {
    let mut world = world();
    says(&mut world, "mara", SET);
    let text = "posting for my wife: squat 60 kg x 5 @8, knees cave in. best 75 kg";
    let said = says(&mut world, "mara", text);
    assert!(said.contains("set of your wife"), "{said}");
    assert!(!said.contains("165 kg"), "{said}");
    let (own, hers) = (case(&world, 1), case(&world, 2));
    assert_eq!((own.body.rounds.len(), hers.body.rounds.len()), (1, 1));
    let best = &world.lifters[&person("mara")].profile.bests["squat"];
    assert!(
        (best.value - 165.0).abs() < 1e-9,
        "the poster's own best stays"
    );
    // The next squat of her own goes where hers is.
    world.pass(24 * 3);
    says(
        &mut world,
        "mara",
        "squat 142.5 kg x 3 @8, hips still shoot up",
    );
    assert_eq!(case(&world, 1).body.rounds.len(), 2);
    assert_eq!(case(&world, 2).body.rounds.len(), 1);
    let said = says(
        &mut world,
        "tobi",
        "my wife's squat: 60 kg x 5 @8, her knees cave",
    );
    assert!(said.contains("knees"), "{said}");
    world.pass(24 * 3);
    let said = says(&mut world, "tobi", "her knees still cave");
    assert!(said.contains("Not yet"), "{said}");
    // Danger told of somebody else stops all the same.
    let text =
        "posting for my wife: squat 60 kg x 5, she felt a tightness in her chest and it hasnt gone";
    let said = says(&mut world, "mara", text);
    assert!(said.contains("emergency"), "{said}");
}

#[test]
fn another_set_while_one_is_asked_about_takes_its_place() {
    let mut world = world();
    let said = says(&mut world, "mara", "my squat feels heavy, 80 kg x 5 rpe 7");
    assert!(said.contains("One question"), "{said}");
    let said = says(
        &mut world,
        "mara",
        "squat 70 kg x 8 @8, I forget to breathe and my core feels squishy",
    );
    assert!(said.contains("70 kg (154 lb) x 8"), "{said}");
    assert_eq!(world.cases.len(), 1);
}

#[test]
fn thanks_are_never_called_not_understood() {
    let mut world = world();
    says(&mut world, "mara", "my squat feels heavy, 80 kg x 5 rpe 7");
    assert_eq!(case(&world, 1).state, CaseState::Asking);
    let (out, _) = world.says("mara", "Thank you so much!");
    assert!(out.is_empty(), "{out:?}");
    assert!(case(&world, 1).body.open_question.is_some());
}

#[test]
fn not_knowing_is_an_answer_too() {
    let mut world = world();
    says(&mut world, "mara", "squat 140 kg x 3 @8, hips shoot up");
    let (first, second) = (case(&world, 1).body.asked, "dunno");
    assert_eq!(first, 1);
    let said = says(&mut world, "mara", second);
    assert!(!said.contains("did not get that"), "{said}");
    assert_ne!(case(&world, 1).state, CaseState::Asking);
}

#[test]
fn a_question_about_the_work_is_for_a_person() {
    let mut world = world();
    says(&mut world, "mara", SET);
    let root = case(&world, 1).body.root;
    let (out, _) = world.says_in("mara", root.as_deref(), "can I do this tomorrow?");
    assert!(reply(&out).contains("ask the coach"));
}

#[test]
fn a_body_weight_without_a_unit_is_not_guessed_from_the_unit_of_the_bar() {
    let mut world = world();
    says(
        &mut world,
        "mara",
        "bench 225 lb x 5 @8, elbows flare, bar drifts to my face",
    );
    assert!(says(&mut world, "mara", "I weigh 84").contains("Is 84 kg or lb"));
    assert!(says(&mut world, "mara", "I weigh 84 kg").contains("84 kg (185 lb)"));
    assert!(says(&mut world, "mara", "I weigh 85").contains("85 kg (187 lb)"));
}

#[test]
fn help_says_what_comes_next_where_the_lifter_stands() {
    let mut world = world();
    let said = says(&mut world, "mara", "help");
    assert!(
        said.contains("Post one set") && !said.contains("practising"),
        "{said}"
    );
    says(&mut world, "mara", "my squat feels heavy, 80 kg x 5 rpe 7");
    let (out, _) = world.says("mara", "help");
    assert!(reply(&out).contains("One question"));
    assert!(!out[0].choices.is_empty(), "with its buttons");
    says(&mut world, "tobi", SET);
    assert!(says(&mut world, "tobi", "help").contains("practising your squat"));
    says(&mut world, "tobi", "ask the coach");
    assert!(says(&mut world, "tobi", "help").contains("The coach has your squat"));
    world.says("tobi", DANGER);
    assert!(says(&mut world, "tobi", "help").contains("stop is still on"));
}

#[test]
fn nobody_is_reminded_in_hard_times_and_the_case_closes_by_itself() {
    let mut world = world();
    says(&mut world, "mara", SET);
    let said = says(&mut world, "mara", "my dad died, no lifting for a while");
    assert!(said.contains("sorry"), "{said}");
    let out = world.pass(24 * 60);
    assert!(out.is_empty(), "{out:?}");
    assert_eq!(case(&world, 1).state, CaseState::Lapsed);
    // Back again: reminders as before.
    says(&mut world, "mara", SET);
    assert!(!world.pass(24 * 20).is_empty());
}

#[test]
fn after_a_month_of_silence_nothing_is_asked() {
    let mut world = world();
    says(&mut world, "mara", SET);
    says(&mut world, "mara", BENCH);
    let out = world.pass(24 * 120);
    let last = world.sent.last().unwrap().at;
    let silent = last.duration_since("2026-03-02T17:00:00Z".parse().unwrap());
    assert!(silent < SignedDuration::from_hours(30 * 24), "{silent:?}");
    assert!(out.len() >= 3);
    for number in [1, 2] {
        assert_eq!(case(&world, number).state, CaseState::Lapsed);
    }
}

#[test]
fn the_day_of_the_next_ask_is_the_lifters_to_set() {
    let mut world = world();
    let said = says(&mut world, "mara", "remind me on friday");
    assert!(said.contains("nothing you are practising"), "{said}");
    says(&mut world, "mara", SET);
    let said = says(&mut world, "mara", "remind me on friday");
    assert!(said.contains("Friday 6 March"), "{said}");
    assert_eq!(world.open_asks(&case(&world, 1).id).len(), 1);
    assert!(world.pass(24 * 4).is_empty(), "not before");
    assert_eq!(world.pass(24).len(), 1);
    let said = says(&mut world, "mara", "remind me in 90 days");
    assert!(said.contains("60 days"), "{said}");
}

#[test]
fn a_case_is_found_by_its_number_too() {
    let mut world = world();
    says(&mut world, "mara", SET);
    says(&mut world, "mara", BENCH);
    world.pass(24 * 9);
    says(
        &mut world,
        "mara",
        "case 1: 145 kg x 3 @8, hips still shoot up",
    );
    assert_eq!(case(&world, 1).body.rounds.len(), 2);
    assert_eq!(case(&world, 2).body.rounds.len(), 1);
}

#[test]
fn a_time_zone_is_asked_for_once() {
    let mut world = world();
    assert!(says(&mut world, "mara", SET).contains("my time zone is"));
    assert!(!says(&mut world, "mara", BENCH).contains("my time zone is"));
}

#[test]
fn a_case_is_handed_from_coach_to_coach() {
    let mut world = world();
    says(&mut world, "mara", SET);
    says(&mut world, "mara", "ask the coach");
    let (out, _) = world.says("wren", "hand 1 to nobody");
    assert!(out[0].text.contains("wren, ana"), "{}", out[0].text);
    world.says("wren", "take 1");
    let (out, _) = world.says("wren", "hand 1 to Ana");
    assert_eq!(out.len(), 2, "{out:?}");
    assert!(out[0].text.contains("hands you case 1"), "{}", out[0].text);
    assert_eq!(out[0].mentions, ["ana"]);
    let item = &world.queue[&case(&world, 1).id];
    assert_eq!(item.taken_by, Some(person("ana")));
    // It is Ana's now: Wren cannot hand it on.
    let (out, _) = world.says("wren", "hand 1 to wren");
    assert!(out[0].text.contains("is with ana"), "{}", out[0].text);
}

#[test]
fn the_coach_asks_for_a_review_sheet() {
    let mut world = world();
    let (out, _) = world.says("wren", "review sheet 20 minutes");
    assert!(out[0].text.contains("Nothing to review"), "{}", out[0].text);
    says(&mut world, "mara", SET);
    says(&mut world, "mara", "ask the coach");
    says(&mut world, "tobi", BENCH);
    world.says("tobi", DANGER);
    let (out, _) = world.says("wren", "Review sheet for 30 min, please");
    let said = &out[0].text;
    for part in [
        "5 of 30 minutes",
        "Case 1",
        "mara",
        "140 kg (309 lb)",
        "Not for showing",
        "stopped for safety",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
    assert_eq!(world.sheets, 1);
    let (out, _) = world.says("wren", "review sheet 2 minutes");
    assert!(out[0].text.contains("5 to 240"), "{}", out[0].text);
    // A lifter gets none.
    let (out, _) = world.says("mara", "review sheet 20 minutes");
    assert!(
        out.iter().all(|m| !m.text.contains("Review sheet")),
        "{out:?}"
    );
    assert!(built_in().rules.coaches.len() >= 2);
}

#[test]
fn two_cases_are_asked_about_in_turn() {
    let mut world = world();
    says(&mut world, "mara", SET);
    says(&mut world, "mara", BENCH);
    let out = world.pass(24 * 29);
    let about: Vec<bool> = out.iter().map(|m| m.text.contains("squat")).collect();
    assert!(about.len() >= 2, "{about:?}");
    assert!(about.windows(2).all(|pair| pair[0] != pair[1]), "{about:?}");
}
