//! The embedded engine: one writer connection, several readers, a write-ahead log synced at every
//! commit.

use super::engine::{Claims, Engine, Fault, Row, Statement, Unit, Value, note, query, rows, sql};
use super::intake::NewRow;
use super::{OpenOptions, StoreError, migrations};
use crate::record::EventKey;
use async_trait::async_trait;
use sqlx::pool::PoolConnection;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteConnection, SqliteJournalMode, SqlitePool, SqlitePoolOptions,
    SqliteSynchronous,
};
use sqlx::{ConnectOptions, Sqlite, Transaction};
use std::collections::HashSet;
use std::str::FromStr;
use std::time::Instant;

static CLAIMS: Claims = Claims {
    events: sql!("claim_events.sqlite"),
    follow_ups: sql!("claim_follow_ups.sqlite"),
    challenges: sql!("claim_challenges.sqlite"),
    outgoing: sql!("claim_outgoing.sqlite"),
    messages: sql!("outbox_insert.sqlite"),
    marks: sql!("answers_mark.sqlite"),
};
const INTAKE: Statement = sql!("intake.sqlite");
const INTAKE_NEW: Statement = sql!("intake_new.sqlite");
const KNOWN: Statement = sql!("intake_known.sqlite");
/// A plain BEGIN takes the write lock at the first write, and then a busy database fails at once
/// instead of waiting its turn.
const BEGIN: &str = "BEGIN IMMEDIATE";

/// The engine.
#[derive(Debug)]
pub(super) struct SqliteEngine {
    writer: SqlitePool,
    readers: SqlitePool,
}

impl SqliteEngine {
    /// Opens or makes the file and brings its tables up to date.
    pub(super) async fn open(url: &str, options: &OpenOptions) -> Result<Self, StoreError> {
        let connect = SqliteConnectOptions::from_str(url)
            .map_err(|error| StoreError::Unexpected(format!("database URL: {error}")))?
            .create_if_missing(!options.read_only)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            // What is deleted is overwritten, so that a forgotten lifter is not left in free pages.
            .pragma("secure_delete", "ON")
            .busy_timeout(options.busy_timeout)
            .row_buffer_size(options.group.max(64))
            .disable_statement_logging();
        if url.contains(":memory:") || url.contains("mode=memory") {
            return Err(StoreError::Unexpected(
                "database URL: a file is needed, memory would lose every event".to_owned(),
            ));
        }
        if options.read_only {
            let readers = pool(options.readers.max(1), options)
                .connect_with(connect.read_only(true))
                .await
                .map_err(fault)?;
            let writer = readers.clone();
            return Ok(Self { writer, readers });
        }
        let mut write = connect.clone();
        if let Some(pages) = options.max_pages {
            write = write.pragma("max_page_count", pages.to_string());
        }
        let writer = pool(1, options).connect_with(write).await.map_err(fault)?;
        migrate(&writer).await?;
        let readers = pool(options.readers.max(1), options)
            .connect_with(connect.read_only(true))
            .await
            .map_err(fault)?;
        Ok(Self { writer, readers })
    }

    async fn writer(&self) -> Result<PoolConnection<Sqlite>, Fault> {
        self.writer.acquire().await.map_err(fault)
    }
}

fn pool(connections: u32, options: &OpenOptions) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(connections)
        .acquire_timeout(options.acquire_timeout)
        .test_before_acquire(false)
        .idle_timeout(None)
        .max_lifetime(None)
        .after_connect(|connection, _| Box::pin(check_settings(connection)))
}

/// Reads the settings back: an engine built or configured otherwise would lose acknowledged events
/// in a power cut, and no test that only kills the process could show it.
async fn check_settings(connection: &mut SqliteConnection) -> Result<(), sqlx::Error> {
    let synchronous: i64 = sqlx::query_scalar("PRAGMA synchronous")
        .fetch_one(&mut *connection)
        .await?;
    let journal: String = sqlx::query_scalar("PRAGMA journal_mode")
        .fetch_one(&mut *connection)
        .await?;
    let foreign_keys: i64 = sqlx::query_scalar("PRAGMA foreign_keys")
        .fetch_one(&mut *connection)
        .await?;
    if synchronous != 2 || journal != "wal" || foreign_keys != 1 {
        return Err(sqlx::Error::Configuration(
            format!(
                "SQLite must run with synchronous 2, journal_mode wal, foreign_keys 1; found \
                 {synchronous}, {journal}, {foreign_keys}"
            )
            .into(),
        ));
    }
    Ok(())
}

