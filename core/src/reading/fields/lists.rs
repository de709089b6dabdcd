//! Repetitions of several sets in a row: `5,5,4`, `8/7/6`, `5 then 4 then 3`.

use super::line::Line;
use super::sets::{RepsSaid, Sets, count};

/// The most repetitions in a list; larger figures are loads.
const MOST: f64 = 30.0;

/// Reads the lists. Of a list the best set counts, and how many were like it.
pub(super) fn lists(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let Some((list, end)) = list(line, at) else {
            at += 1;
            continue;
        };
        let most = list.iter().copied().max().unwrap_or_default();
        let alike = list.iter().filter(|reps| **reps == most).count();
        let end = if line.is(end, &["reps", "rep"]) {
            end + 1
        } else {
            end
        };
        sets.reps.push(RepsSaid {
            reps: Some(most),
            sets: u32::try_from(alike).ok(),
            at: (at, end),
            many: true,
            one: false,
        });
        // A number of sets told beside the list is the length of the list, not of sets alike.
        sets.listed = true;
        line.take(at, end);
        at = end;
    }
}

/// Three or more counts in a row, or two with "then" between.
fn list(line: &Line, at: usize) -> Option<(Vec<u32>, usize)> {
    let small = |at: usize| {
        line.digits(at)
            .filter(|v| *v <= MOST && *v >= 1.0 && !line.is_used(at))
            .and_then(count)
    };
    let mut list = vec![small(at)?];
    if line.is(
        at.wrapping_sub(1),
        &["x", "*", "by", "@", "rpe", "rir", "/", "-", "effort"],
    ) || line.unit_after(at).is_some()
        || (line.is(at.wrapping_sub(1), &[","]) && small(at.wrapping_sub(2)).is_some())
    {
        return None;
    }
    let mut end = at + 1;
    let mut then = 0;
    while list.len() < 12 {
        let mut next = end;
        let joined = line.is(next, &[",", "/", "-", "and", "then", "+", "&"]);
        then += usize::from(line.is(next, &["then"]));
        if joined {
            next += 1;
            next += usize::from(line.is(next, &["then", "and"]));
        }
        let Some(more) = small(next) else { break };
        let after = next + 1;
        if line.is(
            after,
            &[
                "x", "*", "by", "sets", "set", "%", "kg", "lb", "lbs", "kgs", "s", "st", "nd",
                "rd", "th", "yo", "cm", "min", "mins",
            ],
        ) || line.unit_after(next).is_some()
        {
            break;
        }
        list.push(more);
        end = after;
    }
    (list.len() >= 3 || (list.len() == 2 && then == 1)).then_some((list, end))
}
