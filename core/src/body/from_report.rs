//! The build that a set report tells.

use super::{Build, Measured};
use crate::quantity::Length;
use crate::report::SetReport;

/// The build of a report: its stature, the lengths that were measured, and the body mass when it is
/// known. None without a stature, or when a figure is no length or mass (a report that was checked
/// has none such).
pub fn build_of(report: &SetReport) -> Option<Build> {
    let segments = &report.segments;
    let measured = Measured {
        shank: segments.shank.map(Length::metres),
        thigh: segments.thigh.map(Length::metres),
        trunk: segments.trunk.map(Length::metres),
        arm: segments.arm.map(Length::metres),
    };
    let body_kg = report.body_mass.map(crate::quantity::Mass::kg);
    Build::new(report.stature?.metres(), measured, body_kg)
}
