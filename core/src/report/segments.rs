//! Lengths of the lifter's segments, each as measured with a tape, and their bounds.

use crate::quantity::Length;
use serde::{Deserialize, Serialize};

/// Segment lengths of the lifter; each is optional, and what is missing is taken from the stature.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Segments {
    /// Top of the thigh bone's outer knob (greater trochanter) to the knee joint.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thigh: Option<Length>,
    /// Knee joint to the outer ankle knob (lateral malleolus).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shank: Option<Length>,
    /// Top of the thigh bone's outer knob to the tip of the shoulder (acromion).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trunk: Option<Length>,
    /// Tip of the shoulder to the wrist, arm straight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arm: Option<Length>,
}

/// Field, least and most in metres: what the proportions of Drillis and Contini give for statures of
/// 1.2 to 2.3 m, and a sixth to each side (judgement).
type Bounded = (&'static str, Option<Length>, f64, f64);

impl Segments {
    /// True when nothing was said.
    pub fn is_unsaid(&self) -> bool {
        *self == Self::default()
    }

    /// Every length with the name of its field and its bounds, metres.
    pub(super) const fn bounded(&self) -> [Bounded; 4] {
        [
            ("segments.thigh", self.thigh, 0.25, 0.65),
            ("segments.shank", self.shank, 0.25, 0.65),
            ("segments.trunk", self.trunk, 0.29, 0.77),
            ("segments.arm", self.arm, 0.33, 0.89),
        ]
    }
}
