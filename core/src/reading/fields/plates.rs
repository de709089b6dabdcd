//! Talk of plates and bars: "two plates", "plate and a half a side", "20kg bar with 25 each side".

use super::line::Line;
use super::sets::{Open, Sets};

/// What hangs on each side beside whole plates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Extra {
    /// Nothing.
    None,
    /// Half a plate: 10 kg, or 25 lb.
    Half,
    /// A quarter: 5 kg, or 10 lb.
    Quarter,
    /// A plate of this figure, in the plates' own unit.
    Figure(f64),
    /// Something that is not told.
    Some,
}

impl Extra {
    /// Kilograms or pounds of it on one side; `None` when not told.
    pub(super) const fn each(self, kg: bool) -> Option<f64> {
        match self {
            Self::None => Some(0.0),
            Self::Half => Some(if kg { 10.0 } else { 25.0 }),
            Self::Quarter => Some(if kg { 5.0 } else { 10.0 }),
            Self::Figure(value) => Some(value),
            Self::Some => None,
        }
    }
}

/// The whole load of plates on each side of a standard bar (20 kg, or 45 lb; common practice, no
/// source), in kilograms or pounds.
pub(super) fn total(plates: f64, extra: Extra, kg: bool) -> Option<f64> {
    let (bar, plate) = if kg { (20.0, 20.0) } else { (45.0, 45.0) };
    extra
        .each(kg)
        .map(|each| bar + 2.0 * (plate * plates + each))
}

/// What lifters call the standard plate.
const PLATES: [&str; 4] = ["plate", "plates", "wheel", "wheels"];

/// "two plates", "plate and a half", "3 plate squat".
pub(super) fn read(line: &mut Line, sets: &mut Sets) {
    let aside = line.has(&PLATES).then(|| a_side(line)).flatten();
    for at in 0..line.len() {
        let no_load = [
            "under", "rattle", "rattled", "shake", "not", "near", "leave", "leaves", "look",
            "here", "at", "are",
        ];
        if !line.is(at, &PLATES) || line.is(at + 1, &no_load) {
            continue;
        }
        let counted = at
            .checked_sub(1)
            .and_then(|i| line.number(i))
            .filter(|n| (1.0..=8.0).contains(n));
        let one = line.is(at, &["plate"]) && line.is(at.wrapping_sub(1), &["a", "one"]);
        let (extra, end) = extra(line, at + 1);
        let (number, from) = match counted {
            Some(number) => (number, at.saturating_sub(1)),
            None if extra != Extra::None && line.is(at, &["plate"]) => (1.0, at),
            None if one && (side(line, at + 1).is_some() || for_reps(line, at + 1)) => {
                (1.0, at.saturating_sub(1))
            }
            None if and_a_half(line, at).is_some() => {
                let count = and_a_half(line, at).unwrap_or_default();
                sets.open.push(Open::Plates(count, Extra::Half));
                line.note("load", at.saturating_sub(4), at + 1, 0.6);
                return;
            }
            None => match aside {
                Some((count, from, end)) => {
                    sets.open.push(Open::Plates(count, Extra::None));
                    line.note("load", from, end, 0.6);
                    return;
                }
                None => continue,
            },
        };
        // "2.5 plates" is two and a half.
        let (number, extra) = match number.fract() {
            part if extra != Extra::None || part == 0.0 => (number, extra),
            0.5 => (number.trunc(), Extra::Half),
            0.25 => (number.trunc(), Extra::Quarter),
            _ => (number.trunc(), Extra::Some),
        };
        sets.open.push(Open::Plates(number, extra));
        line.note("load", from, side(line, end).unwrap_or(end), 0.6);
        return;
    }
}

/// "a plate for 10"
fn for_reps(line: &Line, at: usize) -> bool {
    line.is(at, &["for", "x"]) && line.number(at + 1).is_some()
}

/// "two and a half plates": the whole ones.
fn and_a_half(line: &Line, at: usize) -> Option<f64> {
    let from = at.checked_sub(4)?;
    let half = line.phrase(from + 1, "and a half") == Some(at);
    line.number(from)
        .filter(|count| half && (1.0..=8.0).contains(count))
}

/// "kilo plates, 4 a side": a small count right before "a side".
fn a_side(line: &Line) -> Option<(f64, usize, usize)> {
    (0..line.len()).find_map(|at| {
        let count = line
            .number(at)
            .filter(|n| (1.0..=8.0).contains(n) && n.fract() == 0.0 && !line.is_used(at))?;
        Some((count, at, side(line, at + 1)?))
    })
}

