//! The review sheet: which cases the coach looks at in the session, in what order, and what each
//! card needs. Pure; the desk and the chat show the same sheet.

mod choose;
#[cfg(test)]
mod tests;

use self::choose::{MOST_OFFERS, Offer, choose};
use super::coach::me;
use super::speech::CoachWord;
use super::turn::Turn;
use super::{Rules, outbox, times};
use crate::record::{CaseState, Round, Sheet, SheetDrawn, SheetLine};
use crate::wording::{CardParts, Words, sheet_card, sheet_text};
use cueline_core::catalog::{Catalog, Stage};
use cueline_core::load::estimate_on;
use cueline_core::outcome::Verdict;
use cueline_core::plan::{self, Plan};
use cueline_core::report::{AgeBand, Lift};
use jiff::{SignedDuration, Timestamp};
use std::ops::RangeInclusive;

/// Minutes of a sheet when the coach names none.
pub const USUAL_MINUTES: u32 = 20;
/// Minutes a sheet may be drawn up for.
pub const MINUTES: RangeInclusive<u32> = 5..=240;
/// Sheets made within this time of one another belong to the same session.
pub const SAME_SESSION: SignedDuration = SignedDuration::from_hours(12);
/// Answered cases are looked at again for so long.
const ANSWERED_WITHIN: SignedDuration = SignedDuration::from_hours(14 * 24);
/// Cases of each kind, waiting and answered, that a sheet may choose from.
pub const MOST_SHEET_LINES: u32 = 64;
/// Most minutes one case is given.
const MOST_MINUTES: u32 = 15;

/// From when on sheets are no earlier ones, and since when an answered case may be on a sheet that is
/// drawn up now.
pub fn sheet_spans(now: Timestamp) -> (Timestamp, Timestamp) {
    let before = |span: SignedDuration| now.checked_sub(span).unwrap_or(now);
    (before(SAME_SESSION), before(ANSWERED_WITHIN))
}

/// `review sheet`, `review sheet 20 minutes`, `a review sheet for 45 min please`.
pub(super) fn sheet_word(said: &[String]) -> Option<CoachWord> {
    const AROUND: [&str; 12] = [
        "a", "the", "for", "my", "our", "please", "minutes", "minute", "mins", "min", "make",
        "weekly",
    ];
    let (figures, rest): (Vec<&String>, Vec<&String>) = said
        .iter()
        .filter(|word| !AROUND.contains(&word.as_str()))
        .partition(|word| word.parse::<u32>().is_ok());
    let named = matches!(rest.as_slice(), [one, two] if *one == "review" && *two == "sheet");
    match figures.as_slice() {
        [] if named => Some(CoachWord::Sheet(None)),
        [one] if named => Some(CoachWord::Sheet(one.parse().ok())),
        _ => None,
    }
}

/// Draws up the sheet for a session of so many minutes.
///
/// Cases stopped for safety are named and get no card. Of the others the choice is the best there
/// is under the time: as many cases carried over as fit, then as many overdue, then as many
/// promised, then as many lifts and stages as possible, then what others learn most from.
pub fn review_sheet(
    lines: &[SheetLine],
    minutes: u32,
    catalog: &Catalog,
    words: &Words,
    rules: &Rules,
    now: Timestamp,
) -> Sheet {
    let (stopped, offered) = parted(lines);
    let offered: Vec<&SheetLine> = offered.into_iter().take(MOST_OFFERS).collect();
    let offers: Vec<Offer> = offered
        .iter()
        .map(|line| offer(line, &offered, &stopped, catalog, now))
        .collect();
    let chosen = choose(&offers, minutes);
    let mut order: Vec<(&SheetLine, &Offer)> = chosen
        .iter()
        .filter_map(|place| Some((*offered.get(*place)?, offers.get(*place)?)))
        .collect();
    order.sort_by_key(|(line, offer)| {
        // What was put off comes first; the rest goes lift by lift, in the order of the lift.
        let carried = line.carried_since.map_or((1, None), |at| (0, Some(at)));
        (carried, offer.lift, offer.stage, line.case.number)
    });
    let order: Vec<&SheetLine> = order.into_iter().map(|(line, _)| line).collect();
    let mut sheet = lay_out(&order, &stopped, minutes, catalog, words, rules, now);
    let left_out = |(place, line): (usize, &&SheetLine)| {
        (line.item.is_some() && !chosen.contains(&place)).then_some(line.case.number)
    };
    sheet.left_out = offered.iter().enumerate().filter_map(left_out).collect();
    sheet
}

