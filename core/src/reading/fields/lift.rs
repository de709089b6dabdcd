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

/// Words that make another exercise of the lift named right behind them.
const KINDS: [&str; 5] = ["goblet", "goblets", "overhead", "romanian", "pendlay"];

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
        ],
        Lift::Squat,
    ),
    (
        &[
            "bench",
            "bench press",
            "benched",
            "benching",
            "benches",
            "bp",
            "benchpress",
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

/// Every exercise a text names.
#[derive(Debug, Default)]
pub(super) struct Names {
    /// The three lifts, in order.
    pub(super) lifts: Vec<Named>,
    /// Where other exercises stand.
    pub(super) others: Vec<(usize, usize)>,
    /// The other exercise the text is about, unless one of the lifts has a set of its own.
    pub(super) other: Option<&'static str>,
}

/// Every place where one of the three lifts or another exercise is named.
pub(super) fn names(line: &Line) -> Names {
    let (others, first_other) = others(line);
    let mut lifts: Vec<Named> = Vec::new();
    let named = NAMED.map(|(words, lift)| (line.may(words), lift));
    let mut at = 0;
    while at < line.len() {
        let found = named
            .iter()
            .find_map(|(words, lift)| line.any_phrase(at, words).map(|to| (*lift, to)))
            .or_else(|| dead(line, at));
        let Some((lift, to)) = found else {
            at += 1;
            continue;
        };
        let kind_of_other = |other: &(usize, usize)| {
            let named = other.1 == at && line.is(other.0, &KINDS);
            other.0 < to && (at < other.1 || named)
        };
        if !furniture(line, at) && !others.iter().any(kind_of_other) {
            lifts.push(Named {
                lift,
                at: (at, to),
                implied: false,
            });
        }
        at = to;
    }
    let first = lifts.first().map(|name| name.at.0);
    let other = first_other
        .filter(|(at, _)| first.is_none_or(|named| *at < named + 3))
        .map(|(_, name)| name);
    if lifts.is_empty() && other.is_none() {
        lifts.extend(implied(line));
    }
    Names {
        lifts,
        others,
        other,
    }
}

/// Where another exercise is named, and what to call it.
type FirstOther = (usize, &'static str);

/// Where other exercises are named, and the first of them with what to call it.
fn others(line: &Line) -> (Vec<(usize, usize)>, Option<FirstOther>) {
    let named = OTHER.iter().filter(|(_, words)| line.find(words).is_some());
    let there: Vec<_> = named.collect();
    let mut places = Vec::new();
    let mut first = None;
    if there.is_empty() {
        return (places, first);
    }
    for at in 0..line.len() {
        let found = there
            .iter()
            .find_map(|(name, words)| line.any_phrase(at, words).map(|to| (to, *name)));
        if let Some((to, name)) = found {
            places.push((at, to));
            first = first.or(Some((at, name)));
        }
    }
    (places, first)
}

/// The bench one lies on, not the lift.
fn furniture(line: &Line, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    let off = [
        "off", "up", "leave", "leaves", "down", "under", "from", "on", "into",
    ];
    let one = line.is(at, &["bench"])
        && line.is(before, &["the"])
        && line.is(at.wrapping_sub(2), &off)
        && (!line.is(at.wrapping_sub(2), &["on", "into"]) || line.is(at + 1, &["itself"]));
    let several = line.is(at, &["benches"])
        && line.is(
            before,
            &[
                "the", "all", "both", "two", "no", "other", "gym", "of", "these",
            ],
        );
    one || several
}

/// "180k x 3 dead", "dead 210 kg": short for the lift only right beside a figure of the set, never
/// in "felt dead" or "dead tired".
fn dead(line: &Line, at: usize) -> Option<(Lift, usize)> {
    if !line.is(at, &["dead", "deadl", "ded"]) {
        return None;
    }
    let before = at.wrapping_sub(1);
    let figure = |at: usize| line.digits(at).is_some() || line.unit(at).is_some();
    let told = line.is(
        before,
        &[
            "felt", "feel", "feels", "am", "im", "was", "is", "are", "my", "legs", "half", "left",
        ],
    );
    let next = at + 1 + usize::from(line.is(at + 1, &[":", "-", "="]));
    let ahead = line.digits(next).is_some()
        && (line.unit_after(next).is_some() || line.is(next + 1, &["x", "*", "by", "for"]));
    let closed = [
        "", ",", ".", ";", ":", "(", "@", "rpe", "rir", "today", "set", "\n", "-",
    ];
    let behind = (figure(before) || line.is(before, &["reps", "rep"])) && line.is(at + 1, &closed);
    (!told && (ahead || behind)).then_some((Lift::Deadlift, at + 1))
}

/// "low bar 140kg", "pulled 200kg": words that only go with one lift.
fn implied(line: &Line) -> Option<Named> {
    let pulled = (0..line.len())
        .find(|at| pulled(line, *at))
        .map(|at| (Lift::Deadlift, (at, at + 1)));
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

/// Pulling with a figure or a count behind it, or "pulls" as the day's work.
fn pulled(line: &Line, at: usize) -> bool {
    if line.is(at, &["pulls"]) {
        return line.is(
            at.wrapping_sub(1),
            &[
                "on", "heavy", "my", "todays", "speed", "for", "of", "paused", "pause",
            ],
        );
    }
    if !line.is(at, &["pulled", "pulling", "pull"]) {
        return false;
    }
    let mut next = at + 1;
    let small = [
        "a", "about", "just", "up", "to", "heavy", "an", "easy", "only", "for", "my", "top",
        "paused",
    ];
    while line.is(next, &small) && next < at + 4 {
        next += 1;
    }
    let counted = line.is(
        next,
        &[
            "single", "double", "triple", "singles", "doubles", "triples",
        ],
    ) || line.is(next, &["set", "sets"]) && line.is(next + 1, &["of"]);
    let plates = line.number(next).is_some() && line.is(next + 1, &["plate", "plates"]);
    line.digits(next).is_some() || plates || counted
}
