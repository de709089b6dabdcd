//! Challenges in words: what is posted of a set, what was understood of an answer, the reveal, a
//! mark, the standing.

use super::{Words, cause_list, escape, figures, verdict_causes};
use crate::record::{AnswerState, Challenge, ChallengeAnswer, Round, SeasonSum};
use cueline_core::catalog::{Catalog, LiftBook};
use cueline_core::challenge::{
    Agreement, Answer, ExerciseVerdict, Key, Mark, Place, Spoken, named_by, split,
};
use cueline_core::quantity::{MassUnit, plain};
use cueline_core::report::Lift;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

pub use super::works::{Overview, common_faults, compared, what_works, works_csv, works_svg};

/// Causes of the community that a reveal lists.
const MOST_NAMED: usize = 6;
/// Lines of a standing.
const MOST_PLACES: usize = 10;
/// Challenges listed.
const MOST_LISTED: usize = 15;

/// Alpha from which raters agree well, and from which conclusions may be drawn with care
/// (Krippendorff 2004, Content Analysis, section 11.4).
const AGREE: f64 = 0.8;
const AGREE_SOMEWHAT: f64 = 0.667;
/// Below this it is little more than chance (our judgement, no source).
const AGREE_LITTLE: f64 = 0.2;

/// A closing time in the coach's zone: `Friday 6 March 18:00 (UTC+01:00)`.
pub fn closing_time(zone: &TimeZone, at: Timestamp) -> String {
    let offset = zone.to_offset(at).seconds() / 60;
    let sign = if offset < 0 { '-' } else { '+' };
    let (hours, minutes) = (offset.abs() / 60, offset.abs() % 60);
    let local = zone.to_datetime(at).strftime("%A %-d %B %H:%M");
    format!("{local} (UTC{sign}{hours:02}:{minutes:02})")
}

/// What is posted of a set: coarse facts and catalog words only, no name, no date, nothing the lifter
/// wrote.
pub fn card(
    words: &Words,
    catalog: &Catalog,
    number: i64,
    lift: Lift,
    round: &Round,
    closes: &str,
) -> String {
    let report = &round.report;
    let mut facts = Vec::new();
    if let (Some(load), Some(reps)) = (report.load, report.reps) {
        let share = round
            .estimate_kg
            .filter(|(best, ..)| *best > 0.0)
            .map(|(best, ..)| {
                let share = (load.kg() / best * 20.0).round() * 5.0;
                words.say("challenge.card_share", &[("share", &plain(share))])
            })
            .unwrap_or_default();
        // To the nearest 10 kg or 20 lb: enough to judge by, too coarse to know somebody by.
        let step = if load.unit == MassUnit::Lb {
            20.0
        } else {
            10.0
        };
        let coarse = (load.value / step).round() * step;
        let about = format!("{} {}", plain(coarse), load.unit);
        let effort = report
            .effort
            .map(|effort| format!(" at {}", figures::effort(effort)))
            .unwrap_or_default();
        facts.push(words.say(
            "challenge.card_set",
            &[
                ("load", &about),
                ("reps", &reps.to_string()),
                ("effort", &effort),
                ("share", &share),
            ],
        ));
    }
    if let Some(months) = report.training_months {
        let key = match months {
            0..12 => "challenge.card_new",
            12..36 => "challenge.card_some",
            _ => "challenge.card_long",
        };
        facts.push(words.say(key, &[]));
    }
    if let Some(view) = report.view {
        let view = figures::view_name(view);
        facts.push(words.say("challenge.card_view", &[("view", &view)]));
    }
    let signs = |ids: &[String]| {
        let book = catalog.lifts.get(&lift);
        let told: Vec<String> = ids
            .iter()
            .filter_map(|id| book?.sign(id))
            .filter(|sign| !sign.pain)
            .map(|sign| sign.meaning.clone())
            .collect();
        told.join("; ")
    };
    for (key, ids) in [
        ("challenge.card_seen", &round.present),
        ("challenge.card_not_seen", &round.absent),
    ] {
        let told = signs(ids);
        if !told.is_empty() {
            facts.push(words.say(key, &[("signs", &told)]));
        }
    }
    words.say(
        "challenge.card",
        &[
            ("number", &number.to_string()),
            ("lift", lift.name()),
            ("facts", &facts.join("\n")),
            ("closes", closes),
        ],
    )
}

