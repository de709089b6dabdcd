//! Whether the lifter competes: told plainly, denied, given up or planned, and never of somebody else.
//!
//! The wordings are common practice among lifters, no source.

use super::line::Line;
use crate::reading::Reading;
use crate::report::Competes;

/// How sure the reading is.
const CONFIDENCE: f64 = 0.85;
/// Words looked at before the one that says meet or compete, and behind it.
const NEAR: usize = 6;

/// Whole wordings that say no.
const NO: [&str; 7] = [
    "not a competitor",
    "no meet",
    "no meets",
    "no comp",
    "no comps",
    "no competition",
    "no competitions",
];
/// Whole wordings of a meet ahead.
const PLANNED: [&str; 21] = [
    "meet in",
    "comp in",
    "competition in",
    "meet is in",
    "comp is in",
    "first meet",
    "first comp",
    "first competition",
    "next meet",
    "next comp",
    "next competition",
    "meet prep",
    "for a meet",
    "for my meet",
    "weeks out",
    "wks out",
    "upcoming meet",
    "before my meet",
    "my meet",
    "meet on",
    "entered a meet",
];
/// Whole wordings of meets that were done.
const YES: [&str; 6] = [
    "competitive lifter",
    "competitive powerlifter",
    "my last meet",
    "last meet",
    "at the meet",
    "my federation",
];
/// `lets meet in the gym`, `nice to meet you`: people, no contest.
const MEET_PEOPLE: [&str; 15] = [
    "lets", "us", "we", "to", "can", "you", "ill", "well", "should", "could", "they", "never",
    "and", "i", "will",
];

/// Reads it; what is told plainly of competing outweighs what only names a meet.
pub(super) fn read(line: &mut Line, out: &mut Reading) {
    let Some((from, to, value)) = told(line).or_else(|| named(line)) else {
        return;
    };
    out.fields.competes = Some(value);
    line.note("competes", from, to, CONFIDENCE);
}

/// The last thing told of competing, over what was told before it: "I used to compete, but I'm
/// planning a meet". Who never did and says so only tells of the past.
fn told(line: &Line) -> Option<(usize, usize, Competes)> {
    let mut last = None;
    for at in 0..line.len() {
        let Some((from, value)) = of_competing(line, at).or_else(|| of_a_meet(line, at)) else {
            continue;
        };
        last = Some((from, at + 1, value));
    }
    last.filter(|(.., value)| *value != Competes::No || ahead(line).is_none())
        .or_else(|| last.and_then(|_| ahead(line)))
}

/// A meet that is named as lying ahead.
fn ahead(line: &Line) -> Option<(usize, usize, Competes)> {
    let denied = line.find(&NO).is_some();
    let (from, to) = line.find(&PLANNED).filter(|_| !denied)?;
    let people = line.text(from) == "meet" && line.is(from.wrapping_sub(1), &MEET_PEOPLE);
    (!people && !line.denied(from) && !others(line, from)).then_some((from, to, Competes::Planned))
}

/// What names a meet without telling of competing.
fn named(line: &Line) -> Option<(usize, usize, Competes)> {
    if let Some((from, to)) = line.find(&NO) {
        return Some((from, to, Competes::No));
    }
    ahead(line).or_else(|| {
        let (from, to) = line.find(&YES)?;
        (!others(line, from)).then_some((from, to, Competes::Yes))
    })
}

/// Places shortly before `at` in its clause, the nearest first.
fn before(line: &Line, at: usize) -> impl Iterator<Item = usize> {
    let from = at.saturating_sub(NEAR);
    (from..at)
        .rev()
        .take_while(|place| !line.is(*place, &[",", ".", ";", "!", "?", "\n", "but", "because"]))
}

/// Whether one of these words stands shortly before `at`.
fn any_before(line: &Line, at: usize, words: &[&str]) -> bool {
    before(line, at).any(|place| line.is(place, words))
}

