//! The coach in chat: the queue, one case, and what the coach does with it.

use super::ask::{ask, questions};
use super::challenge::{self, CommunityWord};
use super::hand::hand;
use super::intake::lifter as known_lifter;
use super::speech::{CoachWord, coach_word};
use super::turn::Turn;
use super::verdict::verdict;
use super::{Known, aside, coached, desk, guardian, outbox, sheet, times};
use crate::record::{
    Case, CaseFile, CaseState, DeadLetter, Effects, Entry, EntryKind, Event, FollowUpChange,
    Payload, PersonKey, Purpose, QueueChange, QueueLine, Reason, Urgency, Wipe, Withdraw,
};
use crate::wording::{case_card, escape, queue_text};
use cueline_core::report::SetReport;
use cueline_core::triage::Level;
use jiff::Timestamp;

/// Longest text the coach sends at once, in code points; what a platform takes, less our head.
pub(super) const MOST_SAID: usize = 3_900;

/// A coach's message: a command, or talk that is left alone.
pub(super) fn message(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    if matches!(&event.payload, Payload::Message { version, .. } if *version > 1) {
        // An order carried out once is not carried out again because a slip was mended.
        return;
    }
    let mut turn = Turn::new(event, known, now, known_lifter(event, known), effects);
    let before = known.lifter.as_ref().map(|coach| &coach.display_name);
    if before != Some(&event.actor.display_name) {
        // By which name a colleague may hand a case over.
        turn.keep_lifter();
    }
    let Some(word) = coach_word(turn.text()).filter(|word| meant(event, known, word)) else {
        return;
    };
    if word == CoachWord::Desk {
        desk::send_link(&mut turn);
        return;
    }
    if word.case_number().is_some() {
        // What it says of a lifter stands in the case, and goes with the case.
        turn.effects.wipe = Some(Wipe::Words);
    }
    if let CoachWord::Sheet(minutes) = &word {
        let parts = sheet::asked(&mut turn, minutes.unwrap_or(sheet::USUAL_MINUTES));
        let parts = parts.into_iter().enumerate();
        let parts = parts.map(|(n, part)| outbox::coach_part(event, known.rules, part, n));
        effects.outbox.extend(parts);
        return;
    }
    let said = answered(&mut turn, &word);
    effects
        .outbox
        .push(outbox::coach_reply(event, known.rules, said));
}

/// An order given at the desk: the same words, done the same way; what came of it is shown there.
pub(super) fn order(
    event: &Event,
    text: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let mut turn = Turn::new(event, known, now, known_lifter(event, known), effects);
    // What it says of a lifter stands in the case, and goes with the case.
    turn.effects.wipe = Some(Wipe::Words);
    let said = match coach_word(text) {
        Some(word) => answered(&mut turn, &word),
        None => known.words.say("desk.no_order", &[]),
    };
    desk::outcome(event, text, known, said, effects);
}

/// Carries a word out, and what there is to say to it.
fn answered(turn: &mut Turn<'_>, word: &CoachWord) -> String {
    let (known, source) = (turn.known, &turn.event.key.source);
    match word {
        CoachWord::Help => known.words.say("coach.help", &[]),
        CoachWord::Queue => {
            let own = |line: &&QueueLine| line.case.person.source == *source;
            let lines: Vec<QueueLine> = known.queue.iter().filter(own).cloned().collect();
            let own = |letter: &&DeadLetter| letter.message.source == *source;
            let dead: Vec<DeadLetter> = known.dead.iter().filter(own).cloned().collect();
            queue_text(known.words, &lines, &dead, turn.now)
        }
        CoachWord::SendAgain => send_again(turn),
        CoachWord::Sheet(minutes) => sheet::kept(turn, minutes.unwrap_or(sheet::USUAL_MINUTES)),
        CoachWord::Community(word) if !matches!(word, CommunityWord::Open(..)) => {
            challenge::coach(turn, word)
        }
        _ => {
            // A coach of one platform sees that platform's cases only.
            let own = |file: &&CaseFile| file.case.person.source == *source;
            if let Some(file) = known.named.as_ref().filter(own) {
                named(turn, word, file)
            } else {
                let number = word.case_number().unwrap_or_default().to_string();
                known.words.say("coach.no_case", &[("number", &number)])
            }
        }
    }
}