/// A sheet that was kept, in its running order, with its cases as they stand now. One that was stopped
/// for safety since has no card any more.
pub fn kept_sheet(
    lines: &[SheetLine],
    minutes: u32,
    catalog: &Catalog,
    words: &Words,
    rules: &Rules,
    now: Timestamp,
) -> Sheet {
    let (stopped, order) = parted(lines);
    lay_out(&order, &stopped, minutes, catalog, words, rules, now)
}

/// Cases stopped for safety, and the others.
fn parted(lines: &[SheetLine]) -> (Vec<&SheetLine>, Vec<&SheetLine>) {
    lines
        .iter()
        .partition(|line| line.case.state == CaseState::Halted)
}

/// The cards of these cases, one after another.
fn lay_out(
    order: &[&SheetLine],
    stopped: &[&SheetLine],
    given: u32,
    catalog: &Catalog,
    words: &Words,
    rules: &Rules,
    now: Timestamp,
) -> Sheet {
    let mut sheet = Sheet {
        minutes: given,
        stopped: stopped.iter().map(|line| line.case.number).collect(),
        ..Sheet::default()
    };
    for line in order {
        let plan = plan_of(line, catalog, rules);
        let minutes = minutes(line);
        let parts = CardParts {
            line,
            plan: plan.as_ref(),
            showable: showable(line, stopped, catalog),
            at_minute: sheet.filled,
            minutes,
            now,
        };
        sheet.cards.push(sheet_card(words, catalog, &parts));
        sheet.filled += minutes;
    }
    sheet
}

/// What a case offers.
fn offer(
    line: &SheetLine,
    all: &[&SheetLine],
    stopped: &[&SheetLine],
    catalog: &Catalog,
    now: Timestamp,
) -> Offer {
    let promised = line.item.as_ref().and_then(|item| item.promised);
    Offer {
        minutes: minutes(line),
        lift: line.case.lift.map_or(Lift::ALL.len(), |lift| {
            Lift::ALL
                .iter()
                .position(|known| *known == lift)
                .unwrap_or(0)
        }),
        stage: stage(line, catalog).map_or(0, |stage| stage as usize + 1),
        carried: line.carried_since.is_some() && line.item.is_some(),
        overdue: promised.is_some_and(|at| at < now),
        promised: promised.is_some(),
        value: value(line, all, showable(line, stopped, catalog).is_some()),
    }
}

/// Minutes a case is given: more rounds and reasons, more to talk about.
fn minutes(line: &SheetLine) -> u32 {
    let queued = line.item.as_ref().map(|item| item.minutes);
    let rounds = i64::try_from(line.case.body.rounds.len()).unwrap_or(0);
    let minutes = queued.unwrap_or(2 + rounds);
    u32::try_from(minutes).unwrap_or(1).clamp(1, MOST_MINUTES)
}

/// The cause first to be worked on.
fn cause(line: &SheetLine) -> Option<&str> {
    let body = &line.case.body;
    let chosen = body.rounds.last().and_then(|round| round.chosen.first());
    let given = body.given.last().map(|given| &given.cause);
    chosen.or(given).map(String::as_str)
}

/// The stage of the lift that cause belongs to.
fn stage(line: &SheetLine, catalog: &Catalog) -> Option<Stage> {
    let book = catalog.lifts.get(&line.case.lift?)?;
    Some(book.cause(cause(line)?)?.stage)
}

