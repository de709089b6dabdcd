//! Challenges: a case put to the community with the lifter's consent, answers, reveal, standing.
//!
//! Everything that is posted in the room has a key made from the challenge, so it is posted once,
//! whatever is repeated.

mod answering;
mod appeals;
mod closing;
mod consent;
mod eligible;
mod opening;
mod reveal;
mod speech;
mod standing;
mod strikes;
mod when;

pub use closing::{due, trouble};
pub use opening::hindrance;
pub use speech::{CommunityWord, MemberWord};
pub use standing::{Season, season};
pub use strikes::struck;

pub(super) use answering::member;
pub(super) use consent::pressed;
pub(super) use opening::open;
pub(super) use speech::{coach_word, member_word};
pub(super) use strikes::moderated;

use super::turn::Turn;
use super::works::WorkLog;
use super::{Known, Role, Rules, outbox, times};
use crate::record::{
    Case, CaseFile, Challenge, ChallengeAnswer, ChallengeChange, ChallengeState, CoachVerdict,
    Event, EventKey, Lifter, Outgoing, Payload, PersonKey, Purpose, QueueLine, Recipient,
    SeasonSum, Strike,
};
use crate::wording::{Words, community};
use cueline_core::reading::{FlagLevel, Reading};
use std::collections::BTreeMap;

/// What begins the id of a button of a challenge.
const BUTTON: &str = "ch";

/// What the house says about challenges.
#[derive(Clone, Debug, Default)]
pub struct ChallengeRules {
    /// Where challenges are posted: platform to room.
    pub rooms: BTreeMap<String, String>,
    /// Fewest marks for a place in the standing.
    pub least_entries: usize,
    /// How long a season is.
    pub season: Season,
}

/// What has to be loaded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CommunityNeed {
    /// Nothing.
    #[default]
    Nothing,
    /// Challenges of the platform that are going on.
    List,
    /// Challenges of the actor's own sets.
    Own,
    /// One challenge with its case and the actor's answer.
    One(i64),
    /// A new number, and what is known of the lifter of this case.
    Opening(i64),
    /// One challenge with its case and all answers.
    Answers(i64),
    /// The marks of the season.
    Standing,
    /// Strikes of who acted.
    OwnStrikes,
    /// Strikes of the member whom a coach names.
    Strikes,
    /// Strikes of the platform.
    AllStrikes,
    /// What became of corrections.
    Works,
    /// The same, with verdicts and the queue.
    Faults,
}

impl CommunityNeed {
    /// Strikes of one member have to be known.
    pub const fn asks_for_strikes(self) -> bool {
        matches!(self, Self::One(_) | Self::OwnStrikes | Self::Strikes)
    }
}

/// What is known of challenges when an input is decided on.
#[derive(Clone, Debug, Default)]
pub struct Community {
    /// The challenge that was named.
    pub challenge: Option<Challenge>,
    /// Its case.
    pub file: Option<CaseFile>,
    /// The coach's verdict on the set that is shown.
    pub verdict: Option<CoachVerdict>,
    /// All cases of its lifter.
    pub lifter_cases: Vec<Case>,
    /// The answer to it of the actor, or of the member whom a coach names.
    pub mine: Option<ChallengeAnswer>,
    /// Answers to it, in the order of the members' ids.
    pub answers: Vec<ChallengeAnswer>,
    /// Challenges going on.
    pub live: Vec<Challenge>,
    /// Challenges of the actor's own sets, or of the lifter whose case is to be opened.
    pub own: Vec<Challenge>,
    /// Marks of the season.
    pub season: Vec<SeasonSum>,
    /// A number for a challenge that may be opened.
    pub new_number: i64,
    /// What became of corrections.
    pub log: WorkLog,
    /// Verdicts of coaches, newest first.
    pub verdicts: Vec<CoachVerdict>,
    /// The queue.
    pub queue: Vec<QueueLine>,
    /// Strikes of the actor, of the member whom a coach names, or of everybody; newest first.
    pub strikes: Vec<Strike>,
    /// The member whom a coach names.
    pub member: Option<Lifter>,
    /// The case of another lifter that the actor answers in.
    pub beside: Option<Case>,
}

