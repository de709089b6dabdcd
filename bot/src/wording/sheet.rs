//! The review sheet in words: one card a case, and the whole in parts that fit a chat message.

use super::{Words, escape, figures};
use crate::record::{Given, Round, Sheet, SheetCard, SheetLine};
use cueline_core::catalog::{Catalog, LiftBook};
use cueline_core::outcome::Verdict;
use cueline_core::plan::Plan;
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::report::Lift;
use jiff::Timestamp;

/// Longest part, in code points; a platform takes 4,000.
const MOST_PART: usize = 3_800;
/// Most causes of the bot's view on a card.
const MOST_CAUSES: usize = 3;

/// What a card is made of.
#[derive(Clone, Copy, Debug)]
pub struct CardParts<'a> {
    /// The case.
    pub line: &'a SheetLine,
    /// The work that would follow from its last set.
    pub plan: Option<&'a Plan>,
    /// The challenge whose text others may see.
    pub showable: Option<i64>,
    /// Minute at which it begins.
    pub at_minute: u32,
    /// Minutes it is given.
    pub minutes: u32,
    /// Now.
    pub now: Timestamp,
}

/// One card.
pub fn sheet_card(words: &Words, catalog: &Catalog, parts: &CardParts<'_>) -> SheetCard {
    let line = parts.line;
    let case = &line.case;
    let book = case.lift.and_then(|lift| catalog.lifts.get(&lift));
    let last = case.body.rounds.last();
    SheetCard {
        case_id: case.id.clone(),
        number: case.number,
        lifter_name: escape(&line.lifter_name),
        lift: case.lift.map_or("set", Lift::name).to_owned(),
        at_minute: parts.at_minute,
        minutes: parts.minutes,
        showable: parts.showable,
        carried_over: line.carried_since.is_some() && line.item.is_some(),
        why: why(words, parts),
        points: last
            .zip(book)
            .map(|(round, book)| points(words, book, line, round))
            .unwrap_or_default(),
        show: last
            .map(|round| show(words, book, line, round))
            .unwrap_or_default(),
        loads: last
            .map(|round| loads(words, round, parts))
            .unwrap_or_default(),
    }
}

/// Why a case is on the sheet.
fn why(words: &Words, parts: &CardParts<'_>) -> Vec<String> {
    let Some(item) = &parts.line.item else {
        return vec![words.say("sheet.why_answered", &[])];
    };
    let mut why: Vec<String> = item
        .reasons
        .iter()
        .map(|reason| escape(&reason.why))
        .collect();
    match item.promised {
        Some(at) if at < parts.now => why.push(words.say("sheet.why_overdue", &[])),
        _ => {}
    }
    why
}

/// A sign's meaning for the coach.
fn meanings(book: &LiftBook, signs: &[String]) -> String {
    let known = signs.iter().filter_map(|id| book.sign(id));
    let meanings: Vec<String> = known.map(|sign| sign.meaning.clone()).collect();
    meanings.join("; ")
}

/// What to talk about: what was seen, the bot's view, what was tried and what came of it.
fn points(words: &Words, book: &LiftBook, line: &SheetLine, round: &Round) -> Vec<String> {
    let mut points = Vec::new();
    if !round.present.is_empty() {
        let signs = meanings(book, &round.present);
        points.push(words.say("sheet.signs", &[("signs", &signs)]));
    }
    let view: Vec<String> = round
        .beliefs
        .iter()
        .take(MOST_CAUSES)
        .filter_map(|(id, p)| Some(format!("{} ({:.0} %)", book.cause(id)?.meaning, p * 100.0)))
        .collect();
    if !view.is_empty() {
        points.push(words.say("sheet.view", &[("causes", &view.join("; "))]));
    }
    points.extend(
        line.case
            .body
            .given
            .iter()
            .filter_map(|given| tried(words, book, given)),
    );
    let untried = round
        .chosen
        .iter()
        .find(|cause| {
            line.case
                .body
                .given
                .iter()
                .all(|given| given.cause != **cause)
        })
        .and_then(|cause| book.correction(cause))
        .filter(|_| !round.level.stops());
    if let Some(correction) = untried.filter(|correction| !correction.cue.is_empty()) {
        points.push(words.say("sheet.cue", &[("cue", &correction.cue)]));
    }
    points
}

