//! Several sets in one message: `100x5, 110x5, 120x3`. All are kept as read; the report is of the one
//! that is asked about: the one the words name, else the heaviest.

use super::asks::{ask, figure};
use super::attach::completed;
use super::effort::Told;
use super::line::Line;
use super::miss::Missed;
use super::sets::{LoadSaid, Sets};
use crate::quantity::MassUnit;
use crate::reading::{Ask, Reading};
use crate::report::{ListedLoad, ListedSet, most_load_kg};

/// Most sets kept of one message.
const MOST: usize = 24;

/// Tokens before a set's name in which the words stand that make it the one asked about.
const LEADS: [&str; 9] = [
    "on", "in", "during", "at", "the", "my", "with", "of", "about",
];

/// Which of the sets listed is asked about.
#[derive(Clone, Debug)]
pub(super) enum Asked {
    /// None of them more than another: the heaviest.
    Top,
    /// This one.
    One(LoadSaid),
    /// One of these, and nobody can tell which.
    Unsure(Vec<LoadSaid>),
}

/// The sets that were told with load and repetitions, or as rungs of a ladder, in the order of the
/// text; empty unless there are two.
pub(super) fn sets(found: &Sets, missed: &Missed) -> Vec<LoadSaid> {
    let mut listed: Vec<LoadSaid> = Vec::new();
    for load in completed(found, missed) {
        let rung = found
            .loads
            .iter()
            .any(|other| other.at == load.at && mass(other).to_bits() != mass(&load).to_bits());
        // "On the 110 they caved" names a set told before, and is none of its own.
        let named_again = load.lent && !rung && listed.iter().any(|known| alike(known, &load));
        if (load.reps.is_some() || rung) && !named_again {
            listed.push(load);
        }
    }
    listed.sort_by_key(|load| load.at.0);
    listed.truncate(MOST);
    if listed.len() < 2 {
        listed.clear();
    }
    listed
}

fn alike(a: &LoadSaid, b: &LoadSaid) -> bool {
    mass(a).to_bits() == mass(b).to_bits()
}

fn mass(load: &LoadSaid) -> f64 {
    load.value * load.unit.map_or(1.0, MassUnit::kg)
}

/// Which of the sets the words ask about.
pub(super) fn asked(line: &Line, listed: &[LoadSaid]) -> Asked {
    if listed.is_empty() {
        return Asked::Top;
    }
    let mut named: Vec<usize> = (0..line.len())
        .filter_map(|at| place(line, listed, at))
        .collect();
    named.sort_unstable();
    named.dedup();
    let of = |place: &usize| listed.get(*place).copied();
    match named[..] {
        [] => unsure_top(listed),
        [one] => of(&one).map_or(Asked::Top, Asked::One),
        _ => Asked::Unsure(named.iter().filter_map(of).collect()),
    }
}

/// The heaviest load was lifted in two sets of different repetitions, one right behind the other.
fn unsure_top(listed: &[LoadSaid]) -> Asked {
    let most = listed.iter().map(mass).fold(0.0, f64::max);
    let top: Vec<LoadSaid> = listed
        .iter()
        .filter(|load| mass(load) >= most)
        .copied()
        .collect();
    let differ = top.windows(2).any(|pair| match pair {
        [a, b] => a.reps.is_some() && b.reps.is_some() && a.reps != b.reps,
        _ => false,
    });
    if differ {
        Asked::Unsure(top)
    } else {
        Asked::Top
    }
}

/// The place of the set in the list that is named at a token.
fn place(line: &Line, listed: &[LoadSaid], at: usize) -> Option<usize> {
    let told = listed
        .iter()
        .any(|load| (load.at.0..load.at.1).contains(&at));
    let led = line.is(at.wrapping_sub(1), &LEADS);
    if let Some(value) = line.digits(at) {
        let counted = line.is(at + 1, &["x", "*", "by", "reps", "rep", "sets", "%"]);
        let same = |load: &LoadSaid| (load.value - value).abs() < f64::EPSILON;
        return (led && !told && !counted)
            .then(|| listed.iter().position(same))
            .flatten();
    }
    if let Some(end) = line.any_phrase(at, &["last set", "final set"]) {
        return free(line, end).then(|| listed.len().saturating_sub(1));
    }
    let ordinals: [(&[&str], usize); 4] = [
        (&["first set", "first one"], 0),
        (&["second set", "second one"], 1),
        (&["third set", "third one"], 2),
        (&["fourth set", "fourth one"], 3),
    ];
    for (phrases, place) in ordinals {
        if let Some(end) = line.any_phrase(at, phrases) {
            return (free(line, end) && place < listed.len()).then_some(place);
        }
    }
    let top = listed
        .iter()
        .map(mass)
        .enumerate()
        .fold(
            (0, 0.0),
            |best, one| if one.1 > best.1 { one } else { best },
        )
        .0;
    if led
        && line
            .any_phrase(at, &["top set", "heaviest set", "heaviest"])
            .is_some()
    {
        return Some(top);
    }
    let behind = [
        "back off",
        "back offs",
        "backoff",
        "backoffs",
        "back off sets",
        "drop set",
    ];
    if led && line.any_phrase(at, &behind).is_some() {
        return (top + 1 < listed.len()).then_some(top + 1);
    }
    None
}