/// Somebody else is spoken of, or somebody is asked.
fn others(line: &Line, at: usize) -> bool {
    const OTHERS: [&str; 22] = [
        "he",
        "she",
        "they",
        "you",
        "who",
        "hes",
        "shes",
        "theyre",
        "youre",
        "coach",
        "mate",
        "friend",
        "friends",
        "buddy",
        "wife",
        "husband",
        "brother",
        "sister",
        "girlfriend",
        "boyfriend",
        "people",
        "partner",
    ];
    let first = before(line, at).last();
    let asked = first.is_some_and(|first| line.is(first, &["do", "does", "did", "should", "can"]));
    asked || any_before(line, at, &OTHERS)
}

/// `I compete`, `I don't compete any more`, `no plans to compete`, `I stopped competing`.
fn of_competing(line: &Line, at: usize) -> Option<(usize, Competes)> {
    const DENIALS: [&str; 20] = [
        "no", "not", "dont", "never", "wont", "stopped", "quit", "retired", "longer", "without",
        "cant", "didnt", "havent", "neither", "gave", "done", "wouldnt", "stop", "isnt", "used",
    ];
    const PLANS: [&str; 22] = [
        "plan",
        "plans",
        "planning",
        "planned",
        "going",
        "gonna",
        "want",
        "wanting",
        "hope",
        "hoping",
        "will",
        "ill",
        "like",
        "love",
        "prepping",
        "preparing",
        "training",
        "aim",
        "aiming",
        "intend",
        "decided",
        "ready",
    ];
    const SELF: [&str; 7] = ["i", "im", "ive", "we", "weve", "id", "ill"];
    if !line.is(at, &["compete", "competing", "competed"]) || others(line, at) {
        return None;
    }
    let from = before(line, at).last().unwrap_or(at);
    let any = |words: &[&str]| any_before(line, at, words);
    // "I used to compete and still do" goes on; "I still don't compete" does not.
    let still = any(&["still", "back", "again"]);
    if any(&DENIALS) && (!still || any(&["not", "dont"])) {
        return Some((from, Competes::No));
    }
    if line.is(at, &["competed"]) {
        return Some((from, Competes::Yes));
    }
    if any(&["thinking", "maybe", "might", "if", "whether", "could"]) {
        return None;
    }
    if any(&PLANS) {
        return Some((from, Competes::Planned));
    }
    let dated = line.is(at, &["competing"]) && line.is(at + 1, &["in", "on", "next", "this"]);
    if dated {
        return Some((from, Competes::Planned));
    }
    any(&SELF).then_some((from, Competes::Yes))
}

/// `I don't do meets`, `done with meets`, `planning a meet`, `signed up for a comp`.
fn of_a_meet(line: &Line, at: usize) -> Option<(usize, Competes)> {
    const CONTESTS: [&str; 7] = [
        "meet",
        "meets",
        "comp",
        "comps",
        "competition",
        "competitions",
        "contest",
    ];
    let behind = at.checked_sub(1).filter(|_| line.is(at, &CONTESTS))?;
    // "the meet", "a comp": a word of people meeting has none of these before it.
    if line.is(behind, &MEET_PEOPLE) || others(line, at) {
        return None;
    }
    let from = before(line, at).last().unwrap_or(at);
    let any = |words: &[&str]| any_before(line, at, words);
    let does = any(&["do", "doing", "enter", "entering", "done"]);
    if does
        && any(&[
            "not", "dont", "never", "no", "wont", "done", "stopped", "quit",
        ])
    {
        return Some((from, Competes::No));
    }
    let plans = any(&[
        "plan",
        "planning",
        "planned",
        "signed",
        "entered",
        "registered",
        "prepping",
        "preparing",
        "booked",
    ]);
    if any(&["not", "dont", "never", "no"]) {
        return plans.then_some((from, Competes::No));
    }
    plans.then_some((from, Competes::Planned))
}
