//! What was measured on the traces of the newest set: the picture, the figures of each repetition,
//! and what the view cannot show.

use super::show::View;
use crate::record::CaseState;
use crate::wording::{measured_error, measured_value};
use cueline_core::body::expectations;
use cueline_core::catalog::LiftBook;
use cueline_core::motion::{Figure, Measurement};
use cueline_core::picture::of_motion;
use cueline_core::report::SetReport;
use maud::{Markup, PreEscaped, html};

/// The section; nothing when nothing was measured and no trace failed.
pub(super) fn section(view: &View<'_>) -> Markup {
    let look = view.look.as_ref();
    let newest = view.file.case.body.rounds.last();
    let kept = newest.and_then(|round| round.measured.as_ref());
    let measured = look.and_then(|look| look.measured.as_ref()).or(kept);
    let (Some(measured), Some(round)) = (measured, newest) else {
        return html! {};
    };
    if view.file.case.state == CaseState::Halted {
        return html! {};
    }
    let drawing = look
        .and_then(|look| look.followed.as_ref())
        .and_then(of_motion);
    html! {
        section.sheet aria-labelledby="measured" {
            h2 id="measured" { "Measured on the trace" }
            @for fault in &measured.problems {
                p { "Not readable: " (fault.found) "; accepted: " (fault.accepted) "." }
            }
            @if let Some(svg) = drawing {
                figure.way {
                    // Shapes made by the core from numbers; nothing a lifter wrote is in them.
                    div role="img" aria-label=(alt(measured)) { (PreEscaped(svg)) }
                    figcaption { (alt(measured)) }
                }
            }
            @if !measured.quantities.is_empty() { (table(measured, &round.report)) }
            (signs(measured, view.book()))
            @if !measured.cannot_show.is_empty() {
                p.soft { "This view cannot show: " (measured.cannot_show.join("; ")) "." }
            }
            @for note in &measured.notes { p.soft { (note) } }
        }
    }
}

/// What the lifter's build lets expect of this lift: for the coach's eye, never said to the lifter.
pub(super) fn expected(view: &View<'_>) -> Markup {
    let newest = view.file.case.body.rounds.last();
    let newest = newest.filter(|_| view.file.case.state != CaseState::Halted);
    let said = newest.and_then(|round| expectations(&round.report));
    html! {
        @if let Some(said) = said {
            section.sheet aria-labelledby="build" {
                h2 id="build" { "What the build lets expect" }
                ul { @for line in said { li { (line) } } }
                p.soft { "Worked out from height and, where given, measured lengths; for your eye alone." }
            }
        }
    }
}

/// What the drawing shows, in words; the table beside it says the same in figures.
fn alt(measured: &Measurement) -> String {
    format!(
        "The way of the bar where it was seen from the side (down with dashes, up in full), its height \
         and speed over time, and the lean of the trunk where the body was followed; {} repetitions.",
        measured.reps
    )
}

/// Every quantity with its error and the value of each repetition.
fn table(measured: &Measurement, report: &SetReport) -> Markup {
    let columns = measured
        .quantities
        .iter()
        .map(|figure| figure.per_rep.len())
        .max()
        .unwrap_or(0);
    html! {
        div.wide tabindex="0" role="region" aria-label="Figures by repetition" {
            table {
                thead {
                    tr {
                        th scope="col" { "Quantity" }
                        th scope="col" { "Set" }
                        th scope="col" { "Limit" }
                        @for rep in 1..=columns { th scope="col" { "Rep " (rep) } }
                    }
                }
                tbody {
                    @for figure in &measured.quantities { (row(figure, columns, report)) }
                }
            }
        }
    }
}

fn row(figure: &Figure, columns: usize, report: &SetReport) -> Markup {
    let shown = |value: f64| measured_value(value, &figure.unit, report);
    html! {
        tr {
            th scope="row" { (figure.plain) }
            td { (shown(figure.value)) " ± " (measured_error(figure.error, &figure.unit, report)) }
            td { @if let Some(from) = figure.threshold { (shown(from)) } @else { "none" } }
            @for at in 0..columns {
                td { @if let Some(Some(value)) = figure.per_rep.get(at) { (shown(*value)) } @else { "not measured" } }
            }
        }
    }
}

/// How probable each sign is by the trace alone, the likeliest first.
fn signs(measured: &Measurement, book: Option<&LiftBook>) -> Markup {
    let mut signs: Vec<_> = measured.signs.iter().collect();
    signs.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    html! {
        @if !signs.is_empty() {
            h3 { "Signs by the trace alone" }
            ul {
                @for sign in signs {
                    @let known = book.and_then(|book| book.sign(&sign.sign));
                    li {
                        (known.map_or(sign.sign.as_str(), |known| known.meaning.as_str()))
                        ": " (format!("{:.0} %", sign.probability * 100.0))
                    }
                }
            }
        }
    }
}
