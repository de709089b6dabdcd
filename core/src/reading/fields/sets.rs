//! Loads, repetitions and sets: "3x5 at 140 kg", "275x4", "4 sets of 225 for 6", "a triple at 100".

use super::line::Line;
use crate::quantity::MassUnit;

/// A load said, with what stood beside it.
#[derive(Clone, Copy, Debug)]
pub(super) struct LoadSaid {
    pub(super) value: f64,
    pub(super) unit: Option<MassUnit>,
    pub(super) reps: Option<u32>,
    pub(super) sets: Option<u32>,
    pub(super) at: (usize, usize),
    /// Read from a percentage of a stated best.
    pub(super) worked_out: bool,
}

/// Repetitions, perhaps with sets, that stand by themselves.
#[derive(Clone, Copy, Debug)]
pub(super) struct RepsSaid {
    pub(super) reps: Option<u32>,
    pub(super) sets: Option<u32>,
    pub(super) at: (usize, usize),
}

/// What the words leave open about sets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Open {
    /// `225x5x3`: which is sets.
    Order(u32, u32),
    /// `5x3` with more sets than repetitions: which is which.
    SetsOrReps(u32, u32),
    /// `20x10`: a load or a number of sets.
    LoadOrSets(f64, u32),
    /// `@80`: percent or load.
    PercentOrLoad(f64),
    /// A percentage of something not given.
    PercentOf(f64),
    /// Plates on each side, in whole plates; `false` when more than whole plates were said.
    Plates(f64, bool),
    /// The repetitions themselves are uncertain.
    RepsUnsure,
}

/// Everything of this kind in a text.
#[derive(Debug, Default)]
pub(super) struct Sets {
    pub(super) loads: Vec<LoadSaid>,
    pub(super) reps: Vec<RepsSaid>,
    pub(super) open: Vec<Open>,
    pub(super) aimed: Option<u32>,
    pub(super) set_number: Option<u32>,
}

/// From this figure a bare number in a set line is a load, not sets or repetitions.
const LOAD_FROM: f64 = 31.0;

/// The most sets or repetitions a figure may stand for.
const COUNT_TO: f64 = 50.0;

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded just here")]
pub(super) fn count(value: f64) -> Option<u32> {
    (value.fract() == 0.0 && (0.0..=COUNT_TO).contains(&value)).then_some(value as u32)
}

/// Reads every load, repetition and set.
pub(super) fn read(line: &mut Line) -> Sets {
    let mut sets = Sets::default();
    plates(line, &mut sets);
    set_number(line, &mut sets);
    chains(line, &mut sets);
    sets_of(line, &mut sets);
    percents(line, &mut sets);
    done_of(line, &mut sets);
    masses(line, &mut sets);
    repetitions(line, &mut sets);
    ladders(line, &mut sets);
    bare(line, &mut sets);
    sets
}

/// One figure of a chain: value, unit, end.
fn figure(line: &Line, at: usize) -> Option<(f64, Option<MassUnit>, usize)> {
    let value = line.number(at)?;
    if line.is_used(at) {
        return None;
    }
    match line.unit(at + 1) {
        Some(unit) => Some((value, Some(unit), at + 2)),
        None => Some((value, None, at + 1)),
    }
}

