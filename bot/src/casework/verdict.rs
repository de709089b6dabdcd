//! The coach's verdict on a set: read, kept beside what was believed, said back.
//!
//! It changes neither the state of the case nor its place in the queue; `show` and `cueline calibration` show it.

use super::coach::me;
use super::coached;
use super::turn::Turn;
use crate::record::{CaseFile, CoachVerdict, EntryKind, Round};
use crate::wording::{beliefs, cause_list, escape, verdict_causes};
use cueline_core::catalog::LiftBook;
use cueline_core::outcome::{Judged, MOST_CAUSES, SpokenFault, spoken_causes};
use cueline_core::report::Lift;

/// Longest piece of a verdict said back, in code points.
const MOST_QUOTED: usize = 60;

/// Keeps a verdict on the newest set of a case, or says why it cannot be taken.
pub(super) fn verdict(turn: &mut Turn<'_>, file: &CaseFile, text: &str) -> String {
    let words = turn.known.words;
    let number = file.case.number.to_string();
    let lifts = &turn.known.catalog.lifts;
    let judged = file.case.body.rounds.last().and_then(|round| {
        let lift = round.report.lift.or(file.case.lift)?;
        Some((round, lift, lifts.get(&lift)?))
    });
    let Some((round, lift, book)) = judged else {
        return words.say("coach.verdict_no_set", &[("number", &number)]);
    };
    let causes = match spoken_causes(book, text) {
        Ok(causes) => causes,
        Err(fault) => return refused(turn, &number, lift, book, &fault),
    };
    let kept = verdict_on(turn, &file.case.id, round, lift, causes);
    let who = turn.event.actor.id.clone();
    let noted = format!("verdict: {}", noted(&kept.judged.causes));
    turn.entry(&file.case, EntryKind::Change, &who, None, noted);
    let same = |former: &&CoachVerdict| former.event_id == kept.event_id;
    let former = file.verdict.as_ref().filter(same);
    let replaced = former.map_or_else(String::new, |former| {
        let before = verdict_causes(words, book, &former.judged.causes);
        words.say("coach.verdict_replaced", &[("before", &before)])
    });
    let answer = words.say(
        "coach.verdict_kept",
        &[
            ("number", &number),
            ("causes", &verdict_causes(words, book, &kept.judged.causes)),
            ("replaced", &replaced),
            ("view", &beliefs(book, &kept.judged.beliefs)),
        ],
    );
    let mut case = file.case.clone();
    if coached::judged(&mut case, turn.known.catalog, &kept.judged.causes) {
        turn.effects.cases.push(case);
    }
    turn.effects.verdicts.push(kept);
    answer
}

/// A verdict of the coach who acts on one set of a case.
pub(super) fn verdict_on(
    turn: &Turn<'_>,
    case_id: &str,
    round: &Round,
    lift: Lift,
    causes: Vec<String>,
) -> CoachVerdict {
    CoachVerdict {
        case_id: case_id.to_owned(),
        event_id: round.event_id.clone(),
        at: turn.now,
        by: me(turn.event),
        edition: if round.edition.is_empty() {
            turn.known.catalog.edition.clone()
        } else {
            round.edition.clone()
        },
        judged: judged_set(round, lift, causes),
    }
}

/// The set as it was believed, with what the coach says.
fn judged_set(round: &Round, lift: Lift, causes: Vec<String>) -> Judged {
    Judged {
        lift,
        causes,
        beliefs: round.beliefs.clone(),
        present: round.present.clone(),
        absent: round.absent.clone(),
    }
}

/// Ids, as kept in the history.
fn noted(causes: &[String]) -> String {
    if causes.is_empty() {
        "none".to_owned()
    } else {
        causes.join(", ")
    }
}

/// Why a verdict was not taken; nothing is kept then.
fn refused(
    turn: &Turn<'_>,
    number: &str,
    lift: Lift,
    book: &LiftBook,
    fault: &SpokenFault,
) -> String {
    let words = turn.known.words;
    match fault {
        SpokenFault::Nothing => words.say("coach.verdict_nothing", &[("number", number)]),
        SpokenFault::TooMany { found } => words.say(
            "coach.verdict_too_many",
            &[
                ("found", &found.to_string()),
                ("most", &MOST_CAUSES.to_string()),
            ],
        ),
        SpokenFault::Unknown { said, nearest } => {
            let quoted: String = said.chars().take(MOST_QUOTED).collect();
            let nearest = if nearest.is_empty() {
                words.say("coach.verdict_no_nearest", &[])
            } else {
                let list = cause_list(book, nearest);
                words.say("coach.verdict_nearest", &[("nearest", &list)])
            };
            words.say(
                "coach.verdict_unknown",
                &[
                    ("said", &escape(&quoted)),
                    ("lift", lift.name()),
                    ("nearest", &nearest),
                ],
            )
        }
    }
}
