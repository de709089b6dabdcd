//! What works, in words, as a table and as a plot: corrections by how often and how soon their signs
//! were gone. No decisions, no advice: nobody was assigned a correction by chance.

use super::community::{cause_name, percent};
use super::{Words, escape};
use crate::record::{CoachVerdict, QueueLine};
use cueline_core::catalog::Catalog;
use cueline_core::outcome::survival::{Curve, Median};
use cueline_core::outcome::works::{By, Caution, Course, Line, comparison, table};
use cueline_core::outcome::{Judged, calibrate, spoken_causes};
use cueline_core::quantity::plain;
use cueline_core::report::Lift;
use jiff::Timestamp;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::fmt::Write as _;

mod plot;
mod tables;
#[cfg(test)]
mod tests;

pub use plot::works_svg;
pub use tables::{
    FaultRow, Faults, WorksRow, cause_and_sign, faults, faults_agreement, works_rows,
};

/// Lines of the table in chat.
const MOST_LINES: usize = 12;
/// Months of the overview.
const MONTHS: usize = 6;
/// Causes of each lift in the overview.
const MOST_CAUSES: usize = 6;

/// What a coach may narrow a table to.
enum Of<'a> {
    All,
    Lift(Lift),
    Cause(Lift, String, Option<&'a str>, Option<By>),
}

/// Reads a lift, or a cause by id or in words, with a sign's id behind it, and `coach` or `catalog`
/// behind that for whose correction is meant.
fn of<'a>(catalog: &'a Catalog, said: &str) -> Option<Of<'a>> {
    let whole = said.trim();
    let whose = [(" coach", By::Coach), (" catalog", By::Catalog)];
    let (said, by) = whose
        .into_iter()
        .find_map(|(word, by)| Some((whole.strip_suffix(word)?.trim(), Some(by))))
        .unwrap_or((whole, None));
    if said.is_empty() {
        return Some(Of::All);
    }
    let lift = |lift: &Lift| {
        let plural = format!("{}s", lift.word());
        said == lift.word() || said == lift.name() || said == plural
    };
    if let Some(lift) = Lift::ALL.into_iter().find(lift) {
        return Some(Of::Lift(lift));
    }
    let last = said.split_whitespace().next_back()?;
    let sign = catalog
        .lifts
        .values()
        .flat_map(|book| &book.signs)
        .find(|sign| sign.id == last);
    let words = match sign {
        Some(sign) => said.strip_suffix(sign.id.as_str())?.trim(),
        None => said,
    };
    let mut found = catalog.lifts.iter().filter_map(|(lift, book)| {
        let mut causes = spoken_causes(book, words).ok()?;
        let only = causes.pop().filter(|_| causes.is_empty())?;
        Some((*lift, only))
    });
    let (lift, cause) = found.next()?;
    // The same words in two lifts: not guessed.
    found.next().is_none().then_some(())?;
    Some(Of::Cause(
        lift,
        cause,
        sign.map(|sign| sign.id.as_str()),
        by,
    ))
}

impl Of<'_> {
    fn holds(&self, course: &Course) -> bool {
        match self {
            Self::All => true,
            Self::Lift(wanted) => course.lift == *wanted,
            Self::Cause(of, wanted, only, by) => {
                course.lift == *of
                    && course.cause == *wanted
                    && only.is_none_or(|only| only == course.sign)
                    && by.is_none_or(|by| by == course.by)
            }
        }
    }

    /// A comparison is of one correction with another: the catalog's, unless the coach's is asked for.
    fn one_correction(self) -> Self {
        match self {
            Self::Cause(lift, cause, sign, by) => {
                Self::Cause(lift, cause, sign, by.or(Some(By::Catalog)))
            }
            other => other,
        }
    }
}

/// The table in chat.
pub fn what_works(words: &Words, catalog: &Catalog, courses: &[Course], said: &str) -> String {
    let Some(of) = of(catalog, said) else {
        return words.say("challenge.works_unknown", &[("said", &escape(said))]);
    };
    let chosen: Vec<Course> = courses
        .iter()
        .filter(|course| of.holds(course))
        .cloned()
        .collect();
    let mut lines = table(&chosen);
    if lines.is_empty() {
        return words.say("challenge.works_none", &[]);
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.given));
    let more = lines.len().saturating_sub(MOST_LINES);
    let mut told = vec![words.say("challenge.works", &[])];
    told.extend(
        lines
            .iter()
            .take(MOST_LINES)
            .map(|line| works_line(words, catalog, line)),
    );
    if more > 0 {
        told.push(words.say("challenge.works_more", &[("count", &more.to_string())]));
    }
    told.push(words.say("challenge.works_mind", &[]));
    told.join("\n")
}

