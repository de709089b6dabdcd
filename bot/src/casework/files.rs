//! Pictures and traces that came with a message: kept with its case for the coach's eye, under the
//! consent that holds for words on health, for a picture may show a body. Nothing is read out of
//! them. This step comes last but for consent, so that no way through casework keeps one besides.

use super::intake::lifter as known_lifter;
use super::matching::addressed;
use super::turn::Turn;
use super::{Known, Role, consent, outbox};
use crate::record::{
    Attachment, Case, CaseState, ConsentStep, Effects, EntryKind, Event, EventKey, KeptFile,
    Lifter, Part, Payload, Purpose, Unkept,
};
use crate::wording::{Words, escape};
use cueline_core::reading::{Hints, read};
use jiff::Timestamp;

/// A message that holds files and no words: they go with the case it is addressed to, or with the
/// only one that is open in this room. Elsewhere people show each other pictures, and are left alone.
pub(super) fn alone(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let Payload::Message {
        message_id,
        version: 1,
        ..
    } = &event.payload
    else {
        return;
    };
    if event.payload.files().is_empty() {
        return;
    }
    let mut turn = Turn::new(event, known, now, known_lifter(event, known), effects);
    let nothing = read("", known.catalog, Hints::default());
    let here = |case: &&Case| case.state.is_open() && case.room_id == event.room_id;
    let mut open = known.cases.iter().filter(here);
    let only = open.next().filter(|_| open.next().is_none());
    let Some(case) = addressed(event, known, &nothing).or(only).cloned() else {
        return;
    };
    let part = Part {
        message_id: message_id.clone(),
        text: known.words.say("files.without_words", &[]),
    };
    // Not the lifter's words, so it is not read as such; it goes with the message all the same.
    let who = turn.lifter.key.person_id.clone();
    let id = Some(part.message_id.clone());
    turn.entry(&case, EntryKind::Change, &who, id, part.text.clone());
    if super::traces::belong(&turn, &case) {
        super::traces::again(&mut turn, case);
        return;
    }
    if case.state == CaseState::Halted {
        turn.tell_of_halted(&case, &part);
        turn.say_halted(&case);
    }
    turn.keep(case);
}

/// Keeps what may be kept of the files that came with an event, and says what becomes of them.
pub(super) fn keep(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let files = event.payload.files();
    if files.is_empty() || effects.erase.is_some() || known.rules.role(event) == Role::Coach {
        return;
    }
    let lifter = effects
        .lifter
        .clone()
        .unwrap_or_else(|| known_lifter(event, known));
    let own = |case: &&Case| case.person == lifter.key;
    let Some(case) = effects.cases.iter().rev().find(own).cloned() else {
        return;
    };
    let allowed = super::traces::allowed(&lifter, &case);
    let mut said = Vec::new();
    if allowed {
        for file in files {
            match file.looked_at() {
                Ok(pixels) => effects
                    .files
                    .push(kept(event, &lifter, &case, file, pixels, now)),
                Err(why) => said.push(unkept(known.words, file, why)),
            }
        }
        attach(event, &case, effects);
        said.extend(what_is_kept(event, known, &case, effects));
    } else {
        said.push(not_allowed(known, &lifter, &case));
    }
    if case.state == CaseState::Halted {
        // A stop is answered with nothing else.
        return;
    }
    if !allowed && case.body.for_whom.is_none() && !asked_now(effects) {
        consent::ask(event, known, now, lifter, effects);
    }
    add(event, &case, &said, effects);
}

/// The traces that were measured with the set under review stay with it, for what is said of it later.
fn attach(event: &Event, case: &Case, effects: &mut Effects) {
    let newest = case.body.rounds.last();
    if newest.is_none_or(|round| round.event_id != event.key.id) {
        return;
    }
    let traces = effects.files.iter().filter(|file| !file.is_picture());
    let ids: Vec<String> = traces.map(|file| file.id.clone()).collect();
    let mut cases = effects.cases.iter_mut();
    if let Some(kept) = cases.find(|kept| kept.id == case.id) {
        for id in ids {
            if !kept.body.traces.contains(&id) {
                kept.body.traces.push(id);
            }
        }
    }
}

