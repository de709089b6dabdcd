//! A case put to the community: marking the answers, how far they agree, and the season's table.
//!
//! An [`Answer`] names causes, says how sure it is of each, and may add one exercise. A [`Key`] is
//! the coach's own verdict, known only after closing. [`mark`] compares the two by a proper score,
//! so that nobody gains by claiming to be surer, or less sure, than they are. [`agreement()`] says how
//! far many answers agree, [`standing()`] makes a table of a season that one lucky answer cannot lead.

mod advice;
mod agreement;
mod answer;
mod chance;
mod exercise;
mod marks;
mod spoken;
mod standing;
mod tally;
mod tidy;

pub use advice::{Found, unsafe_advice};
pub use agreement::{Agreement, Interval, agreement, alpha_nominal, naming_alpha};
pub use answer::{Answer, AnswerFault, ExerciseAnswer, Key, MOST_CAUSES, NamedCause, implied};
pub use chance::Chance;
pub use marks::{ExerciseVerdict, Mark, UNNAMED, exercise_verdict, mark, unsafe_load};
pub use spoken::{Spoken, Unclear, spoken_answer};
pub use standing::{Entrant, Place, SeasonModel, season_model, standing};
pub use tally::{Named, Split, named_by, split};

#[cfg(test)]
mod tests;
