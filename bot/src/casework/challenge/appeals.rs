//! Strikes looked at again: a member's appeal, and a coach's words about strikes.

use super::answer_in_private;
use super::speech::CommunityWord;
use super::strikes::{Removed, new_strike, step_name, tell_coach, told, until};
use crate::casework::outbox;
use crate::casework::times;
use crate::casework::turn::Turn;
use crate::record::{AnswerState, ChallengeChange, PersonKey, Strike, StrikeState, StrikeStep};
use crate::wording::{community, escape};

/// Longest quote of a member to the coach, in code points.
const MOST_QUOTE: usize = 300;

/// A member appeals against their newest strike.
pub(super) fn appeal(turn: &mut Turn<'_>, said: &str) {
    let words = turn.known.words;
    let strikes = &turn.known.community.strikes;
    let newest = strikes.iter().find(|strike| strike.stands()).cloned();
    let key = match newest.as_ref().map(|strike| strike.state) {
        None | Some(StrikeState::TakenBack) => "strike.appeal_none",
        Some(StrikeState::Appealed) => "strike.appeal_again",
        Some(StrikeState::Kept) => "strike.appeal_kept",
        Some(StrikeState::Given) => "strike.appeal_taken",
    };
    if let Some(strike) = newest.filter(|strike| strike.state == StrikeState::Given) {
        settle(turn, &strike, StrikeState::Appealed);
        let quote: String = said.chars().take(MOST_QUOTE).collect();
        let told = words.say(
            "strike.appeal_alert",
            &[
                ("name", &escape(&turn.lifter.display_name)),
                ("member", &strike.member.person_id),
                ("why", &strike.why),
                ("step", &step_name(turn, strike.step)),
                ("text", &escape(&quote)),
            ],
        );
        tell_coach(turn, "appeal", told);
    }
    turn.keep_lifter();
    answer_in_private(turn, words.say(key, &[]));
}

/// A member's own strikes.
pub(super) fn own(turn: &mut Turn<'_>) {
    let strikes: Vec<Strike> = turn.known.community.strikes.clone();
    let text = if strikes.iter().any(Strike::stands) {
        list(turn, &strikes)
    } else {
        turn.known.words.say("strike.none", &[])
    };
    turn.keep_lifter();
    answer_in_private(turn, text);
}

/// Strikes that stand, one a line.
fn list(turn: &Turn<'_>, strikes: &[Strike]) -> String {
    let words = turn.known.words;
    let zone = times::zone(turn.known.rules, None);
    let lines = strikes
        .iter()
        .filter(|strike| strike.stands())
        .map(|strike| {
            words.say(
                "strike.line",
                &[
                    ("member", &escape(&strike.member.person_id)),
                    ("step", &step_name(turn, strike.step)),
                    ("since", &community::closing_time(&zone, strike.at)),
                    ("why", &strike.why),
                    ("state", strike.state.word()),
                ],
            )
        });
    let mut told = vec![words.say("strike.list", &[])];
    told.extend(lines);
    told.join("\n")
}

/// Writes what becomes of a strike.
fn settle(turn: &mut Turn<'_>, strike: &Strike, state: StrikeState) {
    turn.effects.challenges.push(ChallengeChange::SettleStrike {
        member: strike.member.clone(),
        cause_id: strike.cause_id.clone(),
        state,
    });
}

/// A coach's word about strikes.
pub(super) fn coach(turn: &mut Turn<'_>, word: &CommunityWord) -> String {
    let words = turn.known.words;
    match word {
        CommunityWord::Strike(member, why) if why.is_empty() => {
            words.say("strike.why_wanted", &[("member", &escape(member))])
        }
        CommunityWord::Strike(member, why) => give(turn, member, why, None),
        CommunityWord::StrikeAnswer(number, member) => {
            let found = turn.known.community.mine.as_ref();
            let found = found.filter(|answer| answer.member.person_id == *member);
            let Some(answer) = found else {
                let number = number.to_string();
                return words.say(
                    "strike.no_answer",
                    &[("number", &number), ("member", &escape(member))],
                );
            };
            let why = if answer.why.is_empty() {
                words.say("strike.why_coach", &[])
            } else {
                answer.why.clone()
            };
            let settled = ChallengeChange::Settle {
                challenge: *number,
                member: answer.member.clone(),
                state: AnswerState::Withdrawn,
            };
            turn.effects.challenges.push(settled);
            give(turn, member, &why, Some(*number))
        }
        CommunityWord::TakeBackStrike(member) => decide_on(turn, member, StrikeState::TakenBack),
        CommunityWord::KeepStrike(member) => decide_on(turn, member, StrikeState::Kept),
        _ if turn.known.community.strikes.is_empty() => words.say("strike.list_empty", &[]),
        _ => list(turn, &turn.known.community.strikes),
    }
}

/// A coach gives a strike.
fn give(turn: &mut Turn<'_>, member: &str, why: &str, challenge: Option<i64>) -> String {
    let words = turn.known.words;
    let named = turn.known.community.member.as_ref();
    let named = named.filter(|lifter| lifter.key.person_id == member);
    let Some(lifter) = named.cloned() else {
        return words.say("strike.nobody", &[("member", &escape(member))]);
    };
    let removed = Removed {
        rule: "coach".to_owned(),
        why: escape(why),
        note: String::new(),
        coach_note: String::new(),
        flagged: false,
    };
    let strikes = turn.known.community.strikes.clone();
    let cause_id = turn.event.key.id.clone();
    let least = StrikeStep::Warning;
    let strike = Strike {
        challenge,
        given_by: Some(turn.event.actor.id.clone()),
        ..new_strike(
            turn,
            lifter.key.clone(),
            &strikes,
            least,
            &removed,
            cause_id,
        )
    };
    let said = told(turn, &strike, "", false);
    tell_member(turn, "strike", said, &lifter.key);
    let step = step_name(turn, strike.step);
    turn.effects
        .challenges
        .push(ChallengeChange::Strike(strike));
    words.say(
        "strike.given",
        &[
            ("name", &escape(&lifter.display_name)),
            ("member", &escape(member)),
            ("step", &step),
        ],
    )
}

/// A message to a member about what a coach decided, in private.
pub(super) fn tell_member(turn: &mut Turn<'_>, slot: &str, text: String, member: &PersonKey) {
    let message = outbox::private(&turn.event.key, slot, text, member);
    turn.effects.outbox.push(message);
}

/// The coach's last word on the newest strike of a member.
fn decide_on(turn: &mut Turn<'_>, member: &str, state: StrikeState) -> String {
    let words = turn.known.words;
    let strikes = &turn.known.community.strikes;
    let mut standing = strikes.iter().filter(|strike| strike.stands());
    let appealed = standing
        .clone()
        .find(|strike| strike.state == StrikeState::Appealed);
    let Some(strike) = appealed.or_else(|| standing.next()).cloned() else {
        return words.say("strike.none_of", &[("member", &escape(member))]);
    };
    settle(turn, &strike, state);
    let (to_member, to_coach) = if state == StrikeState::TakenBack {
        ("strike.taken_back", "strike.taken_back_coach")
    } else {
        ("strike.kept", "strike.kept_coach")
    };
    let said = words.say(
        to_member,
        &[("why", &strike.why), ("until", &until(turn, &strike))],
    );
    tell_member(turn, "strike", said, &strike.member);
    words.say(
        to_coach,
        &[
            ("member", &escape(member)),
            ("step", &step_name(turn, strike.step)),
        ],
    )
}
