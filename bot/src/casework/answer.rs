//! Answers to the open question: by button, by number, by the choice's words, or free.

use super::intake::{hints, lifter};
use super::matching::is_set;
use super::progress::reopen;
use super::settle::settle;
use super::turn::Turn;
use super::{Known, outbox, quiet, several, wants, whose};
use crate::record::{Case, CaseState, Effects, Event, OpenQuestion, Part, Purpose};
use crate::wording::question_lines;
use cueline_core::assess::FIELD_QUESTION;
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::reading::{FlagLevel, read};
use cueline_core::report::Lift;
use jiff::Timestamp;

/// A button was pressed. The first valid press counts; a press by somebody else changes nothing.
pub(super) fn button(
    event: &Event,
    choice_id: &str,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let mut turn = Turn::new(event, known, now, lifter(event, known), effects);
    let case_id = known
        .ours
        .as_ref()
        .and_then(|message| message.case_id.as_ref());
    let Some(case) = known.cases.iter().find(|case| Some(&case.id) == case_id) else {
        return;
    };
    let open = case.body.open_question.as_ref();
    let chosen = outbox::button(choice_id).and_then(|(question, place)| {
        let open = open.filter(|open| open.id == question)?;
        open.choices.get(place - 1).cloned()
    });
    if let Some(choice) = chosen {
        let part = Part {
            message_id: event.key.id.clone(),
            text: choice.clone(),
        };
        turn.note(case, &part);
        apply(&mut turn, case.clone(), &choice);
    } else {
        let text = known.words.say("talk.taken_back_open", &[]);
        turn.reply("first", text, Some(case));
    }
}

/// A message where a question is open.
pub(super) fn text(turn: &mut Turn<'_>, mut case: Case, part: Part) {
    let Some(open) = case.body.open_question.clone() else {
        return;
    };
    if let Some(choice) = choice(&open, &part.text) {
        turn.note(&case, &part);
        apply(turn, case, &choice);
        return;
    }
    if quiet::does_not_know(&part.text) && !open.id.starts_with(FIELD_QUESTION) {
        turn.note(&case, &part);
        unknown(turn, case, &open);
        return;
    }
    let lift = case.lift;
    let said = if case.body.for_whom.is_some() {
        whose::as_own(&part.text)
    } else {
        part.text.clone()
    };
    let reading = read(&said, turn.known.catalog, hints(&turn.lifter, lift));
    let fields = &reading.fields;
    let settles = match open.id.strip_prefix(FIELD_QUESTION) {
        Some("lift") => fields.lift.is_some(),
        Some("load") => fields.load.is_some() || reading.bare_load.is_some(),
        Some("reps") => fields.reps.is_some() || whole_number(&part.text).is_some(),
        Some("load.unit") => fields.load.is_some(),
        Some("view") => fields.view.is_some(),
        _ => !reading.signs.is_empty(),
    };
    let told =
        fields.competes.is_some() || fields.training_months.is_some() || fields.age_band.is_some();
    let more = settles || told || !reading.signs.is_empty() || reading.level > FlagLevel::None;
    if !more {
        turn.note(&case, &part);
        let halted = turn.halted_elsewhere(&case).cloned();
        if let Some(halted) = halted.filter(|_| is_set(&reading)) {
            // Sets under a stop are no answer, and must not go unanswered.
            turn.say_halted(&halted);
            turn.keep(case);
            return;
        }
        // A question on the side of a running correction is not pressed.
        if case.state == CaseState::Asking && !open.repeated {
            ask_again(turn, &mut case);
        }
        turn.keep(case);
        return;
    }
    if let Some(field) = open.id.strip_prefix(FIELD_QUESTION).filter(|_| settles) {
        case.body.settled.push(field.to_owned());
        if field == "reps" && fields.reps.is_none() {
            case.body.report.reps = whole_number(&part.text);
        }
        // The answer outweighs what the first words left open.
        case.body.report = fields.clone().or(&case.body.report);
    }
    reopen(&mut case);
    case.body.parts.push(part);
    settle(turn, case, Vec::new());
}

/// The lifter cannot say: the choice for that, where there is one, else no more questions.
fn unknown(turn: &mut Turn<'_>, mut case: Case, open: &OpenQuestion) {
    let none = open.choices.iter().find(|choice| {
        let choice = choice.to_lowercase();
        choice.contains("do not know") || choice.contains("not sure")
    });
    if let Some(choice) = none {
        apply(turn, case, choice);
        return;
    }
    case.body.open_question = None;
    case.body.asked = u32::MAX;
    reopen(&mut case);
    settle(turn, case, Vec::new());
}

