//! A figure with the spread that the lengths behind it leave.

use super::{Build, Dimension};

/// Standard normal quantile of 0.9: the ends of an 80 % interval, as for estimates of strength.
const Z80: f64 = 1.281_551_565_544_600_4;

/// What a build lets expect, with an 80 % interval; in the unit of the figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The figure for the lengths as they stand.
    pub value: f64,
    /// Standard deviation by the spread of the lengths alone.
    pub sd: f64,
    /// Lower end of the 80 % interval.
    pub low: f64,
    /// Upper end of the 80 % interval.
    pub high: f64,
    /// Within one standard deviation of some length there is no answer at all (no lean balances, an
    /// arm does not reach): the interval is narrower than the truth.
    pub edge: bool,
}

impl Expected {
    /// A figure with its standard deviation.
    fn new(value: f64, sd: f64, edge: bool) -> Self {
        Self {
            value,
            sd,
            low: value - Z80 * sd,
            high: value + Z80 * sd,
            edge,
        }
    }

    /// The same with an interval of at least `margin` to each side.
    #[must_use]
    pub(super) fn at_least(self, margin: f64) -> Self {
        Self {
            low: self.low.min(self.value - margin),
            high: self.high.max(self.value + margin),
            ..self
        }
    }

    /// True when the figure lies within the interval.
    pub fn holds(&self, figure: f64) -> bool {
        (self.low..=self.high).contains(&figure)
    }
}

/// The figure of a build with its spread: each length is moved by one standard deviation up and
/// down, half the difference is its part, and the parts are added as squares. Lengths are taken as
/// independent, which makes the spread a little too wide (a long thigh goes with a short shank when
/// the stature is known). None when the build itself has no figure, or none beside it.
pub(super) fn expected(
    build: &Build,
    dimensions: &[Dimension],
    figure: impl Fn(&Build) -> Option<f64>,
) -> Option<Expected> {
    let value = figure(build).filter(|value| value.is_finite())?;
    let (mut variance, mut edge) = (0.0, false);
    for &dimension in dimensions {
        let at = |by| figure(&build.but(dimension, by)).filter(|value| value.is_finite());
        let part = match (at(-1.0), at(1.0)) {
            (Some(short), Some(long)) => (long - short) / 2.0,
            (Some(one), None) | (None, Some(one)) => {
                edge = true;
                one - value
            }
            (None, None) => return None,
        };
        variance += part * part;
    }
    Some(Expected::new(value, variance.sqrt(), edge))
}
