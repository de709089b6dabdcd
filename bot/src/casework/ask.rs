//! `ask 12 Does the bar drift forward?`: the coach puts one question to the lifter, and what the lifter
//! answers goes back to the coach, not to the bot.

use super::coach::{MOST_SAID, held_by_other, lifter_name, say_held, tell, write};
use super::intake::begin_round;
use super::matching::is_new_set;
use super::settle::held;
use super::turn::Turn;
use super::{quiet, times};
use crate::record::{
    Case, CaseFile, CaseState, Entry, EntryKind, FollowUpChange, FollowUpKind, OpenQuestion, Part,
    QueueChange, Reason, Urgency,
};
use crate::wording::figures;
use cueline_core::reading::Reading;

/// Id of the open question that is the coach's own.
const QUESTION: &str = "coach";

/// How a question stands in the history, beside its words.
const NOTED: &str = "the coach asked";

/// How many of the coach's words in a case's history are questions: a question is no answer.
pub(super) fn questions(file: &CaseFile) -> usize {
    let asked = |entry: &&Entry| entry.kind == EntryKind::Change && entry.text == NOTED;
    file.entries.iter().filter(asked).count()
}

/// Whether a case waits for the answer to the coach's question.
pub(super) fn waits(case: &Case) -> bool {
    case.state == CaseState::Asking
        && case
            .body
            .open_question
            .as_ref()
            .is_some_and(|open| open.id == QUESTION)
}

/// Puts the question: it replaces an open one, and the case leaves the queue until the answer.
pub(super) fn ask(turn: &mut Turn<'_>, file: &CaseFile, text: &str) -> String {
    let words = turn.known.words;
    let number = file.case.number.to_string();
    let said = |key: &str| words.say(key, &[("number", &number)]);
    let text = text.trim();
    if text.is_empty() {
        return said("coach.nothing_asked");
    }
    if let Some((by, until)) = held_by_other(turn, file) {
        return say_held(turn, file, by, until);
    }
    if text.chars().count() > MOST_SAID {
        return words.say("coach.too_long", &[("most", &MOST_SAID.to_string())]);
    }
    if file.case.state == CaseState::Halted {
        return said("coach.halted_first");
    }
    if !file.case.state.is_open() {
        return said("coach.over");
    }
    let mut case = file.case.clone();
    case.state = CaseState::Asking;
    case.body.open_question = Some(OpenQuestion {
        id: QUESTION.to_owned(),
        text: text.to_owned(),
        choices: Vec::new(),
        bare: None,
        repeated: false,
    });
    let case_id = || case.id.clone();
    let (remove, cancel) = (
        QueueChange::Remove { case_id: case_id() },
        FollowUpChange::CancelCase { case_id: case_id() },
    );
    turn.effects.queue.push(remove);
    turn.effects.follow_ups.push(cancel);
    let within = turn.known.rules.answer_within;
    let lapse = turn.now.checked_add(within).unwrap_or(turn.now);
    turn.follow_up(&case, FollowUpKind::Answer, lapse);
    let asked = words.say("coach.alert_question", &[("text", text)]);
    tell(turn, &case, "ask", asked, EntryKind::Coach);
    write(turn, case, NOTED);
    let date = figures::day(times::today(&turn.zone, lapse));
    words.say(
        "coach.asked",
        &[
            ("number", &number),
            ("name", &lifter_name(file)),
            ("date", &date),
        ],
    )
}

/// The lifter writes while the coach's question is open: thanks aside, that is the answer, and the
/// coach reads it.
pub(super) fn answered(turn: &mut Turn<'_>, mut case: Case, part: Part, reading: &Reading) {
    let new_set = is_new_set(reading);
    if !new_set && thanks(&part.text) {
        turn.note(&case, &part);
        turn.keep(case);
        return;
    }
    let date = back_to_the_coach(turn, &mut case);
    if new_set {
        // Asked for another set: kept and looked at as any set that the coach has.
        begin_round(&mut case);
        case.body.parts.push(part);
        held(turn, case);
        return;
    }
    turn.note(&case, &part);
    let text = turn
        .known
        .words
        .say("talk.answer_to_coach", &[("date", &date)]);
    turn.reply("first", text, Some(&case));
    turn.keep(case);
}

/// Thanks and nothing else. "I do" is small talk elsewhere, and may be an answer here.
fn thanks(text: &str) -> bool {
    let lower = text.to_lowercase();
    quiet::small_talk(text)
        && ["thank", "thx", "cheers"]
            .iter()
            .any(|word| lower.contains(word))
}

/// The case waits for the coach again; the day until which an answer is promised.
pub(super) fn back_to_the_coach(turn: &mut Turn<'_>, case: &mut Case) -> String {
    case.state = CaseState::WithCoach;
    case.body.open_question = None;
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
    let reason = Reason {
        id: "answered".to_owned(),
        why: "the lifter answered your question".to_owned(),
    };
    turn.queue(case, Urgency::Asked, vec![reason], promised);
    let day = promised.map(|at| figures::day(times::today(&turn.zone, at)));
    day.unwrap_or_default()
}
