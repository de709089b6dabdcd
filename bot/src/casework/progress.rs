//! The set as it was assessed, and what it shows of the correction given before.

use super::turn::Turn;
use crate::record::{Case, Round};
use crate::wording::{figures, measured_change, sign_list};
use cueline_core::assess::Assessment;
use cueline_core::motion::Measurement;
use cueline_core::outcome::{MeasuredChange, Verdict};
use cueline_core::report::SetReport;

/// The round of this set.
pub(super) fn round(turn: &Turn<'_>, assessment: &Assessment, verdict: Option<Verdict>) -> Round {
    let named = |there: bool| {
        assessment
            .signs
            .iter()
            .filter(|view| (view.probability >= 0.5) == there)
            .map(|view| view.sign.clone())
            .collect()
    };
    Round {
        at: turn.now,
        event_id: turn.event.key.id.clone(),
        // The words stay with the messages they came in, where taking one back finds them.
        report: SetReport {
            words: None,
            // The traces stand with the case's files.
            traces: Vec::new(),
            ..assessment.report.clone()
        },
        level: assessment.triage.level,
        present: named(true),
        absent: named(false),
        chosen: assessment.chosen.clone(),
        beliefs: assessment
            .beliefs
            .iter()
            .map(|belief| (belief.cause.clone(), belief.probability))
            .collect(),
        edition: edition(turn, assessment),
        estimate_kg: assessment
            .estimate
            .as_ref()
            .map(|estimate| (estimate.kg, estimate.low_kg, estimate.high_kg)),
        flags: assessment
            .triage
            .flags
            .iter()
            .map(|flag| (flag.flag.clone(), flag.quote.clone()))
            .collect(),
        outcome: verdict,
        // What could not be read is told, and kept in the file alone.
        measured: assessment.measured.clone().map(|measured| Measurement {
            problems: Vec::new(),
            ..measured
        }),
    }
}

/// The catalog in use, and how many verdicts on the lift it has learned from.
fn edition(turn: &Turn<'_>, assessment: &Assessment) -> String {
    let catalog = turn.known.catalog;
    let lift = assessment.report.lift;
    let learned = lift.and_then(|lift| catalog.lifts.get(&lift));
    match learned.map_or(0, |book| book.learned.verdicts) {
        0 => catalog.edition.clone(),
        verdicts => format!("{}+{verdicts}", catalog.edition),
    }
}

/// Takes the set under review back to be read again: its round, and what followed from it.
pub(super) fn reopen(case: &mut Case) {
    let Some(round) = case.body.rounds.pop() else {
        return;
    };
    if case
        .body
        .given
        .last()
        .is_some_and(|given| given.at == round.at)
    {
        case.body.given.pop();
    }
    if round.outcome.is_some()
        && let Some(given) = case.body.given.last_mut()
    {
        given.outcome = None;
    }
}

/// The set a new one is compared with: the newest since the running correction was given that told of a
/// sign it aims at. A set that told of none leaves the question open, and does not end it.
pub(super) fn compared_with(case: &Case) -> Option<&Round> {
    let given = case.body.given.last()?;
    let known =
        |sign: &String, round: &Round| round.present.contains(sign) || round.absent.contains(sign);
    let tells = |round: &&Round| {
        round.at >= given.at && given.targets.iter().any(|sign| known(sign, round))
    };
    let rounds = &case.body.rounds;
    rounds.iter().rev().find(tells).or(rounds.last())
}

/// How far a measured sign has moved since the set before, a line each.
pub(super) fn change_lines(
    turn: &Turn<'_>,
    assessment: &Assessment,
    changes: &[MeasuredChange],
) -> Vec<String> {
    let said = |change| measured_change(turn.known.words, change, &assessment.report);
    changes.iter().take(MOST_CHANGES).map(said).collect()
}

/// Changes told in one reply.
const MOST_CHANGES: usize = 3;

/// What the resubmission showed, as a line.
pub(super) fn progress_line(
    turn: &Turn<'_>,
    case: &Case,
    assessment: &Assessment,
    verdict: Verdict,
) -> Option<String> {
    let words = turn.known.words;
    let given = case.body.given.last()?;
    let last = compared_with(case)?;
    let book = turn.known.catalog.lifts.get(&case.lift?)?;
    let there = |sign: &&String| {
        assessment
            .signs
            .iter()
            .any(|view| view.sign == **sign && view.probability >= 0.5)
    };
    let aimed: Vec<&String> = given
        .targets
        .iter()
        .filter(|sign| last.present.contains(sign))
        .collect();
    let aimed = if aimed.is_empty() {
        last.present.iter().collect()
    } else {
        aimed
    };
    // A sign not mentioned is unknown: it is called neither gone nor still there.
    let absent = |sign: &&String| {
        assessment
            .signs
            .iter()
            .any(|view| view.sign == **sign && view.probability < 0.5)
    };
    let still = sign_list(book, aimed.iter().copied().filter(there));
    let gone = sign_list(book, aimed.iter().copied().filter(absent));
    let date = turn.later_day().map(figures::day).unwrap_or_default();
    let (key, values): (&str, Vec<(&str, String)>) = match verdict {
        Verdict::Gone => (
            "progress.gone",
            vec![
                ("signs", gone),
                ("now", figures::work(&assessment.report)),
                ("before", figures::work(&last.report)),
            ],
        ),
        Verdict::Better => ("progress.better", vec![("signs", gone), ("date", date)]),
        Verdict::Same => ("progress.same", vec![("signs", still)]),
        Verdict::Worse => ("progress.worse", vec![("signs", still)]),
        Verdict::CannotTell => {
            let wanted = sign_list(book, aimed.iter().copied());
            if wanted.is_empty() {
                return None;
            }
            ("progress.cannot_tell", vec![("signs", wanted)])
        }
    };
    let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
    Some(words.say(key, &values))
}