/// The question to the lifter, with the exact text.
pub fn consent(words: &Words, challenge: &Challenge) -> String {
    words.say(
        "challenge.consent",
        &[
            ("number", &challenge.number.to_string()),
            ("text", &challenge.body.text),
            ("closes", &challenge.body.closes),
        ],
    )
}

/// Challenges, one a line.
pub fn list(words: &Words, challenges: &[&Challenge]) -> String {
    if challenges.is_empty() {
        return words.say("challenge.none_open", &[]);
    }
    let lines: Vec<String> = challenges
        .iter()
        .take(MOST_LISTED)
        .map(|challenge| {
            words.say(
                "challenge.line",
                &[
                    ("number", &challenge.number.to_string()),
                    ("lift", challenge.lift.name()),
                    ("state", challenge.state.word()),
                    ("closes", &challenge.body.closes),
                ],
            )
        })
        .collect();
    format!("{}\n{}", words.say("challenge.list", &[]), lines.join("\n"))
}

/// A cause by its name, or its id when the catalog does not know it any more.
pub(super) fn cause_name(book: &LiftBook, id: &str) -> String {
    book.cause(id)
        .map_or_else(|| format!("`{id}`"), |cause| cause.meaning.clone())
}

/// A share as a percentage.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// An answer, said back.
fn answer(words: &Words, book: &LiftBook, answer: &Answer) -> String {
    let mut lines: Vec<String> = (1..)
        .zip(answer.forecast())
        .map(|(place, (cause, sure))| {
            let name = cause_name(book, cause);
            let place = format!("{place}");
            let said = answer
                .causes
                .iter()
                .any(|named| named.cause == cause && named.confidence.is_some());
            let key = if said {
                "challenge.cause_sure"
            } else {
                "challenge.cause_implied"
            };
            words.say(
                key,
                &[
                    ("place", &place),
                    ("cause", &name),
                    ("sure", &percent(sure)),
                ],
            )
        })
        .collect();
    if !answer.cue.is_empty() {
        let cue = escape(&answer.cue);
        lines.push(words.say("challenge.cue", &[("cue", &cue)]));
    }
    if let Some(exercise) = &answer.exercise {
        let load = exercise
            .percent
            .map(|percent| {
                let rounded = |value: f64| plain(value.round());
                let (low, high) = (rounded(percent.low), rounded(percent.high));
                let span = if low == high {
                    low
                } else {
                    format!("{low}-{high}")
                };
                words.say("challenge.exercise_load", &[("percent", &span)])
            })
            .unwrap_or_default();
        let key = if exercise.corrects.is_some() {
            "challenge.exercise"
        } else {
            "challenge.exercise_free"
        };
        let name = escape(&exercise.exercise);
        lines.push(words.say(key, &[("exercise", &name), ("load", &load)]));
    }
    lines.join("\n")
}

/// What was understood of an answer, and what was not.
pub fn understood(words: &Words, catalog: &Catalog, lift: Lift, spoken: &Spoken) -> String {
    let Some(book) = catalog.lifts.get(&lift) else {
        return String::new();
    };
    let mut lines = vec![answer(words, book, &spoken.answer)];
    for (said, cause) in &spoken.from_signs {
        let name = cause_name(book, cause);
        let said = escape(said);
        lines.push(words.say("challenge.from_sign", &[("said", &said), ("cause", &name)]));
    }
    let unclear = unclear(words, catalog, lift, spoken);
    if !unclear.is_empty() {
        lines.push(unclear);
    }
    lines.join("\n")
}

/// What was not understood, with what is nearest to it.
pub fn unclear(words: &Words, catalog: &Catalog, lift: Lift, spoken: &Spoken) -> String {
    let book = catalog.lifts.get(&lift);
    let lines: Vec<String> = spoken
        .unclear
        .iter()
        .map(|unclear| {
            let said = escape(&unclear.said);
            let nearest = book
                .filter(|_| !unclear.nearest.is_empty())
                .map(|book| {
                    let list = cause_list(book, &unclear.nearest);
                    words.say("challenge.nearest", &[("nearest", &list)])
                })
                .unwrap_or_default();
            words.say(
                "challenge.unclear",
                &[("said", &said), ("nearest", &nearest)],
            )
        })
        .collect();
    lines.join("\n")
}

