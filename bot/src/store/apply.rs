//! Writes everything one input changes, with the input's mark as done, in one transaction.

use super::engine::{Claims, Engine, Fault, Statement, Unit, Value, binds, sql};
use super::{Claim, StoreError, files, forget};
use crate::record::{
    Access, Case, CaseState, CoachVerdict, Effects, Entry, Event, FollowUp, FollowUpChange, Keep,
    Lifter, MessageMark, Outcome, Outgoing, Payload, Purpose, QueueChange, QueueItem, Recipient,
    SheetDrawn, Withdraw,
};
use jiff::Timestamp;
use serde::Serialize;

/// See `Store::apply`.
pub(super) async fn apply(
    engine: &dyn Engine,
    claim: &Claim,
    effects: &Effects,
    now: Timestamp,
) -> Result<(), StoreError> {
    match attempt(engine, claim, effects, now).await {
        Err(fault) if fault.again => Ok(attempt(engine, claim, effects, now).await?),
        outcome => Ok(outcome?),
    }
}

async fn attempt(
    engine: &dyn Engine,
    claim: &Claim,
    effects: &Effects,
    now: Timestamp,
) -> Result<(), Fault> {
    let mut unit = engine.begin().await?;
    let mut write = Write {
        unit: unit.as_mut(),
        claims: engine.claims(),
        now,
    };
    write.finish(claim).await?;
    write.effects(claim, effects).await?;
    unit.commit().await
}

/// A transaction under way.
pub(super) struct Write<'a> {
    pub(super) unit: &'a mut dyn Unit,
    /// What the engine words its own way.
    pub(super) claims: &'static Claims,
    now: Timestamp,
}

