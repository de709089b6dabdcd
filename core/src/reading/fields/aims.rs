//! What was aimed at beside what was done: "hit 5 of 6", `6/8`, "planned 3x5", "aimed for 4".

use super::line::Line;
use super::sets::{Open, RepsSaid, Sets, count};

/// Words before what was aimed at.
const AIM: [&str; 22] = [
    "aimed for",
    "aiming for",
    "was aiming for",
    "supposed to be",
    "supposed to get",
    "supposed to do",
    "supposed to hit",
    "planned",
    "plan was",
    "wanted",
    "goal was",
    "target was",
    "meant to get",
    "meant to do",
    "meant to be",
    "going for",
    "was going for",
    "tried for",
    "programmed",
    "prescribed",
    "called for",
    "aim was",
];

/// "a triple" that was aimed at.
fn named(line: &Line, at: usize) -> Option<(u32, usize)> {
    let at = at + usize::from(line.is(at, &["a", "the"]));
    let reps = match line.text(at) {
        "single" => 1,
        "double" => 2,
        "triple" => 3,
        _ => return None,
    };
    Some((reps, at + 1))
}

/// "went for 5, got 4": an aim only when what was done follows.
fn went_for(line: &Line, at: usize) -> Option<usize> {
    let end = line.any_phrase(at, &["went for", "tried", "attempted"])?;
    let then = (end + 1..end + 9).any(|i| line.is(i, &["got", "managed", "only", "made"]));
    let counted = line.number(end).is_some()
        && line.is(end + 1, &["", ",", "but", "and", "reps", "at", "with"]);
    let named = named(line, end).is_some();
    (then && (counted || named)).then_some(end)
}

/// Repetitions aimed at.
pub(super) fn aims(line: &mut Line, sets: &mut Sets) {
    let words = line.may(&AIM);
    for at in 0..line.len() {
        let Some(end) = line.any_phrase(at, &words).or_else(|| went_for(line, at)) else {
            continue;
        };
        if let Some((reps, to)) = named(line, end) {
            sets.aimed = Some(reps);
            line.take(end, to);
            continue;
        }
        let end = end + usize::from(line.is(end, &["a", "for", "set"]));
        let small = |at: usize| {
            line.number(at)
                .filter(|v| *v <= 30.0)
                .and_then(count)
                .filter(|_| !line.is_used(at))
        };
        let Some(first) = small(end) else { continue };
        if line.is(end + 1, &["x", "by", "*"])
            && let Some(reps) = small(end + 2)
        {
            // The sets planned are not the sets done.
            sets.reps
                .push(RepsSaid::new(Some(reps), None, (end, end + 3)));
            line.take(end, end + 3);
        } else if line.unit_after(end).is_none()
            && !line.is(end + 1, &["sets", "set", "x", "%", "plates", "plate"])
        {
            sets.aimed = Some(first);
            line.take(end, end + 1);
            if line.is(end + 1, &["reps", "rep"]) {
                line.take(end + 1, end + 2);
            }
        }
    }
}

/// `6/8`, "5 of 6", "4 out of 5": done of aimed, when the text speaks of a set.
pub(super) fn done_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let slash = line.is(at + 1, &["/"]) && line.glued(at + 1);
        let aimed_at = if slash || line.is(at + 1, &["of"]) {
            at + 2
        } else if line.phrase(at + 1, "out of").is_some() {
            at + 3
        } else {
            continue;
        };
        let before = [
            "/", "-", "rep", "set", "day", "week", "session", "part", "video", "clip", "rpe",
            "rir", "@",
        ];
        let (Some(done), Some(aimed)) = (line.number(at), line.number(aimed_at)) else {
            continue;
        };
        if line.is_used(at)
            || line.is_used(aimed_at)
            || line.is(at.wrapping_sub(1), &before)
            || line.is(aimed_at + 1, &["/", "sets", "set", "x", "%"])
            || line.unit_after(aimed_at).is_some()
            || done >= aimed
            || aimed > 30.0
        {
            continue;
        }
        let known = sets.reps.iter().any(|group| group.reps.is_some())
            || sets.loads.iter().any(|load| load.reps.is_some());
        let to = aimed_at + 1;
        if known && !line.is(to, &["reps", "rep"]) {
            // Repetitions are told already: a mark out of ten is the effort, anything else a date.
            if (aimed - 10.0).abs() > 0.5 {
                line.take(at, to);
            }
            continue;
        }
        if aimed > 9.5 && aimed < 10.5 && !line.is(to, &["reps", "rep"]) {
            if let Some(done) = count(done) {
                sets.open.push(Open::DoneOrEffort(done));
            }
        } else {
            sets.reps.push(RepsSaid::new(count(done), None, (at, to)));
            sets.aimed = count(aimed);
        }
        line.take(at, to);
    }
}
