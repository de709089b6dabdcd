//! Set lines to report fields: what the words say, and questions for what they leave open.

mod aims;
mod asides;
mod asks;
mod body;
mod chains;
mod counts;
mod effort;
mod figures;
mod lift;
mod line;
mod lists;
mod loads;
mod mend;
mod miss;
mod owners;
mod person;
mod ranges;
mod sets;
mod setting;

use self::line::Line;
use self::sets::{LoadSaid, Open, RepsSaid, Sets};
use super::measure::ages;
use super::said::Said;
use super::{Hints, Reading};
use crate::quantity::{Mass, MassUnit};
use crate::report::{Lift, Miss};

/// Tokens in which set fields are sought; a longer text is a story, and time stays bounded.
const READ_TO: usize = 1_500;

/// Loads and counts of one text that are weighed against one another, at most.
const COMPARED: usize = 40;

/// Reads every field of a text into `out`.
pub(super) fn read(said: &Said, hints: Hints, out: &mut Reading) {
    let tokens = said.tokens.get(..READ_TO).unwrap_or(&said.tokens);
    let mut line = Line::new(tokens);
    take_ages(said, &mut line, out);
    let named = lift::lifts(&mut line);
    asides::take(&mut line);
    let unit = hints.unit.or(person::only_unit(&line));
    person::read(&mut line, out, unit);
    setting::read(&mut line, &mut out.fields);
    let in_bodyweights = body::in_bodyweights(&mut line, out);
    let mut efforts = Vec::new();
    effort::read(&mut line, false, &mut efforts);
    let mut found = sets::read(&mut line);
    add_bodyweights(in_bodyweights, &mut found);
    add_percents(&mut found, out);
    let missed = miss::read(&mut line, &mut found);
    let known =
        found.reps.iter().any(|g| g.reps.is_some()) || found.loads.iter().any(|l| l.reps.is_some());
    effort::read(&mut line, known, &mut efforts);
    let named = named.unwrap_or_else(|name| {
        out.other_exercise = Some(name);
        Vec::new()
    });
    found.loads.truncate(COMPARED);
    found.reps.truncate(COMPARED);
    let several = put_lift(&mut line, &named, &mut found, hints, out);
    attach(&line, &mut found);
    let top = top(&found, &missed);
    if let Some(top) = top {
        put_load(top, hints, &found, &mut line, out);
    }
    put_reps(top, &found, &mut line, out);
    put_effort(top, &found, &efforts, &mut line, out);
    out.fields.missed = missed.miss;
    if missed.done.is_some() && !found.open.contains(&Open::LastRep) {
        out.fields.reps = missed.done;
        out.fields.sets = out.fields.sets.filter(|sets| *sets > 1);
    }
    settle_open(&mut found, out);
    out.fields.reps_aimed = found
        .aimed
        .filter(|aimed| out.fields.reps.is_none_or(|reps| reps <= *aimed));
    short_of_aim(out);
    out.fields.set_number = found.set_number;
    plates_with_hint(&mut found, hints, out);
    out.mentions = std::mem::take(&mut line.mentions);
    out.mentions.sort_by_key(|mention| mention.span);
    let evident = is_report(&line, &found, out);
    if out.other_exercise.is_some() || !several.is_empty() {
        leave_set_out(out);
        if !several.is_empty() {
            asks::which(out, &several);
        }
    } else if evident {
        asks::fill(out, &found.open, hints.lift.is_some(), hints.unit);
    }
}

/// The lift the set is of; several when each has a set of its own and none is asked for.
fn put_lift(
    line: &mut Line,
    named: &[lift::Named],
    found: &mut Sets,
    hints: Hints,
    out: &mut Reading,
) -> Vec<Lift> {
    let owners = owners::with_sets(line, named, found);
    let lift = match owners[..] {
        [] => named.first().map(|name| name.lift),
        [one] => Some(one),
        _ => match hints.lift.filter(|lift| owners.contains(lift)) {
            Some(lift) => {
                owners::only(line, named, found, lift);
                Some(lift)
            }
            None => return owners,
        },
    };
    if let Some(name) = named.iter().find(|name| Some(name.lift) == lift) {
        let sure = if name.implied { 0.8 } else { 0.95 };
        line.note("lift", name.at.0, name.at.1, sure);
        out.fields.lift = lift;
    }
    Vec::new()
}