/// What others learn from a case: a fault that many share, a change that worked, doubt worth a
/// talk, something to see, and that it may be shown (weights: common practice, no source).
fn value(line: &SheetLine, all: &[&SheetLine], showable: bool) -> i64 {
    let last = line.case.body.rounds.last();
    let shared = cause(line).map_or(0, |cause| {
        let same = all.iter().filter(|other| self::cause(other) == Some(cause));
        same.count().saturating_sub(1).min(5)
    });
    let worked = line
        .case
        .body
        .given
        .iter()
        .any(|given| given.outcome == Some(Verdict::Gone));
    let unsure = last
        .and_then(|round| round.beliefs.first())
        .is_some_and(|(_, probability)| *probability < 0.6);
    let to_see = last.is_some_and(|round| {
        let report = &round.report;
        report.clip.is_some() || report.view.is_some() || !report.traces.is_empty()
    });
    let points = [(worked, 3), (unsure, 2), (to_see, 2), (showable, 4)];
    let extra: i64 = points
        .iter()
        .filter(|(holds, _)| *holds)
        .map(|(_, points)| points)
        .sum();
    extra + 2 * i64::try_from(shared).unwrap_or(0)
}

/// The challenge whose text others may see: the lifter agreed to it, is of age, none of their cases is
/// stopped, and nothing in this one is a matter of health.
fn showable(line: &SheetLine, stopped: &[&SheetLine], catalog: &Catalog) -> Option<i64> {
    let body = &line.case.body;
    let book = catalog.lifts.get(&line.case.lift?)?;
    let pain = |sign: &String| book.sign(sign).is_some_and(|sign| sign.pain);
    let plain = |round: &Round| {
        round.flags.is_empty()
            && !round.level.stops()
            && round.report.age_band != Some(AgeBand::Under18)
            && !round.present.iter().any(pain)
    };
    let may = line.case.state != CaseState::Halted
        && stopped
            .iter()
            .all(|other| other.case.person != line.case.person)
        && body.for_whom.is_none()
        && !body.withheld
        && body.rounds.iter().all(plain);
    line.consent.filter(|_| may)
}

/// The work that would follow from the last set, inside the guard rails; none where it was a stop.
fn plan_of(line: &SheetLine, catalog: &Catalog, rules: &Rules) -> Option<Plan> {
    let round = line.case.body.rounds.last()?;
    if round.level.stops() {
        return None;
    }
    let book = catalog.lifts.get(&line.case.lift?)?;
    let day = times::today(&times::zone(rules, None), round.at);
    let estimate = estimate_on(&round.report, day).ok();
    plan::build(book, &round.chosen, estimate.as_ref(), &round.report)
}

/// The coach asks for the sheet: said in parts, and kept so that the next one knows of it.
pub(super) fn asked(turn: &mut Turn<'_>, minutes: u32) -> Vec<String> {
    match drawn_up(turn, minutes) {
        Ok(sheet) => sheet_text(turn.known.words, &sheet),
        Err(why) => vec![why],
    }
}

/// The same at the desk, where the page shows the sheet: what was kept, without anybody's name.
pub(super) fn kept(turn: &mut Turn<'_>, minutes: u32) -> String {
    let words = turn.known.words;
    match drawn_up(turn, minutes) {
        Ok(sheet) if sheet.cards.is_empty() => words.say("sheet.empty", &[]),
        Ok(sheet) => words.say(
            "sheet.kept",
            &[
                ("count", &sheet.cards.len().to_string()),
                ("filled", &sheet.filled.to_string()),
                ("minutes", &sheet.minutes.to_string()),
            ],
        ),
        Err(why) => why,
    }
}

/// Draws the sheet up and keeps it, when there is anything on it; the minutes that are accepted when
/// these are not.
fn drawn_up(turn: &mut Turn<'_>, minutes: u32) -> Result<Sheet, String> {
    let known = turn.known;
    let words = known.words;
    if !MINUTES.contains(&minutes) {
        let (least, most) = (MINUTES.start().to_string(), MINUTES.end().to_string());
        let values = [("least", least.as_str()), ("most", most.as_str())];
        return Err(words.say("sheet.minutes", &values));
    }
    let (lines, catalog) = (&known.sheet, known.catalog);
    let sheet = review_sheet(lines, minutes, catalog, words, known.rules, turn.now);
    if !sheet.cards.is_empty() {
        let cases = sheet.cards.iter().map(|card| card.case_id.clone());
        turn.effects.sheet = Some(SheetDrawn {
            id: outbox::key(&turn.event.key, "sheet"),
            source: turn.event.key.source.clone(),
            by: me(turn.event),
            at: turn.now,
            minutes,
            cases: cases.collect(),
        });
    }
    Ok(sheet)
}
