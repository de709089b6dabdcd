//! The coach's desk: the link to sign in with, a second look at the set under review, the plan as
//! a draft, and what to mind before an answer goes out.

use super::coach::MOST_SAID;
use super::profile::history_of;
use super::traces::of_kept;
use super::turn::Turn;
use super::{Known, Rules, outbox, times};
use crate::record::{
    CaseFile, CaseState, Effects, Event, Outcome, Outgoing, Payload, PersonKey, SignInLink,
};
use crate::wording::{ReplyParts, Words, plan_text};
use cueline_core::assess::{Assessment, assess, draft};
use cueline_core::catalog::Catalog;
use cueline_core::load::{OverRail, over_rail};
use cueline_core::outcome::Verdict;
use cueline_core::quantity::Mass;
use cueline_core::reading::loads;
use cueline_core::report::{AgeBand, SetReport};
use jiff::{SignedDuration, Timestamp};

/// Where a link to sign in with leads, after the desk's address.
pub const ENTER: &str = "/desk/enter";
/// How long a link works.
pub const LINK_FOR: SignedDuration = SignedDuration::from_mins(10);
/// The span in which the links a coach asks for are counted.
pub const LINKS_COUNTED_FOR: SignedDuration = SignedDuration::from_mins(15);
/// Most links in that span.
const MOST_LINKS: i64 = 5;

/// A token made at the edge for a link that may be asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FreshLink {
    /// The token, random.
    pub token: String,
    /// SHA-256 of the token, hexadecimal.
    pub hash: String,
    /// Links this coach asked for lately.
    pub lately: i64,
}

/// The address a token is used at.
pub fn link(desk: &str, token: &str) -> String {
    format!("{desk}{ENTER}?key={token}")
}

/// Sends the coach a link, in private whatever room it was asked for in.
pub(super) fn send_link(turn: &mut Turn<'_>) {
    let known = turn.known;
    let text = match (&known.rules.desk_url, &known.fresh_link) {
        (None, _) => known.words.say("desk.off", &[]),
        (Some(_), Some(fresh)) if fresh.lately >= MOST_LINKS => {
            known.words.say("desk.too_many_links", &[])
        }
        (Some(desk), Some(fresh)) => {
            let expires_at = turn.now.checked_add(LINK_FOR).unwrap_or(turn.now);
            turn.effects.sign_in = Some(SignInLink {
                hash: fresh.hash.clone(),
                person: coach(turn.event),
                created_at: turn.now,
                expires_at,
            });
            let minutes = LINK_FOR.as_mins().to_string();
            let link = link(desk, &fresh.token);
            let values = [("link", link.as_str()), ("minutes", minutes.as_str())];
            known.words.say("desk.link", &values)
        }
        (Some(_), None) => return,
    };
    let message = outbox::in_private_to(turn.event, "desk", text);
    turn.effects.outbox.push(message);
}

/// The coach who acts.
fn coach(event: &Event) -> PersonKey {
    PersonKey {
        source: event.key.source.clone(),
        person_id: event.actor.id.clone(),
    }
}

/// The message with its link taken out, if it carries one: a link that was sent is kept nowhere.
pub fn without_link(message: &Outgoing, rules: &Rules) -> Option<Outgoing> {
    let head = link(rules.desk_url.as_ref()?, "");
    message.text.contains(&head).then(|| Outgoing {
        text: "(a link to the desk)".to_owned(),
        ..message.clone()
    })
}

/// Notes what came of an action at the desk.
pub(super) fn outcome(
    event: &Event,
    order: &str,
    known: &Known<'_>,
    text: String,
    effects: &mut Effects,
) {
    let own = |file: &&CaseFile| file.case.person.source == event.key.source;
    effects.outcome = Some(Outcome {
        person: coach(event),
        action_id: event.key.id.clone(),
        what: verb(order),
        case_id: known
            .named
            .as_ref()
            .filter(own)
            .map(|file| file.case.id.clone()),
        text,
    });
}

