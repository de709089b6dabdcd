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
