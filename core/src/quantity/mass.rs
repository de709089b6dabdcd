//! Mass and length in the unit a person typed, with the exact SI value beside it.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Kilograms in one avoirdupois pound, exact by definition (NIST SP 811, appendix B).
pub const KG_PER_LB: f64 = 0.453_592_37;

/// Metres in one inch, exact by definition (NIST SP 811, appendix B).
const M_PER_IN: f64 = 0.0254;

/// The two units plates are marked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum MassUnit {
    /// Kilograms.
    Kg,
    /// Avoirdupois pounds.
    Lb,
}

impl MassUnit {
    /// Kilograms in one of this unit.
    pub const fn kg(self) -> f64 {
        match self {
            Self::Kg => 1.0,
            Self::Lb => KG_PER_LB,
        }
    }

    /// The other of the two units, for the figure in brackets.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Kg => Self::Lb,
            Self::Lb => Self::Kg,
        }
    }
}

impl fmt::Display for MassUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Kg => "kg",
            Self::Lb => "lb",
        })
    }
}

/// A mass as typed: the number and its unit, never converted until asked.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mass {
    /// The number as typed, in `unit`.
    pub value: f64,
    /// The unit as typed.
    pub unit: MassUnit,
}

impl Mass {
    /// A mass of `value` in `unit`.
    pub const fn new(value: f64, unit: MassUnit) -> Self {
        Self { value, unit }
    }

    /// A mass given in kilograms, shown in `unit`.
    pub fn from_kg(kg: f64, unit: MassUnit) -> Self {
        Self::new(kg / unit.kg(), unit)
    }

    /// Exact kilograms.
    pub fn kg(self) -> f64 {
        self.value * self.unit.kg()
    }

    /// The same mass expressed in `unit`; converts once, from the number as typed.
    #[must_use]
    pub fn in_unit(self, unit: MassUnit) -> Self {
        if unit == self.unit {
            self
        } else {
            Self::from_kg(self.kg(), unit)
        }
    }

    /// True when the number is finite and above zero.
    pub fn is_some_load(self) -> bool {
        self.value.is_finite() && self.value > 0.0
    }

    /// As typed, the other unit in brackets: `142.5 kg (314 lb)`, `315 lb (142.9 kg)`.
    ///
    /// The own number keeps two places at most; the other is shown to 0.1 kg or, from 50 lb up,
    /// to a whole pound, which is finer than plates are true.
    pub fn both(self) -> String {
        let other = self.in_unit(self.unit.other());
        let places = match other.unit {
            MassUnit::Lb if other.value.abs() >= 50.0 => 0,
            MassUnit::Kg | MassUnit::Lb => 1,
        };
        format!(
            "{} {} ({} {})",
            decimal(self.value, 2),
            self.unit,
            decimal(other.value, places),
            other.unit
        )
    }

    /// Rounded to whole units, for a figure that was worked out: `374 lb (170 kg)`. Both numbers
    /// are rounded from the exact one.
    pub fn about(self) -> String {
        let other = self.in_unit(self.unit.other());
        format!(
            "{} {} ({} {})",
            decimal(self.value, 0),
            self.unit,
            decimal(other.value, 0),
            other.unit
        )
    }
}

/// A plain number as people write it: two decimals at most, no needless zeros.
pub fn plain(value: f64) -> String {
    decimal(value, 2)
}

/// A number with at most `places` decimals and no needless zeros; a minus only before a figure.
fn decimal(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        text.as_str()
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// The units a body length may be typed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LengthUnit {
    /// Metres.
    M,
    /// Centimetres.
    Cm,
    /// Inches.
    In,
}

/// A length as typed.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Length {
    /// The number as typed, in `unit`.
    pub value: f64,
    /// The unit as typed.
    pub unit: LengthUnit,
}

impl Length {
    /// Exact metres.
    pub fn metres(self) -> f64 {
        self.value
            * match self.unit {
                LengthUnit::M => 1.0,
                LengthUnit::Cm => 0.01,
                LengthUnit::In => M_PER_IN,
            }
    }

    /// As typed, the other unit in brackets: `180 cm (70.9 in)`, `71 in (180.3 cm)`.
    pub fn both(self) -> String {
        let (own, other, value) = match self.unit {
            LengthUnit::M => ("m", "in", self.metres() / M_PER_IN),
            LengthUnit::Cm => ("cm", "in", self.metres() / M_PER_IN),
            LengthUnit::In => ("in", "cm", self.metres() * 100.0),
        };
        format!(
            "{} {own} ({} {other})",
            decimal(self.value, 2),
            decimal(value, 1)
        )
    }

    /// A length given in metres, shown in `unit`.
    pub fn from_metres(metres: f64, unit: LengthUnit) -> Self {
        let value = match unit {
            LengthUnit::M => metres,
            LengthUnit::Cm => metres * 100.0,
            LengthUnit::In => metres / M_PER_IN,
        };
        Self { value, unit }
    }
}
