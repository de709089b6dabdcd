//! What the tests share: databases, and whatever else plays the world around the service.
//!
//! [`stage::run`] starts the real service on a fresh database, with chat platforms that live in
//! memory, and hands the story a [`stage::Stage`]: people do things, time passes, and the story
//! looks at what the platforms were told. Stories wait for marks, never for a time.

pub mod browser;
pub mod builders;
pub mod databases;
pub mod desk;
pub mod files;
pub mod look;
pub mod platform;
pub mod program;
pub mod stage;