/// The question was put by this event already.
fn asked_now(effects: &Effects) -> bool {
    let mut steps = effects.consents.iter();
    steps.any(|entry| entry.step == ConsentStep::Asked)
}

/// A file as it is kept.
fn kept(
    event: &Event,
    lifter: &Lifter,
    case: &Case,
    file: &Attachment,
    pixels: Option<(u32, u32)>,
    now: Timestamp,
) -> KeptFile {
    let message_id = match &event.payload {
        Payload::Message { message_id, .. } => Some(message_id.clone()),
        Payload::Form { submission_id, .. } => Some(submission_id.clone()),
        _ => None,
    };
    // An edit of the message brings the same files again.
    let cause = EventKey {
        source: event.key.source.clone(),
        id: format!("{}\n{:?}", event.room_id, message_id),
    };
    let what = file.url.as_ref().unwrap_or(&file.sha256);
    KeptFile {
        id: outbox::key(&cause, what),
        case_id: case.id.clone(),
        person: lifter.key.clone(),
        message_id,
        at: now,
        name: file.name.clone(),
        media_type: file.media_type.clone(),
        size: file.size,
        sha256: file.sha256.clone(),
        pixels,
        content: file.data_base64.clone(),
        url: file.url.clone(),
    }
}

/// Why one is not kept, in words.
fn unkept(words: &Words, file: &Attachment, why: Unkept) -> String {
    let key = match why {
        Unkept::Unreadable => "files.unreadable",
        Unkept::TooManyPixels => "files.too_many_pixels",
        Unkept::Formulas => "files.formulas",
    };
    words.say(key, &[("name", &escape(&file.name))])
}

/// That pictures are for the coach, and what was made of traces.
fn what_is_kept(event: &Event, known: &Known<'_>, case: &Case, effects: &Effects) -> Vec<String> {
    let (words, files) = (known.words, &effects.files);
    let mut said = Vec::new();
    let unseen = known.rules.desk_url.is_none();
    if files.iter().any(|file| !file.is_picture()) {
        let links = files.iter().filter(|file| !file.is_picture());
        if links.clone().all(|file| file.url.is_some()) {
            said.push(words.say("files.trace_link", &[]));
        } else {
            said.extend(super::traces::said(words, case, &event.key.id, effects));
        }
    }
    let pictures = files.iter().any(KeptFile::is_picture);
    if pictures && unseen {
        // A chat shows the coach none of it: the lifter must not wait for an eye that sees nothing.
        said.push(words.say("files.kept_unseen", &[]));
    } else if pictures {
        said.push(words.say("files.picture_kept", &[]));
    }
    said
}

/// Why none of them is kept.
fn not_allowed(known: &Known<'_>, lifter: &Lifter, case: &Case) -> String {
    let days = known.rules.privacy.pictures_days.to_string();
    let key = if case.body.for_whom.is_some() {
        "files.not_own"
    } else if consent::is_minor(lifter) {
        "files.minor"
    } else if consent::consented(lifter) {
        "files.consent_wider"
    } else {
        "files.no_consent"
    };
    known.words.say(key, &[("days", &days)])
}

/// Adds to the reply, or replies.
fn add(event: &Event, case: &Case, said: &[String], effects: &mut Effects) {
    let mut replies = effects.outbox.iter_mut();
    let in_room = event.room_id.as_str();
    let reply = replies.find(|message| {
        let room = matches!(&message.to, crate::record::Recipient::RoomId(room) if room == in_room);
        message.purpose == Purpose::Reply && room
    });
    if let Some(reply) = reply {
        // The reply to the set may say already what is wrong with a trace.
        let more = said.iter().filter(|line| !reply.text.contains(*line));
        let lines: Vec<&str> = std::iter::once(&reply.text)
            .chain(more)
            .map(String::as_str)
            .collect();
        reply.text = outbox::cut(lines.join("\n"));
    } else {
        let reply = outbox::reply(event, "files", said.join("\n"), Some(case));
        effects.outbox.push(reply);
    }
}
