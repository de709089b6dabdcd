//! Rows to records, once for both engines.

use super::engine::{Cell, Row};
use super::{Claim, DeadLetter, Leased, QueueLine, StoreError};
use crate::record::{
    Access, Case, CaseLine, CaseState, CoachVerdict, Entry, EntryKind, Event, EventKey, FollowUp,
    FollowUpKind, Lifter, MessageMark, Outgoing, PersonKey, QueueItem, SheetDrawn, SheetLine,
    Urgency,
};
use cueline_core::report::Lift;
use jiff::Timestamp;
use serde::de::DeserializeOwned;

pub(super) fn corrupt(column: &str, found: &str) -> StoreError {
    StoreError::Corrupt(format!("column {column}: {found}"))
}

/// Columns that hold JSON.
const BODIES: [&str; 3] = ["body", "profile", "reasons"];
/// Columns that hold a time and do not end in `_at`.
const TIMES: [&str; 5] = ["at", "since", "promised", "taken_until", "last_reminder"];

/// One value as told to the person it is about.
fn told(name: &str, cell: &Cell) -> serde_json::Value {
    match cell {
        Cell::Null => serde_json::Value::Null,
        Cell::Text(text) if BODIES.contains(&name) => {
            serde_json::from_str(text).unwrap_or_else(|_| text.clone().into())
        }
        Cell::Text(text) => text.clone().into(),
        Cell::Int(ms) if name.ends_with("_at") || TIMES.contains(&name) => {
            Timestamp::from_millisecond(*ms).map_or((*ms).into(), |at| at.to_string().into())
        }
        Cell::Int(number) => (*number).into(),
        Cell::Flag(flag) => (*flag).into(),
    }
}

/// Asks the platform to delete what stands in rooms, of rows with the body and the platform's id.
pub(super) fn unposting(rows: &[Row]) -> Result<Vec<Outgoing>, StoreError> {
    let mut all = Vec::new();
    for row in rows {
        let posted: Outgoing = row.json("body")?;
        all.extend(Outgoing::unposting(
            &posted,
            row.text("platform_message_id")?,
        ));
    }
    Ok(all)
}

impl Row {
    fn cell(&self, column: &str) -> Result<&Cell, StoreError> {
        self.columns
            .iter()
            .position(|name| name == column)
            .and_then(|index| self.cells.get(index))
            .ok_or_else(|| corrupt(column, "is missing"))
    }

    pub(super) fn maybe_text(&self, column: &str) -> Result<Option<String>, StoreError> {
        match self.cell(column)? {
            Cell::Text(text) => Ok(Some(text.clone())),
            Cell::Null => Ok(None),
            Cell::Int(_) | Cell::Flag(_) => Err(corrupt(column, "is not text")),
        }
    }

    pub(super) fn text(&self, column: &str) -> Result<String, StoreError> {
        self.maybe_text(column)?
            .ok_or_else(|| corrupt(column, "is empty"))
    }

    pub(super) fn maybe_int(&self, column: &str) -> Result<Option<i64>, StoreError> {
        match self.cell(column)? {
            Cell::Int(number) => Ok(Some(*number)),
            Cell::Null => Ok(None),
            Cell::Text(_) | Cell::Flag(_) => Err(corrupt(column, "is not a whole number")),
        }
    }

    pub(super) fn int(&self, column: &str) -> Result<i64, StoreError> {
        self.maybe_int(column)?
            .ok_or_else(|| corrupt(column, "is empty"))
    }

    pub(super) fn count(&self, column: &str) -> Result<u32, StoreError> {
        u32::try_from(self.int(column)?).map_err(|_| corrupt(column, "is out of range"))
    }

    pub(super) fn flag(&self, column: &str) -> Result<bool, StoreError> {
        match self.cell(column)? {
            Cell::Flag(flag) => Ok(*flag),
            Cell::Int(number) => Ok(*number != 0),
            Cell::Null | Cell::Text(_) => Err(corrupt(column, "is not a flag")),
        }
    }

    /// The row as told to the person it is about: bodies opened, times written out.
    pub(super) fn told(&self) -> serde_json::Value {
        let columns = self.columns.iter().zip(&self.cells);
        columns
            .map(|(name, cell)| (name.clone(), told(name, cell)))
            .collect()
    }

    pub(super) fn maybe_time(&self, column: &str) -> Result<Option<Timestamp>, StoreError> {
        self.maybe_int(column)?
            .map(|ms| {
                Timestamp::from_millisecond(ms).map_err(|_| corrupt(column, "is out of range"))
            })
            .transpose()
    }