/// What the coach reads when an action could not be handled at all.
pub(super) fn trouble(event: &Event, words: &Words) -> Effects {
    let order = match &event.payload {
        Payload::Order { text } => text.as_str(),
        _ => "",
    };
    Effects {
        outcome: Some(Outcome {
            person: coach(event),
            action_id: event.key.id.clone(),
            what: verb(order),
            case_id: None,
            text: words.say("desk.trouble", &[]),
        }),
        ..Effects::default()
    }
}

/// The words of an order before its case.
fn verb(order: &str) -> String {
    let words: Vec<&str> = order
        .split_whitespace()
        .take_while(|word| word.parse::<i64>().is_err())
        .take(2)
        .collect();
    words.join(" ")
}

/// Assesses the newest set of a case once more, for what is not kept with it: the evidence for and
/// against each cause.
pub fn second_look(file: &CaseFile, catalog: &Catalog, rules: &Rules) -> Option<Assessment> {
    let mut case = file.case.clone();
    let round = case.body.rounds.pop()?;
    let profile = file.lifter.as_ref().map(|lifter| &lifter.profile);
    let zone = file
        .lifter
        .as_ref()
        .and_then(|lifter| lifter.zone.as_deref());
    let zone = times::zone(rules, zone);
    let texts: Vec<&str> = case
        .body
        .parts
        .iter()
        .map(|part| part.text.as_str())
        .collect();
    let words = texts.join("\n");
    let mut report = round.report;
    if words.trim().is_empty() {
        // The words are gone, what was taken from them is not.
        report.seen = round.present;
        report.not_seen = round.absent;
    } else {
        report.words = Some(words);
    }
    report.traces = file.files.iter().filter_map(of_kept).collect();
    let mut history = history_of(&case, &zone, profile.and_then(|profile| profile.unit));
    if let Some(before) = history.rounds.last_mut() {
        before.failed = round.outcome.is_some_and(Verdict::failed);
    }
    history.measured = round.measured;
    let today = times::today(&zone, round.at);
    Some(assess(catalog, &report, &history, &rules.diagnosis, today))
}

/// The bot's plan for the newest set as a draft of the coach's answer; none under a stop or when
/// nothing is chosen.
pub fn draft_answer(
    file: &CaseFile,
    catalog: &Catalog,
    words: &Words,
    rules: &Rules,
    now: Timestamp,
) -> Option<String> {
    if file.case.state == CaseState::Halted {
        return None;
    }
    let mut assessment = second_look(file, catalog, rules)?;
    let zone = file
        .lifter
        .as_ref()
        .and_then(|lifter| lifter.zone.as_deref());
    let zone = times::zone(rules, zone);
    let (plan, due) = draft(catalog, &assessment, times::today(&zone, now))?;
    assessment.plan = Some(plan);
    assessment.follow_up = due;
    let parts = ReplyParts {
        words,
        catalog,
        emergency_number: "",
        coach_by: None,
        progress: &[],
    };
    Some(plan_text(&assessment, &parts))
}

/// What to mind before an answer goes out. It holds nothing back: the coach decides.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftCheck {
    /// Loads named, each with the rail it is over, if any.
    pub loads: Vec<(Mass, Option<OverRail>)>,
    /// The case is stopped for safety.
    pub halted: bool,
    /// The lifter is under 18: the service gives no loads.
    pub minor: bool,
    /// Length in code points, and the most that can be sent.
    pub length: (usize, usize),
}

/// Looks through an answer before it goes out.
pub fn check_draft(file: &CaseFile, text: &str) -> DraftCheck {
    let round = file.case.body.rounds.last();
    let low_kg = round.and_then(|round| round.estimate_kg).map(|kg| kg.1);
    let report = round.map_or_else(SetReport::default, |round| round.report.clone());
    let age = report.age_band.or_else(|| {
        file.lifter
            .as_ref()
            .and_then(|lifter| lifter.profile.age_band)
    });
    DraftCheck {
        loads: loads(text)
            .into_iter()
            .map(|one| (one.load, over_rail(one.load.kg(), low_kg, &report)))
            .collect(),
        halted: file.case.state == CaseState::Halted,
        minor: age == Some(AgeBand::Under18),
        length: (text.trim().chars().count(), MOST_SAID),
    }
}