/// What an event needs.
pub(super) fn need(event: &Event, rules: &Rules) -> CommunityNeed {
    match &event.payload {
        Payload::Message { text, .. } | Payload::Order { text }
            if rules.role(event) == Role::Coach =>
        {
            match coach_word(text) {
                None => CommunityNeed::Nothing,
                Some(CommunityWord::List) => CommunityNeed::List,
                Some(CommunityWord::Open(case, _)) => CommunityNeed::Opening(case),
                Some(CommunityWord::Reveal(of, _)) => CommunityNeed::Answers(of),
                Some(
                    CommunityWord::Stop(of)
                    | CommunityWord::Settle(of, ..)
                    | CommunityWord::StrikeAnswer(of, _),
                ) => CommunityNeed::One(of),
                Some(
                    CommunityWord::Strike(..)
                    | CommunityWord::TakeBackStrike(_)
                    | CommunityWord::KeepStrike(_),
                ) => CommunityNeed::Strikes,
                Some(CommunityWord::Strikes) => CommunityNeed::AllStrikes,
                Some(CommunityWord::Standing) => CommunityNeed::Standing,
                Some(CommunityWord::Works(_) | CommunityWord::Compare(..)) => CommunityNeed::Works,
                Some(CommunityWord::Faults(_)) => CommunityNeed::Faults,
            }
        }
        Payload::Message { text, .. } => match member_word(text) {
            None if in_its_room(event, rules) => CommunityNeed::OwnStrikes,
            None | Some(MemberWord::Hide(_)) => CommunityNeed::Nothing,
            Some(MemberWord::Appeal(_) | MemberWord::Strikes) => CommunityNeed::OwnStrikes,
            Some(MemberWord::List) => CommunityNeed::List,
            Some(
                MemberWord::Answer(of, _)
                | MemberWord::MyAnswer(of)
                | MemberWord::WithdrawAnswer(of)
                | MemberWord::Consent(of, _),
            ) => CommunityNeed::One(of),
            Some(MemberWord::TakeBack(_)) => CommunityNeed::Own,
            Some(MemberWord::Standing) => CommunityNeed::Standing,
        },
        Payload::Choice { choice_id, .. } => {
            button(choice_id).map_or(CommunityNeed::Nothing, |(of, _)| CommunityNeed::One(of))
        }
        _ => CommunityNeed::Nothing,
    }
}

/// Written in the room that challenges are posted in.
fn in_its_room(event: &Event, rules: &Rules) -> bool {
    rules.challenges.rooms.get(&event.key.source) == Some(&event.room_id)
}

/// A word of technique where challenges are talked over ("keep the chest up"): signs, and neither a
/// lift nor a figure nor anything that worries. It is about the challenge, not a set of who wrote it.
pub(super) fn talked_over(event: &Event, known: &Known<'_>, reading: &Reading) -> bool {
    let fields = &reading.fields;
    in_its_room(event, known.rules)
        && reading.level == FlagLevel::None
        && fields.lift.is_none()
        && fields.load.is_none()
        && reading.bare_load.is_none()
        && fields.reps.is_none()
        && fields.missed.is_none()
}

/// Reads the id of a button of a challenge: its number, and what the button says.
pub(super) fn button(choice_id: &str) -> Option<(i64, &str)> {
    let rest = choice_id.strip_prefix(BUTTON)?.strip_prefix(':')?;
    let (number, what) = rest.split_once(':')?;
    Some((number.parse().ok()?, what))
}

/// The id of a button.
fn button_id(number: i64, what: &str) -> String {
    format!("{BUTTON}:{number}:{what}")
}

/// The cause that keys of a challenge's messages are made from.
fn cause(challenge: &Challenge) -> EventKey {
    EventKey {
        source: "cueline:challenge".to_owned(),
        id: challenge.id.clone(),
    }
}

/// Keys of everything that tells of the set itself.
fn posts(challenge: &Challenge) -> Vec<String> {
    ["ask", "copy", "announce", "closed", "reveal"]
        .iter()
        .map(|slot| outbox::key(&cause(challenge), slot))
        .collect()
}

/// A post in the room of the challenge. It counts as the lifter's, so that forgetting the lifter
/// finds it.
fn post(challenge: &Challenge, slot: &str, text: String) -> Outgoing {
    Outgoing {
        to: Recipient::RoomId(challenge.room_id.clone()),
        person_id: Some(challenge.person.person_id.clone()),
        ..outbox::private(&cause(challenge), slot, text, &challenge.person)
    }
}