/// Figures joined by `x`, `*` or `by`: `275x4`, `3 x 5`, `five by five`, `140 kg x 3`.
fn chains(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let Some((value, unit, mut end)) = figure(line, at) else {
            at += 1;
            continue;
        };
        let mut figures = vec![(value, unit)];
        while line.is(end, &["x", "*", "by"]) && figures.len() < 3 {
            let Some((value, unit, next)) = figure(line, end + 1) else { break };
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
fn chain(line: &Line, figures: &[(f64, Option<MassUnit>)], at: (usize, usize), sets: &mut Sets) -> bool {
    let load = |value, unit, reps, sets| LoadSaid { value, unit, reps, sets, at, worked_out: false };
    let big = |value: f64| value >= LOAD_FROM || value.fract() != 0.0;
    match *figures {
        [(a, Some(unit)), (b, None)] => sets.loads.push(load(a, Some(unit), count(b), None)),
        [(a, None), (b, Some(unit))] => sets.loads.push(load(b, Some(unit), count(a), None)),
        // A unit after the chain belongs to the load: "120x6 kg" gives the unit late.
        [(a, None), (b, None)] if big(a) && !big(b) => {
            sets.loads.push(load(a, None, count(b), None));
        }
        [(a, None), (b, None)] if big(b) && !big(a) => sets.loads.push(load(b, None, count(a), None)),
        [(a, None), (b, None)] => {
            if !big(a) && a >= 20.0 && b >= 5.0 && !near_mass(line, at) {
                sets.open.push(Open::LoadOrSets(a, count(b).unwrap_or(0)));
                return true;
            }
            sets.reps.push(RepsSaid { reps: count(b), sets: count(a), at });
            if let (Some(a), Some(b)) = (count(a), count(b)) && a > b {
                sets.open.push(Open::SetsOrReps(a, b));
            }
            if line.is(at.1, &["maybe", "or", "ish"]) {
                sets.open.push(Open::RepsUnsure);
            }
        }
        [(a, ua), (b, None), (c, None)] if ua.is_some() || big(a) => {
            let (Some(b), Some(c)) = (count(b), count(c)) else { return false };
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
        *last = LoadSaid { value: a, unit: Some(unit), reps: count(b), sets: None, at, worked_out: false };
    }
    true
}

/// Whether a mass with its unit stands within a few tokens.
fn near_mass(line: &Line, at: (usize, usize)) -> bool {
    (0..line.len()).any(|i| (i + 8 >= at.0 && i <= at.1 + 8) && line.number(i).is_some() && line.unit(i + 1).is_some())
}

/// "two plates", "plate and a half", "3 plate squat".
fn plates(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if !line.is(at, &["plate", "plates"]) || line.is(at + 1, &["under", "rattle", "rattled", "shake", "not", "near", "leave", "leaves", "look"]) {
            continue;
        }
        let counted = at.checked_sub(1).and_then(|i| line.number(i)).filter(|n| (1.0..=8.0).contains(n));
        let from = at.saturating_sub(1);
        let more = ["and a half", "and a quarter", "and a", "half", "plus", "and change"];
        let extra = line.any_phrase(at + 1, &more).is_some();
        let (number, from) = match counted {
            Some(number) => (number, from),
            None if extra && line.is(at, &["plate"]) => (1.0, at),
            None => continue,
        };
        sets.open.push(Open::Plates(number, !extra));
        let end = if extra { at + 4 } else { at + 1 };
        line.note("load", from, end.min(line.len()), 0.6);
        return;
    }
}

/// "set 3 of 5", "2nd set": which set it was.
fn set_number(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if line.is(at, &["set"])
            && let Some(number) = line.digits(at + 1).and_then(count)
            && line.is(at + 2, &["of"])
            && let Some(of) = line.digits(at + 3).and_then(count)
        {
            sets.set_number = Some(number);
            sets.reps.push(RepsSaid { reps: None, sets: Some(of), at: (at, at + 4) });
            line.note("set_number", at, at + 4, 0.95);
        } else if line.digits(at).is_some() && line.is(at + 1, &["st", "nd", "rd", "th"]) && line.glued(at + 1) {
            // "4th rep", "1st set": an ordinal is no count.
            line.take(at, at + 2);
        }
    }
}

/// "4 sets of 225 for 6", "5 sets of 3", "sets of 3", "3 sets", "10 of them".
fn sets_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if !line.is(at, &["set", "sets"]) {
            continue;
        }
        let before = at
            .checked_sub(1)
            .filter(|i| !line.is_used(*i))
            .and_then(|i| line.number(i))
            .and_then(count);
        let from = if before.is_some() { at.saturating_sub(1) } else { at };
        if line.is(at + 1, &["of", "at", "with", "for", "x"])
            && !line.is_used(at + 2)
            && let Some(value) = line.number(at + 2)
        {
            if value < LOAD_FROM && line.unit(at + 3).is_none() && line.text(at + 1) != "at" && line.text(at + 1) != "with" {
                sets.reps.push(RepsSaid { reps: count(value), sets: before.or_else(|| of_them(line)), at: (from, at + 3) });
                line.take(from, at + 3);
                continue;
            }
        }
        if before.is_some() {
            sets.reps.push(RepsSaid { reps: None, sets: before, at: (from, at + 1) });
            line.take(from, at + 1);
        }
    }
}

