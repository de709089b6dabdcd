//! The rules of the house, read from the source itself: which way imports run, what each room may
//! use, what lies at the top, and how long things have become.

#![allow(
    clippy::expect_used,
    reason = "a source that cannot be read fails the test"
)]

mod imports;
mod measures;
mod source;
mod top;
