//! Several lifts in one message: one is looked at at a time, and the lifter says which first.

use super::intake::{begin_round, hints, open_case};
use super::matching::is_new_set;
use super::settle::{held, settle};
use super::turn::Turn;
use crate::record::{
    Case, CaseState, EntryKind, FollowUpChange, FollowUpKind, OpenQuestion, Part, Purpose,
};
use crate::wording::{figures, question_lines};
use cueline_core::assess::FIELD_QUESTION;
use cueline_core::catalog::Catalog;
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::reading::{Hints, loads, read};
use cueline_core::report::Lift;

/// What the open question is about, behind [`FIELD_QUESTION`].
pub(super) const WHICH: &str = "which";

/// The set of one lift, cut out of a longer message.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    lift: Lift,
    text: String,
    /// The set in short, as a choice.
    said: String,
    /// Its load; the unit may have stood at the end of the whole message.
    load: Option<Mass>,
}

/// Words that name a lift.
const LIFTS: [(&str, Lift); 14] = [
    ("squat", Lift::Squat),
    ("squats", Lift::Squat),
    ("squatted", Lift::Squat),
    ("bench", Lift::Bench),
    ("benched", Lift::Bench),
    ("benching", Lift::Bench),
    ("deadlift", Lift::Deadlift),
    ("deadlifts", Lift::Deadlift),
    ("deadlifted", Lift::Deadlift),
    ("deads", Lift::Deadlift),
    ("dl", Lift::Deadlift),
    ("squatting", Lift::Squat),
    ("deadlifting", Lift::Deadlift),
    ("bp", Lift::Bench),
];
/// Longest answer that only names a set, in bytes.
const MOST_NAMING: usize = 60;
/// Most places looked at.
const MOST_PIECES: usize = 8;

/// The sets of different lifts in a text; empty unless there are at least two whole ones.
pub(super) fn pieces(text: &str, catalog: &Catalog, hints: Hints) -> Vec<Piece> {
    let mut cut: Vec<(Lift, String)> = Vec::new();
    for (lift, from, to) in places(text) {
        let piece = text.get(from..to).unwrap_or_default();
        match cut.last_mut() {
            Some((known, so_far)) if *known == lift => so_far.push_str(piece),
            _ => cut.push((lift, piece.to_owned())),
        }
    }
    if cut.len() < 2 {
        return Vec::new();
    }
    let mut found: Vec<Piece> = Vec::new();
    for (lift, text) in cut {
        let reading = read(&text, catalog, hints);
        let whole = is_new_set(&reading) && reading.fields.lift == Some(lift);
        if whole && found.iter().all(|piece| piece.lift != lift) {
            let mut said = figures::work(&reading.fields);
            if let Some(bare) = reading.bare_load {
                let reps = reading.fields.reps.unwrap_or_default();
                said = format!("{lift}, {bare} x {reps}");
            }
            let text = text.trim_matches(|c: char| c.is_whitespace() || ",;".contains(c));
            let text = text.to_owned();
            found.push(Piece {
                lift,
                text,
                said,
                load: reading.fields.load,
            });
        } else if let Some(last) = found.last_mut() {
            // More words about the set before.
            last.text.push_str(&text);
        }
    }
    if found.len() < 2 { Vec::new() } else { found }
}

/// Where each lift's part of the text begins and ends, in bytes: from the clause its name stands
/// in to the clause of the next name.
fn places(text: &str) -> Vec<(Lift, usize, usize)> {
    let lower = text.to_ascii_lowercase();
    let mut starts: Vec<(Lift, usize)> = Vec::new();
    let mut clause = 0;
    let mut at = 0;
    for word in lower.split_inclusive(|c: char| !c.is_alphanumeric()) {
        let (from, to) = (at, at + word.len());
        at = to;
        let name = word.trim_end_matches(|c: char| !c.is_alphanumeric());
        if matches!(name, "then" | "and" | "plus" | "also") {
            clause = from;
        }
        if let Some((_, lift)) = LIFTS.iter().find(|(known, _)| *known == name)
            && starts.len() < MOST_PIECES
        {
            let free = starts.last().is_none_or(|(_, last)| clause > *last);
            if free {
                starts.push((*lift, clause));
            }
        }
        let next = lower.get(to..).and_then(|rest| rest.chars().next());
        let digit = next.is_some_and(|c| c.is_ascii_digit());
        let ends = match word.chars().next_back() {
            Some('\n' | ';' | '!') => true,
            Some('.' | ',') => !digit,
            _ => false,
        };
        if ends {
            clause = to;
        }
    }
    let ends = starts
        .iter()
        .skip(1)
        .map(|(_, from)| *from)
        .chain([text.len()]);
    let ends: Vec<usize> = ends.collect();
    starts
        .into_iter()
        .zip(ends)
        .enumerate()
        .map(|(index, ((lift, from), to))| (lift, if index == 0 { 0 } else { from }, to))
        .collect()
}

