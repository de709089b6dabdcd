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
    if case.body.withheld || case.body.rounds.iter().any(health) {
        return Some(Bar::Health);
    }
    // Without a lifter on record nobody can be asked.
    if lifter.is_none_or(|lifter| lifter.left) || case.state == CaseState::Withdrawn {
        return Some(Bar::Gone);
    }
    case.body.rounds.is_empty().then_some(Bar::NoSet)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::casework::intake::stranger;
    use crate::record::{CaseBody, PersonKey};
    use cueline_core::report::{Lift, SetReport};
    use cueline_core::triage::Level;
    use jiff::Timestamp;

    fn mara() -> Lifter {
        let key = PersonKey {
            source: "/chat/river".to_owned(),
            person_id: "mara".to_owned(),
        };
        stranger(key, "Mara")
    }

    fn round() -> Round {
        Round {
            at: Timestamp::UNIX_EPOCH,
            event_id: "set-1".to_owned(),
            report: SetReport::default(),
            level: Level::Answer,
            present: vec!["sq-hips-shoot".to_owned()],
            absent: Vec::new(),
            chosen: Vec::new(),
            beliefs: Vec::new(),
            edition: String::new(),
            estimate_kg: None,
            flags: Vec::new(),
            outcome: None,
            measured: None,
        }
    }

    fn case(rounds: Vec<Round>) -> Case {
        Case {
            id: "case-1".to_owned(),
            number: 1,
            person: mara().key,
            room_id: "lifters".to_owned(),
            thread_id: None,
            lift: Some(Lift::Squat),
            state: CaseState::Practising,
            opened_at: Timestamp::UNIX_EPOCH,
            updated_at: Timestamp::UNIX_EPOCH,
            version: 1,
            body: CaseBody {
                rounds,
                ..CaseBody::default()
            },
        }
    }

    /// Why a case may not be shown, of a lifter with these other cases.
    fn why(case: &Case, lifter: Option<&Lifter>, others: &[Case]) -> Option<Bar> {
        let catalog = crate::brain::load(None).unwrap().1.catalog;
        bar(case, lifter, others, catalog.lifts.get(&Lift::Squat))
    }

    #[test]
    fn a_plain_set_of_an_adult_may_be_shown() {
        assert_eq!(why(&case(vec![round()]), Some(&mara()), &[]), None);
    }

    #[test]
    fn a_minor_is_never_shown_however_the_age_is_known() {
        let mut said = mara();
        said.profile.age_band = Some(AgeBand::Under18);
        assert_eq!(
            why(&case(vec![round()]), Some(&said), &[]),
            Some(Bar::Minor)
        );
        let mut reported = round();
        reported.report.age_band = Some(AgeBand::Under18);
        let other = case(vec![reported]);
        assert_eq!(
            why(&case(vec![round()]), Some(&mara()), &[other]),
            Some(Bar::Minor)
        );
        let mut flagged = round();
        flagged.flags.push(("minor".to_owned(), "16".to_owned()));
        assert_eq!(
            why(&case(vec![flagged]), Some(&mara()), &[]),
            Some(Bar::Minor)
        );
    }

    #[test]
    fn a_stop_on_any_case_of_the_lifter_bars_all_of_them() {
        let mut other = case(vec![round()]);
        other.state = CaseState::Halted;
        assert_eq!(
            why(&case(vec![round()]), Some(&mara()), &[other]),
            Some(Bar::Halted)
        );
    }

    #[test]
    fn words_on_health_that_were_not_kept_bar_it_all_the_same() {
        let mut case = case(vec![round()]);
        assert_eq!(why(&case, Some(&mara()), &[]), None);
        case.body.withheld = true;
        assert_eq!(why(&case, Some(&mara()), &[]), Some(Bar::Health));
    }

    #[test]
    fn words_on_health_bar_the_case_they_stand_in() {
        let mut flagged = round();
        flagged
            .flags
            .push(("lasting-pain".to_owned(), "sore".to_owned()));
        assert_eq!(
            why(&case(vec![flagged]), Some(&mara()), &[]),
            Some(Bar::Health)
        );
        let catalog = crate::brain::load(None).unwrap().1.catalog;
        let pain = catalog.lifts[&Lift::Squat]
            .signs
            .iter()
            .find(|sign| sign.pain);
        let mut hurting = round();
        hurting.present.push(pain.unwrap().id.clone());
        assert_eq!(
            why(&case(vec![hurting]), Some(&mara()), &[]),
            Some(Bar::Health)
        );
    }

    #[test]
    fn nothing_is_shown_of_who_is_gone_and_of_an_empty_case() {
        let mut gone = mara();
        gone.left = true;
        assert_eq!(why(&case(vec![round()]), Some(&gone), &[]), Some(Bar::Gone));
        assert_eq!(why(&case(vec![round()]), None, &[]), Some(Bar::Gone));
        let mut taken_back = case(vec![round()]);
        taken_back.state = CaseState::Withdrawn;
        assert_eq!(why(&taken_back, Some(&mara()), &[]), Some(Bar::Gone));
        assert_eq!(why(&case(Vec::new()), Some(&mara()), &[]), Some(Bar::NoSet));
    }
}
