//! Plain words that could be taken for something else: which set, which case, yes and no.

use super::world::{World, person};
use crate::record::{CaseState, FieldValue, Outgoing, Payload, Purpose};
use cueline_core::quantity::{Length, Mass, MassUnit};
use cueline_core::report::Lift;

const SQUAT: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core \
                     feels squishy, then hips shoot up. best 165 kg";
const BENCH: &str = "bench 80 kg x 5 @8, side video, elbows flare and the bar drifts to my face, \
                     best 95 kg, spotter there";
const DEADLIFT: &str =
    "deadlift 180 kg x 2 @8, shoulders behind the bar, hips shoot before it moves";
const DANGER: &str = "felt a pop in my back at deadlift 180 kg x 2";

fn world() -> World {
    World::new("2026-03-02T17:00:00Z")
}

fn replies(out: &[Outgoing]) -> Vec<String> {
    let replies = out.iter().filter(|m| m.purpose == Purpose::Reply);
    replies.map(|reply| reply.text.clone()).collect()
}

/// What mara is told.
fn says(world: &mut World, text: &str) -> String {
    replies(&world.says("mara", text).0).join("\n")
}

fn case(world: &World, number: i64) -> crate::record::Case {
    let found = world.cases.values().find(|case| case.number == number);
    found.expect("such a case").clone()
}

#[test]
fn which_of_several_sets_is_said_in_plain_words_and_is_no_sign() {
    let mut world = world();
    says(&mut world, BENCH);
    let said = says(
        &mut world,
        "squat 100 kg x 5 @8 knees cave on the way up, bench 82.5 kg x 5 @8, deadlift 150 kg x 3",
    );
    assert!(said.contains("Which set first"), "{said}");
    let said = says(&mut world, "squat first");
    assert!(said.contains("squat, 100 kg (220 lb) x 5"), "{said}");
    assert!(
        said.contains("your knees move in as you drive up"),
        "{said}"
    );
    // "Squat first" is no word on what moves first.
    assert!(!said.contains("your knees go first"), "{said}");
    assert!(said.contains("bench press and deadlift"), "{said}");
}

#[test]
fn the_same_as_before_is_told_from_the_signs_or_from_what_is_worked_on() {
    let mut world = world();
    says(&mut world, SQUAT);
    says(&mut world, BENCH);
    let said = says(
        &mut world,
        "same as last week but 5 kg more, elbows still flare",
    );
    assert!(said.contains("bench press, 85 kg (187 lb) x 5"), "{said}");
    // The bench press is over: the squat is what is worked on.
    for case in world.cases.values_mut() {
        if case.lift == Some(Lift::Bench) {
            case.state = CaseState::Mended;
        }
    }
    let said = says(&mut world, "same as last time but 5 kg more");
    assert!(said.contains("squat, 145 kg (320 lb) x 3"), "{said}");
}

#[test]
fn the_same_as_before_is_never_somebody_elses_set() {
    let mut world = world();
    says(&mut world, SQUAT);
    says(
        &mut world,
        "posting for my wife: squat 60 kg x 5 @8, her knees cave",
    );
    let listed = says(&mut world, "my cases");
    assert!(listed.contains("squat (your wife)"), "{listed}");
    let said = says(
        &mut world,
        "same squat as last time but 5 kg more, hips still shoot up",
    );
    assert!(said.contains("145 kg"), "{said}");
    assert_eq!(case(&world, 1).body.rounds.len(), 2);
    assert_eq!(case(&world, 2).body.rounds.len(), 1);
}

#[test]
fn a_case_that_is_over_and_named_is_no_other_open_case() {
    let mut world = world();
    says(&mut world, SQUAT);
    let over = world.cases.values_mut().next().expect("a case");
    over.state = CaseState::Mended;
    says(&mut world, BENCH);
    let said = says(&mut world, "case 1: 150 kg x 3 @8, hips shoot up again");
    assert!(said.contains("Case 1 is over (done)"), "{said}");
    assert!(said.contains("squat, 150 kg (331 lb) x 3"), "{said}");
    assert_eq!(
        case(&world, 2).body.rounds.len(),
        1,
        "the bench press is left alone"
    );
    let new = case(&world, 3);
    assert_eq!(new.lift, Some(Lift::Squat));
    let load = new.body.rounds[0].report.load;
    assert_eq!(load, Some(Mass::new(150.0, MassUnit::Kg)));
}

