//! What a resubmission shows: are the signs of the correction gone?

use crate::assess::SignView;
use serde::{Deserialize, Serialize};

/// What a resubmission showed, judged by the signs the correction aimed at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Every sign aimed at that was there is gone.
    Gone,
    /// Some are gone, none is new.
    Better,
    /// As before.
    Same,
    /// All still there, and new ones with them.
    Worse,
    /// The new set says nothing of them.
    CannotTell,
}

impl Verdict {
    /// The correction did not take the signs away.
    pub const fn failed(self) -> bool {
        matches!(self, Self::Same | Self::Worse)
    }
}

/// Compares a new set with the one before.
///
/// `targets` are the signs the correction aimed at, `before` the signs taken as there then,
/// `now` the signs of the new set. A sign not mentioned now is unknown, never absent.
pub fn compare(targets: &[String], before: &[String], now: &[SignView]) -> Verdict {
    let aimed: Vec<&String> = if targets.iter().any(|sign| before.contains(sign)) {
        targets
            .iter()
            .filter(|sign| before.contains(sign))
            .collect()
    } else {
        // The correction's own signs were never named: judge by what was named.
        before.iter().collect()
    };
    let state = |sign: &str| {
        now.iter()
            .find(|view| view.sign == sign)
            .map(|view| view.probability >= 0.5)
    };
    let gone = aimed
        .iter()
        .filter(|sign| state(sign) == Some(false))
        .count();
    let still = aimed
        .iter()
        .filter(|sign| state(sign) == Some(true))
        .count();
    let new = now
        .iter()
        .any(|view| view.probability >= 0.5 && !before.contains(&view.sign));
    match (gone, still) {
        (0, 0) => Verdict::CannotTell,
        (_, 0) if gone == aimed.len() => Verdict::Gone,
        (0, _) if new => Verdict::Worse,
        (0, _) => Verdict::Same,
        _ => Verdict::Better,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::Origin;

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
}
