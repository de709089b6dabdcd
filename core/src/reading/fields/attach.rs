//! Which repetitions and sets belong to which load, and which load is the set's.

use super::line::Line;
use super::miss::Missed;
use super::sets::{LoadSaid, RepsSaid, Sets};
use crate::quantity::MassUnit;

/// Gives every load without repetitions the group that stands nearest and is free.
pub(super) fn attach(line: &Line, found: &mut Sets) {
    let groups = found.reps.clone();
    let mut free = vec![true; groups.len()];
    if shared_by_all(line, found, &groups) {
        return mark_tops(line, found);
    }
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
            load.one |= group.one && !shared;
            load.lent |= shared;
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
    mark_tops(line, found);
}

/// "60, 65, 70kg, eight reps every time", "three sets going up 140-150-160kg all triples": loads
/// without repetitions of their own, and repetitions told of all of them.
fn shared_by_all(line: &Line, found: &mut Sets, groups: &[RepsSaid]) -> bool {
    let mut with_reps = groups.iter().filter(|group| group.reps.is_some());
    let (Some(reps), None) = (with_reps.next(), with_reps.next()) else {
        return false;
    };
    let before = reps.at.0;
    let all = (1..=3).any(|steps| {
        line.is(
            before.wrapping_sub(steps),
            &["all", "each", "every", "always"],
        )
    }) || line
        .any_phrase(
            reps.at.1,
            &[
                "every time",
                "every set",
                "each set",
                "each time",
                "each",
                "per set",
                "on all",
                "for all",
                "all",
            ],
        )
        .is_some();
    let several = found.loads.len() > 1 && found.loads.iter().all(|load| load.reps.is_none());
    if !all || !several {
        return false;
    }
    let told = groups.iter().find_map(|group| group.sets);
    let length = u32::try_from(found.loads.len()).ok();
    for load in &mut found.loads {
        load.reps = reps.reps;
        load.sets = told.or(length.filter(|length| *length > 2));
        load.many = true;
        load.lent = true;
    }
    true
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

/// "top set 160kg x 3", "worked up to 120kg x 1": the load behind is of one set.
fn mark_tops(line: &Line, found: &mut Sets) {
    let words = [
        "top set",
        "topset",
        "top single",
        "top double",
        "top triple",
        "worked up to",
        "work up to",
        "built to",
        "built up to",
        "ended with",
        "ended on",
        "finished with",
        "finished on",
    ];
    let Some((_, end)) = line.find(&words) else {
        return;
    };
    let next = found.loads.iter_mut().find(|load| load.at.0 >= end);
    if let Some(load) = next.filter(|load| load.at.0 <= end + NEAR_TOP) {
        load.one = true;
    }
}

/// Tokens between the words of a top set and its load.
const NEAR_TOP: usize = 6;

/// The loads that were completed; the missed one only when it is the only one.
pub(super) fn completed(found: &Sets, missed: &Missed) -> Vec<LoadSaid> {
    let behind = |load: &LoadSaid| {
        missed
            .at
            .is_some_and(|at| (load.reps.is_none() || load.lent) && load.at.1 == at)
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
    completed.copied().collect()
}

/// The heaviest load that was completed, and whether no other was; the missed one only when it is
/// the only one.
pub(super) fn top(found: &Sets, missed: &Missed) -> Option<(LoadSaid, bool)> {
    let completed = completed(found, missed);
    let alone = completed.len() == 1;
    let mut completed = completed.into_iter();
    let first = completed.next()?;
    let top = completed.fold(first, |best, load| {
        match mass(&load).total_cmp(&mass(&best)) {
            std::cmp::Ordering::Greater => load,
            _ => best,
        }
    });
    Some((top, alone))
}

fn mass(load: &LoadSaid) -> f64 {
    load.value * load.unit.map_or(1.0, MassUnit::kg)
}
