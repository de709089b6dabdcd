//! Plates on the bar, and the warm-up to a top load.

use super::super::{Rounding, bar_over, caution, from_set, load_bar, usual_plates, warm_up};
use crate::quantity::{Mass, MassUnit};
use crate::report::Plates;
use proptest::prelude::*;

/// A 45 lb bar with few pairs.
fn few_pounds() -> Plates {
    Plates {
        unit: MassUnit::Lb,
        bar: 45.0,
        collars: 0.0,
        pairs: vec![
            (45.0, 3),
            (35.0, 1),
            (25.0, 1),
            (10.0, 2),
            (5.0, 1),
            (2.5, 1),
        ],
    }
}

/// Competition bar and collars of 25 kg with few pairs.
fn few_kilos() -> Plates {
    Plates {
        unit: MassUnit::Kg,
        bar: 20.0,
        collars: 5.0,
        pairs: vec![
            (25.0, 2),
            (20.0, 1),
            (15.0, 1),
            (10.0, 1),
            (5.0, 1),
            (2.5, 1),
            (1.25, 1),
        ],
    }
}

#[test]
fn bars_are_loaded_as_worked_out_by_trying_every_set_of_plates() {
    let lb: [(f64, f64, &[f64]); 6] = [
        (165.0, 165.0, &[35.0, 25.0]),
        (300.0, 300.0, &[45.0, 45.0, 35.0, 2.5]),
        (315.0, 315.0, &[45.0, 45.0, 45.0]),
        (322.0, 320.0, &[45.0, 45.0, 45.0, 2.5]),
        (347.0, 345.0, &[45.0, 45.0, 35.0, 25.0]),
        (401.0, 400.0, &[45.0, 45.0, 45.0, 35.0, 5.0, 2.5]),
    ];
    for (target, total, per_side) in lb {
        let bar = load_bar(
            Mass::new(target, MassUnit::Lb),
            &few_pounds(),
            Rounding::Nearest,
        );
        let bar = bar.unwrap();
        assert_eq!((bar.total.value, &bar.per_side[..]), (total, per_side));
        assert_eq!(bar.residual, target - total);
    }
    let kg = |target, rounding| {
        load_bar(Mass::new(target, MassUnit::Kg), &few_kilos(), rounding).unwrap()
    };
    assert_eq!(kg(100.0, Rounding::Nearest).per_side, [25.0, 10.0, 2.5]);
    assert_eq!(
        kg(142.5, Rounding::Nearest).per_side,
        [25.0, 25.0, 5.0, 2.5, 1.25]
    );
    assert_eq!(kg(183.7, Rounding::Nearest).total.value, 182.5);
    assert_eq!(kg(199.58, Rounding::Nearest).total.value, 200.0);
    assert_eq!(kg(199.58, Rounding::Down).total.value, 197.5);
}

#[test]
fn four_hundred_and_forty_pounds_is_not_two_hundred_kilos() {
    // 440 lb is 199.5806428 kg (NIST SP 811 factor), so a kilogram rack rounds it down.
    let plates = usual_plates(MassUnit::Kg);
    let bar = load_bar(Mass::new(440.0, MassUnit::Lb), &plates, Rounding::Down).unwrap();
    assert_eq!(bar.total, Mass::new(197.5, MassUnit::Kg));
    // The same mass through the other unit and back still fits exactly.
    let target = Mass::new(142.5, MassUnit::Kg).in_unit(MassUnit::Lb);
    let bar = load_bar(target, &plates, Rounding::Down).unwrap();
    assert_eq!(bar.total.value, 142.5);
}

#[test]
fn half_way_between_two_totals_the_lighter_is_loaded() {
    let target = Mass::new(143.75, MassUnit::Kg);
    let bar = load_bar(target, &usual_plates(MassUnit::Kg), Rounding::Nearest).unwrap();
    assert_eq!((bar.total.value, bar.residual), (142.5, 1.25));
    let target = Mass::new(143.76, MassUnit::Kg);
    let bar = load_bar(target, &usual_plates(MassUnit::Kg), Rounding::Nearest).unwrap();
    assert_eq!(bar.total.value, 145.0);
}

#[test]
fn nothing_can_be_loaded_below_the_empty_bar_and_it_is_said_by_how_much() {
    let plates = few_pounds();
    let target = Mass::new(40.0, MassUnit::Lb);
    assert_eq!(load_bar(target, &plates, Rounding::Nearest), None);
    let over = bar_over(target, &plates).unwrap();
    assert_eq!((over.by.value, over.percent), (5.0, 12.5));
    let bar = load_bar(Mass::new(45.0, MassUnit::Lb), &plates, Rounding::Down).unwrap();
    assert!(bar.per_side.is_empty());
    assert_eq!(bar_over(Mass::new(45.0, MassUnit::Lb), &plates), None);
}

