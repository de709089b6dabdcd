//! The one door: a set report in, everything that follows from it out.
//!
//! `assess` is total: it never fails on a report that passes [`validate`]. What the words add
//! and cannot be true is returned in `problems`, so that the lifter can be told.

mod escalate;
mod evidence;
mod shape;
mod stance;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod traces;
mod wanted;

pub use shape::{Assessment, History, PastRound, SignView, Strength};
pub use wanted::{WantedFact, wanted_facts, without_small_plates};

use crate::catalog::{Catalog, Cause, LiftBook, Sign};
use crate::diagnosis::{self, Diagnosis, NextQuestion, Settings, diagnose_as_told};
use crate::load::{
    self, BarSpeed, Change, Estimate, Sighting, Standard, TimeToGoal, Trend, change_since,
};
use crate::motion::{Followed, Measurement, measure};
use crate::plan;
use crate::reading::{Hints, Reading, Text};
use crate::report::{self, FieldError, SetReport};
use crate::triage::{self, Level, Triage};
use jiff::civil::Date;

/// Checks a report against every bound and every id of the catalog.
pub fn validate(catalog: &Catalog, report: &SetReport) -> Result<(), Vec<FieldError>> {
    let mut problems = report::check(report).err().unwrap_or_default();
    if let Some(book) = report.lift.and_then(|lift| catalog.lifts.get(&lift)) {
        problems.extend(evidence::unknown_ids(book, report));
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems)
    }
}

/// Assesses one set. `today` is the lifter's day, for the date to come back.
pub fn assess(
    catalog: &Catalog,
    report: &SetReport,
    history: &History,
    settings: &Settings,
    today: Date,
) -> Assessment {
    let words = report.words.as_deref().unwrap_or_default();
    let text = Text::new(words, catalog);
    let reading = text.read(hints(report, history));
    let completed = report.clone().or(&reading.fields);
    let triage = triage::screen(words, &text, &reading, &completed, catalog);
    let mut problems = report::check(&completed).err().unwrap_or_default();
    problems.extend(refused(&reading, &completed));
    let mut set = Set {
        catalog,
        history,
        settings,
        text,
        reading,
        report: completed,
        today,
        triage,
        problems,
        estimate: None,
        measured: None,
        followed: None,
        diagnosis: Diagnosis::default(),
        signs: Vec::new(),
        unseen: Vec::new(),
        disputed: Vec::new(),
    };
    set.work_out();
    set.conclude()
}

/// What was read and cannot be true, where nothing better has been told since.
fn refused(reading: &Reading, report: &SetReport) -> Vec<FieldError> {
    let open = |error: &&FieldError| match error.field.split('.').next().unwrap_or_default() {
        "load" => report.load.is_none(),
        "reps" => report.reps.is_none(),
        "sets" => report.sets.is_none(),
        "effort" => report.effort.is_none(),
        _ => false,
    };
    reading.refused.iter().filter(open).cloned().collect()
}

/// What is known before the words are read.
fn hints(report: &SetReport, history: &History) -> Hints {
    Hints {
        unit: report.load.map(|load| load.unit).or(history.unit),
        lift: report.lift.or(history.lift),
    }
}

/// One set on its way through the rooms.
struct Set<'a> {
    catalog: &'a Catalog,
    history: &'a History,
    settings: &'a Settings,
    /// The words, made ready.
    text: Text<'a>,
    reading: Reading,
    report: SetReport,
    today: Date,
    triage: Triage,
    problems: Vec<FieldError>,
    estimate: Option<Estimate>,
    measured: Option<Measurement>,
    followed: Option<Followed>,
    diagnosis: Diagnosis,
    signs: Vec<SignView>,
    unseen: Vec<String>,
    /// Plain words of signs that the words and the ticks tell differently.
    disputed: Vec<String>,
}

