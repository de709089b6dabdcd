//! The small language of conditions: one word, one comparison, one value (`training_months<12`).
//!
//! A condition is tested against a set report. What the lifter did not say is unknown, and an
//! unknown condition neither holds nor fails.

use super::{fact, nearest::nearest};
use crate::report::SetReport;
use std::cmp::Ordering;
use thiserror::Error;

/// How a condition compares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Comparison {
    Below,
    AtMost,
    Equal,
    AtLeast,
    Above,
}

impl Comparison {
    /// Every comparison with its spelling; the longer spelling stands before the shorter one.
    const ALL: [(&'static str, Self); 5] = [
        ("<=", Self::AtMost),
        (">=", Self::AtLeast),
        ("<", Self::Below),
        (">", Self::Above),
        ("=", Self::Equal),
    ];

    fn holds(self, ordering: Ordering) -> bool {
        match self {
            Self::Below => ordering.is_lt(),
            Self::AtMost => ordering.is_le(),
            Self::Equal => ordering.is_eq(),
            Self::AtLeast => ordering.is_ge(),
            Self::Above => ordering.is_gt(),
        }
    }
}

/// What may stand to the right of the comparison.
#[derive(Clone, Copy, Debug)]
enum Values {
    Number,
    Words(&'static [&'static str]),
    Free,
}

const YES_NO: Values = Values::Words(&["yes", "no"]);

/// Every word a condition may start with, and what it may be compared with.
const KEYS: [(&str, Values); 31] = [
    ("lift", Values::Words(&["squat", "bench", "deadlift"])),
    (
        "bar",
        Values::Words(&["high", "low", "front", "special", "ordinary"]),
    ),
    ("stance", Values::Words(&["conventional", "sumo"])),
    (
        "grip",
        Values::Words(&[
            "double",
            "mixed",
            "hook",
            "straps",
            "thumbless",
            "close",
            "wide",
        ]),
    ),
    ("shoes", Values::Words(&["flat", "running", "heeled"])),
    ("competes", Values::Words(&["yes", "no", "planned"])),
    ("age", Values::Words(&["under-18", "adult", "60-plus"])),
    (
        "view",
        Values::Words(&["side", "front", "rear", "three-quarter"]),
    ),
    ("since", Values::Words(&["today", "weeks", "months"])),
    ("plates", Values::Words(&["iron", "bumper"])),
    ("feet_rule", Values::Words(&["flat", "toes"])),
    ("rules", Values::Free),
    ("training_months", Values::Number),
    ("effort", Values::Number),
    ("reps", Values::Number),
    ("load_percent", Values::Number),
    ("pause_seconds", Values::Number),
    ("limit", YES_NO),
    ("meet_soon", YES_NO),
    ("alone", YES_NO),
    ("spotter", YES_NO),
    ("safeties", YES_NO),
    ("collars", YES_NO),
    ("hand_off", YES_NO),
    ("missed", YES_NO),
    ("long_arms", YES_NO),
    ("belt", YES_NO),
    ("sleeves", YES_NO),
    ("wraps", YES_NO),
    ("straps", YES_NO),
    ("bands", YES_NO),
];

/// The prefix of a condition about an answer given (`answer.q-sq-pinch=only-deep`).
pub(super) const ANSWER: &str = "answer.";

/// Why a text is not a condition.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("found {found}, accepted {accepted}")]
pub struct ConditionError {
    /// What was found.
    pub found: String,
    /// What is accepted there.
    pub accepted: String,
}

/// One condition on a set report.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    key: String,
    comparison: Comparison,
    value: Value,
}

#[derive(Clone, Debug, PartialEq)]
enum Value {
    Number(f64),
    Word(String),
}

