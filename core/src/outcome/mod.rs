//! Did it work: what one resubmission shows, and what many show of a correction.
//!
//! [`compare`] judges one set against the one before. [`survival`] counts how soon signs are gone
//! where many were followed, some of them not to the end. [`works`] is the coach's table of it.

pub mod survival;
mod verdict;
pub mod works;

#[cfg(test)]
mod tests;

pub use verdict::{Verdict, compare};
