//! A loaded bar from the front, to scale.

use super::{WIDE, rect};
use crate::load::LoadedBar;
use crate::quantity::Mass;

/// Length of the bar, millimetres (2.2 m at most by the rules of the international federation, quoted
/// second-hand).
pub const BAR_MM: f64 = 2200.0;

/// From one inner stop of the bar to the other, millimetres (1.31 to 1.32 m, the same rules).
const BETWEEN: f64 = 1310.0;

/// Width of an inner stop, millimetres (from memory).
const STOP: f64 = 30.0;

/// Height of shaft, sleeve and stop, millimetres (28 to 29 for the shaft by the same rules; the
/// others from memory).
const SHAFT: f64 = 28.0;
const SLEEVE: f64 = 50.0;
const STOP_HIGH: f64 = 76.0;

/// Diameters of plates, millimetres by kilograms, lightest first: 450 for the large ones by the same
/// rules, the smaller ones as commonly sold (from memory).
const DIAMETERS: [(f64, f64); 7] = [
    (0.5, 134.0),
    (1.25, 160.0),
    (2.5, 190.0),
    (5.0, 228.0),
    (10.0, 325.0),
    (15.0, 400.0),
    (20.0, 450.0),
];

/// Density of steel, kilograms in a cubic millimetre (7,850 kg/m³, a usual handbook value, from memory).
const STEEL: f64 = 7.85e-6;

/// Diameter of a plate, millimetres: the usual one, straight between those known. No plate is larger
/// than the largest: what is heavier is thicker.
pub fn diameter_mm(kg: f64) -> f64 {
    let (first, last) = (DIAMETERS[0], DIAMETERS[DIAMETERS.len() - 1]);
    if kg <= first.0 {
        return first.1;
    }
    for pair in DIAMETERS.windows(2) {
        if let [(light, small), (heavy, large)] = pair
            && kg <= *heavy
        {
            return small + (large - small) * (kg - light) / (heavy - light);
        }
    }
    last.1
}

/// Thickness of a plate, millimetres, as a solid disc of steel of its diameter.
pub fn thickness_mm(kg: f64) -> f64 {
    let radius = diameter_mm(kg) / 2.0;
    kg.max(0.0) / (STEEL * std::f64::consts::PI * radius * radius)
}

/// Colours of plates by the least mass they stand for, kilograms: our own, darker for heavier; no
/// federation's.
const COLOURS: [(f64, &str); 7] = [
    (22.5, "#4b3460"),
    (17.5, "#7a4d3c"),
    (12.5, "#3f5a63"),
    (7.5, "#8c6b92"),
    (3.5, "#b98d5f"),
    (2.0, "#8d98a0"),
    (0.0, "#c3bbb2"),
];

fn colour(kg: f64) -> &'static str {
    let fits = COLOURS.iter().find(|(least, _)| kg >= *least);
    fits.map_or("#c3bbb2", |(_, colour)| *colour)
}

/// Draws the bar with its plates; `middle` is the height of its axis. Plates beyond the end of the
/// sleeve are left out: such a bar does not exist.
pub(super) fn draw(out: &mut String, bar: &LoadedBar, middle: f64) {
    let centre = WIDE / 2.0;
    let half = BETWEEN / 2.0;
    let sleeve = (BAR_MM - BETWEEN) / 2.0 - STOP;
    let lying = |high: f64| middle - high / 2.0;
    rect(
        out,
        (centre - half, lying(SHAFT)),
        (BETWEEN, SHAFT),
        0.0,
        "#b9bec4",
    );
    for side in [-1.0, 1.0] {
        // From the stop outwards; a rectangle is named by its left edge.
        let mut from = half;
        let mut part = |out: &mut String, wide: f64, high: f64, round: f64, fill: &str| {
            let left = if side < 0.0 {
                centre - from - wide
            } else {
                centre + from
            };
            rect(out, (left, lying(high)), (wide, high), round, fill);
            from += wide;
        };
        part(out, STOP, STOP_HIGH, 4.0, "#9aa1a8");
        let mut left_over = sleeve;
        for plate in &bar.per_side {
            let kg = Mass::new(*plate, bar.total.unit).kg();
            let thick = thickness_mm(kg);
            if thick > left_over {
                break;
            }
            left_over -= thick;
            part(out, thick, diameter_mm(kg), thick / 4.0, colour(kg));
        }
        part(out, left_over, SLEEVE, 0.0, "#d5d9dd");
    }
}
