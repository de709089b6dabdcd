//! Loads that stand by themselves: masses, percentages, ladders, bare figures.

use super::line::Line;
use super::sets::{LOAD_FROM, LoadSaid, Open, RepsSaid, Sets, count, figure};
use crate::quantity::MassUnit;

/// `85%`, `75% of 220kg`, `@80`.
pub(super) fn percents(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let Some(value) = line.digits(at).filter(|_| !line.is_used(at)) else {
            continue;
        };
        if line.is(at + 1, &["%", "percent", "pct"]) {
            let less = line.is(
                at.wrapping_sub(1),
                &["minus", "less", "-", "down", "drop", "off"],
            );
            if line.is(at + 2, &["of"])
                && !line.is(at + 4, &["rm"])
                && let Some((whole, unit, end)) = figure(line, at + 3)
            {
                sets.loads.push(LoadSaid {
                    worked_out: true,
                    ..LoadSaid::alone((whole * value).round() / 100.0, unit, (at, end))
                });
                line.take(at, end);
            } else {
                if !less && (30.0..=120.0).contains(&value) {
                    sets.open.push(Open::PercentOf(value, at));
                }
                line.take(at, at + 2);
                order(line, at + 2, sets);
                // Repetitions that belong to a percentage go with it ("3x3 at 85%").
                if let Some(group) = sets
                    .reps
                    .iter_mut()
                    .find(|g| g.at.1 + 2 > at && g.at.1 <= at)
                {
                    group.at.1 = at + 2;
                }
            }
        } else if line.is(at.wrapping_sub(1), &["@"])
            && (LOAD_FROM..=100.0).contains(&value)
            && line.unit(at + 1).is_none()
        {
            sets.open.push(Open::PercentOrLoad(value));
            line.take(at - 1, at + 1);
        }
    }
}

/// `80% x 5 x 3`: which is sets.
fn order(line: &mut Line, at: usize, sets: &mut Sets) {
    let figure = |i: usize| {
        line.digits(i)
            .and_then(count)
            .filter(|_| line.is(i - 1, &["x", "*"]))
    };
    if let (Some(a), Some(b)) = (figure(at + 1), figure(at + 3))
        && line.is(at + 2, &["x", "*"])
    {
        if a == b {
            sets.reps
                .push(RepsSaid::new(Some(a), Some(b), (at, at + 4)));
        } else {
            sets.open.push(Open::Order(a, b));
        }
        line.take(at, at + 4);
    }
}

/// "315lb = 143kg", "143kg (315lb)": one load in two units; the second is marked as read.
pub(super) fn conversions(line: &mut Line) {
    let joins = [
        "(", "/", "=", "~", "or", "is", "which", "about", "around", "so", "aka", "ie", "-", ",",
    ];
    for at in 0..line.len() {
        let Some(value) = line.digits(at).filter(|_| !line.is_used(at)) else {
            continue;
        };
        let Some((unit, end)) = line.unit_after(at) else {
            continue;
        };
        let mut second = end;
        while line.is(second, &joins) && second < end + 3 {
            second += 1;
        }
        let (Some(other), Some((other_unit, mut to))) =
            (line.digits(second), line.unit_after(second))
        else {
            continue;
        };
        let same = (value * unit.kg() / (other * other_unit.kg()) - 1.0).abs() <= SAME_LOAD;
        if second > end && unit != other_unit && same {
            to += usize::from(line.is(to, &[")"]));
            line.take(end, to);
        }
    }
}

/// One load told twice in two units with words between; the one without repetitions goes.
pub(super) fn told_twice(sets: &mut Sets) {
    let kg = |load: &LoadSaid| load.unit.map(|unit| (unit, load.value * unit.kg()));
    let loads = sets.loads.clone();
    sets.loads.retain(|one| {
        let Some((unit, mass)) = kg(one).filter(|_| one.reps.is_none()) else {
            return true;
        };
        !loads.iter().any(|other| {
            other.reps.is_some()
                && kg(other).is_some_and(|(other_unit, other)| {
                    other_unit != unit && (mass / other - 1.0).abs() <= SAME_LOAD
                })
        })
    });
}

