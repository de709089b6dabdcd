//! Words on health are kept with the lifter's explicit consent only (GDPR, Art. 9(2)(a)).
//!
//! Danger is answered first and always; the coach is told at once. What may not be kept is taken
//! out of everything that would be written: this is the last step of casework, so that no way
//! through it can forget to.

use super::turn::Turn;
use super::{Known, Role, outbox};
use crate::record::{
    Case, CaseState, ChoiceButton, ChoiceStyle, ConsentEntry, ConsentHow, ConsentStep, Effects,
    EntryKind, Event, FieldValue, HealthConsent, Keep, Lifter, Outgoing, Payload, QueueChange,
    Reason, Recipient, Wipe, hex,
};
use crate::wording::{Words, escape};
use cueline_core::catalog::Catalog;
use cueline_core::reading::{FlagLevel, Hints, Polarity, Reading, read};
use cueline_core::report::AgeBand;
use jiff::{SignedDuration, Timestamp};
use sha2::{Digest as _, Sha256};

/// Button: yes.
pub(super) const YES: &str = "health-consent:1";
/// Button: no.
pub(super) const NO: &str = "health-consent:2";
/// A question nobody answered is put again after this long, when there is new cause.
const ASK_AGAIN: SignedDuration = SignedDuration::from_hours(30 * 24);
/// Longest quote of a lifter in an alert, in code points.
const MOST_QUOTE: usize = 300;
/// The flag that is about age, not health.
const MINOR: &str = "minor";
/// Reasons for the queue that say nothing about health.
const PLAIN_REASONS: [&str; 7] = [
    "answered",
    "asked",
    "coach",
    "halted",
    "lifted",
    "no-answer",
    "taken-back",
];

/// Words on health may be kept. Under 18 a parent or guardian has to say so, to the coach, and the
/// lifter may still refuse.
pub(super) fn consented(lifter: &Lifter) -> bool {
    let step = lifter.profile.health.as_ref().map(|health| health.step);
    if is_minor(lifter) {
        let refused = matches!(step, Some(ConsentStep::No | ConsentStep::Withdrawn));
        return guardian_agrees(lifter) && !refused;
    }
    step == Some(ConsentStep::Yes)
}

/// Pictures and traces may be kept: the yes was given to a text that speaks of them.
pub(super) fn files_consented(lifter: &Lifter) -> bool {
    let health = lifter.profile.health.as_ref();
    let spoken_of = is_minor(lifter) || health.is_some_and(|health| health.pictures);
    consented(lifter) && spoken_of
}

pub(super) fn is_minor(lifter: &Lifter) -> bool {
    lifter.profile.age_band == Some(AgeBand::Under18)
}

/// A parent or guardian has said yes.
fn guardian_agrees(lifter: &Lifter) -> bool {
    let guardian = lifter.profile.guardian.as_ref();
    guardian.is_some_and(|guardian| guardian.agrees)
}

/// A sign that is a pain, in whatever lift.
fn is_pain(catalog: &Catalog, id: &str) -> bool {
    let mut books = catalog.lifts.values();
    books.any(|book| book.sign(id).is_some_and(|sign| sign.pain))
}

/// What was written says something about the lifter's health. A pain is read for the lift it is
/// said of; where none is said, for the one of the newest case.
pub(super) fn on_health(known: &Known<'_>, text: &str, reading: &Reading) -> bool {
    let newest = known.cases.first().and_then(|case| case.lift);
    let says = says_health(known.catalog, reading);
    if says || newest.is_none() || reading.fields.lift.is_some() {
        return says;
    }
    let hints = Hints {
        unit: None,
        lift: newest,
    };
    says_health(known.catalog, &read(text, known.catalog, hints))
}

/// A flag that is not about age alone, or a pain.
fn says_health(catalog: &Catalog, reading: &Reading) -> bool {
    let flagged = reading
        .flags
        .iter()
        .any(|flag| flag.flag != MINOR && flag.level > FlagLevel::None);
    flagged
        || reading
            .signs
            .iter()
            .any(|sign| sign.polarity == Polarity::Present && is_pain(catalog, &sign.sign))
}

