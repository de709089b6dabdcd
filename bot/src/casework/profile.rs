//! What is known of the lifter and the case, carried into a report and learnt from it.

use super::times;
use super::turn::Turn;
use crate::record::{Case, Round};
use cueline_core::assess::{Assessment, History, PastRound};
use cueline_core::outcome::Verdict;
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::reading::read;
use cueline_core::report::{AgeBand, Lift, SetReport};
use jiff::tz::TimeZone;

/// The report of the set under review, completed from words and profile.
pub(super) fn completed(case: &Case, turn: &Turn<'_>) -> SetReport {
    let mut report = case.body.report.clone();
    let texts: Vec<&str> = case
        .body
        .parts
        .iter()
        .map(|part| part.text.as_str())
        .collect();
    let mut words = texts.join("\n");
    if case.body.for_whom.is_some() {
        words = super::whose::as_own(&words);
    }
    let lift = report.lift.or(case.lift);
    let reading = read(
        &words,
        turn.known.catalog,
        super::intake::hints(&turn.lifter, lift),
    );
    report.words = Some(words).filter(|words| !words.is_empty());
    let mut report = report.or(&reading.fields);
    report.lift = report.lift.or(case.lift);
    report.traces = super::traces::of_set(turn, case);
    if case.body.for_whom.is_some() {
        // Somebody else's set is not judged by the poster's figures.
        return report;
    }
    if turn.lifter.profile.guardian.is_some() {
        report.age_band = Some(AgeBand::Under18);
    }
    let carried = carried(turn, &report);
    report.or(&carried)
}

/// What is known of the lifter from before, as a partial report.
fn carried(turn: &Turn<'_>, report: &SetReport) -> SetReport {
    let profile = &turn.lifter.profile;
    let lift = report.lift.map(Lift::word);
    let months = profile.training.map(|(months, at)| {
        let since = turn.now.duration_since(at).as_hours() / (24 * 30);
        months.saturating_add(u32::try_from(since).unwrap_or(0))
    });
    SetReport {
        body_mass: profile.body_mass,
        stature: profile.stature,
        best: lift.and_then(|lift| profile.bests.get(lift)).cloned(),
        goal: lift.and_then(|lift| profile.goals.get(lift)).cloned(),
        training_months: months,
        age_band: profile.age_band,
        competes: profile.competes,
        plates: profile.plates.clone(),
        rule_set: profile.rule_set.clone(),
        ..SetReport::default()
    }
}

/// Keeps what the report says about the lifter for the next set.
pub(super) fn learn(turn: &mut Turn<'_>, assessment: &Assessment) {
    let report = &assessment.report;
    let profile = &mut turn.lifter.profile;
    if let Some(load) = report.load.filter(|_| {
        assessment
            .question
            .as_ref()
            .is_none_or(|q| q.id != "field:load.unit")
    }) {
        profile.unit = Some(load.unit);
    }
    profile.body_mass = report.body_mass.or(profile.body_mass);
    profile.stature = report.stature.or(profile.stature);
    super::guardian::keep_age(profile, report.age_band);
    profile.competes = report.competes.or(profile.competes);
    if report.rule_set.is_some() {
        profile.rule_set.clone_from(&report.rule_set);
    }
    if report.plates.is_some() {
        profile.plates.clone_from(&report.plates);
    }
    if let Some(months) = assessment.reading.fields.training_months {
        profile.training = Some((months, turn.now));
    }
    if let Some(lift) = report.lift {
        if let Some(best) = &report.best {
            profile.bests.insert(lift.word().to_owned(), best.clone());
        }
        if let Some(goal) = &report.goal {
            profile.goals.insert(lift.word().to_owned(), goal.clone());
        }
    }
    if let Some(zone) = &report.time_zone {
        turn.lifter.zone = Some(zone.clone());
        turn.zone = times::zone(turn.known.rules, Some(zone));
    }
}

/// Earlier sets of the case as the core wants them.
pub(super) fn history(case: &Case, turn: &Turn<'_>) -> History {
    history_of(case, &turn.zone, turn.lifter.profile.unit)
}

/// Earlier sets of the case of a lifter in this zone, who states loads in this unit.
pub(super) fn history_of(case: &Case, zone: &TimeZone, unit: Option<MassUnit>) -> History {
    let rounds = &case.body.rounds;
    let failed = |index: usize| {
        rounds
            .get(index + 1)
            .and_then(|next: &Round| next.outcome)
            .is_some_and(Verdict::failed)
    };
    History {
        rounds: rounds
            .iter()
            .enumerate()
            .map(|(index, round)| PastRound {
                date: times::today(zone, round.at),
                report: SetReport {
                    words: None,
                    traces: Vec::new(),
                    ..round.report.clone()
                },
                present: round.present.clone(),
                chosen: round.chosen.clone(),
                load_kg: round.report.load.map(Mass::kg),
                reps: round.report.reps,
                estimate_kg: round.estimate_kg.map(|(kg, _, _)| kg),
                missed: round.report.missed.as_ref().map_or(0, |miss| miss.reps),
                failed: failed(index),
                measured: round.measured.clone(),
            })
            .collect(),
        unit,
        lift: case.lift,
        questions_asked: case.body.asked,
        settled: case.body.settled.clone(),
        measured: None,
    }
}
