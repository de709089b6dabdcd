//! Points in doubt, repetitions that differ, and what has to be known besides the motion.

use super::super::super::Joint;
use super::super::super::tests::generator::Set;
use super::film::Film;
use super::views::{ALL_KNOWN, changed};
use super::{About, SignLimits, measure, measure_about, probability, sign, signs};
use crate::report::Lift;

#[test]
fn points_that_went_missing_are_not_measured() {
    let set = Set {
        high_deg: 20.0,
        ..Set::of(Lift::Squat, 60.0)
    };
    let (mut motion, reps) = Film::USUAL.of(&set);
    for joint in [Joint::RightHip, Joint::LeftHip] {
        let path = motion.body.get_mut(&joint).unwrap();
        // The plate hides the hip around every bottom.
        for rep in &reps {
            let hidden = rep.bottom - 40..rep.bottom + 20;
            path.trust[hidden].fill(0.0);
        }
    }
    let found = signs(&motion, &reps, &About::default(), &SignLimits::default());
    assert_eq!(sign(&found, "sq-depth-short"), None);
    assert!(
        sign(&found, "sq-slow-down").is_some(),
        "the bar was seen all the time"
    );
}

#[test]
fn points_of_little_confidence_say_less() {
    let set = Set {
        high_deg: 15.0,
        ..Set::of(Lift::Squat, 60.0)
    };
    let (motion, reps) = Film::USUAL.of(&set);
    let limits = SignLimits::default();
    let chance = |trust: f64| {
        let doubtful = changed(&motion, |path| path.trust.fill(trust));
        probability(
            &signs(&doubtful, &reps, &About::default(), &limits),
            "sq-depth-short",
        )
    };
    assert!(chance(0.9) > chance(0.5) && chance(0.5) > chance(0.35));
    assert!(chance(0.35) > 0.5);
}

#[test]
fn without_repetitions_nothing_is_said() {
    let (motion, _) = Film::CLEAR.of(&Set::of(Lift::Bench, 60.0));
    let found = signs(&motion, &[], &About::default(), &SignLimits::default());
    assert!(found.signs.is_empty() && found.quantities.is_empty());
    assert!(!found.cannot_show.is_empty());
}

#[test]
fn a_stop_is_a_sign_only_where_it_is_meant() {
    let set = Set {
        pause_s: 0.0,
        ..Set::of(Lift::Bench, 60.0)
    };
    for meant_to_pause in [None, Some(false)] {
        let about = About {
            meant_to_pause,
            ..About::default()
        };
        assert_eq!(
            sign(&measure_about(&set, &Film::CLEAR, &about), "bp-no-pause"),
            None
        );
    }
    assert!(
        probability(
            &measure_about(&set, &Film::CLEAR, &ALL_KNOWN),
            "bp-no-pause"
        ) > 0.5
    );
}

#[test]
fn one_bad_repetition_of_three_keeps_the_sign_from_being_absent_and_is_named() {
    let film = Film::USUAL;
    let (clean, reps) = film.of(&Set::of(Lift::Squat, 60.0));
    let (bad, _) = film.of(&Set {
        shoot_deg: 25.0,
        ..Set::of(Lift::Squat, 60.0)
    });
    let mut motion = clean;
    for (joint, path) in &mut motion.body {
        let from = reps[2].start;
        let other = &bad.body[joint];
        path.x[from..].copy_from_slice(&other.x[from..]);
        path.y[from..].copy_from_slice(&other.y[from..]);
    }
    let found = signs(&motion, &reps, &About::default(), &SignLimits::default());
    let hips = sign(&found, "sq-hips-shoot").unwrap();
    assert_eq!(hips.worst_rep, Some(2));
    assert!(hips.probability >= 0.4, "{hips:?}");
}

#[test]
fn a_bounce_needs_a_fast_camera() {
    let set = |fps| Set {
        pause_s: 0.0,
        bounce: 30.0,
        ..Set::of(Lift::Bench, fps)
    };
    let slow = measure(&set(30.0), &Film::USUAL);
    assert_eq!(sign(&slow, "bp-bounce"), None);
    assert!(
        slow.cannot_show
            .iter()
            .any(|text| text.contains("60 frames"))
    );
    let fast = probability(&measure(&set(120.0), &Film::USUAL), "bp-bounce");
    assert!(fast > 0.5, "{fast}");
    let soft = Set {
        pause_s: 0.0,
        ..Set::of(Lift::Bench, 120.0)
    };
    assert!(probability(&measure(&soft, &Film::USUAL), "bp-bounce") < 0.2);
}
