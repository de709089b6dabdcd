//! What became of corrections: the courses of all cases, gathered case by case.

use crate::record::{Case, Given, Round};
use cueline_core::outcome::survival::Followed;
use cueline_core::outcome::works::{By, Course};
use cueline_core::report::Lift;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::BTreeMap;

/// Newest cases that what works is told from: each has to be read whole.
pub const NEWEST_CASES: usize = 20_000;

/// A lift, a cause and a month (year, month): what is counted of the faults seen.
pub type Seen = BTreeMap<(Lift, String, (i16, i8)), usize>;

/// What is gathered from cases.
#[derive(Clone, Debug, Default)]
pub struct WorkLog {
    courses: BTreeMap<String, Vec<Course>>,
    seen: BTreeMap<String, Seen>,
}

impl WorkLog {
    /// Adds one case as it stands.
    pub fn add(&mut self, case: &Case) {
        let source = case.person.source.clone();
        let courses = self.courses.entry(source.clone()).or_default();
        courses.extend(courses_of(case));
        let seen = self.seen.entry(source).or_default();
        for round in &case.body.rounds {
            let (Some(lift), Some(cause)) = (round.report.lift.or(case.lift), round.chosen.first())
            else {
                continue;
            };
            let day = TimeZone::UTC.to_datetime(round.at).date();
            let month = (day.year(), day.month());
            *seen.entry((lift, cause.clone(), month)).or_default() += 1;
        }
    }

    /// Courses on one platform.
    pub fn of(&self, source: &str) -> Vec<Course> {
        self.courses.get(source).cloned().unwrap_or_default()
    }

    /// The same without a copy.
    pub fn on(&self, source: &str) -> &[Course] {
        self.courses.get(source).map_or(&[], Vec::as_slice)
    }

    /// Platforms that anything was gathered from.
    pub fn platforms(&self) -> impl Iterator<Item = &str> {
        self.courses.keys().map(String::as_str)
    }

    /// Courses on all platforms.
    pub fn all(&self) -> Vec<Course> {
        self.courses.values().flatten().cloned().collect()
    }

    /// Faults seen on one platform.
    pub fn seen_of(&self, source: &str) -> Seen {
        self.seen.get(source).cloned().unwrap_or_default()
    }
}

/// The courses of one case: each correction given, for each sign it should make go that was there.
pub fn courses_of(case: &Case) -> Vec<Course> {
    let given = given_in_order(case);
    let mut courses = Vec::new();
    for (at, (one, by)) in given.iter().enumerate() {
        let before = case.body.rounds.iter().rfind(|round| round.at <= one.at);
        let Some((before, lift)) = before.and_then(|round| {
            let lift = round.report.lift.or(case.lift)?;
            Some((round, lift))
        }) else {
            continue;
        };
        // Another correction after it ends the course: what then goes is not this one's doing.
        let until = given.get(at + 1).map(|(next, _)| next.at);
        for sign in one
            .targets
            .iter()
            .filter(|sign| before.present.contains(sign))
        {
            let (followed, resubmitted) = follow(case, one, sign, until);
            courses.push(Course {
                lift,
                cause: one.cause.clone(),
                sign: sign.clone(),
                by: *by,
                followed,
                resubmitted,
                effort: before.report.effort.map(|effort| {
                    let rpe = effort.rpe();
                    f64::midpoint(rpe.low, rpe.high)
                }),
                training_months: before.report.training_months,
            });
        }
    }
    courses
}

/// The catalog's corrections and the coach's own, in order of time.
fn given_in_order(case: &Case) -> Vec<(&Given, By)> {
    let catalog = case.body.given.iter().map(|given| (given, By::Catalog));
    let coach = case.body.by_coach.iter().map(|given| (given, By::Coach));
    let mut all: Vec<(&Given, By)> = catalog.chain(coach).collect();
    all.sort_by_key(|(given, _)| given.at);
    all
}

