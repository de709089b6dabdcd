//! Members answer: in words or by a button, as often as they like before closing, and nobody else
//! sees it.

use super::{MemberWord, answer_in_private, appeals, consent, named, opening, standing, strikes};
use crate::casework::turn::Turn;
use crate::casework::{Role, outbox};
use crate::record::{
    AnswerState, Challenge, ChallengeAnswer, ChallengeChange, ChallengeState, Payload,
};
use crate::wording::{community, escape};
use cueline_core::challenge::{Answer, NamedCause, Spoken, spoken_answer, unsafe_advice};
use cueline_core::reading::{FlagLevel, Hints, read};

/// Most changes of one answer.
const MOST_EDITS: u32 = 30;
/// Longest quote of an answer to the coach, in code points.
const MOST_QUOTE: usize = 300;

/// A member's word.
pub(in crate::casework) fn member(turn: &mut Turn<'_>, word: MemberWord) {
    let words = turn.known.words;
    match word {
        MemberWord::List => {
            let text = super::list(turn, false);
            turn.keep_lifter();
            turn.reply("first", text, None);
        }
        MemberWord::Answer(number, text) => by_words(turn, number, &text),
        MemberWord::MyAnswer(number) => show(turn, number),
        MemberWord::WithdrawAnswer(number) => withdraw(turn, number),
        MemberWord::Consent(number, yes) => consent::agree(turn, number, yes),
        MemberWord::TakeBack(number) => consent::take_back(turn, number),
        MemberWord::Standing => {
            let own = turn.lifter.key.person_id.clone();
            let text = standing::table(turn, Some(&own));
            turn.reply("first", text, None);
        }
        MemberWord::Appeal(said) => appeals::appeal(turn, &said),
        MemberWord::Strikes => appeals::own(turn),
        MemberWord::Hide(hidden) => {
            let member = turn.lifter.key.clone();
            let change = ChallengeChange::Hide { member, hidden };
            turn.effects.challenges.push(change);
            turn.keep_lifter();
            let key = if hidden {
                "challenge.hidden"
            } else {
                "challenge.shown"
            };
            answer_in_private(turn, words.say(key, &[]));
        }
    }
}

/// The challenge, if this member may answer it now; else says why not.
fn answerable(turn: &mut Turn<'_>, number: i64) -> Option<Challenge> {
    let source = turn.event.key.source.clone();
    let challenge = named(turn.known, &source).cloned();
    // What was asked and not agreed to is nobody's business.
    let challenge = challenge.filter(|challenge| challenge.state != ChallengeState::Asked);
    let key = match &challenge {
        None => "challenge.none",
        // Whoever gives the verdict, or reads the held answers, does not compete with the others.
        Some(_) if turn.known.rules.role(turn.event) == Role::Coach => "challenge.coach_none",
        Some(challenge) if challenge.state == ChallengeState::Withdrawn => "challenge.over",
        Some(challenge)
            if challenge.state != ChallengeState::Open
                || opening::is_over(challenge, turn.event.time) =>
        {
            "challenge.late"
        }
        Some(challenge) if challenge.person == turn.lifter.key => "challenge.own_set",
        Some(_) => {
            let edits = turn
                .known
                .community
                .mine
                .as_ref()
                .map_or(0, |mine| mine.edits);
            if edits < MOST_EDITS {
                return challenge;
            }
            "challenge.enough"
        }
    };
    let closes = challenge.map_or_else(String::new, |challenge| challenge.body.closes);
    let number = number.to_string();
    let text = turn
        .known
        .words
        .say(key, &[("number", &number), ("closes", &closes)]);
    answer_in_private(turn, text);
    None
}

/// An answer in words.
fn by_words(turn: &mut Turn<'_>, number: i64, text: &str) {
    let words = turn.known.words;
    if refused(turn, text) {
        return;
    }
    let Some(challenge) = answerable(turn, number) else {
        return;
    };
    let said = number.to_string();
    if text.trim().is_empty() {
        let example = community::example(words, challenge.lift);
        let values = [("number", said.as_str()), ("example", example.as_str())];
        return answer_in_private(turn, words.say("challenge.how", &values));
    }
    let catalog = turn.known.catalog;
    let best = challenge.body.best_kg;
    let spoken = match spoken_answer(catalog, challenge.lift, text, best) {
        Ok(spoken) => spoken,
        Err(fault) => {
            let why = escape(&fault.to_string());
            let text = words.say("challenge.fault", &[("number", &said), ("why", &why)]);
            return answer_in_private(turn, text);
        }
    };
    if spoken.answer.causes.is_empty() {
        let unclear = community::unclear(words, catalog, challenge.lift, &spoken);
        let text = words.say(
            "challenge.no_cause",
            &[("number", &said), ("unclear", &unclear)],
        );
        return answer_in_private(turn, text);
    }
    keep(turn, &challenge, &spoken, text);
}

/// Advice that must not stand is taken out, late or in time; whose answers do not count is told so.
fn refused(turn: &mut Turn<'_>, text: &str) -> bool {
    let source = turn.event.key.source.clone();
    let challenge = named(turn.known, &source).cloned();
    let Some(challenge) = challenge.filter(|one| one.state != ChallengeState::Asked) else {
        return false;
    };
    let best = challenge.body.best_kg;
    let spoken = spoken_answer(turn.known.catalog, challenge.lift, text, best).ok();
    let answer = spoken.as_ref().map(|spoken| &spoken.answer);
    strikes::remove_answer(turn, &challenge, text, answer) || strikes::blocked(turn)
}