/// A text that is nothing but a whole number.
fn whole_number(text: &str) -> Option<u32> {
    text.trim().trim_end_matches(['.', '!']).parse().ok()
}

/// The choice a text names: its number, its words, or words that only one choice holds.
pub(super) fn choice(open: &OpenQuestion, text: &str) -> Option<String> {
    let said = text.trim().trim_end_matches(['.', '!']).to_lowercase();
    if let Some(number) = whole_number(&said).and_then(|number| usize::try_from(number).ok()) {
        return open.choices.get(number.checked_sub(1)?).cloned();
    }
    if let Some(set) = several::named(open, &said) {
        return Some(set);
    }
    let exact = open
        .choices
        .iter()
        .find(|choice| choice.to_lowercase() == said);
    if exact.is_some() {
        return exact.cloned();
    }
    if let Some(unit) = unit(&said).filter(|_| open.id == "field:load.unit") {
        let word = unit.to_string();
        let of_unit = |choice: &&String| choice.rsplit(' ').next() == Some(word.as_str());
        return open.choices.iter().find(of_unit).cloned();
    }
    let mut holding = open.choices.iter().filter(|choice| {
        let choice = choice.to_lowercase();
        said.len() >= 3 && (contains_word(&choice, &said) || contains_word(&said, &choice))
    });
    let first = holding.next()?;
    holding.next().is_none().then(|| first.clone())
}

/// `needle` stands in `text` between word boundaries.
fn contains_word(text: &str, needle: &str) -> bool {
    let outside = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
    text.match_indices(needle).any(|(at, found)| {
        let before = text.get(..at).and_then(|head| head.chars().next_back());
        let after = text
            .get(at + found.len()..)
            .and_then(|tail| tail.chars().next());
        outside(before) && outside(after)
    })
}

/// A unit as people write it.
fn unit(text: &str) -> Option<MassUnit> {
    match text {
        "kg" | "kgs" | "kilo" | "kilos" | "kilograms" | "kilogram" | "kilogrammes" => {
            Some(MassUnit::Kg)
        }
        "lb" | "lbs" | "pound" | "pounds" | "#" => Some(MassUnit::Lb),
        _ => None,
    }
}

/// Puts a chosen answer into the report and assesses again.
fn apply(turn: &mut Turn<'_>, mut case: Case, choice: &str) {
    let Some(open) = case.body.open_question.take() else {
        return;
    };
    turn.answering = true;
    if open.id.starts_with(wants::PROFILE) {
        wants::chosen(turn, case, &open, choice);
        return;
    }
    match open.id.strip_prefix(FIELD_QUESTION) {
        Some("load.unit") => {
            let bare = unit(&choice.to_lowercase()).zip(open.bare);
            let load = bare.map(|(unit, value)| Mass::new(value, unit));
            // Plates are asked about with what they make in each unit: "100 kg".
            let hints = hints(&turn.lifter, case.lift);
            let made = || read(choice, turn.known.catalog, hints).fields.load;
            case.body.report.load = load.or_else(made).or(case.body.report.load);
            case.body.settled.push("load.unit".to_owned());
        }
        Some(several::WHICH) => {
            several::chosen(turn, case, choice);
            return;
        }
        Some("lift") => {
            case.body.report.lift = Lift::ALL.into_iter().find(|lift| {
                choice.eq_ignore_ascii_case(lift.name()) || choice.eq_ignore_ascii_case(lift.word())
            });
        }
        Some(field) => {
            case.body.settled.push(field.to_owned());
            // "2 plates a side: 100 kg" settles what stands behind the colon.
            let said = choice.rsplit(": ").next().unwrap_or(choice);
            let hints = hints(&turn.lifter, case.lift);
            let fields = read(said, turn.known.catalog, hints).fields;
            case.body.report = fields.or(&case.body.report);
        }
        None => {
            case.body
                .report
                .answers
                .insert(open.id.clone(), choice.to_owned());
        }
    }
    reopen(&mut case);
    settle(turn, case, Vec::new());
}

/// Says the open question again, once: whoever talks of something else is left alone after that.
fn ask_again(turn: &mut Turn<'_>, case: &mut Case) {
    let Some(question) = &mut case.body.open_question else {
        return;
    };
    question.repeated = true;
    let words = turn.known.words;
    let said = question_lines(words, &question.text, &question.choices).join("\n");
    let text = words.say("talk.not_understood", &[("question", &said)]);
    turn.reply_with_buttons("first", text, case, Purpose::Reply);
}
