//! What was measured on a trace, in words: figures with their error, own unit first.

use super::escape;
use super::words::Words;
use cueline_core::catalog::LiftBook;
use cueline_core::motion::{Figure, Measurement, SignMeasured};
use cueline_core::outcome::{MeasuredChange, Verdict};
use cueline_core::quantity::{Length, LengthUnit, MassUnit, plain};
use cueline_core::report::{FieldError, SetReport};

/// Signs told in one reply.
const MOST_SIGNS: usize = 3;
/// Things told that the trace cannot show.
const MOST_HIDDEN: usize = 2;
/// Faults of a trace told: what is wrong first is often behind the rest.
const MOST_FAULTS: usize = 1;
/// A sign is told from this probability on.
const TOLD: f64 = 0.5;

/// The unit short lengths are told in first: inches for who lifts in pounds.
fn short_unit(report: &SetReport) -> LengthUnit {
    match report.load.map(|load| load.unit) {
        Some(MassUnit::Lb) => LengthUnit::In,
        _ => LengthUnit::Cm,
    }
}

/// A number to one place or two, as its unit needs.
fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

/// A measured value as people read it: `2.1 cm (0.8 in)`, `0.45 m/s`, `12 degrees`.
pub fn measured_value(value: f64, unit: &str, report: &SetReport) -> String {
    match unit {
        "m" => {
            let own = Length::from_metres(value, short_unit(report));
            let own = Length {
                value: rounded(own.value, 1),
                ..own
            };
            own.both()
        }
        "°" => {
            let degrees = rounded(value, 0);
            let shown = plain(degrees);
            let noun = if shown == "1" { "degree" } else { "degrees" };
            format!("{shown} {noun}")
        }
        "" => plain(rounded(value, 2)),
        unit => format!("{} {unit}", plain(rounded(value, 2))),
    }
}

/// A standard error, own unit only: `0.4 cm`.
pub fn measured_error(error: f64, unit: &str, report: &SetReport) -> String {
    match unit {
        "m" => {
            let own = short_unit(report);
            let value = Length::from_metres(error, own).value;
            let name = if own == LengthUnit::In { "in" } else { "cm" };
            format!("{} {name}", plain(rounded(value, 1).max(0.1)))
        }
        "°" => format!("{} degrees", plain(rounded(error, 0).max(1.0))),
        "" => plain(rounded(error, 2).max(0.01)),
        unit => format!("{} {unit}", plain(rounded(error, 2).max(0.01))),
    }
}

/// Repetitions counted in words: `1 repetition`, `3 repetitions`.
fn repetitions(count: usize) -> String {
    let noun = if count == 1 {
        "repetition"
    } else {
        "repetitions"
    };
    format!("{count} {noun}")
}

/// The lines of a reply on what was measured; none when nothing was.
pub fn measured_lines(
    measured: &Measurement,
    book: Option<&LiftBook>,
    report: &SetReport,
    words: &Words,
) -> Vec<String> {
    if !measured.shows_anything() {
        return Vec::new();
    }
    let mut there: Vec<&SignMeasured> = measured
        .signs
        .iter()
        .filter(|sign| sign.probability >= TOLD)
        .collect();
    there.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let told: Vec<String> = there
        .iter()
        .filter_map(|sign| one_sign(sign, measured, book, report, words))
        .take(MOST_SIGNS)
        .collect();
    let reps = repetitions(measured.reps);
    let mut lines = vec![if told.is_empty() {
        words.say("reply.measured_nothing", &[("reps", &reps)])
    } else {
        let values = [("reps", &*reps), ("signs", &*told.join("; "))];
        words.say("reply.measured", &values)
    }];
    if !measured.cannot_show.is_empty() {
        let hidden: Vec<String> = measured
            .cannot_show
            .iter()
            .take(MOST_HIDDEN)
            .cloned()
            .collect();
        let hidden = hidden.join("; ");
        lines.push(words.say("reply.measured_hidden", &[("hidden", &hidden)]));
    }
    lines
}

/// One sign that the trace shows, with the figure behind it.
fn one_sign(
    sign: &SignMeasured,
    measured: &Measurement,
    book: Option<&LiftBook>,
    report: &SetReport,
    words: &Words,
) -> Option<String> {
    let known = book?.sign(&sign.sign)?;
    let figure = measured.quantity(&sign.quantity)?;
    let worst = sign
        .worst_rep
        .filter(|_| measured.reps > 1)
        .map(|rep| words.say("reply.measured_worst", &[("rep", &(rep + 1).to_string())]))
        .unwrap_or_default();
    Some(words.say(
        "reply.measured_sign",
        &[
            ("sign", &known.plain),
            ("figure", &one_figure(figure, report)),
            ("worst", &worst),
        ],
    ))
}