/// An answer by a button: that one cause; a cue and an exercise given before stay.
pub(super) fn by_button(turn: &mut Turn<'_>, number: i64, cause: &str) {
    if strikes::blocked(turn) {
        return;
    }
    let Some(challenge) = answerable(turn, number) else {
        return;
    };
    let known = opening::book(turn.known.catalog, challenge.lift)
        .is_some_and(|book| book.cause(cause).is_some());
    if !known || !challenge.body.buttons.iter().any(|button| button == cause) {
        return;
    }
    let before = turn.known.community.mine.as_ref();
    let before = before.filter(|mine| mine.state != AnswerState::Withdrawn);
    let answer = Answer {
        causes: vec![NamedCause {
            cause: cause.to_owned(),
            confidence: None,
        }],
        ..before.map(|mine| mine.answer.clone()).unwrap_or_default()
    };
    let cue = answer.cue.clone();
    let spoken = Spoken {
        answer,
        ..Spoken::default()
    };
    keep(turn, &challenge, &spoken, &cue);
}

/// Keeps an answer and says back what was understood; advice that may hurt is held.
fn keep(turn: &mut Turn<'_>, challenge: &Challenge, spoken: &Spoken, text: &str) {
    let words = turn.known.words;
    let catalog = turn.known.catalog;
    let number = challenge.number.to_string();
    // What has to be removed never comes here.
    let found = unsafe_advice(&catalog.advice, text, &spoken.answer, false);
    let mut why: Vec<String> = found.iter().map(|found| found.why.to_owned()).collect();
    let hints = Hints {
        unit: None,
        lift: Some(challenge.lift),
    };
    // Graver words never come here: they are a matter of the member's own safety.
    if read(text, catalog, hints).level == FlagLevel::Coach {
        why.push(words.say("challenge.held_flag", &[]));
    }
    let before = turn.known.community.mine.as_ref();
    let message_id = match &turn.event.payload {
        Payload::Message { message_id, .. } => Some(message_id.clone()),
        _ => before.and_then(|mine| mine.message_id.clone()),
    };
    let answer = ChallengeAnswer {
        challenge: challenge.number,
        member: turn.lifter.key.clone(),
        at: turn.now,
        edits: before.map_or(0, |mine| mine.edits + 1),
        state: if why.is_empty() {
            AnswerState::Taken
        } else {
            AnswerState::Held
        },
        message_id,
        why: why.join("; "),
        answer: spoken.answer.clone(),
        mark: None,
    };
    let understood = community::understood(words, catalog, challenge.lift, spoken);
    let key = if why.is_empty() {
        "challenge.taken"
    } else {
        "challenge.held"
    };
    let said = words.say(
        key,
        &[
            ("number", &number),
            ("answer", &understood),
            ("closes", &challenge.body.closes),
            ("why", &answer.why),
        ],
    );
    if !why.is_empty() {
        let quote: String = text.chars().take(MOST_QUOTE).collect();
        let told = words.say(
            "challenge.held_alert",
            &[
                ("number", &number),
                ("name", &escape(&turn.lifter.display_name)),
                ("member", &turn.lifter.key.person_id),
                ("why", &answer.why),
                ("text", &escape(&quote)),
            ],
        );
        let key = outbox::key(&turn.event.key, "held");
        let source = &turn.event.key.source;
        let alert = outbox::to_coach(turn.known.rules, source, key, told, None);
        // Forgetting the member finds it.
        turn.effects
            .outbox
            .extend(alert.map(|alert| crate::record::Outgoing {
                person_id: Some(turn.lifter.key.person_id.clone()),
                ..alert
            }));
    }
    turn.effects
        .challenges
        .push(ChallengeChange::Answer(answer));
    turn.keep_lifter();
    answer_in_private(turn, said);
}

/// The member's own answer, as understood, with its mark once there is one.
fn show(turn: &mut Turn<'_>, number: i64) {
    let words = turn.known.words;
    let said = number.to_string();
    let source = turn.event.key.source.clone();
    let mine = turn.known.community.mine.clone();
    let mine = mine.filter(|mine| mine.state != AnswerState::Withdrawn || mine.mark.is_some());
    let (Some(challenge), Some(mine)) = (named(turn.known, &source).cloned(), mine) else {
        let text = words.say("challenge.no_answer", &[("number", &said)]);
        return answer_in_private(turn, text);
    };
    let text = community::own_answer(words, turn.known.catalog, &challenge, &mine);
    answer_in_private(turn, text);
}

/// Takes the member's answer back, while it has no mark.
fn withdraw(turn: &mut Turn<'_>, number: i64) {
    let words = turn.known.words;
    let said = number.to_string();
    let mine = turn.known.community.mine.as_ref();
    let key = match mine {
        None => "challenge.no_answer",
        Some(mine) if mine.state == AnswerState::Withdrawn => "challenge.no_answer",
        Some(mine) if mine.mark.is_some() => "challenge.marked_already",
        Some(mine) => {
            let change = ChallengeChange::Settle {
                challenge: number,
                member: mine.member.clone(),
                state: AnswerState::Withdrawn,
            };
            turn.effects.challenges.push(change);
            "challenge.answer_withdrawn"
        }
    };
    answer_in_private(turn, words.say(key, &[("number", &said)]));
}
