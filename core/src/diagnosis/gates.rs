//! Which causes are in play for this report, and how common each is here.
//!
//! A cause whose gate is shut by a known fact is void. A fact nobody gave leaves it in play; only
//! the helper's hand-off, unless said, counts as one step rarer, since most sets have no helper.

use super::network::MOST_CAUSES;
use crate::catalog::{
    Cause, ContextRule, Gate, Kind, LIMIT_EFFORT, LIMIT_LOAD, LiftBook, Prior, Style,
};
use crate::report::{Competes, Grip, SetReport, Stance};

/// Effort (RPE) up to which a set is well inside what the lifter can do: the cap that the
/// correction for too much load prescribes (common practice, no source).
const EASY_EFFORT: f64 = 8.0;

/// Share of the best single up to which a set is well inside what the lifter can do: the upper
/// end of what the correction for too much load goes back to (common practice, no source).
const EASY_LOAD: f64 = 0.85;

/// Months of training under which strength is two steps less likely to be the cause, where no
/// context rule that holds says something of that cause itself (common practice, no source).
const NOVICE_MONTHS: u32 = 12;

/// How hard the set was for this lifter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hardness {
    /// At the limit: effort, share of the best single, or a missed repetition says so.
    Limit,
    /// Well inside: what is seen here is a habit, not the limit.
    Easy,
    /// Between the two, or not said.
    Between,
}

/// The facts of a report that decide what is in play.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Facts {
    /// Competes or plans to.
    pub(super) competes: Option<bool>,
    /// Bench: a helper handed the bar out.
    pub(super) hand_off: Option<bool>,
    /// Straps were used.
    pub(super) straps: Option<bool>,
    /// Deadlift style.
    pub(super) stance: Option<Stance>,
    /// Trains for less than a year.
    pub(super) novice: bool,
    /// How hard the set was.
    pub(super) hardness: Hardness,
}

impl Facts {
    /// Reads the facts off a report.
    pub(super) fn of(report: &SetReport) -> Self {
        let straps_by_grip = report.variant.grip.map(|grip| grip == Grip::Straps);
        Self {
            competes: report.competes.map(|competes| competes != Competes::No),
            hand_off: report.setting.hand_off,
            straps: if straps_by_grip == Some(true) {
                straps_by_grip
            } else {
                report.setting.equipment.straps
            },
            stance: report.variant.stance,
            novice: report.training_months.is_some_and(|m| m < NOVICE_MONTHS),
            hardness: hardness(report),
        }
    }
}

/// How hard the set was, from missed repetitions, effort and share of the best single.
fn hardness(report: &SetReport) -> Hardness {
    let effort = report.effort.map(|effort| effort.rpe().middle());
    let share = match (report.load, &report.best) {
        (Some(load), Some(best)) if best.mass().kg() > 0.0 => Some(load.kg() / best.mass().kg()),
        _ => None,
    };
    let missed = report.missed.as_ref().is_some_and(|miss| miss.reps > 0);
    if missed || effort.is_some_and(|e| e >= LIMIT_EFFORT) || share.is_some_and(|s| s >= LIMIT_LOAD)
    {
        Hardness::Limit
    } else if effort.map_or(share.is_some_and(|s| s <= EASY_LOAD), |e| e <= EASY_EFFORT) {
        Hardness::Easy
    } else {
        Hardness::Between
    }
}

/// A cause in play.
#[derive(Clone, Copy, Debug)]
pub(super) struct InPlay<'a> {
    /// The cause as the catalog has it.
    pub(super) cause: &'a Cause,
    /// Its prior here, gates and context weighed in.
    pub(super) prior: f64,
}

/// The causes in play with their priors, in the order of the book.
pub(super) fn in_play<'a>(
    book: &'a LiftBook,
    rules: &[&ContextRule],
    facts: Facts,
) -> Vec<InPlay<'a>> {
    book.causes
        .iter()
        .filter(|cause| !void(cause, facts))
        .take(MOST_CAUSES)
        .map(|cause| InPlay {
            cause,
            prior: book
                .learned
                .prior(cause, moved(cause.prior, steps(cause, rules, facts))),
        })
        .collect()
}

/// True when a known fact rules the cause out.
fn void(cause: &Cause, facts: Facts) -> bool {
    let gate_shut = match cause.gate {
        Some(Gate::HandOff) => facts.hand_off == Some(false),
        Some(Gate::NoStraps) => facts.straps == Some(true),
        Some(Gate::Competitors) => facts.competes == Some(false),
        None => false,
    };
    let other_style = match (cause.style, facts.stance) {
        (Some(Style::Conventional), Some(stance)) => stance == Stance::Sumo,
        (Some(Style::Sumo), Some(stance)) => stance == Stance::Conventional,
        _ => false,
    };
    gate_shut || other_style
}

/// Steps by which the prior of a cause moves here.
fn steps(cause: &Cause, rules: &[&ContextRule], facts: Facts) -> i32 {
    let spoken_of: Vec<i32> = rules
        .iter()
        .filter(|rule| rule.causes.contains(&cause.id))
        .map(|rule| rule.prior_steps)
        .collect();
    let mut steps = spoken_of.iter().copied().fold(0, i32::saturating_add);
    if cause.gate == Some(Gate::HandOff) && facts.hand_off.is_none() {
        steps = steps.saturating_sub(1);
    }
    if cause.kind == Kind::Strength && facts.novice && spoken_of.is_empty() {
        steps = steps.saturating_sub(2);
    }
    if cause.kind == Kind::Load && facts.hardness == Hardness::Easy {
        steps = steps.saturating_sub(2);
    }
    steps
}

/// A prior moved along rare, occasional, common, very common; it stops at either end.
fn moved(prior: Prior, steps: i32) -> Prior {
    const WORDS: [Prior; 4] = [
        Prior::Rare,
        Prior::Occasional,
        Prior::Common,
        Prior::VeryCommon,
    ];
    let from = WORDS.iter().position(|word| *word == prior).unwrap_or(0);
    let by = usize::try_from(steps.unsigned_abs()).unwrap_or(usize::MAX);
    let to = if steps < 0 {
        from.saturating_sub(by)
    } else {
        from.saturating_add(by)
    };
    WORDS[to.min(WORDS.len() - 1)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_prior_moves_along_its_four_words_and_stops_at_the_ends() {
        assert_eq!(moved(Prior::Common, -1), Prior::Occasional);
        assert_eq!(moved(Prior::Common, -2), Prior::Rare);
        assert_eq!(moved(Prior::Common, -9), Prior::Rare);
        assert_eq!(moved(Prior::Occasional, 1), Prior::Common);
        assert_eq!(moved(Prior::VeryCommon, i32::MAX), Prior::VeryCommon);
        assert_eq!(moved(Prior::VeryCommon, i32::MIN), Prior::Rare);
    }
}
