//! Histories of a case, played against a store in memory.
