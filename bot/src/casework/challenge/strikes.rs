//! Strikes: advice that has to be removed, what that means for the member, and the coach's last word.
//!
//! The catalog says what is removed at once (`advice.toml`); everything else that is doubtful is held
//! for the coach and brings no strike. A machine reads here, so each strike can be appealed against,
//! and a person decides.

use super::eligible::{Bar, bar};
use super::opening::{book, is_over};
use super::speech::{CommunityWord, coach_word};
use super::{answer_in_private, in_its_room};
use crate::casework::outbox;
use crate::casework::turn::Turn;
use crate::casework::{Role, Rules, times};
use crate::record::{
    AnswerState, Case, CaseState, Challenge, ChallengeAnswer, ChallengeChange, ChallengeState,
    Event, Outgoing, Payload, PersonKey, Strike, StrikeState, StrikeStep,
};
use crate::wording::{community, escape};
use cueline_core::catalog::Act;
use cueline_core::challenge::{Answer, Found, unsafe_advice};
use cueline_core::report::AgeBand;
use jiff::SignedDuration;

/// How long the second strike keeps answers from counting.
const WEEK: SignedDuration = SignedDuration::from_hours(7 * 24);
/// Longest quote of a member to the coach, in code points.
const MOST_QUOTE: usize = 300;

/// To whom advice is given, as far as it makes it worse.
#[derive(Clone, Copy, Debug, Default)]
struct To {
    /// Somebody under 18.
    minor: bool,
    /// Somebody with a stop or words on health.
    flagged: bool,
}

/// What was removed.
pub(super) struct Removed {
    /// Kind of advice that comes first.
    pub(super) rule: String,
    /// All reasons.
    pub(super) why: String,
    /// What is right instead.
    pub(super) note: String,
    /// What the coach is told beside it.
    pub(super) coach_note: String,
    /// It was said to somebody with a stop or words on health.
    pub(super) flagged: bool,
}