    pub(super) fn time(&self, column: &str) -> Result<Timestamp, StoreError> {
        self.maybe_time(column)?
            .ok_or_else(|| corrupt(column, "is empty"))
    }

    pub(super) fn json<T: DeserializeOwned>(&self, column: &str) -> Result<T, StoreError> {
        serde_json::from_str(&self.text(column)?)
            .map_err(|error| corrupt(column, &error.to_string()))
    }

    pub(super) fn word<T>(
        &self,
        column: &str,
        from: impl Fn(&str) -> Option<T>,
    ) -> Result<T, StoreError> {
        let word = self.text(column)?;
        from(&word).ok_or_else(|| corrupt(column, &format!("{word:?} is not known")))
    }

    pub(super) fn person(&self) -> Result<PersonKey, StoreError> {
        Ok(PersonKey {
            source: self.text("source")?,
            person_id: self.text("person_id")?,
        })
    }

    pub(super) fn event_claim(&self) -> Result<Claim, StoreError> {
        Ok(Claim::Event {
            key: self.event_key()?,
            fence: self.int("fence")?,
        })
    }

    pub(super) fn leased_event(&self) -> Result<Leased<Event>, StoreError> {
        Ok(Leased {
            claim: self.event_claim()?,
            attempts: self.count("attempts")?,
            created_at: self.time("received_at")?,
            item: self.json("body")?,
        })
    }

    pub(super) fn event_key(&self) -> Result<EventKey, StoreError> {
        Ok(EventKey {
            source: self.text("source")?,
            id: self.text("id")?,
        })
    }

    pub(super) fn outgoing_claim(&self) -> Result<Claim, StoreError> {
        Ok(Claim::Outgoing {
            key: self.text("key")?,
            fence: self.int("fence")?,
        })
    }

    pub(super) fn leased_outgoing(&self) -> Result<Leased<Outgoing>, StoreError> {
        Ok(Leased {
            claim: self.outgoing_claim()?,
            attempts: self.count("attempts")?,
            created_at: self.time("created_at")?,
            item: self.json("body")?,
        })
    }

    pub(super) fn follow_up_claim(&self) -> Result<Claim, StoreError> {
        Ok(Claim::FollowUp {
            id: self.text("id")?,
            fence: self.int("fence")?,
        })
    }

    pub(super) fn leased_follow_up(&self) -> Result<Leased<FollowUp>, StoreError> {
        Ok(Leased {
            claim: self.follow_up_claim()?,
            attempts: self.count("attempts")?,
            created_at: self.time("created_at")?,
            item: FollowUp {
                id: self.text("id")?,
                case_id: self.text("case_id")?,
                person: self.person()?,
                kind: self.word("kind", FollowUpKind::from_word)?,
                due_at: self.time("due_at")?,
                sent: self.count("sent")?,
            },
        })
    }

    pub(super) fn lifter(&self) -> Result<Lifter, StoreError> {
        Ok(Lifter {
            key: self.person()?,
            display_name: self.text("display_name")?,
            zone: self.maybe_text("zone")?,
            reminders: self.flag("reminders")?,
            left: self.flag("has_left")?,
            last_reminder: self.maybe_time("last_reminder")?,
            profile: self.json("profile")?,
            version: self.int("version")?,
        })
    }

    pub(super) fn case(&self) -> Result<Case, StoreError> {
        let lift = match self.maybe_text("lift")? {
            None => None,
            Some(word) => Some(
                Lift::ALL
                    .into_iter()
                    .find(|lift| lift.word() == word)
                    .ok_or_else(|| corrupt("lift", &format!("{word:?} is not known")))?,
            ),
        };
        Ok(Case {
            id: self.text("id")?,
            number: self.int("number")?,
            person: self.person()?,
            room_id: self.text("room_id")?,
            thread_id: self.maybe_text("thread_id")?,
            lift,
            state: self.word("state", CaseState::from_word)?,
            opened_at: self.time("opened_at")?,
            updated_at: self.time("updated_at")?,
            version: self.int("version")?,
            body: self.json("body")?,
        })
    }

    pub(super) fn entry(&self) -> Result<Entry, StoreError> {
        Ok(Entry {
            case_id: self.text("case_id")?,
            at: self.time("at")?,
            kind: self.word("kind", EntryKind::from_word)?,
            who: self.text("who")?,
            message_id: self.maybe_text("message_id")?,
            text: self.text("text")?,
        })
    }

