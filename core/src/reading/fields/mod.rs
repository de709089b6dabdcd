//! Set lines to report fields: what the words say, and questions for what they leave open.

mod asks;
mod chains;
mod counts;
mod effort;
mod lift;
mod line;
mod loads;
mod miss;
mod person;
mod sets;
mod setting;

use self::line::Line;
use self::sets::{LoadSaid, Open, RepsSaid, Sets};
use super::measure::ages;
use super::said::Said;
use super::{Hints, Reading};
use crate::quantity::Mass;
use crate::report::Lift;

/// Tokens in which set fields are sought; a longer text is a story, and time stays bounded.
const READ_TO: usize = 1_500;

/// Loads and counts of one text that are weighed against one another, at most.
const COMPARED: usize = 40;

/// Reads every field of a text into `out`.
pub(super) fn read(said: &Said, hints: Hints, out: &mut Reading) {
    let tokens = said.tokens.get(..READ_TO).unwrap_or(&said.tokens);
    let mut line = Line::new(tokens);
    take_ages(said, &mut line, out);
    let stated = person::only_unit(&line);
    let unit = hints.unit.or(stated);
    let lift = lift::lift(&mut line);
    person::read(&mut line, out, unit);
    setting::read(&mut line, &mut out.fields);
    effort::read(&mut line, out);
    let mut found = sets::read(&mut line);
    let missed = miss::read(&mut line, &found);
    if out.fields.effort.is_none() && !found.loads.is_empty() {
        effort::read(&mut line, out);
    }
    match lift {
        Ok(lift) => out.fields.lift = lift,
        Err(name) => out.other_exercise = Some(name),
    }
    let other = out.other_exercise.is_some();
    found.loads.truncate(COMPARED);
    found.reps.truncate(COMPARED);
    attach(&line, &mut found);
    let misses = missed.miss.as_ref().map_or(0, |_| 1);
    let top = top(&found, missed.at, misses > 0);
    if let Some(top) = top {
        put_load(top, hints, &found, &mut line, out);
    }
    put_reps(top, &found, &mut line, out);
    out.fields.missed = missed.miss;
    if missed.done.is_some() {
        out.fields.reps = missed.done;
    }
    if found.open.contains(&Open::RepsUnsure) {
        out.fields.reps = None;
    }
    out.fields.reps_aimed = found.aimed;
    out.fields.set_number = found.set_number;
    plates_with_hint(&mut found, hints, out);
    out.mentions = std::mem::take(&mut line.mentions);
    out.mentions.sort_by_key(|mention| mention.span);
    let evident = is_report(&line, &found, out, other);
    if other {
        // Another exercise: nothing of it belongs to a review of the three lifts.
        out.fields.load = None;
        out.bare_load = None;
        out.fields.reps = None;
        out.fields.sets = None;
        out.fields.effort = None;
        out.fields.missed = None;
        out.bare_best = None;
    } else if evident {
        asks::fill(out, &found.open, hints.lift.is_some(), hints.unit);
    }
}

/// Ages are no loads; the youngest stated age sets the band.
fn take_ages(said: &Said, line: &mut Line, out: &mut Reading) {
    let place = |index: usize| said.words.get(index).map(|word| word.token.span);
    for (age, at) in ages(&said.words) {
        let other = said.any(at, |meant| meant.other);
        let Some(span) = place(at.from) else { continue };
        let token = said.tokens.partition_point(|token| token.span[0] < span[0]);
        if token >= line.len() {
            break;
        }
        let before = token.checked_sub(1).map_or("", |i| line.text(i)).to_owned();
        if !matches!(before.as_str(), "was" | "age") || line.before(token, 2) != "i" {
            let band = person::band(age);
            if !other || age < 18.0 {
                out.fields.age_band = Some(band);
                line.note("age_band", token, token + 1, 0.9);
            }
        }
        line.take(token, token + 1);
    }
}

/// Gives every load without repetitions the group that stands nearest and is free.
fn attach(line: &Line, found: &mut Sets) {
    let groups = found.reps.clone();
    let mut free = vec![true; groups.len()];
    let shared = groups.len() == 1 && found.loads.len() > 1;
    for load in &mut found.loads {
        if load.reps.is_some() {
            continue;
        }
        let near = groups
            .iter()
            .enumerate()
            .filter(|(index, _)| shared || free.get(*index).copied().unwrap_or(false))
            .filter(|(_, group)| !parted(line, load.at, group.at))
            .min_by_key(|(_, group)| gap(load.at, group.at));
        if let Some((index, group)) = near {
            load.reps = group.reps;
            load.sets = load.sets.or(group.sets);
            if let Some(slot) = free.get_mut(index) {
                *slot = false;
            }
        }
        // Sets and repetitions may be said apart: "3 sets for 5 at 100".
        for (index, group) in groups.iter().enumerate() {
            if free.get(index) == Some(&true)
                && complements(load, group)
                && !parted(line, load.at, group.at)
            {
                load.reps = load.reps.or(group.reps);
                load.sets = load.sets.or(group.sets);
            }
        }
    }
}

