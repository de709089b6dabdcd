//! Histories of cases, played against a store in memory that keeps what the real one keeps.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod asked;
mod histories;
mod hours;
mod promises;
mod talk;
pub(super) mod world;
