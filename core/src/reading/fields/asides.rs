//! Figures that are no part of the set: dates, weeks and days of a plan, tempo, rest, tonnage,
//! plates under the heels, what was done before. They are marked as read and give no field.

use super::line::Line;

/// Marks them all.
pub(super) fn take(line: &mut Line) {
    dates(line);
    plan(line);
    tempo(line);
    masses(line);
}

/// `12/05/2026`, `2026-05-12`, `on 6/8`, `3/4 angle`.
fn dates(line: &mut Line) {
    for at in 0..line.len() {
        let (Some(first), Some(second)) = (line.digits(at), line.digits(at + 2)) else {
            continue;
        };
        if !line.is(at + 1, &["/", "-", "."]) || !line.glued(at + 1) || !line.glued(at + 2) {
            continue;
        }
        let third = line
            .digits(at + 4)
            .filter(|_| line.text(at + 3) == line.text(at + 1) && line.glued(at + 4));
        let year = |value: f64| (1990.0..=2100.0).contains(&value);
        if third.is_some_and(|third| year(third) || year(first)) {
            line.take(at, at + 5);
            continue;
        }
        let slash = line.is(at + 1, &["/"]);
        let day = (1.0..=31.0).contains(&first) && (1.0..=31.0).contains(&second);
        let dated = line.is(
            at.wrapping_sub(1),
            &[
                "on",
                "since",
                "date",
                "dated",
                "monday",
                "tuesday",
                "wednesday",
                "thursday",
                "friday",
                "saturday",
                "sunday",
            ],
        );
        let angle = line.is(at + 3, &["angle", "view", "profile"]);
        if slash && third.is_none() && ((day && dated) || angle) {
            line.take(at, at + 3);
        }
    }
}

/// `week 3 day 2`, `w3d2`, `block 2`, `session 14`, `6 day streak`, `9am`.
fn plan(line: &mut Line) {
    let labels = [
        "week", "wk", "day", "block", "session", "cycle", "phase", "meso", "w", "d", "workout",
        "class", "version", "level",
    ];
    for at in 0..line.len() {
        if line.digits(at).is_none() {
            continue;
        }
        let before = at.wrapping_sub(1);
        let labelled = line.is(before, &labels)
            && (line.text(before).len() > 1 || line.glued(at))
            && line.unit_after(at).is_none();
        let timed = line.is(
            at + 1,
            &[
                "am", "pm", "o'clock", "oclock", "day", "degree", "degrees", "deg", "bpm",
            ],
        );
        let clock = line.is(at + 1, &[":"])
            && line.glued(at + 1)
            && line.glued(at + 2)
            && line
                .digits(at + 2)
                .is_some_and(|minutes| (0.0..60.0).contains(&minutes) && minutes.fract() == 0.0)
            && line.is(before, &["at", "by", "around", "until", "till"]);
        let pulse = (1..=4).any(|steps| line.is(at.wrapping_sub(steps), &["hr", "pulse", "bpm"]));
        if labelled || timed || pulse {
            line.take(at, at + 1);
        } else if clock {
            line.take(at, at + 3);
        }
    }
}

/// `tempo 3-1-0`, `rest 3 min`, `90s rest`, `5 sec down`.
fn tempo(line: &mut Line) {
    for at in 0..line.len() {
        if line.is(at, &["tempo"]) {
            let mut end = at + 1;
            while line.digits(end).is_some_and(|v| v < 20.0) && end < at + 9 {
                end += 1;
                if line.is(end, &["-", "/", ".", ":"])
                    && line.glued(end)
                    && line.digits(end + 1).is_some()
                {
                    end += 1;
                } else {
                    break;
                }
            }
            line.take(at + 1, end);
        }
        // `3-1-0` stands for itself when "tempo" follows.
        let small = |i: usize| line.digits(i).is_some_and(|v| v < 10.0 && v.fract() == 0.0);
        if small(at)
            && line.is(at + 1, &["-"])
            && small(at + 2)
            && line.is(at + 3, &["-"])
            && small(at + 4)
            && (line.digits(at + 4) == Some(0.0) || line.is(at + 5, &["tempo"]))
        {
            line.take(at, at + 5);
        }
        let time = line.is(
            at + 1,
            &[
                "min", "mins", "minute", "minutes", "minuets", "hr", "hrs", "hour", "hours",
            ],
        );
        let short = line.is(at + 1, &["s", "sec", "secs", "second", "seconds"])
            && (line.is(
                at + 2,
                &[
                    "rest",
                    "rests",
                    "down",
                    "eccentric",
                    "eccentrics",
                    "negative",
                    "negatives",
                    "descent",
                    "lowering",
                    "break",
                    "breaks",
                    "between",
                    "up",
                    "hold",
                    "holds",
                ],
            ) || line.is(at.wrapping_sub(1), &["rest", "resting", "rested"]));
        if line.number(at).is_some() && (time || short) {
            line.take(at, at + 2);
        }
    }
}

