//! Sets and repetitions that stand by themselves: "4 sets of 6", "for 3", "a triple", "amrap 9".

use super::line::Line;
use super::sets::{LOAD_FROM, Open, RepsSaid, Sets, count};

/// "4 sets of 225 for 6", "5 sets of 3", "sets of 3", "3 sets", "10 of them".
pub(super) fn sets_of(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if !line.is(at, &["set", "sets", "rounds"]) {
            continue;
        }
        let before = at
            .checked_sub(1)
            .filter(|i| !line.is_used(*i))
            .and_then(|i| line.number(i))
            .and_then(count);
        let from = if before.is_some() {
            at.saturating_sub(1)
        } else {
            at
        };
        // "5-6 sets": how many is not told.
        let range = before.is_some()
            && line.is(at.wrapping_sub(2), &["-", "or", "to"])
            && line.number(at.wrapping_sub(3)).is_some();
        let before = before.filter(|_| !range);
        let small = line.number(at + 2).filter(|value| {
            *value < LOAD_FROM && !line.is_used(at + 2) && line.unit(at + 3).is_none()
        });
        if line.is(at + 1, &["of", "for", "x"])
            && let Some(value) = small
        {
            let named = line.is(at + 3, &["reps", "rep"]);
            let to = at + 3 + usize::from(named);
            let of = before.or_else(|| of_them(line));
            sets.reps.push(RepsSaid {
                many: of.is_none() && line.is(at, &["sets", "rounds"]),
                one: of.is_none() && line.is(at, &["set"]),
                ..RepsSaid::new(count(value), of, (from, to))
            });
            line.take(from, to);
            continue;
        }
        if before.is_some() {
            // Beside a list of repetitions a number of sets is the length of the list.
            if !sets.listed {
                sets.reps.push(RepsSaid::new(None, before, (from, at + 1)));
            }
            line.take(from, at + 1);
        }
    }
}

fn of_them(line: &Line) -> Option<u32> {
    let (at, _) = line.find(&["of them"])?;
    at.checked_sub(1)
        .and_then(|i| line.number(i))
        .and_then(count)
}

/// "5@140kg", "managed 4 at 140kg", "got 6 with 140kg": repetitions before their load.
pub(super) fn before_load(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        let Some(reps) = line
            .number(at)
            .filter(|v| *v <= 30.0 && !line.is_used(at))
            .and_then(count)
        else {
            continue;
        };
        let to = at + 1 + usize::from(line.is(at + 1, &["reps", "rep", "times"]));
        let load = to + 1;
        let led = line.is(to, &["at", "@", "with"])
            && line.digits(load).is_some()
            && !line.is_used(load)
            && (line.unit_after(load).is_some() || line.digits(load).is_some_and(|v| v > 100.0));
        let other = [
            "x", "@", "rpe", "rir", "set", "rep", "-", "/", "+", "at", "to", "*", "last", "failed",
            "missed",
        ];
        // "3 @ 8", "8 @ 80": an effort, or what is still open, stands behind.
        let marked = line.is(to, &["@"]) && line.digits(load).is_some() && line.is_used(load);
        if (led || marked) && !line.is(at.wrapping_sub(1), &other) {
            sets.reps.push(RepsSaid::new(Some(reps), None, (at, to)));
            line.take(at, to);
        }
    }
}

/// Names of repetitions.
const NAMED: [(&str, u32); 14] = [
    ("threes", 3),
    ("fours", 4),
    ("fives", 5),
    ("sixes", 6),
    ("eights", 8),
    ("single", 1),
    ("singles", 1),
    ("double", 2),
    ("doubles", 2),
    ("triple", 3),
    ("triples", 3),
    ("quad", 4),
    ("doubled", 2),
    ("tripled", 3),
];

/// What makes "for 3" a length of time or anything but repetitions.
const NOT_REPS: [&str; 17] = [
    "years", "year", "months", "weeks", "days", "min", "mins", "minutes", "sec", "secs", "s", "%",
    "x", "hours", "wks", "week", "month",
];

