//! What the two engines have in common: statements, values, rows, and the four ways to run them.
//!
//! The column rules (text, 64-bit whole numbers, flags, nothing else) make a closed set of values,
//! so that everything above this file is written once.

use super::StoreError;
use super::intake::NewRow;
use crate::record::EventKey;
use async_trait::async_trait;
use std::collections::HashSet;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// One file of `sql/`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Statement {
    /// File name without `.sql`, for logs.
    pub(super) name: &'static str,
    /// Its text.
    pub(super) text: &'static str,
}

/// The statement in `sql/NAME.sql`.
macro_rules! sql {
    ($name:literal) => {
        $crate::store::engine::Statement {
            name: $name,
            text: include_str!(concat!(
                env!("CARGO_MANIFEST_DIR"),
                "/src/store/sql/",
                $name,
                ".sql"
            )),
        }
    };
}
pub(super) use sql;

/// The claims and what is written many rows at a time, which each engine words its own way.
#[derive(Debug)]
pub(super) struct Claims {
    /// Leases events.
    pub(super) events: Statement,
    /// Leases dated asks.
    pub(super) follow_ups: Statement,
    /// Leases challenges.
    pub(super) challenges: Statement,
    /// Leases messages.
    pub(super) outgoing: Statement,
    /// Writes messages.
    pub(super) messages: Statement,
    /// Writes marks of one challenge.
    pub(super) marks: Statement,
}

/// A value bound to a statement.
#[derive(Clone, Debug)]
pub(super) enum Value {
    /// Text or nothing.
    Text(Option<String>),
    /// Whole number or nothing.
    Int(Option<i64>),
    /// Yes or no.
    Flag(bool),
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(Some(text.to_owned()))
    }
}

impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Self::Text(Some(text.clone()))
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(Some(text))
    }
}

impl From<&Option<String>> for Value {
    fn from(text: &Option<String>) -> Self {
        Self::Text(text.clone())
    }
}

impl From<i64> for Value {
    fn from(number: i64) -> Self {
        Self::Int(Some(number))
    }
}

impl From<u32> for Value {
    fn from(number: u32) -> Self {
        Self::Int(Some(i64::from(number)))
    }
}

impl From<Option<i64>> for Value {
    fn from(number: Option<i64>) -> Self {
        Self::Int(number)
    }
}

impl From<bool> for Value {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl From<jiff::Timestamp> for Value {
    fn from(time: jiff::Timestamp) -> Self {
        Self::Int(Some(time.as_millisecond()))
    }
}

impl From<Option<jiff::Timestamp>> for Value {
    fn from(time: Option<jiff::Timestamp>) -> Self {
        Self::Int(time.map(jiff::Timestamp::as_millisecond))
    }
}

/// The values of one statement, in order.
macro_rules! binds {
    ($($value:expr),* $(,)?) => { vec![$($crate::store::engine::Value::from($value)),*] };
}
pub(super) use binds;

/// One column of one row as read.
#[derive(Clone, Debug)]
pub(super) enum Cell {
    /// Nothing.
    Null,
    /// Text.
    Text(String),
    /// Whole number.
    Int(i64),
    /// Yes or no.
    Flag(bool),
}

/// One row as read; columns are asked for by name.
#[derive(Debug)]
pub(super) struct Row {
    /// Names, shared by all rows of one answer.
    pub(super) columns: Arc<[String]>,
    /// Values in the order of the names.
    pub(super) cells: Vec<Cell>,
}

/// An error on its way up, and whether the same transaction may simply be tried once more.
#[derive(Debug)]
pub(super) struct Fault {
    /// What the caller will see.
    pub(super) error: StoreError,
    /// The engine gave way to another transaction and nothing was written.
    pub(super) again: bool,
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        Self {
            error,
            again: false,
        }
    }
}

impl From<Fault> for StoreError {
    fn from(fault: Fault) -> Self {
        fault.error
    }
}