/// Runs inside one immediate transaction, so that two processes starting at once take turns.
async fn migrate(writer: &SqlitePool) -> Result<(), StoreError> {
    let mut transaction = writer.begin_with(BEGIN).await.map_err(fault)?;
    migrations::migrator(migrations::SQLITE)
        .run(&mut *transaction)
        .await
        .map_err(|error| migrations::failed(error, fault))?;
    transaction.commit().await.map_err(fault)?;
    Ok(())
}

/// What an error means to the caller. Result codes: <https://www.sqlite.org/rescode.html>.
#[expect(clippy::needless_pass_by_value, reason = "so that it fits `map_err`")]
fn fault(error: sqlx::Error) -> Fault {
    let why = error.to_string();
    let error = match &error {
        sqlx::Error::Database(database) => {
            let code = database
                .code()
                .and_then(|code| code.parse::<i64>().ok())
                .unwrap_or(1);
            match code & 0xff {
                // BUSY, LOCKED, NOMEM, READONLY, IOERR, FULL, CANTOPEN, PROTOCOL
                5 | 6 | 7 | 8 | 10 | 13 | 14 | 15 => StoreError::Unavailable(why),
                // CORRUPT, NOTADB
                11 | 26 => StoreError::Corrupt(why),
                _ => StoreError::Unexpected(why),
            }
        }
        sqlx::Error::Io(_)
        | sqlx::Error::PoolTimedOut
        | sqlx::Error::PoolClosed
        | sqlx::Error::WorkerCrashed
        | sqlx::Error::BeginFailed => StoreError::Unavailable(why),
        sqlx::Error::Decode(_) | sqlx::Error::ColumnDecode { .. } => StoreError::Corrupt(why),
        _ => StoreError::Unexpected(why),
    };
    error.into()
}

async fn fetch(
    connection: &mut SqliteConnection,
    statement: Statement,
    values: Vec<Value>,
) -> Result<Vec<Row>, Fault> {
    let start = Instant::now();
    let answer = query!(Sqlite, statement, values)
        .fetch_all(connection)
        .await
        .and_then(|found| rows!(found));
    note(statement, start);
    answer.map_err(fault)
}

async fn execute(
    connection: &mut SqliteConnection,
    statement: Statement,
    values: Vec<Value>,
) -> Result<u64, Fault> {
    let start = Instant::now();
    let answer = query!(Sqlite, statement, values).execute(connection).await;
    note(statement, start);
    Ok(answer.map_err(fault)?.rows_affected())
}

#[async_trait]
impl Unit for Transaction<'static, Sqlite> {
    async fn execute(&mut self, statement: Statement, values: Vec<Value>) -> Result<u64, Fault> {
        execute(self, statement, values).await
    }

    async fn fetch(&mut self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault> {
        fetch(self, statement, values).await
    }

    async fn commit(self: Box<Self>) -> Result<(), Fault> {
        Transaction::commit(*self).await.map_err(fault)
    }
}

