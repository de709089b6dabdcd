//! One input being worked on: what it gathers, and the small things every room of casework does.

use super::remind::LAPSE_AFTER;
use super::{Known, guardian, outbox, times};
use crate::record::{
    Case, CaseState, Effects, Entry, EntryKind, Event, FollowUp, FollowUpChange, FollowUpKind,
    Lifter, Part, Payload, Purpose, QueueChange, QueueItem, Reason, Urgency,
};
use crate::wording::Words;
use cueline_core::report::FieldError;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// One input being worked on.
pub(super) struct Turn<'a> {
    pub(super) event: &'a Event,
    pub(super) known: &'a Known<'a>,
    pub(super) now: Timestamp,
    pub(super) lifter: Lifter,
    pub(super) zone: TimeZone,
    pub(super) effects: &'a mut Effects,
    /// A question is answered, and no set is posted: whoever has hard times is not back by that.
    pub(super) answering: bool,
    /// The set is read again for a trace that came later: its words are in the history already.
    pub(super) rereads: bool,
}

/// How far the next look at a case is, when nobody says otherwise.
const LATER_DAYS: i64 = 14;
/// Longest quote of a lifter in an alert, in code points.
const MOST_QUOTE: usize = 300;

impl<'a> Turn<'a> {
    pub(super) fn new(
        event: &'a Event,
        known: &'a Known<'a>,
        now: Timestamp,
        lifter: Lifter,
        effects: &'a mut Effects,
    ) -> Self {
        let zone = times::zone(known.rules, lifter.zone.as_deref());
        Self {
            event,
            known,
            now,
            lifter,
            zone,
            effects,
            answering: false,
            rereads: false,
        }
    }

    /// The text of the message acted on.
    pub(super) fn text(&self) -> &str {
        match &self.event.payload {
            Payload::Message { text, .. } | Payload::Order { text } => text,
            _ => "",
        }
    }

    /// Sends a reply and keeps it in the case's history.
    pub(super) fn reply(&mut self, slot: &str, text: String, case: Option<&Case>) {
        if let Some(case) = case {
            self.answered(case, text.clone());
        }
        let message = outbox::reply(self.event, slot, text, case);
        self.effects.outbox.push(message);
    }

    /// Sends a reply with the open question's buttons.
    pub(super) fn reply_with_buttons(
        &mut self,
        slot: &str,
        text: String,
        case: &Case,
        purpose: Purpose,
    ) {
        self.answered(case, text.clone());
        let mut message = outbox::reply(self.event, slot, text, Some(case));
        message.purpose = purpose;
        if let Some(question) = &case.body.open_question {
            message.choices = outbox::buttons(question);
        }
        self.effects.outbox.push(message);
    }

    /// Says that the stop is still on.
    pub(super) fn say_halted(&mut self, case: &Case) {
        let number = self
            .known
            .rules
            .emergency_number(self.lifter.zone.as_deref());
        let why = halt_reason(case);
        let text = self.known.words.say(
            "stop.still",
            &[("why", &why), ("emergency_number", &number)],
        );
        self.reply("first", text, Some(case));
    }

    /// Tells the coaches.
    pub(super) fn alert(&mut self, slot: &str, text: String, case: Option<&Case>) {
        let key = outbox::key(&self.event.key, slot);
        let source = &self.event.key.source;
        let case_id = case.map(|case| case.id.as_str());
        let message = outbox::to_coach(self.known.rules, source, key, text, case_id);
        self.effects.outbox.extend(message);
    }

    /// Keeps our answer in the history. It goes with the message it quotes: taking that message
    /// back empties both.
    fn answered(&mut self, case: &Case, text: String) {
        let message_id = outbox::message_id(self.event);
        self.entry(case, EntryKind::Reply, "cueline", message_id, text);
    }

    /// Tells the coaches what a lifter under a stop writes: a clearance must not go unread.
    pub(super) fn tell_of_halted(&mut self, case: &Case, part: &Part) {
        let text: String = part.text.chars().take(MOST_QUOTE).collect();
        let alert = self.known.words.say(
            "coach.alert_halted",
            &[
                ("number", &case.number.to_string()),
                ("name", &crate::wording::escape(&self.lifter.display_name)),
                ("text", &crate::wording::escape(&text)),
            ],
        );
        self.alert("halted", alert, Some(case));
    }

