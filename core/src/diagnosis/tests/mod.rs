//! The network against enumeration, published examples and the coach's own cases.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod books;
mod coach_cases;
mod exactness;
mod findings;
mod foresight;
mod measure;
mod properties;
mod reference;
mod turning;
mod whole_posts;
