//! What the tests share: databases, and whatever else plays the world around the service.

pub mod databases;
