//! Core results and effects to chat text; no decisions here.

mod coach;
pub mod community;
pub mod figures;
mod listed;
mod measured;
mod profile;
mod question;
mod reply;
mod sentence;
mod sheet;
mod words;
mod works;

/// A person's words, harmless and on one line.
pub use crate::escape::escape_inline as escape;
pub use coach::{beliefs, case_card, cause_list, queue_text, verdict_causes, waiting};
pub use measured::{
    measured_alt, measured_change, measured_error, measured_lines, measured_value, trace_faults,
};
pub use profile::{profile_facts, profile_lines, profile_of};
pub use question::question_lines;
pub use reply::{ReplyParts, change_line, plan_text, reply, signs as sign_list};
pub use sheet::{CardParts, card_lists, sheet_card, sheet_document, sheet_text, showing};
pub use words::{BUILT_IN, Words};