#[test]
fn more_than_all_plates_loads_them_all() {
    let bar = load_bar(
        Mass::new(900.0, MassUnit::Lb),
        &few_pounds(),
        Rounding::Down,
    )
    .unwrap();
    assert_eq!(
        bar.total.value,
        45.0 + 2.0 * (135.0 + 35.0 + 25.0 + 20.0 + 5.0 + 2.5)
    );
}

#[test]
fn nonsense_plates_and_targets_do_not_load_or_hang() {
    let mut plates = few_kilos();
    plates.pairs = vec![
        (f64::NAN, 1),
        (-5.0, 2),
        (0.0, 4),
        (1e300, 3),
        (1.234_567, 2),
        (10.0, u32::MAX),
    ];
    let bar = load_bar(Mass::new(1e12, MassUnit::Kg), &plates, Rounding::Down).unwrap();
    assert!(bar.per_side.iter().all(|plate| *plate == 10.0));
    for target in [f64::NAN, f64::INFINITY, -1.0] {
        assert_eq!(
            load_bar(Mass::new(target, MassUnit::Kg), &plates, Rounding::Nearest),
            None
        );
    }
}

#[test]
fn the_largest_rack_a_report_may_hold_is_searched_whole() {
    // Sixteen odd sizes, twenty pairs each, no common grain.
    let pairs = (0..16)
        .map(|n| (1.005 + f64::from(n) * 2.315, 20))
        .collect();
    let plates = Plates {
        unit: MassUnit::Kg,
        bar: 20.0,
        collars: 0.0,
        pairs,
    };
    let bar = load_bar(Mass::new(613.37, MassUnit::Kg), &plates, Rounding::Down).unwrap();
    assert!(
        bar.residual >= -1e-6 && bar.residual < 0.01,
        "{}",
        bar.residual
    );
}

#[test]
fn the_usual_racks_step_by_two_and_a_half_kilos_and_five_pounds() {
    // From the empty bar to a third of a tonne, as any gym can.
    for (unit, step) in [(MassUnit::Kg, 2.5), (MassUnit::Lb, 5.0)] {
        let plates = usual_plates(unit);
        for steps in 0..120 {
            let target = plates.bar + f64::from(steps) * step;
            let bar = load_bar(Mass::new(target, unit), &plates, Rounding::Down).unwrap();
            assert_eq!(bar.total.value, target);
        }
    }
}

#[test]
fn a_warm_up_to_140_kilos_rises_in_loadable_steps() {
    // Common practice: empty bar, then 40, 55, 70 and 80 % of the top.
    let sets = warm_up(
        Mass::new(140.0, MassUnit::Kg),
        &usual_plates(MassUnit::Kg),
        None,
    );
    let totals: Vec<f64> = sets.iter().map(|set| set.bar.total.value).collect();
    assert_eq!(totals, [20.0, 55.0, 75.0, 97.5, 110.0]);
    let reps: Vec<u32> = sets.iter().map(|set| set.reps).collect();
    assert_eq!(reps, [8, 5, 4, 3, 2]);
}

#[test]
fn a_single_at_90_percent_comes_before_heavy_tops_only() {
    // 140 kg x 1 to failure: a best single of 140 kg.
    let mut report = super::to_failure(1.0, 1);
    report.load = Some(Mass::new(140.0, MassUnit::Kg));
    let estimate = from_set(&report).unwrap();
    let last = |top: f64| {
        let top = Mass::new(top, MassUnit::Kg);
        let sets = warm_up(top, &usual_plates(MassUnit::Kg), Some(&estimate));
        let set = sets.last().unwrap().clone();
        (set.bar.total.value, set.reps)
    };
    assert_eq!(last(120.0), (107.5, 1), "86 % of the best single");
    assert_eq!(last(118.0), (92.5, 2), "84 % of the best single");
}

#[test]
fn a_top_near_or_above_the_best_single_is_cautioned_about() {
    let mut report = super::to_failure(1.0, 1);
    report.load = Some(Mass::new(140.0, MassUnit::Kg));
    let best = from_set(&report).unwrap();
    let said = |top| caution(Mass::new(top, MassUnit::Kg), Some(&best));
    assert_eq!(said(120.0), None);
    assert!(said(130.0).unwrap().contains("90 %"));
    assert!(said(160.0).unwrap().contains("ask the coach"));
    assert_eq!(caution(Mass::new(160.0, MassUnit::Kg), None), None);
}

/// Every set of plates of a rack, by counting through all of them.
fn all_ways(pairs: &[(f64, u32)]) -> Vec<Vec<f64>> {
    let mut ways: Vec<Vec<f64>> = vec![Vec::new()];
    for &(plate, count) in pairs {
        ways = ways
            .into_iter()
            .flat_map(|way| {
                (0..=count).map(move |used| {
                    let mut more = way.clone();
                    more.extend(std::iter::repeat_n(plate, used as usize));
                    more
                })
            })
            .collect();
    }
    for way in &mut ways {
        way.sort_by(|a, b| b.total_cmp(a));
    }
    ways
}