/// "then" parts what was done first from what came after.
fn parted(line: &Line, a: (usize, usize), b: (usize, usize)) -> bool {
    crate::reading::work::steps(1);
    let between = if a.1 <= b.0 { a.1..b.0 } else { b.1..a.0 };
    between.into_iter().any(|at| line.is(at, &["then", ";"]))
}

const fn complements(load: &LoadSaid, group: &RepsSaid) -> bool {
    (load.reps.is_none() && group.sets.is_none()) || (load.sets.is_none() && group.reps.is_none())
}

const fn gap(a: (usize, usize), b: (usize, usize)) -> usize {
    if a.1 <= b.0 {
        b.0 - a.1
    } else {
        a.0.saturating_sub(b.1)
    }
}

/// The heaviest load that was completed; the missed one only when it is the only one.
fn top(found: &Sets, missed_at: Option<usize>, missed: bool) -> Option<LoadSaid> {
    let completed = found.loads.iter().filter(|load| {
        !(missed
            && found.loads.len() > 1
            && missed_at.is_some_and(|at| load.at.0 > at && load.at.0 <= at + 3))
    });
    completed
        .copied()
        .max_by(|a, b| mass(a).total_cmp(&mass(b)).then(b.at.0.cmp(&a.at.0)))
}

fn mass(load: &LoadSaid) -> f64 {
    load.value * load.unit.map_or(1.0, crate::quantity::MassUnit::kg)
}

fn put_load(top: LoadSaid, hints: Hints, found: &Sets, line: &mut Line, out: &mut Reading) {
    let beside = found.loads.iter().find_map(|load| load.unit);
    let confidence = if top.worked_out { 0.8 } else { 0.95 };
    match top.unit.or(beside).or(hints.unit) {
        Some(unit) => out.fields.load = Some(Mass::new(top.value, unit)),
        None => out.bare_load = Some(top.value),
    }
    line.note("load", top.at.0, top.at.1, confidence);
}

fn put_reps(top: Option<LoadSaid>, found: &Sets, line: &mut Line, out: &mut Reading) {
    let group = found.reps.iter().find(|group| group.reps.is_some());
    if let Some(top) = top {
        out.fields.reps = top.reps;
        out.fields.sets = top.sets;
    } else {
        out.fields.reps = group.and_then(|group| group.reps);
        out.fields.sets = found.reps.iter().find_map(|group| group.sets);
    }
    if out.fields.reps.is_some() {
        let at = group.map(|group| group.at).or(top.map(|load| load.at));
        if let Some((from, to)) = at {
            line.note("reps", from, to, 0.9);
        }
    }
    if out.fields.reps.is_some()
        && out.fields.sets.is_none()
        && top.is_some()
        && found.loads.len() == 1
        && !found.open.iter().any(|o| matches!(o, Open::Order(..)))
    {
        out.fields.sets = Some(1);
    }
}

/// Plates a side are a load once the lifter's unit is known (20 kg bar and plates, or 45 lb).
fn plates_with_hint(found: &mut Sets, hints: Hints, out: &mut Reading) {
    let Some(unit) = hints.unit else { return };
    if out.fields.load.is_some() {
        return;
    }
    let whole = found.open.iter().find_map(|open| match open {
        Open::Plates(plates, true) => Some(*plates),
        _ => None,
    });
    if let Some(plates) = whole {
        let value = match unit {
            crate::quantity::MassUnit::Kg => 20.0 + 40.0 * plates,
            crate::quantity::MassUnit::Lb => 45.0 + 90.0 * plates,
        };
        out.fields.load = Some(Mass::new(value, unit));
    }
}

/// Whether a text evidently reports a set, so that what is missing is asked for.
fn is_report(line: &Line, found: &Sets, out: &Reading, other: bool) -> bool {
    let figures = !found.loads.is_empty()
        || !found.reps.is_empty()
        || !found.open.is_empty()
        || out.fields.effort.is_some()
        || out.fields.missed.is_some()
        || out.bare_best.is_some()
        || out.fields.best.is_some();
    let told = out.fields.lift.is_some_and(|_: Lift| true)
        && line.has(&[
            "did",
            "done",
            "set",
            "sets",
            "today",
            "session",
            "hit",
            "squatted",
            "benched",
            "deadlifted",
            "rep",
            "reps",
            "tried",
            "yesterday",
            "tonight",
        ]);
    figures || told || other
}
