//! The lifter's own word: yes to the exact text, no, and taking it back at any time.

use super::eligible::bar;
use super::opening::{announcement, book, is_over, show};
use super::{alert, answer_in_private, button, named, withdrawn};
use crate::casework::Known;
use crate::casework::intake::lifter;
use crate::casework::turn::Turn;
use crate::record::{Challenge, ChallengeChange, ChallengeState, Effects, Event};
use jiff::Timestamp;

/// A button of a challenge was pressed.
pub(in crate::casework) fn pressed(
    event: &Event,
    choice_id: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let mut turn = Turn::new(event, known, now, lifter(event, known), effects);
    match button(choice_id) {
        Some((number, "yes")) => agree(&mut turn, number, true),
        Some((number, "no")) => agree(&mut turn, number, false),
        Some((number, cause)) => super::answering::by_button(&mut turn, number, cause),
        None => {}
    }
}

/// The lifter's yes or no to the text that was shown. Anybody else's changes nothing.
pub(super) fn agree(turn: &mut Turn<'_>, number: i64, yes: bool) {
    let words = turn.known.words;
    let said = number.to_string();
    let source = turn.event.key.source.clone();
    let own = named(turn.known, &source)
        .filter(|challenge| challenge.person.person_id == turn.event.actor.id);
    let Some(challenge) = own.cloned() else {
        let text = words.say("challenge.not_yours", &[("number", &said)]);
        return answer_in_private(turn, text);
    };
    if challenge.state != ChallengeState::Asked {
        let key = match challenge.state {
            ChallengeState::Withdrawn => "challenge.over",
            _ => "challenge.agreed_before",
        };
        return answer_in_private(turn, words.say(key, &[("number", &said)]));
    }
    if !yes {
        let (changes, _) = withdrawn(&challenge, "the lifter said no", words);
        turn.effects.challenges.extend(changes);
        let told = words.say("challenge.refused_alert", &[("number", &said)]);
        let told = alert(turn.known.rules, &challenge, "refused", told);
        turn.effects.outbox.extend(told);
        return answer_in_private(turn, words.say("challenge.refused", &[("number", &said)]));
    }
    if is_over(&challenge, turn.event.time) {
        return answer_in_private(turn, words.say("challenge.over", &[("number", &said)]));
    }
    // Much may have happened since the question: looked at afresh before a word is posted.
    let lift_book = book(turn.known.catalog, challenge.lift);
    let community = &turn.known.community;
    let file = community.file.as_ref();
    let barred = file.map(|file| {
        let others = &community.lifter_cases;
        bar(&file.case, Some(&turn.lifter), others, lift_book)
    });
    match barred {
        None => answer_in_private(turn, words.say("challenge.over", &[("number", &said)])),
        Some(Some(bar)) => {
            let (changes, _) = withdrawn(&challenge, bar.key(), words);
            turn.effects.challenges.extend(changes);
            let told = words.say("challenge.barred_alert", &[("number", &said)]);
            let told = alert(turn.known.rules, &challenge, "barred", told);
            turn.effects.outbox.extend(told);
            answer_in_private(turn, words.say("challenge.barred", &[("number", &said)]));
        }
        Some(None) => {
            let post = announcement(turn.known.catalog, &challenge);
            let mut open: Challenge = challenge;
            open.state = ChallengeState::Open;
            open.body.agreed_at = Some(turn.now);
            turn.effects
                .challenges
                .push(ChallengeChange::Write(Box::new(open.clone())));
            show(turn.effects, &open, post);
            let told = words.say("challenge.opened_alert", &[("number", &said)]);
            let told = alert(turn.known.rules, &open, "opened", told);
            turn.effects.outbox.extend(told);
            turn.keep_lifter();
            answer_in_private(turn, words.say("challenge.agreed", &[("number", &said)]));
        }
    }
}

/// The lifter takes back what is shown of a set of theirs.
pub(super) fn take_back(turn: &mut Turn<'_>, number: Option<i64>) {
    let words = turn.known.words;
    let wanted = |challenge: &&Challenge| {
        challenge.state != ChallengeState::Withdrawn
            && number.is_none_or(|number| number == challenge.number)
    };
    let Some(challenge) = turn.known.community.own.iter().find(wanted).cloned() else {
        let text = words.say("challenge.nothing_of_yours", &[]);
        return answer_in_private(turn, text);
    };
    let said = challenge.number.to_string();
    let (changes, note) = withdrawn(&challenge, "the lifter took it back", words);
    turn.effects.challenges.extend(changes);
    turn.effects.outbox.extend(note);
    let key = if challenge.state == ChallengeState::Asked {
        "challenge.refused_alert"
    } else {
        "challenge.taken_back_alert"
    };
    let told = words.say(
        key,
        &[
            ("number", &said),
            ("room", &crate::wording::escape(&challenge.room_id)),
        ],
    );
    turn.effects
        .outbox
        .extend(alert(turn.known.rules, &challenge, "taken-back", told));
    answer_in_private(
        turn,
        words.say("challenge.taken_back", &[("number", &said)]),
    );
}
