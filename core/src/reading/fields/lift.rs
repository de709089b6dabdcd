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

/// One of the three lifts where it is named.
#[derive(Clone, Copy, Debug)]
pub(super) struct Named {
    pub(super) lift: Lift,
    /// Its words, `[from, to)` in tokens.
    pub(super) at: (usize, usize),
    /// Named by a bar position or a verb that leaves no other lift likely, not by its name.
    pub(super) implied: bool,
}

/// Every place where one of the three lifts is named, in order; `Err` with the name of another
/// exercise when that is what the text is about.
pub(super) fn lifts(line: &mut Line) -> Result<Vec<Named>, String> {
    let mut named: Vec<Named> = Vec::new();
    let mut at = 0;
    while at < line.len() {
        let found = NAMED
            .iter()
            .find_map(|(words, lift)| line.any_phrase(at, words).map(|to| (*lift, to)));
        let Some((lift, to)) = found else {
            at += 1;
            continue;
        };
        // The bench one lies on, not the lift.
        let furniture = line.is(at, &["bench"])
            && line.is(at.wrapping_sub(1), &["the"])
            && line.is(
                at.wrapping_sub(2),
                &["off", "up", "leave", "leaves", "down", "under", "from"],
            );
        if !furniture {
            named.push(Named {
                lift,
                at: (at, to),
                implied: false,
            });
        }
        at = to;
    }
    let first = named.first().map(|name| name.at.0);
    let other = OTHER
        .iter()
        .filter_map(|(name, words)| line.find(words).map(|(at, _)| (at, *name)))
        .min();
    if let Some((at, name)) = other
        && first.is_none_or(|named| at < named + 3)
    {
        return Err(name.to_owned());
    }
    if named.is_empty() {
        named.extend(implied(line));
    }
    Ok(named)
}

/// "low bar 140kg", "pulled 200kg": words that only go with one lift.
fn implied(line: &Line) -> Option<Named> {
    let pulled = (0..line.len()).find_map(|at| {
        let figure = at + 1 + usize::from(line.is(at + 1, &["a", "about", "just", "up", "to"]));
        let verb = line.is(at, &["pulled", "pulling", "pull"]) && line.digits(figure).is_some();
        (verb || line.phrase(at, "heavy pulls").is_some()).then_some((Lift::Deadlift, (at, at + 1)))
    });
    let bar = line
        .find(&["low bar", "high bar", "lowbar", "highbar"])
        .map(|at| (Lift::Squat, at));
    let (lift, at) = bar.or(pulled)?;
    Some(Named {
        lift,
        at,
        implied: true,
    })
}
