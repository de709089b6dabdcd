//! What a message says, with what is known of who wrote it.

use super::intake::hints;
use super::matching::{addressed, is_new_set};
use super::turn::Turn;
use super::{profile_words, relative, several, wants, whose};
use crate::record::{Case, Part};
use cueline_core::reading::{FlagLevel, Reading, read};

/// Reads a message with what is known: whose set it may be about, and of which lift.
pub(super) fn understood(turn: &Turn<'_>, text: &str) -> Reading {
    let known = turn.known;
    let mut reading = read(text, known.catalog, hints(&turn.lifter, None));
    let here = || {
        let cases = known.cases.iter().filter(|case| case.state.is_open());
        cases.filter(|case| case.room_id == turn.event.room_id)
    };
    let for_others = whose::whom(text).is_some() || here().any(|c| c.body.for_whom.is_some());
    let own = for_others.then(|| whose::as_own(text));
    if let Some(own) = &own {
        // "Her knees cave" is told of the lifter, when it is her set that is looked at.
        let told = read(own, known.catalog, hints(&turn.lifter, None));
        if told.level >= reading.level {
            reading = told;
        }
    }
    if reading.fields.lift.is_none() && reading.signs.is_empty() {
        // "Hips still shoot up" means the lift that is worked on.
        let mut lifts = here().filter_map(|case| case.lift);
        if let Some(lift) = lifts.next()
            && lifts.all(|other| other == lift)
        {
            let text = own.as_deref().unwrap_or(text);
            let told = read(text, known.catalog, hints(&turn.lifter, Some(lift)));
            reading.signs = told.signs;
        }
    }
    reading
}

/// What is told in another way than as one set: a fact asked for or told for the profile, a set by the one before it,
/// several sets at once. True when it was taken.
pub(super) fn told_otherwise(turn: &mut Turn<'_>, part: &Part, reading: &Reading) -> bool {
    if wants::answered(turn, part, reading) {
        return true;
    }
    if profile_words::taken(turn, &part.text, reading) || relative::taken(turn, part, reading) {
        return true;
    }
    // In a case's own thread one set among them may be meant; when none can be told, it is asked.
    let open = addressed(turn.event, turn.known, reading).is_none() || !is_new_set(reading);
    open && reading.level == FlagLevel::None && several::asked(turn, part)
}

/// Keeps a set that is posted for somebody else apart from the poster's own, and says so.
pub(super) fn for_another(turn: &Turn<'_>, case: &mut Case, text: &str) -> Option<String> {
    let whom = whose::whom(text)?;
    let said = turn.known.words.say("talk.for_another", &[("whom", &whom)]);
    case.body.for_whom = Some(whom);
    Some(said)
}
