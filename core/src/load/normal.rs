//! The normal distribution, by the rational approximations of W. J. Cody 1969.
//!
//! "Rational Chebyshev approximations for the error function", Mathematics of Computation 23,
//! 631-637. Three ranges; the relative error of `erfc` stays near the last place of `f64` as far
//! out as it can be written.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// `|x|` up to which `erf` itself is approximated.
const NEAR: f64 = 0.468_75;

/// `|x|` from which the expansion in `1/x²` is used.
const FAR: f64 = 4.0;

/// Top and bottom coefficients of each range, in the order Horner's rule takes them.
const NEAR_TOP: [f64; 5] = [
    1.857_777_061_846_031_5e-1,
    3.161_123_743_870_565_6,
    1.138_641_541_510_501_6e2,
    3.774_852_376_853_02e2,
    3.209_377_589_138_469_5e3,
];
const NEAR_BOTTOM: [f64; 5] = [
    1.0,
    2.360_129_095_234_412_1e1,
    2.440_246_379_344_441_7e2,
    1.282_616_526_077_372_3e3,
    2.844_236_833_439_171e3,
];
const MIDDLE_TOP: [f64; 9] = [
    2.153_115_354_744_038_5e-8,
    5.641_884_969_886_701e-1,
    8.883_149_794_388_376,
    6.611_919_063_714_163e1,
    2.986_351_381_974_001e2,
    8.819_522_212_417_69e2,
    1.712_047_612_634_070_6e3,
    2.051_078_377_826_071_5e3,
    1.230_339_354_797_997_3e3,
];
const MIDDLE_BOTTOM: [f64; 9] = [
    1.0,
    1.574_492_611_070_983_5e1,
    1.176_939_508_913_125e2,
    5.371_811_018_620_099e2,
    1.621_389_574_566_690_2e3,
    3.290_799_235_733_46e3,
    4.362_619_090_143_247e3,
    3.439_367_674_143_721_6e3,
    1.230_339_354_803_749_4e3,
];
const FAR_TOP: [f64; 6] = [
    1.631_538_713_730_209_8e-2,
    3.053_266_349_612_323_4e-1,
    3.603_448_999_498_044_4e-1,
    1.257_817_261_112_292_5e-1,
    1.608_378_514_874_228e-2,
    6.587_491_615_298_378e-4,
];
const FAR_BOTTOM: [f64; 6] = [
    1.0,
    2.568_520_192_289_822,
    1.872_952_849_923_467_3,
    5.279_051_029_514_284e-1,
    6.051_834_131_244_132e-2,
    2.335_204_976_268_691_8e-3,
];

/// Polynomial with the highest power first (Horner).
fn polynomial(x: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().fold(0.0, |sum, c| sum * x + c)
}

/// `exp(x²) erfc(x)` for `x` of at least [`NEAR`].
fn scaled_tail(x: f64) -> f64 {
    if x <= FAR {
        return polynomial(x, &MIDDLE_TOP) / polynomial(x, &MIDDLE_BOTTOM);
    }
    let z = 1.0 / (x * x);
    let part = z * polynomial(z, &FAR_TOP) / polynomial(z, &FAR_BOTTOM);
    (1.0 / PI.sqrt() - part) / x
}

/// `exp(-x²)` without losing the places that squaring loses.
fn exp_minus_square(x: f64) -> f64 {
    let coarse = (x * 16.0).trunc() / 16.0;
    let rest = (x - coarse) * (x + coarse);
    (-coarse * coarse).exp() * (-rest).exp()
}

/// Complementary error function.
pub(super) fn erfc(x: f64) -> f64 {
    let size = x.abs();
    if size <= NEAR {
        let z = size * size;
        return 1.0 - x * polynomial(z, &NEAR_TOP) / polynomial(z, &NEAR_BOTTOM);
    }
    let tail = exp_minus_square(size) * scaled_tail(size);
    if x < 0.0 { 2.0 - tail } else { tail }
}

/// `exp(x²) erfc(x)`: the tail without the factor that makes it vanish; for `x` of at least 0.
pub(super) fn erfcx(x: f64) -> f64 {
    if x < NEAR {
        (x * x).exp() * erfc(x)
    } else {
        scaled_tail(x)
    }
}

/// Probability that a standard normal variable is at most `z`.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}
