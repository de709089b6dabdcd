//! The store over either engine.

use super::engine::{Engine, Row, Statement, Value, binds, sql};
use super::intake::Intake;
use super::{
    Accepted, ChallengeStore, Claim, ClaimBatch, DeadLetter, Depths, FileStore, Leased, NewEvent,
    OpenOptions, PrivacyStore, Quarantined, QueueLine, Store, StoreError, apply, claim,
};
use crate::record::{
    Case, CoachVerdict, Effects, Entry, Event, FollowUp, Lifter, MessageMark, Outgoing, PersonKey,
    QueueItem, SheetLine,
};
use async_trait::async_trait;
use jiff::Timestamp;
use std::sync::Arc;
use tokio::sync::OnceCell;

/// One engine with its intake.
#[derive(Debug)]
pub(super) struct Database {
    pub(super) engine: Arc<dyn Engine>,
    intake: Intake,
    /// Salt of suppression ids, once it was asked for.
    pub(super) salt: OnceCell<String>,
}

impl Database {
    pub(super) fn new(engine: Arc<dyn Engine>, options: &OpenOptions) -> Self {
        let intake = Intake::start(Arc::clone(&engine), options.waiting, options.group);
        Self {
            engine,
            intake,
            salt: OnceCell::new(),
        }
    }

    pub(super) fn engine(&self) -> &dyn Engine {
        self.engine.as_ref()
    }

    pub(super) async fn all<T>(
        &self,
        statement: Statement,
        values: Vec<Value>,
        decode: impl Fn(&Row) -> Result<T, StoreError>,
    ) -> Result<Vec<T>, StoreError> {
        let rows = self.engine.read(statement, values).await?;
        rows.iter().map(decode).collect()
    }

    pub(super) async fn one<T>(
        &self,
        statement: Statement,
        values: Vec<Value>,
        decode: impl Fn(&Row) -> Result<T, StoreError>,
    ) -> Result<Option<T>, StoreError> {
        let rows = self.engine.read(statement, values).await?;
        rows.first().map(decode).transpose()
    }

    /// Dead letters; one that cannot be read must not hide the others.
    pub(super) async fn letters(
        &self,
        statement: Statement,
        values: Vec<Value>,
    ) -> Result<Vec<DeadLetter>, StoreError> {
        let letters = self
            .all(statement, values, |row| {
                Ok(row.dead_letter().map_err(|error| {
                    tracing::error!(%error, "a dead letter cannot be read");
                }))
            })
            .await?;
        Ok(letters.into_iter().flatten().collect())
    }
}

#[async_trait]
impl Store for Database {
    async fn accept(&self, event: NewEvent) -> Result<Accepted, StoreError> {
        self.intake.accept(event).await
    }

    async fn quarantine(&self, body: Quarantined) -> Result<(), StoreError> {
        let values = binds![
            body.source,
            body.id,
            body.body,
            body.reason,
            body.received_at
        ];
        self.engine.change(sql!("quarantine_put"), values).await?;
        Ok(())
    }

    async fn claim_events(&self, batch: &ClaimBatch) -> Result<Vec<Leased<Event>>, StoreError> {
        claim::events(self.engine.as_ref(), batch).await
    }

    async fn claim_follow_ups(
        &self,
        batch: &ClaimBatch,
    ) -> Result<Vec<Leased<FollowUp>>, StoreError> {
        claim::follow_ups(self.engine.as_ref(), batch).await
    }

    async fn claim_outgoing(
        &self,
        batch: &ClaimBatch,
    ) -> Result<Vec<Leased<Outgoing>>, StoreError> {
        claim::outgoing(self.engine.as_ref(), batch).await
    }

    async fn apply(
        &self,
        claim: &Claim,
        effects: &Effects,
        now: Timestamp,
    ) -> Result<(), StoreError> {
        apply::apply(self.engine.as_ref(), claim, effects, now).await?;
        if effects.erase.is_some() || effects.forget_words.is_some() {
            // What was taken out must not stand in the log beside the file either.
            self.engine.tidy().await;
        }
        Ok(())
    }

    async fn mark_sent(
        &self,
        claim: &Claim,
        message_id: &str,
        now: Timestamp,
    ) -> Result<(), StoreError> {
        claim::sent(self.engine.as_ref(), claim, message_id, now).await
    }

    async fn retry_at(&self, claim: &Claim, at: Timestamp, error: &str) -> Result<(), StoreError> {
        claim::retry_at(self.engine.as_ref(), claim, at, error).await
    }

    async fn withdraw(&self, claim: &Claim, now: Timestamp) -> Result<(), StoreError> {
        claim::withdraw(self.engine.as_ref(), claim, now).await
    }

    async fn give_up(&self, claim: &Claim, error: &str, now: Timestamp) -> Result<(), StoreError> {
        claim::give_up(self.engine.as_ref(), claim, error, now).await
    }

    async fn extend(&self, claim: &Claim, until: Timestamp) -> Result<(), StoreError> {
        claim::extend(self.engine.as_ref(), claim, until).await
    }

    async fn release_all(&self, owner: &str) -> Result<(), StoreError> {
        claim::release_all(self.engine.as_ref(), owner).await
    }