/// A case this input has written to that says something about health: it is stopped, or the set
/// that came with the input raised a flag or named a pain.
fn case_on_health(case: &Case, event: &Event, catalog: &Catalog) -> bool {
    let new = case
        .body
        .rounds
        .last()
        .filter(|round| round.event_id == event.key.id);
    case.state == CaseState::Halted
        || new.is_some_and(|round| {
            round.flags.iter().any(|(flag, _)| flag != MINOR)
                || round.report.flags.iter().any(|flag| flag != MINOR)
                || round.present.iter().any(|sign| is_pain(catalog, sign))
        })
}

/// Without consent, takes what is about health out of everything that would be kept, sees that the
/// coach has the words once, and asks.
pub(super) fn guard(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let speaks = matches!(
        event.payload,
        Payload::Message { .. } | Payload::Form { .. } | Payload::Choice { .. }
    );
    if !speaks || effects.erase.is_some() || known.rules.role(event) == Role::Coach {
        return;
    }
    let catalog = known.catalog;
    let on_health = effects.on_health
        || effects
            .cases
            .iter()
            .any(|case| case_on_health(case, event, catalog));
    let lifter = effects
        .lifter
        .clone()
        .unwrap_or_else(|| super::intake::lifter(event, known));
    if !on_health || consented(&lifter) {
        return;
    }
    withhold(known, &lifter, effects);
    tell_coach_once(event, known, &lifter, effects);
    let stops = effects.cases.iter().any(|case| {
        let last = case.body.rounds.last();
        last.is_some_and(|round| round.event_id == event.key.id && round.level.stops())
    });
    // A stop is no moment for a question, and a private message could overtake the safety text.
    // It is put when the lifter next writes.
    if !stops {
        ask(event, known, now, lifter, effects);
    }
}

/// Takes it out.
fn withhold(known: &Known<'_>, lifter: &Lifter, effects: &mut Effects) {
    let words = known.words;
    effects.wipe = Some(Wipe::Words);
    for case in &mut effects.cases {
        strip(case, known.catalog);
    }
    for entry in &mut effects.entries {
        match entry.kind {
            EntryKind::Lifter => entry.text = words.say("privacy.withheld", &[]),
            EntryKind::Reply => entry.text = words.say("privacy.withheld_reply", &[]),
            EntryKind::Coach | EntryKind::Reminder | EntryKind::Change => {}
        }
    }
    let reason = withheld_reason(words, lifter);
    for change in &mut effects.queue {
        if let QueueChange::Put(item) = change {
            let before = item.reasons.len();
            item.reasons
                .retain(|reason| PLAIN_REASONS.contains(&reason.id.as_str()));
            if item.reasons.len() < before {
                item.reasons.insert(0, reason.clone());
            }
        }
    }
    for message in &mut effects.outbox {
        if message.keep.is_all() {
            message.keep = Keep::Frame;
        }
    }
}

/// What stands in the queue instead of the lifter's words.
fn withheld_reason(words: &Words, lifter: &Lifter) -> Reason {
    let key = if is_minor(lifter) {
        "privacy.withheld_minor"
    } else {
        "privacy.withheld_reason"
    };
    Reason {
        id: "health".to_owned(),
        why: words.say(key, &[]),
    }
}

/// Words and what they say about health go; figures, level and state stay.
fn strip(case: &mut Case, catalog: &Catalog) {
    case.body.drop_words();
    case.body.drop_flags(|sign| is_pain(catalog, sign));
    case.body.withheld = true;
}

/// The coach gets the words once, in a message that leaves nothing of them behind: without them
/// nobody could help. A stop tells the coach by itself.
fn tell_coach_once(event: &Event, known: &Known<'_>, lifter: &Lifter, effects: &mut Effects) {
    let told = effects
        .outbox
        .iter()
        .any(|message| message.purpose == crate::record::Purpose::Alert);
    let Some(case) = effects.cases.last() else {
        return;
    };
    let quote: String = said(event).chars().take(MOST_QUOTE).collect();
    if told || quote.trim().is_empty() {
        return;
    }
    let text = known.words.say(
        "coach.alert_withheld",
        &[
            ("number", &case.number.to_string()),
            ("name", &escape(&lifter.display_name)),
            ("text", &escape(&quote)),
        ],
    );
    let key = outbox::key(&event.key, "withheld");
    let source = &event.key.source;
    let alert = outbox::to_coach(known.rules, source, key, text, Some(&case.id));
    effects.outbox.extend(alert);
}

/// What the lifter wrote.
fn said(event: &Event) -> &str {
    match &event.payload {
        Payload::Message { text, .. } => text,
        Payload::Form { fields, .. } => match fields.get("words") {
            Some(FieldValue::Text(text)) => text,
            _ => "",
        },
        _ => "",
    }
}

