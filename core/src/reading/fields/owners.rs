//! Two lifts in one message: which figures belong to which.

use super::lift::{Named, Names};
use super::line::Line;
use super::sets::Sets;
use crate::report::Lift;

/// The lift each load and each group of repetitions belongs to.
fn owner(line: &Line, named: &[Named], at: (usize, usize)) -> Option<Lift> {
    let names: Vec<(Lift, (usize, usize))> =
        named.iter().map(|name| (name.lift, name.at)).collect();
    nearest(line, &names, at)
}

/// What is named in the same clause as a place, else the last named before, else the next.
fn nearest<T: Copy>(line: &Line, names: &[(T, (usize, usize))], at: (usize, usize)) -> Option<T> {
    let behind = names.iter().rev().find(|(_, name)| name.0 < at.0);
    let ahead = names.iter().find(|(_, name)| name.0 >= at.0);
    match (behind, ahead) {
        (Some(behind), Some(ahead)) => {
            let far = parts(line, behind.1.1, at.0);
            let near = parts(line, at.1, ahead.1.0);
            Some(if near < far { ahead.0 } else { behind.0 })
        }
        (Some(one), None) | (None, Some(one)) => Some(one.0),
        (None, None) => None,
    }
}

/// Takes out the figures of other exercises; whether a set of one of the lifts is left.
pub(super) fn leave_others(line: &Line, names: &Names, sets: &mut Sets) -> bool {
    if names.others.is_empty() {
        return true;
    }
    let lifts = names.lifts.iter().map(|name| (true, name.at));
    let mut all: Vec<(bool, (usize, usize))> = lifts
        .chain(names.others.iter().map(|at| (false, *at)))
        .collect();
    all.sort_unstable_by_key(|(_, at)| *at);
    let own = |at: (usize, usize)| nearest(line, &all, at) == Some(true);
    let loads = sets.loads.iter().any(|load| own(load.at));
    let left = loads || sets.reps.iter().any(|group| own(group.at));
    if left {
        sets.loads.retain(|load| own(load.at));
        sets.reps.retain(|group| own(group.at));
    }
    left
}

/// Signs and words that part clauses between two places.
fn parts(line: &Line, from: usize, to: usize) -> usize {
    (from..to)
        .filter(|at| {
            line.is(
                *at,
                &[
                    ",", ";", "!", "?", "but", "and", "then", "after", "while", "because",
                ],
            )
        })
        .count()
        + 3 * (from..to).filter(|at| line.is(*at, &[".", "\n"])).count()
}

/// The lifts that have a set of their own here, in the order they are named.
pub(super) fn with_sets(line: &Line, named: &[Named], sets: &Sets) -> Vec<Lift> {
    let mut lifts: Vec<Lift> = Vec::new();
    let whole = sets.loads.iter().filter(|load| load.reps.is_some());
    let whole: Vec<(usize, usize)> = whole.map(|load| load.at).collect();
    let places = if whole.is_empty() {
        sets.loads
            .iter()
            .map(|load| load.at)
            .chain(sets.reps.iter().map(|group| group.at))
            .collect()
    } else {
        whole
    };
    for at in places {
        if let Some(lift) = owner(line, named, at)
            && !lifts.contains(&lift)
        {
            lifts.push(lift);
        }
    }
    lifts
}

/// Leaves only what belongs to a lift.
pub(super) fn only(line: &Line, named: &[Named], sets: &mut Sets, lift: Lift) {
    sets.loads
        .retain(|load| owner(line, named, load.at) == Some(lift));
    sets.reps
        .retain(|group| owner(line, named, group.at) == Some(lift));
}
