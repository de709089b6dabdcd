//! A fact about the lifter, asked for where it would change the plan. Which fact that is, the core
//! says; here it is asked: once each, one a case, never before the question of the diagnosis, and
//! never in a case that is stopped.

use super::answer::choice;
use super::matching::in_thread;
use super::plates_said::plates_said;
use super::profile_words::{Told, keep, with_plates};
use super::progress::reopen;
use super::quiet::does_not_know;
use super::settle::settle;
use super::turn::{Turn, problem_line};
use crate::record::{Case, CaseState, OpenQuestion, Part};
use crate::wording::{profile_facts, question_lines};
use cueline_core::assess::{Assessment, WantedFact, wanted_facts, without_small_plates};
use cueline_core::load::usual_plates;
use cueline_core::quantity::{Mass, MassUnit, TypedMass, plain};
use cueline_core::reading::{FlagLevel, Reading};
use cueline_core::report::{Best, Competes, Lift, SetReport, check};

/// What the id of such a question starts with.
pub(super) const PROFILE: &str = "profile:";
/// Longest text taken for an answer, in bytes.
const MOST_TEXT: usize = 80;

/// The fact's word in question ids.
const fn word(fact: WantedFact) -> &'static str {
    match fact {
        WantedFact::Best => "best",
        WantedFact::Competes => "competes",
        WantedFact::Plates => "plates",
    }
}

/// Asks for the fact that would change this plan most, unless something was asked already; the lines
/// to add to the reply. While the time zone is still to be asked for, only what loads hang on is.
pub(super) fn ask(
    turn: &mut Turn<'_>,
    case: &mut Case,
    assessment: &Assessment,
    zone_due: bool,
) -> Vec<String> {
    let body = &case.body;
    let asked = body.open_question.is_some() || body.profile_asked || body.for_whom.is_some();
    let (Some(lift), false) = (case.lift, asked) else {
        return Vec::new();
    };
    let name = |fact| match fact {
        WantedFact::Best => format!("{}:{}", word(fact), lift.word()),
        WantedFact::Competes | WantedFact::Plates => word(fact).to_owned(),
    };
    let mut wanted = wanted_facts(turn.known.catalog, assessment).into_iter();
    let known = &turn.lifter.profile.asked;
    let Some(fact) = wanted.find(|fact| !known.contains(&name(*fact))) else {
        return Vec::new();
    };
    if zone_due && fact != WantedFact::Best {
        return Vec::new();
    }
    turn.lifter.profile.asked.insert(name(fact));
    case.body.profile_asked = true;
    let unit = unit(turn, case);
    let question = question(turn, fact, lift, unit);
    let lines = question_lines(turn.known.words, &question.text, &question.choices);
    case.body.open_question = Some(question);
    lines
}

/// The question with its choices.
fn question(turn: &Turn<'_>, fact: WantedFact, lift: Lift, unit: MassUnit) -> OpenQuestion {
    let words = turn.known.words;
    let size = |least: Option<&(f64, u32)>| {
        let size = least.map_or(0.0, |(size, _)| *size);
        format!("{} {unit}", plain(size))
    };
    let (text, choices) = match fact {
        WantedFact::Best => (
            words.say("profile.ask_best", &[("lift", lift.name())]),
            Vec::new(),
        ),
        WantedFact::Competes => (
            words.say("profile.ask_competes", &[]),
            ["yes", "planned", "no"]
                .map(|key| words.say(&format!("profile.competes_{key}"), &[]))
                .to_vec(),
        ),
        WantedFact::Plates => {
            let smallest = size(usual_plates(unit).pairs.last());
            let least = size(without_small_plates(unit).pairs.last());
            let text = words.say("profile.ask_plates", &[("smallest", &smallest)]);
            let few = words.say("profile.plates_few", &[("least", &least)]);
            (text, vec![words.say("profile.plates_usual", &[]), few])
        }
    };
    OpenQuestion {
        id: format!("{PROFILE}{}", word(fact)),
        text,
        choices,
        bare: None,
        repeated: false,
    }
}

/// The unit of the set under review, else the lifter's.
fn unit(turn: &Turn<'_>, case: &Case) -> MassUnit {
    let rounds = case.body.rounds.last();
    let said = rounds.and_then(|round| round.report.load);
    let usual = turn.lifter.profile.unit;
    said.map(|load| load.unit).or(usual).unwrap_or(MassUnit::Kg)
}

/// Takes a text for the answer to such a question, where one is open and the text is one; false when
/// it is something else.
pub(super) fn answered(turn: &mut Turn<'_>, part: &Part, reading: &Reading) -> bool {
    let event = turn.event;
    let waits = |case: &&Case| {
        let open = case.body.open_question.as_ref();
        let here = event.thread_id.is_none()
            || in_thread(case, event)
            || case.thread_id == event.thread_id;
        case.state == CaseState::Practising
            && case.room_id == event.room_id
            && here
            && open.is_some_and(|open| open.id.starts_with(PROFILE))
    };
    let Some(case) = turn.known.cases.iter().find(waits).cloned() else {
        return false;
    };
    let Some(open) = case.body.open_question.clone() else {
        return false;
    };
    if part.text.len() > MOST_TEXT || reading.level > FlagLevel::None {
        return false;
    }
    if does_not_know(&part.text) {
        turn.note(&case, part);
        skipped(turn, case);
        return true;
    }
    let chosen =
        choice(&open, &part.text).and_then(|choice| of_choice(turn, &case, &open, &choice));
    let Some(told) = chosen.or_else(|| of_text(turn, &case, &open, &part.text, reading)) else {
        return false;
    };
    turn.note(&case, part);
    take(turn, case, &told);
    true
}

