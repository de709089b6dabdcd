//! `cueline assess`: a set report, or JSON Lines of them, to the assessment and the reply.

use super::Failure;
use crate::brain::{self, Brain};
use crate::clock::{Clock as _, SystemClock};
use crate::wording::{ReplyParts, reply};
use cueline_core::assess::{Assessment, History, assess, validate};
use cueline_core::load::{Rounding, load_bar, usual_plates};
use cueline_core::picture::{of_followed_set, parts};
use cueline_core::report::SetReport;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Serialize;
use std::io::{BufWriter, Read as _, Write as _};
use std::path::Path;

/// An assessment with the reply; the shape is kept stable.
#[derive(Debug, Serialize)]
struct Output<'a> {
    #[serde(flatten)]
    assessment: &'a Assessment,
    reply: String,
}

/// Assesses a file or standard input.
pub(super) fn run(
    config: Option<&Path>,
    file: &str,
    json: bool,
    today: Option<Date>,
    picture: Option<&Path>,
) -> Result<(), Failure> {
    let (_, brain) = brain::load(config)?;
    let text = input(file)?;
    let mut out = BufWriter::new(std::io::stdout().lock());
    let reports = reports(&text);
    if picture.is_some() && reports.len() != 1 {
        let found = reports.len();
        let fault = format!("--picture: found {found} reports, accepted is one at a time");
        return Err(Failure::input(fault));
    }
    for (place, text) in reports {
        let report = parse(text).map_err(|error| Failure::input(format!("{place}: {error}")))?;
        validate(&brain.catalog, &report).map_err(|problems| {
            Failure::Input(
                problems
                    .iter()
                    .map(|one| format!("{place}: {one}"))
                    .collect(),
            )
        })?;
        let (assessment, said) = one(&brain, &report, today);
        if let Some(file) = picture {
            draw(&brain, &assessment, file)?;
        }
        if json {
            let output = Output {
                assessment: &assessment,
                reply: said,
            };
            serde_json::to_writer(&mut out, &output)
                .map_err(|error| Failure::Other(error.to_string()))?;
            writeln!(out)?;
        } else {
            writeln!(out, "{said}\n")?;
        }
    }
    out.flush()?;
    Ok(())
}

/// Writes the picture of a set: how the bar went if it was followed, what was on the bar, with the plates at hand where they are known, and
/// where in the lift something was seen. A stop has no picture: it is no moment for loads or technique.
fn draw(brain: &Brain, assessment: &Assessment, file: &Path) -> Result<(), Failure> {
    let none = |why: &str| Failure::input(format!("--picture: {why}"));
    if assessment.triage.level.stops() {
        return Err(none("this report is a stop, of which no picture is made"));
    }
    let report = &assessment.report;
    let bar = report.load.and_then(|load| {
        let usual = || usual_plates(load.unit);
        let plates = report.plates.clone().unwrap_or_else(usual);
        load_bar(load, &plates, Rounding::Nearest)
    });
    let present: Vec<String> = assessment
        .signs
        .iter()
        .filter(|view| view.probability >= 0.5)
        .map(|view| view.sign.clone())
        .collect();
    let book = report.lift.and_then(|lift| brain.catalog.lifts.get(&lift));
    let shown = book.map(|book| parts(book, &present)).unwrap_or_default();
    let svg = of_followed_set(assessment.followed.as_ref(), bar.as_ref(), &shown)
        .ok_or_else(|| none("neither load nor lift is known, so there is nothing to draw"))?;
    std::fs::write(file, svg)
        .map_err(|error| Failure::Other(format!("{}: cannot be written: {error}", file.display())))
}

/// The whole input as text.
fn input(file: &str) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    if file == "-" {
        std::io::stdin().lock().read_to_end(&mut bytes)?;
    } else {
        bytes = std::fs::read(file)
            .map_err(|error| Failure::input(format!("{file}: cannot be read: {error}")))?;
    }
    String::from_utf8(bytes)
        .map_err(|_| Failure::input("input: found bytes that are no text, accepted is UTF-8"))
}

/// One report; a fault of shape is told with the field it is in.
fn parse(text: &str) -> Result<SetReport, String> {
    let mut json = serde_json::Deserializer::from_str(text);
    let report = serde_path_to_error::deserialize(&mut json).map_err(|error| error.to_string())?;
    json.end().map_err(|error| error.to_string())?;
    Ok(report)
}

/// The reports of an input, each with its place: one JSON value, or one a line.
fn reports(text: &str) -> Vec<(String, &str)> {
    let whole = serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok();
    let lines: Vec<(String, &str)> = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(index, line)| (format!("line {}", index + 1), line))
        .collect();
    let spread = lines.first().is_some_and(|(_, first)| {
        // A report laid out over several lines that has a fault somewhere: its first line alone
        // is no JSON either, so that the fault is better told of the whole.
        serde_json::from_str::<serde::de::IgnoredAny>(first).is_err() && lines.len() > 1
    });
    if whole || spread || lines.is_empty() {
        vec![("report".to_owned(), text)]
    } else {
        lines
    }
}

/// Assesses one report and writes the reply.
fn one(brain: &Brain, report: &SetReport, today: Option<Date>) -> (Assessment, String) {
    let zone = report
        .time_zone
        .as_deref()
        .and_then(|name| TimeZone::get(name).ok())
        .unwrap_or(TimeZone::UTC);
    let now = SystemClock.now();
    let today = today.unwrap_or_else(|| zone.to_datetime(now).date());
    let settings = &brain.rules.diagnosis;
    let assessment = assess(&brain.catalog, report, &History::default(), settings, today);
    let number = brain.rules.emergency_number(report.time_zone.as_deref());
    let coach_by = now
        .checked_add(brain.rules.promise_coach)
        .ok()
        .map(|at| zone.to_datetime(at).date());
    let said = reply(
        &assessment,
        &ReplyParts {
            words: &brain.words,
            catalog: &brain.catalog,
            emergency_number: &number,
            coach_by,
            progress: &[],
        },
    );
    (assessment, said)
}

#[cfg(test)]
mod tests {
    use super::parse;
    use cueline_core::report::View;

    #[test]
    fn a_fault_of_shape_names_its_field() {
        let said = parse(r#"{"lift":"squat","load":{"value":100,"unit":"stone"}}"#);
        let said = said.err().unwrap_or_default();
        assert!(
            said.starts_with("load.unit: ") && said.contains("`kg` or `lb`"),
            "{said}"
        );
        assert!(parse(r#"{"lift":"squat"} and more"#).is_err());
    }

    #[test]
    fn a_bench_filmed_from_its_ends_is_seen_from_front_and_rear() {
        let view = |word: &str| {
            parse(&format!(r#"{{"lift":"bench","view":"{word}"}}"#)).map(|report| report.view)
        };
        assert_eq!(view("foot-end"), Ok(Some(View::Front)));
        assert_eq!(view("head-end"), Ok(Some(View::Rear)));
    }
}
