//! The rules of the house, read from the source itself.