/// A correction and what came of it.
fn tried(words: &Words, book: &LiftBook, given: &Given) -> Option<String> {
    let cause = &book.cause(&given.cause)?.meaning;
    let outcome = match given.outcome {
        Some(Verdict::Gone) => "it worked",
        Some(Verdict::Better) => "better",
        Some(Verdict::Same) => "as before",
        Some(Verdict::Worse) => "worse",
        Some(Verdict::CannotTell) => "cannot tell",
        None => "still practised",
    };
    Some(words.say("sheet.tried", &[("cause", cause), ("outcome", outcome)]))
}

/// What to show: the sets in order, the view, the clip.
fn show(words: &Words, book: Option<&LiftBook>, line: &SheetLine, round: &Round) -> Vec<String> {
    let mut show = Vec::new();
    let rounds = &line.case.body.rounds;
    if let [first, .., last] = rounds.as_slice() {
        let values = [
            ("before", figures::work(&first.report)),
            ("now", figures::work(&last.report)),
        ];
        let values = values
            .each_ref()
            .map(|(name, value)| (*name, value.as_str()));
        show.push(words.say("sheet.before_after", &values));
        // What was never there is not there any more either, and says nothing.
        let was = |sign: &&String| rounds.iter().any(|round| round.present.contains(sign));
        let gone: Vec<String> = last.absent.iter().filter(was).cloned().collect();
        if let Some(book) = book.filter(|_| !gone.is_empty()) {
            let signs = meanings(book, &gone);
            show.push(words.say("sheet.gone", &[("signs", &signs)]));
        }
    }
    if let Some(view) = round.report.view {
        let view = figures::view_name(view);
        show.push(words.say("sheet.seen_from", &[("view", &view)]));
    }
    if let Some(clip) = &round.report.clip {
        show.push(words.say("sheet.clip", &[("clip", &escape(clip))]));
    }
    show
}

/// The loads: of the set, the best single, and of the work that would follow.
fn loads(words: &Words, round: &Round, parts: &CardParts<'_>) -> Vec<String> {
    let mut loads = vec![words.say("sheet.set", &[("set", &figures::work(&round.report))])];
    let unit = round.report.load.map_or(MassUnit::Kg, |load| load.unit);
    if let Some((kg, low, high)) = round.estimate_kg {
        let shown = |kg: f64| Mass::new(Mass::from_kg(kg, unit).value.round(), unit).both();
        let percent = round
            .report
            .load
            .map_or_else(String::new, |load| format!("{:.0}", 100.0 * load.kg() / kg));
        let values = [
            ("estimate", shown(kg)),
            ("low", shown(low)),
            ("high", shown(high)),
            ("percent", percent),
        ];
        let values = values
            .each_ref()
            .map(|(name, value)| (*name, value.as_str()));
        loads.push(words.say("sheet.best", &values));
    }
    let practice = parts.plan.iter().flat_map(|plan| &plan.changes).take(1);
    for dose in practice.flat_map(|change| &change.practice) {
        let load = figures::loads(dose).map_or_else(String::new, |load| format!(", {load}"));
        let values = [
            ("exercise", dose.exercise.as_str()),
            ("dose", &figures::dose(dose)),
            ("load", &load),
        ];
        loads.push(words.say("sheet.practise", &values));
    }
    loads
}

/// The sheet as chat text, in parts that a platform takes; a card is never torn unless it is
/// longer than a part by itself.
pub fn sheet_text(words: &Words, sheet: &Sheet) -> Vec<String> {
    let mut blocks = vec![sheet_notes(words, sheet).join("\n")];
    blocks.extend(sheet.cards.iter().map(|card| card_text(words, card)));
    blocks.extend(left_out(words, sheet));
    parts(&blocks)
}

/// One card as chat text.
fn card_text(words: &Words, card: &SheetCard) -> String {
    let mut lines = vec![card_head(words, card)];
    if card.carried_over {
        lines.push(words.say("sheet.carried", &[]));
    }
    lines.push(showing(words, card));
    if !card.why.is_empty() {
        lines.push(words.say("sheet.why", &[("why", &card.why.join("; "))]));
    }
    let rest = card.points.iter().chain(&card.show).chain(&card.loads);
    lines.extend(rest.map(|line| format!("- {line}")));
    lines.join("\n")
}

/// What of a card others may see.
pub fn showing(words: &Words, card: &SheetCard) -> String {
    match card.showable {
        Some(number) => words.say("sheet.may_show", &[("number", &number.to_string())]),
        None => words.say("sheet.not_for_showing", &[]),
    }
}