/// One line of the table.
fn works_line(words: &Words, catalog: &Catalog, line: &Line) -> String {
    let (cause, sign) = names(catalog, line);
    let by = match line.key.by {
        By::Catalog => String::new(),
        By::Coach => words.say("challenge.works_coach", &[]),
    };
    let few = if line.few() {
        words.say("challenge.works_few", &[])
    } else {
        String::new()
    };
    words.say(
        "challenge.works_line",
        &[
            ("cause", &cause),
            ("sign", &sign),
            ("by", &by),
            ("given", &line.given.to_string()),
            ("back", &line.resubmitted.to_string()),
            ("gone", &line.gone.to_string()),
            ("median", &median(words, line.median)),
            ("few", &few),
        ],
    )
}

/// Cause and sign by their names.
fn names(catalog: &Catalog, line: &Line) -> (String, String) {
    let book = catalog
        .lifts
        .values()
        .find(|book| book.cause(&line.key.cause).is_some());
    let cause = book.map_or_else(
        || format!("`{}`", line.key.cause),
        |book| cause_name(book, &line.key.cause),
    );
    let sign = book.and_then(|book| book.sign(&line.key.sign)).map_or_else(
        || format!("`{}`", line.key.sign),
        |sign| sign.meaning.clone(),
    );
    (cause, sign)
}

/// The day by which half are gone, with its interval.
fn median(words: &Words, median: Median) -> String {
    let day = |day: Option<f64>| day.map(|day| plain(day.round()));
    let Some(days) = day(median.days) else {
        return words.say("challenge.works_no_median", &[]);
    };
    let low = day(median.low).unwrap_or_else(|| "?".to_owned());
    let high = day(median.high).unwrap_or_else(|| "?".to_owned());
    words.say(
        "challenge.works_median",
        &[("days", &days), ("low", &low), ("high", &high)],
    )
}

/// Two corrections compared, with everything that stands against leaning on it.
pub fn compared(
    words: &Words,
    catalog: &Catalog,
    courses: &[Course],
    one: &str,
    other: &str,
) -> String {
    let read = |said: &str| {
        let of = of(catalog, said).filter(|of| matches!(of, Of::Cause(..)))?;
        Some(of.one_correction())
    };
    let (Some(first), Some(second)) = (read(one), read(other)) else {
        return words.say("challenge.compare_unknown", &[]);
    };
    let group = |of: &Of<'_>| -> Vec<&Course> {
        courses.iter().filter(|course| of.holds(course)).collect()
    };
    let (a, b) = (group(&first), group(&second));
    let found = comparison(&a, &b);
    let side = |of: &Of<'_>, said: &str, curve: &Curve| {
        let name = tables::chosen_name(catalog, of, said);
        words.say(
            "challenge.compare_side",
            &[
                ("name", &escape(&name)),
                ("given", &curve.courses.to_string()),
                ("gone", &curve.gone.to_string()),
                ("median", &median(words, curve.median())),
            ],
        )
    };
    let mut lines = vec![
        side(&first, one, &found.first),
        side(&second, other, &found.second),
    ];
    lines.push(match found.test {
        None => words.say("challenge.compare_nothing", &[]),
        Some(test) => {
            let key = if found.differs() {
                "challenge.compare_differs"
            } else {
                "challenge.compare_not"
            };
            let p = if test.p < 0.001 {
                "below 0.001".to_owned()
            } else {
                format!("{:.3}", test.p)
            };
            words.say(key, &[("p", &p)])
        }
    });
    lines.extend(found.cautions.iter().map(|caution| {
        let key = match caution {
            Caution::SmallNumbers => "challenge.caution_small",
            Caution::LostUnevenly => "challenge.caution_lost",
            Caution::EffortDiffers => "challenge.caution_effort",
            Caution::TrainingDiffers => "challenge.caution_training",
            Caution::CurvesCross => "challenge.caution_cross",
        };
        words.say(key, &[])
    }));
    lines.push(words.say("challenge.works_mind", &[]));
    lines.join("\n")
}

