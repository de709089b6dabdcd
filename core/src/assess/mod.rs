//! The one door.
