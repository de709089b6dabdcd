//! Quantities with their units kept: what the lifter typed stays beside the exact value.
//!
//! Everything is computed in kilograms and metres; the unit a person typed is kept so that a
//! reply can show their own unit first. Factors are exact by definition (NIST SP 811, app. B).

mod effort;
mod mass;
mod range;
mod typed;

pub use effort::{Effort, EffortError};
pub use mass::{KG_PER_LB, Length, LengthUnit, Mass, MassUnit, plain};
pub use range::Span;
pub use typed::TypedMass;

#[cfg(test)]
mod tests;