impl Write<'_> {
    pub(super) async fn run(
        &mut self,
        statement: Statement,
        values: Vec<Value>,
    ) -> Result<u64, Fault> {
        self.unit.execute(statement, values).await
    }

    /// Marks the input done. A message of the outbox is only checked: how its sending ended is
    /// written by `mark_sent`, `retry_at` or `give_up`.
    async fn finish(&mut self, claim: &Claim) -> Result<(), Fault> {
        let now = self.now;
        let held = match claim {
            Claim::Event { key, fence } => {
                let values = binds![&key.source, &key.id, *fence, now];
                self.run(sql!("inbox_finish"), values).await? == 1
            }
            Claim::FollowUp { id, fence } => {
                self.run(sql!("follow_ups_finish"), binds![id, *fence, now])
                    .await?
                    == 1
            }
            Claim::Challenge { number, fence } => {
                self.run(sql!("challenges_finish"), binds![*number, *fence])
                    .await?
                    == 1
            }
            Claim::Outgoing { key, fence } => {
                let rows = self.unit.fetch(sql!("outbox_fence"), binds![key]).await?;
                let found = rows.first().map(|row| row.int("fence")).transpose()?;
                found == Some(*fence)
            }
        };
        if held {
            Ok(())
        } else {
            Err(super::claim::stale(claim).into())
        }
    }

    async fn effects(&mut self, claim: &Claim, effects: &Effects) -> Result<(), Fault> {
        self.forgets(claim, effects).await?;
        // First, so that an edit empties what was written before and not its own new entry.
        for (source, room_id, message_id) in &effects.forget_texts {
            self.forget(source, room_id, message_id).await?;
        }
        if let Some(lifter) = &effects.lifter {
            self.lifter(lifter).await?;
        }
        for case in &effects.cases {
            self.case(case).await?;
        }
        for entry in &effects.entries {
            self.entry(entry).await?;
        }
        files::keep(self.unit, &effects.files).await?;
        for change in &effects.queue {
            self.queue(change).await?;
        }
        for change in &effects.follow_ups {
            self.follow_up(change).await?;
        }
        for withdraw in &effects.withdraw {
            self.withdraw(withdraw).await?;
        }
        self.challenges(&effects.challenges).await?;
        self.outgoing(&effects.outbox).await?;
        for mark in &effects.marks {
            self.mark(mark).await?;
        }
        for verdict in &effects.verdicts {
            self.verdict(verdict).await?;
        }
        for key in &effects.revive {
            self.run(sql!("outbox_revive"), binds![key, self.now])
                .await?;
        }
        if let Some(sheet) = &effects.sheet {
            self.sheet(sheet).await?;
        }
        if let Some(link) = &effects.sign_in {
            self.run(sql!("sign_in_void"), super::desk_database::void(link))
                .await?;
            self.run(sql!("sign_in_put"), super::desk_database::put(link))
                .await?;
        }
        if let Some(outcome) = &effects.outcome {
            self.outcome(outcome).await?;
        }
        Ok(())
    }

    async fn sheet(&mut self, sheet: &SheetDrawn) -> Result<(), Fault> {
        let values = binds![
            &sheet.id,
            &sheet.source,
            &sheet.by.person_id,
            sheet.at,
            sheet.minutes,
        ];
        if self.run(sql!("sheet_insert"), values).await? == 0 {
            return Ok(());
        }
        for (place, case) in (1_i64..).zip(&sheet.cases) {
            let values = binds![&sheet.id, case, place, sheet.at];
            self.run(sql!("sheet_case_insert"), values).await?;
        }
        Ok(())
    }

    /// What goes, before anything is written; and the log of consents.
    async fn forgets(&mut self, claim: &Claim, effects: &Effects) -> Result<(), Fault> {
        if let Some(erasure) = &effects.erase {
            let unposting = self.posted_of(&erasure.person).await?;
            forget::erase(self.unit, &erasure.person, erasure.erased_at).await?;
            self.outgoing(&unposting).await?;
        }
        if let Some((person, reasons)) = &effects.forget_words {
            forget::forget_words(self.unit, person, reasons).await?;
        }
        if let (Some(wipe), Claim::Event { key, .. }) = (effects.wipe, claim) {
            forget::wipe(self.unit, wipe, key).await?;
        }
        for entry in &effects.consents {
            let values = binds![
                &entry.person.source,
                &entry.person.person_id,
                entry.step.word(),
                entry.at,
                entry.how.word(),
                &entry.event_id,
                &entry.text_version,
                &entry.text,
                &entry.recorded_by,
            ];
            self.run(sql!("consent_put"), values).await?;
        }
        for link in &effects.data_links {
            let person = binds![&link.person.source, &link.person.person_id];
            self.run(sql!("erase_links"), person).await?;
            let values = binds![
                &link.token_hash,
                &link.person.source,
                &link.person.person_id,
                self.now,
                link.expires_at,
                link.uses,
            ];
            self.run(sql!("link_put"), values).await?;
        }
        Ok(())
    }

    /// The line of the access log for an action at the desk.
    async fn outcome(&mut self, outcome: &Outcome) -> Result<(), Fault> {
        let access = Access {
            at: self.now,
            person: outcome.person.clone(),
            what: outcome.what.clone(),
            case_id: outcome.case_id.clone(),
            number: None,
            action_id: Some(outcome.action_id.clone()),
            outcome: Some(outcome.text.clone()),
        };
        self.run(sql!("access_put"), super::desk_database::noted(&access))
            .await?;
        Ok(())
    }

    async fn lifter(&mut self, lifter: &Lifter) -> Result<(), Fault> {
        let mut values = binds![
            &lifter.key.source,
            &lifter.key.person_id,
            &lifter.display_name,
            &lifter.zone,
            lifter.reminders,
            lifter.left,
            lifter.last_reminder,
            json(&lifter.profile)?,
        ];
        let written = if lifter.version == 0 {
            self.run(sql!("lifter_insert"), values).await?
        } else {
            values.push(lifter.version.into());
            self.run(sql!("lifter_update"), values).await?
        };
        one(written, || format!("lifter {}", lifter.key.person_id))
    }

    async fn case(&mut self, case: &Case) -> Result<(), Fault> {
        let mut values = binds![
            &case.id,
            case.number,
            &case.person.source,
            &case.person.person_id,
            &case.room_id,
            &case.thread_id,
            &case.lift.map(|lift| lift.word().to_owned()),
            case.state.word(),
            case.opened_at,
            case.updated_at,
            json(&case.body)?,
        ];
        let written = if case.version == 0 {
            self.run(sql!("case_insert"), values).await?
        } else {
            values.push(case.version.into());
            self.run(sql!("case_update"), values).await?
        };
        one(written, || format!("case {}", case.number))?;
        if matches!(case.state, CaseState::Halted | CaseState::Withdrawn) {
            // What is shown of it is looked at again at once.
            let values = binds![&case.id, self.now];
            self.run(sql!("challenges_poke"), values).await?;
        }
        Ok(())
    }

    async fn entry(&mut self, entry: &Entry) -> Result<(), Fault> {
        let values = binds![
            &entry.case_id,
            entry.at,
            entry.kind.word(),
            &entry.who,
            &entry.message_id,
            &entry.text,
        ];
        self.run(sql!("entry_insert"), values).await?;
        Ok(())
    }

    async fn queue(&mut self, change: &QueueChange) -> Result<(), Fault> {
        match change {
            QueueChange::Put(item) => self.queue_put(item).await,
            QueueChange::Remove { case_id } => {
                self.run(sql!("queue_remove"), binds![case_id]).await?;
                Ok(())
            }
            QueueChange::Take { case_id, by, until } => {
                let values = binds![case_id, &by.source, &by.person_id, *until, self.now];
                let taken = self.run(sql!("queue_take"), values).await?;
                one(taken, || format!("who has taken case {case_id}"))
            }
            QueueChange::Hand {
                case_id,
                from,
                to,
                until,
            } => {
                let values = binds![
                    case_id,
                    &to.source,
                    &to.person_id,
                    *until,
                    self.now,
                    &from.source,
                    &from.person_id,
                ];
                let handed = self.run(sql!("queue_hand"), values).await?;
                one(handed, || format!("who has taken case {case_id}"))
            }
        }
    }

    async fn queue_put(&mut self, item: &QueueItem) -> Result<(), Fault> {
        let (taken_source, taken_person) = item
            .taken_by
            .clone()
            .map(|coach| (coach.source, coach.person_id))
            .unzip();
        let values = binds![
            &item.case_id,
            item.urgency.rank(),
            json(&item.reasons)?,
            item.since,
            item.promised,
            item.minutes,
            &taken_source,
            &taken_person,
            item.taken_until,
        ];
        self.run(sql!("queue_put"), values).await?;
        Ok(())
    }

    async fn follow_up(&mut self, change: &FollowUpChange) -> Result<(), Fault> {
        match change {
            FollowUpChange::Open(follow_up) => self.open_follow_up(follow_up).await?,
            FollowUpChange::CancelCase { case_id } => {
                let values = binds![case_id, self.now];
                self.run(sql!("follow_ups_cancel_case"), values).await?
            }
            FollowUpChange::CancelPerson { person } => {
                let values = binds![&person.source, &person.person_id, self.now];
                self.run(sql!("follow_ups_cancel_person"), values).await?
            }
        };
        Ok(())
    }

    async fn open_follow_up(&mut self, follow_up: &FollowUp) -> Result<u64, Fault> {
        let values = binds![
            &follow_up.id,
            &follow_up.case_id,
            &follow_up.person.source,
            &follow_up.person.person_id,
            follow_up.kind.word(),
            follow_up.due_at,
            follow_up.sent,
            self.now,
        ];
        self.run(sql!("follow_up_open"), values).await
    }

    async fn withdraw(&mut self, withdraw: &Withdraw) -> Result<(), Fault> {
        match withdraw {
            Withdraw::RemindersOf(person) => {
                let values = binds![&person.source, &person.person_id, self.now];
                self.run(sql!("withdraw_reminders"), values).await?
            }
            Withdraw::Case(case_id) => {
                self.run(sql!("withdraw_case"), binds![case_id, self.now])
                    .await?
            }
        };
        Ok(())
    }

    /// Messages in their order, by one statement.
    pub(super) async fn outgoing(&mut self, messages: &[Outgoing]) -> Result<(), Fault> {
        if messages.is_empty() {
            return Ok(());
        }
        let mut rows = Vec::with_capacity(messages.len());
        for message in messages {
            rows.push((
                &message.key,
                &message.source,
                room_key(message),
                message.purpose.word(),
                &message.case_id,
                &message.person_id,
                json(message)?,
                after(message)?,
            ));
        }
        let values = binds![json(&rows)?, self.now];
        self.run(self.claims.messages, values).await?;
        Ok(())
    }

    async fn verdict(&mut self, verdict: &CoachVerdict) -> Result<(), Fault> {
        let values = binds![
            &verdict.case_id,
            &verdict.event_id,
            verdict.at,
            &verdict.by.source,
            &verdict.by.person_id,
            &verdict.edition,
            json(&verdict.judged)?,
        ];
        self.run(sql!("verdict_put"), values).await?;
        Ok(())
    }

    async fn mark(&mut self, mark: &MessageMark) -> Result<(), Fault> {
        let values = binds![
            &mark.source,
            &mark.room_id,
            &mark.message_id,
            mark.version,
            mark.deleted,
            self.now,
        ];
        self.run(sql!("mark_put"), values).await?;
        Ok(())
    }

    /// Empties the text in the history, and in the kept event every version of it, its files
    /// included.
    async fn forget(&mut self, source: &str, room: &str, message: &str) -> Result<(), Fault> {
        self.run(sql!("forget_entries"), binds![source, message])
            .await?;
        self.run(sql!("answer_forget"), binds![source, message])
            .await?;
        self.run(sql!("forget_files"), binds![source, message])
            .await?;
        let kept = self
            .unit
            .fetch(sql!("forget_find"), binds![source, room, message])
            .await?;
        for row in kept {
            let mut event: Event = row.json("body")?;
            if let Payload::Message {
                text, attachments, ..
            } = &mut event.payload
            {
                text.clear();
                attachments.clear();
            }
            let values = binds![row.int("seq")?, json(&event)?];
            self.run(sql!("forget_body"), values).await?;
        }
        Ok(())
    }
}

