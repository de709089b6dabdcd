//! Histories of cases, played against a store in memory that keeps what the real one keeps.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod aside;
mod asked;
mod besides;
mod files;
mod guardian;
mod histories;
mod hours;
mod manners;
mod meets;
mod plain_words;
mod plates;
mod promises;
mod talk;
mod traces;
mod wants;
pub(super) mod world;
