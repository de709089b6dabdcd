//! Forgetting a lifter: asked back once, then everything goes, and what comes in late does nothing.

use super::intake::hints;
use super::turn::Turn;
use super::{Known, outbox};
use crate::record::{
    CaseState, ChoiceButton, ChoiceStyle, Effects, Erasure, Event, Keep, Outgoing, Payload,
    Purpose, Wipe,
};
use crate::wording::escape;
use cueline_core::reading::{FlagLevel, read};
use jiff::SignedDuration;

/// Button: yes, everything.
pub(super) const FORGET: &str = "forget-me:1";
/// Button: no.
pub(super) const KEEP: &str = "forget-me:2";

/// How long a plain word is taken for the answer.
const ANSWER_WITHIN: SignedDuration = SignedDuration::from_hours(1);

/// Asks back, once: this cannot be undone.
pub(super) fn ask(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    if turn.known.lifter.is_none() && turn.known.erased_at.is_some() {
        // There is nothing to lose any more.
        forget(turn);
        return;
    }
    let text = words.say("privacy.forget_ask", &[]);
    let mut message = outbox::reply(turn.event, "first", text, None);
    message.choices = vec![
        ChoiceButton {
            choice_id: FORGET.to_owned(),
            label: words.say("privacy.forget_yes", &[]),
            style: ChoiceStyle::Danger,
        },
        ChoiceButton {
            choice_id: KEEP.to_owned(),
            label: words.say("privacy.forget_no", &[]),
            style: ChoiceStyle::Plain,
        },
    ];
    turn.effects.outbox.push(message);
    if turn.known.lifter.is_some() {
        turn.lifter.profile.forget_asked = Some(turn.now);
        turn.keep_lifter();
    }
}

/// What is written next may answer that question, which is ours and no case's: a plain no leaves all as it
/// is, and a bare yes is not enough. True when it was taken.
pub(super) fn asked_back(turn: &mut Turn<'_>, text: &str) -> bool {
    let Some(asked) = turn.lifter.profile.forget_asked.take() else {
        return false;
    };
    turn.keep_lifter();
    if turn.now.duration_since(asked) > ANSWER_WITHIN {
        return false;
    }
    let said = text.to_lowercase();
    let said = said.trim_matches(|c: char| !c.is_alphanumeric());
    match said {
        "no" | "nope" | "no thanks" | "no thank you" | "no dont" | "no, don't" | "cancel"
        | "don't" | "never mind" | "nevermind" | "keep it" | "keep everything" => {
            kept(turn);
            true
        }
        "yes" | "yes please" | "yep" | "sure" | "do it" => {
            ask(turn);
            true
        }
        _ => false,
    }
}

/// The lifter thought better of it.
pub(super) fn kept(turn: &mut Turn<'_>) {
    let text = turn.known.words.say("privacy.forget_kept", &[]);
    turn.reply("first", text, None);
}

/// Everything goes. The last word goes out yet, and leaves nothing behind. Of a stop the coach
/// learns that its case is gone, and nothing else.
pub(super) fn forget(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let stopped: Vec<String> = turn
        .known
        .cases
        .iter()
        .filter(|case| case.state == CaseState::Halted)
        .map(|case| case.number.to_string())
        .collect();
    let person = turn.lifter.key.clone();
    let mut farewell = outbox::reply(
        turn.event,
        "first",
        words.say("privacy.forgotten", &[]),
        None,
    );
    farewell.keep = Keep::Nothing;
    // What this input did until now is dropped too: nothing of it is kept.
    *turn.effects = Effects {
        erase: Some(Erasure {
            person,
            // By the sender's clock, as the times of late events are; never ahead of ours.
            erased_at: turn.event.time.min(turn.now),
        }),
        outbox: vec![farewell],
        ..Effects::default()
    };
    if !stopped.is_empty() {
        let text = words.say("coach.alert_forgotten", &[("numbers", &stopped.join(", "))]);
        let key = outbox::key(&turn.event.key, "forgotten");
        let source = &turn.event.key.source;
        let alert = outbox::to_coach(turn.known.rules, source, key, text, None);
        turn.effects.outbox.extend(alert);
    }
}

/// Whether an event of a forgotten lifter was written after that, by the lifter.
pub(super) fn writes_anew(event: &Event, known: &Known<'_>) -> bool {
    let writes = matches!(
        event.payload,
        Payload::Message { .. } | Payload::Form { .. }
    );
    let since = known.erased_at.is_none_or(|at| event.time > at);
    known.erased_at.is_none() || (since && (writes || known.lifter.is_some()))
}

/// What comes in late from before: nothing of it is kept. Words of danger are answered all the
/// same, and the coach is told.
pub(super) fn late(event: &Event, known: &Known<'_>) -> Effects {
    let mut effects = Effects {
        wipe: Some(Wipe::Person),
        ..Effects::default()
    };
    let Payload::Message { text, .. } = &event.payload else {
        return effects;
    };
    let lifter = super::intake::lifter(event, known);
    let key = match read(text, known.catalog, hints(&lifter, None)).level {
        FlagLevel::Emergency => "stop.emergency",
        FlagLevel::Clinician => "stop.clinician",
        _ => return effects,
    };
    let number = known.rules.emergency_number(None);
    let said = format!(
        "{}\n{}",
        known.words.say(key, &[]),
        known
            .words
            .say("privacy.ring", &[("emergency_number", &number)])
    );
    effects.outbox.push(Outgoing {
        keep: Keep::Nothing,
        ..outbox::reply(event, "first", said, None)
    });
    let quote: String = text.chars().take(300).collect();
    let alert = known.words.say(
        "coach.alert_late",
        &[
            ("name", &escape(&event.actor.display_name)),
            ("text", &escape(&quote)),
        ],
    );
    let slot = outbox::key(&event.key, "alert");
    let alert = outbox::to_coach(known.rules, &event.key.source, slot, alert, None);
    effects.outbox.extend(alert.map(|alert| Outgoing {
        keep: Keep::Nothing,
        ..alert
    }));
    effects
}

/// A forgotten lifter who writes again is told that they start anew. Mere talk does not make
/// anybody a lifter again.
pub(super) fn told_anew(event: &Event, known: &Known<'_>, effects: &mut Effects) {
    if known.erased_at.is_none() || known.lifter.is_some() || effects.erase.is_some() {
        return;
    }
    if effects.lifter.is_none() {
        effects.wipe = Some(Wipe::Person);
        effects.marks.clear();
        for message in &mut effects.outbox {
            message.keep = Keep::Nothing;
        }
        return;
    }
    let note = known.words.say("privacy.anew", &[]);
    let own = |message: &&mut Outgoing| {
        message.purpose == Purpose::Reply && message.person_id.as_ref() == Some(&event.actor.id)
    };
    if let Some(reply) = effects.outbox.iter_mut().find(own) {
        // Behind what was said: a stop comes first.
        reply.text = outbox::cut(format!("{}\n{note}", reply.text));
    }
}
