//! Figures joined by `x`, `*` or `by`: `275x4`, `3 x 5`, `140 kg x 3`, `3 sets x 5 reps x 60 kg`.

use super::line::Line;
use super::sets::{LOAD_FROM, LoadSaid, Open, RepsSaid, Sets, count};
use crate::quantity::MassUnit;

/// What a figure of a chain is, by the word behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Role {
    Plain,
    Load(MassUnit),
    Reps,
    Sets,
}

/// One figure of a chain.
type Figure = (f64, Role);

/// Reads every chain.
pub(super) fn chains(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let Some((figures, end)) = joined(line, at) else {
            at += 1;
            continue;
        };
        let of_percent =
            at >= 2 && line.is(at - 1, &["x", "*"]) && line.is(at - 2, &["%", "percent"]);
        if figures.len() < 2 || of_percent || line.is(end, &["%", "percent"]) {
            at += 1;
            continue;
        }
        if chain(line, &figures, (at, end), sets) {
            let end = unsure(line, end, sets);
            let end = more_sets(line, end, sets);
            line.take(at, end);
            at = end;
        } else {
            at += 1;
        }
    }
}

/// The figures joined from a token on, and their end.
fn joined(line: &Line, at: usize) -> Option<(Vec<Figure>, usize)> {
    let (figure, mut end) = part(line, at)?;
    let mut figures = vec![figure];
    while figures.len() < 3 {
        let bracket = line.is(end + 1, &["("]);
        let times = line.is(end, &["times"]) && line.digits(end + 1).is_some();
        if !(line.is(end, &["x", "*", "by"]) || times) {
            break;
        }
        let Some((next, to)) = part(line, end + 1 + usize::from(bracket)) else {
            break;
        };
        // "x 5kg jumps" is no load.
        if line.is(to, &["jump", "jumps", "increments", "increment"]) {
            break;
        }
        figures.push(next);
        end = to + usize::from(bracket && line.is(to, &[")"]));
    }
    Some((figures, end))
}

/// A figure with the word behind it that says what it is.
fn part(line: &Line, at: usize) -> Option<(Figure, usize)> {
    let value = line.number(at)?;
    if line.is_used(at) {
        return None;
    }
    if let Some((unit, end)) = line.unit_after(at) {
        let whole = line.is(end, &["total", "altogether"]) && line.is(end + 1, &["x", "*", "by"]);
        return Some(((value, Role::Load(unit)), end + usize::from(whole)));
    }
    let bracket = usize::from(line.is(at + 1, &["("]) && line.is(at + 3, &[")"]));
    let next = at + 1 + bracket;
    let glued = line.glued(next);
    let role = match line.text(next) {
        "reps" | "rep" => Role::Reps,
        "r" if glued => Role::Reps,
        "sets" | "set" => Role::Sets,
        "s" if glued && (line.is(at + 2, &["x"]) || line.is(at.wrapping_sub(1), &["x"])) => {
            Role::Sets
        }
        _ => return Some(((value, Role::Plain), at + 1)),
    };
    Some(((value, role), next + 1 + bracket))
}

/// What a chain of two or three figures says.
fn chain(line: &Line, figures: &[Figure], at: (usize, usize), sets: &mut Sets) -> bool {
    let big = |value: f64| value >= LOAD_FROM || value.fract() != 0.0;
    let mut add = |value, unit, reps, of| {
        sets.loads.push(LoadSaid {
            reps,
            sets: of,
            ..LoadSaid::alone(value, unit, at)
        });
    };
    if figures
        .iter()
        .any(|(_, role)| matches!(role, Role::Reps | Role::Sets))
    {
        return labelled(figures, at, sets);
    }
    let plain: Vec<(f64, Option<MassUnit>)> = figures
        .iter()
        .map(|(value, role)| match role {
            Role::Load(unit) => (*value, Some(*unit)),
            _ => (*value, None),
        })
        .collect();
    match *plain {
        // "120x6 kg": after "120x" the unit stands behind the repetitions.
        [(a, None), (b, Some(unit))] if a >= LOAD_FROM && b < LOAD_FROM => {
            add(a, Some(unit), count(b), None);
        }
        [(a, Some(unit)), (b, None)] => add(a, Some(unit), count(b), None),
        [(a, None), (b, Some(unit))] => add(b, Some(unit), count(a), None),
        [(a, None), (b, None)] if big(a) && !big(b) => add(a, None, count(b), None),
        [(a, None), (b, None)] if big(b) && !big(a) => add(b, None, count(a), None),
        [(a, None), (b, None)] => counts(line, a, b, at, sets),
        [(a, ua), (b, None), (c, None)] if ua.is_some() || big(a) => {
            let (Some(b), Some(c)) = (count(b), count(c)) else {
                return false;
            };
            if b == c || b == 1 || c == 1 {
                add(a, ua, Some(b), Some(c));
            } else {
                add(a, ua, None, None);
                sets.open.push(Open::Order(b, c));
            }
        }
        // "4 x 100kg x 6"
        [(a, None), (b, Some(unit)), (c, None)] => {
            let (Some(a), Some(c)) = (count(a), count(c)) else {
                return false;
            };
            if a == c || a == 1 || c == 1 {
                add(b, Some(unit), Some(c), Some(a));
            } else {
                add(b, Some(unit), None, None);
                sets.open.push(Open::Order(a, c));
            }
        }
        [(a, None), (b, None), (c, uc)] if uc.is_some() || big(c) => {
            add(c, uc, count(b), count(a));
        }
        _ => return false,
    }
    true
}