/// "for 3", "x3", "8 reps", "a triple", "amrap got 9", "easy 5s".
pub(super) fn repetitions(line: &mut Line, sets: &mut Sets) {
    for at in 0..line.len() {
        if line.is_used(at) {
            continue;
        }
        let told = sets.loads.iter().any(|load| load.reps.is_some())
            || sets.reps.iter().any(|group| group.reps.is_some());
        // "100kg for 5, three times" counts sets, which is read later.
        if told && line.is(at + 1, &["times"]) {
            continue;
        }
        let found = named(line, at)
            .or_else(|| after_for(line, at))
            .or_else(|| counted(line, at))
            .or_else(|| most_for(line, at))
            .or_else(|| open_set(line, at))
            .or_else(|| done(line, at));
        if let Some(group) = found {
            let (from, to) = group.at;
            let more =
                line.number(to + 1).and_then(count).is_some() && line.unit_after(to + 1).is_none();
            if guessed(line, to) || (line.is(to, &["or"]) && more) {
                sets.open.push(Open::RepsUnsure);
            }
            if line.is(to, &["+"]) && line.glued(to) && line.number(to + 1).is_none() {
                line.take(from, to + 1);
                continue;
            }
            sets.reps.push(group);
            line.take(from, to);
        }
    }
}

/// "8 maybe 10", "8 maybe": the figure before is a guess.
pub(super) fn guessed(line: &Line, at: usize) -> bool {
    let more = line.number(at + 1).is_some() && !line.is_used(at + 1);
    line.is(at, &["maybe", "ish"]) && (more || line.is(at + 1, &["", ",", ".", ";"]))
}

/// "a triple", "10 singles", "tripled 140kg".
fn named(line: &Line, at: usize) -> Option<RepsSaid> {
    let (word, reps) = NAMED.iter().find(|(word, _)| *word == line.text(at))?;
    let other = line.is(at.wrapping_sub(1), &["best", "my", "every"])
        || line.is(
            at + 1,
            &[
                "overhand",
                "chin",
                "leg",
                "arm",
                "bodyweight",
                "bw",
                "body",
                "check",
                "plate",
                "plates",
            ],
        );
    let verb = word.ends_with("ed");
    if other || (verb && line.number(at + 1).is_none()) {
        return None;
    }
    let plural = word.ends_with('s');
    let before = at
        .checked_sub(1)
        .filter(|before| plural && !line.is_used(*before))
        .and_then(|before| {
            line.number(before)
                .filter(|v| *v <= 20.0)
                .and_then(count)
                .map(|of| (of, before))
        });
    Some(RepsSaid {
        many: plural && before.is_none(),
        one: !plural,
        ..RepsSaid::new(
            Some(*reps),
            before.map(|(of, _)| of),
            (before.map_or(at, |(_, from)| from), at + 1),
        )
    })
}

/// "for 3", "x3", "20x", "for 3s".
fn after_for(line: &Line, at: usize) -> Option<RepsSaid> {
    if line.is(at + 1, &["x"]) && line.number(at + 2).is_none() && line.unit_after(at).is_none() {
        let reps = line.number(at).filter(|v| *v < LOAD_FROM).and_then(count)?;
        let more = line.is(at + 2, &["bodyweight", "bw", "body", "a", "per"]);
        return (!more && line.is(at + 2, &["", ",", ".", ";", "\n", "@", "at", "with", "rpe"]))
            .then(|| RepsSaid::new(Some(reps), None, (at, at + 2)));
    }
    if !line.is(at, &["x", "for"]) {
        return None;
    }
    let figure =
        at + 1 + usize::from(line.is(at + 1, &["a", "about", "like", "easy", "clean", "solid"]));
    if line.is_used(figure) {
        return None;
    }
    let reps = line
        .number(figure)
        .filter(|n| *n < LOAD_FROM)
        .and_then(count)?;
    let after = figure + 1;
    let fives = line.is(after, &["s"]) && line.glued(after) && !timed(line, after + 1);
    if line.unit_after(figure).is_some()
        || (line.is(after, &NOT_REPS) && !fives)
        || line.is(
            after,
            &[
                "sets", "set", "rounds", "plates", "plate", "singles", "doubles", "triples",
            ],
        )
    {
        return None;
    }
    let named = line.is(after, &["reps", "rep"]);
    Some(RepsSaid {
        many: fives,
        ..RepsSaid::new(Some(reps), None, (at, after + usize::from(named || fives)))
    })
}

