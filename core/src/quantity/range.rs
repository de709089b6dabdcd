//! A closed span of numbers, written in JSON and TOML as one number or a pair.

use serde::{Deserialize, Serialize};

/// A closed span `low..=high`; one number stands for a span of no width.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(from = "SpanText", into = "SpanText")]
pub struct Span {
    /// The lower end.
    pub low: f64,
    /// The upper end; never below `low`.
    pub high: f64,
}

/// The two spellings a span may have.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
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

impl From<SpanText> for Span {
    fn from(text: SpanText) -> Self {
        match text {
            SpanText::One(value) => Self::exactly(value),
            SpanText::Two([a, b]) => Self::new(a, b),
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