/// A button or a choice of such a question.
pub(super) fn chosen(turn: &mut Turn<'_>, case: Case, open: &OpenQuestion, choice: &str) {
    match of_choice(turn, &case, open, choice) {
        Some(told) => take(turn, case, &told),
        None => skipped(turn, case),
    }
}

/// The lifter would rather not say, or cannot.
fn skipped(turn: &mut Turn<'_>, mut case: Case) {
    case.body.open_question = None;
    let text = turn.known.words.say("profile.skipped", &[]);
    turn.reply("first", text, Some(&case));
    turn.keep(case);
}

/// What a choice says.
fn of_choice(turn: &Turn<'_>, case: &Case, open: &OpenQuestion, choice: &str) -> Option<Told> {
    let place = open.choices.iter().position(|known| known == choice)?;
    let fact = open.id.strip_prefix(PROFILE)?;
    let report = SetReport::default();
    match (fact, place) {
        ("competes", _) => {
            let competes = [Competes::Yes, Competes::Planned, Competes::No];
            Some(Told::of(SetReport {
                competes: competes.get(place).copied(),
                ..report
            }))
        }
        ("plates", 0) => Some(Told {
            usual_plates: true,
            ..Told::default()
        }),
        ("plates", _) => Some(Told::of(SetReport {
            plates: Some(without_small_plates(unit(turn, case))),
            ..report
        })),
        _ => None,
    }
}

/// What a free answer says; none when it is no answer.
fn of_text(
    turn: &Turn<'_>,
    case: &Case,
    open: &OpenQuestion,
    text: &str,
    reading: &Reading,
) -> Option<Told> {
    match open.id.strip_prefix(PROFILE)? {
        "best" => {
            let mass = best(text, reading, unit(turn, case))?;
            Some(Told::of(SetReport {
                lift: case.lift,
                best: Some(Best {
                    value: mass.value,
                    unit: mass.unit,
                    date: None,
                    tested: None,
                }),
                ..SetReport::default()
            }))
        }
        "competes" => {
            let competes = Some(reading.fields.competes?);
            Some(Told::of(SetReport {
                competes,
                ..SetReport::default()
            }))
        }
        "plates" => with_plates(turn, &plates_said(text)?).ok(),
        _ => None,
    }
}

/// A best single said as an answer: one load and nothing of a set.
fn best(text: &str, reading: &Reading, unit: MassUnit) -> Option<Mass> {
    const AROUND: [&str; 22] = [
        "about", "around", "roughly", "maybe", "it", "its", "is", "my", "best", "max", "1rm", "pr",
        "single", "was", "i", "did", "think", "probably", "like", "a", "at", "once",
    ];
    let lower = text.to_lowercase().replace(['\'', '\u{2019}', '~'], "");
    let figure: Vec<&str> = lower
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !(c.is_alphanumeric() || c == '#')))
        .filter(|word| !word.is_empty() && !AROUND.contains(word))
        .collect();
    if let Some(typed) = TypedMass::read(&figure.concat()) {
        return typed.mass(Some(unit));
    }
    let fields = &reading.fields;
    if fields.reps.is_some() || fields.effort.is_some() || !reading.signs.is_empty() {
        return None;
    }
    let said = fields.best.as_ref().map(Best::mass);
    let bare = reading.bare_best.map(|value| Mass::new(value, unit));
    said.or(bare)
}

/// Keeps the fact, and works the set out anew with it.
fn take(turn: &mut Turn<'_>, mut case: Case, told: &Told) {
    let words = turn.known.words;
    let last = case.body.rounds.last().map(|round| round.report.clone());
    let beside = last.unwrap_or_default();
    let together = SetReport {
        lift: case.lift,
        load: beside.load,
        reps: beside.reps,
        ..told.report.clone()
    };
    if let Err(problems) = check(&together) {
        let lines: Vec<String> = problems.iter().map(|p| problem_line(words, p)).collect();
        turn.reply("first", lines.join("\n"), Some(&case));
        turn.keep(case);
        return;
    }
    keep(turn, told);
    case.body.open_question = None;
    let facts = profile_facts(words, &told.report, told.unit, told.usual_plates).join("; ");
    let whole = case.body.parts.iter().all(|part| !part.text.is_empty());
    if case.body.parts.is_empty() || !whole || told.usual_plates {
        // The set cannot be read again, or nothing in it changes.
        let text = words.say("profile.kept", &[("facts", &facts)]);
        turn.reply("first", text, Some(&case));
        turn.keep(case);
        return;
    }
    let said = words.say("profile.kept_now", &[("facts", &facts)]);
    turn.answering = true;
    reopen(&mut case);
    settle(turn, case, vec![said]);
}