/// No figure follows that the words would be the label of: "first set: 100 kg x 5".
fn free(line: &Line, end: usize) -> bool {
    let mut next = end;
    while next < end + 3
        && line.is(
            next,
            &[
                ":", "-", "was", "at", "with", "of", "=", "is", "were", ",", "(",
            ],
        )
    {
        next += 1;
    }
    line.number(next).is_none() || line.is(next + 1, &["rep", "reps"])
}

/// The sets as they are kept; what no human ever lifted is left out.
pub(super) fn kept(
    listed: &[LoadSaid],
    told: &[Told],
    unit: Option<MassUnit>,
    out: &Reading,
) -> Vec<ListedSet> {
    let most = most_load_kg(out.fields.lift);
    let starts: Vec<usize> = listed.iter().map(|load| load.at.0).collect();
    let set = |load: &LoadSaid| {
        let next = starts.iter().copied().find(|from| *from >= load.at.1);
        let mut own = told
            .iter()
            .filter(|one| one.at.0 >= load.at.1 && next.is_none_or(|next| one.at.0 < next));
        let rungs = listed.iter().filter(|other| other.at == load.at).count();
        let effort = own.next().map(|one| one.effort);
        ListedSet {
            load: ListedLoad {
                value: load.value,
                unit: load.unit.or(unit),
            },
            reps: load.reps,
            sets: load.sets.filter(|_| rungs == 1 && !load.lent),
            effort: effort.filter(|effort| rungs == 1 && effort.check().is_ok()),
        }
    };
    let whole = listed.iter().map(set);
    let possible =
        whole.filter(|set| set.load.value * set.load.unit.map_or(1.0, MassUnit::kg) <= most);
    let possible: Vec<ListedSet> = possible.collect();
    if possible.len() < 2 {
        return Vec::new();
    }
    possible
}

/// The question which of several sets it is about; the load alone is kept where all share it.
pub(super) fn which(
    several: &[LoadSaid],
    unit: Option<MassUnit>,
    out: &mut Reading,
) -> Option<Ask> {
    let first = several.first()?;
    let short = |load: &LoadSaid| {
        let unit = load.unit.or(unit).map(|unit| format!(" {unit}"));
        let reps = load.reps.map(|reps| format!(" x {reps}"));
        let (unit, reps) = (unit.unwrap_or_default(), reps.unwrap_or_default());
        format!("{}{unit}{reps}", figure(load.value))
    };
    let one_load = several.iter().all(|load| alike(load, first));
    out.fields.reps = None;
    out.fields.sets = None;
    if one_load {
        let choices: Vec<String> = several
            .iter()
            .filter_map(|load| load.reps)
            .map(|reps| format!("{reps} reps"))
            .collect();
        let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
        let question = format!(
            "I read {} sets at {}. Which one is this about?",
            several.len(),
            short(&LoadSaid {
                reps: None,
                ..*first
            })
        );
        return Some(ask("reps", question, &choices));
    }
    out.fields.load = None;
    out.bare_load = None;
    let choices = match unit.or(first.unit) {
        Some(_) => several.iter().map(short).collect(),
        // One answer settles the set and its unit, as long as it fits on buttons.
        None if several.len() == 2 => several.iter().flat_map(in_both).collect(),
        None => Vec::new(),
    };
    let choices: Vec<&str> = choices.iter().map(String::as_str).collect();
    let question = format!("You name {} sets. Which one is this about?", several.len());
    Some(ask("load", question, &choices))
}

/// A set of an unknown unit in either.
fn in_both(load: &LoadSaid) -> [String; 2] {
    let reps = load.reps.map(|reps| format!(" x {reps}"));
    let reps = reps.unwrap_or_default();
    ["kg", "lb"].map(|unit| format!("{} {unit}{reps}", figure(load.value)))
}

/// Puts the question which set it is first; which load it was settles its repetitions too.
pub(super) fn put_question(which: Option<Ask>, out: &mut Reading) {
    let Some(which) = which else { return };
    let settled = |field: &str| field == which.field || which.field == "load" && field == "reps";
    out.asks
        .retain(|ask| !settled(ask.field.split('.').next().unwrap_or_default()));
    out.asks.insert(0, which);
}
