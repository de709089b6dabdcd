//! Which lift a text names: one of the three, or another exercise.

use super::line::Line;
use crate::report::Lift;

/// Exercises that are none of the three lifts: as written, and what to call them.
const OTHER: [(&str, &[&str]); 24] = [
    ("goblet squat", &["goblet", "goblets"]),
    (
        "overhead press",
        &[
            "ohp",
            "overhead press",
            "overhead",
            "strict press",
            "shoulder press",
        ],
    ),
    ("pull-up", &["pull ups", "pullups", "pull up", "pullup"]),
    ("chin-up", &["chin ups", "chinups", "chin up", "chinup"]),
    ("row", &["rows", "barbell row", "pendlay"]),
    ("leg press", &["leg press"]),
    ("lunge", &["lunges", "lunge", "split squat", "split squats"]),
    ("curl", &["curls"]),
    ("dip", &["dips"]),
    ("Romanian deadlift", &["rdl", "rdls", "romanian"]),
    ("hip thrust", &["hip thrust", "hip thrusts"]),
    ("snatch", &["snatch", "snatches"]),
    ("clean and jerk", &["clean and jerk"]),
    ("power clean", &["power clean", "power cleans"]),
    ("push press", &["push press"]),
    ("military press", &["military press"]),
    ("good morning", &["good mornings"]),
    ("push-up", &["push ups", "pushups", "press ups"]),
    ("leg extension", &["leg extension", "leg extensions"]),
    ("leg curl", &["leg curl", "leg curls"]),
    ("lateral raise", &["lateral raise", "lateral raises"]),
    ("kettlebell swing", &["swings", "kettlebell swing"]),
    ("face pull", &["face pulls", "face pull"]),
    ("lat pulldown", &["pulldown", "pulldowns", "lat pulldown"]),
];

/// What lifters call the three lifts.
const NAMED: [(&[&str], Lift); 3] = [
    (
        &[
            "squat",
            "squats",
            "squatted",
            "squatting",
            "back squat",
            "sq",
            "squating",
            "sqaut",
            "sqauts",
            "squt",
        ],
        Lift::Squat,
    ),
    (
        &[
            "bench",
            "bench press",
            "benched",
            "benching",
            "bp",
            "benchpress",
            "bnech",
        ],
        Lift::Bench,
    ),
    (
        &[
            "deadlift",
            "deadlifts",
            "deadlifted",
            "deadlifting",
            "deads",
            "dead lift",
            "dead lifts",
            "dl",
            "dls",
            "sumo",
            "conventional pull",
            "sumo pull",
            "deadlfit",
            "dealift",
            "deadlft",
            "conventional",
        ],
        Lift::Deadlift,
    ),
];

/// The lift named, if it is one of the three; `Err` with the name of another exercise.
pub(super) fn lift(line: &mut Line) -> Result<Option<Lift>, String> {
    let mut first: Option<(usize, usize, Lift)> = None;
    for (words, lift) in NAMED {
        if let Some((from, to)) = line.find(words)
            && first.is_none_or(|(at, _, _)| from < at)
        {
            first = Some((from, to, lift));
        }
    }
    let other = OTHER
        .iter()
        .filter_map(|(name, words)| line.find(words).map(|(at, _)| (at, *name)))
        .min();
    if let Some((at, name)) = other
        && first.is_none_or(|(named, ..)| at < named + 3)
    {
        return Err(name.to_owned());
    }
    if let Some((from, to, _)) = first {
        line.note("lift", from, to, 0.95);
    }
    Ok(first.map(|(_, _, lift)| lift))
}