    async fn lifter(&self, key: &PersonKey) -> Result<Option<Lifter>, StoreError> {
        let values = binds![&key.source, &key.person_id];
        self.one(sql!("lifter"), values, Row::lifter).await
    }

    async fn cases_of(&self, key: &PersonKey, limit: u32) -> Result<Vec<Case>, StoreError> {
        let values = binds![&key.source, &key.person_id, limit];
        self.all(sql!("cases_of"), values, Row::case).await
    }

    async fn case(&self, id: &str) -> Result<Option<Case>, StoreError> {
        self.one(sql!("case"), binds![id], Row::case).await
    }

    async fn case_by_number(&self, number: i64) -> Result<Option<Case>, StoreError> {
        self.one(sql!("case_by_number"), binds![number], Row::case)
            .await
    }

    async fn case_of_message(
        &self,
        source: &str,
        room_id: &str,
        message_id: &str,
    ) -> Result<Option<Case>, StoreError> {
        let values = binds![source, room_id, message_id];
        self.one(sql!("case_of_message"), values, Row::case).await
    }

    async fn reserve_case_number(&self) -> Result<i64, StoreError> {
        let rows = self
            .engine
            .write(sql!("case_number_next"), Vec::new())
            .await?;
        rows.first()
            .ok_or_else(|| {
                StoreError::Corrupt("the counter of case numbers is missing".to_owned())
            })?
            .int("value")
    }

    async fn entries(&self, case_id: &str, limit: u32) -> Result<Vec<Entry>, StoreError> {
        self.all(sql!("entries"), binds![case_id, limit], Row::entry)
            .await
    }

    async fn queue(
        &self,
        now: Timestamp,
        aging_hours: u32,
        limit: u32,
    ) -> Result<Vec<QueueLine>, StoreError> {
        let span = i64::from(aging_hours.max(1)) * 3_600_000;
        self.all(sql!("queue"), binds![now, span, limit], Row::queue_line)
            .await
    }

    async fn sheet_lines(
        &self,
        source: &str,
        earlier: Timestamp,
        since: Timestamp,
        limit: u32,
    ) -> Result<Vec<SheetLine>, StoreError> {
        let values = binds![source, earlier, limit];
        let mut lines = self
            .all(sql!("sheet_waiting"), values, Row::sheet_waiting)
            .await?;
        let values = binds![source, earlier, since, limit];
        lines.extend(
            self.all(sql!("sheet_answered"), values, Row::sheet_answered)
                .await?,
        );
        Ok(lines)
    }

    async fn queue_item(&self, case_id: &str) -> Result<Option<QueueItem>, StoreError> {
        self.one(sql!("queue_item"), binds![case_id], Row::queue_item)
            .await
    }

    async fn message_mark(
        &self,
        source: &str,
        room_id: &str,
        message_id: &str,
    ) -> Result<Option<MessageMark>, StoreError> {
        self.one(sql!("mark"), binds![source, room_id, message_id], Row::mark)
            .await
    }

    async fn sent_message(
        &self,
        source: &str,
        message_id: &str,
    ) -> Result<Option<Outgoing>, StoreError> {
        let values = binds![source, message_id];
        self.one(sql!("sent_message"), values, |row| row.json("body"))
            .await
    }

    async fn dead_letters(&self, limit: u32) -> Result<Vec<DeadLetter>, StoreError> {
        self.letters(sql!("dead_letters"), binds![limit]).await
    }

    async fn verdict_of_case(&self, case_id: &str) -> Result<Option<CoachVerdict>, StoreError> {
        self.one(sql!("verdict_of_case"), binds![case_id], Row::verdict)
            .await
    }

    async fn verdicts(&self, limit: u32) -> Result<Vec<CoachVerdict>, StoreError> {
        self.all(sql!("verdicts"), binds![limit], Row::verdict)
            .await
    }

    async fn verdicts_mark(&self) -> Result<(i64, i64), StoreError> {
        let mark = self
            .one(sql!("verdicts_mark"), Vec::new(), |row| {
                Ok((row.int("verdicts")?, row.int("newest")?))
            })
            .await?;
        Ok(mark.unwrap_or_default())
    }

    async fn depths(&self) -> Result<Depths, StoreError> {
        let depths = self
            .one(sql!("depths"), Vec::new(), |row| {
                Ok(Depths {
                    inbox: row.int("inbox")?,
                    outbox: row.int("outbox")?,
                    dead: row.int("dead")?,
                    queue: row.int("queue")?,
                    follow_ups: row.int("follow_ups")?,
                })
            })
            .await?;
        Ok(depths.unwrap_or_default())
    }

    async fn ping(&self) -> Result<(), StoreError> {
        self.engine.read(sql!("ping"), Vec::new()).await?;
        Ok(())
    }

    fn challenges(&self) -> &dyn ChallengeStore {
        self
    }

    fn privacy(&self) -> &dyn PrivacyStore {
        self
    }

    fn files(&self) -> &dyn FileStore {
        self
    }

    async fn close(&self) {
        self.intake.close().await;
        self.engine.close().await;
    }
}