    /// Adds to a case's history.
    pub(super) fn entry(
        &mut self,
        case: &Case,
        kind: EntryKind,
        who: &str,
        message_id: Option<String>,
        text: String,
    ) {
        self.effects.entries.push(Entry {
            case_id: case.id.clone(),
            at: self.now,
            kind,
            who: who.to_owned(),
            message_id,
            text,
        });
    }

    /// Keeps a lifter's words in the history.
    pub(super) fn note(&mut self, case: &Case, part: &Part) {
        let who = self.lifter.key.person_id.clone();
        self.entry(
            case,
            EntryKind::Lifter,
            &who,
            Some(part.message_id.clone()),
            part.text.clone(),
        );
    }

    /// Writes the lifter.
    pub(super) fn keep_lifter(&mut self) {
        self.effects.lifter = Some(self.lifter.clone());
    }

    /// Writes a case and its lifter, after something the lifter did.
    pub(super) fn keep(&mut self, mut case: Case) {
        super::aside::back(self, &mut case);
        case.updated_at = self.now;
        self.keep_lifter();
        self.effects.cases.push(case);
    }

    /// Puts a case before the coach.
    pub(super) fn queue(
        &mut self,
        case: &Case,
        urgency: Urgency,
        reasons: Vec<Reason>,
        promised: Option<Timestamp>,
    ) {
        self.effects.queue.push(QueueChange::Put(QueueItem {
            case_id: case.id.clone(),
            urgency,
            minutes: minutes(case, reasons.len()),
            reasons,
            since: self.now,
            promised,
            taken_by: None,
            taken_until: None,
        }));
    }

    /// Dates the ask to resubmit: on `due`, or in a fortnight, at the hour of the house.
    pub(super) fn date_follow_up(&mut self, case: &Case, due: Option<Date>) {
        if !self.lifter.reminders || self.lifter.left || guardian::refuses(&self.lifter) {
            return;
        }
        let rules = self.known.rules;
        let date = due.or_else(|| self.later_day());
        let Some(due_at) = date.and_then(|date| times::at(&self.zone, date, rules.follow_up_at))
        else {
            return;
        };
        // The cap is the case's: with no reminder left, only the lapse is dated.
        let spent = case.body.reminders >= rules.most_reminders;
        let due_at = if spent {
            due_at.checked_add(LAPSE_AFTER).unwrap_or(due_at)
        } else {
            due_at
        };
        self.follow_up(case, FollowUpKind::Resubmit, due_at);
    }

    /// The day of the next look at a case, when nobody says otherwise.
    pub(super) fn later_day(&self) -> Option<Date> {
        times::today(&self.zone, self.now)
            .checked_add(jiff::Span::new().days(LATER_DAYS))
            .ok()
    }

    /// Opens a dated ask.
    pub(super) fn follow_up(&mut self, case: &Case, kind: FollowUpKind, due_at: Timestamp) {
        self.effects.follow_ups.push(FollowUpChange::Open(FollowUp {
            id: outbox::key(&self.event.key, &format!("{}:{}", kind.word(), case.id)),
            case_id: case.id.clone(),
            person: case.person.clone(),
            kind,
            due_at,
            sent: case.body.reminders,
        }));
    }

    /// Whether another case of this lifter is stopped for safety.
    pub(super) fn halted_elsewhere(&self, case: &Case) -> Option<&Case> {
        self.known
            .cases
            .iter()
            .find(|other| other.id != case.id && other.state == CaseState::Halted)
    }
}

/// Minutes a case is likely to take the coach: more rounds and reasons, more to read.
fn minutes(case: &Case, reasons: usize) -> i64 {
    let more = case.body.rounds.len() + reasons;
    3 + i64::try_from(more).unwrap_or(10).min(10)
}

/// Why a case is stopped, in the lifter's own words where there are some.
pub(super) fn halt_reason(case: &Case) -> String {
    let quotes: Vec<String> = case
        .body
        .rounds
        .iter()
        .rev()
        .flat_map(|round| &round.flags)
        .filter(|(_, quote)| !quote.is_empty())
        .map(|(_, quote)| format!("you wrote \"{}\"", crate::wording::escape(quote)))
        .take(2)
        .collect();
    if quotes.is_empty() {
        "the coach or your report raised it".to_owned()
    } else {
        quotes.join(", ")
    }
}

/// One field that cannot be true, as a line for the lifter.
pub(super) fn problem_line(words: &Words, problem: &FieldError) -> String {
    words.say(
        "reply.problem",
        &[
            ("field", &crate::wording::escape(&problem.field)),
            ("found", &crate::wording::escape(&problem.found)),
            ("accepted", &problem.accepted),
        ],
    )
}
