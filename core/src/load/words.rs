//! What an estimate rests on, in plain words and the lifter's own unit.

use super::effort::{ReserveSource, judged_worse};
use super::estimate::{Observation, Standard};
use super::formulas::COARSE_ABOVE;
use super::fuse::BestUse;
use crate::quantity::{Effort, Span};
use crate::report::{Best, Lift, SetReport};

/// A number without needless zeros, at most two places.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A span as `8-9`, or `8` when it has no width.
pub(super) fn span(span: Span) -> String {
    if span.width() > 0.0 {
        format!("{}-{}", number(span.low), number(span.high))
    } else {
        number(span.low)
    }
}

/// How hard the set was, to follow `330 lb x 3`.
fn effort(set: &Observation, report: &SetReport) -> String {
    match (set.reserve.source, report.effort) {
        (ReserveSource::Failed, _) => ", the next repetition missed".to_owned(),
        (ReserveSource::Stated, Some(Effort::Rpe(rpe))) => format!(" at RPE {}", span(rpe)),
        (ReserveSource::Stated, Some(Effort::Rir(left))) => {
            format!(" with {} in reserve", span(left))
        }
        _ => String::new(),
    }
}

/// Everything the estimate of one set rests on.
pub(super) fn of_set(set: &Observation, report: &SetReport, standard: Standard) -> Vec<String> {
    let mut basis = vec![
        format!("{} x {}{}", set.load.both(), set.reps, effort(set, report)),
        "seven published formulas, averaged".to_owned(),
    ];
    if set.reserve.source == ReserveSource::Assumed {
        basis.push("effort not stated: 0 to 4 repetitions in reserve assumed".to_owned());
    }
    if set.reserve.source != ReserveSource::Failed && judged_worse(report) {
        let why = if report.reps.is_some_and(|reps| reps > 12) {
            "effort is harder to judge in a set of more than 12"
        } else {
            "effort is harder to judge in the first year of training"
        };
        basis.push(format!("{why}, so the range is wider"));
    }
    if set.reps_to_failure() > COARSE_ABOVE {
        basis.push("more than 10 repetitions to failure, so only a rough figure".to_owned());
    }
    if report.lift == Some(Lift::Deadlift) {
        basis.push("upper end widened: formulas tend to read low on the deadlift".to_owned());
    }
    if standard == Standard::Doubted {
        basis.push("the lift may not have been to standard, so the range is wider".to_owned());
    }
    basis
}

/// What was made of the named best single.
pub(super) fn of_best(best: &Best, used: BestUse) -> String {
    let kind = match best.tested {
        Some(true) => ", lifted",
        Some(false) => ", worked out rather than lifted",
        None => "",
    };
    let when = best
        .date
        .map_or_else(|| ", undated".to_owned(), |date| format!(", {date}"));
    let left_out = match used {
        BestUse::Weighed => "",
        BestUse::Reached => "; left out, as this set already reaches it",
        BestUse::Disagrees => "; left out, as it does not fit this set",
        BestUse::OtherVariant => "; left out, as this set was another variant of the lift",
    };
    format!("best single {}{kind}{when}{left_out}", best.mass().both())
}
