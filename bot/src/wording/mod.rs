//! Core results and effects to chat text; no decisions here.

mod coach;
mod escape;
pub mod figures;
mod reply;
mod words;

pub use coach::{case_card, queue_text};
pub use escape::{escape, escape_inline, is_bidi_control};
pub use reply::{ReplyParts, question_lines, reply, signs as sign_list};
pub use words::{BUILT_IN, Words};
