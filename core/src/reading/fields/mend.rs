//! Figures the lifter takes back in the same breath: "110kg x 3, no wait 112.5kg".

use super::line::Line;
use super::sets::{LoadSaid, Sets};

/// Words that take back what was said before them.
const TAKEN_BACK: [&str; 17] = [
    "no wait",
    "wait no",
    "no sorry",
    "sorry meant",
    "sorry i meant",
    "sorry",
    "i meant",
    "meant",
    "i mean",
    "oops",
    "correction",
    "make that",
    "scratch that",
    "actually no",
    "no actually",
    "edit",
    "rather",
];

/// Tokens after the words within which the right figure stands.
const NEAR: usize = 6;

/// Puts the last word in place of what it takes back.
pub(super) fn mend(line: &Line, sets: &mut Sets) {
    let words = line.may(&TAKEN_BACK);
    for at in 0..line.len() {
        let Some(end) = line.any_phrase(at, &words) else {
            continue;
        };
        let near = |place: usize| place >= end && place <= end + NEAR;
        if let Some(new) = sets.loads.iter().position(|load| near(load.at.0)) {
            let old = sets.loads.iter().rposition(|load| load.at.1 <= at);
            if let Some(old) = old {
                take_over(&mut sets.loads, old, new);
            }
            return;
        }
        if let Some(group) = sets
            .reps
            .iter()
            .find(|group| near(group.at.0) && group.reps.is_some())
            .copied()
        {
            for load in sets.loads.iter_mut().filter(|load| load.at.1 <= at) {
                load.reps = group.reps;
                load.sets = load.sets.or(group.sets);
            }
            sets.reps
                .retain(|other| other.at.0 >= at || other.reps.is_none());
            return;
        }
    }
}

/// The new load keeps the repetitions of the old one unless it has its own; the old one is gone.
fn take_over(loads: &mut Vec<LoadSaid>, old: usize, new: usize) {
    let Some(before) = loads.get(old).copied() else {
        return;
    };
    if let Some(load) = loads.get_mut(new) {
        load.reps = load.reps.or(before.reps);
        load.sets = load.sets.or(before.sets);
        load.unit = load.unit.or(before.unit);
    }
    loads.remove(old);
}
