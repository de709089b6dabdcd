//! The desk's part of the store over either engine.

use super::database::Database;
use super::engine::{Row, Statement, Value, binds, sql};
use super::rows::corrupt;
use super::{Claim, DeadLetter, DeskStore, QueueLine, StoreError};
use crate::record::{
    Access, CaseLine, Outgoing, PersonKey, QueueCount, Session, SheetDrawn, SheetLine, SignInLink,
    Urgency,
};
use async_trait::async_trait;
use jiff::{SignedDuration, Timestamp};

impl Database {
    /// Runs statements in one transaction, once more when the engine gave way.
    async fn together(&self, statements: &[(Statement, Vec<Value>)]) -> Result<(), StoreError> {
        for last in [false, true] {
            let outcome = async {
                let mut unit = self.engine.begin().await?;
                for (statement, values) in statements {
                    unit.execute(*statement, values.clone()).await?;
                }
                unit.commit().await
            };
            match outcome.await {
                Err(fault) if fault.again && !last => {}
                outcome => return Ok(outcome?),
            }
        }
        Ok(())
    }
}

#[async_trait]
impl DeskStore for Database {
    async fn put_sign_in(&self, link: &SignInLink) -> Result<(), StoreError> {
        self.together(&[
            (sql!("sign_in_clean"), binds![a_day_before(link.created_at)]),
            (sql!("sign_in_void"), void(link)),
            (sql!("sign_in_put"), put(link)),
        ])
        .await
    }

    async fn sign_ins_since(
        &self,
        person: &PersonKey,
        since: Timestamp,
    ) -> Result<i64, StoreError> {
        let values = binds![&person.source, &person.person_id, since];
        let count = self
            .one(sql!("sign_in_count"), values, |row| row.int("number"))
            .await?;
        Ok(count.unwrap_or(0))
    }

