//! Seven published formulas from repetitions to a best single, and their anchored average.
//!
//! Every formula gives a multiple of the load lifted for `R` repetitions to failure. Some do not
//! give 1 at one repetition (Mayhew gives 1.089), so each is anchored there first:
//! `ln A(R) = ln M(R) - ln M(1) * exp(-(R - 1) / 2)`. The estimate is the geometric mean of the
//! seven. It is smooth, so that errors of effort carry through it evenly, and a true single is
//! its own estimate. Only unit-free formulas are taken: an equation with a constant in kilograms
//! would answer differently in pounds.

/// Fewest repetitions to failure the average speaks of.
pub const FEWEST: f64 = 1.0;

/// Most repetitions to failure the average speaks of; beyond it there is no estimate.
pub const MOST: f64 = 15.0;

/// Above this many repetitions to failure an estimate is called coarse: published validity falls
/// beyond ten (Mayhew et al. 1995, Reynolds et al. 2006).
pub const COARSE_ABOVE: f64 = 10.0;

/// One published formula. The constants are as usually printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Formula {
    /// Epley 1985: `1 + R/30`.
    Epley,
    /// Brzycki 1993: `36 / (37 - R)`.
    Brzycki,
    /// Lander 1985: `100 / (101.3 - 2.67123 R)`.
    Lander,
    /// Lombardi 1989: `R^0.10`.
    Lombardi,
    /// Mayhew et al. 1992: `100 / (52.2 + 41.9 exp(-0.055 R))`.
    Mayhew,
    /// O'Conner et al. 1989: `1 + 0.025 R`.
    OConner,
    /// Wathan 1994: `100 / (48.8 + 53.8 exp(-0.075 R))`.
    Wathan,
}

impl Formula {
    /// All seven, in the order they are named above.
    pub const ALL: [Self; 7] = [
        Self::Epley,
        Self::Brzycki,
        Self::Lander,
        Self::Lombardi,
        Self::Mayhew,
        Self::OConner,
        Self::Wathan,
    ];

    /// Best single over load for `reps` to failure, as published (not anchored).
    ///
    /// Brzycki and Lander have poles near 37 repetitions; callers stay far below.
    pub fn multiple(self, reps: f64) -> f64 {
        match self {
            Self::Epley => 1.0 + reps / 30.0,
            Self::Brzycki => 36.0 / (37.0 - reps),
            Self::Lander => 100.0 / (101.3 - 2.671_23 * reps),
            Self::Lombardi => reps.powf(0.10),
            Self::Mayhew => 100.0 / (52.2 + 41.9 * (-0.055 * reps).exp()),
            Self::OConner => 1.0 + 0.025 * reps,
            Self::Wathan => 100.0 / (48.8 + 53.8 * (-0.075 * reps).exp()),
        }
    }

    /// Natural logarithm of the anchored multiple: 0 at one repetition.
    fn ln_anchored(self, reps: f64) -> f64 {
        self.multiple(reps).ln() - self.multiple(1.0).ln() * (-(reps - 1.0) / 2.0).exp()
    }
}

/// Natural logarithm of the average multiple, without limits on `reps`.
fn ln_average(reps: f64) -> f64 {
    let sum: f64 = Formula::ALL.iter().map(|f| f.ln_anchored(reps)).sum();
    sum / 7.0
}

/// Best single over load, for `reps` to failure; held to 1..=15 repetitions.
pub fn multiple(reps: f64) -> f64 {
    ln_average(reps.clamp(FEWEST, MOST)).exp()
}

/// Rise of the logarithm of [`multiple`] for one repetition more, taken over half a repetition
/// on each side (above only at one repetition, where there is nothing below).
pub fn slope(reps: f64) -> f64 {
    let reps = reps.clamp(FEWEST, MOST);
    let (below, above) = ((reps - 0.5).max(FEWEST), reps + 0.5);
    (ln_average(above) - ln_average(below)) / (above - below)
}

/// Standard deviation of the formulas on the log scale for a set truly to failure: 1.5 % at a
/// single, 4.0 % at six, 6.9 % at ten. Chosen to match published errors of estimate of 3 to 7 %
/// for 4 to 10 repetitions (Lacio et al., Hutchins and Gearhart 2010).
pub fn formula_sigma(reps: f64) -> f64 {
    0.015_f64.hypot(0.0075 * (reps - 1.0))
}

/// Load for `reps` repetitions with `reserve` left, from a best single in the same unit.
pub fn load_for(best_single: f64, reps: f64, reserve: f64) -> f64 {
    best_single / multiple(reps + reserve)
}

/// Repetitions to failure at `load` for a best single in the same unit, held to 1..=15.
///
/// The inverse of [`load_for`], by bisection to far below 1e-9 repetitions.
pub fn reps_to_failure(best_single: f64, load: f64) -> f64 {
    let wanted = best_single / load;
    let (mut low, mut high) = (FEWEST, MOST);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if multiple(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
