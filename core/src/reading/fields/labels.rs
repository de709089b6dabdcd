//! Counts that say by a word what they count: "set 3 of 5", "reps: 5", "rep 4 of 6", "x 5, twice".

use super::line::Line;
use super::sets::{Open, RepsSaid, Sets, count};

/// "set 3 of 5", "2nd set": which set it was.
pub(super) fn set_number(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if line.is(at, &["set"])
            && let Some(number) = line.digits(at + 1).and_then(count)
            && line.is(at + 2, &["of"])
            && let Some(of) = line.digits(at + 3).and_then(count)
        {
            sets.set_number = Some(number);
            sets.reps.push(RepsSaid::new(None, Some(of), (at, at + 4)));
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

/// "from the third rep of 5", "rep 4 of 6": how many there were.
pub(super) fn rep_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let of = at + 1 + usize::from(line.is(at, &["rep"]) && line.digits(at + 1).is_some());
        if !line.is(at, &["rep"]) || !line.is(of, &["of"]) {
            continue;
        }
        let reps = line
            .number(of + 1)
            .filter(|v| (1.0..=30.0).contains(v) && line.unit_after(of + 1).is_none())
            .and_then(count);
        if reps.is_some() && !line.is(of + 2, &["sets", "set", "%", "x"]) {
            sets.reps.push(RepsSaid::new(reps, None, (of, of + 2)));
            line.take(of.min(at + 1), of + 2);
        }
    }
}

/// "100kg x 5, twice", "62.5kg for twelve three times": so many sets of it.
pub(super) fn over_again(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let of = match line.text(at) {
            "twice" => Some((2, at + 1)),
            "thrice" => Some((3, at + 1)),
            _ if line.is(at + 1, &["times"]) && !line.is_used(at) => {
                line.number(at).and_then(count).map(|of| (of, at + 2))
            }
            _ => None,
        };
        let Some((of, end)) = of.filter(|(of, _)| (2..=20).contains(of)) else {
            continue;
        };
        let missed = (1..=5).any(|steps| {
            line.is(
                at.wrapping_sub(steps),
                &[
                    "missed", "failed", "miss", "fail", "missing", "failing", "bailed", "dropped",
                ],
            )
        });
        let whole = |at: usize| {
            sets.loads
                .iter()
                .any(|load| load.reps.is_some() && load.sets.is_none() && load.at.1 <= at)
                || sets
                    .reps
                    .iter()
                    .any(|g| g.reps.is_some() && g.sets.is_none() && g.at.1 <= at)
        };
        let closes = [
            "", ",", ".", ";", ")", "!", "\n", "and", "but", "with", "today", "on", "@", "rpe",
        ];
        if !missed && whole(at) && line.is(end, &closes) {
            sets.reps.push(RepsSaid::new(None, Some(of), (at, end)));
            line.take(at, end);
        }
    }
}

/// "reps: 5, sets: 3", "sets 4 reps 6": the name before its figure.
pub(super) fn labelled(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let of_reps = line.is(at, &["reps", "rep"]);
        if !of_reps && !line.is(at, &["sets"]) {
            continue;
        }
        // "265 reps 5": no count stands before the label.
        let counted = at.checked_sub(1).is_some_and(|before| {
            line.number(before).and_then(count).is_some() && !line.is_used(before)
        });
        let figure = at
            + 1
            + usize::from(line.is(at + 1, &[":", "=", "-", "was", "were"]))
            + usize::from(of_reps && line.is(at + 1, &["of"]));
        let Some(value) = line
            .digits(figure)
            .and_then(count)
            .filter(|_| !counted && !line.is_used(figure))
        else {
            continue;
        };
        if line.unit_after(figure).is_some()
            || line.is(figure + 1, &["x", "st", "nd", "rd", "th"])
            || (line.is(figure + 1, &["/"]) && line.digits(figure + 2).is_some())
        {
            continue;
        }
        let (reps, of) = if of_reps {
            (Some(value), None)
        } else {
            (None, Some(value))
        };
        sets.reps.push(RepsSaid {
            many: line.is(at + 1, &["of"]),
            ..RepsSaid::new(reps, of, (at, figure + 1))
        });
        line.take(at, figure + 1);
    }
}

/// "5x5, last set only 3": the sets were not all alike.
pub(super) fn last_short(line: &mut Line, sets: &mut Sets) {
    let Some((_, end)) = line.find(&[
        "last set only",
        "last set i only got",
        "last set just",
        "except the last",
    ]) else {
        return;
    };
    let figure = end + usize::from(line.is(end, &["got", "did", "made"]));
    if line.number(figure).is_some_and(|v| v <= 30.0) {
        sets.open.push(Open::RepsUnsure);
        line.take(figure, figure + 1);
    }
}