/// An answer to a member, in private: what they answered is nobody else's business.
fn answer_in_private(turn: &mut Turn<'_>, text: String) {
    let message = outbox::private(&turn.event.key, "first", text, &turn.lifter.key);
    turn.effects.outbox.push(message);
}

/// The challenge that was named, if it is one of this platform.
fn named<'a>(known: &'a Known<'_>, source: &str) -> Option<&'a Challenge> {
    let challenge = known.community.challenge.as_ref();
    challenge.filter(|challenge| challenge.person.source == source)
}

/// A challenge that ends early: nothing of the set is shown any more, as far as that is ours.
fn withdrawn(
    challenge: &Challenge,
    why: &str,
    words: &Words,
) -> (Vec<ChallengeChange>, Option<Outgoing>) {
    let mut over = challenge.clone();
    let shown = !matches!(
        challenge.state,
        ChallengeState::Asked | ChallengeState::Withdrawn
    );
    over.state = ChallengeState::Withdrawn;
    over.run_at = None;
    over.body.text.clear();
    over.body.drawing = None;
    over.body.buttons.clear();
    why.clone_into(&mut over.body.over);
    let number = challenge.number.to_string();
    let changes = vec![
        ChallengeChange::Write(Box::new(over)),
        ChallengeChange::Empty {
            challenge: challenge.number,
            posts: posts(challenge),
        },
    ];
    let note = words.say("challenge.withdrawn_post", &[("number", &number)]);
    let note = shown.then(|| post(challenge, "withdrawn", note));
    (changes, note)
}

/// Tells the coaches of the challenge's platform.
fn alert(rules: &Rules, challenge: &Challenge, slot: &str, text: String) -> Option<Outgoing> {
    let key = outbox::key(&cause(challenge), slot);
    outbox::to_coach(rules, &challenge.person.source, key, text, None)
}

/// A coach's word that names no case.
pub(super) fn coach(turn: &mut Turn<'_>, word: &CommunityWord) -> String {
    let (words, catalog) = (turn.known.words, turn.known.catalog);
    let known = turn.known;
    match word {
        CommunityWord::List => list(turn, true),
        CommunityWord::Open(case, _) => {
            words.say("coach.no_case", &[("number", &case.to_string())])
        }
        CommunityWord::Reveal(of, said) => reveal::reveal(turn, *of, said),
        CommunityWord::Stop(of) => closing::stop(turn, *of),
        CommunityWord::Settle(of, member, counts) => closing::settle(turn, *of, member, *counts),
        CommunityWord::Strikes
        | CommunityWord::Strike(..)
        | CommunityWord::StrikeAnswer(..)
        | CommunityWord::TakeBackStrike(_)
        | CommunityWord::KeepStrike(_) => appeals::coach(turn, word),
        CommunityWord::Standing => standing::table(turn, None),
        CommunityWord::Works(of) => {
            let source = &turn.event.key.source;
            community::what_works(words, catalog, &known.community.log.of(source), of)
        }
        CommunityWord::Compare(one, other) => {
            let source = &turn.event.key.source;
            community::compared(words, catalog, &known.community.log.of(source), one, other)
        }
        CommunityWord::Faults(of) => {
            let zone = times::zone(known.rules, turn.lifter.zone.as_deref());
            let source = &turn.event.key.source;
            let mine = |key: &PersonKey| key.source == *source;
            let verdicts: Vec<&CoachVerdict> = known
                .community
                .verdicts
                .iter()
                .filter(|verdict| mine(&verdict.by))
                .collect();
            let longest = known
                .community
                .queue
                .iter()
                .filter(|line| mine(&line.case.person))
                .min_by_key(|line| line.item.since);
            let seen = known.community.log.seen_of(source);
            let today = times::today(&zone, turn.now);
            let overview = community::Overview {
                seen: &seen,
                verdicts: &verdicts,
                longest,
                today,
                now: turn.now,
            };
            community::common_faults(words, catalog, &overview, of)
        }
    }
}

/// Challenges going on; for a coach also those not posted yet.
fn list(turn: &Turn<'_>, all: bool) -> String {
    let shown: Vec<&Challenge> = turn
        .known
        .community
        .live
        .iter()
        .filter(|challenge| all || challenge.state == ChallengeState::Open)
        .collect();
    community::list(turn.known.words, &shown)
}

/// A purpose for what a coach set going.
const PURPOSE: Purpose = Purpose::Coach;