/// How many figures stand with their unit.
pub(super) fn masses_told(line: &Line) -> usize {
    (0..line.len())
        .filter(|at| line.digits(*at).is_some() && line.unit_after(*at).is_some())
        .count()
}

/// "3 by 8 by 60kg" is a set, not a step.
fn counted_by(line: &Line, at: usize) -> bool {
    line.is(at.wrapping_sub(1), &["by"]) && line.number(at.wrapping_sub(2)).is_some()
}

/// Masses that were not lifted in this set.
fn masses(line: &mut Line) {
    let sums = ["total", "tonnage", "volume"];
    let steps = [
        "by", "added", "adding", "add", "plus", "another", "extra", "jumped", "jump", "jumps",
        "up", "of",
    ];
    let behind = [
        "pr",
        "pb",
        "jump",
        "jumps",
        "increments",
        "increment",
        "plates",
        "plate",
        "vest",
        "more",
        "less",
        "heavier",
        "lighter",
        "increase",
        "chains",
        "dumbbells",
        "discs",
        "change",
        "each",
        "fractional",
        "over",
        "under",
    ];
    let ago = ["ago"];
    let only = masses_told(line) == 1;
    for at in 0..line.len() {
        let Some(value) = line.digits(at) else {
            continue;
        };
        let Some((_, end)) = line.unit_after(at) else {
            continue;
        };
        let before = at.wrapping_sub(1);
        // "180kg total" beside talk of bar and plates is the load.
        let on_bar = value <= 500.0
            && line.is(end, &["total"])
            && (only || line.has(&["plate", "plates", "bar", "bars", "side", "barbell"]));
        let sum = (line.is(end, &sums) && !on_bar)
            || (1..=3)
                .any(|steps| line.is(at.wrapping_sub(steps), &["total", "tonnage", "volume"]))
                && value > 500.0;
        let step = value <= 30.0 && line.is(before, &steps) && !counted_by(line, at);
        let by = line.is(before, &["by", "added", "plus"]) && !counted_by(line, at);
        let part = line.is(end, &behind)
            && (value <= 30.0
                || line.is(
                    end,
                    &["more", "less", "heavier", "lighter", "over", "under"],
                ));
        let was = line.phrase(at.wrapping_sub(2), "up from").is_some()
            || line.phrase(at.wrapping_sub(2), "down from").is_some()
            || line.phrase(at.wrapping_sub(2), "went from").is_some()
            || line.phrase(at.wrapping_sub(2), "go from").is_some()
            || (line.is(before, &["from"]) && line.is(end, &["to"]));
        let then = line.phrase(at.wrapping_sub(2), "last week").is_some()
            || line.phrase(at.wrapping_sub(2), "last time").is_some()
            || line.phrase(at.wrapping_sub(3), "last week was").is_some()
            || line.phrase(at.wrapping_sub(3), "last time was").is_some()
            || line.phrase(at.wrapping_sub(2), "last session").is_some()
            || (line.is(before, &["was"]) && line.is(at.wrapping_sub(2), &ago));
        let about = line.is(before, &["maybe", "about", "around", "perhaps", "roughly"]);
        let led = if about { at.wrapping_sub(2) } else { before };
        let lost = line.is(led, &["lost", "lose", "losing", "gained", "gain"]);
        if sum || step || by || part || was || then || lost {
            line.take(at, end);
        }
    }
}
