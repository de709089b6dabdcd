//! Effort in words: RPE, repetitions in reserve, "in the tank".

use super::line::Line;
use crate::quantity::{Effort, Span};
use crate::reading::Reading;

/// Numbers from `at` joined by `-`, `to` or `/`; the span and the end.
fn range(line: &Line, at: usize) -> Option<(Span, usize)> {
    let first = line.number(at)?;
    let mut span = Span::exactly(first);
    let mut end = at + 1;
    while line.is(end, &["-", "/", "to", "–", "or"]) {
        let Some(next) = line.number(end + 1) else {
            break;
        };
        span = Span::new(span.low.min(next), span.high.max(next));
        end += 2;
    }
    Some((span, end))
}

/// Reads the effort.
pub(super) fn read(line: &mut Line, out: &mut Reading) {
    for at in 0..line.len() {
        if let Some((effort, from, to)) = rpe(line, at)
            && effort.check().is_err()
        {
            // Said by name and off the scale: kept, so that the lifter is told, never dropped.
            out.fields.effort = Some(effort);
            line.note("effort", from, to, 0.95);
            return;
        }
        if let Some((effort, from, to)) = rpe(line, at)
            .or_else(|| reserve(line, at))
            .or_else(|| of_ten(line, at))
            .or_else(|| at_sign(line, at))
            .or_else(|| talk(line, at))
            && effort.check().is_ok()
        {
            out.fields.effort = Some(effort);
            line.note("effort", from, to, 0.95);
            return;
        }
    }
}

fn rpe(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    if line.is(at, &["rpe", "rpes"]) {
        let mut next = at + 1;
        while line.is(
            next,
            &[
                "of", "was", "is", "about", "around", "like", ":", "=", "maybe", "@", "a",
            ],
        ) && next < at + 4
        {
            next += 1;
        }
        if let Some((span, end)) = range(line, next) {
            return Some((Effort::Rpe(span), at, end));
        }
        // "7 rpe", "7-8 rpe"
        let last = at.checked_sub(1)?;
        let start = if line.is(last.checked_sub(1)?, &["-", "/", "to"]) {
            last.checked_sub(2)?
        } else {
            last
        };
        let (span, end) = range(line, start)?;
        return (end == at).then_some((Effort::Rpe(span), start, at + 1));
    }
    None
}

/// "rir 2", "2 rir", "2 in the tank", "2 reps in reserve", "had two left".
fn reserve(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    if line.is(at, &["rir"]) {
        let next = if line.is(at + 1, &["of", "was", ":", "=", "about"]) {
            at + 2
        } else {
            at + 1
        };
        let (span, end) = range(line, next)?;
        return Some((Effort::Rir(span), at, end));
    }
    let (mut span, end) = range(line, at)?;
    if line.is(at.checked_sub(1).unwrap_or(usize::MAX), &["-", "/"]) {
        return None;
    }
    let tail = [
        "rir",
        "in the tank",
        "in tank",
        "in reserve",
        "left in the tank",
        "reps in reserve",
        "rep in reserve",
        "reps in the tank",
        "rep in the tank",
        "left in me",
        "reps left",
        "rep left",
        "more in the tank",
        "more in me",
        "reps left in the tank",
        "more reps in me",
        "more reps in the tank",
        "left",
    ];
    let to = line.any_phrase(end, &tail)?;
    if to == end + 1
        && line.is(end, &["left"])
        && !line.is(
            at.checked_sub(1)?,
            &["had", "maybe", "about", "with", "probably"],
        )
    {
        return None;
    }
    if span.high > 9.0 {
        span = Span::new(span.low.min(9.0), 9.0);
    }
    Some((Effort::Rir(span), at, to))
}

/// "9/10 effort", "effort 9 out of 10".
fn of_ten(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    let value = line.number(at)?;
    let end = if line.is(at + 1, &["/"]) && line.number(at + 2) == Some(10.0) {
        at + 3
    } else {
        let end = line
            .phrase(at + 1, "out of 10")
            .or_else(|| line.phrase(at + 1, "out of ten"))?;
        return near_effort(line, at, end).then_some((Effort::Rpe(Span::exactly(value)), at, end));
    };
    near_effort(line, at, end).then_some((Effort::Rpe(Span::exactly(value)), at, end))
}

fn near_effort(line: &Line, from: usize, to: usize) -> bool {
    let words = [
        "effort",
        "effortwise",
        "difficulty",
        "hard",
        "exertion",
        "hardness",
        "tough",
    ];
    (0..3).any(|step| {
        line.is(to + step, &words)
            || from
                .checked_sub(step + 1)
                .is_some_and(|i| line.is(i, &words))
    })
}

/// `@8`, `@ 8-9`: an effort when the figure is one, not followed by a unit or a percent sign.
fn at_sign(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    if !line.is(at, &["@"]) || line.is(at + 1, &["rpe"]) {
        return None;
    }
    let (span, end) = range(line, at + 1)?;
    let other = line.unit(end).is_some() || line.is(end, &["%", "percent", "x"]);
    (!other && span.low >= 4.0 && span.high <= 10.0).then_some((Effort::Rpe(span), at, end))
}

/// Least effort that is told as a bare figure; lower ones are counts of something else.
const LEAST_TALKED: f64 = 5.0;

/// "a triple at 8 to 9", "3 reps at an 8", "about a 9": a bare figure up to 10 is the effort when
/// it stands right after the repetitions or is called "a" figure, and no unit follows.
fn talk(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    if !line.is(
        at,
        &[
            "at", "about", "around", "roughly", "felt", "maybe", "probably", "was", "like",
        ],
    ) {
        return None;
    }
    let mut figure = at + 1;
    while line.is(
        figure,
        &["a", "an", "about", "around", "like", "roughly", "maybe"],
    ) && figure < at + 4
    {
        figure += 1;
    }
    let called = line.is(figure.checked_sub(1)?, &["a", "an"]);
    line.digits(figure)?;
    let (span, end) = range(line, figure)?;
    let end = if called && line.is(end, &["or"]) && line.is(end + 1, &["a", "an"]) {
        line.number(end + 2).map_or(end, |_| end + 3)
    } else {
        end
    };
    let counted = [
        "triple", "triples", "single", "singles", "double", "doubles", "reps", "rep", "set",
        "sets", "kg", "kilos", "lb", "lbs", "pounds",
    ];
    let after_set = line.is(at, &["at"])
        && (line.is(at.checked_sub(1)?, &counted)
            || (line.digits(at - 1).is_some() && line.is(at.checked_sub(2)?, &["for", "x", "of"])));
    let closes = [
        "", ".", ",", ";", "!", ")", "\n", "and", "but", "so", "with", "i", "my", "on", "though",
        "today", "last", "effort", "then", "no", "bar", "hips", "knees", "the",
    ];
    let alone = line.is(end, &closes);
    let figures = span.low >= LEAST_TALKED && span.high <= 10.0 && line.unit(end).is_none();
    ((after_set || called) && alone && figures).then_some((Effort::Rpe(span), figure, end))
}
