//! The published formulas and their average.

use super::super::formulas::{Formula, formula_sigma, load_for, multiple, reps_to_failure, slope};
use super::{close, printed};
use proptest::prelude::*;

/// Multiples of the load by the formulas as printed by their authors (Epley 1985, Brzycki 1993,
/// Lander 1985, Lombardi 1989, Mayhew et al. 1992, O'Conner et al. 1989, Wathan 1994; constants
/// from memory of the papers), worked out by hand in another language.
const AS_PUBLISHED: [(f64, [f64; 7]); 11] = [
    (
        1.0,
        [
            1.033_333, 1.000_000, 1.013_903, 1.000_000, 1.088_640, 1.025_000, 1.013_042,
        ],
    ),
    (
        2.0,
        [
            1.066_667, 1.028_571, 1.042_128, 1.071_773, 1.114_387, 1.050_000, 1.051_457,
        ],
    ),
    (
        3.0,
        [
            1.100_000, 1.058_824, 1.071_969, 1.116_123, 1.139_903, 1.075_000, 1.089_797,
        ],
    ),
    (
        4.0,
        [
            1.133_333, 1.090_909, 1.103_569, 1.148_698, 1.165_154, 1.100_000, 1.127_955,
        ],
    ),
    (
        5.0,
        [
            1.166_667, 1.125_000, 1.137_089, 1.174_619, 1.190_107, 1.125_000, 1.165_825,
        ],
    ),
    (
        6.0,
        [
            1.200_000, 1.161_290, 1.172_709, 1.196_231, 1.214_729, 1.150_000, 1.203_306,
        ],
    ),
    (
        8.0,
        [
            1.266_667, 1.241_379, 1.251_092, 1.231_144, 1.262_863, 1.200_000, 1.276_714,
        ],
    ),
    (
        8.5,
        [
            1.283_333, 1.263_158, 1.272_353, 1.238_631, 1.274_646, 1.212_500, 1.294_677,
        ],
    ),
    (
        10.0,
        [
            1.333_333, 1.333_333, 1.340_704, 1.258_925, 1.309_343, 1.250_000, 1.347_467,
        ],
    ),
    (
        12.0,
        [
            1.400_000, 1.440_000, 1.444_143, 1.282_089, 1.353_985, 1.300_000, 1.414_959,
        ],
    ),
    (
        15.0,
        [
            1.500_000, 1.636_364, 1.633_145, 1.311_019, 1.417_192, 1.375_000, 1.509_063,
        ],
    ),
];

/// Repetitions, average multiple, slope and formula spread, worked out in another language.
const AVERAGE: [(f64, f64, f64, f64); 24] = [
    (1.0, 1.000_000, 0.046_94, 0.015_00),
    (1.5, 1.023_746, 0.043_99, 0.015_46),
    (2.0, 1.044_975, 0.039_13, 0.016_77),
    (2.5, 1.064_601, 0.035_84, 0.018_75),
    (3.0, 1.083_108, 0.033_44, 0.021_21),
    (3.5, 1.100_805, 0.031_62, 0.024_01),
    (4.0, 1.117_902, 0.030_20, 0.027_04),
    (4.5, 1.134_556, 0.029_08, 0.030_23),
    (5.0, 1.150_883, 0.028_17, 0.033_54),
    (5.5, 1.166_976, 0.027_44, 0.036_93),
    (6.0, 1.182_905, 0.026_85, 0.040_39),
    (6.5, 1.198_728, 0.026_35, 0.043_89),
    (7.0, 1.214_490, 0.025_94, 0.047_43),
    (7.5, 1.230_231, 0.025_60, 0.051_01),
    (8.0, 1.245_980, 0.025_31, 0.054_60),
    (8.5, 1.261_766, 0.025_07, 0.058_22),
    (9.0, 1.277_611, 0.024_87, 0.061_85),
    (9.5, 1.293_536, 0.024_70, 0.065_49),
    (10.0, 1.309_559, 0.024_56, 0.069_15),
    (11.0, 1.341_966, 0.024_35, 0.076_49),
    (12.0, 1.374_955, 0.024_24, 0.083_85),
    (13.0, 1.408_645, 0.024_20, 0.091_24),
    (14.0, 1.443_155, 0.024_23, 0.098_65),
    (15.0, 1.478_611, 0.024_33, 0.106_07),
];

#[test]
fn each_formula_gives_the_multiples_of_its_author() {
    for (reps, row) in AS_PUBLISHED {
        for (formula, expected) in Formula::ALL.into_iter().zip(row) {
            printed(formula.multiple(reps), expected, 6);
        }
    }
}

#[test]
fn epley_and_brzycki_agree_at_ten_and_differ_by_a_thirtieth_at_one_and_seven() {
    // Both authors' formulas equated: R^2 - 7R - 30 = 0 has the roots 10 and -3.
    let apart = |reps| Formula::Epley.multiple(reps) - Formula::Brzycki.multiple(reps);
    assert!(apart(10.0).abs() < 1e-12);
    close(apart(1.0), 1.0 / 30.0, 1e-12);
    close(apart(7.0), 1.0 / 30.0, 1e-12);
    assert!(apart(11.0) < 0.0);
}

#[test]
fn the_average_its_slope_and_spread_have_the_values_worked_out_beside() {
    for (reps, expected, rise, spread) in AVERAGE {
        printed(multiple(reps), expected, 6);
        printed(slope(reps), rise, 5);
        printed(formula_sigma(reps), spread, 5);
    }
}

#[test]
fn a_true_single_is_its_own_estimate() {
    assert_eq!(multiple(1.0), 1.0);
}

#[test]
fn the_average_lies_within_1_4_points_of_the_handbook_row() {
    // National Strength and Conditioning Association, training load chart, 1 to 10 repetitions.
    let handbook = [100, 95, 93, 90, 87, 85, 83, 80, 77, 75];
    for (reps, percent) in (1_u32..).zip(handbook) {
        let ours = 100.0 / multiple(f64::from(reps));
        assert!((ours - f64::from(percent)).abs() <= 1.4, "{reps}: {ours}");
    }
}

#[test]
fn it_rises_with_every_hundredth_of_a_repetition() {
    let mut last = 0.0;
    for step in 100..=1500 {
        let now = multiple(f64::from(step) / 100.0);
        assert!(now > last, "at {step}");
        last = now;
    }
}

#[test]
fn loads_for_a_best_single_of_500_are_those_worked_out_beside() {
    for (reps, reserve, load) in [
        (3.0, 2.0, 434.448_9),
        (5.0, 1.0, 422.688_1),
        (8.0, 2.0, 381.807_9),
        (1.0, 2.0, 461.634_3),
        (3.0, 1.5, 440.701_2),
    ] {
        printed(load_for(500.0, reps, reserve), load, 4);
    }
    // Only the sum of repetitions and reserve matters: 5 at RPE 8, 6 at 9 and 7 at 10 alike.
    for (reps, reserve) in [(5.0, 2.0), (6.0, 1.0), (7.0, 0.0)] {
        printed(load_for(100.0, reps, reserve), 82.34, 2);
    }
}

proptest! {
    #[test]
    fn repetitions_come_back_from_the_load(best in 20.0..500.0_f64, reps in 1.0..15.0_f64) {
        let load = load_for(best, reps, 0.0);
        prop_assert!((reps_to_failure(best, load) - reps).abs() < 1e-9);
    }
}