/// Whether a text is meant as an order. In the coaches' room it is; elsewhere only what cannot be
/// taken for talk ("take 5 kg off" names no case) and reaches nobody.
fn meant(event: &Event, known: &Known<'_>, word: &CoachWord) -> bool {
    let source = &event.key.source;
    let rooms = &known.rules.coach_rooms;
    rooms.get(source).is_none_or(|room| *room == event.room_id)
        || !matches!(
            word,
            CoachWord::Say(..)
                | CoachWord::Ask(..)
                | CoachWord::Halt(..)
                | CoachWord::Community(CommunityWord::Strike(..))
        )
}

/// Undelivered messages go out again.
fn send_again(turn: &mut Turn<'_>) -> String {
    let keys: Vec<String> = turn
        .known
        .dead
        .iter()
        .filter(|letter| letter.message.source == turn.event.key.source)
        .map(|letter| letter.message.key.clone())
        .collect();
    let count = keys.len().to_string();
    turn.effects.revive.extend(keys);
    turn.known
        .words
        .say("coach.sent_again", &[("count", &count)])
}

/// A word about one case.
fn named(turn: &mut Turn<'_>, word: &CoachWord, file: &CaseFile) -> String {
    match word {
        CoachWord::Show(_) => {
            let (known, desk) = (turn.known, turn.known.rules.desk_url.is_some());
            case_card(known.words, known.catalog, file, desk, turn.now)
        }
        CoachWord::Take(_) => take(turn, file),
        CoachWord::Say(_, text) => say(turn, file, text),
        CoachWord::Ask(_, text) => ask(turn, file, text),
        CoachWord::Halt(_, why) => halt(turn, file, why),
        CoachWord::LiftHalt(_) => lift_halt(turn, file),
        CoachWord::Finish(_) => finish(turn, file),
        CoachWord::Hand(_, name) => hand(turn, file, name),
        CoachWord::Verdict(_, text) => verdict(turn, file, text),
        CoachWord::Guardian(_, says) => guardian::record(turn, file, *says),
        CoachWord::Community(CommunityWord::Open(_, until)) => challenge::open(turn, file, *until),
        CoachWord::Help
        | CoachWord::Queue
        | CoachWord::SendAgain
        | CoachWord::Sheet(_)
        | CoachWord::Community(_)
        | CoachWord::Desk => String::new(),
    }
}

/// The coach who acts.
pub(super) fn me(event: &Event) -> PersonKey {
    PersonKey {
        source: event.key.source.clone(),
        person_id: event.actor.id.clone(),
    }
}

/// Another coach who holds the case now.
pub(super) fn held_by_other<'a>(
    turn: &Turn<'_>,
    file: &'a CaseFile,
) -> Option<(&'a PersonKey, Timestamp)> {
    let item = file.queue_item.as_ref()?;
    let (by, until) = (item.taken_by.as_ref()?, item.taken_until?);
    (*by != me(turn.event) && until > turn.now).then_some((by, until))
}

/// Says that another coach holds the case.
pub(super) fn say_held(
    turn: &Turn<'_>,
    file: &CaseFile,
    by: &PersonKey,
    until: Timestamp,
) -> String {
    let until = local_time(turn, until);
    turn.known.words.say(
        "coach.taken_by_other",
        &[
            ("number", &file.case.number.to_string()),
            ("who", &escape(&by.person_id)),
            ("until", &until),
        ],
    )
}

/// A time of day in the house's zone.
pub(super) fn local_time(turn: &Turn<'_>, at: Timestamp) -> String {
    times::zone(turn.known.rules, None)
        .to_datetime(at)
        .strftime("%H:%M")
        .to_string()
}

