//! Posts that tell as a whole of no fault, beside those that tell of one in nearly the same words.
//!
//! Common practice, no source.

use super::whole_catalog;
use crate::catalog::Catalog;
use crate::reading::{FineByRule, Hints, read};
use crate::report::Lift;

/// From this chance on the diagnosis takes such a post at its word.
const BELIEVED: f64 = 0.16;

fn fine(lift: Lift, text: &str) -> Option<FineByRule> {
    let hints = Hints {
        unit: None,
        lift: Some(lift),
    };
    read(text, whole_catalog(), hints).fine
}

#[test]
fn a_worry_about_style_or_build_is_told_by_its_rule() {
    for (lift, rule, post) in [
        (
            Lift::Squat,
            "ctx-knee-forward",
            "An aunt at the gym says my knees must never pass my toes. They do, by a lot. Heels down, full depth, no pain ever. Is that wrong?",
        ),
        (
            Lift::Squat,
            "ctx-tuck-small",
            "tiny curl of the pelvis right at the bottom, well under parallel, smooth, never hurts, same every rep for years. do i have to fix it?",
        ),
        (
            Lift::Squat,
            "ctx-limit",
            "Planned max on test day. It was slow and a bit shaky, everything below 90 percent looked the same as ever. Anything to fix?",
        ),
        (
            Lift::Bench,
            "ctx-heels-bench",
            "i bench up on my toes, never going to compete, nothing moves and nothing hurts. a guy says heels must be flat. must i change?",
        ),
        (
            Lift::Deadlift,
            "ctx-drop-plates",
            "Rubber plates on a platform, the gym allows it, so I let it drop from the top. No meets for me. Is that bad?",
        ),
    ] {
        let told = fine(lift, post).unwrap();
        assert_eq!(told.rule, rule, "{post}");
        assert!(told.chance >= BELIEVED, "{told:?} {post}");
    }
}

#[test]
fn the_same_worry_beside_a_fault_or_pain_is_not() {
    for (lift, post) in [
        (
            Lift::Squat,
            "My knees pass my toes by a lot, my heels come up and I end on my toes every rep. An aunt says it is bad for them.",
        ),
        (
            Lift::Squat,
            "my pelvis curls under at the bottom and i go loose there, then my back has to drag it up. it gets worse with load",
        ),
        (
            Lift::Bench,
            "i bench on my toes and my backside comes off the pad as soon as it gets heavy, i missed two reps this week because of it",
        ),
        (
            Lift::Deadlift,
            "I drop it from the top because my grip opens on every heavy rep and I cannot hold it any longer.",
        ),
        (
            Lift::Squat,
            "Squat 140 kg x 5 @8, my knees cave in on the way up from rep three",
        ),
    ] {
        let chance = fine(lift, post).map_or(0.0, |told| told.chance);
        assert!(chance < BELIEVED, "{chance} {post}");
    }
}

#[test]
fn without_the_lift_or_with_few_words_nothing_is_told() {
    let post = "Planned max on test day. It was slow and a bit shaky, everything below 90 percent looked the same as ever. Anything to fix?";
    assert_eq!(read(post, whole_catalog(), Hints::default()).fine, None);
    assert_eq!(fine(Lift::Squat, "knees past toes, is that ok?"), None);
}

/// Every rule named in the table is one of the catalog, and every lift has some.
#[test]
fn each_lift_has_rules_that_whole_posts_tell() {
    let catalog: &Catalog = whole_catalog();
    let told = &catalog.sign_weights.posts.weights;
    assert_eq!(told.start.len(), told.signs.len() + 1);
    for lift in Lift::ALL {
        let of_lift = catalog.context.iter().filter(|rule| {
            told.signs.contains(&rule.id) && rule.lift.is_none_or(|here| here == lift)
        });
        assert!(of_lift.count() >= 4, "{lift:?}");
    }
}
