//! Loads that the lifter means to try within days: "loading 207 next week", "on saturday i load
//! 200", "trying 145 monday". They are not the set that is told, but what is planned on top of it
//! may be a jump that a person has to look at.

use super::line::Line;
use super::sets::LOAD_FROM;
use crate::reading::PlannedLoad;

/// What is meant to be done.
const MEANT: [&str; 37] = [
    "loading",
    "ill load",
    "i load",
    "will load",
    "gonna load",
    "going to load",
    "going for",
    "go for",
    "gonna go for",
    "go to",
    "gonna do",
    "going to do",
    "gonna try",
    "going to try",
    "want to try",
    "wanna try",
    "will try",
    "ill try",
    "trying",
    "attempt",
    "attempting",
    "plan to",
    "planning",
    "plan is",
    "want to hit",
    "gonna hit",
    "going to hit",
    "will hit",
    "ill hit",
    "jump to",
    "jumping to",
    "jump up to",
    "go up to",
    "move to",
    "put on",
    "should i try",
    "should i go",
];

/// Within days.
const SOON: [&str; 25] = [
    "tomorrow",
    "next week",
    "next session",
    "next time",
    "next workout",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "mon",
    "tue",
    "tues",
    "wed",
    "thu",
    "thurs",
    "fri",
    "sat",
    "sun",
    "this weekend",
    "at the weekend",
    "the weekend",
    "in a week",
];

/// What tells of the past or of a far goal instead.
const NOT_SOON: [&str; 24] = [
    "last",
    "ago",
    "failed",
    "missed",
    "pinned",
    "used to",
    "got",
    "did",
    "hit",
    "was",
    "by december",
    "by summer",
    "by christmas",
    "end of the year",
    "next year",
    "next month",
    "one day",
    "someday",
    "eventually",
    "in the long run",
    "long term",
    "used",
    "tried",
    "lifted",
];

/// Planned loads of a text, at most.
const MOST: usize = 4;

/// Reads what is planned; nothing is marked as read.
pub(super) fn read(line: &Line) -> Vec<PlannedLoad> {
    let mut out = Vec::new();
    if line.find(&SOON).is_none() {
        return out;
    }
    for (from, to) in sentences(line) {
        let holds = |phrases: &[&str]| {
            (from..to).any(|at| line.any_phrase(at, phrases).is_some_and(|end| end <= to))
        };
        let Some(meant) = (from..to).find(|at| line.any_phrase(*at, &MEANT).is_some()) else {
            continue;
        };
        if !holds(&SOON) {
            continue;
        }
        let loads = (meant..to).filter_map(|at| load(line, at));
        let heaviest = loads.max_by(|a, b| a.value.total_cmp(&b.value));
        // Words of the past before the plan may tell of the set; "last saturday" and "was going
        // for" do not.
        let not_soon = |at: usize| line.any_phrase(at, &NOT_SOON).is_some();
        let last = (from..meant).any(|at| line.is(at, &["last"]));
        let past = last || (meant.saturating_sub(1)..to).any(not_soon);
        out.extend(heaviest.filter(|_| !past && out.len() < MOST));
    }
    out
}

/// The load at a token, with its unit when it stands there.
fn load(line: &Line, at: usize) -> Option<PlannedLoad> {
    let value = line.digits(at)?;
    let counted = [
        "%", "percent", "x", "reps", "rep", "min", "mins", "sec", "cm", "weeks", "days",
    ];
    let unit = line.unit_after(at);
    (unit.is_some() || (value >= LOAD_FROM && !line.is(at + 1, &counted))).then(|| PlannedLoad {
        value,
        unit: unit.map(|(unit, _)| unit),
        span: line.span(at, unit.map_or(at + 1, |(_, end)| end)),
    })
}

/// `[from, to)` of what stands between full stops, "but", "today" and the like.
fn sentences(line: &Line) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut from = 0;
    for at in 0..line.len() {
        let ends = [
            ".", ";", "!", "?", "\n", "but", "today", "tonight", "so", "and",
        ];
        if line.is(at, &ends) {
            out.push((from, at));
            from = at;
        }
    }
    out.push((from, line.len()));
    out
}
