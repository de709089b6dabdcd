//! Signs that mean nothing here, with kind words for them.
//!
//! - A rule of context that holds and takes nearly all weight from a sign voids it.
//! - One side sign alone (a small shift or tilt), where a rule for the human eye calls that usual,
//!   is no fault either: most lifters differ a little side to side. A second side sign, or pain,
//!   and it counts like any other.
//!
//! - A rule of context without signs of its own that the lifter's words let hold ("my knees go past
//!   my toes") is a worry about what is no fault, as long as no sign is there.
//!
//! If nothing else is there, no cause is named.

use super::evidence::Gathered;
use crate::catalog::{ContextRule, Kind, LiftBook, Sign, Strength};

/// A sign that counts this little is void (common practice, no source).
const VOID: f64 = 0.3;

/// What means nothing here.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Verdict {
    /// Void signs with the words of the rule.
    pub(super) words: Vec<(String, String)>,
    /// True when some signs are there and all of them are void.
    pub(super) nothing_else: bool,
    /// Why none of this applies at all (a specialty bar), in the words of the rule.
    pub(super) does_not_apply: Option<String>,
}

/// Judges the signs that are there.
pub(super) fn judge(book: &LiftBook, context: &[ContextRule], gathered: &Gathered<'_>) -> Verdict {
    let rules = &gathered.rules;
    let does_not_apply = rules
        .iter()
        .find(|rule| rule.signs.is_empty() && rule.sign_weight <= 0.0)
        .map(|rule| rule.then.clone());
    let present = &gathered.present;
    let mut words: Vec<(String, String)> = present
        .iter()
        .filter_map(|sign| {
            let rule = rules
                .iter()
                .find(|rule| rule.signs.contains(&sign.id) && rule.sign_weight <= VOID)?;
            Some((sign.id.clone(), rule.then.clone()))
        })
        .collect();
    if let [only] = present.as_slice() {
        let usual = words.is_empty().then(|| side_alone(book, context, only));
        words.extend(usual.flatten());
    }
    if present.is_empty() {
        let worry = |rule: &&&ContextRule| !rule.said.is_empty() && rule.signs.is_empty();
        let worries = rules.iter().filter(worry);
        words.extend(worries.map(|rule| (rule.id.clone(), rule.then.clone())));
    }
    let nothing_else = !words.is_empty() && words.len() == present.len();
    Verdict {
        words,
        nothing_else,
        does_not_apply,
    }
}

/// The kind words for a side sign that is the only one there.
fn side_alone(book: &LiftBook, context: &[ContextRule], sign: &Sign) -> Option<(String, String)> {
    let of_side = book.causes.iter().any(|cause| {
        let mut shows = cause.shows.iter();
        cause.kind == Kind::Side
            && shows.any(|(id, strength)| *id == sign.id && *strength >= Strength::Often)
    });
    let rule = context
        .iter()
        .find(|rule| rule.conditions.is_empty() && rule.signs.contains(&sign.id))?;
    (of_side && !sign.pain).then(|| (sign.id.clone(), rule.then.clone()))
}
