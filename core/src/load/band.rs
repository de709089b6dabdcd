//! One elastic band: how its tension follows its length.
//!
//! Bands of equal width differ between sellers by more than a table could be trusted (Fuentes et
//! al. 2019), so tension comes from one or two points the lifter measured. Between points a
//! quadratic is right (`McMaster` et al. 2010, R² of at least 0.99). Tension is in kilograms-force,
//! what a scale shows when the band hangs from it; the other unit is 9.80665 N (NIST SP 811).

/// Newtons in a kilogram-force, exact by definition (NIST SP 811, appendix B).
pub const NEWTONS_PER_KGF: f64 = 9.806_65;

/// How far beyond the last measured stretch a curve may be used.
const BEYOND: f64 = 1.2;

/// One measured point of a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Length of the band, m.
    pub length: f64,
    /// Tension, kgf.
    pub kgf: f64,
}

/// How tension follows length.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Curve {
    /// `a x + b x²` of the stretch `x`.
    Quadratic { slack: f64, a: f64, b: f64 },
    /// Rubber elasticity from one point: `F ~ λ - 1/λ²`, `λ` length over slack length (from
    /// memory).
    Rubber { slack: f64, scale: f64 },
    /// The straight line through two points, between them only.
    Line { first: Measured, per_metre: f64 },
}

/// One band, as measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    curve: Curve,
    /// Longest length the curve holds for, m.
    longest: f64,
    folded: bool,
}

/// Why a band cannot be worked with.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BandError {
    /// A length that is none.
    #[error("{field}: found {found} m, accepted above 0 to 5")]
    Length {
        /// Which.
        field: &'static str,
        /// What was found, m.
        found: f64,
    },
    /// A tension that is none.
    #[error("{field}: found {found} kg, accepted above 0 to 300")]
    Tension {
        /// Which.
        field: &'static str,
        /// What was found, kgf.
        found: f64,
    },
    /// The points do not rise.
    #[error("points: found a band that pulls no more when longer, accepted rising tension")]
    NotRising,
    /// The second point is nearly the first.
    #[error("points: found {0:.3} m apart, accepted at least 0.05")]
    TooClose(f64),
    /// Asked of a length nobody measured.
    #[error("length: found {found:.2} m, accepted {least:.2} to {most:.2} as it was measured")]
    Unmeasured {
        /// Length asked of, m.
        found: f64,
        /// Shortest, m.
        least: f64,
        /// Longest, m.
        most: f64,
    },
    /// Not a number of bands.
    #[error("bands: found {0}, accepted 1 to 8")]
    Count(u32),
    /// A load that is none.
    #[error("{field}: found {found} kg, accepted above 0 to 700")]
    Load {
        /// Which.
        field: &'static str,
        /// What was found, kg.
        found: f64,
    },
    /// The bands alone with the empty bar are more than was asked for.
    #[error(
        "bands: found {found:.1} kg at the top, accepted up to {most:.1}; ones that pull {low:.1} to {high:.1} together would do"
    )]
    TooStrong {
        /// Tension at the top, kgf.
        found: f64,
        /// The most that leaves the empty bar, kgf.
        most: f64,
        /// Least tension that is worth the trouble, kgf.
        low: f64,
        /// Most tension that would do, kgf.
        high: f64,
    },
    /// No tension at the top is both worth the trouble and light enough.
    #[error(
        "bands: found {found:.1} kg at the top, accepted up to {most:.1}; none would do: the total asked for leaves no room for a band beside the bar"
    )]
    NoneWouldDo {
        /// Tension at the top, kgf.
        found: f64,
        /// The most that leaves the empty bar, kgf.
        most: f64,
    },
}

/// Checks a length.
pub(super) fn length(field: &'static str, found: f64) -> Result<f64, BandError> {
    if found > 0.0 && found <= 5.0 {
        Ok(found)
    } else {
        Err(BandError::Length { field, found })
    }
}

/// Checks a tension.
fn tension(field: &'static str, found: f64) -> Result<f64, BandError> {
    if found > 0.0 && found <= 300.0 {
        Ok(found)
    } else {
        Err(BandError::Tension { field, found })
    }
}

/// Checks a load.
pub(super) fn load(field: &'static str, found: f64) -> Result<f64, BandError> {
    if found > 0.0 && found <= 700.0 {
        Ok(found)
    } else {
        Err(BandError::Load { field, found })
    }
}