impl Set<'_> {
    /// Estimate and beliefs, as far as the report allows.
    fn work_out(&mut self) {
        if self.problems.is_empty() {
            self.estimate = load::estimate_on(&self.report, self.today).ok();
        }
        self.measure();
        let Some(book) = self
            .report
            .lift
            .and_then(|lift| self.catalog.lifts.get(&lift))
        else {
            return;
        };
        let measured = self.measured.as_ref();
        let findings = evidence::collect(book, &self.report, &self.reading, measured);
        self.disputed = evidence::disputed(book, &self.report, &self.reading);
        // Words that name another view than the form tell of more than one clip.
        let told = self.reading.fields.view;
        let view = self
            .report
            .view
            .filter(|view| told.is_none_or(|told| told == *view));
        let (findings, unseen) = evidence::seen_from(book, view, findings);
        self.unseen = unseen;
        self.signs = evidence::views(&findings);
        let fine = self.reading.fine.as_ref();
        self.diagnosis = diagnose_as_told(
            book,
            &self.catalog.context,
            &self.report,
            &findings,
            self.settings,
            diagnosis::Told {
                rules: &self.reading.rules_said,
                fine: fine.map(|fine| (fine.rule.as_str(), fine.chance)),
            },
        );
    }

    /// What the traces show; nothing is measured under a stop or of a set that cannot be true.
    fn measure(&mut self) {
        if self.triage.level.stops() || !self.problems.is_empty() {
            return;
        }
        let best = self.report.best.as_ref().map(|best| best.mass().kg());
        let best = best.or(self.estimate.as_ref().map(|estimate| estimate.kg));
        let share = self.report.load.zip(best);
        let share = share.map(|(load, best)| load.kg() / best);
        match measure(&self.report, &self.catalog.motion, share) {
            Some((measured, followed)) => {
                let of_bar = followed.as_ref().is_some_and(|set| !set.motion.bar_is_body);
                self.weigh_speed(measured.bar_speed().filter(|_| of_bar));
                self.measured = Some(measured);
                self.followed = followed;
            }
            None => self.measured.clone_from(&self.history.measured),
        }
    }

    /// Weighs the speed of a followed bar against what the set says of the best single.
    fn weigh_speed(&mut self, speed: Option<BarSpeed>) {
        let Some((estimate, speed)) = self.estimate.as_ref().zip(speed) else {
            return;
        };
        if let Some(fused) = load::with_speed(estimate, &self.report, speed) {
            self.estimate = Some(fused);
        }
    }

    /// Chosen causes; one whose correction has failed goes behind one not tried yet.
    fn choice(&self) -> Vec<String> {
        let failed = |cause: &String| {
            let tried = |round: &&PastRound| round.failed && round.chosen.first() == Some(cause);
            self.history.rounds.iter().any(|round| tried(&round))
        };
        let mut chosen = self.diagnosis.chosen.clone();
        chosen.sort_by_key(failed);
        chosen
    }

    /// Level, choice, question, plan and date.
    fn conclude(self) -> Assessment {
        let today = self.today;
        let question = self.question();
        let escalations = escalate::raise(&self, question.is_some());
        let level = stance::level(&self, &escalations, question.as_ref());
        let book = self
            .report
            .lift
            .and_then(|lift| self.catalog.lifts.get(&lift));
        let held_back = level == Level::Ask && stance::holds_back(&self, question.as_ref());
        let chosen = if level.stops() || held_back {
            Vec::new()
        } else {
            self.choice()
        };
        let plan = book
            .filter(|_| level == Level::Answer)
            .and_then(|book| plan::build(book, &chosen, self.estimate.as_ref(), &self.report))
            .map(|plan| plan::Plan {
                meet_rules: self.meet_rules(book),
                ..plan
            });
        let follow_up = book
            .filter(|_| plan.is_some())
            .and_then(|book| plan::follow_up(book, &chosen, today));
        let strength = self
            .estimate
            .as_ref()
            .filter(|_| !level.stops())
            .map(Strength::from);
        let goal = self
            .estimate
            .as_ref()
            .filter(|_| level == Level::Answer)
            .and_then(|estimate| goal_in_words(&self.report, estimate, today));
        let change = (!level.stops()).then(|| self.change(today)).flatten();
        let cautions = self.cautions(level);
        let mut triage = self.triage;
        triage.level = level;
        triage.notes.extend(cautions);
        Assessment {
            triage,
            strength,
            signs: self.signs,
            beliefs: self.diagnosis.beliefs,
            chosen,
            turning_point: self.diagnosis.turning_point.filter(|_| !level.stops()),
            question: question.filter(|_| !level.stops() && level != Level::Coach),
            plan,
            escalations: escalations.all,
            follow_up,
            no_fault: if held_back {
                Vec::new()
            } else {
                self.diagnosis.no_fault
            },
            unseen: self.unseen,
            measured: self.measured.filter(|_| !level.stops()),
            followed: self.followed.filter(|_| !level.stops()),
            goal,
            change,
            problems: self.problems,
            report: self.report,
            reading: self.reading,
            estimate: self.estimate,
        }
    }

    /// A mild ache that a position of the lift brings by itself, beside a cause named for it.
    fn brought_by_position(&self, sign: &Sign) -> bool {
        let book = self.report.lift.and_then(|l| self.catalog.lifts.get(&l));
        let shows = |cause: &&Cause, id: &str| cause.shows.iter().any(|(shown, _)| shown == id);
        let seen = |cause: &&Cause| {
            let mut there = self.signs.iter().filter(|view| view.probability >= 0.5);
            there.any(|view| view.sign != sign.id && shows(cause, &view.sign))
        };
        let chosen = self.diagnosis.chosen.iter();
        let explained = chosen
            .filter_map(|id| book?.cause(id))
            .any(|cause| shows(&cause, &sign.id) && seen(&cause));
        // A red flag in the words has been weighed as such.
        sign.caution.is_some() && explained && self.triage.flags.is_empty()
    }

    /// The cautions that go with the aches answered here.
    fn cautions(&self, level: Level) -> Vec<String> {
        let Some(book) = self.report.lift.and_then(|l| self.catalog.lifts.get(&l)) else {
            return Vec::new();
        };
        if level.stops() {
            return Vec::new();
        }
        let there = self.signs.iter().filter(|view| view.probability >= 0.5);
        there
            .filter_map(|view| book.sign(&view.sign)?.caution.clone())
            .collect()
    }

    /// Rules of competition that the signs there or the answers bring up.
    fn meet_rules(&self, book: Option<&LiftBook>) -> Vec<plan::Rule> {
        let there = self.signs.iter().filter(|sign| sign.probability >= 0.5);
        let present: Vec<&str> = there.map(|sign| sign.sign.as_str()).collect();
        let facts = book.map(|book| diagnosis::facts_with_answers(book, &self.report));
        facts.map_or_else(Vec::new, |facts| {
            plan::meet_rules(self.catalog, &facts, &present)
        })
    }

    /// How the level moved since the first set of the case, by all its sets in order of time.
    fn change(&self, today: Date) -> Option<(Date, Change)> {
        let seen = |report: &SetReport, day| Sighting::of_report(report, day, Standard::Met).ok();
        let mut sightings: Vec<Sighting> = self
            .history
            .rounds
            .iter()
            .filter_map(|round| seen(&round.report, round.date))
            .collect();
        let since = sightings.first()?.day;
        sightings.push(seen(&self.report, today).filter(|_| since < today)?);
        let trend = Trend::expected(self.report.training_months);
        Some((since, change_since(&sightings, None, trend, since)?))
    }

    /// The one question: a missing fact of the report first, then what the beliefs want to know.
    fn question(&self) -> Option<NextQuestion> {
        let asked = self.history.questions_asked as usize;
        // A figure that cannot be true is asked for again by itself.
        if asked >= self.settings.most_questions || !self.problems.is_empty() {
            return None;
        }
        stance::missing_fact(self).or_else(|| self.diagnosis.question.clone())
    }
}