    async fn sign_in(
        &self,
        link_hash: &str,
        session: &str,
        now: Timestamp,
        ends_at: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError> {
        let mut unit = self.engine.begin().await?;
        let used = unit
            .fetch(sql!("sign_in_use"), binds![link_hash, now])
            .await?;
        let Some(row) = used.first() else {
            return Ok(None);
        };
        let person = row.person()?;
        let (source, id) = (&person.source, &person.person_id);
        unit.execute(sql!("session_clean"), binds![now]).await?;
        unit.execute(
            sql!("session_put"),
            binds![session, source, id, now, ends_at],
        )
        .await?;
        unit.execute(
            sql!("access_put"),
            binds![now, source, id, "signed-in", &None, &None, &None],
        )
        .await?;
        unit.commit().await?;
        Ok(Some(person))
    }

    async fn session(&self, hash: &str) -> Result<Option<Session>, StoreError> {
        self.one(sql!("session"), binds![hash], |row| {
            Ok(Session {
                hash: hash.to_owned(),
                person: row.person()?,
                created_at: row.time("created_at")?,
                seen_at: row.time("seen_at")?,
                ends_at: row.time("ends_at")?,
            })
        })
        .await
    }

    async fn session_seen(&self, hash: &str, now: Timestamp) -> Result<(), StoreError> {
        self.engine
            .change(sql!("session_seen"), binds![hash, now])
            .await?;
        Ok(())
    }

    async fn end_session(&self, hash: &str) -> Result<(), StoreError> {
        self.engine
            .change(sql!("session_end"), binds![hash])
            .await?;
        Ok(())
    }

    async fn note_access(&self, access: &Access) -> Result<(), StoreError> {
        self.engine
            .change(sql!("access_put"), noted(access))
            .await?;
        Ok(())
    }

    async fn action(&self, source: &str, action_id: &str) -> Result<Option<Access>, StoreError> {
        let values = binds![source, action_id];
        self.one(sql!("access_action"), values, Row::access).await
    }

    async fn access_log(
        &self,
        case_id: Option<&str>,
        limit: u32,
    ) -> Result<Vec<Access>, StoreError> {
        let (statement, values) = match case_id {
            Some(id) => (sql!("access_of_case"), binds![id, limit]),
            None => (sql!("access_recent"), binds![limit]),
        };
        self.all(statement, values, Row::access).await
    }

    async fn access_page(
        &self,
        source: &str,
        below: i64,
        limit: u32,
    ) -> Result<Vec<(i64, Access)>, StoreError> {
        let values = binds![source, below, limit];
        self.all(sql!("access_page"), values, Row::access_line)
            .await
    }

    async fn kept_sheet(
        &self,
        source: &str,
        now: Timestamp,
        session: SignedDuration,
    ) -> Result<Option<(SheetDrawn, Vec<SheetLine>)>, StoreError> {
        let before = |at: Timestamp| at.checked_sub(session).unwrap_or(at);
        let values = binds![source, before(now)];
        let newest = self.one(sql!("sheet_newest"), values, Row::sheet).await?;
        let Some(mut sheet) = newest else {
            return Ok(None);
        };
        let values = binds![&sheet.id, before(sheet.at)];
        let lines = self
            .all(sql!("sheet_kept"), values, Row::sheet_waiting)
            .await?;
        sheet.cases = lines.iter().map(|line| line.case.id.clone()).collect();
        Ok(Some((sheet, lines)))
    }

    async fn desk_queue(
        &self,
        source: &str,
        now: Timestamp,
        aging_hours: u32,
        first: u32,
        limit: u32,
    ) -> Result<Vec<QueueLine>, StoreError> {
        let span = i64::from(aging_hours.max(1)) * 3_600_000;
        let values = binds![now, span, limit, source, first];
        self.all(sql!("desk_queue"), values, Row::queue_line).await
    }

    async fn queue_counts(
        &self,
        source: &str,
        now: Timestamp,
    ) -> Result<Vec<QueueCount>, StoreError> {
        self.all(sql!("desk_counts"), binds![now, source], |row| {
            Ok(QueueCount {
                urgency: Urgency::from_rank(row.int("urgency")?),
                number: row.int("number")?,
                overdue: row.int("overdue")?,
            })
        })
        .await
    }

    async fn recent_cases(
        &self,
        source: &str,
        below: i64,
        limit: u32,
    ) -> Result<Vec<CaseLine>, StoreError> {
        self.all(
            sql!("cases_recent"),
            binds![source, below, limit],
            Row::case_line,
        )
        .await
    }

    async fn dead_letters_of(
        &self,
        source: &str,
        limit: u32,
    ) -> Result<Vec<DeadLetter>, StoreError> {
        self.letters(sql!("dead_letters_of"), binds![source, limit])
            .await
    }

    async fn mark_sent_as(
        &self,
        claim: &Claim,
        message_id: &str,
        kept: &Outgoing,
        now: Timestamp,
    ) -> Result<(), StoreError> {
        let body =
            serde_json::to_string(kept).map_err(|error| corrupt("body", &error.to_string()))?;
        let mut unit = self.engine.begin().await?;
        let sent = super::claim::sent_values(claim, message_id, now)?;
        if unit.execute(sql!("outbox_sent"), sent).await? != 1 {
            return Err(super::claim::stale(claim));
        }
        unit.execute(sql!("outbox_blank"), binds![&kept.key, body])
            .await?;
        unit.commit().await?;
        Ok(())
    }
}

/// Links are kept a day past their end, so that asking for many is seen.
pub(super) fn a_day_before(at: Timestamp) -> Timestamp {
    at.checked_sub(SignedDuration::from_hours(24)).unwrap_or(at)
}

/// The values that end a coach's unused links.
pub(super) fn void(link: &SignInLink) -> Vec<Value> {
    binds![&link.person.source, &link.person.person_id, link.created_at]
}

/// The values of a new link.
pub(super) fn put(link: &SignInLink) -> Vec<Value> {
    binds![
        &link.hash,
        &link.person.source,
        &link.person.person_id,
        link.created_at,
        link.expires_at,
    ]
}

/// The values of a line of the access log.
pub(super) fn noted(access: &Access) -> Vec<Value> {
    binds![
        access.at,
        &access.person.source,
        &access.person.person_id,
        &access.what,
        &access.case_id,
        &access.action_id,
        &access.outcome,
    ]
}