/// The unit that every load of the text with a unit has: it may stand at the end, once for all.
fn unit_of(text: &str) -> Option<MassUnit> {
    let mut units = loads(text).into_iter().map(|found| found.load.unit);
    let first = units.next()?;
    units.all(|unit| unit == first).then_some(first)
}

/// The pieces of a message, with what is known of the lifter.
fn pieces_of(turn: &Turn<'_>, text: &str) -> Vec<Piece> {
    let known = hints(&turn.lifter, None);
    let unit = known.unit.or_else(|| unit_of(text));
    pieces(text, turn.known.catalog, Hints { unit, lift: None })
}

/// Asks which set comes first, in a case of its own; false when the message holds one set or none.
pub(super) fn asked(turn: &mut Turn<'_>, part: &Part) -> bool {
    let stopped = |case: &Case| case.state == CaseState::Halted;
    if turn.known.cases.iter().any(stopped) {
        return false;
    }
    let pieces = pieces_of(turn, &part.text);
    if pieces.is_empty() {
        return false;
    }
    let case = open_case(turn);
    turn.note(&case, part);
    ask(turn, case, part.clone(), &pieces);
    true
}

/// Puts the question.
fn ask(turn: &mut Turn<'_>, mut case: Case, part: Part, pieces: &[Piece]) {
    let words = turn.known.words;
    case.state = CaseState::Asking;
    case.body.parts = vec![part];
    case.body.asked += 1;
    let question = words.say("talk.which_set", &[]);
    let choices: Vec<String> = pieces.iter().map(|piece| piece.said.clone()).collect();
    let said = question_lines(words, &question, &choices).join("\n");
    case.body.open_question = Some(OpenQuestion {
        id: format!("{FIELD_QUESTION}{WHICH}"),
        text: question,
        choices,
        bare: None,
        repeated: false,
    });
    turn.effects.follow_ups.push(FollowUpChange::CancelCase {
        case_id: case.id.clone(),
    });
    if let Ok(lapse) = turn.now.checked_add(turn.known.rules.answer_within) {
        turn.follow_up(&case, FollowUpKind::Answer, lapse);
    }
    turn.reply_with_buttons("first", said, &case, Purpose::Reply);
    turn.keep(case);
}

/// The message was edited while the question was open; false when it holds one set now.
pub(super) fn edited(turn: &mut Turn<'_>, case: &Case, part: &Part) -> bool {
    let pieces = pieces_of(turn, &part.text);
    if pieces.is_empty() || !is_open(case) {
        return false;
    }
    turn.note(case, part);
    ask(turn, case.clone(), part.clone(), &pieces);
    true
}

/// The case waits to hear which set.
pub(super) fn is_open(case: &Case) -> bool {
    let open = case.body.open_question.as_ref();
    open.and_then(|open| open.id.strip_prefix(FIELD_QUESTION)) == Some(WHICH)
}

/// The set that a free answer names by its lift or its place: "squat first", "the second one".
pub(super) fn named(open: &OpenQuestion, said: &str) -> Option<String> {
    if open.id.strip_prefix(FIELD_QUESTION) != Some(WHICH) || said.len() > MOST_NAMING {
        return None;
    }
    let words = || {
        let words = said.split(|c: char| !c.is_alphanumeric());
        words.filter(|word| !word.is_empty())
    };
    // A set written out, or words about one, is more than a name.
    if words().any(|word| word.starts_with(|c: char| c.is_ascii_digit())) {
        return None;
    }
    let lift = |word: &str| {
        let found = LIFTS.iter().find(|(name, _)| *name == word);
        found.map(|(_, lift)| *lift)
    };
    let mut lifts = words().filter_map(lift);
    if let Some(lift) = lifts.next() {
        let alone = lifts.all(|other| other == lift);
        let mut choices = open.choices.iter();
        let of_lift = |choice: &&String| choice.starts_with(lift.name());
        return choices.find(of_lift).filter(|_| alone).cloned();
    }
    let place = |word: &str| match word {
        "first" => open.choices.first(),
        "second" => open.choices.get(1),
        "third" => open.choices.get(2),
        "last" => open.choices.last(),
        _ => None,
    };
    let mut places = words().filter_map(place);
    let found = places.next()?;
    places.next().is_none().then(|| found.clone())
}