/// Two points in order of length, checked.
fn in_order(a: Measured, b: Measured) -> Result<(Measured, Measured), BandError> {
    for point in [a, b] {
        length("length", point.length)?;
        tension("tension", point.kgf)?;
    }
    let (first, second) = if a.length <= b.length { (a, b) } else { (b, a) };
    let apart = second.length - first.length;
    if apart < 0.05 {
        return Err(BandError::TooClose(apart));
    }
    if second.kgf <= first.kgf {
        return Err(BandError::NotRising);
    }
    Ok((first, second))
}

impl Band {
    /// From the slack length, m, and two points: the quadratic through all three.
    pub fn from_two(slack: f64, a: Measured, b: Measured) -> Result<Self, BandError> {
        let slack = length("slack length", slack)?;
        let (first, second) = in_order(a, b)?;
        let (x1, x2) = (first.length - slack, second.length - slack);
        if x1 <= 0.0 {
            return Err(BandError::NotRising);
        }
        let b = (second.kgf / x2 - first.kgf / x1) / (x2 - x1);
        let a = first.kgf / x1 - b * x1;
        // The slope is linear in the stretch, so its ends tell of all between.
        if a <= 0.0 || a + 2.0 * b * BEYOND * x2 <= 0.0 {
            return Err(BandError::NotRising);
        }
        Ok(Self {
            curve: Curve::Quadratic { slack, a, b },
            longest: slack + BEYOND * x2,
            folded: false,
        })
    }

    /// From the slack length, m, and one point, by the shape of rubber elasticity: rougher.
    pub fn from_one(slack: f64, point: Measured) -> Result<Self, BandError> {
        let slack = length("slack length", slack)?;
        length("length", point.length)?;
        tension("tension", point.kgf)?;
        let apart = point.length - slack;
        if apart < 0.05 {
            return Err(BandError::TooClose(apart));
        }
        Ok(Self {
            curve: Curve::Rubber {
                slack,
                scale: point.kgf / stretched(point.length / slack),
            },
            longest: slack + BEYOND * apart,
            folded: false,
        })
    }

    /// From two points when nobody knows the slack length: good between them only.
    pub fn between(a: Measured, b: Measured) -> Result<Self, BandError> {
        let (first, second) = in_order(a, b)?;
        Ok(Self {
            curve: Curve::Line {
                first,
                per_metre: (second.kgf - first.kgf) / (second.length - first.length),
            },
            longest: second.length,
            folded: false,
        })
    }

    /// The same loop folded in half: half as long and twice as many strands, so four times as
    /// stiff where tension is straight.
    #[must_use]
    pub fn folded(self) -> Self {
        Self {
            folded: true,
            ..self
        }
    }

    /// Length at which it begins to pull, m; not known when only two points were measured.
    pub fn slack(&self) -> Option<f64> {
        let slack = match self.curve {
            Curve::Quadratic { slack, .. } | Curve::Rubber { slack, .. } => slack,
            Curve::Line { .. } => return None,
        };
        Some(if self.folded { slack / 2.0 } else { slack })
    }

    /// Tension at a length, kgf: 0 when slack, an error outside what was measured.
    pub fn tension(&self, at: f64) -> Result<f64, BandError> {
        let at = length("length", at)?;
        let scale = if self.folded { 2.0 } else { 1.0 };
        let unfolded = at * scale;
        let least = match self.curve {
            Curve::Line { first, .. } => first.length,
            Curve::Quadratic { .. } | Curve::Rubber { .. } => 0.0,
        };
        if unfolded > self.longest + 1e-9 || unfolded < least - 1e-9 {
            return Err(BandError::Unmeasured {
                found: at,
                least: least / scale,
                most: self.longest / scale,
            });
        }
        let kgf = match self.curve {
            Curve::Quadratic { slack, a, b } => {
                let x = (unfolded - slack).max(0.0);
                a * x + b * x * x
            }
            Curve::Rubber { slack, scale } => scale * stretched((unfolded / slack).max(1.0)),
            Curve::Line { first, per_metre } => first.kgf + per_metre * (unfolded - first.length),
        };
        Ok(scale * kgf)
    }
}

/// Shape of rubber under pull: 0 at no stretch.
fn stretched(ratio: f64) -> f64 {
    ratio - 1.0 / (ratio * ratio)
}
