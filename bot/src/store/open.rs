//! Opening a store by its URL.

use super::database::Database;
use super::engine::Engine;
use super::postgres::PostgresEngine;
use super::sqlite::SqliteEngine;
use super::{Store, StoreError};
use std::sync::Arc;
use std::time::Duration;

/// How a store is opened; the defaults suit a service.
#[derive(Clone, Debug)]
pub struct OpenOptions {
    /// `SQLite`: connections that read, beside the one that writes.
    pub readers: u32,
    /// `PostgreSQL`: connections, at least 2.
    pub connections: u32,
    /// Events that may wait to be stored; one more is refused as unavailable.
    pub waiting: usize,
    /// Events stored by one commit at most.
    pub group: usize,
    /// Only look: nothing is made or brought up to date, and every write is refused.
    pub read_only: bool,
    /// How long to wait for a free connection.
    pub acquire_timeout: Duration,
    /// `SQLite`: how long to wait for another process that writes the same file.
    pub busy_timeout: Duration,
    /// `SQLite`: largest size of the file in pages of 4 KiB, when it must not grow without end.
    pub max_pages: Option<u32>,
    /// `PostgreSQL`: longest statement.
    pub statement_timeout: Duration,
    /// `PostgreSQL`: longest wait for a lock.
    pub lock_timeout: Duration,
    /// `PostgreSQL`: longest pause within a transaction.
    pub idle_timeout: Duration,
}

impl Default for OpenOptions {
    fn default() -> Self {
        Self {
            readers: 4,
            connections: 8,
            waiting: 4_096,
            group: 512,
            read_only: false,
            acquire_timeout: Duration::from_secs(5),
            busy_timeout: Duration::from_secs(2),
            max_pages: None,
            statement_timeout: Duration::from_secs(10),
            lock_timeout: Duration::from_secs(2),
            idle_timeout: Duration::from_secs(30),
        }
    }
}

/// Opens the database the URL names and brings its tables up to date, unless it is opened read only: `sqlite:PATH` for a file,
/// `postgres://...` for a server. Must be called within a tokio runtime.
pub async fn open(url: &str, options: &OpenOptions) -> Result<Arc<dyn Store>, StoreError> {
    let engine: Arc<dyn Engine> = match url.split_once(':').map(|(scheme, _)| scheme) {
        Some("sqlite") => Arc::new(SqliteEngine::open(url, options).await?),
        Some("postgres" | "postgresql") => Arc::new(PostgresEngine::open(url, options).await?),
        _ => {
            return Err(StoreError::Unexpected(
                "database URL: found no known scheme; accepted are sqlite:PATH and postgres://..."
                    .to_owned(),
            ));
        }
    };
    Ok(Arc::new(Database::new(engine, options)))
}