/// The plan for the chosen causes whatever the level, for the coach to work from; none under a
/// stop. The guard rails hold as in every plan.
pub fn draft(
    catalog: &Catalog,
    assessment: &Assessment,
    today: Date,
) -> Option<(plan::Plan, Option<plan::FollowUpDate>)> {
    if assessment.triage.level.stops() || !assessment.problems.is_empty() {
        return None;
    }
    let book = catalog.lifts.get(&assessment.report.lift?)?;
    let (chosen, estimate) = (&assessment.chosen, assessment.estimate.as_ref());
    let plan = plan::build(book, chosen, estimate, &assessment.report)?;
    Some((plan, plan::follow_up(book, chosen, today)))
}

/// When the goal is in reach, from where the lifter stands and what training age lets expect.
fn goal_in_words(report: &SetReport, estimate: &Estimate, today: Date) -> Option<String> {
    let goal = report.goal.as_ref()?;
    let level = load::Level::of_estimate(today, estimate);
    let trend = Trend::expected(report.training_months);
    Some(
        TimeToGoal::new(&level, goal.load.kg(), trend)
            .outlook()
            .words(),
    )
}

/// What a field question's id starts with (`field:load.unit`).
pub const FIELD_QUESTION: &str = "field:";

/// Public so that a caller can turn answers into findings the same way.
pub use diagnosis::Finding;
