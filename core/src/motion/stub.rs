//! Stands where following a trace goes until that is merged; follows nothing.
use super::{Motion, Rep};
use crate::report::{FieldError, Lift, Trace, View};
/// None yet.
#[derive(Clone, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TraceLimits {}
/// Follows nothing yet.
pub fn follow(
    _: Lift,
    _: Option<View>,
    _: Option<f64>,
    _: &[Trace],
    _: &TraceLimits,
) -> Result<Option<Motion>, Vec<FieldError>> {
    Ok(None)
}
/// No repetitions yet.
pub fn reps(_: &Motion, _: &TraceLimits) -> Vec<Rep> {
    Vec::new()
}
