//! Traces of the set under review: what came with its messages is handed to the core to be
//! measured, under the consent that holds for keeping it. Nothing here measures.

use super::progress::reopen;
use super::settle::{held, settle};
use super::turn::Turn;
use super::{Role, ask, consent, intake, several};
use crate::record::{Attachment, Case, CaseState, Drawing, Effects, KeptFile, Lifter, Purpose};
use crate::wording::{Words, measured_alt, trace_faults};
use cueline_core::assess::Assessment;
use cueline_core::motion::trace_of;
use cueline_core::picture::of_motion;
use cueline_core::report::Trace;
use jiff::SignedDuration;

/// A trace that comes by itself within this time after its set belongs to it; later it may be of
/// another one (our own choice).
const BELONGS_FOR: SignedDuration = SignedDuration::from_hours(72);

/// Files of this case may be kept, and so looked at.
pub(super) fn allowed(lifter: &Lifter, case: &Case) -> bool {
    case.body.for_whom.is_none() && consent::files_consented(lifter)
}

/// The traces of the set under review, the newest of each kind: those kept with it, and those the
/// event brings. None without the lifter's consent.
pub(super) fn of_set(turn: &Turn<'_>, case: &Case) -> Vec<Trace> {
    if !allowed(&turn.lifter, case) {
        return Vec::new();
    }
    let kept = turn.known.traces.iter().filter(|file| {
        let own = file.case_id == case.id && file.person == case.person;
        own && case.body.traces.contains(&file.id)
    });
    let mut all: Vec<Trace> = kept.filter_map(of_kept).collect();
    if turn.known.rules.role(turn.event) == Role::Lifter
        && intake::person(turn.event) == case.person
    {
        all.extend(turn.event.payload.files().iter().filter_map(arriving));
    }
    newest_of_each_kind(all)
}

/// A kept file as a trace.
pub(super) fn of_kept(file: &KeptFile) -> Option<Trace> {
    trace_of(&file.media_type, String::from_utf8(file.bytes()?).ok()?)
}

/// A file of the event as a trace, if it is one that may be kept.
fn arriving(file: &Attachment) -> Option<Trace> {
    if file.is_picture() || file.looked_at().is_err() {
        return None;
    }
    trace_of(&file.media_type, String::from_utf8(file.bytes()?).ok()?)
}

/// The last of each kind, in the order they came.
fn newest_of_each_kind(all: Vec<Trace>) -> Vec<Trace> {
    let mut newest: Vec<Trace> = Vec::new();
    for trace in all {
        newest.retain(|known| known.kind != trace.kind);
        newest.push(trace);
    }
    newest
}

/// A trace came with this event that is measured with the set the case has under review.
pub(super) fn belong(turn: &Turn<'_>, case: &Case) -> bool {
    let came = || {
        turn.event
            .payload
            .files()
            .iter()
            .any(|file| arriving(file).is_some())
    };
    let waits = several::is_open(case) || ask::waits(case);
    let reviewed = matches!(
        case.state,
        CaseState::Asking | CaseState::Practising | CaseState::WithCoach
    );
    let newest = case.body.rounds.last();
    let soon = newest.is_some_and(|round| turn.now.duration_since(round.at) <= BELONGS_FOR);
    reviewed && soon && !waits && allowed(&turn.lifter, case) && came()
}

/// Assesses the set under review again, now with its trace. Its words are in the history already.
pub(super) fn again(turn: &mut Turn<'_>, mut case: Case) {
    if case.body.open_question.is_some() {
        // What was asked and not answered is not used up: it is asked again if it still matters.
        case.body.asked = case.body.asked.saturating_sub(1);
    }
    reopen(&mut case);
    turn.rereads = true;
    if case.state == CaseState::WithCoach {
        held(turn, case);
    } else {
        settle(turn, case, Vec::new());
    }
}

/// The picture of what was measured, with the reply to this event.
pub(super) fn drawn(turn: &mut Turn<'_>, assessment: &Assessment) {
    let (Some(measured), Some(followed)) = (&assessment.measured, &assessment.followed) else {
        return;
    };
    let Some(svg) = of_motion(followed) else {
        return;
    };
    let to_lifter = |purpose: Purpose| purpose == Purpose::Reply;
    let mut sent = turn.effects.outbox.iter();
    let Some(reply) = sent.find(|message| to_lifter(message.purpose)) else {
        return;
    };
    let alt = measured_alt(turn.known.words, measured, &assessment.report);
    let key = reply.key.clone();
    turn.effects.drawings.insert(key, Drawing { svg, alt });
}

/// Notes what of the traces could not be read, to be told at the end.
pub(super) fn note_faults(turn: &mut Turn<'_>, assessment: &Assessment) {
    if let Some(measured) = &assessment.measured {
        turn.effects.trace_faults.clone_from(&measured.problems);
    }
}

/// What became of the traces that came with an event, in words.
pub(super) fn said(words: &Words, case: &Case, event_id: &str, effects: &Effects) -> Vec<String> {
    if !effects.trace_faults.is_empty() {
        return trace_faults(words, &effects.trace_faults);
    }
    let newest = case.body.rounds.last();
    let round = newest.filter(|round| round.event_id == event_id);
    let measured = round.and_then(|round| round.measured.as_ref());
    let key = match measured {
        None => "files.trace_kept",
        Some(measured) if measured.shows_anything() => "files.trace_measured",
        Some(_) => "files.trace_nothing",
    };
    vec![words.say(key, &[])]
}
