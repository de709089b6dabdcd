//! The best single over the sets of a case, as a drawing. The table beside it says the same in
//! figures.

use super::Desk;
use crate::record::Round;
use cueline_core::quantity::{Mass, MassUnit};
use jiff::tz::TimeZone;
use maud::{Markup, html};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 96.0;
const MARGIN: f64 = 12.0;

/// One set with its estimate.
struct Spot {
    x: f64,
    point: f64,
    low: f64,
    high: f64,
}

/// A number as SVG takes it.
fn at(value: f64) -> String {
    format!("{value:.1}")
}

/// The drawing; nothing with fewer than two sets that have an estimate.
pub(super) fn progress(desk: &Desk, rounds: &[Round], unit: MassUnit) -> Markup {
    let known: Vec<(&Round, (f64, f64, f64))> = rounds
        .iter()
        .filter_map(|round| Some((round, round.estimate_kg?)))
        .collect();
    let (Some((first, from)), Some((last, to))) = (known.first(), known.last()) else {
        return html! {};
    };
    if known.len() < 2 {
        return html! {};
    }
    let zone = TimeZone::get(&desk.brain().rules.default_zone).unwrap_or(TimeZone::UTC);
    let day = |round: &Round| zone.to_datetime(round.at).strftime("%-d %B").to_string();
    let shown = |kg: f64| Mass::from_kg(kg, unit).about();
    let words = format!(
        "Best single over {} sets: from {} on {} to {} on {}.",
        known.len(),
        shown(from.0),
        day(first),
        shown(to.0),
        day(last)
    );
    let spots = spots(&known);
    let line: Vec<String> = spots
        .iter()
        .map(|spot| format!("{},{}", at(spot.x), at(spot.point)))
        .collect();
    html! {
        figure.progress {
            svg viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(words) {
                @for spot in &spots {
                    line.range x1=(at(spot.x)) x2=(at(spot.x)) y1=(at(spot.low)) y2=(at(spot.high)) {}
                }
                polyline.line points=(line.join(" ")) {}
                @for spot in &spots { circle.spot cx=(at(spot.x)) cy=(at(spot.point)) r="4" {} }
            }
            figcaption { (words) }
        }
    }
}

/// Places in the drawing: time to the right, load upwards.
fn spots(known: &[(&Round, (f64, f64, f64))]) -> Vec<Spot> {
    let seconds = |round: &Round| round.at.as_second() as f64;
    let times = known.iter().map(|(round, _)| seconds(round));
    let (start, end) = bounds(times);
    let (low, high) = bounds(known.iter().flat_map(|(_, kg)| [kg.1, kg.2]));
    let share = |value: f64, (from, to): (f64, f64)| {
        if to > from {
            (value - from) / (to - from)
        } else {
            0.5
        }
    };
    let up = |kg: f64| HEIGHT - MARGIN - share(kg, (low, high)) * (HEIGHT - 2.0 * MARGIN);
    known
        .iter()
        .map(|(round, kg)| Spot {
            x: MARGIN + share(seconds(round), (start, end)) * (WIDTH - 2.0 * MARGIN),
            point: up(kg.0),
            low: up(kg.1),
            high: up(kg.2),
        })
        .collect()
}

/// Smallest and largest.
fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}
