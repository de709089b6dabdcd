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
//! - A post that tells as a whole of no fault, by a rule that nothing known contradicts: what was
//!   read in its words alone is then the worry and not the fault. Pain, and what was ticked,
//!   measured or answered beside the rule's own signs, count like any other.
//!
//! If nothing else is there, no cause is named.

use super::evidence::Gathered;
use super::{Finding, Origin, Settings};
use crate::catalog::{Condition, ContextRule, Kind, LiftBook, Sign, Strength};
use crate::report::SetReport;

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

/// A rule by which a whole post tells of no fault.
#[derive(Clone, Debug)]
pub(super) struct Fine<'a> {
    rule: &'a ContextRule,
    /// Signs that nothing but the words tells.
    in_words: Vec<String>,
    /// The rule is about a set or style and no single sign, its conditions are met, and the post is
    /// told surely: then it holds for whatever was seen.
    whole: bool,
}

impl<'a> Fine<'a> {
    /// The rule told with this chance, if that is enough and nothing known contradicts it.
    pub(super) fn of(
        context: &'a [ContextRule],
        facts: &SetReport,
        findings: &[Finding],
        (id, chance): (&str, f64),
        settings: &Settings,
    ) -> Option<Self> {
        let rule = context.iter().find(|rule| rule.id == id)?;
        let conditions = rule.conditions.iter().map(|text| Condition::parse(text));
        let held: Vec<Option<bool>> = conditions
            .map(|condition| condition.ok()?.holds(facts))
            .collect();
        let there = || findings.iter().filter(|finding| finding.probability > 0.5);
        let beside = |sign: &str| there().any(|f| f.sign == sign && f.from != Origin::Words);
        let seen = there().any(|f| rule.signs.contains(&f.sign) && beside(&f.sign));
        let met = !held.is_empty() && held.iter().all(|held| *held == Some(true));
        let enough = if met || seen {
            settings.fine_supported
        } else {
            settings.fine
        };
        let told = there().map(|finding| &finding.sign);
        (chance >= enough && !held.contains(&Some(false))).then(|| Self {
            rule,
            in_words: told.filter(|sign| !beside(sign)).cloned().collect(),
            whole: met && rule.signs.is_empty() && chance >= settings.fine,
        })
    }

    /// True when all that is there is the worry itself.
    fn covers(&self, present: &[&Sign]) -> bool {
        let worry =
            |id: &String| self.whole || self.rule.signs.contains(id) || self.in_words.contains(id);
        present.iter().all(|sign| !sign.pain && worry(&sign.id))
    }
}

/// Judges the signs that are there.
pub(super) fn judge(
    book: &LiftBook,
    context: &[ContextRule],
    gathered: &Gathered<'_>,
    fine: Option<&Fine<'_>>,
) -> Verdict {
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
    let mut nothing_else = !words.is_empty() && words.len() == present.len();
    if let Some(fine) = fine.filter(|fine| !nothing_else && fine.covers(present)) {
        words = vec![(fine.rule.id.clone(), fine.rule.then.clone())];
        nothing_else = true;
    }
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
