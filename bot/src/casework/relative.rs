//! "Same as last week but 5 kg more": a set told by the one before it. The report is built from
//! that set, and the change is said back.

use super::intake::{begin_round, hints, open_case};
use super::matching::{addressed, is_set};
use super::settle::{held, settle};
use super::times;
use super::turn::Turn;
use super::whose;
use crate::record::{Case, CaseState, Part, Round};
use crate::wording::figures;
use cueline_core::quantity::{Mass, MassUnit, TypedMass};
use cueline_core::reading::{Reading, read};
use cueline_core::report::{Lift, SetReport};

/// How a set differs from the one before.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Difference {
    /// Load more (or less, below zero), with its unit when said.
    load: Option<(f64, Option<MassUnit>)>,
    /// Repetitions more or less.
    reps: Option<i64>,
}

/// Words that name the set before.
const BEFORE: [&str; 12] = [
    "same as last",
    "same as before",
    "same set as",
    "same weight as",
    "same load as",
    "same lift as",
    "as last time",
    "as last week",
    "as last session",
    "than last time",
    "than last week",
    "than last session",
];

/// Reads the difference, if the text tells a set by the one before.
pub(super) fn said(text: &str) -> Option<Difference> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split_whitespace()
        .map(|word| word.trim_end_matches(['.', ',', ';', '!', ':']))
        .filter(|word| !word.is_empty())
        .collect();
    let joined = words.join(" ");
    let named = |lift: &str| joined.contains(&format!("same {lift} as "));
    let tells = BEFORE.iter().any(|phrase| joined.contains(phrase))
        || ["squat", "bench", "bench press", "deadlift"]
            .into_iter()
            .any(named)
        || ["same again", "same weight", "same load"]
            .iter()
            .any(|head| joined.starts_with(head))
        || words.first().is_some_and(|word| plus(word).is_some());
    if !tells || text.contains('?') {
        return None;
    }
    let mut difference = Difference::default();
    for (at, word) in words.iter().enumerate() {
        if let Some((sign, figure)) = plus(word) {
            let next = words.get(at + 1).copied().unwrap_or_default();
            let unit = if is_unit(next) { next } else { "" };
            if let Some(mass) = TypedMass::read(&format!("{figure}{unit}")) {
                difference.load = Some((sign * mass.value, mass.unit));
            }
            continue;
        }
        let sign = match *word {
            "more" | "heavier" | "up" => 1.0,
            "less" | "lighter" | "down" | "fewer" => -1.0,
            _ => continue,
        };
        step(&words, at, sign, &mut difference);
    }
    Some(difference)
}

/// `+5kg`, `-2.5`: the sign and the figure behind it.
fn plus(word: &str) -> Option<(f64, &str)> {
    let (sign, figure) = if let Some(figure) = word.strip_prefix('+') {
        (1.0, figure)
    } else {
        (-1.0, word.strip_prefix(['-', '\u{2212}'])?)
    };
    TypedMass::read(figure).map(|_| (sign, figure))
}

/// The figure that stands with "more" or "less": `5 kg more`, `2 more reps`, `one rep less`.
fn step(words: &[&str], at: usize, sign: f64, difference: &mut Difference) {
    let word = |at: Option<usize>| at.and_then(|at| words.get(at)).copied().unwrap_or_default();
    let is_reps = |word: &str| matches!(word, "rep" | "reps" | "repetition" | "repetitions");
    let (one, two) = (word(at.checked_sub(1)), word(at.checked_sub(2)));
    let next = word(Some(at + 1));
    let (figure, unit) = if is_reps(one) || is_unit(one) {
        (two, one)
    } else {
        (one, next)
    };
    if is_reps(unit) {
        if let Some(count) = count(figure) {
            difference.reps = Some(if sign < 0.0 { -count } else { count });
        }
        return;
    }
    let unit = if is_unit(unit) { unit } else { "" };
    if let Some(mass) = TypedMass::read(&format!("{figure}{unit}")) {
        difference.load = Some((sign * mass.value, mass.unit));
    }
}

fn is_unit(word: &str) -> bool {
    let figure = word.starts_with(|c: char| c.is_ascii_digit());
    !figure && TypedMass::read(&format!("1{word}")).is_some_and(|mass| mass.unit.is_some())
}