fn of_them(line: &Line) -> Option<u32> {
    let (at, _) = line.find(&["of them"])?;
    at.checked_sub(1).and_then(|i| line.number(i)).and_then(count)
}

/// `85%`, `75% of 220kg`, `@80`.
fn percents(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let Some(value) = line.digits(at).filter(|_| !line.is_used(at)) else { continue };
        if line.is(at + 1, &["%", "percent", "pct"]) {
            let less = line.is(at.wrapping_sub(1), &["minus", "less", "-", "down", "drop", "off"]);
            if line.is(at + 2, &["of"]) && let Some((whole, unit, end)) = figure(line, at + 3) {
                sets.loads.push(LoadSaid {
                    value: (whole * value / 100.0 * 100.0).round() / 100.0,
                    unit,
                    reps: None,
                    sets: None,
                    at: (at, end),
                    worked_out: true,
                });
                line.take(at, end);
            } else {
                if !less && (30.0..=120.0).contains(&value) {
                    sets.open.push(Open::PercentOf(value));
                }
                line.take(at, at + 2);
                // Repetitions that belong to a percentage go with it ("3x3 at 85%").
                if let Some(group) = sets.reps.iter_mut().find(|g| g.at.1 + 2 > at && g.at.1 <= at) {
                    group.at.1 = at + 2;
                }
            }
        } else if line.is(at.wrapping_sub(1), &["@"]) && value >= LOAD_FROM && value <= 100.0 && line.unit(at + 1).is_none() {
            sets.open.push(Open::PercentOrLoad(value));
            line.take(at - 1, at + 1);
        }
    }
}

/// `6/8`: six done of eight aimed, when the text speaks of a set.
fn done_of(line: &mut Line, sets: &mut Sets) {
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
            sets.reps.push(RepsSaid { reps: count(done), sets: None, at: (at, at + 3) });
            sets.aimed = count(aimed);
            line.take(at, at + 3);
        }
    }
}

/// Figures with their unit.
fn masses(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if let Some((value, Some(unit), end)) = figure(line, at)
            && line.before(at, 1) != "+"
            && !line.is(end, &["bodyweight", "bw", "heavier", "lighter", "pb", "jump", "more", "less"])
            && !line.is(at.wrapping_sub(1), &["=", "lost", "lose", "losing", "gained", "drop"])
        {
            sets.loads.push(LoadSaid { value, unit: Some(unit), reps: None, sets: None, at: (at, end), worked_out: false });
            line.take(at, end);
        }
    }
}

