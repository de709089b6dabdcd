//! Words that are easily taken for something else: each trap with how it has to be read.
//!
//! Common practice, no source.

use super::whole_catalog;
use crate::reading::{FlagLevel, Hints, Polarity, Reading, read};
use crate::report::Lift;

fn reading(lift: Lift, text: &str) -> Reading {
    let hints = Hints {
        unit: None,
        lift: Some(lift),
    };
    read(text, whole_catalog(), hints)
}

/// The signs told as there, with no word of danger.
fn told(lift: Lift, text: &str) -> Vec<String> {
    let reading = reading(lift, text);
    assert_eq!(
        reading.level,
        FlagLevel::None,
        "{text}: {:?}",
        reading.flags
    );
    let there = reading.signs.into_iter();
    there
        .filter(|mention| mention.polarity == Polarity::Present)
        .map(|mention| mention.sign)
        .collect()
}

/// Told as this one sign.
fn is(lift: Lift, text: &str, sign: &str) {
    assert_eq!(told(lift, text), [sign], "{text}");
}

/// Told as no sign at all.
fn is_nothing(lift: Lift, text: &str) {
    assert_eq!(told(lift, text), [""; 0], "{text}");
}

/// Something for a clinician at least.
fn stops(lift: Lift, text: &str) {
    let level = reading(lift, text).level;
    assert!(level >= FlagLevel::Clinician, "{text}: {level:?}");
}

#[test]
fn a_part_not_firing_is_a_part_not_felt_unless_it_is_numb() {
    is(
        Lift::Squat,
        "my glutes are not firing",
        "sq-legs-not-pushing",
    );
    is(
        Lift::Squat,
        "quads switched off the whole set",
        "sq-legs-not-pushing",
    );
    is(
        Lift::Bench,
        "chest not activated at all",
        "bp-no-feel-chest",
    );
    stops(Lift::Squat, "my leg went dead and numb after the set");
    stops(Lift::Squat, "my foot is asleep and tingling since the set");
}

#[test]
fn no_pop_is_slow_and_a_pop_that_was_felt_has_somebody_look() {
    is(Lift::Squat, "no pop out of the hole", "sq-stall-low");
    for text in ["felt a pop in my hip", "heard a pop in my back on rep two"] {
        let summons = reading(Lift::Squat, text).summons;
        let sharp = |s: &crate::reading::SummonsMention| s.escalation == "esc-sharp-pain";
        assert!(summons.iter().any(sharp), "{text}: {summons:?}");
    }
}

#[test]
fn a_back_that_rounds_is_neither_the_lower_nor_the_upper_until_it_is_said() {
    is_nothing(Lift::Deadlift, "my back rounds");
    is_nothing(Lift::Deadlift, "back rounds a bit");
    is(
        Lift::Deadlift,
        "lower back rounds when heavy",
        "dl-low-back-gives",
    );
    is(Lift::Deadlift, "upper back rounds", "dl-upper-back-rounds");
}

#[test]
fn a_trunk_is_soft_only_where_it_is_loose_off_or_not_tight() {
    is_nothing(Lift::Squat, "my core is tight");
    is_nothing(Lift::Squat, "abs are sore from yesterday");
    is(Lift::Squat, "core was not tight", "sq-trunk-soft");
    is(Lift::Squat, "my core is loose", "sq-trunk-soft");
}

#[test]
fn tight_is_stiff_of_a_joint_and_good_of_the_lifter() {
    is(Lift::Squat, "my ankles are tight", "sq-heels-rise");
    is_nothing(Lift::Squat, "stay tight");
    is_nothing(Lift::Squat, "I stayed tight the whole way");
}

#[test]
fn the_front_of_the_hip_is_a_pinch_at_depth_and_a_stop_when_sharp_or_with_a_cough() {
    is(
        Lift::Squat,
        "hip flexor grabs at the bottom",
        "sq-hip-pinch",
    );
    stops(Lift::Squat, "sharp pain in my groin when i cough");
}

#[test]
fn a_diagnosis_of_ones_own_is_pain_there() {
    let there = |lift: Lift, text: &str, sign: &str| {
        let reading = reading(lift, text);
        let told = reading.signs.iter().any(|m| m.sign == sign);
        assert!(
            told || reading.level >= FlagLevel::Coach,
            "{text}: {reading:?}"
        );
    };
    there(
        Lift::Bench,
        "impingement in my shoulder again",
        "bp-shoulder-pain",
    );
    there(
        Lift::Bench,
        "rotator cuff is playing up",
        "bp-shoulder-pain",
    );
    there(Lift::Bench, "AC joint hurts", "bp-shoulder-pain");
    there(Lift::Deadlift, "my sciatica is back", "dl-pain-back");
}

#[test]
fn a_guess_about_a_weak_muscle_is_no_sign() {
    is_nothing(Lift::Squat, "my quads are weak");
    is_nothing(Lift::Bench, "weak triceps");
    is_nothing(Lift::Squat, "weak glutes I guess");
}

#[test]
fn lats_are_tension_in_a_deadlift_and_nothing_by_themselves_on_the_bench() {
    is(Lift::Deadlift, "lats not engaged", "dl-trunk-soft");
    is_nothing(Lift::Bench, "I cannot feel my lats");
}

#[test]
fn a_wink_is_a_tuck_and_parallel_is_a_height() {
    is(Lift::Squat, "butt wink", "sq-pelvis-tucks");
    is(Lift::Squat, "just above parallel", "sq-depth-short");
    is_nothing(Lift::Squat, "went to parallel");
}

#[test]
fn knees_over_the_toes_are_no_fault_and_knees_that_cave_are() {
    is_nothing(Lift::Squat, "knees go over my toes");
    is(
        Lift::Squat,
        "knees cave in when it is heavy",
        "sq-knees-in-up",
    );
}

#[test]
fn low_is_the_hips_start_or_a_bar_on_the_floor() {
    is(
        Lift::Deadlift,
        "hips low at the start",
        "dl-shoulders-behind",
    );
    is_nothing(Lift::Deadlift, "the bar is low on the floor");
}

#[test]
fn dead_is_a_bar_without_speed_and_died_is_an_effort() {
    is_nothing(Lift::Deadlift, "dead stop reps");
    is(Lift::Bench, "dead off the chest", "bp-stall-chest");
    is_nothing(Lift::Squat, "that set killed me");
    is_nothing(Lift::Squat, "I died on the last rep");
    is_nothing(Lift::Squat, "legs are destroyed");
}
