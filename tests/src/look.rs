//! A look into the database beside the service: whether anything is due, and where a text is.

use crate::databases::{EngineKind, Fresh};
use anyhow::Result;
use jiff::Timestamp;
use sqlx::{AssertSqlSafe, Connection, PgConnection, SqliteConnection};

/// Work that is due or under way. A message behind an earlier one of its room that waits for a
/// later time is neither.
const DUE: &str = "
SELECT (SELECT COUNT(*) FROM inbox WHERE state = 'waiting' AND run_at <= $1)
     + (SELECT COUNT(*) FROM follow_ups WHERE state = 'open' AND run_at <= $1)
     + (SELECT COUNT(*) FROM challenges WHERE run_at IS NOT NULL AND run_at <= $1)
     + (SELECT COUNT(*) FROM outbox AS late
        WHERE late.state = 'ready' AND late.run_at <= $1
          AND NOT EXISTS (SELECT 1 FROM outbox AS earlier
                          WHERE earlier.state = 'ready' AND earlier.source = late.source
                            AND earlier.room_key = late.room_key AND earlier.seq < late.seq
                            AND earlier.run_at > $1))";

/// Each place a text of a person can stand in.
const TEXTS: [(&str, &str); 11] = [
    (
        "challenges.body",
        "SELECT COUNT(*) FROM challenges WHERE body LIKE $1",
    ),
    (
        "challenge_answers.body",
        "SELECT COUNT(*) FROM challenge_answers WHERE body LIKE $1",
    ),
    (
        "case_files.content",
        "SELECT COUNT(*) FROM case_files WHERE content LIKE $1",
    ),
    (
        "inbox.body",
        "SELECT COUNT(*) FROM inbox WHERE body LIKE $1",
    ),
    (
        "quarantine.body",
        "SELECT COUNT(*) FROM quarantine WHERE body LIKE $1",
    ),
    (
        "lifters.profile",
        "SELECT COUNT(*) FROM lifters WHERE profile LIKE $1",
    ),
    (
        "cases.body",
        "SELECT COUNT(*) FROM cases WHERE body LIKE $1",
    ),
    (
        "entries.text",
        "SELECT COUNT(*) FROM entries WHERE text LIKE $1",
    ),
    (
        "queue.reasons",
        "SELECT COUNT(*) FROM queue WHERE reasons LIKE $1",
    ),
    (
        "outbox.body",
        "SELECT COUNT(*) FROM outbox WHERE body LIKE $1",
    ),
    (
        "outbox.last_error",
        "SELECT COUNT(*) FROM outbox WHERE last_error LIKE $1",
    ),
];

/// A connection of the story's own.
#[derive(Debug)]
pub enum Look {
    /// To the file.
    Sqlite(SqliteConnection),
    /// To the server.
    Postgres(PgConnection),
}

impl Look {
    /// Connects.
    pub async fn into_database(fresh: &Fresh) -> Result<Self> {
        Ok(match fresh.kind {
            EngineKind::Sqlite => Self::Sqlite(SqliteConnection::connect(&fresh.url).await?),
            EngineKind::Postgres => Self::Postgres(PgConnection::connect(&fresh.url).await?),
        })
    }

    /// Rows due at `now` or being worked on.
    pub async fn due(&mut self, now: Timestamp) -> Result<i64> {
        let now = now.as_millisecond();
        Ok(match self {
            Self::Sqlite(to) => {
                sqlx::query_scalar(DUE)
                    .bind(now)
                    .fetch_one(&mut *to)
                    .await?
            }
            Self::Postgres(to) => {
                sqlx::query_scalar(DUE)
                    .bind(now)
                    .fetch_one(&mut *to)
                    .await?
            }
        })
    }

    /// A number asked for with a statement that takes nothing.
    pub async fn number(&mut self, statement: &'static str) -> Result<i64> {
        Ok(match self {
            Self::Sqlite(to) => sqlx::query_scalar(statement).fetch_one(&mut *to).await?,
            Self::Postgres(to) => sqlx::query_scalar(statement).fetch_one(&mut *to).await?,
        })
    }

    /// The columns that hold `text` somewhere.
    pub async fn places_of(&mut self, text: &str) -> Result<Vec<&'static str>> {
        let pattern = format!("%{text}%");
        let mut places = Vec::new();
        for (place, statement) in TEXTS {
            let count: i64 = match self {
                Self::Sqlite(to) => {
                    let query = sqlx::query_scalar(statement).bind(&pattern);
                    query.fetch_one(&mut *to).await?
                }
                Self::Postgres(to) => {
                    let query = sqlx::query_scalar(statement).bind(&pattern);
                    query.fetch_one(&mut *to).await?
                }
            };
            if count > 0 {
                places.push(place);
            }
        }
        Ok(places)
    }

    /// Every table and its columns, whatever a later release has added.
    async fn columns(&mut self) -> Result<Vec<(String, String)>> {
        Ok(match self {
            Self::Sqlite(to) => {
                sqlx::query_as(
                    "SELECT tables.name, columns.name
                     FROM sqlite_schema AS tables JOIN pragma_table_info(tables.name) AS columns
                     WHERE tables.type = 'table' AND tables.name NOT LIKE 'sqlite_%'",
                )
                .fetch_all(&mut *to)
                .await?
            }
            Self::Postgres(to) => {
                sqlx::query_as(
                    "SELECT table_name::TEXT, column_name::TEXT FROM information_schema.columns
                     WHERE table_schema = 'public'",
                )
                .fetch_all(&mut *to)
                .await?
            }
        })
    }

    /// Every column of every table that holds `text` somewhere, in whatever case.
    pub async fn anywhere(&mut self, text: &str) -> Result<Vec<String>> {
        let pattern = format!("%{}%", text.to_lowercase());
        let mut places = Vec::new();
        for (table, column) in self.columns().await? {
            let statement = AssertSqlSafe(format!(
                "SELECT COUNT(*) FROM {table} WHERE LOWER(CAST({column} AS TEXT)) LIKE $1"
            ));
            let count: i64 = match self {
                Self::Sqlite(to) => {
                    let query = sqlx::query_scalar(statement).bind(&pattern);
                    query.fetch_one(&mut *to).await?
                }
                Self::Postgres(to) => {
                    let query = sqlx::query_scalar(statement).bind(&pattern);
                    query.fetch_one(&mut *to).await?
                }
            };
            if count > 0 {
                places.push(format!("{table}.{column}"));
            }
        }
        Ok(places)
    }

    /// `PRAGMA integrity_check` of a `SQLite` file; "ok" when it is whole.
    pub async fn integrity(&mut self) -> Result<String> {
        match self {
            Self::Sqlite(to) => Ok(sqlx::query_scalar("PRAGMA integrity_check")
                .fetch_one(&mut *to)
                .await?),
            Self::Postgres(_) => Ok("ok".to_owned()),
        }
    }
}