/// A small whole number in figures or words.
fn count(word: &str) -> Option<i64> {
    let words = ["one", "two", "three", "four", "five"];
    (1..)
        .zip(words)
        .find(|(_, known)| *known == word || (word == "a" && *known == "one"))
        .map(|(count, _)| count)
        .or_else(|| word.parse().ok().filter(|count| (1..=30).contains(count)))
}

/// Takes such a message; false when there is no set before that it could mean.
pub(super) fn taken(turn: &mut Turn<'_>, part: &Part, reading: &Reading) -> bool {
    let Some(difference) = said(&part.text) else {
        return false;
    };
    // A load of its own outweighs the comparison; the step itself is none ("+5 kg").
    let loads = [
        reading.fields.load.map(|load| load.value),
        reading.bare_load,
    ];
    let step = difference.load.map(|(more, _)| more.abs());
    let own_load = loads.iter().flatten().any(|load| Some(*load) != step);
    if own_load {
        return false;
    }
    let words = turn.known.words;
    let Some((case, round)) = before(turn, reading) else {
        // Nothing to go by: a set of its own is wanted, unless the words say something anyway.
        if is_set(reading) {
            return false;
        }
        turn.keep_lifter();
        turn.reply("first", words.say("talk.same_as_what", &[]), None);
        return true;
    };
    let Some(report) = built(&round.report, difference, reading) else {
        turn.keep_lifter();
        turn.reply("first", words.say("talk.same_too_little", &[]), None);
        return true;
    };
    let day = figures::day(times::today(&turn.zone, round.at));
    let line = words.say(
        "talk.same_taken",
        &[
            ("date", &day),
            ("before", &figures::work(&round.report)),
            ("now", &figures::work(&report)),
        ],
    );
    let mut case = if case.state.is_open() {
        case
    } else {
        let mut new = open_case(turn);
        new.body.for_whom.clone_from(&case.body.for_whom);
        new
    };
    let with_coach = case.state == CaseState::WithCoach;
    if case.state == CaseState::Halted {
        // A stop is not talked round: kept, and the coach told.
        turn.note(&case, part);
        turn.tell_of_halted(&case, part);
        turn.say_halted(&case);
        turn.keep(case);
        return true;
    }
    begin_round(&mut case);
    case.body.report = report;
    case.body.parts.push(part.clone());
    if with_coach {
        held(turn, case);
    } else {
        settle(turn, case, vec![line]);
    }
    true
}

/// The set meant and its case: that of the thread, else the newest of the lift that is named or whose
/// signs are told, else the newest there is of the one lift that is done, or worked on now.
fn before(turn: &Turn<'_>, reading: &Reading) -> Option<(Case, Round)> {
    let last = |case: &Case| Some((case.clone(), case.body.rounds.last()?.clone()));
    if let Some(case) = addressed(turn.event, turn.known, reading) {
        return last(case);
    }
    let named = reading.fields.lift.or_else(|| lift_of_signs(turn));
    let mut known: Vec<(Case, Round)> = turn
        .known
        .cases
        .iter()
        .filter(|case| case.room_id == turn.event.room_id)
        .filter(|case| named.is_none() || case.lift == named)
        .filter(|case| case.state != CaseState::Withdrawn)
        .filter_map(last)
        .collect();
    // The wife's squat is not the lifter's own, unless there is nobody else's to mean.
    let whom = whose::whom(turn.text());
    if known.iter().any(|(case, _)| case.body.for_whom == whom) {
        known.retain(|(case, _)| case.body.for_whom == whom);
    }
    known.sort_by_key(|(_, round)| std::cmp::Reverse(round.at));
    let one = |known: &[(Case, Round)]| {
        let of = |case: &Case| (case.lift, case.body.for_whom.clone());
        let first = known.first().map(|(case, _)| of(case));
        known.iter().all(|(case, _)| Some(of(case)) == first)
    };
    if !one(&known) {
        // Of two lifts the one that is worked on now is meant.
        known.retain(|(case, _)| case.state.is_open());
    }
    one(&known).then(|| known.into_iter().next())?
}

