#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
//! The practice room as a newcomer, a hostile page and the service meet it.

mod chat;
mod contract;
mod room;
mod show;
mod stage;