/// The set chosen: looked at in its own case, where the lift has one that goes on, else in this.
pub(super) fn chosen(turn: &mut Turn<'_>, mut case: Case, choice: &str) {
    let Some(part) = case.body.parts.first().cloned() else {
        return;
    };
    let pieces = pieces_of(turn, &part.text);
    let Some(piece) = pieces.iter().find(|piece| piece.said == choice) else {
        settle(turn, case, Vec::new());
        return;
    };
    let others: Vec<String> = pieces
        .iter()
        .filter(|other| *other != piece)
        .map(|other| other.lift.to_string())
        .collect();
    let later = turn.known.words.say(
        "talk.other_sets",
        &[("lifts", &figures::list(&others, "and"))],
    );
    let part = Part {
        message_id: part.message_id,
        text: piece.text.clone(),
    };
    let goes_on = turn.known.cases.iter().find(|other| {
        other.id != case.id
            && other.room_id == case.room_id
            && other.lift == Some(piece.lift)
            && other.body.for_whom == case.body.for_whom
            && matches!(other.state, CaseState::Practising | CaseState::WithCoach)
    });
    if let Some(mut other) = goes_on.cloned() {
        case.state = CaseState::Withdrawn;
        case.body.parts.clear();
        turn.effects.follow_ups.push(FollowUpChange::CancelCase {
            case_id: case.id.clone(),
        });
        let text = format!("goes on in case {}", other.number);
        turn.entry(&case, EntryKind::Change, "cueline", None, text);
        turn.keep(case);
        begin_round(&mut other);
        other.body.report.load = piece.load;
        other.body.parts.push(part);
        if other.state == CaseState::WithCoach {
            held(turn, other);
        } else {
            settle(turn, other, vec![later]);
        }
        return;
    }
    begin_round(&mut case);
    case.body.report.load = piece.load;
    case.body.parts.push(part);
    settle(turn, case, vec![later]);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn cut(text: &str) -> Vec<(Lift, String)> {
        let (_, brain) = crate::brain::load(None).unwrap();
        let hints = Hints {
            unit: Some(MassUnit::Kg),
            lift: None,
        };
        pieces(text, &brain.catalog, hints)
            .into_iter()
            .map(|piece| (piece.lift, piece.text))
            .collect()
    }

    #[test]
    fn three_lifts_in_one_line_are_three_sets() {
        let found = cut("squat 140x3, bench 100x5, deadlift 180x2 kg");
        let lifts: Vec<Lift> = found.iter().map(|(lift, _)| *lift).collect();
        assert_eq!(lifts, Lift::ALL);
        assert_eq!(found[1].1, "bench 100x5");
    }

    #[test]
    fn what_is_said_of_a_set_stays_with_it() {
        let found = cut(
            "squat 142,5 kg x 3 @8, hips shoot up. It felt heavy. Then bench 100 kg x 5 @8, elbows flare",
        );
        assert_eq!(found.len(), 2);
        assert!(found[0].1.contains("hips shoot up") && found[0].1.contains("heavy"));
        assert!(found[0].1.contains("142,5"));
        assert!(found[1].1.contains("elbows flare") && !found[1].1.contains("hips"));
    }

    #[test]
    fn a_free_answer_names_its_set_by_lift_or_place() {
        let open = |id: &str| OpenQuestion {
            id: id.to_owned(),
            text: "Which set first?".to_owned(),
            choices: ["squat, 100 kg x 5", "bench press, 70 kg x 5"]
                .map(str::to_owned)
                .to_vec(),
            bare: None,
            repeated: false,
        };
        for (said, place) in [
            ("squat first", Some(0)),
            ("the bench please", Some(1)),
            ("bench press first, then we see", Some(1)),
            ("the second one", Some(1)),
            ("last", Some(1)),
            ("the first", Some(0)),
            ("squat or bench", None),
            ("deadlift", None),
            ("squat 120 kg x 3", None),
            ("first the second", None),
            ("no idea", None),
        ] {
            let which = open("field:which");
            let wanted = place.map(|place: usize| which.choices[place].clone());
            assert_eq!(named(&which, said), wanted, "{said}");
            assert_eq!(named(&open("sq-q-view"), said), None, "{said}");
        }
    }

    #[test]
    fn one_set_with_another_lift_beside_it_is_one_set() {
        for text in [
            "squat 140 kg x 3 @8, hips shoot up",
            "squat 140 kg x 3, my bench is better",
            "squat 140 kg x 3 then 150 kg x 1",
            "deadlift 180 kg x 3 @8, I squat it up, hips low",
            "",
        ] {
            assert!(cut(text).is_empty(), "{text}: {:?}", cut(text));
        }
    }
}
