//! Sets and repetitions that stand by themselves: "4 sets of 6", "for 3", "a triple", "amrap 9".

use super::line::Line;
use super::sets::{LOAD_FROM, Open, RepsSaid, Sets, count};

/// "set 3 of 5", "2nd set": which set it was.
pub(super) fn set_number(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if line.is(at, &["set"])
            && let Some(number) = line.digits(at + 1).and_then(count)
            && line.is(at + 2, &["of"])
            && let Some(of) = line.digits(at + 3).and_then(count)
        {
            sets.set_number = Some(number);
            sets.reps.push(RepsSaid {
                reps: None,
                sets: Some(of),
                at: (at, at + 4),
            });
            line.note("set_number", at, at + 4, 0.95);
        } else if line.digits(at).is_some()
            && line.is(at + 1, &["st", "nd", "rd", "th"])
            && line.glued(at + 1)
        {
            // "4th rep", "1st set": an ordinal is no count.
            line.take(at, at + 2);
        }
    }
}

/// "4 sets of 225 for 6", "5 sets of 3", "sets of 3", "3 sets", "10 of them".
pub(super) fn sets_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if !line.is(at, &["set", "sets"]) {
            continue;
        }
        let before = at
            .checked_sub(1)
            .filter(|i| !line.is_used(*i))
            .and_then(|i| line.number(i))
            .and_then(count);
        let from = if before.is_some() {
            at.saturating_sub(1)
        } else {
            at
        };
        let small = line.number(at + 2).filter(|value| {
            *value < LOAD_FROM && !line.is_used(at + 2) && line.unit(at + 3).is_none()
        });
        if line.is(at + 1, &["of", "for", "x"])
            && let Some(value) = small
        {
            sets.reps.push(RepsSaid {
                reps: count(value),
                sets: before.or_else(|| of_them(line)),
                at: (from, at + 3),
            });
            line.take(from, at + 3);
            continue;
        }
        if before.is_some() {
            sets.reps.push(RepsSaid {
                reps: None,
                sets: before,
                at: (from, at + 1),
            });
            line.take(from, at + 1);
        }
    }
}

fn of_them(line: &Line) -> Option<u32> {
    let (at, _) = line.find(&["of them"])?;
    at.checked_sub(1)
        .and_then(|i| line.number(i))
        .and_then(count)
}

/// Names of repetitions.
const NAMED: [(&str, u32); 7] = [
    ("single", 1),
    ("singles", 1),
    ("double", 2),
    ("doubles", 2),
    ("triple", 3),
    ("triples", 3),
    ("quad", 4),
];

/// What makes "for 3" a length of time or anything but repetitions.
const NOT_REPS: [&str; 17] = [
    "years", "year", "months", "weeks", "days", "min", "mins", "minutes", "sec", "secs", "s", "%",
    "x", "hours", "wks", "week", "month",
];

/// "for 3", "x3", "8 reps", "a triple", "amrap got 9", "easy 5s".
pub(super) fn repetitions(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if line.is_used(at) {
            continue;
        }
        let found = named(line, at)
            .or_else(|| after_for(line, at))
            .or_else(|| counted(line, at))
            .or_else(|| open_set(line, at));
        if let Some((reps, to)) = found {
            if line.is(to, &["maybe", "or"]) {
                sets.open.push(Open::RepsUnsure);
            }
            sets.reps.push(RepsSaid {
                reps: Some(reps),
                sets: None,
                at: (at, to),
            });
            line.take(at, to);
        }
    }
}

/// "a triple".
fn named(line: &Line, at: usize) -> Option<(u32, usize)> {
    let (_, reps) = NAMED.iter().find(|(word, _)| *word == line.text(at))?;
    let other = line.is(at.wrapping_sub(1), &["best", "my", "every"])
        || line.is(at + 1, &["overhand", "chin", "leg", "arm"]);
    (!other).then_some((*reps, at + 1))
}

/// "for 3", "x3".
fn after_for(line: &Line, at: usize) -> Option<(u32, usize)> {
    if !line.is(at, &["x", "for"]) || line.is_used(at + 1) {
        return None;
    }
    let reps = line
        .number(at + 1)
        .filter(|n| *n < LOAD_FROM)
        .and_then(count)?;
    if line.unit(at + 2).is_some() || line.is(at + 2, &NOT_REPS) {
        return None;
    }
    let named = line.is(at + 2, &["reps", "rep"]);
    Some((reps, at + 2 + usize::from(named)))
}

/// "8 reps", "easy 5s".
fn counted(line: &Line, at: usize) -> Option<(u32, usize)> {
    let reps = line.number(at).and_then(count)?;
    let before = at.wrapping_sub(1);
    let not_done = [
        "rep", "reps", "last", "missed", "miss", "failed", "another", "-",
    ];
    if line.is(at + 1, &["reps", "rep", "repper"]) && !line.is(before, &not_done) {
        return Some((reps, at + 2));
    }
    let fives = line.is(at + 1, &["s"])
        && line.glued(at + 1)
        && line.is(before, &["easy", "of", "for", "heavy", "straight"]);
    fives.then_some((reps, at + 2))
}

/// "amrap got 9".
fn open_set(line: &Line, at: usize) -> Option<(u32, usize)> {
    if !line.is(at, &["amrap"]) {
        return None;
    }
    let number = (at + 1..at + 4)
        .find(|i| line.digits(*i).is_some() && !line.is_used(*i) && line.unit(*i + 1).is_none())?;
    Some((line.digits(number).and_then(count)?, number + 1))
}
