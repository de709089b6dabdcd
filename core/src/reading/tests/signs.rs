//! Signs in lifters' words, against the phrases of the committed catalog.

use super::whole_catalog;
use crate::reading::{FlagLevel, Hints, Polarity, read};
use crate::report::Lift;

fn hints(lift: Lift) -> Hints {
    Hints {
        unit: None,
        lift: Some(lift),
    }
}

fn said(text: &str, lift: Lift) -> Vec<(String, Polarity)> {
    read(text, whole_catalog(), hints(lift))
        .signs
        .into_iter()
        .map(|mention| (mention.sign, mention.polarity))
        .collect()
}

#[test]
fn every_phrase_of_the_catalog_reads_as_its_own_sign() {
    let catalog = whole_catalog();
    let mut wrong = Vec::new();
    let mut count = 0;
    for (lift, book) in &catalog.lifts {
        for sign in &book.signs {
            for phrase in &sign.phrases {
                count += 1;
                let reading = read(phrase, catalog, hints(*lift));
                let own = reading
                    .signs
                    .iter()
                    .any(|m| m.sign == sign.id && m.polarity == Polarity::Present);
                if !own {
                    wrong.push(format!("{}: {phrase} -> {:?}", sign.id, reading.signs));
                }
            }
        }
    }
    assert!(count > 300, "only {count} phrases");
    assert!(
        wrong.is_empty(),
        "{} of {count}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn a_fault_that_is_denied_or_over_is_not_there() {
    let absent = |text: &str, sign: &str, lift| {
        assert!(
            said(text, lift).contains(&(sign.to_owned(), Polarity::Absent)),
            "{text}: {:?}",
            said(text, lift)
        );
    };
    absent(
        "knees don't cave when it's heavy",
        "sq-knees-in-up",
        Lift::Squat,
    );
    absent("my hips no longer shoot up", "sq-hips-shoot", Lift::Squat);
    absent("used to get butt wink", "sq-pelvis-tucks", Lift::Squat);
}

#[test]
fn other_orders_forms_and_small_slips_still_find_the_sign() {
    let present = |text: &str, sign: &str, lift| {
        assert!(
            said(text, lift).contains(&(sign.to_owned(), Polarity::Present)),
            "{text}: {:?}",
            said(text, lift)
        );
    };
    present(
        "my hips are shooting up out of the hole",
        "sq-hips-shoot",
        Lift::Squat,
    );
    present(
        "when its heavy the knees caved",
        "sq-knees-in-up",
        Lift::Squat,
    );
    present(
        "my butt comes up off the bench",
        "bp-hips-lift",
        Lift::Bench,
    );
    present(
        "grip gave out on the last rep",
        "dl-grip-opens",
        Lift::Deadlift,
    );
    present("heels came up again", "sq-heels-rise", Lift::Squat);
}

#[test]
fn plain_set_lines_and_guesses_about_causes_are_no_signs() {
    for (text, lift) in [
        ("squat 140 kg x 3 @8, felt good", Lift::Squat),
        ("bench 225lb x5 rpe 8-9", Lift::Bench),
        (
            "3x5 at 100 kilos deadlift, sumo, belt, no straps",
            Lift::Deadlift,
        ),
        ("I think I have weak triceps", Lift::Bench),
        ("are my quads weak?", Lift::Squat),
        ("thanks coach, see you next week", Lift::Squat),
    ] {
        assert_eq!(said(text, lift), [], "{text}");
    }
}

#[test]
fn no_technique_phrase_of_the_catalog_reads_as_a_reason_to_stop() {
    let catalog = whole_catalog();
    let mut wrong = Vec::new();
    for (lift, book) in &catalog.lifts {
        for sign in book.signs.iter().filter(|sign| !sign.pain) {
            for phrase in &sign.phrases {
                let reading = read(phrase, catalog, hints(*lift));
                if reading.level >= FlagLevel::Clinician {
                    wrong.push(format!("{phrase}: {:?}", reading.flags));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