#[async_trait]
impl Engine for SqliteEngine {
    fn claims(&self) -> &'static Claims {
        &CLAIMS
    }

    async fn begin(&self) -> Result<Box<dyn Unit>, Fault> {
        match self.writer.begin_with(BEGIN).await {
            Ok(transaction) => Ok(Box::new(transaction)),
            // A full disk ends a transaction inside SQLite, and the driver goes on counting it as
            // open. A new connection starts from nothing.
            Err(sqlx::Error::InvalidSavePointStatement) => {
                self.writer().await?.close().await.map_err(fault)?;
                let transaction = self.writer.begin_with(BEGIN).await.map_err(fault)?;
                Ok(Box::new(transaction))
            }
            Err(error) => Err(fault(error)),
        }
    }

    async fn read(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault> {
        let mut reader = self.readers.acquire().await.map_err(fault)?;
        fetch(&mut reader, statement, values).await
    }

    async fn write(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault> {
        fetch(&mut *self.writer().await?, statement, values).await
    }

    async fn change(&self, statement: Statement, values: Vec<Value>) -> Result<u64, Fault> {
        execute(&mut *self.writer().await?, statement, values).await
    }

    /// Rows that come back one by one cost more than writing them, so they are asked for only when
    /// the count shows that some key was known already.
    async fn store_group(&self, rows: &[&NewRow]) -> Result<HashSet<EventKey>, Fault> {
        let group = group_json(rows).map_err(StoreError::from)?;
        let mut unit = self.begin().await?;
        let written = unit
            .execute(INTAKE, vec![Value::from(group.as_str())])
            .await?;
        if usize::try_from(written).is_ok_and(|written| written == rows.len()) {
            unit.commit().await?;
            return Ok(HashSet::new());
        }
        drop(unit);
        let mut known: HashSet<EventKey> = rows.iter().map(|row| row.key.clone()).collect();
        for new in self.write(INTAKE_NEW, vec![Value::from(group)]).await? {
            known.remove(&new.event_key()?);
        }
        Ok(known)
    }

    async fn known(&self, rows: &[&NewRow]) -> Result<Vec<Row>, Fault> {
        let keys: Vec<_> = rows
            .iter()
            .map(|row| (&row.key.source, &row.key.id))
            .collect();
        let keys = serde_json::to_string(&keys)
            .map_err(|error| StoreError::Unexpected(format!("keys as JSON: {error}")))?;
        self.read(KNOWN, vec![Value::from(keys)]).await
    }

    async fn tidy(&self) {
        // Readers may be at work; then the next one, or the end, folds the log in.
        if let Ok(mut writer) = self.writer.acquire().await
            && let Err(error) = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
                .execute(&mut *writer)
                .await
        {
            tracing::warn!(%error, "the write-ahead log was not folded in; the next time will do it");
        }
    }

    async fn close(&self) {
        self.readers.close().await;
        if let Ok(mut writer) = self.writer.acquire().await
            && let Err(error) = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
                .execute(&mut *writer)
                .await
        {
            tracing::warn!(%error, "the write-ahead log was not folded in; the next start will do it");
        }
        self.writer.close().await;
    }
}

/// The group as one JSON array. Bodies are JSON already and go in as they are.
fn group_json(rows: &[&NewRow]) -> Result<String, GroupError> {
    let mut group = String::with_capacity(rows.iter().map(|row| row.body.len() + 320).sum());
    for row in rows {
        group.push(if group.is_empty() { '[' } else { ',' });
        let head = serde_json::to_string(&(
            &row.key.source,
            &row.key.id,
            row.kind,
            &row.room_id,
            &row.person_id,
            &row.message_id,
        ))?;
        group.push_str(head.trim_end_matches(']'));
        group.push(',');
        group.push_str(&row.body);
        group.push(',');
        group.push_str(&serde_json::to_string(&row.body_hash)?);
        group.push(',');
        group.push_str(&row.received_at.to_string());
        group.push(']');
    }
    group.push(']');
    Ok(group)
}

/// A group that cannot be written as JSON.
#[derive(Debug)]
struct GroupError(serde_json::Error);

impl From<serde_json::Error> for GroupError {
    fn from(error: serde_json::Error) -> Self {
        Self(error)
    }
}

impl From<GroupError> for StoreError {
    fn from(GroupError(error): GroupError) -> Self {
        Self::Unexpected(format!("events as JSON: {error}"))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[tokio::test]
    async fn a_connection_that_would_not_sync_every_commit_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let good = SqliteConnectOptions::new()
            .filename(folder.path().join("x.sqlite"))
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full);
        let mut connection = good.connect().await.unwrap();
        assert!(check_settings(&mut connection).await.is_ok());
        for bad in [
            good.clone().synchronous(SqliteSynchronous::Normal),
            good.clone().synchronous(SqliteSynchronous::Off),
            good.clone().foreign_keys(false),
        ] {
            let mut connection = bad.connect().await.unwrap();
            assert!(check_settings(&mut connection).await.is_err(), "{bad:?}");
        }
    }
}
