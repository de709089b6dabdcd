#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod agreeing;
mod marking;
mod speaking;
mod table;