impl Condition {
    /// Reads one condition such as `training_months<12`, `shoes=heeled` or `equipment.belt=yes`.
    pub fn parse(text: &str) -> Result<Self, ConditionError> {
        let (key, comparison, value) = split(text)?;
        let key = plain_key(key);
        let values = if key.starts_with(ANSWER) {
            Values::Free
        } else {
            values_of(&key).ok_or_else(|| unknown_key(&key))?
        };
        let value = match values {
            Values::Number => number(&key, value)?,
            Values::Words(words) => word(&key, value, words)?,
            Values::Free => Value::Word(fact::spaced(value)),
        };
        if matches!(value, Value::Word(_)) && comparison != Comparison::Equal {
            return Err(ConditionError {
                found: format!("`{text}`"),
                accepted: format!("`{key}` with = only"),
            });
        }
        Ok(Self {
            key,
            comparison,
            value,
        })
    }

    /// True when the condition states a fact (`shoes=running`) and so may stand with a choice.
    pub fn is_fact(&self) -> bool {
        self.comparison == Comparison::Equal
    }

    /// Whether the report meets the condition; `None` when the report does not say.
    ///
    /// An effort given as a range is taken at its middle. `competes=yes` also holds for a lifter
    /// whose meet is planned.
    pub fn holds(&self, report: &SetReport) -> Option<bool> {
        match &self.value {
            Value::Number(limit) => fact::number_of(&self.key, report)
                .and_then(|found| found.partial_cmp(limit))
                .map(|ordering| self.comparison.holds(ordering)),
            Value::Word(word) => fact::word_of(&self.key, word, report),
        }
    }

    /// Writes the stated fact into the report unless the lifter has said otherwise already.
    ///
    /// Facts a report has no field for (`meet_soon`, `long_arms`, `since`) stay with the answer.
    pub fn record(&self, report: &mut SetReport) {
        let Value::Word(word) = &self.value else {
            return;
        };
        fact::record(&self.key, word, report);
    }
}

/// The three parts of a condition.
fn split(text: &str) -> Result<(&str, Comparison, &str), ConditionError> {
    let at = text.find(['<', '>', '=']);
    at.and_then(|at| text.split_at_checked(at))
        .and_then(|(key, rest)| {
            Comparison::ALL.iter().find_map(|(sign, comparison)| {
                let value = rest.strip_prefix(sign)?;
                Some((key.trim(), *comparison, value.trim()))
            })
        })
        .filter(|(key, _, value)| !key.is_empty() && !value.is_empty())
        .ok_or_else(|| ConditionError {
            found: format!("`{text}`"),
            accepted: "a word, one of = < <= > >=, and a value, as in `training_months<12`".into(),
        })
}

/// The key without the section it is grouped under and with `_` between words.
fn plain_key(key: &str) -> String {
    if key.starts_with(ANSWER) {
        return key.to_owned();
    }
    let bare = ["equipment.", "setting."]
        .iter()
        .find_map(|section| key.strip_prefix(section))
        .unwrap_or(key);
    bare.replace('-', "_")
}

fn values_of(key: &str) -> Option<Values> {
    KEYS.iter()
        .find(|(known, _)| *known == key)
        .map(|(_, values)| *values)
}

fn unknown_key(key: &str) -> ConditionError {
    let known = KEYS.iter().map(|(known, _)| *known);
    let accepted = nearest(key, known.clone()).map_or_else(
        || format!("one of {}", known.collect::<Vec<_>>().join(", ")),
        |near| format!("the words at the top of context.toml; nearest is `{near}`"),
    );
    ConditionError {
        found: format!("unknown word `{key}`"),
        accepted,
    }
}

fn number(key: &str, text: &str) -> Result<Value, ConditionError> {
    text.parse::<f64>()
        .ok()
        .filter(|number| number.is_finite() && *number >= 0.0)
        .map(Value::Number)
        .ok_or_else(|| ConditionError {
            found: format!("`{text}`"),
            accepted: format!("`{key}` with a number of 0 or more"),
        })
}

fn word(key: &str, text: &str, words: &[&str]) -> Result<Value, ConditionError> {
    if words.contains(&text) {
        return Ok(Value::Word(text.to_owned()));
    }
    Err(ConditionError {
        found: format!("`{text}`"),
        accepted: format!("`{key}` with one of {}", words.join(", ")),
    })
}