/// "a side", "each side", "per side": where it ends.
fn side(line: &Line, at: usize) -> Option<usize> {
    line.any_phrase(
        at,
        &[
            "a side",
            "each side",
            "per side",
            "on each side",
            "either side",
            "both sides",
        ],
    )
}

/// What hangs beside the whole plates, and the end of its words.
fn extra(line: &Line, at: usize) -> (Extra, usize) {
    let joined = at + usize::from(line.is(at, &["and", "plus", "+", "&"]));
    let figure = joined + usize::from(line.is(joined, &["a", "an"]));
    let told = |end| (end, line.is(at, &["and", "plus", "+", "&"]));
    let (end, is_joined) = told(figure + 1);
    if line.is(figure, &["half", "halves"]) {
        return (Extra::Half, end);
    }
    if line.is(figure, &["quarter", "quarters"]) {
        return (Extra::Quarter, end);
    }
    if !is_joined {
        return (Extra::None, at);
    }
    match line.number(figure).filter(|v| (1.0..=25.0).contains(v)) {
        Some(value) if !line.is(figure + 1, &["x", "reps", "rep", "sets"]) => {
            let end = line.unit_after(figure).map_or(end, |(_, end)| end);
            (
                Extra::Figure(value),
                end + usize::from(line.is(end, &["s"])),
            )
        }
        _ if line.is(joined, &["change", "bit", "some", "little"]) || figure > joined => {
            (Extra::Some, end)
        }
        _ => (Extra::None, at),
    }
}

/// Words behind a figure that leaves the bar out.
const WITHOUT_BAR: [&str; 12] = [
    "plus bar",
    "plus the bar",
    "+ bar",
    "+ the bar",
    "without bar",
    "without the bar",
    "excluding bar",
    "excluding the bar",
    "not counting bar",
    "not counting the bar",
    "not including the bar",
    "bar not included",
];

/// "80kg plus the bar", but not "plus the bar drifts".
fn without_bar(line: &Line, at: usize) -> bool {
    let closes = [
        "", ",", ".", ";", ")", "x", "*", "for", "squat", "bench", "deadlift", "at",
    ];
    line.any_phrase(at, &WITHOUT_BAR)
        .is_some_and(|end| line.is(end, &closes) || line.digits(end).is_some())
}

/// "120kg + 20kg bar": the bar is told beside what hangs on it.
fn bar_on_top(line: &Line, at: usize) -> bool {
    let figure = at + 1 + usize::from(line.is(at + 1, &["a", "the"]));
    line.is(at, &["+", "plus"])
        && line
            .unit_after(figure)
            .is_some_and(|(_, end)| line.is(end, &["bar", "barbell"]))
}

/// Figures of the bar and of what hangs on it are no load where the whole is told too: "45lb bar,
/// 225lb total", "20kg bar with 25 and 10 each side so 90kg".
pub(super) fn parts(line: &mut Line) {
    let mut bars = Vec::new();
    let mut hung_there = false;
    let mut whole = false;
    for at in 0..line.len() {
        let Some(value) = line.digits(at).filter(|_| !line.is_used(at)) else {
            continue;
        };
        let unit = line.unit_after(at);
        let end = unit.map_or(at + 1, |(_, end)| end);
        let bar = value <= 60.0
            && (line.is(end, &["bar", "bars", "barbell", "oly", "olympic"])
                || line.is(at.wrapping_sub(2), &["bar", "barbell", "bars"])
                    && line.is(
                        at.wrapping_sub(1),
                        &["is", "was", "weighs", "are", "=", ":"],
                    ));
        let listed = line.is(end, &["and", "+", "plus"])
            && line.digits(end + 1).is_some_and(|_| {
                let next = line.unit_after(end + 1).map_or(end + 2, |(_, end)| end);
                side(line, next).is_some()
            });
        let hung = side(line, end).is_some()
            || without_bar(line, end)
            || bar_on_top(line, end)
            || listed
            || line
                .any_phrase(end, &["of plates", "in plates", "worth of plates"])
                .is_some();
        if hung {
            // Never the load, which is asked for where it is not told.
            hung_there = true;
            line.take(at, end);
        } else if bar {
            bars.push((at, end));
        } else {
            whole |= unit.is_some() || value >= super::sets::LOAD_FROM;
        }
    }
    if whole || hung_there {
        for (from, to) in bars {
            line.take(from, to);
        }
    }
}