#[test]
fn a_form_goes_on_in_the_lifters_own_case_of_its_lift() {
    let mut world = world();
    says(
        &mut world,
        "posting for my wife: squat 60 kg x 5 @8, her knees cave",
    );
    let form = |world: &mut World| {
        let id = format!("f-{}", world.entries.len());
        let fields = [
            ("lift", FieldValue::Text("squat".to_owned())),
            ("load", FieldValue::Number(140.0)),
            ("unit", FieldValue::Text("kg".to_owned())),
            ("reps", FieldValue::Number(3.0)),
            ("rpe", FieldValue::Number(8.0)),
            (
                "words",
                FieldValue::Text("I forget to breathe, core squishy".to_owned()),
            ),
        ];
        let payload = Payload::Form {
            submission_id: id,
            form_id: "set-report".to_owned(),
            form_version: 1,
            fields: fields.map(|(name, value)| (name.to_owned(), value)).into(),
            attachments: Vec::new(),
        };
        let event = world.event("mara", None, payload);
        replies(&world.happens(&event)).join("\n")
    };
    form(&mut world);
    assert_eq!(world.cases.len(), 2, "the wife's case is left alone");
    assert_eq!(case(&world, 1).body.rounds.len(), 1);
    // While the coach has it, a form goes to the coach as any set does.
    says(&mut world, "ask the coach");
    let said = form(&mut world);
    assert!(said.contains("the coach sees it"), "{said}");
    assert_eq!(
        (world.cases.len(), case(&world, 2).body.rounds.len()),
        (2, 2)
    );
}

#[test]
fn a_plain_no_to_being_forgotten_answers_no_other_question() {
    let mut world = world();
    says(&mut world, DEADLIFT);
    let open = case(&world, 1).body.open_question;
    assert!(open.is_some(), "a question is open");
    says(&mut world, "forget me");
    assert_eq!(says(&mut world, "No."), "Nothing was deleted.");
    assert_eq!(case(&world, 1).body.open_question, open);
    // A bare yes is not enough, and answers nothing else either.
    says(&mut world, "forget me");
    let said = says(&mut world, "yes");
    assert!(said.contains("yes, forget me"), "{said}");
    assert!(world.lifters.contains_key(&person("mara")));
    assert_eq!(case(&world, 1).body.open_question, open);
    // Later, or after other words, a no means what it meant before.
    says(&mut world, "my cases");
    let said = says(&mut world, "no");
    assert!(!said.contains("Nothing was deleted"), "{said}");
}

#[test]
fn a_question_while_the_coach_has_the_case_reaches_the_coach() {
    let mut world = world();
    says(&mut world, SQUAT);
    says(&mut world, "ask the coach");
    for (text, answered) in [
        ("any news?", true),
        ("I forgot to say I wear a belt", false),
    ] {
        let said = says(&mut world, text);
        assert_eq!(
            said.contains("the coach sees it"),
            answered,
            "{text}: {said}"
        );
        let entries = &world.entries;
        assert!(entries.iter().any(|entry| entry.text == text), "{text}");
    }
    // An answer to another member is none of it.
    let payload = Payload::Message {
        message_id: "aside".to_owned(),
        version: 1,
        text: "did you try my gym?".to_owned(),
        reply_to: Some("a-members-message".to_owned()),
        attachments: Vec::new(),
    };
    let event = world.event("mara", None, payload);
    assert!(world.happens(&event).is_empty());
}

#[test]
fn a_question_under_a_stop_is_answered_with_the_stop() {
    for text in ["can I do bench?", "the physio says all clear"] {
        let mut world = world();
        says(&mut world, DANGER);
        let said = says(&mut world, text);
        assert!(said.contains("stop is still on"), "{text}: {said}");
    }
}

#[test]
fn a_set_that_could_not_be_true_is_no_try() {
    let mut world = world();
    says(
        &mut world,
        "squat 1200 kg x 3 @8, I dive bomb it and go soft in the hole",
    );
    says(
        &mut world,
        "sorry, 120 kg. I dive bomb it and go soft in the hole",
    );
    assert_eq!(case(&world, 1).body.rounds.len(), 1);
    world.pass(24 * 8);
    let said = says(&mut world, "squat 125 kg x 3 @8, still dive bombing it");
    assert!(!said.contains("Three tries"), "{said}");
    assert_eq!(case(&world, 1).state, CaseState::Practising, "{said}");
    world.pass(24 * 8);
    let said = says(&mut world, "squat 125 kg x 3 @8, still dive bombing it");
    assert!(said.contains("Three tries"), "{said}");
}