    pub(super) fn queue_item(&self) -> Result<QueueItem, StoreError> {
        let taken_by = match (
            self.maybe_text("taken_source")?,
            self.maybe_text("taken_person")?,
        ) {
            (Some(source), Some(person_id)) => Some(PersonKey { source, person_id }),
            _ => None,
        };
        Ok(QueueItem {
            case_id: self.text("case_id")?,
            urgency: Urgency::from_rank(self.int("urgency")?),
            reasons: self.json("reasons")?,
            since: self.time("since")?,
            promised: self.maybe_time("promised")?,
            minutes: self.int("minutes")?,
            taken_by,
            taken_until: self.maybe_time("taken_until")?,
        })
    }

    pub(super) fn queue_line(&self) -> Result<QueueLine, StoreError> {
        Ok(QueueLine {
            item: self.queue_item()?,
            case: self.case()?,
            lifter_name: self.lifter_name()?,
        })
    }

    /// The name last shown, or the platform's id of somebody not kept.
    fn lifter_name(&self) -> Result<String, StoreError> {
        match self.maybe_text("display_name")? {
            Some(name) => Ok(name),
            None => self.text("person_id"),
        }
    }

    pub(super) fn sheet_waiting(&self) -> Result<SheetLine, StoreError> {
        let queued = self.maybe_int("urgency")?.is_some();
        Ok(SheetLine {
            item: queued.then(|| self.queue_item()).transpose()?,
            carried_since: self.maybe_time("carried_since")?,
            ..self.sheet_answered()?
        })
    }

    pub(super) fn sheet_answered(&self) -> Result<SheetLine, StoreError> {
        let case = self.case()?;
        // Agreed to was the text of one set; a set that came after it nobody was asked about.
        let newest = case.body.rounds.last().map(|round| &round.event_id);
        let agreed = self.maybe_text("agreed_event")?;
        let of_newest = agreed.is_some() && agreed.as_ref() == newest;
        Ok(SheetLine {
            lifter_name: self.lifter_name()?,
            item: None,
            carried_since: None,
            consent: self.maybe_int("agreed_number")?.filter(|_| of_newest),
            case,
        })
    }

    pub(super) fn case_line(&self) -> Result<CaseLine, StoreError> {
        Ok(CaseLine {
            case: self.case()?,
            lifter_name: self.lifter_name()?,
        })
    }

    pub(super) fn access(&self) -> Result<Access, StoreError> {
        Ok(Access {
            at: self.time("at")?,
            person: self.person()?,
            what: self.text("what")?,
            case_id: self.maybe_text("case_id")?,
            number: self.maybe_int("number")?,
            action_id: self.maybe_text("action_id")?,
            outcome: self.maybe_text("outcome")?,
        })
    }

    pub(super) fn access_line(&self) -> Result<(i64, Access), StoreError> {
        Ok((self.int("seq")?, self.access()?))
    }

    /// A review sheet without its cases.
    pub(super) fn sheet(&self) -> Result<SheetDrawn, StoreError> {
        Ok(SheetDrawn {
            id: self.text("id")?,
            source: self.text("source")?,
            by: self.person()?,
            at: self.time("made_at")?,
            minutes: self.count("minutes")?,
            cases: Vec::new(),
        })
    }

    pub(super) fn mark(&self) -> Result<MessageMark, StoreError> {
        Ok(MessageMark {
            source: self.text("source")?,
            room_id: self.text("room_id")?,
            message_id: self.text("message_id")?,
            version: self.count("version")?,
            deleted: self.flag("deleted")?,
        })
    }

    pub(super) fn verdict(&self) -> Result<CoachVerdict, StoreError> {
        Ok(CoachVerdict {
            case_id: self.text("case_id")?,
            event_id: self.text("event_id")?,
            at: self.time("at")?,
            by: PersonKey {
                source: self.text("coach_source")?,
                person_id: self.text("coach_person")?,
            },
            edition: self.text("edition")?,
            judged: self.json("body")?,
        })
    }

    pub(super) fn dead_letter(&self) -> Result<DeadLetter, StoreError> {
        Ok(DeadLetter {
            message: self.json("body")?,
            last_error: self.maybe_text("last_error")?.unwrap_or_default(),
            died_at: self.time("finished_at")?,
        })
    }
}