/// Nothing of the set is said: it is of another exercise, or of several.
fn leave_set_out(out: &mut Reading) {
    let fields = &mut out.fields;
    fields.load = None;
    fields.reps = None;
    fields.reps_aimed = None;
    fields.sets = None;
    fields.set_number = None;
    fields.effort = None;
    fields.missed = None;
    out.bare_load = None;
    out.bare_best = None;
}

/// A load counted in bodyweights, once the lifter's weight is known.
fn add_bodyweights(found: Option<body::InBodyweights>, sets: &mut Sets) {
    let Some(found) = found else { return };
    match found.load {
        Some((value, unit)) if sets.loads.is_empty() => sets.loads.push(LoadSaid {
            worked_out: true,
            ..LoadSaid::alone(value, Some(unit), found.at)
        }),
        None if sets.loads.is_empty() => sets.open.push(Open::Bodyweight(found.times)),
        _ => {}
    }
}

/// A percentage of a best that is told with its unit is a load.
fn add_percents(sets: &mut Sets, out: &Reading) {
    let Some(best) = &out.fields.best else { return };
    let told = sets.open.iter().find_map(|open| match open {
        Open::PercentOf(percent, at) => Some((*percent, *at)),
        _ => None,
    });
    if let Some((percent, at)) = told.filter(|_| sets.loads.is_empty()) {
        sets.loads.push(LoadSaid {
            worked_out: true,
            ..LoadSaid::alone(
                (best.value * percent).round() / 100.0,
                Some(best.unit),
                (at, at + 2),
            )
        });
    }
}

/// The effort told of the heaviest set, or the one told of all.
fn put_effort(
    top: Option<LoadSaid>,
    found: &Sets,
    told: &[effort::Told],
    line: &mut Line,
    out: &mut Reading,
) {
    let next = top.and_then(|top| {
        let after = found
            .loads
            .iter()
            .map(|load| load.at.0)
            .filter(|at| *at >= top.at.1);
        after.min()
    });
    let Some(told) =
        effort::of_load(told, top.map(|top| top.at), next).or_else(|| effort::in_words(line))
    else {
        return;
    };
    out.fields.effort = Some(told.effort);
    line.note("effort", told.at.0, told.at.1, 0.95);
}

/// Fewer repetitions than aimed at are missed ones.
fn short_of_aim(out: &mut Reading) {
    let fields = &mut out.fields;
    if let (Some(aimed), Some(done), None) = (fields.reps_aimed, fields.reps, &fields.missed)
        && aimed > done
    {
        fields.missed = Some(Miss {
            reps: aimed - done,
            place: None,
        });
    }
}

/// What is open leaves its field empty.
fn settle_open(found: &mut Sets, out: &mut Reading) {
    let open = |wanted: fn(&Open) -> bool| found.open.iter().any(wanted);
    if open(|o| matches!(o, Open::RepsUnsure | Open::LastRep | Open::DoneOrEffort(_))) {
        out.fields.reps = None;
        out.fields.sets = out.fields.sets.filter(|sets| *sets > 1);
    }
    if open(|o| matches!(o, Open::Bodyweight(_))) && out.fields.load.is_some() {
        found.open.retain(|o| !matches!(o, Open::Bodyweight(_)));
    }
}