/// "for 3", "x3", "8 reps", "a triple", "amrap got 9", "easy 5s".
fn repetitions(line: &mut Line, sets: &mut Sets) {
    let named = [("single", 1), ("singles", 1), ("double", 2), ("doubles", 2), ("triple", 3), ("triples", 3), ("quad", 4)];
    for at in 0..line.len() {
        if line.is_used(at) {
            continue;
        }
        let mut add = |line: &mut Line, reps: Option<u32>, from: usize, to: usize| {
            sets.reps.push(RepsSaid { reps, sets: None, at: (from, to) });
            line.take(from, to);
        };
        let name = line.text(at);
        if let Some((_, reps)) = named.iter().find(|(word, _)| *word == name)
            && !line.is(at.wrapping_sub(1), &["best", "my", "every"])
            && !line.is(at + 1, &["overhand", "chin", "leg", "arm"])
        {
            add(line, Some(*reps), at, at + 1);
        } else if line.is(at, &["x", "for"])
            && !line.is_used(at + 1)
            && let Some(reps) = line.number(at + 1).filter(|n| *n < LOAD_FROM).and_then(count)
            && line.unit(at + 2).is_none()
            && !line.is(at + 2, &["years", "year", "months", "weeks", "days", "min", "mins", "minutes", "sec", "secs", "s", "%", "x", "hours", "wks", "week", "month"])
        {
            let end = if line.is(at + 2, &["reps", "rep"]) { at + 3 } else { at + 2 };
            add(line, Some(reps), at, end);
        } else if let Some(reps) = line.number(at).and_then(count) {
            if line.is(at + 1, &["reps", "rep", "repper"])
                && !line.is(at.wrapping_sub(1), &["rep", "reps", "last", "missed", "miss", "failed", "another", "-"])
            {
                if line.is(at + 2, &["maybe", "or"]) {
                    sets.open.push(Open::RepsUnsure);
                }
                add(line, Some(reps), at, at + 2);
            } else if line.is(at + 1, &["s"]) && line.glued(at + 1) && line.is(at.wrapping_sub(1), &["easy", "of", "for", "heavy", "straight"]) {
                add(line, Some(reps), at, at + 2);
            }
        } else if line.is(at, &["amrap"]) {
            let found = (at + 1..at + 4).find(|i| line.digits(*i).is_some() && !line.is_used(*i) && line.unit(*i + 1).is_none());
            if let Some(number) = found {
                let reps = line.digits(number).and_then(count);
                add(line, reps, at, number + 1);
            }
        }
    }
}

/// `100-110-120`: loads climbing, three or more.
fn ladders(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let mut values = Vec::new();
        let mut end = at;
        let mut next = at;
        while let Some(value) = line.digits(next).filter(|v| *v >= 20.0) {
            values.push(value);
            end = next + 1;
            if !line.is(end, &["-", "/", ","]) {
                break;
            }
            next = end + 1;
        }
        if values.len() >= 3 && values.windows(2).all(|pair| matches!(pair, [a, b] if a < b)) {
            let unit = line.unit(end);
            for value in values {
                sets.loads.push(LoadSaid { value, unit, reps: None, sets: None, at: (at, end), worked_out: false });
            }
            // The last figure with its unit was read as a mass already.
            line.take(at, end);
            at = end;
        } else {
            at += 1;
        }
    }
}

/// Bare figures big enough for a load, beside a word that says one follows.
fn bare(line: &mut Line, sets: &mut Sets) {
    let leads = [
        "at", "with", "hit", "did", "lifted", "pulled", "squatted", "squat", "squats", "bench", "benched", "deadlift", "deadlifts", "deadlifted", "deads", "dl", "made", "missed", "failed", "got", "set", "single", "to", "of", "bar", "load", "sumo", "weight", "1st", "2nd", "3rd", "st", "nd", "rd", "for", "then", "press", "is", "was", "around", "about", "just", "today", "@", "th", "on",
    ];
    let not_after = ["%", "percent", "sec", "secs", "s", "min", "mins", "minutes", "seconds", "cm", "mm", "weeks", "wks", "months", "years", "days", "hours", "degrees", "deg", "bpm", "reps", "rep", "sets", "calories", "/", "yo", "inches", "in", "m", "ft", "am", "pm", "over", "steps", "people", "times"];
    let few_words = line.len() <= 14;
    for at in 0..line.len() {
        let Some(value) = line.digits(at) else { continue };
        if line.is_used(at) || value < LOAD_FROM || value > 1200.0 || line.is(at + 1, &not_after) || (1900.0..=2100.0).contains(&value) {
            continue;
        }
        let led = line.is(at.wrapping_sub(1), &leads) || (few_words && (at == 0 || line.is(at + 1, &["bench", "squat", "deadlift", "for", "x", "dl", "deads"]) || line.is(at.wrapping_sub(1), &[".", ",", ":"])));
        if led {
            sets.loads.push(LoadSaid { value, unit: None, reps: None, sets: None, at: (at, at + 1), worked_out: false });
            line.take(at, at + 1);
        }
    }
}