/// Words after "3s" that make it a length of time.
fn timed(line: &Line, at: usize) -> bool {
    line.is(
        at,
        &[
            "pause",
            "pauses",
            "paused",
            "hold",
            "holds",
            "rest",
            "rests",
            "down",
            "up",
            "eccentric",
            "negative",
            "between",
            "lowering",
            "descent",
            "break",
            "on",
            "count",
            "at",
        ],
    ) && !(line.is(at, &["at", "on"]) && line.digits(at + 1).is_some_and(|v| v >= 20.0))
}

/// "8 reps", "easy 5s", "5 times".
fn counted(line: &Line, at: usize) -> Option<RepsSaid> {
    let reps = line.number(at).and_then(count)?;
    let before = at.wrapping_sub(1);
    let not_done = [
        "rep", "reps", "last", "missed", "miss", "failed", "another", "-", "rpe", "rir", "@",
    ];
    let spaced = line.is(before, &["-"]) && !line.glued(at);
    if line.is(at + 1, &["reps", "rep", "repper", "repetitions"])
        && (spaced || !line.is(before, &not_done))
    {
        return Some(RepsSaid::new(Some(reps), None, (at, at + 2)));
    }
    let missed = line.is(before, &["missed", "failed", "miss", "fail", "missing"]);
    if line.is(at + 1, &["times"])
        && !missed
        && !line.is(
            at + 2,
            &[
                "a",
                "per",
                "bodyweight",
                "bw",
                "body",
                "my",
                "the",
                "as",
                "this",
                "weekly",
                "since",
            ],
        )
        && reps <= 20
    {
        return Some(RepsSaid::new(Some(reps), None, (at, at + 2)));
    }
    let digits = line.digits(at).is_some_and(|v| v <= 20.0);
    let fives = digits
        && line.is(at + 1, &["s"])
        && line.glued(at + 1)
        && !timed(line, at + 2)
        && !line.is(
            before,
            &[
                "rest", "pause", "paused", "hold", "tempo", "pauses", "squats",
            ],
        );
    fives.then(|| RepsSaid {
        many: true,
        ..RepsSaid::new(Some(reps), None, (at, at + 2))
    })
}

/// "3RM 150kg": the most that goes for so many repetitions, one set of them.
fn most_for(line: &Line, at: usize) -> Option<RepsSaid> {
    let reps = line.digits(at).filter(|v| (2.0..=12.0).contains(v))?;
    (line.is(at + 1, &["rm"]) && line.glued(at + 1)).then(|| RepsSaid {
        one: true,
        ..RepsSaid::new(count(reps), None, (at, at + 2))
    })
}

/// "amrap got 9", "amrap = 7".
fn open_set(line: &Line, at: usize) -> Option<RepsSaid> {
    if !line.is(at, &["amrap"]) {
        return None;
    }
    let number = (at + 1..at + 7).find(|i| {
        line.digits(*i).is_some_and(|v| v < LOAD_FROM)
            && !line.is_used(*i)
            && line.unit_after(*i).is_none()
    })?;
    Some(RepsSaid::new(
        Some(line.digits(number).and_then(count)?),
        None,
        (at, number + 1),
    ))
}

/// "got 8", "only managed 3": a bare figure right after a word of doing, when nothing else follows it.
fn done(line: &Line, at: usize) -> Option<RepsSaid> {
    if !line.is(at, &["got", "hit", "managed", "made", "did", "only", "get"])
        || line.is_used(at + 1)
    {
        return None;
    }
    let reps = line
        .number(at + 1)
        .filter(|v| *v < LOAD_FROM)
        .and_then(count)?;
    let closes = [
        "", ",", ".", ";", ")", "!", "\n", "at", "@", "with", "on", "then", "but", "and", "today",
        "rpe", "though", "before", "easy", "easily", "clean",
    ];
    (line.is(at + 2, &closes) && line.unit_after(at + 1).is_none())
        .then(|| RepsSaid::new(Some(reps), None, (at, at + 2)))
}
