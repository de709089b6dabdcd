//! What a strength coach knows about one set, as plain functions.
//!
//! The crate is pure: no I/O, no clock, no randomness, no async, no logging. The same input
//! gives the same output, byte for byte. Time comes in as an argument.
//!
//! It reads in this order: [`quantity`] (units kept), [`report`] (one set and its bounds),
//! [`catalog`] (the coach's knowledge), [`reading`] (words to fields, signs and flags),
//! [`load`] (where the lifter stands, what to load), [`diagnosis`] (which fault is behind it),
//! [`triage`] (may it be answered at all), [`plan`] (what to do),
//! [`assess`] (the one door), [`challenge`] (marking the community), [`outcome`] (did it work) and
//! [`picture`] (a set, drawn).

pub mod assess;
pub mod body;
pub mod catalog;
pub mod challenge;
pub mod diagnosis;
pub mod load;
pub mod motion;
pub mod outcome;
pub mod picture;
pub mod plan;
pub mod quantity;
pub mod reading;
pub mod report;
pub mod triage;
