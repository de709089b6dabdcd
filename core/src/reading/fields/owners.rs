//! Two lifts in one message: which figures belong to which.

use super::lift::Named;
use super::line::Line;
use super::sets::Sets;
use crate::report::Lift;

/// The lift each load and each group of repetitions belongs to: the one named in the same clause,
/// else the last one named before, else the next.
pub(super) fn owner(line: &Line, named: &[Named], at: (usize, usize)) -> Option<Lift> {
    let behind = named.iter().rev().find(|name| name.at.0 < at.0);
    let ahead = named.iter().find(|name| name.at.0 >= at.0);
    match (behind, ahead) {
        (Some(behind), Some(ahead)) => {
            let far = parts(line, behind.at.1, at.0);
            let near = parts(line, at.1, ahead.at.0);
            Some(if near < far { ahead.lift } else { behind.lift })
        }
        (Some(one), None) | (None, Some(one)) => Some(one.lift),
        (None, None) => None,
    }
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
