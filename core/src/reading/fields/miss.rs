//! Missed repetitions and where the bar stopped.

use super::line::Line;
use super::sets::{Open, Sets, count};
use crate::report::Miss;

/// What was missed: the miss, repetitions done before it, and tokens of the load it stands with.
#[derive(Debug, Default)]
pub(super) struct Missed {
    pub(super) miss: Option<Miss>,
    /// Repetitions completed before the miss, when that follows from the words.
    pub(super) done: Option<u32>,
    /// Where the words of the miss begin.
    pub(super) at: Option<usize>,
}

/// Words of a repetition or a load that was not completed.
const MISSED: [&str; 34] = [
    "missed",
    "failed",
    "miss",
    "fail",
    "fails",
    "misses",
    "cant lock out",
    "cant lockout",
    "cant lock",
    "got stapled",
    "got pinned",
    "couldnt finish",
    "cant finish",
    "didnt get",
    "failing",
    "failure on",
    "no lift",
    "got stuck on",
    "stuck on the",
    "got buried",
    "missing",
    "dumped it",
    "had to bail",
    "bailed",
    "didnt go",
    "wouldnt go",
    "wouldnt budge",
    "didnt budge",
    "wouldnt move",
    "wont budge",
    "didnt move",
    "pinned me",
    "stapled me",
    "crushed me",
];

/// Reads a miss.
pub(super) fn read(line: &mut Line, sets: &mut Sets) -> Missed {
    let Some((at, end)) = line.find(&MISSED).or_else(|| no_good(line)) else {
        return short_of_aim(sets);
    };
    if line.denied(at)
        || line.is(end, &["my", "the"])
            && line.is(end + 1, &["period", "periods", "hooks", "hook", "groove"])
    {
        return short_of_aim(sets);
    }
    let mut reps = 1;
    let mut done = None;
    for step in end..(end + 6).min(line.len()) {
        if line.is(step, &["twice"]) || line.phrase(step, "two times").is_some() {
            reps = 2;
        } else if line.is(step, &["thrice"]) || line.phrase(step, "three times").is_some() {
            reps = 3;
        } else if let Some(number) = line.number(step).and_then(count) {
            let ordinal = line.is(step + 1, &["th", "st", "nd", "rd"]) && line.glued(step + 1);
            // "on a" stands for no count, and a unit makes it a load.
            if line.unit_after(step).is_some() {
                continue;
            }
            if ordinal || line.is(step.wrapping_sub(1), &["rep"]) {
                done = Some(number.saturating_sub(1));
            } else if line.is(step + 1, &["rep", "reps", "times"]) && number > 0 {
                reps = number;
            }
        } else if let Some(number) = ordinal_word(line.text(step))
            && (line.is(step + 1, &["rep", "one", "", ",", "."]) || line.is(at, &["got", "stuck"]))
        {
            done = Some(number - 1);
        }
    }
    done = done.or_else(|| rep_before(line, at));
    let last = line.phrase(at.wrapping_sub(2), "last rep").is_some()
        || line.phrase(end, "the last").is_some()
        || line.phrase(end, "last rep").is_some()
        || line.phrase(end, "on the last").is_some();
    if last && done.is_none() {
        sets.open.push(Open::LastRep);
    }
    let place = place(line, at, end);
    line.note("missed", at, end, 0.85);
    Missed {
        miss: Some(Miss { reps, place }),
        done,
        at: Some(at),
    }
}

/// "third rep didnt go", "3rd rep failed": how many were done before it.
fn rep_before(line: &Line, at: usize) -> Option<u32> {
    if !line.is(at.wrapping_sub(1), &["rep", "one"]) {
        return None;
    }
    let before = at.wrapping_sub(2);
    let digits = line.is(before, &["st", "nd", "rd", "th"]).then(|| {
        let number = line.number(before.wrapping_sub(1))?;
        count(number)
    });
    let number = ordinal_word(line.text(before)).or(digits.flatten())?;
    number.checked_sub(1)
}

/// "230kg no good": of a load, not of how it looked.
fn no_good(line: &Line) -> Option<(usize, usize)> {
    (1..line.len()).find_map(|at| {
        let load = line.unit(at - 1).is_some() || line.digits(at - 1).is_some_and(|v| v >= 31.0);
        let end = line.any_phrase(at, &["no good", "no go", "no rep"])?;
        load.then_some((at, end))
    })
}

fn short_of_aim(sets: &Sets) -> Missed {
    let done = sets
        .reps
        .iter()
        .find_map(|group| group.reps)
        .filter(|_| sets.aimed.is_some());
    Missed {
        miss: sets.aimed.zip(done).map(|(aimed, done)| Miss {
            reps: aimed.saturating_sub(done),
            place: None,
        }),
        done: None,
        at: None,
    }
}

fn ordinal_word(word: &str) -> Option<u32> {
    [
        "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
        "tenth",
    ]
    .iter()
    .zip(1..)
    .find(|(name, _)| **name == word)
    .map(|(_, number)| number)
}

fn place(line: &Line, at: usize, end: usize) -> Option<String> {
    let places = [
        (
            &[
                "lock out",
                "lockout",
                "cant lock",
                "at the top",
                "cant lock out",
            ][..],
            "lockout",
        ),
        (
            &[
                "half way",
                "halfway",
                "midway",
                "in the middle",
                "mid way",
                "mid range",
            ],
            "half way",
        ),
        (
            &[
                "out of the hole",
                "in the hole",
                "at the bottom",
                "bottom",
                "the hole",
                "hole",
            ],
            "bottom",
        ),
        (&["off the chest", "on the chest", "chest"], "off the chest"),
        (
            &["off the floor", "the floor", "from the floor"],
            "off the floor",
        ),
        (
            &[
                "at the knee",
                "at the knees",
                "below the knee",
                "above the knee",
                "past the knee",
                "knee",
            ],
            "at the knee",
        ),
    ];
    let near = at.saturating_sub(8)..(end + 9).min(line.len());
    places
        .iter()
        .find(|(words, _)| near.clone().any(|i| line.any_phrase(i, words).is_some()))
        .map(|(_, name)| (*name).to_owned())
}
