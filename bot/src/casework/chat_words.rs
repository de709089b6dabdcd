//! The chat words of a lifter: help, my cases, ask the coach, reminders, time zone, data.

use super::matching::in_thread;
use super::speech::LifterWord;
use super::times;
use super::turn::Turn;
use crate::record::{Case, CaseState, FollowUpChange, Purpose, Reason, Urgency, Withdraw};
use crate::wording::{escape, figures, question_lines};
use cueline_core::report::Lift;

/// Most cases listed.
const MOST_CASES: usize = 10;

/// One of the lifter's chat words.
pub(super) fn say(turn: &mut Turn<'_>, word: LifterWord) {
    let words = turn.known.words;
    match word {
        LifterWord::Help => help(turn),
        LifterWord::Who => {
            turn.keep_lifter();
            turn.reply("first", words.say("talk.who", &[]), None);
        }
        LifterWord::MyProfile => super::profile_words::show(turn),
        LifterWord::RemindOn(day) => super::remind_on::set(turn, day),
        LifterWord::MyCases => my_cases(turn),
        LifterWord::Rack(word) => super::rack::answer(turn, word),
        LifterWord::Challenge(word) => super::challenge::member(turn, word),
        LifterWord::AskCoach => ask_coach(turn),
        LifterWord::StopReminders => {
            turn.lifter.reminders = false;
            let person = turn.lifter.key.clone();
            turn.effects.follow_ups.push(FollowUpChange::CancelPerson {
                person: person.clone(),
            });
            turn.effects.withdraw.push(Withdraw::RemindersOf(person));
            turn.keep_lifter();
            turn.reply("first", words.say("talk.reminders_off", &[]), None);
        }
        LifterWord::StartReminders => start_reminders(turn),
        LifterWord::Zone(name) => zone(turn, &name),
        LifterWord::Privacy(word) => super::privacy_words::say(turn, word),
    }
}

/// What can be written, and what comes next where the lifter stands now.
fn help(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let rules = turn.known.rules;
    let number = rules.emergency_number(turn.lifter.zone.as_deref());
    let mut lines = vec![words.say("talk.help", &[("emergency_number", &number)])];
    let mut open = turn.known.cases.iter().filter(|case| case.state.is_open());
    let here = open.clone().find(|case| in_thread(case, turn.event));
    let case = here.or_else(|| open.next()).cloned();
    turn.keep_lifter();
    let Some(case) = case else {
        turn.reply("first", lines.join("\n"), None);
        return;
    };
    let lift = case.lift.map_or("set", Lift::name);
    let said = |key: &str| words.say(key, &[("lift", lift)]);
    match case.state {
        CaseState::Halted => turn.say_halted(&case),
        CaseState::Asking => {
            if let Some(open) = &case.body.open_question {
                lines.extend(question_lines(words, &open.text, &open.choices));
            }
            turn.reply_with_buttons("first", lines.join("\n"), &case, Purpose::Reply);
        }
        state => {
            lines.push(said(if state == CaseState::Practising {
                "talk.help_practising"
            } else {
                "talk.help_with_coach"
            }));
            turn.reply("first", lines.join("\n"), Some(&case));
        }
    }
}

/// Reminders again: one chain for each case that is practised.
fn start_reminders(turn: &mut Turn<'_>) {
    turn.lifter.reminders = true;
    turn.lifter.profile.quiet_since = None;
    turn.keep_lifter();
    if super::guardian::refuses(&turn.lifter) {
        let text = turn.known.words.say("guardian.no_reminders", &[]);
        turn.reply("first", text, None);
        return;
    }
    let practising: Vec<Case> = turn
        .known
        .cases
        .iter()
        .filter(|case| case.state == CaseState::Practising)
        .cloned()
        .collect();
    for case in &practising {
        turn.effects.follow_ups.push(FollowUpChange::CancelCase {
            case_id: case.id.clone(),
        });
        turn.date_follow_up(case, None);
    }
    let text = turn.known.words.say("talk.reminders_on", &[]);
    turn.reply("first", text, None);
}

/// The lifter's own time zone, so that nothing comes at night.
fn zone(turn: &mut Turn<'_>, name: &str) {
    let words = turn.known.words;
    let text = if let Some(found) = times::named(name) {
        turn.lifter.zone = Some(found.clone());
        turn.keep_lifter();
        words.say("talk.zone_kept", &[("zone", &found)])
    } else {
        words.say("talk.zone_unknown", &[("zone", &escape(name))])
    };
    turn.reply("first", text, None);
}

/// Lists the lifter's own cases.
fn my_cases(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    if turn.known.cases.is_empty() {
        turn.reply("first", words.say("talk.no_cases", &[]), None);
        return;
    }
    let mut lines = vec![words.say("talk.my_cases", &[])];
    for case in turn.known.cases.iter().take(MOST_CASES) {
        let next = case
            .body
            .open_question
            .as_ref()
            .filter(|_| case.state == CaseState::Asking)
            .map(|question| format!(" ({})", question.text))
            .unwrap_or_default();
        let mut lift = case.lift.map_or("set", Lift::name).to_owned();
        if let Some(whom) = &case.body.for_whom {
            lift = format!("{lift} ({})", escape(whom));
        }
        lines.push(words.say(
            "talk.my_case",
            &[
                ("number", &case.number.to_string()),
                ("lift", &lift),
                ("state", state_words(case.state)),
                ("next", &next),
            ],
        ));
    }
    turn.reply("first", lines.join("\n"), None);
}

/// A state as said to a lifter.
pub(super) const fn state_words(state: CaseState) -> &'static str {
    match state {
        CaseState::Asking => "one question is open",
        CaseState::Practising => "you are practising; post the next set here",
        CaseState::WithCoach => "the coach has it",
        CaseState::Halted => "stopped for safety",
        CaseState::Mended => "done",
        CaseState::Lapsed => "closed for want of an answer",
        CaseState::Withdrawn => "taken back",
    }
}

/// Hands the case of this thread, else the newest open one, to the coach.
fn ask_coach(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let mut open = turn.known.cases.iter().filter(|case| case.state.is_open());
    let here = open.clone().find(|case| in_thread(case, turn.event));
    let Some(mut case) = here.or_else(|| open.next()).cloned() else {
        turn.reply("first", words.say("talk.asked_nothing", &[]), None);
        return;
    };
    if case.state == CaseState::Halted {
        turn.say_halted(&case);
        turn.keep(case);
        return;
    }
    case.state = CaseState::WithCoach;
    case.body.open_question = None;
    let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
    // What the coach was to look at stays in sight beside the wish.
    let mut reasons: Vec<Reason> = case
        .body
        .raised
        .iter()
        .map(|raised| Reason {
            id: raised.id.clone(),
            why: raised.why.clone(),
        })
        .collect();
    reasons.push(Reason {
        id: "asked".to_owned(),
        why: "the lifter asked for the coach".to_owned(),
    });
    turn.queue(&case, Urgency::Asked, reasons, promised);
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    let by = promised.map(|at| times::today(&turn.zone, at));
    let date = by.map(figures::day).unwrap_or_default();
    let text = words.say("talk.asked_coach", &[("date", &date)]);
    turn.reply("first", text, Some(&case));
    turn.keep(case);
}