/// The lift whose signs the words tell of: those that were seen in its set before ("elbows still flare"),
/// else those that fit one lift alone.
fn lift_of_signs(turn: &Turn<'_>) -> Option<Lift> {
    let signs = |lift: Lift| {
        let hints = hints(&turn.lifter, Some(lift));
        read(turn.text(), turn.known.catalog, hints).signs
    };
    let told: Vec<_> = Lift::ALL
        .into_iter()
        .map(|lift| (lift, signs(lift)))
        .collect();
    let seen = |lift: Lift, sign: &String| {
        let mut cases = turn
            .known
            .cases
            .iter()
            .filter(|case| case.lift == Some(lift));
        cases.any(|case| {
            case.body
                .rounds
                .last()
                .is_some_and(|round| round.present.contains(sign))
        })
    };
    let before = told
        .iter()
        .filter(|(lift, signs)| signs.iter().any(|one| seen(*lift, &one.sign)));
    let fits = told.iter().filter(|(_, signs)| !signs.is_empty());
    only(before.map(|(lift, _)| *lift)).or_else(|| only(fits.map(|(lift, _)| *lift)))
}

/// The one there is.
fn only<T>(mut of: impl Iterator<Item = T>) -> Option<T> {
    let first = of.next()?;
    of.next().is_none().then_some(first)
}

/// The set before with the difference put in; none when nothing would be left on the bar.
///
/// What was felt and seen then is not taken over: it is what the new set is asked about.
fn built(before: &SetReport, difference: Difference, reading: &Reading) -> Option<SetReport> {
    let load = match (before.load, difference.load) {
        (Some(load), Some((more, unit))) => {
            let more = Mass::new(more, unit.unwrap_or(load.unit)).in_unit(load.unit);
            let value = ((load.value + more.value) * 100.0).round() / 100.0;
            Some(Mass::new(value, load.unit)).filter(|load| load.value > 0.0)
        }
        (load, _) => load,
    }?;
    let reps = match (before.reps, difference.reps) {
        (Some(reps), Some(more)) => u32::try_from(i64::from(reps) + more)
            .ok()
            .filter(|r| *r > 0),
        (reps, _) => reps,
    }?;
    Some(SetReport {
        lift: before.lift,
        variant: before.variant.clone(),
        load: Some(load),
        reps: reading
            .fields
            .reps
            .filter(|_| difference.reps.is_none())
            .or(Some(reps)),
        sets: before.sets,
        view: reading.fields.view.or(before.view),
        setting: before.setting.clone(),
        ..SetReport::default()
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const fn kg(value: f64) -> (f64, Option<MassUnit>) {
        (value, Some(MassUnit::Kg))
    }

    #[test]
    fn the_set_before_is_meant_in_many_ways() {
        for (text, load, reps) in [
            ("same as last week but 5 kg more", Some(kg(5.0)), None),
            (
                "Same as last time, 2,5kg heavier, still hips shoot up",
                Some(kg(2.5)),
                None,
            ),
            ("5 kg less than last time, same reps", Some(kg(-5.0)), None),
            ("same squat as last week, 5 more", Some((5.0, None)), None),
            ("same as last time, 2 reps more", None, Some(2)),
            (
                "same weight as last week, one more rep, no hip shoot",
                None,
                Some(1),
            ),
            (
                "same as last week but 5 kg more and one rep less",
                Some(kg(5.0)),
                Some(-1),
            ),
            ("same again", None, None),
            (
                "same as last week +5 kg, still hips shoot up",
                Some(kg(5.0)),
                None,
            ),
            ("+2.5kg x 5 today, no more hip shoot", Some(kg(2.5)), None),
            ("same weight, hips shoot up less", None, None),
        ] {
            assert_eq!(said(text), Some(Difference { load, reps }), "{text}");
        }
    }

    #[test]
    fn other_words_of_sameness_are_no_set() {
        for text in [
            "same",
            "same here",
            "squat 140 kg x 3, same cue",
            "should it be the same as last week?",
            "5 kg more next week",
        ] {
            assert_eq!(said(text), None, "{text}");
        }
    }

    #[test]
    fn pounds_on_kilograms_are_worked_out_and_an_empty_bar_is_refused() {
        let before = SetReport {
            load: Some(Mass::new(100.0, MassUnit::Kg)),
            reps: Some(5),
            ..SetReport::default()
        };
        let more = |value, unit| Difference {
            load: Some((value, unit)),
            reps: None,
        };
        let reading = Reading::default();
        let report = built(&before, more(10.0, Some(MassUnit::Lb)), &reading).unwrap();
        // 10 lb are 4.535 923 7 kg (NIST SP 811, appendix B).
        assert_eq!(report.load, Some(Mass::new(104.54, MassUnit::Kg)));
        assert_eq!(built(&before, more(-100.0, None), &reading), None);
        let fewer = Difference {
            load: None,
            reps: Some(-5),
        };
        assert_eq!(built(&before, fewer, &reading), None);
    }
}