/// How far two figures of one load may differ, each rounded to what its plates make.
const SAME_LOAD: f64 = 0.03;

/// Figures with their unit.
pub(super) fn masses(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if let Some((value, Some(unit), end)) = figure(line, at)
            && line.before(at, 1) != "+"
            && !line.is(
                end,
                &[
                    "bodyweight",
                    "bw",
                    "heavier",
                    "lighter",
                    "jump",
                    "more",
                    "less",
                ],
            )
            && !(line.is(end, &["pb", "pr"]) && not_this_set(line, at, value, sets))
            && !line.is(
                at.wrapping_sub(1),
                &["lost", "lose", "losing", "gained", "drop"],
            )
            // "315lb = 143kg" tells one load twice.
            && !(line.is(at.wrapping_sub(1), &["="]) && line.unit(at.wrapping_sub(2)).is_some())
        {
            sets.loads
                .push(LoadSaid::alone(value, Some(unit), (at, end)));
            line.take(at, end);
        }
    }
}

/// "5kg pr" is a step and "my 180kg pr" another day's, beside a set told whole.
fn not_this_set(line: &Line, at: usize, value: f64, sets: &Sets) -> bool {
    value < LOAD_FROM
        || line.is(
            at.wrapping_sub(1),
            &["my", "old", "previous", "last", "the"],
        )
        || sets.loads.iter().any(|load| load.reps.is_some())
}

/// `100-110-120`, `60, 80, 100kg`, `100 > 110 > 120`: loads climbing or falling, three or more.
pub(super) fn ladders(line: &mut Line, sets: &mut Sets) {
    let mut at = 0;
    while at < line.len() {
        let Some((values, end)) = ladder(line, at) else {
            at += 1;
            continue;
        };
        let unit = values.iter().rev().find_map(|(_, unit)| *unit);
        let told = each_for(line, end);
        let unit = unit.or(told.and_then(|(_, unit, _)| unit));
        for (value, _) in values {
            sets.loads.push(LoadSaid {
                reps: told.map(|(reps, _, _)| reps),
                lent: told.is_some(),
                ..LoadSaid::alone(value, unit, (at, end))
            });
        }
        let to = told.map_or(end, |(_, _, to)| to);
        line.take(at, to);
        at = to;
    }
}

/// "60/80/100 x3": the repetitions of every rung, the unit that may stand behind them, and the end.
fn each_for(line: &Line, at: usize) -> Option<(u32, Option<MassUnit>, usize)> {
    let reps = line
        .digits(at + 1)
        .filter(|value| line.is(at, &["x", "*"]) && (1.0..=30.0).contains(value))
        .and_then(count)?;
    let (unit, end) = line
        .unit_after(at + 1)
        .map_or((None, at + 2), |(unit, end)| (Some(unit), end));
    let more = [
        "x", "*", "by", "+", "-", "/", ",", "or", "to", "and", "reps", "rep", "%", "sets", "each",
    ];
    (!line.is(end, &more)).then_some((reps, unit, end))
}

/// One figure of a ladder, with its unit if it has one.
type Rung = (f64, Option<MassUnit>);

/// The figures of a ladder that begins at a token, and its end.
fn ladder(line: &Line, at: usize) -> Option<(Vec<Rung>, usize)> {
    let mut values: Vec<Rung> = Vec::new();
    let mut next = at;
    let mut end = at;
    while let Some(value) = line
        .digits(next)
        .filter(|v| *v >= 20.0 && !line.is_used(next))
    {
        let unit = line.unit_after(next);
        let to = unit.map_or(next + 1, |(_, to)| to);
        if unit.is_none() && line.is(to, &NOT_LOAD) && !line.is(to, &["/", "in"]) {
            break;
        }
        let chained = line.is(to, &["x", "*", "by"]);
        // "100, 110 x 5" is a ladder with its repetitions only when it is long enough already.
        if chained && values.len() < 2 {
            break;
        }
        values.push((value, unit.map(|(unit, _)| unit)));
        end = to;
        next = to;
        while line.is(next, &["-", "/", ",", ">", "→", "then", "and"]) && next < to + 2 {
            next += 1;
        }
        if next == to || chained {
            break;
        }
    }
    let climbs = values
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if a.0 < b.0));
    let falls = values
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if a.0 > b.0));
    (values.len() >= 3 && (climbs || falls)).then_some((values, end))
}

