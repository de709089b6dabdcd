//! What works and common faults as tables, for a page.

use super::{MONTHS, Of, cause_name, months_to, names};
use crate::wording::Words;
use cueline_core::catalog::Catalog;
use cueline_core::outcome::survival::Median;
use cueline_core::outcome::works::{By, Line};
use cueline_core::quantity::plain;
use cueline_core::report::Lift;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// One line of the table of what works.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorksRow {
    /// The cause's id.
    pub cause_id: String,
    /// The cause the correction is for.
    pub cause: String,
    /// The sign it should make go.
    pub sign: String,
    /// The coach's own words, not the catalog's correction.
    pub own: bool,
    /// How often it was given.
    pub given: usize,
    /// Of these, the lifter came back.
    pub resubmitted: usize,
    /// Of these, the sign was gone.
    pub gone: usize,
    /// The day by which half are gone, with its 95 % interval.
    pub median: String,
    /// Too few to go by.
    pub few: bool,
}

/// The table of what works, line by line.
pub fn works_rows(catalog: &Catalog, lines: &[Line]) -> Vec<WorksRow> {
    lines
        .iter()
        .map(|line| {
            let (cause, sign) = names(catalog, line);
            WorksRow {
                cause_id: line.key.cause.clone(),
                cause,
                sign,
                own: line.key.by == By::Coach,
                given: line.given,
                resubmitted: line.resubmitted,
                gone: line.gone,
                median: half_gone(line.median),
                few: line.few(),
            }
        })
        .collect()
}

/// The cause and the sign of a line by their names.
pub fn cause_and_sign(catalog: &Catalog, line: &Line) -> (String, String) {
    names(catalog, line)
}

/// The day by which half are gone. An end of the interval that was not reached is open.
fn half_gone(median: Median) -> String {
    let day = |day: Option<f64>| day.map(|day| plain(day.round()));
    match (day(median.days), day(median.low), day(median.high)) {
        (None, ..) => "not yet".to_owned(),
        (Some(days), Some(low), Some(high)) => format!("day {days} ({low} to {high})"),
        (Some(days), Some(low), None) => format!("day {days} ({low} or later)"),
        (Some(days), None, Some(high)) => format!("day {days} ({high} or sooner)"),
        (Some(days), None, None) => format!("day {days}"),
    }
}

/// A text in lines of at most so many code points, broken between words; a longer word has a line of
/// its own.
pub(super) fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let length = |text: &str| text.chars().count();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if length(line) + length(word) < most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// What a coach chose to compare, by its name where it is one cause of the catalog.
pub(super) fn chosen_name(catalog: &Catalog, chosen: &Of<'_>, said: &str) -> String {
    let Of::Cause(lift, cause, sign, ..) = chosen else {
        return said.to_owned();
    };
    let Some(book) = catalog.lifts.get(lift) else {
        return said.to_owned();
    };
    let cause = cause_name(book, cause);
    match sign.and_then(|sign| book.sign(sign)) {
        Some(sign) => format!("{cause} / {}", sign.meaning),
        None => cause,
    }
}

/// A cause of a lift, and how often it was seen in each month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultRow {
    /// The lift.
    pub lift: Lift,
    /// The cause's id.
    pub cause_id: String,
    /// The cause by its name.
    pub cause: String,
    /// Sets by month.
    pub counts: Vec<usize>,
}

impl FaultRow {
    /// Sets in all months.
    pub fn total(&self) -> usize {
        self.counts.iter().sum()
    }
}

/// Causes by lift and month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults {
    /// The months, oldest first, as `2026-03`.
    pub months: Vec<String>,
    /// Lift by lift, the most seen first.
    pub rows: Vec<FaultRow>,
}

/// How often each cause was seen in the last months up to `today`, of one lift when named.
pub fn faults(
    catalog: &Catalog,
    seen: &BTreeMap<(Lift, String, (i16, i8)), usize>,
    today: Date,
    only: Option<Lift>,
) -> Faults {
    let months = months_to(today);
    let mut counted: BTreeMap<(Lift, &str), Vec<usize>> = BTreeMap::new();
    for ((lift, cause, month), count) in seen {
        if only.is_some_and(|only| only != *lift) {
            continue;
        }
        let Some(at) = months.iter().position(|known| known == month) else {
            continue;
        };
        let counts = counted.entry((*lift, cause));
        let counts = counts.or_insert_with(|| vec![0; MONTHS]);
        if let Some(place) = counts.get_mut(at) {
            *place += count;
        }
    }
    let mut rows: Vec<FaultRow> = counted
        .into_iter()
        .filter_map(|((lift, cause), counts)| {
            let book = catalog.lifts.get(&lift)?;
            Some(FaultRow {
                lift,
                cause_id: cause.to_owned(),
                cause: cause_name(book, cause),
                counts,
            })
        })
        .collect();
    // The sort is stable, so equals stay in the order of their ids.
    rows.sort_by_key(|row| (row.lift, std::cmp::Reverse(row.total())));
    Faults {
        months: months
            .iter()
            .map(|(year, month)| format!("{year}-{month:02}"))
            .collect(),
        rows,
    }
}

/// How often the coach's first cause was the service's, in words.
pub fn faults_agreement(
    words: &Words,
    verdicts: &[&crate::record::CoachVerdict],
    only: Option<Lift>,
) -> String {
    super::agreement(words, verdicts, only)
}