/// A member's own answer with its mark, if it has one.
pub fn own_answer(
    words: &Words,
    catalog: &Catalog,
    challenge: &Challenge,
    mine: &ChallengeAnswer,
) -> String {
    let Some(book) = catalog.lifts.get(&challenge.lift) else {
        return String::new();
    };
    let number = challenge.number.to_string();
    let said = answer(words, book, &mine.answer);
    let mut lines = vec![words.say(
        "challenge.my_answer",
        &[("number", &number), ("answer", &said)],
    )];
    if mine.state == AnswerState::Held {
        lines.push(words.say("challenge.my_answer_held", &[("why", &mine.why)]));
    }
    if let (Some(given), Some(key)) = (&mine.mark, &challenge.body.key) {
        lines.push(mark(
            words,
            book,
            challenge.number,
            &mine.answer,
            key,
            given,
        ));
    }
    lines.join("\n")
}

/// Points as said.
pub(super) fn points(value: f64) -> String {
    // No minus before a nought.
    let rounded = value.round();
    plain(if rounded == 0.0 { 0.0 } else { rounded })
}

/// A member's mark and why.
pub fn mark(
    words: &Words,
    book: &LiftBook,
    number: i64,
    answer: &Answer,
    key: &Key,
    mark: &Mark,
) -> String {
    let causes: Vec<String> = answer
        .forecast()
        .map(|(cause, sure)| {
            let text = if key.holds(cause) {
                "challenge.mark_right"
            } else {
                "challenge.mark_wrong"
            };
            let name = cause_name(book, cause);
            words.say(text, &[("cause", &name), ("sure", &percent(sure))])
        })
        .collect();
    let exercise = match mark.exercise_verdict {
        ExerciseVerdict::None => "challenge.mark_exercise_none",
        ExerciseVerdict::FitsSafe => "challenge.mark_exercise_fits",
        ExerciseVerdict::FitsNoLoad => "challenge.mark_exercise_no_load",
        ExerciseVerdict::OffTarget => "challenge.mark_exercise_off",
        ExerciseVerdict::Unsafe => "challenge.mark_exercise_unsafe",
    };
    words.say(
        "challenge.mark",
        &[
            ("number", &number.to_string()),
            ("total", &points(mark.total())),
            ("causes", &points(mark.causes)),
            ("why", &causes.join("; ")),
            ("first", &points(mark.first)),
            ("exercise", &points(mark.exercise)),
            ("exercise_why", &words.say(exercise, &[])),
            ("coach", &verdict_causes(words, book, &key.causes)),
        ],
    )
}

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

/// The table of a season; `own` adds that member's line wherever it stands.
pub fn standing(
    words: &Words,
    first: Option<Date>,
    places: &[Place],
    sums: &[SeasonSum],
    own: Option<&str>,
    least: usize,
) -> String {
    let since = first.map(figures::day).unwrap_or_default();
    let least = least.to_string();
    let mut lines = vec![words.say(
        "challenge.standing",
        &[("since", &since), ("least", &least)],
    )];
    let line = |place: &Place| {
        let name = sums
            .iter()
            .find(|sum| sum.person_id == place.member)
            .map_or(place.member.as_str(), |sum| sum.name.as_str());
        words.say(
            "challenge.standing_line",
            &[
                ("place", &place.place.to_string()),
                ("name", &escape(name)),
                ("level", &points(place.level)),
                ("spread", &points(place.spread)),
                ("entries", &place.entries.to_string()),
            ],
        )
    };
    lines.extend(places.iter().take(MOST_PLACES).map(line));
    if places.is_empty() {
        lines.push(words.say("challenge.standing_empty", &[("least", &least)]));
    }
    let below = own.and_then(|own| {
        let mut rest = places.iter().skip(MOST_PLACES);
        rest.find(|place| place.member == own)
    });
    lines.extend(below.map(line));
    lines.join("\n")
}