/// Ages are no loads; the youngest stated age sets the band.
fn take_ages(said: &Said, line: &mut Line, out: &mut Reading) {
    let place = |index: usize| said.words.get(index).map(|word| word.token.span);
    for (age, at) in ages(&said.words) {
        let other = said.any(at, |meant| meant.other);
        let Some(span) = place(at.from) else { continue };
        let token = line.at_place(span[0]);
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
            sets_beside(line, load, &groups, &mut free);
            continue;
        }
        let near = groups
            .iter()
            .enumerate()
            .filter(|(index, _)| shared || free.get(*index).copied().unwrap_or(false))
            .filter(|(_, group)| !parted(line, load.at, group.at))
            .min_by_key(|(_, group)| (group.reps.is_none(), gap(load.at, group.at)));
        if let Some((index, group)) = near {
            load.reps = group.reps;
            load.sets = load.sets.or(group.sets);
            load.many |= group.many;
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

/// "100kg x 5, 3 sets": a number of sets right behind a whole load.
fn sets_beside(line: &Line, load: &mut LoadSaid, groups: &[RepsSaid], free: &mut [bool]) {
    let beside = groups.iter().enumerate().find(|(index, group)| {
        group.reps.is_none()
            && free.get(*index) == Some(&true)
            && gap(load.at, group.at) <= BESIDE
            && !parted(line, load.at, group.at)
    });
    if let Some((index, group)) = beside.filter(|_| load.sets.is_none()) {
        load.sets = group.sets;
        if let Some(slot) = free.get_mut(index) {
            *slot = false;
        }
    }
}

/// Tokens within which a number of sets belongs to the load beside it.
const BESIDE: usize = 4;

/// "then" parts what was done first from what came after.
fn parted(line: &Line, a: (usize, usize), b: (usize, usize)) -> bool {
    crate::reading::work::steps(1);
    let between = if a.1 <= b.0 { a.1..b.0 } else { b.1..a.0 };
    between.into_iter().any(|at| line.is(at, &["then"]))
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
fn top(found: &Sets, missed: &miss::Missed) -> Option<LoadSaid> {
    let behind = |load: &LoadSaid| {
        missed
            .at
            .is_some_and(|at| load.reps.is_none() && load.at.1 == at)
    };
    let told_before = found.loads.iter().any(behind);
    let failed = |load: &LoadSaid| {
        missed.miss.is_some()
            && missed.at.is_some_and(|at| {
                let after = load.at.0 > at && load.at.0 <= at + 3;
                behind(load) || (after && !told_before)
            })
    };
    let several = found.loads.len() > 1;
    let completed = found.loads.iter().filter(|load| !(several && failed(load)));
    completed
        .copied()
        .max_by(|a, b| mass(a).total_cmp(&mass(b)).then(b.at.0.cmp(&a.at.0)))
}

fn mass(load: &LoadSaid) -> f64 {
    load.value * load.unit.map_or(1.0, MassUnit::kg)
}

fn put_load(top: LoadSaid, hints: Hints, found: &Sets, line: &mut Line, out: &mut Reading) {
    let beside = found.loads.iter().find_map(|load| load.unit);
    let confidence = if top.worked_out { 0.8 } else { 0.95 };
    match top
        .unit
        .or(beside)
        .or_else(|| declared(line))
        .or(hints.unit)
    {
        Some(unit) => out.fields.load = Some(Mass::new(top.value, unit)),
        None => out.bare_load = Some(top.value),
    }
    line.note("load", top.at.0, top.at.1, confidence);
}

/// A unit said for all figures at once: "(kg)", "all in lb".
fn declared(line: &Line) -> Option<MassUnit> {
    (1..line.len())
        .filter(|at| line.is(at - 1, &["(", "in", "all"]))
        .find_map(|at| line.unit(at))
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
    if let Some(top) = top
        && top.reps.is_some()
        && out.fields.sets.is_none()
        && !top.many
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
            MassUnit::Kg => 20.0 + 40.0 * plates,
            MassUnit::Lb => 45.0 + 90.0 * plates,
        };
        out.fields.load = Some(Mass::new(value, unit));
    }
}

/// Whether a text evidently reports a set, so that what is missing is asked for.
fn is_report(line: &Line, found: &Sets, out: &Reading) -> bool {
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
    figures || told
}
