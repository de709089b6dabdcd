//! The parts of a lift in their order, with a mark where something was seen.

use super::{WIDE, rect};
use crate::catalog::{LiftBook, Stage};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// One part of a lift.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which.
    pub stage: Stage,
    /// Something was seen or felt in it.
    pub seen: bool,
}

/// The parts of this lift that its signs and causes belong to, in order of time, marked where one of
/// `present` belongs. Signs of pain mark nothing: the picture is about the lift. A sign of the whole
/// set marks no part by itself.
pub fn parts(book: &LiftBook, present: &[String]) -> Vec<Part> {
    let of_signs = book
        .signs
        .iter()
        .flat_map(|sign| sign.stages.iter().copied());
    let of_causes = book.causes.iter().map(|cause| cause.stage);
    let stages: BTreeSet<Stage> = of_signs.chain(of_causes).collect();
    let seen: BTreeSet<Stage> = present
        .iter()
        .filter_map(|id| book.sign(id))
        .filter(|sign| !sign.pain)
        .flat_map(|sign| sign.stages.iter().copied())
        .collect();
    stages
        .into_iter()
        .filter(|stage| *stage != Stage::All)
        .map(|stage| Part {
            stage,
            seen: seen.contains(&stage),
        })
        .collect()
}

/// Margin at both sides and between two parts, millimetres.
const MARGIN: f64 = 100.0;
const GAP: f64 = 24.0;

/// Draws the strip from `top` on: a numbered field a part, a ring with a dot where something was seen.
pub(super) fn draw(out: &mut String, parts: &[Part], top: f64, high: f64) {
    let count = parts.len() as f64;
    let wide = (WIDE - 2.0 * MARGIN - GAP * (count - 1.0)) / count;
    let (field, line) = (
        high - 120.0,
        "stroke=\"#26222e\" fill=\"none\" stroke-linecap=\"round\"",
    );
    let upper = top + 60.0;
    for (at, part) in parts.iter().enumerate() {
        let left = MARGIN + (wide + GAP) * at as f64;
        let fill = if part.seen { "#f0d9b5" } else { "#efece4" };
        rect(out, (left, upper), (wide, field), 18.0, fill);
        let (x, y) = (left + wide / 2.0, upper + field / 2.0);
        if part.seen {
            let _ = write!(
                out,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"44\" stroke-width=\"12\" {line}/>\
                 <circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"20\" fill=\"#26222e\"/>"
            );
        }
        let path = digit(at + 1, (left + 44.0, upper + 56.0));
        let _ = write!(out, "<path d=\"{path}\" stroke-width=\"9\" {line}/>");
    }
}

/// A digit as strokes around a middle: the seven segments of a pocket calculator. What has more than
/// one digit is not drawn; no lift has ten parts.
pub(super) fn digit(number: usize, (x, y): (f64, f64)) -> String {
    // Top, middle, bottom; left above, left below; right above, right below.
    let lit: &[usize] = match number {
        1 => &[5, 6],
        2 => &[0, 5, 1, 4, 2],
        3 => &[0, 1, 2, 5, 6],
        4 => &[3, 1, 5, 6],
        5 => &[0, 3, 1, 6, 2],
        6 => &[0, 3, 1, 4, 6, 2],
        7 => &[0, 5, 6],
        8 => &[0, 1, 2, 3, 4, 5, 6],
        9 => &[0, 1, 2, 3, 5, 6],
        _ => &[],
    };
    let (half, tall) = (16.0, 28.0);
    let (left, right) = (x - half, x + half);
    let ends = [
        (left, y - tall, right, y - tall),
        (left, y, right, y),
        (left, y + tall, right, y + tall),
        (left, y - tall, left, y),
        (left, y, left, y + tall),
        (right, y - tall, right, y),
        (right, y, right, y + tall),
    ];
    lit.iter().filter_map(|segment| ends.get(*segment)).fold(
        String::new(),
        |mut path, (x1, y1, x2, y2)| {
            let _ = write!(path, "M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}");
            path
        },
    )
}