/// What the overview of faults is made of.
#[derive(Debug)]
pub struct Overview<'a> {
    /// Counts by lift, cause and month.
    pub seen: &'a BTreeMap<(Lift, String, (i16, i8)), usize>,
    /// Verdicts of coaches.
    pub verdicts: &'a [&'a CoachVerdict],
    /// The line of the queue that waits longest.
    pub longest: Option<&'a QueueLine>,
    /// Today in the house's zone.
    pub today: Date,
    /// Now.
    pub now: Timestamp,
}

/// How often each cause was seen by lift and month, what waits longest, and how often the service
/// and the coach named the same cause first.
pub fn common_faults(words: &Words, catalog: &Catalog, all: &Overview<'_>, said: &str) -> String {
    let only = match of(catalog, said) {
        Some(Of::All) => None,
        Some(Of::Lift(lift)) => Some(lift),
        _ => return words.say("challenge.works_unknown", &[("said", &escape(said))]),
    };
    let table = faults(catalog, all.seen, all.today, only);
    let mut lines = vec![words.say("challenge.faults", &[("months", &table.months.join(", "))])];
    for lift in catalog.lifts.keys() {
        let of_lift = table.rows.iter().filter(|row| row.lift == *lift);
        for row in of_lift.take(MOST_CAUSES) {
            let by_month: Vec<String> = row.counts.iter().map(ToString::to_string).collect();
            lines.push(words.say(
                "challenge.faults_line",
                &[
                    ("lift", lift.name()),
                    ("cause", &row.cause),
                    ("total", &row.total().to_string()),
                    ("by_month", &by_month.join(", ")),
                ],
            ));
        }
    }
    if lines.len() == 1 {
        lines.push(words.say("challenge.faults_none", &[]));
    }
    if let Some(line) = all.longest {
        let days = all.now.duration_since(line.item.since).as_hours() / 24;
        lines.push(words.say(
            "challenge.faults_longest",
            &[
                ("number", &line.case.number.to_string()),
                ("name", &escape(&line.lifter_name)),
                ("days", &days.to_string()),
            ],
        ));
    }
    lines.push(agreement(words, all.verdicts, only));
    lines.join("\n")
}

/// How often the coach's first cause was the service's first, or one of its first three.
fn agreement(words: &Words, verdicts: &[&CoachVerdict], only: Option<Lift>) -> String {
    let judged: Vec<Judged> = verdicts
        .iter()
        .map(|verdict| verdict.judged.clone())
        .filter(|judged| only.is_none_or(|only| judged.lift == only))
        .collect();
    let (all, _) = calibrate(&judged);
    let (Some(first), Some(three)) = (all.first, all.first_three) else {
        return words.say("challenge.faults_no_verdicts", &[]);
    };
    words.say(
        "challenge.faults_agreement",
        &[
            ("count", &first.of.to_string()),
            ("first", &percent(first.share)),
            ("low", &percent(first.low)),
            ("high", &percent(first.high)),
            ("three", &percent(three.share)),
        ],
    )
}

/// The last months up to this day's, oldest first.
fn months_to(today: Date) -> Vec<(i16, i8)> {
    let mut months = vec![(today.year(), today.month())];
    while months.len() < MONTHS {
        let (year, month) = months
            .last()
            .copied()
            .unwrap_or((today.year(), today.month()));
        months.push(if month == 1 {
            (year - 1, 12)
        } else {
            (year, month - 1)
        });
    }
    months.reverse();
    months
}

/// The table as CSV (RFC 4180): one line a correction, sign and giver.
pub fn works_csv(lines: &[Line]) -> String {
    let mut out = String::from(
        "lift,cause,sign,by,given,resubmitted,gone,median_days,median_low,median_high,few\r\n",
    );
    let day = |day: Option<f64>| day.map(|day| format!("{day:.2}")).unwrap_or_default();
    for line in lines {
        let by = match line.key.by {
            By::Catalog => "catalog",
            By::Coach => "coach",
        };
        // Writing to a `String` cannot fail; ids hold no comma and no quotation mark.
        let _ = write!(
            out,
            "{},{},{},{by},{},{},{},{},{},{},{}\r\n",
            line.key.lift,
            line.key.cause,
            line.key.sign,
            line.given,
            line.resubmitted,
            line.gone,
            day(line.median.days),
            day(line.median.low),
            day(line.median.high),
            line.few(),
        );
    }
    out
}
