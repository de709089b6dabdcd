//! Set lines to report fields: what the words say, and questions for what they leave open.

mod aims;
mod asides;
mod asks;
mod attach;
mod body;
mod chains;
mod counts;
mod effort;
mod elsewhen;
mod figures;
mod labels;
mod lift;
mod line;
mod listed;
mod lists;
mod loads;
mod meets;
mod mend;
mod miss;
mod owners;
mod person;
mod planned;
mod plates;
mod ranges;
mod refuse;
mod sets;
mod setting;
mod typos;
mod units;

use self::line::Line;
use self::sets::{LoadSaid, Open, Sets};
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
    out.planned = planned::read(&line);
    let names = lift::names(&line);
    let told = units::told(&line);
    asides::take(&mut line);
    let unit = hints
        .unit
        .or(person::only_unit(&line))
        .or_else(|| told.unit());
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
    found.loads.truncate(COMPARED);
    found.reps.truncate(COMPARED);
    let named = lifts_with_sets(&line, names, &mut found, out);
    let several = put_lift(&mut line, &named, &mut found, hints, out);
    attach::attach(&line, &mut found);
    let (top, alone) = attach::top(&found, &missed).unzip();
    let listed = listed::sets(&found, &missed);
    let asked = listed::asked(&line, &listed);
    let top = match &asked {
        listed::Asked::One(one) => Some(*one),
        _ => top,
    };
    if let Some(top) = top {
        put_load(top, (told, hints), &found, &mut line, out);
    }
    put_reps(top, alone == Some(true), &found, &mut line, out);
    put_effort(top, &found, &efforts, &mut line, out);
    put_missed(missed, &found, out);
    settle_open(&mut found, out);
    out.fields.reps_aimed = found
        .aimed
        .filter(|aimed| out.fields.reps.is_none_or(|reps| reps <= *aimed));
    short_of_aim(out);
    out.fields.set_number = found.set_number;
    let unit = told
        .unit()
        .or(hints.unit.filter(|_| told != units::Told::Unsure));
    plates_with_hint(&found, unit, out);
    let unit = set_unit(&found, (told, hints));
    out.fields.listed = listed::kept(&listed, &efforts, unit, out);
    refuse::refuse(&line, top, out);
    let which = match &asked {
        listed::Asked::Unsure(several) => listed::which(several, unit, out),
        _ => None,
    };
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
        refuse::by_name(out);
        listed::put_question(which, out);
    }
}

/// What was missed, and what was done of it.
fn put_missed(missed: miss::Missed, found: &Sets, out: &mut Reading) {
    out.fields.missed = missed.miss;
    if missed.done.is_some() && !found.open.contains(&Open::LastRep) {
        let same = out.fields.reps == missed.done;
        out.fields.reps = missed.done;
        out.fields.sets = out.fields.sets.filter(|sets| same || *sets > 1);
    }
}

/// The unit of loads told without one.
fn set_unit(found: &Sets, (told, hints): (units::Told, Hints)) -> Option<MassUnit> {
    let beside = found.loads.iter().find_map(|load| load.unit);
    let usual = hints.unit.filter(|_| told != units::Told::Unsure);
    beside.or(told.unit()).or(usual)
}

/// The lifts named, without figures of other exercises; none when the text is about one of those.
fn lifts_with_sets(
    line: &Line,
    names: lift::Names,
    found: &mut Sets,
    out: &mut Reading,
) -> Vec<lift::Named> {
    let left = !names.lifts.is_empty() && owners::leave_others(line, &names, found);
    match names.other.filter(|_| !left) {
        Some(name) => {
            out.other_exercise = Some(name.to_owned());
            Vec::new()
        }
        None => names.lifts,
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
    fields.listed.clear();
    fields.reps = None;
    fields.reps_aimed = None;
    fields.sets = None;
    fields.set_number = None;
    fields.effort = None;
    fields.missed = None;
    out.refused.clear();
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

fn put_load(
    top: LoadSaid,
    (told, hints): (units::Told, Hints),
    found: &Sets,
    line: &mut Line,
    out: &mut Reading,
) {
    let doubted = line.is(top.at.1, &["or", "/"]) && line.unit(top.at.1 + 1).is_some();
    let own = top.unit.filter(|_| !doubted);
    let beside = found
        .loads
        .iter()
        .find_map(|load| load.unit)
        .filter(|_| !doubted);
    let confidence = if top.worked_out { 0.8 } else { 0.95 };
    let usual = hints.unit.filter(|_| told != units::Told::Unsure);
    match own.or(beside).or(told.unit()).or(usual) {
        Some(unit) => out.fields.load = Some(Mass::new(top.value, unit)),
        None => out.bare_load = Some(top.value),
    }
    line.note("load", top.at.0, top.at.1, confidence);
}

fn put_reps(top: Option<LoadSaid>, alone: bool, found: &Sets, line: &mut Line, out: &mut Reading) {
    let group = found.reps.iter().find(|group| group.reps.is_some());
    if let Some(top) = top {
        out.fields.reps = top.reps;
        out.fields.sets = top.sets;
    } else {
        out.fields.reps = group.and_then(|group| group.reps);
        out.fields.sets = found.reps.iter().find_map(|group| group.sets);
    }
    let plates = found.open.iter().any(|o| matches!(o, Open::Plates(..)));
    if top.is_none()
        && plates
        && out.fields.sets.is_none()
        && group.is_some_and(|group| !group.many)
    {
        out.fields.sets = Some(1);
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
        && (alone || top.one)
        && !found.open.iter().any(|o| matches!(o, Open::Order(..)))
    {
        out.fields.sets = Some(1);
    }
}

/// Plates a side are a load once the unit is known, from the words or from before.
fn plates_with_hint(found: &Sets, unit: Option<MassUnit>, out: &mut Reading) {
    let Some(unit) = unit.filter(|_| out.fields.load.is_none() && out.bare_load.is_none()) else {
        return;
    };
    let total = found.open.iter().find_map(|open| match open {
        Open::Plates(count, extra) => plates::total(*count, *extra, unit == MassUnit::Kg),
        _ => None,
    });
    out.fields.load = total.map(|value| Mass::new(value, unit));
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
