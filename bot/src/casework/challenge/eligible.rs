//! Whether a case may be shown to the community at all: never of a minor, never under a stop, never
//! with words on health.

use crate::record::{Case, CaseState, Lifter, Round};
use cueline_core::catalog::LiftBook;
use cueline_core::report::AgeBand;

/// Why it may not, as the end of a key of the wording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bar {
    /// Under 18.
    Minor,
    /// A case of this lifter is stopped.
    Halted,
    /// Pain or illness stands in it.
    Health,
    /// The lifter is gone, or took the case back.
    Gone,
    /// There is no set to show.
    NoSet,
}

impl Bar {
    /// The text that says so to the coach.
    pub(super) const fn key(self) -> &'static str {
        match self {
            Self::Minor => "challenge.bar_minor",
            Self::Halted => "challenge.bar_halted",
            Self::Health => "challenge.bar_health",
            Self::Gone => "challenge.bar_gone",
            Self::NoSet => "challenge.bar_no_set",
        }
    }
}

/// Looks at a case, its lifter, and all cases of that lifter, as they are now.
pub(super) fn bar(
    case: &Case,
    lifter: Option<&Lifter>,
    others: &[Case],
    book: Option<&LiftBook>,
) -> Option<Bar> {
    let rounds = || {
        others
            .iter()
            .chain([case])
            .flat_map(|case| &case.body.rounds)
    };
    let minor = |round: &Round| {
        round.report.age_band == Some(AgeBand::Under18)
            || round.flags.iter().any(|(flag, _)| flag == "minor")
    };
    let under = lifter.is_some_and(|lifter| lifter.profile.age_band == Some(AgeBand::Under18));
    if under || rounds().any(minor) {
        return Some(Bar::Minor);
    }
    let stopped = |case: &Case| case.state == CaseState::Halted || case.body.halt.is_some();
    if stopped(case) || others.iter().any(stopped) {
        return Some(Bar::Halted);
    }
    let pain = |sign: &String| {
        book.and_then(|book| book.sign(sign))
            .is_some_and(|sign| sign.pain)
    };
    let health = |round: &Round| {
        !round.flags.is_empty() || round.level.stops() || round.present.iter().any(pain)
    };
    if case.body.rounds.iter().any(health) {
        return Some(Bar::Health);
    }
    // Without a lifter on record nobody can be asked.
    if lifter.is_none_or(|lifter| lifter.left) || case.state == CaseState::Withdrawn {
        return Some(Bar::Gone);
    }
    case.body.rounds.is_empty().then_some(Bar::NoSet)
}
