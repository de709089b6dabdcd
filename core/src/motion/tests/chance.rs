//! Noise that is the same on every machine: a linear congruential generator (the constants are
//! those of Numerical Recipes, from memory) and the Box-Muller transform.

/// A sequence of chance numbers from a seed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    /// Even between 0 and 1, both excluded.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = (1_664_525 * self.0 + 1_013_904_223) % (1 << 32);
        (self.0 as f64 + 0.5) / 4_294_967_296.0
    }

    /// From a standard normal law.
    pub(crate) fn gauss(&mut self) -> f64 {
        let (one, two) = (self.even(), self.even());
        (-2.0 * one.ln()).sqrt() * (2.0 * std::f64::consts::PI * two).cos()
    }
}