/// What of the things found has to be removed, if any.
fn removed(found: &[Found<'_>], flagged: bool) -> Option<Removed> {
    let found: Vec<&Found<'_>> = found.iter().filter(|one| one.act == Act::Remove).collect();
    let first = found.first()?;
    let of = |text: fn(&Found<'_>) -> String, joint: &str| {
        let texts = found.iter().map(|one| text(one));
        let texts: Vec<String> = texts.filter(|text| !text.is_empty()).collect();
        texts.join(joint)
    };
    Some(Removed {
        rule: first.rule.to_owned(),
        why: of(|one| one.why.to_owned(), "; "),
        note: of(|one| one.note.to_owned(), " "),
        coach_note: of(|one| one.coach_note.to_owned(), " "),
        flagged,
    })
}

/// The member whom a coach's word names, if it is such a word.
pub fn struck(event: &Event, rules: &Rules) -> Option<String> {
    let (Payload::Message { text, .. } | Payload::Order { text }) = &event.payload else {
        return None;
    };
    if rules.role(event) != Role::Coach {
        return None;
    }
    match coach_word(text)? {
        CommunityWord::Settle(_, member, _)
        | CommunityWord::StrikeAnswer(_, member)
        | CommunityWord::Strike(member, _)
        | CommunityWord::TakeBackStrike(member)
        | CommunityWord::KeepStrike(member) => Some(member),
        _ => None,
    }
}

/// Says that this member's answers do not count now, and how to appeal; false when they do count.
pub(super) fn blocked(turn: &mut Turn<'_>) -> bool {
    let strikes = &turn.known.community.strikes;
    let blocking = strikes.iter().filter(|strike| strike.blocks(turn.now));
    let Some(strike) = blocking.max_by_key(|strike| strike.step).cloned() else {
        return false;
    };
    let until = until(turn, &strike);
    let key = if strike.until.is_some() {
        "strike.blocked_week"
    } else {
        "strike.blocked_out"
    };
    let values = [("why", strike.why.as_str()), ("until", until.as_str())];
    let text = turn.known.words.say(key, &values);
    turn.keep_lifter();
    answer_in_private(turn, text);
    true
}

/// Until when a strike keeps answers from counting, in the house's zone; empty when that has no end.
pub(super) fn until(turn: &Turn<'_>, strike: &Strike) -> String {
    let zone = times::zone(turn.known.rules, None);
    strike
        .until
        .map(|until| community::closing_time(&zone, until))
        .unwrap_or_default()
}

/// What the member's next strike means.
fn next_step(strikes: &[Strike], least: StrikeStep) -> StrikeStep {
    let standing = strikes.iter().filter(|strike| strike.stands());
    let before = standing.map(|strike| strike.step).max();
    before
        .map_or(StrikeStep::Warning, StrikeStep::next)
        .max(least)
}

/// Takes an answer out that advises what must not stand, whatever state the challenge is in; false
/// when there is nothing to take out.
pub(super) fn remove_answer(
    turn: &mut Turn<'_>,
    challenge: &Challenge,
    text: &str,
    answer: Option<&Answer>,
) -> bool {
    let to = shown_lifter(turn, challenge);
    let rules = &turn.known.catalog.advice;
    let none = Answer::default();
    let found = unsafe_advice(rules, text, answer.unwrap_or(&none), to.minor);
    let Some(removed) = removed(&found, to.flagged) else {
        return false;
    };
    let open = challenge.state == ChallengeState::Open && !is_over(challenge, turn.event.time);
    let other = challenge.person != turn.lifter.key;
    let before = turn.known.community.mine.as_ref();
    let unmarked = before.is_none_or(|mine| mine.mark.is_none());
    if let Some(answer) = answer.filter(|answer| !answer.causes.is_empty())
        && open
        && other
        && unmarked
    {
        // Kept for the coach, who may let it count after an appeal.
        let kept = ChallengeAnswer {
            challenge: challenge.number,
            member: turn.lifter.key.clone(),
            at: turn.now,
            edits: before.map_or(0, |mine| mine.edits + 1),
            state: AnswerState::Withdrawn,
            message_id: outbox::message_id(turn.event),
            why: removed.why.clone(),
            answer: answer.clone(),
            mark: None,
        };
        turn.effects.challenges.push(ChallengeChange::Answer(kept));
    }
    take_out(turn, &removed, text, Some(challenge.number));
    true
}

/// Whose set a challenge shows, as they are now.
fn shown_lifter(turn: &Turn<'_>, challenge: &Challenge) -> To {
    let community = &turn.known.community;
    let Some(file) = &community.file else {
        return To::default();
    };
    let book = book(turn.known.catalog, challenge.lift);
    let barred = bar(
        &file.case,
        file.lifter.as_ref(),
        &community.lifter_cases,
        book,
    );
    To {
        minor: barred == Some(Bar::Minor),
        flagged: matches!(barred, Some(Bar::Halted | Bar::Health)),
    }
}

/// Looks at what a member says in the room of challenges, or in another lifter's case; true when it
/// had to be taken out. With words of danger in it only what is said in another lifter's case is looked
/// at: elsewhere somebody may well be telling of themselves.
pub(in crate::casework) fn moderated(turn: &mut Turn<'_>, text: &str, danger: bool) -> bool {
    let beside = turn.known.community.beside.as_ref();
    if beside.is_none() && (danger || !in_its_room(turn.event, turn.known.rules)) {
        return false;
    }
    let to = beside.map_or_else(To::default, case_of_another);
    let found = unsafe_advice(
        &turn.known.catalog.advice,
        text,
        &Answer::default(),
        to.minor,
    );
    let Some(removed) = removed(&found, to.flagged) else {
        return false;
    };
    take_out(turn, &removed, text, None);
    true
}

/// What is known of the lifter of a case.
fn case_of_another(case: &Case) -> To {
    let rounds = &case.body.rounds;
    let flag = |minor: bool| {
        let mut flags = rounds.iter().flat_map(|round| &round.flags);
        flags.any(|(flag, _)| (flag == "minor") == minor)
    };
    let young = |age: Option<AgeBand>| age == Some(AgeBand::Under18);
    To {
        minor: flag(true) || rounds.iter().any(|round| young(round.report.age_band)),
        flagged: case.state == CaseState::Halted
            || case.body.halt.is_some()
            || case.body.withheld
            || flag(false),
    }
}

/// The member is told, the advice is put right where it stands, the coach is told, the strike kept.
fn take_out(turn: &mut Turn<'_>, removed: &Removed, text: &str, challenge: Option<i64>) {
    let words = turn.known.words;
    let strikes = turn.known.community.strikes.clone();
    let cause_id = outbox::message_id(turn.event).unwrap_or_else(|| turn.event.key.id.clone());
    put_right(turn, removed, challenge);
    // With the lifter's row comes its version: two strikes at once cannot both be the first.
    turn.keep_lifter();
    if strikes.iter().any(|strike| strike.cause_id == cause_id) {
        // The same message, changed and still wrong: removed again, and no further strike.
        let values = [
            ("why", removed.why.as_str()),
            ("note", removed.note.as_str()),
        ];
        let still = words.say("strike.told_still", &values);
        tell_struck(turn, still);
        return;
    }
    let least = if removed.flagged {
        StrikeStep::Week
    } else {
        StrikeStep::Warning
    };
    let strike = new_strike(
        turn,
        turn.lifter.key.clone(),
        &strikes,
        least,
        removed,
        cause_id,
    );
    let strike = Strike {
        challenge,
        ..strike
    };
    let told = told(turn, &strike, &removed.note, removed.flagged);
    tell_struck(turn, told);
    let quote: String = text.chars().take(MOST_QUOTE).collect();
    let release = challenge.map_or_else(String::new, |number| {
        let values = [
            ("number", number.to_string()),
            ("member", turn.lifter.key.person_id.clone()),
        ];
        let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
        words.say("strike.alert_release", &values)
    });
    let said = words.say(
        "strike.alert",
        &[
            ("name", &escape(&turn.lifter.display_name)),
            ("member", &turn.lifter.key.person_id),
            ("why", &removed.why),
            ("text", &escape(&quote)),
            ("step", &step_name(turn, strike.step)),
            ("release", &release),
            ("note", &removed.coach_note),
        ],
    );
    tell_coach(turn, "struck", said);
    turn.effects
        .challenges
        .push(ChallengeChange::Strike(strike));
}

/// Tells a member of their strike, in private. A message of its own: an answer about the member's safety
/// may go out beside it.
fn tell_struck(turn: &mut Turn<'_>, text: String) {
    let message = outbox::private(&turn.event.key, "strike", text, &turn.lifter.key);
    turn.effects.outbox.push(message);
}

/// Puts the advice right where others read it: in the room of challenges, or in another lifter's case.
fn put_right(turn: &mut Turn<'_>, removed: &Removed, challenge: Option<i64>) {
    let seen = in_its_room(turn.event, turn.known.rules)
        || (challenge.is_none() && turn.known.community.beside.is_some());
    if !seen {
        return;
    }
    let values = [
        ("why", removed.why.as_str()),
        ("note", removed.note.as_str()),
    ];
    let text = turn.known.words.say("strike.note", &values);
    turn.effects.outbox.push(Outgoing {
        mentions: Vec::new(),
        notify: false,
        ..outbox::reply(turn.event, "put-right", text, None)
    });
}

/// A strike as it would be kept.
pub(super) fn new_strike(
    turn: &Turn<'_>,
    member: PersonKey,
    strikes: &[Strike],
    least: StrikeStep,
    removed: &Removed,
    cause_id: String,
) -> Strike {
    let step = next_step(strikes, least);
    Strike {
        member,
        cause_id,
        at: turn.now,
        step,
        until: (step == StrikeStep::Week)
            .then(|| turn.now.checked_add(WEEK).ok())
            .flatten(),
        rule: removed.rule.clone(),
        why: removed.why.clone(),
        challenge: None,
        given_by: None,
        state: StrikeState::Given,
    }
}

/// What the member is told of a strike.
pub(super) fn told(turn: &Turn<'_>, strike: &Strike, note: &str, flagged: bool) -> String {
    let words = turn.known.words;
    let key = match strike.step {
        StrikeStep::Warning => "strike.told_warning",
        StrikeStep::Week => "strike.told_week",
        StrikeStep::Out => "strike.told_out",
    };
    let flagged = if flagged {
        words.say("strike.flagged", &[])
    } else {
        String::new()
    };
    words.say(
        key,
        &[
            ("why", &strike.why),
            ("note", note),
            ("until", &until(turn, strike)),
            ("flagged", &flagged),
        ],
    )
}

/// A step by its name.
pub(super) fn step_name(turn: &Turn<'_>, step: StrikeStep) -> String {
    let key = match step {
        StrikeStep::Warning => "strike.step_warning",
        StrikeStep::Week => "strike.step_week",
        StrikeStep::Out => "strike.step_out",
    };
    turn.known.words.say(key, &[])
}

/// Tells the coaches something that quotes a member; forgetting the member finds it.
pub(super) fn tell_coach(turn: &mut Turn<'_>, slot: &str, text: String) {
    let key = outbox::key(&turn.event.key, slot);
    let source = &turn.event.key.source;
    let alert = outbox::to_coach(turn.known.rules, source, key, text, None);
    turn.effects.outbox.extend(alert.map(|alert| Outgoing {
        person_id: Some(turn.lifter.key.person_id.clone()),
        ..alert
    }));
}
