//! Figures of which one holds, and the words do not say which: "130-140kg", "4 or 5 reps".

use super::line::Line;
use super::sets::{Open, RepsSaid, Sets, count};

/// What joins two figures of which one holds.
fn join(line: &Line, at: usize) -> Option<usize> {
    let glued = line.is(at, &["-"]) && line.glued(at) && line.glued(at + 1);
    let word = line.is(at, &["or", "to"]);
    if !glued && !word {
        return None;
    }
    Some(at + 1 + usize::from(word && line.is(at + 1, &["maybe", "perhaps", "possibly"])))
}

/// "130-140kg", "140kg or maybe 145kg", "between 90 and 100kg".
pub(super) fn loads(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let Some(low) = line.digits(at).filter(|v| *v >= 20.0 && !line.is_used(at)) else {
            continue;
        };
        let own = line.unit_after(at);
        let next = own.map_or(at + 1, |(_, end)| end);
        let between = line.is(at.wrapping_sub(1), &["between"]) && line.is(next, &["and"]);
        let second = if between {
            Some(next + 1)
        } else {
            join(line, next)
        };
        let Some(second) = second else { continue };
        let Some(high) = line
            .digits(second)
            .filter(|v| *v >= 20.0 && !line.is_used(second))
        else {
            continue;
        };
        let unit = line.unit_after(second);
        let to = unit.map_or(second + 1, |(_, end)| end);
        let goes_on = line.is(to, &["-", "/"]) && line.digits(to + 1).is_some();
        let unit = unit.or(own).map(|(unit, _)| unit);
        if unit.is_none()
            || goes_on
            || low >= high
            || line.is(to, &["x", "*"]) && own.is_none() && line.is(next, &["to"])
        {
            continue;
        }
        if line.is(at.wrapping_sub(1), &["from"]) || line.is(at.wrapping_sub(1), &["rpe", "@"]) {
            continue;
        }
        sets.open.push(Open::LoadRange(low, high, unit));
        line.note("load", at, to, 0.5);
    }
}

/// "4-5 reps", "for 3-5", "maybe 5 or 6", "5-6 sets of 3".
pub(super) fn repetitions(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let small = |at: usize| {
            line.number(at)
                .filter(|v| (1.0..=30.0).contains(v) && !line.is_used(at))
                .and_then(count)
        };
        let (Some(low), Some(second)) = (small(at), join(line, at + 1)) else {
            continue;
        };
        if small(second).is_none_or(|high| high <= low) {
            continue;
        }
        let to = second + 1;
        if line.unit_after(second).is_some() {
            continue;
        }
        let led = line.is(
            at.wrapping_sub(1),
            &[
                "for", "x", "got", "did", "maybe", "about", "hit", "managed", "of",
            ],
        );
        if line.is(to, &["sets"]) {
            let of = line
                .is(to + 1, &["of", "x"])
                .then(|| small(to + 2))
                .flatten();
            sets.reps.push(RepsSaid {
                many: true,
                ..RepsSaid::new(of, None, (at, to + 1))
            });
            line.take(at, to + 1 + if of.is_some() { 2 } else { 0 });
        } else if line.is(to, &["reps", "rep"]) || led {
            sets.open.push(Open::RepsUnsure);
            line.take(at, to);
        }
    }
}
