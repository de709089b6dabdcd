//! Draws for a bootstrap: a fixed sequence from a seed, so that the same answers give the same interval.

/// `SplitMix64` (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators",
/// OOPSLA 2014, figure 15). Not for secrets.
#[derive(Clone, Debug)]
pub struct Chance {
    state: u64,
}

impl Chance {
    /// A sequence that depends on the seed alone.
    pub const fn from_seed(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub const fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number below `limit`, by the high half of the product (Lemire 2019, "Fast random
    /// integer generation in an interval", without the rejection: for limits under 2³² no number is
    /// favoured by more than 2⁻³²). 0 when `limit` is 0.
    pub fn below(&mut self, limit: usize) -> usize {
        let product = u128::from(self.bits()) * (limit as u128);
        usize::try_from(product >> 64).unwrap_or(0)
    }
}