/// A figure with its error and the limit: `bar forward 6 cm (2.4 in) ± 0.8 cm, limit 4 cm (1.6 in)`.
fn one_figure(figure: &Figure, report: &SetReport) -> String {
    let value = measured_value(figure.value, &figure.unit, report);
    let error = measured_error(figure.error, &figure.unit, report);
    let limit = figure.threshold.map_or_else(String::new, |from| {
        format!(", limit {}", measured_value(from, &figure.unit, report))
    });
    format!("{} {value} ± {error}{limit}", figure.plain)
}

/// How far a measured sign has moved since the set before.
pub fn measured_change(words: &Words, change: &MeasuredChange, report: &SetReport) -> String {
    let key = match change.course {
        Verdict::Gone => "progress.measured_gone",
        Verdict::Better => "progress.measured_better",
        Verdict::Same => "progress.measured_same",
        Verdict::Worse => "progress.measured_worse",
        Verdict::CannotTell => "progress.measured_cannot_tell",
    };
    let shown = |value| measured_value(value, &change.unit, report);
    words.say(
        key,
        &[
            ("what", &change.plain),
            ("now", &shown(change.now)),
            ("before", &shown(change.before)),
            ("error", &measured_error(change.error, &change.unit, report)),
        ],
    )
}

/// What the picture of a trace shows, for whoever cannot see it.
pub fn measured_alt(words: &Words, measured: &Measurement, report: &SetReport) -> String {
    let shown: Vec<&Figure> = measured
        .signs
        .iter()
        .filter(|sign| sign.probability >= TOLD)
        .filter_map(|sign| measured.quantity(&sign.quantity))
        .take(1)
        .collect();
    let figure = shown.first().map_or_else(String::new, |figure| {
        let value = measured_value(figure.value, &figure.unit, report);
        format!(" {} {value}.", figure.plain)
    });
    let reps = repetitions(measured.reps);
    words.say(
        "reply.measured_alt",
        &[("reps", &reps), ("figure", &figure)],
    )
}

/// What of a trace could not be read.
pub fn trace_faults(words: &Words, faults: &[FieldError]) -> Vec<String> {
    let told = |fault: &FieldError| {
        words.say(
            "files.trace_unread",
            &[
                ("found", &escape(&fault.found)),
                ("accepted", &escape(&fault.accepted)),
            ],
        )
    };
    faults.iter().take(MOST_FAULTS).map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use cueline_core::quantity::Mass;

    fn lifter_in(unit: MassUnit) -> SetReport {
        SetReport {
            load: Some(Mass::new(100.0, unit)),
            ..SetReport::default()
        }
    }

    #[test]
    fn lengths_are_told_in_the_lifters_own_unit_first() {
        let kg = lifter_in(MassUnit::Kg);
        let lb = lifter_in(MassUnit::Lb);
        assert_eq!(measured_value(0.021, "m", &kg), "2.1 cm (0.8 in)");
        assert_eq!(measured_value(0.0508, "m", &lb), "2 in (5.1 cm)");
        assert_eq!(measured_error(0.004, "m", &kg), "0.4 cm");
        assert_eq!(measured_value(1.0, "°", &kg), "1 degree");
        assert_eq!(measured_value(-8.77, "°", &kg), "-9 degrees");
        assert_eq!(measured_value(0.4501, "m/s", &kg), "0.45 m/s");
        assert_eq!(measured_value(1.459, "", &kg), "1.46");
    }

    #[test]
    fn a_change_is_told_with_both_figures() {
        let change = MeasuredChange {
            sign: "sq-bar-drift".to_owned(),
            plain: "the bar went forward by".to_owned(),
            unit: "m".to_owned(),
            before: 0.06,
            now: 0.021,
            error: 0.006,
            course: Verdict::Gone,
        };
        let said = measured_change(&Words::built_in(), &change, &lifter_in(MassUnit::Kg));
        assert!(said.contains("went forward by 2.1 cm (0.8 in)"), "{said}");
        assert!(said.contains("6 cm (2.4 in) last time"), "{said}");
    }
}