/// This coach answers it for a while.
fn take(turn: &mut Turn<'_>, file: &CaseFile) -> String {
    if let Some((by, until)) = held_by_other(turn, file) {
        return say_held(turn, file, by, until);
    }
    let until = turn
        .now
        .checked_add(turn.known.rules.take_for)
        .unwrap_or(turn.now);
    if file.queue_item.is_none() {
        let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
        let reason = Reason {
            id: "coach".to_owned(),
            why: "taken up by the coach".to_owned(),
        };
        let halted = file.case.state == CaseState::Halted;
        let urgency = if halted {
            // It waits for the coach again, and is no less a stop for that.
            let mut case = file.case.clone();
            case.body.set_aside = false;
            write(turn, case, "taken up by the coach");
            Urgency::Clinician
        } else {
            Urgency::Asked
        };
        turn.queue(&file.case, urgency, vec![reason], promised);
    }
    turn.effects.queue.push(QueueChange::Take {
        case_id: file.case.id.clone(),
        by: me(turn.event),
        until,
    });
    let until = local_time(turn, until);
    turn.known.words.say(
        "coach.taken",
        &[("number", &file.case.number.to_string()), ("until", &until)],
    )
}

/// Writes the case and notes who did what.
pub(super) fn write(turn: &mut Turn<'_>, mut case: Case, change: &str) {
    let who = turn.event.actor.id.clone();
    turn.entry(&case, EntryKind::Change, &who, None, change.to_owned());
    case.updated_at = turn.now;
    turn.effects.cases.push(case);
}

/// Tells the lifter, in the case's room: the coach's own words, or ours about what the coach did.
pub(super) fn tell(turn: &mut Turn<'_>, case: &Case, slot: &str, text: String, kind: EntryKind) {
    let who = turn.event.actor.id.clone();
    turn.entry(case, kind, &who, None, text.clone());
    let message = outbox::to_lifter(&turn.event.key, slot, text, case, Purpose::Coach);
    turn.effects.outbox.push(message);
}

/// Answers the lifter in the coach's own words.
fn say(turn: &mut Turn<'_>, file: &CaseFile, text: &str) -> String {
    let number = file.case.number.to_string();
    if text.trim().is_empty() {
        return turn
            .known
            .words
            .say("coach.nothing_said", &[("number", &number)]);
    }
    if let Some((by, until)) = held_by_other(turn, file) {
        return say_held(turn, file, by, until);
    }
    if text.chars().count() > MOST_SAID {
        let most = MOST_SAID.to_string();
        return turn.known.words.say("coach.too_long", &[("most", &most)]);
    }
    let said = turn
        .known
        .words
        .say("coach.alert_reply", &[("text", text.trim())]);
    tell(turn, &file.case, "say", said, EntryKind::Coach);
    let mut case = file.case.clone();
    if case.state == CaseState::Asking {
        // The coach's word replaces the bot's question.
        case.state = CaseState::WithCoach;
        case.body.open_question = None;
        if file.queue_item.is_none() {
            let reason = Reason {
                id: "coach".to_owned(),
                why: "you answered; `finish` ends it".to_owned(),
            };
            turn.queue(&case, Urgency::Asked, vec![reason], None);
        }
    }
    coached::said(&mut case, file, turn.known.catalog, turn.now);
    write(turn, case, "the coach answered");
    let name = lifter_name(file);
    turn.known
        .words
        .say("coach.said", &[("number", &number), ("name", &name)])
}

/// The lifter's name for the coach.
pub(super) fn lifter_name(file: &CaseFile) -> String {
    file.lifter.as_ref().map_or_else(
        || "the lifter".to_owned(),
        |lifter| escape(&lifter.display_name),
    )
}

