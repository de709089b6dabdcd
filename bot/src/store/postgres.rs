//! The shared engine: several instances, one `PostgreSQL`.

use super::engine::{Claims, Engine, Fault, Row, Statement, Unit, Value, note, query, rows, sql};
use super::intake::NewRow;
use super::{OpenOptions, StoreError, migrations};
use crate::record::EventKey;
use async_trait::async_trait;
use sqlx::postgres::{PgConnectOptions, PgConnection, PgPool, PgPoolOptions};
use sqlx::{ConnectOptions, Connection, Postgres, Transaction};
use std::collections::HashSet;
use std::str::FromStr;
use std::time::Instant;

static CLAIMS: Claims = Claims {
    events: sql!("claim_events.postgres"),
    follow_ups: sql!("claim_follow_ups.postgres"),
    challenges: sql!("claim_challenges.postgres"),
    outgoing: sql!("claim_outgoing.postgres"),
    messages: sql!("outbox_insert.postgres"),
    marks: sql!("answers_mark.postgres"),
};
const INTAKE: Statement = sql!("intake.postgres");
const KNOWN: Statement = sql!("intake_known.postgres");

/// The engine.
#[derive(Debug)]
pub(super) struct PostgresEngine {
    pool: PgPool,
}

impl PostgresEngine {
    /// Connects and brings the tables up to date.
    pub(super) async fn open(url: &str, options: &OpenOptions) -> Result<Self, StoreError> {
        let connect = PgConnectOptions::from_str(url)
            .map_err(|error| StoreError::Unexpected(format!("database URL: {error}")))?
            .application_name("cueline")
            .disable_statement_logging();
        if !options.read_only {
            migrate(&connect).await?;
        }
        let read_only = if options.read_only { "on" } else { "off" };
        let pool = PgPoolOptions::new()
            .max_connections(options.connections.max(2))
            .acquire_timeout(options.acquire_timeout)
            .connect_with(connect.options([
                ("synchronous_commit", "on".to_owned()),
                ("default_transaction_read_only", read_only.to_owned()),
                ("statement_timeout", milliseconds(options.statement_timeout)),
                ("lock_timeout", milliseconds(options.lock_timeout)),
                (
                    "idle_in_transaction_session_timeout",
                    milliseconds(options.idle_timeout),
                ),
            ]))
            .await
            .map_err(fault)?;
        Ok(Self { pool })
    }
}

fn milliseconds(time: std::time::Duration) -> String {
    time.as_millis().to_string()
}

/// Runs on a connection of its own without time limits: it waits for another instance's migrations
/// under an advisory lock.
async fn migrate(connect: &PgConnectOptions) -> Result<(), StoreError> {
    let mut connection = connect.connect().await.map_err(fault)?;
    migrations::migrator(migrations::POSTGRES)
        .run(&mut connection)
        .await
        .map_err(|error| migrations::failed(error, fault))?;
    connection.close().await.map_err(fault)?;
    Ok(())
}

/// What an error means to the caller. Codes: `PostgreSQL` manual, appendix A.
#[expect(clippy::needless_pass_by_value, reason = "so that it fits `map_err`")]
fn fault(error: sqlx::Error) -> Fault {
    let why = error.to_string();
    let mut again = false;
    let error = match &error {
        sqlx::Error::Database(database) => {
            let code = database.code().unwrap_or_default().into_owned();
            // serialization_failure, deadlock_detected
            again = matches!(code.as_str(), "40001" | "40P01");
            let class = code.get(..2).unwrap_or_default();
            // connection, transaction rollback, resources (full disk), operator intervention,
            // system error (I/O); lock_not_available; read_only_sql_transaction (a standby)
            if matches!(class, "08" | "40" | "53" | "57" | "58")
                || matches!(code.as_str(), "55P03" | "25006")
            {
                StoreError::Unavailable(why)
            } else if class == "XX" {
                StoreError::Corrupt(why)
            } else {
                StoreError::Unexpected(why)
            }
        }
        sqlx::Error::Io(_)
        | sqlx::Error::Tls(_)
        | sqlx::Error::Protocol(_)
        | sqlx::Error::PoolTimedOut
        | sqlx::Error::PoolClosed
        | sqlx::Error::WorkerCrashed
        | sqlx::Error::BeginFailed => StoreError::Unavailable(why),
        sqlx::Error::Decode(_) | sqlx::Error::ColumnDecode { .. } => StoreError::Corrupt(why),
        _ => StoreError::Unexpected(why),
    };
    Fault { error, again }
}