/// Words after which a bare figure is a load.
const LEADS: [&str; 65] = [
    "weighed",
    "says",
    "said",
    "shows",
    "squatting",
    "benching",
    "deadlifting",
    "pulling",
    "pull",
    "pulls",
    "lifting",
    "pressed",
    "repped",
    "rep",
    "took",
    "unrack",
    "unracked",
    "loaded",
    "used",
    "at",
    "with",
    "hit",
    "did",
    "lifted",
    "pulled",
    "squatted",
    "squat",
    "squats",
    "bench",
    "benched",
    "deadlift",
    "deadlifts",
    "deadlifted",
    "deads",
    "dl",
    "made",
    "missed",
    "failed",
    "got",
    "set",
    "single",
    "to",
    "of",
    "bar",
    "load",
    "sumo",
    "weight",
    "1st",
    "2nd",
    "3rd",
    "st",
    "nd",
    "rd",
    "for",
    "then",
    "press",
    "is",
    "was",
    "around",
    "about",
    "just",
    "today",
    "@",
    "th",
    "on",
];

/// What makes a figure anything but a load.
const NOT_LOAD: [&str; 40] = [
    "fps", "p", "hz", "kcal", "%", "percent", "sec", "secs", "s", "min", "mins", "minutes",
    "seconds", "cm", "mm", "weeks", "wks", "months", "years", "days", "hours", "degrees", "deg",
    "bpm", "reps", "rep", "sets", "calories", "/", "yo", "inches", "in", "m", "ft", "am", "pm",
    "over", "steps", "people", "times",
];

/// "3x5 160", "245 3x5", "4x3, 190": right beside sets and repetitions, a comma between or not.
fn beside_counts(line: &Line, at: usize, sets: &Sets) -> bool {
    let comma = |at: usize| usize::from(line.is(at, &[","]));
    let end = at.wrapping_sub(comma(at.wrapping_sub(1)));
    let start = at + 1 + comma(at + 1);
    let closes = [
        "",
        ",",
        ".",
        ";",
        ")",
        "!",
        "?",
        "\n",
        "today",
        "on",
        "and",
        "but",
        "squat",
        "squats",
        "bench",
        "deadlift",
        "deads",
        "dl",
        "rpe",
        "@",
        "felt",
        "at",
        "my",
        "done",
        "yesterday",
        "this",
        "with",
        "rir",
        "easy",
        "then",
        "feels",
    ];
    sets.reps.iter().any(|group| {
        let before = group.at.1 == end && group.reps.is_some() && line.is(at + 1, &closes);
        before || (group.at.0 == start && group.reps.is_some())
    })
}

/// Bare figures big enough for a load, beside a word that says one follows.
pub(super) fn bare(line: &mut Line, sets: &mut Sets) {
    let few_words = line.len() <= 14;
    for at in 0..line.len() {
        let Some(value) = line.digits(at) else {
            continue;
        };
        if line.is_used(at)
            || !(LOAD_FROM..=1200.0).contains(&value)
            || (line.is(at + 1, &NOT_LOAD) && !line.is_used(at + 1))
            || (1900.0..=2100.0).contains(&value)
        {
            continue;
        }
        let led = line.is(at.wrapping_sub(1), &LEADS)
            || beside_counts(line, at, sets)
            || (line.is(at.wrapping_sub(1), &["/"]) && line.is(at.wrapping_sub(2), &["w"]))
            || line.phrase(at + 1, "on the bar").is_some()
            || (few_words
                && (at == 0
                    || line.is(
                        at + 1,
                        &["bench", "squat", "deadlift", "for", "x", "dl", "deads"],
                    )
                    || line.is(at.wrapping_sub(1), &[".", ",", ":"])));
        if led {
            sets.loads.push(LoadSaid::alone(value, None, (at, at + 1)));
            line.take(at, at + 1);
        }
    }
}
