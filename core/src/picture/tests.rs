//! The drawing is to scale, and marks what was seen.
#![allow(clippy::unwrap_used)]

use super::{BAR_MM, WIDE, diameter_mm, of_set, parts, thickness_mm};
use crate::catalog::Stage;
use crate::load::{LoadedBar, Rounding, load_bar, usual_plates};
use crate::quantity::{Mass, MassUnit};
use crate::reading::tests::whole_catalog;
use crate::report::Lift;
use proptest::prelude::*;

fn bar(load: f64, unit: MassUnit) -> LoadedBar {
    let load = Mass::new(load, unit);
    load_bar(load, &usual_plates(unit), Rounding::Nearest).unwrap()
}

/// The rectangles of a drawing: x, y, width, height.
fn rects(svg: &str) -> Vec<[f64; 4]> {
    let value = |tag: &str, name: &str| -> Option<f64> {
        let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
        rest.split('"').next()?.parse().ok()
    };
    svg.split("<rect")
        .skip(1)
        .filter_map(|tag| {
            Some([
                value(tag, "x")?,
                value(tag, "y")?,
                value(tag, "width")?,
                value(tag, "height")?,
            ])
        })
        .collect()
}

#[test]
fn plates_are_as_high_and_as_thick_as_they_are() {
    // 140 kg: 25, 25 and 10 on each side of a 20 kg bar.
    let svg = of_set(Some(&bar(140.0, MassUnit::Kg)), &[]).unwrap();
    let drawn = rects(&svg);
    let high = |wanted: f64| {
        drawn
            .iter()
            .filter(|[.., high]| (high - wanted).abs() < 0.1)
            .count()
    };
    assert_eq!(high(450.0), 4, "{svg}");
    assert_eq!(high(325.0), 2, "{svg}");
    // From one end of the sleeves to the other it is the length of the bar.
    let from = drawn.iter().map(|rect| rect[0]).fold(f64::MAX, f64::min);
    let to = drawn
        .iter()
        .map(|rect| rect[0] + rect[2])
        .fold(0.0, f64::max);
    assert!((to - from - BAR_MM).abs() < 0.5, "{from} to {to}");
    // The heavier plate hangs further in.
    let of = |wanted: f64| {
        drawn
            .iter()
            .find(|[x, .., high]| (high - wanted).abs() < 0.1 && *x > WIDE / 2.0)
    };
    assert!(of(450.0).unwrap()[0] < of(325.0).unwrap()[0]);
}

#[test]
fn a_plate_weighs_what_a_disc_of_steel_of_its_size_weighs() {
    // 7,850 kg/m3, and the volume of a cylinder.
    for kg in [0.5, 1.25, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 20.411_657] {
        let (radius, thick) = (diameter_mm(kg) / 2000.0, thickness_mm(kg) / 1000.0);
        let weight = 7850.0 * std::f64::consts::PI * radius * radius * thick;
        assert!((weight - kg).abs() < 1e-9, "{kg}: {weight}");
    }
}

#[test]
fn both_sides_are_alike_in_kilograms_and_in_pounds() {
    for bar in [bar(97.5, MassUnit::Kg), bar(315.0, MassUnit::Lb)] {
        let drawn = rects(&of_set(Some(&bar), &[]).unwrap());
        for [x, y, wide, high] in &drawn {
            let mirrored = WIDE - x - wide;
            let there = |other: &&[f64; 4]| {
                (other[0] - mirrored).abs() < 0.3
                    && (other[1] - y).abs() < 0.1
                    && (other[3] - high).abs() < 0.1
            };
            assert!(drawn.iter().any(|other| there(&other)), "{x} {wide} {high}");
        }
    }
}

#[test]
fn a_mark_stands_where_the_sign_belongs_and_pain_marks_nothing() {
    for (lift, book) in &whole_catalog().lifts {
        let all = parts(book, &[]);
        assert!((4..=9).contains(&all.len()), "{lift:?}: {all:?}");
        assert!(all.iter().all(|part| !part.seen));
        for sign in &book.signs {
            let marked: Vec<Stage> = parts(book, std::slice::from_ref(&sign.id))
                .into_iter()
                .filter(|part| part.seen)
                .map(|part| part.stage)
                .collect();
            let mut wanted: Vec<Stage> = sign.stages.clone();
            wanted.retain(|stage| *stage != Stage::All && !sign.pain);
            wanted.sort();
            assert_eq!(marked, wanted, "{}", sign.id);
        }
    }
}

#[test]
fn a_dot_is_drawn_for_each_part_that_was_seen() {
    let book = &whole_catalog().lifts[&Lift::Squat];
    let sign = book
        .signs
        .iter()
        .find(|sign| sign.stages == [Stage::Drive])
        .unwrap();
    let without = of_set(None, &parts(book, &[])).unwrap();
    let with = of_set(None, &parts(book, std::slice::from_ref(&sign.id))).unwrap();
    assert_eq!(without.matches("<circle").count(), 0);
    assert_eq!(with.matches("<circle").count(), 2);
    assert_eq!(
        with,
        of_set(None, &parts(book, std::slice::from_ref(&sign.id))).unwrap()
    );
    assert_eq!(of_set(None, &[]), None);
}

proptest! {
    #[test]
    fn whatever_hangs_on_it_the_bar_stays_on_the_page(
        per_side in prop::collection::vec(0.0..60.0_f64, 0..60)
    ) {
        let bar = LoadedBar { total: Mass::new(100.0, MassUnit::Kg), per_side, residual: 0.0 };
        let svg = of_set(Some(&bar), &[]).unwrap();
        for [x, y, wide, high] in rects(&svg) {
            prop_assert!(x >= 0.0 && y >= 0.0 && wide >= 0.0 && high >= 0.0);
            prop_assert!(x + wide <= WIDE && y + high <= 560.0, "{x} {y} {wide} {high}");
        }
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf") && !svg.contains("<text"));
    }
}
