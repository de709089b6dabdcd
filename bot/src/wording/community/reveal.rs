//! The post of a reveal.

use super::{answer, cause_name, percent, points};
use crate::record::Challenge;
use crate::wording::{Words, verdict_causes};
use cueline_core::catalog::LiftBook;
use cueline_core::challenge::{Agreement, Answer, Key, Mark, named_by, split};

/// Causes of the community that a reveal lists.
const MOST_NAMED: usize = 6;
/// Alpha from which raters agree well, and from which conclusions may be drawn with care
/// (Krippendorff 2004, Content Analysis, section 11.4).
const AGREE: f64 = 0.8;
const AGREE_SOMEWHAT: f64 = 0.667;
/// Below this it is little more than chance (our judgement, no source).
const AGREE_LITTLE: f64 = 0.2;

/// What a reveal tells of.
#[derive(Debug)]
pub struct Revealed<'a> {
    /// The challenge.
    pub challenge: &'a Challenge,
    /// The coach's verdict.
    pub key: &'a Key,
    /// Answers that count.
    pub answers: &'a [Answer],
    /// Their marks, in the same order.
    pub marks: &'a [Mark],
    /// How far they agree.
    pub agreed: Option<Agreement>,
    /// The mark of the service's own sealed answer.
    pub own: &'a Mark,
}

/// The post of a reveal: the coach, the community, how far it agreed, where they part, and the
/// service's own answer. No member is named.
pub fn reveal(words: &Words, book: &LiftBook, of: &Revealed<'_>) -> String {
    let number = of.challenge.number.to_string();
    let coach = verdict_causes(words, book, &of.key.causes);
    let mut lines = vec![words.say(
        "challenge.reveal",
        &[
            ("number", &number),
            ("lift", of.challenge.lift.name()),
            ("coach", &coach),
        ],
    )];
    if of.answers.is_empty() {
        lines.push(words.say("challenge.reveal_nobody", &[]));
    } else {
        lines.push(said_by_most(words, book, of.answers));
        lines.push(agreed(words, of.agreed));
        lines.extend(apart(words, book, of));
        lines.push(best(words, of.marks));
    }
    let own = answer(words, book, &of.challenge.sealed);
    let own = own.lines().collect::<Vec<_>>().join("; ");
    lines.push(words.say(
        "challenge.reveal_own",
        &[("answer", &own), ("points", &points(of.own.total()))],
    ));
    lines.push(words.say("challenge.reveal_end", &[("number", &number)]));
    lines.join("\n")
}

/// The causes most named.
fn said_by_most(words: &Words, book: &LiftBook, answers: &[Answer]) -> String {
    let all = answers.len();
    let named: Vec<String> = named_by(answers)
        .iter()
        .take(MOST_NAMED)
        .map(|named| {
            words.say(
                "challenge.reveal_named",
                &[
                    ("cause", &cause_name(book, &named.cause)),
                    ("share", &percent(named.by as f64 / all as f64)),
                    ("first", &percent(named.first as f64 / all as f64)),
                ],
            )
        })
        .collect();
    words.say(
        "challenge.reveal_community",
        &[("count", &all.to_string()), ("named", &named.join("; "))],
    )
}

/// How far they agree, in words and as a figure with its interval.
fn agreed(words: &Words, agreed: Option<Agreement>) -> String {
    let Some(agreed) = agreed else {
        return words.say("challenge.agree_too_few", &[]);
    };
    let key = match agreed.alpha {
        alpha if alpha >= AGREE => "challenge.agree_well",
        alpha if alpha >= AGREE_SOMEWHAT => "challenge.agree_somewhat",
        alpha if alpha >= AGREE_LITTLE => "challenge.agree_little",
        _ => "challenge.agree_not",
    };
    let figure = |value: f64| format!("{value:.2}");
    words.say(
        key,
        &[
            ("alpha", &figure(agreed.alpha)),
            ("low", &figure(agreed.interval.low)),
            ("high", &figure(agreed.interval.high)),
        ],
    )
}

/// Where the community differs from the coach and from the service.
fn apart(words: &Words, book: &LiftBook, of: &Revealed<'_>) -> Vec<String> {
    let own = Key {
        causes: of
            .challenge
            .sealed
            .causes
            .iter()
            .map(|named| named.cause.clone())
            .collect(),
    };
    let mut lines = Vec::new();
    for (who, key) in [
        ("challenge.apart_coach", of.key),
        ("challenge.apart_own", &own),
    ] {
        let split = split(of.answers, key);
        let names = |ids: &[String]| {
            let names: Vec<String> = ids.iter().map(|id| cause_name(book, id)).collect();
            if names.is_empty() {
                words.say("challenge.apart_nothing", &[])
            } else {
                names.join(", ")
            }
        };
        if !split.missed.is_empty() || !split.added.is_empty() {
            lines.push(words.say(
                who,
                &[
                    ("missed", &names(&split.missed)),
                    ("added", &names(&split.added)),
                ],
            ));
        }
    }
    if lines.is_empty() {
        lines.push(words.say("challenge.apart_not", &[]));
    }
    lines
}

/// The best mark, how many have it, and the mean.
fn best(words: &Words, marks: &[Mark]) -> String {
    let totals: Vec<f64> = marks.iter().map(Mark::total).collect();
    let best = totals.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let with = totals.iter().filter(|total| best - **total < 1e-9).count();
    let mean = totals.iter().sum::<f64>() / totals.len().max(1) as f64;
    words.say(
        "challenge.reveal_best",
        &[
            ("best", &points(best)),
            ("count", &with.to_string()),
            ("mean", &points(mean)),
        ],
    )
}
