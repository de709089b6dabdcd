//! The catalog as committed, and what is said about one that is not whole.