/// The question as shown.
fn question(known: &Known<'_>) -> String {
    let rules = &known.rules.privacy;
    known.words.say(
        "privacy.consent_ask",
        &[
            ("days", &rules.words_days.to_string()),
            ("picture_days", &rules.pictures_days.to_string()),
            ("months", &rules.flags_months.to_string()),
        ],
    )
}

/// Which question it was: the start of its hash.
pub(super) fn version(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    hex(digest.get(..8).unwrap_or_default())
}

/// Asks, in private, unless it was asked not long ago or answered.
pub(super) fn ask(
    event: &Event,
    known: &Known<'_>,
    now: Timestamp,
    mut lifter: Lifter,
    effects: &mut Effects,
) {
    let due = match &lifter.profile.health {
        None => true,
        Some(health) => {
            health.step == ConsentStep::Asked && now.duration_since(health.at) >= ASK_AGAIN
        }
    };
    if !due || is_minor(&lifter) {
        return;
    }
    let text = question(known);
    let button = |choice_id: &str, label: &str, style| ChoiceButton {
        choice_id: choice_id.to_owned(),
        label: known.words.say(label, &[]),
        style,
    };
    effects.outbox.push(Outgoing {
        to: Recipient::PersonId(event.actor.id.clone()),
        thread_id: None,
        reply_to: None,
        choices: vec![
            button(YES, "privacy.consent_button_yes", ChoiceStyle::Confirm),
            button(NO, "privacy.consent_button_no", ChoiceStyle::Plain),
        ],
        ..outbox::reply(event, "consent", text.clone(), None)
    });
    let entry = step(
        event,
        now,
        &lifter,
        ConsentStep::Asked,
        ConsentHow::Cueline,
        &text,
    );
    note(&mut lifter, &entry);
    effects.consents.push(ConsentEntry {
        text: Some(text),
        ..entry
    });
    effects.lifter = Some(lifter);
}

fn step(
    event: &Event,
    at: Timestamp,
    lifter: &Lifter,
    step: ConsentStep,
    how: ConsentHow,
    text: &str,
) -> ConsentEntry {
    ConsentEntry {
        person: lifter.key.clone(),
        step,
        at,
        how,
        event_id: event.key.id.clone(),
        text_version: version(text),
        text: None,
        recorded_by: None,
    }
}

/// Notes a step with the lifter.
fn note(lifter: &mut Lifter, entry: &ConsentEntry) {
    lifter.profile.health = Some(HealthConsent {
        step: entry.step,
        at: entry.at,
        text_version: entry.text_version.clone(),
        pictures: true,
    });
}

/// The lifter's answer, or its taking back.
pub(super) fn answered(turn: &mut Turn<'_>, said: ConsentStep, how: ConsentHow) {
    let words = turn.known.words;
    if is_minor(&turn.lifter) && said == ConsentStep::Yes && !guardian_agrees(&turn.lifter) {
        turn.keep_lifter();
        turn.reply("first", words.say("privacy.consent_minor", &[]), None);
        return;
    }
    let had = consented(&turn.lifter);
    let text = question(turn.known);
    let entry = step(turn.event, turn.now, &turn.lifter, said, how, &text);
    note(&mut turn.lifter, &entry);
    turn.effects.consents.push(entry);
    turn.keep_lifter();
    let key = match said {
        ConsentStep::Yes => "privacy.consent_yes",
        ConsentStep::No if !had => "privacy.consent_no",
        _ => {
            let lifter = turn.lifter.clone();
            forget_words(turn, &lifter);
            "privacy.consent_back"
        }
    };
    turn.reply("first", words.say(key, &[]), None);
}

/// Every free text and file of the lifter goes, for any of them may be about health. What has been
/// asked to be kept anyway, figures, levels, states, stays.
pub(super) fn forget_words(turn: &mut Turn<'_>, lifter: &Lifter) {
    let reason = withheld_reason(turn.known.words, lifter);
    turn.effects.forget_words = Some((lifter.key.clone(), vec![reason]));
    let person = lifter.key.clone();
    let own = turn.known.cases.iter().filter(|case| case.person == person);
    for case in own {
        let mut case = case.clone();
        strip(&mut case, turn.known.catalog);
        turn.effects.cases.push(case);
    }
}