#[test]
fn the_reminder_speaks_of_what_the_coach_gave() {
    let mut world = world();
    says(&mut world, SQUAT);
    says(&mut world, "ask the coach");
    world.now += jiff::SignedDuration::from_hours(1);
    world.says(
        "wren",
        "say 1 Mara, move the feet in a hand and pause each rep.",
    );
    world.says("wren", "finish 1");
    let out = world.pass(24 * 20);
    let reminders: Vec<&Outgoing> = out
        .iter()
        .filter(|message| message.purpose == Purpose::Reminder)
        .collect();
    let first = &reminders.first().expect("a reminder").text;
    assert!(first.contains("what the coach wrote"), "{first}");
    assert!(!first.contains("Push the belt"), "{first}");
}

#[test]
fn a_height_is_kept_and_corrected() {
    let mut world = world();
    says(&mut world, SQUAT);
    let said = says(&mut world, "I am 170 cm tall");
    assert!(said.contains("Kept: height 170 cm (66.9 in)"), "{said}");
    says(&mut world, "I'm 1.80 m tall");
    let shown = says(&mut world, "my profile");
    assert!(shown.contains("height 1.8 m"), "{shown}");
    // It goes into the next set's report.
    says(&mut world, "squat 142.5 kg x 3 @8, hips still shoot up");
    let rounds = case(&world, 1).body.rounds;
    let height = rounds.last().expect("a set").report.stature;
    assert_eq!(height.map(Length::metres), Some(1.8));
}

#[test]
fn a_sign_said_not_to_be_there_is_no_ground_as_if_it_were() {
    let mut world = world();
    says(&mut world, SQUAT);
    world.pass(24 * 8);
    let said = says(
        &mut world,
        "squat 142.5 kg x 3 @8, side. core still squishy, hips shoot up, no knee cave",
    );
    let grounds = said.lines().find(|line| line.starts_with("I go by this"));
    let grounds = grounds.expect("grounds");
    assert!(grounds.contains("your hips rise first"), "{grounds}");
    assert!(!grounds.contains("your knees move in"), "{grounds}");
}

#[test]
fn a_review_card_calls_gone_only_what_was_there() {
    let mut world = world();
    says(&mut world, SQUAT);
    world.pass(24 * 8);
    says(
        &mut world,
        "squat 142.5 kg x 3 @8, side. core still squishy, I don't forget to breathe, no knee cave",
    );
    says(&mut world, "ask the coach");
    let sheet = world.says("wren", "review sheet 20 minutes").0;
    let sheet: String = sheet.iter().map(|part| part.text.as_str()).collect();
    let gone = sheet
        .lines()
        .find(|line| line.contains("Not there any more"));
    let gone = gone.expect("something is gone");
    assert!(gone.contains("breath taken after"), "{gone}");
    assert!(!gone.contains("knees move"), "{gone}");
}

#[test]
fn more_than_can_be_counted_is_said_to_be_more() {
    let mut world = world();
    let queue = |world: &mut World| {
        let out = world.says("wren", "queue").0;
        out.last().expect("the queue").text.clone()
    };
    for number in 0..51 {
        let who = format!("p{number}");
        world.says(&who, SQUAT);
        world.says(&who, "ask the coach");
        if number == 49 {
            let said = queue(&mut world);
            assert!(said.starts_with("**50 waiting"), "{said}");
        }
    }
    let said = queue(&mut world);
    assert!(said.starts_with("**more than 50 waiting"), "{said}");
}

#[test]
fn the_coachs_page_in_chat_has_names_and_no_code() {
    let mut world = world();
    says(&mut world, SQUAT);
    world.pass(24 * 8);
    says(&mut world, "squat 142.5 kg x 3 @8, felt fine");
    let out = world.says("wren", "show 1").0;
    let page = &out.last().expect("a page").text;
    let given = page.lines().find(|line| line.contains("Given so far"));
    let given = given.expect("what was given");
    assert!(given.contains("breath shallow, late or lost ("), "{given}");
    assert!(!given.contains("c-sq-"), "{given}");
}
