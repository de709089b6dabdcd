//! How long an estimate, a prescription and the search for plates take.
//!
//! Targets: estimate under 2 microseconds, prescription with plates under 50, plate search with
//! twelve pairs under 20. The search is also done by counting through every set of plates; its
//! ratio to the search is printed at the end.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    missing_docs,
    reason = "a bench has no input"
)]

use cueline_core::catalog::{Dose, LoadBasis};
use cueline_core::load::{Rounding, estimate, load_bar, prescribe, usual_plates, warm_up};
use cueline_core::quantity::{Effort, Mass, MassUnit, Span};
use cueline_core::report::{Lift, Plates, SetReport};
use divan::{Bencher, black_box};
use std::time::Instant;

fn main() {
    divan::main();
    let (fast, slow) = (nanoseconds(by_search), nanoseconds(by_counting));
    println!(
        "plates: search {fast:.0} ns, counting through {slow:.0} ns, ratio {:.1}",
        slow / fast
    );
}

/// Mean time of one call.
#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn nanoseconds(work: fn() -> f64) -> f64 {
    const CALLS: u32 = 2_000;
    let start = Instant::now();
    for _ in 0..CALLS {
        black_box(work());
    }
    start.elapsed().as_secs_f64() * 1e9 / f64::from(CALLS)
}

/// A squat of 140 kg x 3 at RPE 8 to 9.
fn report() -> SetReport {
    SetReport {
        lift: Some(Lift::Squat),
        load: Some(Mass::new(140.0, MassUnit::Kg)),
        reps: Some(3),
        effort: Some(Effort::Rpe(Span::new(8.0, 9.0))),
        ..SetReport::default()
    }
}

/// Twelve pairs, each of another size, so that every set of plates is another total.
fn twelve_pairs() -> Plates {
    Plates {
        unit: MassUnit::Kg,
        bar: 20.0,
        collars: 5.0,
        pairs: vec![
            (25.0, 1),
            (20.0, 1),
            (15.0, 1),
            (10.0, 1),
            (7.5, 1),
            (5.0, 1),
            (2.5, 1),
            (2.0, 1),
            (1.5, 1),
            (1.25, 1),
            (1.0, 1),
            (0.5, 1),
        ],
    }
}

fn by_search() -> f64 {
    let target = Mass::new(black_box(187.3), MassUnit::Kg);
    load_bar(target, &twelve_pairs(), Rounding::Down)
        .unwrap()
        .total
        .value
}

/// The nearest total not above the target, by counting through every set of plates.
fn by_counting() -> f64 {
    let (target, rack) = (black_box(187.3), twelve_pairs());
    let mut best = (f64::INFINITY, u32::MAX);
    let mut used = vec![0_u32; rack.pairs.len()];
    loop {
        let (side, plates) = rack
            .pairs
            .iter()
            .zip(&used)
            .fold((0.0, 0), |(kg, n), (&(plate, _), &k)| {
                (kg + plate * f64::from(k), n + k)
            });
        let short = target - rack.bar - rack.collars - 2.0 * side;
        if short >= 0.0 && (short, plates) < best {
            best = (short, plates);
        }
        // The next set, as a counter with a wheel for each size.
        let mut place = 0;
        while place < used.len() && used[place] == rack.pairs[place].1 {
            used[place] = 0;
            place += 1;
        }
        let Some(wheel) = used.get_mut(place) else {
            return target - best.0;
        };
        *wheel += 1;
    }
}

#[divan::bench]
fn estimate_of_a_set(bencher: Bencher<'_, '_>) {
    bencher
        .with_inputs(report)
        .bench_refs(|report| estimate(black_box(report)).unwrap());
}

#[divan::bench]
fn prescription_with_plates(bencher: Bencher<'_, '_>) {
    let dose = Dose {
        exercise: "Paused squat".to_owned(),
        sets: Span::new(3.0, 5.0),
        reps: Span::new(2.0, 4.0),
        percent: Some(Span::new(65.0, 80.0)),
        weeks: Some(Span::exactly(4.0)),
        unit: None,
        of: LoadBasis::Lift,
        effort: None,
        note: String::new(),
    };
    let report = SetReport {
        plates: Some(twelve_pairs()),
        ..report()
    };
    let estimate = estimate(&report).unwrap();
    bencher.bench(|| prescribe(black_box(&dose), Some(&estimate), &report));
}

#[divan::bench]
fn warm_up_with_plates(bencher: Bencher<'_, '_>) {
    let (rack, top) = (usual_plates(MassUnit::Kg), Mass::new(180.0, MassUnit::Kg));
    bencher.bench(|| warm_up(black_box(top), &rack, None));
}

#[divan::bench]
fn plates_of_twelve_pairs() -> f64 {
    by_search()
}

#[divan::bench]
fn plates_of_twelve_pairs_by_counting() -> f64 {
    by_counting()
}

/// The usual kilogram rack of a gym: seven sizes, fifteen pairs.
#[divan::bench]
fn plates_of_an_ordinary_rack(bencher: Bencher<'_, '_>) {
    let rack = usual_plates(MassUnit::Kg);
    let target = Mass::new(187.3, MassUnit::Kg);
    bencher.bench(|| load_bar(black_box(target), &rack, Rounding::Down));
}

/// Sixteen sizes without a common grain, twenty pairs each.
#[divan::bench(sample_count = 20)]
fn plates_of_the_largest_rack(bencher: Bencher<'_, '_>) {
    let rack = Plates {
        pairs: (0..16)
            .map(|n| (1.005 + f64::from(n) * 2.315, 20))
            .collect(),
        ..twelve_pairs()
    };
    let target = Mass::new(613.37, MassUnit::Kg);
    bencher.bench(|| load_bar(black_box(target), &rack, Rounding::Down));
}