/// The line a message waits in: in order for each lifter of a room, and for the coaches by themselves. A
/// message the platform does not take holds up nobody else's, least of all an alert.
fn room_key(message: &Outgoing) -> String {
    match &message.to {
        Recipient::RoomId(room) => {
            let whom = match message.purpose {
                Purpose::Alert => "alerts",
                _ => message.person_id.as_deref().unwrap_or("everybody"),
            };
            format!("room:{room}:{whom}")
        }
        Recipient::PersonId(person) => format!("person:{person}"),
    }
}

/// What is left of a message's body once it is out; nothing when all of it is.
fn after(message: &Outgoing) -> Result<Option<String>, StoreError> {
    match message.keep {
        Keep::All => Ok(None),
        Keep::Nothing if message.choices.is_empty() => Ok(Some("{}".to_owned())),
        // Whoever presses a button has to be answered.
        Keep::Frame | Keep::Nothing => {
            let mut frame = message.clone();
            frame.text.clear();
            frame.picture = None;
            json(&frame).map(Some)
        }
    }
}

pub(super) fn json<T: Serialize>(record: &T) -> Result<String, StoreError> {
    serde_json::to_string(record)
        .map_err(|error| StoreError::Unexpected(format!("record as JSON: {error}")))
}

pub(super) fn one(written: u64, what: impl Fn() -> String) -> Result<(), Fault> {
    if written == 1 {
        Ok(())
    } else {
        Err(StoreError::Conflict(what()).into())
    }
}
