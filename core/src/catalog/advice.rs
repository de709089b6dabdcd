//! Advice that members should not give one another: what it is known by, and why.

use serde::{Deserialize, Serialize};

/// One kind of advice that the coach reads before it counts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdviceRule {
    /// Id such as `through-pain`.
    pub id: String,
    /// Why, as said to the member and the coach (`it tells somebody to lift through pain`).
    pub why: String,
    /// Words that stand together in such advice; an ending such as `-ing` or `-s` makes no difference.
    pub phrases: Vec<String>,
}
