//! Traces of a set, measured: bar tracks and points of the body followed by a camera.
//!
//! A trace is parsed and put on an even grid, filtered, cut into repetitions and measured; every
//! quantity has its standard error, and a sign its probability. What a view cannot show is not
//! measured at all.

mod shape;

pub use shape::{Camera, Joint, Motion, Path, Rep};

#[cfg(test)]
mod tests;
