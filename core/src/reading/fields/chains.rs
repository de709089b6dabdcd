//! Figures joined by `x`, `*`, `by` or `/`: `275x4`, `3 x 5`, `140 kg x 3`, `6/8`.

use super::line::Line;
use super::sets::{LOAD_FROM, LoadSaid, Open, RepsSaid, Sets, count, figure};
use crate::quantity::MassUnit;

/// Figures joined by `x`, `*` or `by`: `275x4`, `3 x 5`, `five by five`, `140 kg x 3`.
pub(super) fn chains(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let Some((value, unit, mut end)) = figure(line, at) else {
            at += 1;
            continue;
        };
        let mut figures = vec![(value, unit)];
        while line.is(end, &["x", "*", "by"]) && figures.len() < 3 {
            let Some((value, unit, next)) = figure(line, end + 1) else {
                break;
            };
            figures.push((value, unit));
            end = next;
        }
        if figures.len() < 2 || line.is(end, &["%", "percent"]) {
            // "x3" after a figure in another place: "170kg x3" is caught above, "right? x3" below.
            at += 1;
            continue;
        }
        if chain(line, &figures, (at, end), sets) {
            line.take(at, end);
            at = end;
        } else {
            at += 1;
        }
    }
}

/// What a chain of two or three figures says.
fn chain(
    line: &Line,
    figures: &[(f64, Option<MassUnit>)],
    at: (usize, usize),
    sets: &mut Sets,
) -> bool {
    let load = |value, unit, reps, sets| LoadSaid {
        value,
        unit,
        reps,
        sets,
        at,
        worked_out: false,
    };
    let big = |value: f64| value >= LOAD_FROM || value.fract() != 0.0;
    match *figures {
        [(a, Some(unit)), (b, None)] => sets.loads.push(load(a, Some(unit), count(b), None)),
        [(a, None), (b, Some(unit))] => sets.loads.push(load(b, Some(unit), count(a), None)),
        // A unit after the chain belongs to the load: "120x6 kg" gives the unit late.
        [(a, None), (b, None)] if big(a) && !big(b) => {
            sets.loads.push(load(a, None, count(b), None));
        }
        [(a, None), (b, None)] if big(b) && !big(a) => {
            sets.loads.push(load(b, None, count(a), None));
        }
        [(a, None), (b, None)] => {
            if !big(a) && a >= 20.0 && b >= 5.0 && !near_mass(line, at) {
                sets.open.push(Open::LoadOrSets(a, count(b).unwrap_or(0)));
                return true;
            }
            sets.reps.push(RepsSaid {
                reps: count(b),
                sets: count(a),
                at,
            });
            if let (Some(a), Some(b)) = (count(a), count(b))
                && a > b
            {
                sets.open.push(Open::SetsOrReps(a, b));
            }
            if line.is(at.1, &["maybe", "or", "ish"]) {
                sets.open.push(Open::RepsUnsure);
            }
        }
        [(a, ua), (b, None), (c, None)] if ua.is_some() || big(a) => {
            let (Some(b), Some(c)) = (count(b), count(c)) else {
                return false;
            };
            if b == c {
                sets.loads.push(load(a, ua, Some(b), Some(c)));
            } else {
                sets.loads.push(load(a, ua, None, None));
                sets.open.push(Open::Order(b, c));
            }
        }
        [(a, None), (b, None), (c, uc)] if uc.is_some() || big(c) => {
            sets.loads.push(load(c, uc, count(b), count(a)));
        }
        _ => return false,
    }
    // "120x6 kg": after "120x" the unit stands behind the repetitions.
    if let Some(last) = sets.loads.last_mut()
        && last.at == at
        && figures.len() == 2
        && let [(a, None), (b, Some(unit))] = *figures
        && a >= LOAD_FROM
        && b < LOAD_FROM
    {
        *last = LoadSaid {
            value: a,
            unit: Some(unit),
            reps: count(b),
            sets: None,
            at,
            worked_out: false,
        };
    }
    true
}

/// Whether a mass with its unit stands within a few tokens.
fn near_mass(line: &Line, at: (usize, usize)) -> bool {
    (0..line.len()).any(|i| {
        (i + 8 >= at.0 && i <= at.1 + 8) && line.number(i).is_some() && line.unit(i + 1).is_some()
    })
}

/// `6/8`: six done of eight aimed, when the text speaks of a set.
pub(super) fn done_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if let (Some(done), Some(aimed)) = (line.digits(at), line.digits(at + 2))
            && line.is(at + 1, &["/"])
            && line.glued(at + 1)
            && line.text(at + 3) != "/"
            && line.before(at, 1) != "/"
            && !line.is_used(at)
            && done < aimed
            && aimed <= 30.0
        {
            sets.reps.push(RepsSaid {
                reps: count(done),
                sets: None,
                at: (at, at + 3),
            });
            sets.aimed = count(aimed);
            line.take(at, at + 3);
        }
    }
}
