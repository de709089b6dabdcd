//! What a resubmission shows.

use crate::assess::SignView;
use crate::diagnosis::Origin;
use crate::outcome::{Verdict, compare};

fn view(sign: &str, probability: f64) -> SignView {
    SignView {
        sign: sign.to_owned(),
        probability,
        from: Origin::Words,
    }
}

fn ids(list: &[&str]) -> Vec<String> {
    list.iter().map(|id| (*id).to_owned()).collect()
}

#[test]
fn a_sign_said_to_be_absent_is_gone() {
    let now = [view("sq-hips-shoot", 0.05)];
    let verdict = compare(&ids(&["sq-hips-shoot"]), &ids(&["sq-hips-shoot"]), &now);
    assert_eq!(verdict, Verdict::Gone);
}

#[test]
fn a_sign_not_mentioned_is_not_taken_as_gone() {
    let verdict = compare(&ids(&["sq-hips-shoot"]), &ids(&["sq-hips-shoot"]), &[]);
    assert_eq!(verdict, Verdict::CannotTell);
}

#[test]
fn one_of_two_gone_is_better_and_both_still_there_is_the_same() {
    let aimed = ids(&["dl-bar-far", "dl-bar-drifts"]);
    let half = [view("dl-bar-far", 0.1), view("dl-bar-drifts", 0.9)];
    assert_eq!(compare(&aimed, &aimed, &half), Verdict::Better);
    let both = [view("dl-bar-far", 0.9), view("dl-bar-drifts", 0.9)];
    assert_eq!(compare(&aimed, &aimed, &both), Verdict::Same);
}

#[test]
fn still_there_with_a_new_sign_is_worse() {
    let aimed = ids(&["bp-bounce"]);
    let now = [view("bp-bounce", 1.0), view("bp-hips-lift", 1.0)];
    assert_eq!(compare(&aimed, &aimed, &now), Verdict::Worse);
}

#[test]
fn signs_never_named_before_are_judged_by_what_was_named() {
    let now = [view("sq-torso-pitch", 0.0)];
    let verdict = compare(&ids(&["sq-knees-first"]), &ids(&["sq-torso-pitch"]), &now);
    assert_eq!(verdict, Verdict::Gone);
}