/// The sheet as a Markdown document, with everything its page holds.
pub fn sheet_document(words: &Words, sheet: &Sheet, day: &str) -> String {
    let mut lines = vec![words.say("sheet.title", &[("day", day)])];
    let mut block = |text: String| lines.extend([String::new(), text]);
    for text in sheet_notes(words, sheet) {
        block(text);
    }
    for card in &sheet.cards {
        block(format!("## {}", card_head(words, card).replace("**", "")));
        block(showing(words, card));
        let carried = card.carried_over.then(|| words.say("sheet.carried", &[]));
        let why = (!card.why.is_empty())
            .then(|| words.say("sheet.why", &[("why", &card.why.join("; "))]));
        carried.into_iter().chain(why).for_each(&mut block);
        for (title, texts) in card_lists(words, card) {
            block(format!("### {title}"));
            let items: Vec<String> = texts.iter().map(|text| format!("- {text}")).collect();
            block(items.join("\n"));
        }
    }
    if let Some(text) = left_out(words, sheet) {
        block(text);
    }
    lines.push(String::new());
    lines.join("\n")
}

/// The lists of a card that hold anything, each with its title.
pub fn card_lists<'a>(words: &Words, card: &'a SheetCard) -> Vec<(String, &'a [String])> {
    let lists = [
        ("sheet.points_title", &card.points),
        ("sheet.show_title", &card.show),
        ("sheet.loads_title", &card.loads),
    ];
    lists
        .into_iter()
        .filter(|(_, texts)| !texts.is_empty())
        .map(|(key, texts)| (words.say(key, &[]), texts.as_slice()))
        .collect()
}

/// What stands above the cards: cases stopped for safety, and how much of the time is filled.
fn sheet_notes(words: &Words, sheet: &Sheet) -> Vec<String> {
    let stopped = (!sheet.stopped.is_empty())
        .then(|| words.say("sheet.stopped", &[("numbers", &numbers(&sheet.stopped))]));
    let head = if sheet.cards.is_empty() {
        words.say("sheet.empty", &[])
    } else {
        words.say(
            "sheet.head",
            &[
                ("count", &sheet.cards.len().to_string()),
                ("filled", &sheet.filled.to_string()),
                ("minutes", &sheet.minutes.to_string()),
            ],
        )
    };
    stopped.into_iter().chain([head]).collect()
}

/// What there was no time for.
fn left_out(words: &Words, sheet: &Sheet) -> Option<String> {
    let numbers = numbers(&sheet.left_out);
    (!sheet.left_out.is_empty()).then(|| words.say("sheet.left_out", &[("numbers", &numbers)]))
}

/// Numbers one after another.
fn numbers(numbers: &[i64]) -> String {
    let texts: Vec<String> = numbers.iter().map(i64::to_string).collect();
    texts.join(", ")
}

/// The first line of a card.
fn card_head(words: &Words, card: &SheetCard) -> String {
    words.say(
        "sheet.card",
        &[
            ("minute", &card.at_minute.to_string()),
            ("number", &card.number.to_string()),
            ("name", &card.lifter_name),
            ("lift", &card.lift),
            ("minutes", &card.minutes.to_string()),
        ],
    )
}

/// Blocks put together into as few parts as hold them.
fn parts(blocks: &[String]) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    let length = |text: &str| text.chars().count();
    for block in blocks {
        match parts.last_mut() {
            Some(part) if length(part) + length(block) + 2 <= MOST_PART => {
                part.push_str("\n\n");
                part.push_str(block);
            }
            _ => {
                let letters: Vec<char> = block.chars().collect();
                parts.extend(
                    letters
                        .chunks(MOST_PART)
                        .map(|piece| piece.iter().collect()),
                );
            }
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cards_are_put_together_and_none_is_torn() {
        let cards: Vec<String> = (0..9)
            .map(|n| format!("card {n} {}", "x".repeat(990)))
            .collect();
        let parts = parts(&cards);
        assert_eq!(parts.len(), 3);
        assert!(parts.iter().all(|part| part.chars().count() <= 4_000));
        let whole = parts.join("\n\n");
        assert!(cards.iter().all(|card| whole.contains(card)));
    }

    #[test]
    fn a_card_longer_than_a_message_is_cut_and_nothing_of_it_lost() {
        let card = "é".repeat(9_000);
        let parts = parts(std::slice::from_ref(&card));
        assert_eq!(parts.concat(), card);
        assert!(parts.iter().all(|part| part.chars().count() <= 4_000));
    }
}