/// Figures that say themselves what they are; one that does not is what is still missing.
fn labelled(figures: &[Figure], at: (usize, usize), sets: &mut Sets) -> bool {
    let (mut load, mut reps, mut of) = (None, None, None);
    for (value, role) in figures {
        match role {
            Role::Load(unit) => load = Some((*value, Some(*unit))),
            Role::Reps => reps = count(*value),
            Role::Sets => of = count(*value),
            Role::Plain => {}
        }
    }
    for (value, _) in figures.iter().filter(|(_, role)| *role == Role::Plain) {
        if load.is_none() && (*value >= LOAD_FROM || value.fract() != 0.0) {
            load = Some((*value, None));
        } else if reps.is_none() {
            reps = count(*value);
        } else {
            of = of.or(count(*value));
        }
    }
    match load {
        Some((value, unit)) => sets.loads.push(LoadSaid {
            reps,
            sets: of,
            ..LoadSaid::alone(value, unit, at)
        }),
        None => sets.reps.push(RepsSaid::new(reps, of, at)),
    }
    true
}

/// Two small figures: sets and repetitions, unless they may be a load.
fn counts(line: &Line, a: f64, b: f64, at: (usize, usize), sets: &mut Sets) {
    let load_or_sets = (a >= 20.0 && b >= 5.0) || (b >= 20.0 && a >= 5.0);
    if load_or_sets && !near_mass(line, at) {
        let (load, reps) = if a >= 20.0 { (a, b) } else { (b, a) };
        sets.open
            .push(Open::LoadOrSets(load, count(reps).unwrap_or(0)));
        // "20x10" is ten repetitions either way.
        if a >= 20.0 && b < 20.0 {
            sets.reps.push(RepsSaid {
                many: true,
                ..RepsSaid::new(count(b), None, at)
            });
        }
        return;
    }
    sets.reps.push(RepsSaid::new(count(b), count(a), at));
    if let (Some(a), Some(b)) = (count(a), count(b))
        && a > b
    {
        sets.open.push(Open::SetsOrReps(a, b));
    }
}

/// "x 4 or 5", "5x3-5", "x 8 maybe": the repetitions are unsure; "x 5+" leaves them open.
fn unsure(line: &Line, end: usize, sets: &mut Sets) -> usize {
    let more = line
        .digits(end + 1)
        .and_then(count)
        .filter(|n| *n <= 30 && line.unit_after(end + 1).is_none());
    let range = more.is_some()
        && (line.is(end, &["or", "to"])
            || (line.is(end, &["-"]) && line.glued(end) && line.glued(end + 1)));
    if range || super::counts::guessed(line, end) {
        sets.open.push(Open::RepsUnsure);
        return end + 1 + usize::from(range);
    }
    if line.is(end, &["+"]) && line.glued(end) && more.is_none() {
        if let Some(load) = sets.loads.last_mut().filter(|load| load.at.1 == end) {
            load.reps = None;
        } else if let Some(group) = sets.reps.last_mut().filter(|group| group.at.1 == end) {
            group.reps = None;
        }
        return end + 1;
    }
    end
}

/// "85kg x 6, 6, 5": sets after the first at the same load; the best counts, with those like it.
fn more_sets(line: &Line, end: usize, sets: &mut Sets) -> usize {
    let Some(load) = sets
        .loads
        .last_mut()
        .filter(|load| load.at.1 == end && load.sets.is_none())
    else {
        return end;
    };
    let Some(first) = load.reps else { return end };
    let mut list = vec![first];
    let mut to = end;
    while line.is(to, &[",", "/", "and"]) && list.len() < 12 {
        let next = to + 1 + usize::from(line.is(to + 1, &["then", "and"]));
        let small = line
            .digits(next)
            .filter(|v| (1.0..=30.0).contains(v) && !line.is_used(next));
        let Some(reps) = small.and_then(count) else {
            break;
        };
        let other = [
            "x", "*", "by", "sets", "set", "reps", "rep", "@", "left", "in", "min", "mins", "more",
            "st", "nd", "rd", "th", "at", "rpe", "weeks", "years",
        ];
        if line.is(next + 1, &other) || line.unit_after(next).is_some() {
            break;
        }
        list.push(reps);
        to = next + 1;
    }
    if list.len() < 3 {
        return end;
    }
    let most = list.iter().copied().max().unwrap_or(first);
    load.reps = Some(most);
    load.sets = u32::try_from(list.iter().filter(|reps| **reps == most).count()).ok();
    load.at.1 = to;
    sets.listed = true;
    to
}

/// Whether a mass with its unit stands within a few tokens.
fn near_mass(line: &Line, at: (usize, usize)) -> bool {
    (at.0.saturating_sub(8)..(at.1 + 9).min(line.len()))
        .any(|i| line.number(i).is_some() && line.unit_after(i).is_some())
}