/// A write transaction; dropped without `commit`, it leaves no trace.
#[async_trait]
pub(super) trait Unit: Send {
    /// Runs a statement and tells how many rows it changed.
    async fn execute(&mut self, statement: Statement, values: Vec<Value>) -> Result<u64, Fault>;

    /// Runs a statement and returns its rows.
    async fn fetch(&mut self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault>;

    /// Makes everything durable.
    async fn commit(self: Box<Self>) -> Result<(), Fault>;
}

/// One of the two databases.
#[async_trait]
pub(super) trait Engine: Send + Sync + std::fmt::Debug {
    /// Its claims.
    fn claims(&self) -> &'static Claims;

    /// Starts a write transaction.
    async fn begin(&self) -> Result<Box<dyn Unit>, Fault>;

    /// Reads.
    async fn read(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault>;

    /// Runs one writing statement on its own and returns its rows; durable when it returns.
    async fn write(&self, statement: Statement, values: Vec<Value>) -> Result<Vec<Row>, Fault>;

    /// Runs one writing statement on its own and tells how many rows it changed; durable when it
    /// returns.
    async fn change(&self, statement: Statement, values: Vec<Value>) -> Result<u64, Fault>;

    /// Stores a group of events, skipping known keys, with one durable commit. Returns the keys that
    /// were known already. No key may stand in `rows` twice.
    async fn store_group(&self, rows: &[&NewRow]) -> Result<HashSet<EventKey>, Fault>;

    /// `source`, `id` and `body_hash` of kept events.
    async fn known(&self, rows: &[&NewRow]) -> Result<Vec<Row>, Fault>;

    /// Folds logs of earlier writes in, so that what was taken out stands nowhere; a best effort.
    async fn tidy(&self);

    /// Closes every connection.
    async fn close(&self);
}

/// Longest time a statement takes without a warning.
const SLOW: Duration = Duration::from_secs(1);

/// Notes how long a statement took; never what was bound to it.
pub(super) fn note(statement: Statement, start: Instant) {
    let took = start.elapsed();
    let micros = u64::try_from(took.as_micros()).unwrap_or(u64::MAX);
    if took >= SLOW {
        tracing::warn!(statement = statement.name, micros, "slow statement");
    } else {
        tracing::debug!(statement = statement.name, micros, "statement");
    }
}

/// A query of either driver with its values bound.
macro_rules! query {
    ($driver:ty, $statement:expr, $values:expr) => {
        $values.into_iter().fold(
            sqlx::query::<$driver>($statement.text),
            |query, value| match value {
                $crate::store::engine::Value::Text(text) => query.bind(text),
                $crate::store::engine::Value::Int(number) => query.bind(number),
                $crate::store::engine::Value::Flag(flag) => query.bind(flag),
            },
        )
    };
}
pub(super) use query;

/// The rows of either driver as our own.
macro_rules! rows {
    ($rows:expr) => {{
        use sqlx::{Column as _, Row as _, TypeInfo as _, ValueRef as _};
        let rows = $rows;
        let columns: std::sync::Arc<[String]> = rows
            .first()
            .map(|row| {
                row.columns()
                    .iter()
                    .map(|column| column.name().to_owned())
                    .collect()
            })
            .unwrap_or_default();
        rows.iter()
            .map(|row| {
                let mut cells = Vec::with_capacity(columns.len());
                for index in 0..columns.len() {
                    let raw = row.try_get_raw(index)?;
                    cells.push(if raw.is_null() {
                        $crate::store::engine::Cell::Null
                    } else {
                        match raw.type_info().name() {
                            "TEXT" => $crate::store::engine::Cell::Text(row.try_get(index)?),
                            "BOOL" | "BOOLEAN" => {
                                $crate::store::engine::Cell::Flag(row.try_get(index)?)
                            }
                            _ => $crate::store::engine::Cell::Int(row.try_get(index)?),
                        }
                    });
                }
                Ok($crate::store::engine::Row {
                    columns: columns.clone(),
                    cells,
                })
            })
            .collect::<Result<Vec<_>, sqlx::Error>>()
    }};
}
pub(super) use rows;