async fn fetch(
    connection: &mut PgConnection,
    statement: Statement,
    values: Vec<Value>,
) -> Result<Vec<Row>, Fault> {
    let start = Instant::now();
    let answer = query!(Postgres, statement, values)
        .fetch_all(connection)
        .await
        .and_then(|found| rows!(found));
    note(statement, start);
    answer.map_err(fault)
}

async fn execute(
    connection: &mut PgConnection,
    statement: Statement,
    values: Vec<Value>,
) -> Result<u64, Fault> {
    let start = Instant::now();
    let answer = query!(Postgres, statement, values)
        .execute(connection)
        .await;
    note(statement, start);
    Ok(answer.map_err(fault)?.rows_affected())
}

#[async_trait]
impl Unit for Transaction<'static, Postgres> {
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
impl Engine for PostgresEngine {
    fn claims(&self) -> &'static Claims {
        &CLAIMS
    }

    async fn begin(&self) -> Result<Box<dyn Unit>, Fault> {
        Ok(Box::new(self.pool.begin().await.map_err(fault)?))
    }

    async fn read(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault> {
        let mut connection = self.pool.acquire().await.map_err(fault)?;
        fetch(&mut connection, statement, values).await
    }

    async fn write(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault> {
        let mut connection = self.pool.acquire().await.map_err(fault)?;
        match fetch(&mut connection, statement, values.clone()).await {
            Err(fault) if fault.again => fetch(&mut connection, statement, values).await,
            answer => answer,
        }
    }

    async fn change(&self, statement: Statement, values: Vec<Value>) -> Result<u64, Fault> {
        let mut connection = self.pool.acquire().await.map_err(fault)?;
        match execute(&mut connection, statement, values.clone()).await {
            Err(fault) if fault.again => execute(&mut connection, statement, values).await,
            answer => answer,
        }
    }

    async fn store_group(&self, rows: &[&NewRow]) -> Result<HashSet<EventKey>, Fault> {
        let column = |pick: fn(&NewRow) -> &str| -> Vec<String> {
            rows.iter().map(|row| pick(row).to_owned()).collect()
        };
        let start = Instant::now();
        let answer = sqlx::query::<Postgres>(INTAKE.text)
            .bind(column(|row| &row.key.source))
            .bind(column(|row| &row.key.id))
            .bind(column(|row| row.kind))
            .bind(column(|row| &row.room_id))
            .bind(column(|row| &row.person_id))
            .bind(
                rows.iter()
                    .map(|row| row.message_id.clone())
                    .collect::<Vec<_>>(),
            )
            .bind(column(|row| &row.body))
            .bind(column(|row| &row.body_hash))
            .bind(rows.iter().map(|row| row.received_at).collect::<Vec<_>>())
            .fetch_all(&self.pool)
            .await
            .and_then(|found| rows!(found));
        note(INTAKE, start);
        let known = answer.map_err(fault)?;
        Ok(known.iter().map(Row::event_key).collect::<Result<_, _>>()?)
    }

    async fn known(&self, rows: &[&NewRow]) -> Result<Vec<Row>, Fault> {
        let (sources, ids): (Vec<String>, Vec<String>) = rows
            .iter()
            .map(|row| (row.key.source.clone(), row.key.id.clone()))
            .unzip();
        let start = Instant::now();
        let answer = sqlx::query::<Postgres>(KNOWN.text)
            .bind(sources)
            .bind(ids)
            .fetch_all(&self.pool)
            .await
            .and_then(|found| rows!(found));
        note(KNOWN, start);
        answer.map_err(fault)
    }

    async fn tidy(&self) {
        // The server's own log and vacuum see to it; see README, "Backup".
    }

    async fn close(&self) {
        self.pool.close().await;
    }
}
