//! Effort in words: RPE, repetitions in reserve, "in the tank".

use super::line::Line;
use crate::quantity::{Effort, Span};

/// One effort told, and the tokens that tell it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told {
    pub(super) effort: Effort,
    pub(super) at: (usize, usize),
}

/// Numbers from `at` joined by `-`, `to` or `/`, or by commas to the end of a list; the span and
/// the end.
fn range(line: &Line, at: usize) -> Option<(Span, usize)> {
    let first = line.number(at).filter(|_| !line.is_used(at))?;
    let half = line.phrase(at + 1, "and a half");
    let mut span = Span::exactly(first + if half.is_some() { 0.5 } else { 0.0 });
    let mut end = half.unwrap_or(at + 1);
    loop {
        let comma = line.is(end, &[",", "and"]) && listed(line, end + 1, span);
        if !comma && !line.is(end, &["-", "/", "to", "–", "or"]) {
            break;
        }
        let Some(next) = line.number(end + 1) else {
            break;
        };
        // "rpe 9/10" is nine of ten, "rpe 8/9/10" a list.
        if end == at + 1 && line.is(end, &["/"]) && next > 9.5 && !line.is(end + 2, &["/"]) {
            end += 2;
            break;
        }
        span = Span::new(span.low.min(next), span.high.max(next));
        end += 2;
    }
    Some((span, end))
}

/// Whether the figure after a comma goes on a list of efforts ("rpe 7, 8, 9").
fn listed(line: &Line, at: usize, span: Span) -> bool {
    let close = line
        .digits(at)
        .is_some_and(|v| (5.0..=10.0).contains(&v) && v >= span.high && v <= span.high + 2.0);
    close
        && line.is(
            at + 1,
            &[
                "",
                ",",
                ".",
                ";",
                ")",
                "\n",
                "and",
                "respectively",
                "squat",
                "bench",
                "deadlift",
            ],
        )
}

/// Reads every effort told; `known` when repetitions are read already, so that a mark out of ten is
/// an effort.
pub(super) fn read(line: &mut Line, known: bool, told: &mut Vec<Told>) {
    for at in 0..line.len() {
        if line.is_used(at) {
            continue;
        }
        let found = rpe(line, at)
            .or_else(|| reserve(line, at))
            .or_else(|| of_ten(line, at, known))
            .or_else(|| named(line, at))
            .or_else(|| at_sign(line, at))
            .or_else(|| talk(line, at));
        let Some((effort, from, to)) = found else {
            continue;
        };
        // Said by name and off the scale: kept, so that the lifter is told, never dropped.
        if effort.check().is_err() && !line.is(from, &["rpe", "rpes"]) {
            continue;
        }
        line.take(from, to);
        match told.last_mut() {
            Some(last) if from <= last.at.1 + 1 && from >= last.at.1 && line.is(from, &["@"]) => {
                last.effort = wider(last.effort, effort);
                last.at.1 = to;
            }
            _ => told.push(Told {
                effort,
                at: (from, to),
            }),
        }
    }
    told.sort_by_key(|one| one.at);
}

/// Efforts of several sets told in a row.
fn wider(a: Effort, b: Effort) -> Effort {
    match (a, b) {
        (Effort::Rpe(a), Effort::Rpe(b)) => {
            Effort::Rpe(Span::new(a.low.min(b.low), a.high.max(b.high)))
        }
        _ => b,
    }
}

/// The effort that belongs to a load: told after it and before the next, else the first told.
pub(super) fn of_load(
    told: &[Told],
    load: Option<(usize, usize)>,
    next: Option<usize>,
) -> Option<Told> {
    let own = load.and_then(|load| {
        let mut after = told.iter().filter(|one| one.at.0 >= load.1);
        after.find(|one| next.is_none_or(|next| one.at.0 < next))
    });
    own.or(told.first()).copied()
}

/// "to failure", "nothing left": an effort without a figure.
pub(super) fn in_words(line: &Line) -> Option<Told> {
    let most = [
        (
            &[
                "to failure",
                "till failure",
                "until failure",
                "all out",
                "max effort",
                "maximum effort",
            ][..],
            Effort::Rpe(Span::exactly(10.0)),
        ),
        (
            &[
                "nothing left",
                "nothing in the tank",
                "no reps left",
                "none left in the tank",
                "none left",
                "0 left",
                "zero left",
                "cant have done another",
                "cant have done one more",
                "no more reps",
                "not another rep",
            ],
            Effort::Rir(Span::exactly(0.0)),
        ),
    ];
    most.into_iter().find_map(|(words, effort)| {
        let at = line.find(words).filter(|(from, _)| !line.denied(*from))?;
        Some(Told { effort, at })
    })
}

/// "effort: 8", "effort was a 9".
fn named(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    if !line.is(at, &["effort"]) {
        return None;
    }
    let mut figure = at + 1;
    while line.is(
        figure,
        &[":", "=", "was", "is", "of", "about", "a", "an", "level"],
    ) && figure < at + 4
    {
        figure += 1;
    }
    let (span, end) = if line.is(figure + 1, &["/"]) && line.number(figure + 2) == Some(10.0) {
        (Span::exactly(line.number(figure)?), figure + 3)
    } else {
        range(line, figure)?
    };
    let alone = line.unit_after(end.checked_sub(1)?).is_none()
        && !line.is(end, &["%", "x", "reps", "rep", "sets", "out", "/"]);
    (alone && span.low >= 4.0 && span.high <= 10.0).then_some((Effort::Rpe(span), at, end))
}