/// How long one sign was followed after a correction: to the first look at which it was gone, else to the
/// last look at which it was there. Where nobody looked it was last there when the correction was given:
/// day 0. Whoever stays away is no witness that the sign is still there, and no curve may come down more
/// slowly for them (as trials do with who was seen only at the start: US FDA 2018, Clinical Trial
/// Endpoints for the Approval of Cancer Drugs and Biologics, appendix on progression; from memory).
fn follow(case: &Case, given: &Given, sign: &str, until: Option<Timestamp>) -> (Followed, bool) {
    let later = |round: &&Round| round.at > given.at && until.is_none_or(|until| round.at <= until);
    let rounds: Vec<&Round> = case.body.rounds.iter().filter(later).collect();
    let holds = |signs: &[String]| signs.iter().any(|known| known == sign);
    let gone = rounds.iter().find(|round| holds(&round.absent));
    let looked = rounds.iter().rfind(|round| holds(&round.present));
    let end = gone.or(looked).map_or(given.at, |round| round.at);
    let seconds = end.duration_since(given.at).as_secs_f64();
    let followed = Followed {
        days: (seconds / 86_400.0).max(0.0),
        gone: gone.is_some(),
    };
    (followed, !rounds.is_empty())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::record::{CaseBody, CaseState, PersonKey};
    use cueline_core::outcome::survival::{curve, log_rank};
    use cueline_core::report::SetReport;
    use cueline_core::triage::Level;
    use jiff::SignedDuration;

    fn day(day: i64) -> Timestamp {
        let first: Timestamp = "2026-03-02T10:00:00Z".parse().unwrap();
        first + SignedDuration::from_hours(24 * day)
    }

    fn round(at: i64, present: &[&str], absent: &[&str]) -> Round {
        let ids = |signs: &[&str]| signs.iter().map(|sign| (*sign).to_owned()).collect();
        Round {
            at: day(at),
            event_id: format!("set-{at}"),
            report: SetReport {
                lift: Some(Lift::Squat),
                ..SetReport::default()
            },
            level: Level::Answer,
            present: ids(present),
            absent: ids(absent),
            chosen: vec!["c-sq-brace".to_owned()],
            beliefs: Vec::new(),
            edition: String::new(),
            estimate_kg: None,
            flags: Vec::new(),
            outcome: None,
            measured: None,
        }
    }

    fn case(state: CaseState, rounds: Vec<Round>, given: &[i64]) -> Case {
        Case {
            id: "case-1".to_owned(),
            number: 1,
            person: PersonKey {
                source: "/chat/river".to_owned(),
                person_id: "mara".to_owned(),
            },
            room_id: "lifters".to_owned(),
            thread_id: None,
            lift: Some(Lift::Squat),
            state,
            opened_at: day(0),
            updated_at: day(30),
            version: 1,
            body: CaseBody {
                rounds,
                given: given
                    .iter()
                    .map(|at| Given {
                        cause: "c-sq-brace".to_owned(),
                        at: day(*at),
                        targets: vec!["sq-brace-late".to_owned(), "sq-trunk-soft".to_owned()],
                        outcome: None,
                    })
                    .collect(),
                ..CaseBody::default()
            },
        }
    }

    #[test]
    fn a_sign_gone_at_the_second_look_was_followed_until_then() {
        let rounds = vec![
            round(0, &["sq-brace-late"], &[]),
            round(14, &["sq-brace-late"], &[]),
            round(28, &[], &["sq-brace-late"]),
        ];
        let courses = courses_of(&case(CaseState::Mended, rounds, &[0]));
        // The other sign aimed at was never there.
        assert_eq!(courses.len(), 1);
        assert_eq!(
            courses[0].followed,
            Followed {
                days: 28.0,
                gone: true
            }
        );
        assert!(courses[0].resubmitted);
    }

    #[test]
    fn a_sign_that_nobody_looked_at_again_was_followed_for_no_day() {
        let rounds = || vec![round(0, &["sq-brace-late"], &[])];
        for state in [CaseState::Lapsed, CaseState::Practising] {
            let courses = courses_of(&case(state, rounds(), &[0]));
            let nothing = Followed {
                days: 0.0,
                gone: false,
            };
            assert_eq!(courses[0].followed, nothing);
            assert!(!courses[0].resubmitted);
        }
        // A set that does not tell of the sign is no look at it either, though the lifter came back.
        let mut silent = rounds();
        silent.push(round(14, &[], &[]));
        let courses = courses_of(&case(CaseState::Practising, silent, &[0]));
        assert!(courses[0].followed.days.abs() < 1e-12 && courses[0].resubmitted);
    }

    /// Two corrections that work alike, and the lifters of one stay away more often.
    #[test]
    fn lifters_who_stay_away_make_a_correction_look_neither_better_nor_worse() {
        let back = || {
            let rounds = vec![
                round(0, &["sq-brace-late"], &[]),
                round(14, &[], &["sq-brace-late"]),
            ];
            courses_of(&case(CaseState::Mended, rounds, &[0]))
        };
        let away = || {
            let rounds = vec![round(0, &["sq-brace-late"], &[])];
            courses_of(&case(CaseState::Lapsed, rounds, &[0]))
        };
        let group = |away_too: usize| {
            let courses = (0..20).flat_map(|_| back());
            let courses = courses.chain((0..away_too).flat_map(|_| away()));
            courses.map(|course| course.followed).collect::<Vec<_>>()
        };
        let (few, many) = (curve(&group(0)), curve(&group(60)));
        assert_eq!(few.median().days, many.median().days);
        assert_eq!(many.median().days, Some(14.0));
        assert!(log_rank(&group(0), &group(60)).is_none_or(|test| test.p > 0.99));
    }

    #[test]
    fn still_there_is_followed_to_the_last_look_and_a_new_correction_ends_the_old_course() {
        let rounds = vec![
            round(0, &["sq-brace-late"], &[]),
            round(14, &["sq-brace-late"], &[]),
            round(28, &[], &["sq-brace-late"]),
        ];
        let courses = courses_of(&case(CaseState::Mended, rounds, &[0, 14]));
        let followed: Vec<Followed> = courses.iter().map(|course| course.followed).collect();
        let expected = [(14.0, false), (14.0, true)].map(|(days, gone)| Followed { days, gone });
        assert_eq!(followed, expected);
    }

    #[test]
    fn the_coachs_own_words_are_a_course_of_their_own_and_end_the_catalogs() {
        let rounds = vec![
            round(0, &["sq-brace-late"], &[]),
            round(14, &["sq-brace-late"], &[]),
            round(28, &[], &["sq-brace-late"]),
        ];
        let mut case = case(CaseState::Mended, rounds, &[0]);
        case.body.by_coach = vec![Given {
            at: day(15),
            ..case.body.given[0].clone()
        }];
        let courses = courses_of(&case);
        let told: Vec<(By, f64, bool)> = courses
            .iter()
            .map(|course| (course.by, course.followed.days, course.followed.gone))
            .collect();
        assert_eq!(told, [(By::Catalog, 14.0, false), (By::Coach, 13.0, true)]);
    }

    #[test]
    fn faults_are_counted_by_lift_cause_and_month() {
        let mut log = WorkLog::default();
        let rounds = vec![round(0, &[], &[]), round(10, &[], &[]), round(40, &[], &[])];
        log.add(&case(CaseState::Practising, rounds, &[]));
        let seen = log.seen_of("/chat/river");
        let counts: Vec<((i16, i8), usize)> = seen
            .iter()
            .map(|((_, _, month), count)| (*month, *count))
            .collect();
        assert_eq!(counts, [((2026, 3), 2), ((2026, 4), 1)]);
        assert!(log.of("/chat/hill").is_empty());
    }
}
