//! What comes due on a challenge: nobody agreed, the closing time, marks to send; and what a coach
//! ends or settles by hand.

use super::eligible::bar;
use super::opening::book;
use super::{alert, named, post, reveal, withdrawn};
use crate::casework::turn::Turn;
use crate::casework::{Known, Rules};
use crate::record::{AnswerState, Case, Challenge, ChallengeChange, ChallengeState, Effects};
use crate::wording::Words;
use jiff::Timestamp;

/// Decides what a challenge does that has something to do, from how everything stands now.
pub fn due(challenge: &Challenge, known: &Known<'_>, now: Timestamp) -> Effects {
    let mut effects = Effects::default();
    let number = challenge.number.to_string();
    let words = known.words;
    if challenge.state == ChallengeState::Revealed {
        reveal::marks(challenge, known, now, &mut effects);
        return effects;
    }
    if challenge.state.is_live()
        && let Some(why) = barred(challenge, known)
    {
        let (changes, note) = withdrawn(challenge, why, words);
        effects.challenges.extend(changes);
        effects.outbox.extend(note);
        let told = words.say("challenge.barred_alert", &[("number", &number)]);
        let told = alert(known.rules, challenge, "barred", told);
        effects.outbox.extend(told);
        return effects;
    }
    let mut next = challenge.clone();
    next.run_at = Some(challenge.closes_at).filter(|at| *at > now);
    match challenge.state {
        ChallengeState::Asked if next.run_at.is_none() => {
            let (changes, _) = withdrawn(challenge, "nobody agreed in time", words);
            effects.challenges.extend(changes);
            let told = words.say("challenge.no_consent_alert", &[("number", &number)]);
            let told = alert(known.rules, challenge, "no-consent", told);
            effects.outbox.extend(told);
            return effects;
        }
        ChallengeState::Open if next.run_at.is_none() => {
            next.state = ChallengeState::Closed;
            let said = words.say("challenge.closed_post", &[("number", &number)]);
            effects.outbox.push(post(challenge, "closed", said));
            let told = words.say("challenge.closed_alert", &[("number", &number)]);
            let told = alert(known.rules, challenge, "closed-alert", told);
            effects.outbox.extend(told);
        }
        ChallengeState::Closed | ChallengeState::Withdrawn => next.run_at = None,
        ChallengeState::Asked | ChallengeState::Open | ChallengeState::Revealed => {}
    }
    effects
        .challenges
        .push(ChallengeChange::Write(Box::new(next)));
    effects
}

/// What the coaches read of a challenge that could not be worked on, again and again.
pub fn trouble(challenge: &Challenge, words: &Words, rules: &Rules) -> Effects {
    let number = challenge.number.to_string();
    let told = words.say("challenge.trouble_alert", &[("number", &number)]);
    Effects {
        outbox: alert(rules, challenge, "trouble", told)
            .into_iter()
            .collect(),
        ..Effects::default()
    }
}

/// Why nothing of the set may be shown any more. A case that is gone takes its challenge with it.
pub(super) fn barred(challenge: &Challenge, known: &Known<'_>) -> Option<&'static str> {
    let file = known.community.file.as_ref()?;
    let others: &[Case] = &known.community.lifter_cases;
    let book = book(known.catalog, challenge.lift);
    bar(&file.case, file.lifter.as_ref(), others, book).map(super::eligible::Bar::key)
}

/// A coach stops a challenge.
pub(super) fn stop(turn: &mut Turn<'_>, number: i64) -> String {
    let words = turn.known.words;
    let said = number.to_string();
    let source = turn.event.key.source.clone();
    let Some(challenge) = named(turn.known, &source).cloned() else {
        return words.say("challenge.none", &[("number", &said)]);
    };
    if challenge.state == ChallengeState::Withdrawn {
        return words.say("challenge.over", &[("number", &said)]);
    }
    let (changes, note) = withdrawn(&challenge, "a coach stopped it", words);
    turn.effects.challenges.extend(changes);
    turn.effects.outbox.extend(note);
    words.say("challenge.stopped", &[("number", &said)])
}

/// A coach lets an answer count that was held or removed, or does not; its member is told.
pub(super) fn settle(turn: &mut Turn<'_>, number: i64, member: &str, counts: bool) -> String {
    let words = turn.known.words;
    let said = number.to_string();
    let source = turn.event.key.source.clone();
    let Some(challenge) = named(turn.known, &source).cloned() else {
        return words.say("challenge.none", &[("number", &said)]);
    };
    let shown = crate::wording::escape(member);
    let values = [("number", said.as_str()), ("member", shown.as_str())];
    let answer = turn.known.community.mine.as_ref();
    let answer = answer.filter(|answer| answer.member.person_id == member);
    let Some(answer) = answer.filter(|answer| answer.mark.is_none()).cloned() else {
        return words.say("challenge.nothing_to_settle", &values);
    };
    let (state, told, key) = if counts {
        let told = "challenge.released_told";
        (AnswerState::Taken, told, "challenge.released")
    } else {
        let told = "challenge.dropped_told";
        (AnswerState::Withdrawn, told, "challenge.dropped")
    };
    let why = if answer.why.is_empty() {
        words.say("strike.why_coach", &[])
    } else {
        answer.why.clone()
    };
    let told = words.say(told, &[("number", said.as_str()), ("why", why.as_str())]);
    super::appeals::tell_member(turn, "settled", told, &answer.member);
    turn.effects.challenges.push(ChallengeChange::Settle {
        challenge: number,
        member: answer.member.clone(),
        state,
    });
    if counts && challenge.state == ChallengeState::Revealed {
        // The pages of marks may have gone past it.
        reveal::told(&challenge, turn.known, &answer, turn.effects);
    }
    words.say(key, &values)
}