/// The best way by the same order of wishes, found by trying all.
fn by_trial(target: f64, plates: &Plates, rounding: Rounding) -> Vec<f64> {
    let fine = |mass: f64| (mass * 1e6).round();
    let key = |way: &Vec<f64>| {
        let total = plates.bar + plates.collars + 2.0 * way.iter().sum::<f64>();
        let over = fine(total) - fine(target);
        (over.abs(), over > 0.0, way.len())
    };
    all_ways(&plates.pairs)
        .into_iter()
        .filter(|way| rounding == Rounding::Nearest || !key(way).1)
        .min_by(|a, b| {
            let (x, y) = (key(a), key(b));
            x.0.total_cmp(&y.0)
                .then(x.1.cmp(&y.1))
                .then(x.2.cmp(&y.2))
                .then_with(|| {
                    b.iter()
                        .zip(a.iter())
                        .map(|(b, a)| b.total_cmp(a))
                        .find(|order| order.is_ne())
                        .unwrap_or(std::cmp::Ordering::Equal)
                })
        })
        .unwrap()
}

/// A few sizes of plate with up to eight pairs in all.
fn racks() -> impl Strategy<Value = Vec<(f64, u32)>> {
    let sizes = prop::sample::subsequence(
        vec![0.5, 1.25, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 35.0, 45.0],
        0..=6,
    );
    sizes.prop_flat_map(|sizes| {
        let counts = prop::collection::vec(0_u32..=2, sizes.len());
        counts.prop_map(move |counts| {
            let mut left = 8;
            sizes
                .iter()
                .copied()
                .zip(counts.into_iter().map(|count| {
                    let used = count.min(left);
                    left -= used;
                    used
                }))
                .collect()
        })
    })
}

proptest! {
    #[test]
    fn no_other_set_of_plates_is_better(
        pairs in racks(), quarter in 80_u32..1200, down in any::<bool>(),
        unit in prop::sample::select(vec![MassUnit::Kg, MassUnit::Lb]),
    ) {
        let plates = Plates { unit, bar: 20.0, collars: 0.0, pairs };
        let rounding = if down { Rounding::Down } else { Rounding::Nearest };
        let target = f64::from(quarter) / 4.0;
        let bar = load_bar(Mass::new(target, unit), &plates, rounding).unwrap();
        prop_assert_eq!(&bar.per_side, &by_trial(target, &plates, rounding));
        let sum: f64 = bar.per_side.iter().sum();
        prop_assert_eq!(bar.total.value, 20.0 + 2.0 * sum);
        for &(plate, count) in &plates.pairs {
            let used = bar.per_side.iter().filter(|used| **used == plate).count();
            prop_assert!(used <= count as usize);
        }
        if down { prop_assert!(bar.total.value <= target + 1e-6); }
    }

    #[test]
    fn many_pairs_of_a_size_are_all_thought_of(
        counts in (0_u32..=9, 0_u32..=7, 0_u32..=5), quarter in 80_u32..1600, down in any::<bool>(),
    ) {
        // Sizes that share no easy pattern, so that bundles of plates matter.
        let pairs = vec![(2.5, counts.0), (7.25, counts.1), (11.0, counts.2)];
        let plates = Plates { unit: MassUnit::Kg, bar: 20.0, collars: 0.0, pairs };
        let rounding = if down { Rounding::Down } else { Rounding::Nearest };
        let target = f64::from(quarter) / 4.0;
        let bar = load_bar(Mass::new(target, MassUnit::Kg), &plates, rounding).unwrap();
        prop_assert_eq!(&bar.per_side, &by_trial(target, &plates, rounding));
    }

    #[test]
    fn one_more_pair_never_makes_it_worse(
        pairs in racks(), target in 20.0..300.0_f64, extra in prop::sample::select(vec![1.25, 5.0, 20.0]),
    ) {
        let plates = Plates { unit: MassUnit::Kg, bar: 20.0, collars: 0.0, pairs };
        let mut more = plates.clone();
        more.pairs.push((extra, 1));
        let target = Mass::new(target, MassUnit::Kg);
        for rounding in [Rounding::Nearest, Rounding::Down] {
            let with = load_bar(target, &more, rounding).unwrap();
            let without = load_bar(target, &plates, rounding).unwrap();
            prop_assert!(with.residual.abs() <= without.residual.abs() + 1e-6);
        }
    }

    #[test]
    fn warm_ups_rise_strictly_and_stay_below_the_top(
        top in 20.0..300.0_f64, pairs in racks(),
    ) {
        let plates = Plates { unit: MassUnit::Kg, bar: 20.0, collars: 0.0, pairs };
        let sets = warm_up(Mass::new(top, MassUnit::Kg), &plates, None);
        for pair in sets.windows(2) {
            prop_assert!(pair[1].bar.total.value > pair[0].bar.total.value);
        }
        prop_assert!(sets.iter().all(|set| set.bar.total.value < top));
    }
}
