//! Pictures of a set as SVG 1.1: what hangs on the bar, to scale, where in the lift something was
//! seen, and how the bar went where it was followed.
//!
//! Shapes only: no text, no font, nothing fetched, so that it looks the same wherever it is drawn.
//! One unit of the drawing is a millimetre of the bar. Words beside it say what it shows; nothing in
//! it is told by colour alone.

mod bar;
#[cfg(test)]
mod followed;
mod motion;
mod stages;
#[cfg(test)]
mod tests;

pub use bar::{BAR_MM, diameter_mm, thickness_mm};
pub use stages::{Part, parts};

use crate::load::LoadedBar;
use crate::motion::Followed;
use std::fmt::Write as _;

/// Width of the drawing, millimetres of the bar: its length and a margin on both sides.
pub const WIDE: f64 = BAR_MM + 200.0;

/// Height of the part with the bar, millimetres.
const BAR_PART: f64 = 560.0;

/// Height of the part with the stages, millimetres.
const STAGE_PART: f64 = 320.0;

/// Draws a set: the bar when its load is known, and the parts of the lift when there are any. None
/// when there is nothing to draw.
pub fn of_set(bar: Option<&LoadedBar>, parts: &[Part]) -> Option<String> {
    of_followed_set(None, bar, parts)
}

/// Draws how the bar went in a followed set; none when there is no path to draw.
pub fn of_motion(followed: &Followed) -> Option<String> {
    of_followed_set(Some(followed), None, &[])
}

/// Draws a set with how the bar went above it, if it was followed.
pub fn of_followed_set(
    followed: Option<&Followed>,
    bar: Option<&LoadedBar>,
    parts: &[Part],
) -> Option<String> {
    let mut way = String::new();
    let drawn = followed.is_some_and(|followed| motion::draw(&mut way, followed, 0.0));
    if !drawn && bar.is_none() && parts.is_empty() {
        return None;
    }
    let way_part = if drawn { motion::HIGH } else { 0.0 };
    let bar_part = if bar.is_some() { BAR_PART } else { 0.0 };
    let stage_part = if parts.is_empty() { 0.0 } else { STAGE_PART };
    let high = way_part + bar_part + stage_part;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.0}\" height=\"{:.0}\" \
         viewBox=\"0 0 {WIDE:.0} {high:.0}\">\
         <rect width=\"{WIDE:.0}\" height=\"{high:.0}\" fill=\"#fdfcf8\"/>",
        WIDE / 2.0,
        high / 2.0,
    );
    out.push_str(&way);
    if let Some(bar) = bar {
        bar::draw(&mut out, bar, way_part + BAR_PART / 2.0);
    }
    if !parts.is_empty() {
        stages::draw(&mut out, parts, way_part + bar_part, STAGE_PART);
    }
    out.push_str("</svg>");
    Some(out)
}

/// A rectangle with a thin dark edge; figures to a tenth of a millimetre.
fn rect(out: &mut String, (x, y): (f64, f64), (wide, high): (f64, f64), round: f64, fill: &str) {
    // Writing to a `String` cannot fail.
    let _ = write!(
        out,
        "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{wide:.1}\" height=\"{high:.1}\" rx=\"{round:.1}\" \
         fill=\"{fill}\" stroke=\"#26222e\" stroke-width=\"2\"/>"
    );
}
