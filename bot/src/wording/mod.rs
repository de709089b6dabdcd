//! Core results and effects to chat text; no decisions here.

mod coach;
mod escape;
pub mod figures;
mod reply;
mod words;

pub use coach::{case_card, queue_text};
pub use reply::{ReplyParts, question_lines, reply, signs as sign_list};
pub use words::{BUILT_IN, Words};

/// Escapes a lifter's words for our own text: no markup, no mention, no link survives.
pub fn escape(text: &str) -> String {
    escape::escape(text)
}
