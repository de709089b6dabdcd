//! Figures of another day or of somebody else, beside the set the text is about: "last month 160kg
//! but today 140kg", "planning to try 150kg on saturday, today 135kg 3x3".

use super::line::Line;
use super::sets::LOAD_FROM;

/// What is planned, was once, is only a bound, or is lifted by another.
const ELSEWHEN: [&str; 77] = [
    "warmup",
    "warmups",
    "warm up",
    "warm ups",
    "warming up",
    "warmed up",
    "planned for",
    "planned on",
    "going for",
    "next one is",
    "want to hit",
    "planning to",
    "planning on",
    "plan to",
    "plan is",
    "going to try",
    "gonna try",
    "want to try",
    "wanna try",
    "will try",
    "ill try",
    "hope to",
    "hoping to",
    "thinking of",
    "thinking about",
    "aim to",
    "should i try",
    "should i go",
    "next week",
    "next time",
    "next session",
    "next month",
    "next block",
    "next up",
    "tomorrow",
    "last week",
    "last month",
    "last year",
    "last summer",
    "last winter",
    "last spring",
    "last autumn",
    "last fall",
    "last time",
    "last session",
    "last block",
    "last cycle",
    "last comp",
    "last meet",
    "weeks ago",
    "week ago",
    "months ago",
    "month ago",
    "years ago",
    "year ago",
    "wks ago",
    "a while ago",
    "a while back",
    "used to",
    "previously",
    "back in",
    "before my injury",
    "before the injury",
    "before surgery",
    "go above",
    "goes above",
    "get above",
    "anything above",
    "anything over",
    "go over",
    "goes over",
    "heavier than",
    "my mate",
    "my buddy",
    "my friend",
    "my brother",
    "training partner",
];

/// Marks as read what belongs elsewhen, where another clause tells a load of its own.
pub(super) fn take(line: &mut Line) {
    if line.find(&ELSEWHEN).is_none() {
        return;
    }
    let clauses = clauses(line);
    let (mut cued, mut kept) = (Vec::new(), false);
    for (from, to) in clauses {
        let loads = (from..to).any(|at| load(line, at));
        if !loads {
            continue;
        }
        let bound =
            (from..to).any(|at| line.any_phrase(at, &ELSEWHEN).is_some_and(|end| end <= to));
        if bound {
            cued.push((from, to));
        } else {
            kept = true;
        }
    }
    for (from, to) in cued.into_iter().filter(|_| kept) {
        for at in from..to {
            if line.number(at).is_some() || line.unit(at).is_some() || line.is(at, &["x", "*"]) {
                line.take(at, at + 1);
            }
        }
    }
}

/// Whether a figure may be a load.
fn load(line: &Line, at: usize) -> bool {
    line.digits(at).is_some_and(|value| {
        !line.is_used(at)
            && (line.unit_after(at).is_some()
                || (value >= LOAD_FROM
                    && !line.is(at + 1, &["%", "percent", "min", "mins", "sec", "cm", "mm"])))
    })
}

/// The clauses of a text, `[from, to)` in tokens; "today" and "now" begin one.
fn clauses(line: &Line) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut from = 0;
    for at in 0..line.len() {
        let begins = line.is(
            at,
            &[
                ",",
                ".",
                ";",
                "!",
                "?",
                "\n",
                "(",
                ")",
                "but",
                "while",
                "then",
                "today",
                "now",
                "tonight",
                "currently",
            ],
        );
        if begins {
            out.push((from, at));
            from = at;
        }
    }
    out.push((from, line.len()));
    out
}