/// Stops a case for safety.
fn halt(turn: &mut Turn<'_>, file: &CaseFile, why: &str) -> String {
    let number = file.case.number.to_string();
    let mut case = file.case.clone();
    case.state = CaseState::Halted;
    case.body.halt = Some(Level::Clinician);
    case.body.set_aside = false;
    case.body.open_question = None;
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    turn.effects
        .withdraw
        .push(Withdraw::RemindersOf(case.person.clone()));
    turn.effects.withdraw.push(Withdraw::Case(case.id.clone()));
    let promised = turn
        .now
        .checked_add(turn.known.rules.promise_clinician)
        .ok();
    let reason = Reason {
        id: "halt".to_owned(),
        why: if why.trim().is_empty() {
            "stopped by the coach".to_owned()
        } else {
            format!("stopped by the coach: {}", why.trim())
        },
    };
    turn.queue(&case, Urgency::Clinician, vec![reason], promised);
    let text = turn.known.words.say("stop.halted_by_coach", &[]);
    tell(turn, &case, "halt", text, EntryKind::Reply);
    write(turn, case, aside::STOPPED);
    turn.known.words.say("coach.halted", &[("number", &number)])
}

/// Ends a stop; only a coach can.
fn lift_halt(turn: &mut Turn<'_>, file: &CaseFile) -> String {
    let number = file.case.number.to_string();
    if file.case.state != CaseState::Halted {
        return turn
            .known
            .words
            .say("coach.not_halted", &[("number", &number)]);
    }
    let mut case = file.case.clone();
    case.state = CaseState::WithCoach;
    case.body.halt = None;
    case.body.set_aside = false;
    let reason = Reason {
        id: "lifted".to_owned(),
        why: "the stop was lifted; your plan is wanted".to_owned(),
    };
    let promised = turn.now.checked_add(turn.known.rules.promise_coach).ok();
    // Anew, so that it is no longer an emergency: a put alone never lowers the urgency.
    turn.effects.queue.push(QueueChange::Remove {
        case_id: case.id.clone(),
    });
    turn.queue(&case, Urgency::Asked, vec![reason], promised);
    let text = turn.known.words.say("stop.lifted", &[]);
    tell(turn, &case, "lift", text, EntryKind::Reply);
    // What raised the stop is dealt with: the next set is read by itself, not together with it.
    case.body.parts.clear();
    case.body.report = SetReport::default();
    case.body.asked = 0;
    case.body.settled.clear();
    write(turn, case, "stop lifted by the coach");
    turn.known.words.say("coach.lifted", &[("number", &number)])
}

/// Done: out of the queue; a stopped case stays stopped. What the coach said is practised and asked about later; a case the
/// coach said nothing in is closed.
fn finish(turn: &mut Turn<'_>, file: &CaseFile) -> String {
    let number = file.case.number.to_string();
    if file.case.state == CaseState::Halted {
        return aside::set(turn, file);
    }
    if let Some((by, until)) = held_by_other(turn, file) {
        return say_held(turn, file, by, until);
    }
    let mut case = file.case.clone();
    let said = |entry: &&Entry| entry.kind == EntryKind::Coach;
    let spoke = file.entries.iter().filter(said).count() > questions(file);
    let promised = file.queue_item.as_ref().and_then(|item| item.promised);
    if !spoke && promised.is_some() && case.state == CaseState::WithCoach {
        return turn
            .known
            .words
            .say("coach.answer_first", &[("number", &number)]);
    }
    case.body.open_question = None;
    turn.effects.queue.push(QueueChange::Remove {
        case_id: case.id.clone(),
    });
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    if spoke && case.state.is_open() {
        case.state = CaseState::Practising;
        coached::finished(&mut case, file, turn.known.catalog, turn.now);
        let coach = std::mem::replace(
            &mut turn.lifter,
            file.lifter
                .clone()
                .unwrap_or_else(|| known_lifter(turn.event, turn.known)),
        );
        turn.zone = times::zone(turn.known.rules, turn.lifter.zone.as_deref());
        turn.date_follow_up(&case, None);
        turn.lifter = coach;
    } else if case.state.is_open() {
        case.state = CaseState::Mended;
    }
    write(turn, case, "finished by the coach");
    turn.known
        .words
        .say("coach.finished", &[("number", &number)])
}