/// "R.P.E.", "r.i.r": where it ends.
fn spelt(line: &Line, at: usize, second: &str, third: &str) -> Option<usize> {
    let letters = line.is(at, &["r"]) && line.is(at + 2, &[second]) && line.is(at + 4, &[third]);
    let points = line.is(at + 1, &["."]) && line.is(at + 3, &["."]);
    (letters && points).then(|| at + 5 + usize::from(line.is(at + 5, &["."])))
}

fn rpe(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    let spelt = spelt(line, at, "p", "e");
    if spelt.is_some() || line.is(at, &["rpe", "rpes"]) {
        let mut next = spelt.unwrap_or(at + 1);
        while line.is(
            next,
            &[
                "of", "was", "is", "about", "around", "like", ":", "=", "maybe", "@", "a", "~",
                "roughly", "probably", "felt", "level",
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

/// What makes a count before it repetitions in reserve.
const RESERVE: [&str; 38] = [
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
    "more",
    "more rep",
    "more reps",
    "left in tank",
    "short of failure",
    "shy of failure",
    "from failure",
    "off failure",
    "rep short of failure",
    "rep shy of failure",
    "rep from failure",
    "rep off failure",
    "rep away from failure",
    "reps short of failure",
    "reps shy of failure",
    "reps from failure",
    "reps off failure",
    "reps away from failure",
    "reps to spare",
    "rep to spare",
];

/// "rir 2", "2 rir", "2 in the tank", "2 reps in reserve", "had two left".
fn reserve(line: &Line, at: usize) -> Option<(Effort, usize, usize)> {
    let spelt = spelt(line, at, "i", "r");
    if spelt.is_some() || line.is(at, &["rir"]) {
        let next = spelt.unwrap_or(at + 1);
        let next = next
            + usize::from(line.is(
                next,
                &["of", "was", ":", "=", "about", "is", "~", "around", "like"],
            ));
        let (span, end) = range(line, next)?;
        return Some((Effort::Rir(span), at, end));
    }
    // "a rep in the tank"
    let (mut span, end) = if line.is(at, &["a"]) && line.is(at + 1, &["rep"]) {
        (Span::exactly(1.0), at + 1)
    } else {
        range(line, at)?
    };
    if line.is(at.checked_sub(1).unwrap_or(usize::MAX), &["-", "/"]) {
        return None;
    }
    let to = line.any_phrase(end, &RESERVE)?;
    // "x 5 rir 1": the figure before belongs to the set when one follows.
    let sign = usize::from(line.is(to, &[":", "=", "of", "was", "~", "is", "about", "around"]));
    if line.is(to - 1, &["rir"]) && line.number(to + sign).is_some() {
        return None;
    }
    let short = to == end + 1 && line.is(end, &["more"]);
    if short
        && !line.is(
            at.checked_sub(1)?,
            &[
                "done", "do", "had", "got", "get", "hit", "managed", "another", "maybe",
            ],
        )
    {
        return None;
    }
    if to == end + 1
        && line.is(end, &["left"])
        && !line.is(
            at.checked_sub(1)?,
            &["had", "maybe", "about", "with", "probably"],
        )
        && !(line.is(at.checked_sub(1)?, &[",", ".", ";", "\n", "("])
            && line.is(to, &["", ",", ".", ";", "!", ")", "\n"]))
    {
        return None;
    }
    if span.high > 9.0 {
        span = Span::new(span.low.min(9.0), 9.0);
    }
    Some((Effort::Rir(span), at, to))
}

/// "9/10 effort", "effort 9 out of 10".
fn of_ten(line: &Line, at: usize, known: bool) -> Option<(Effort, usize, usize)> {
    let value = line.number(at).filter(|v| (3.0..=10.0).contains(v))?;
    // "pain 6/10" is no effort.
    let pain = ["pain", "sore", "soreness", "discomfort", "hurt", "ache"];
    if line.is(at.wrapping_sub(1), &pain) || line.is(at + 3, &pain) {
        return None;
    }
    let end = if line.is(at + 1, &["/"]) && line.number(at + 2) == Some(10.0) {
        at + 3
    } else {
        let end = line
            .phrase(at + 1, "out of 10")
            .or_else(|| line.phrase(at + 1, "out of ten"))?;
        return (known || near_effort(line, at, end)).then_some((
            Effort::Rpe(Span::exactly(value)),
            at,
            end,
        ));
    };
    (known || near_effort(line, at, end)).then_some((Effort::Rpe(Span::exactly(value)), at, end))
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
    // "@8 x1" is an effort, "@3x5" sets and repetitions.
    let chained = line.is(end, &["x"]) && (line.glued(end) || span.low < 6.0);
    let other = line.unit(end).is_some() || line.is(end, &["%", "percent"]) || chained;
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
    let felt = line.is(at, &["felt"]) && line.is(at + 1, &["like"]);
    let called = felt || line.is(figure.checked_sub(1)?, &["a", "an"]);
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
