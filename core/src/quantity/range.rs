//! A closed span of numbers, written in JSON and TOML as one number or a pair.

use serde::{Deserialize, Serialize};

/// A closed span `low..=high`; one number stands for a span of no width.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "SpanText", into = "SpanText")]
pub struct Span {
    /// The lower end.
    pub low: f64,
    /// The upper end; never below `low`.
    pub high: f64,
}

/// The two spellings a span may have.
#[derive(Serialize, Deserialize)]
#[serde(untagged, expecting = "one number or a pair of numbers, low and high")]
enum SpanText {
    One(f64),
    Two([f64; 2]),
}

impl Span {
    /// A span between two ends, put in order.
    pub fn new(a: f64, b: f64) -> Self {
        Self {
            low: a.min(b),
            high: a.max(b),
        }
    }

    /// A span of no width.
    pub const fn exactly(value: f64) -> Self {
        Self {
            low: value,
            high: value,
        }
    }

    /// The middle of the span.
    pub fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// The width of the span.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

impl TryFrom<SpanText> for Span {
    type Error = String;

    fn try_from(text: SpanText) -> Result<Self, String> {
        let (a, b) = match text {
            SpanText::One(value) => (value, value),
            SpanText::Two([a, b]) => (a, b),
        };
        if a.is_finite() && b.is_finite() {
            Ok(Self::new(a, b))
        } else {
            Err(format!("found {a} to {b}, accepted finite numbers"))
        }
    }
}

impl From<Span> for SpanText {
    #[expect(
        clippy::float_cmp,
        reason = "a span of no width holds the same number twice"
    )]
    fn from(span: Span) -> Self {
        if span.low == span.high {
            Self::One(span.low)
        } else {
            Self::Two([span.low, span.high])
        }
    }
}
