//! Figures as people read them: own unit first, the other in brackets; dates by weekday.

use cueline_core::load::{LoadedBar, Prescription, Week};
use cueline_core::quantity::{Effort, Span, plain};
use cueline_core::report::{SetReport, View};
use jiff::civil::Date;

/// A date as said to a lifter: `Wednesday 9 December`.
pub fn day(date: Date) -> String {
    date.strftime("%A %-d %B").to_string()
}

/// One number or a range: `3`, `8-9`.
pub fn span(span: Span) -> String {
    if span.width() < f64::EPSILON {
        plain(span.low)
    } else {
        format!("{}-{}", plain(span.low), plain(span.high))
    }
}

/// Effort as said: `RPE 8-9`, `2 in reserve`.
pub fn effort(effort: Effort) -> String {
    match effort {
        Effort::Rpe(rpe) => format!("RPE {}", span(rpe)),
        Effort::Rir(rir) => format!("{} in reserve", span(rir)),
    }
}

/// The set in one clause: `squat, 330 lb (149.7 kg) x 3 at RPE 8-9; best single 340 lb (154.2 kg)`.
pub fn set(report: &SetReport) -> String {
    let best = report
        .best
        .as_ref()
        .map(|best| format!("; best single {}", best.mass().both()));
    let seen = report
        .view
        .map(|view| format!("; seen from {}", view_name(view)));
    let parts = [Some(work(report)), best, seen];
    parts.into_iter().flatten().collect()
}

/// What was done, without what is known beside it: `squat, 330 lb (149.7 kg) x 3 at RPE 8-9`.
pub fn work(report: &SetReport) -> String {
    let lift = report
        .lift
        .map_or_else(|| "a set".to_owned(), |lift| lift.to_string());
    let load = report.load.map(|load| format!(", {}", load.both()));
    let reps = match (report.sets, report.reps) {
        (Some(sets), Some(reps)) if sets > 1 => Some(format!(", {sets} sets of {reps}")),
        (_, Some(reps)) => Some(format!(" x {reps}")),
        _ => None,
    };
    let felt = report.effort.map(|felt| format!(" at {}", effort(felt)));
    let missed = report
        .missed
        .as_ref()
        .map(|miss| format!(", {} missed", miss.reps));
    let parts = [Some(lift), load, reps, felt, missed];
    parts.into_iter().flatten().collect()
}

/// A change in percent with its sign: `+2.5 %`, `-1 %`.
pub fn change(percent: f64) -> String {
    let rounded = (percent * 2.0).round() / 2.0;
    let sign = if rounded > 0.0 { "+" } else { "" };
    format!("{sign}{} %", plain(rounded))
}

/// A view in words.
pub const fn view_word(view: View) -> &'static str {
    match view {
        View::Side => "side",
        View::Front => "front",
        View::Rear => "back",
        View::ThreeQuarter => "front corner",
    }
}

/// A view with its article: `the side`.
pub fn view_name(view: View) -> String {
    format!("the {}", view_word(view))
}

/// Views to film from: `from the side`, `from the side and the front`.
pub fn views(views: &[View]) -> String {
    let words: Vec<String> = views.iter().map(|view| view_name(*view)).collect();
    format!("from {}", list(&words, "and"))
}

/// Items as an English list.
pub fn list(items: &[String], joint: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} {joint} {last}", head.join(", ")),
    }
}

/// Plates on each side: `25 + 10 + 2.5 a side`, or `bar only`.
pub fn plates(bar: &LoadedBar) -> String {
    if bar.per_side.is_empty() {
        return "bar only".to_owned();
    }
    let plates: Vec<String> = bar.per_side.iter().map(|plate| plain(*plate)).collect();
    format!("{} a side", plates.join(" + "))
}

/// The dose without its load: `4 sets of 3, 4 weeks`.
pub fn dose(prescription: &Prescription) -> String {
    let Some(first) = prescription.weeks.first() else {
        return prescription.note.clone();
    };
    let last = prescription.weeks.last().unwrap_or(first);
    let sets = from_to(first.sets, last.sets);
    let reps = from_to(first.reps, last.reps);
    let unit = match prescription.unit.as_str() {
        "reps" | "" => String::new(),
        other => format!(" {other}"),
    };
    let weeks = match prescription.weeks.len() {
        1 => String::new(),
        count => format!(", {count} weeks"),
    };
    let noun = if sets == "1" { "set" } else { "sets" };
    format!("{sets} {noun} of {reps}{unit}{weeks}")
}

/// `3`, or `3 up to 5`.
fn from_to(first: u32, last: u32) -> String {
    if first == last {
        first.to_string()
    } else {
        format!("{first} up to {last}")
    }
}

/// The loads of a prescription: first week with plates, then the later weeks' totals.
pub fn loads(prescription: &Prescription) -> Option<String> {
    let first = prescription
        .weeks
        .first()
        .and_then(|week| week.bar.as_ref())?;
    let mut said = format!("{}, {}", first.total.both(), plates(first));
    let later: Vec<&Week> = prescription
        .weeks
        .iter()
        .skip(1)
        .filter(|week| {
            week.bar
                .as_ref()
                .is_some_and(|bar| bar.total != first.total)
        })
        .collect();
    if let Some((week, last)) = later
        .last()
        .and_then(|week| Some((week.week, week.bar.as_ref()?)))
    {
        said = format!(
            "{said} in week 1, up to {}, {} in week {week}",
            last.total.both(),
            plates(last)
        );
    }
    Some(said)
}
