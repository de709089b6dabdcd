//! The way out: everything that opens a connection lives in this folder.

pub mod door;
