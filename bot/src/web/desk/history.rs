//! The sets of a case in a drawing and line by line, with what was given for them and what came of it.

use super::page::time;
use super::picture;
use super::show::View;
use crate::record::Round;
use crate::wording::figures;
use cueline_core::outcome::Verdict;
use cueline_core::quantity::Mass;
use maud::{Markup, html};

/// What a set showed of the correction before.
const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Gone => "gone",
        Verdict::Better => "better",
        Verdict::Same => "the same",
        Verdict::Worse => "worse",
        Verdict::CannotTell => "cannot be told",
    }
}

/// The sets of the case and what was given for them.
pub(super) fn history(view: &View<'_>) -> Markup {
    let body = &view.file.case.body;
    html! {
        section.sheet aria-labelledby="history" {
            h2 id="history" { "History" }
            (picture::progress(view.desk, &body.rounds, view.unit()))
            ol.rounds { @for round in &body.rounds { (set_line(view, round)) } }
            @if !body.given.is_empty() {
                h3 { "Given so far" }
                ul {
                    @for given in &body.given {
                        @let cause = view.book().and_then(|book| book.cause(&given.cause));
                        li {
                            (time(view.desk, given.at)) ": for "
                            (cause.map_or(given.cause.as_str(), |cause| cause.meaning.as_str())) ", "
                            (given.outcome.map_or("not judged yet", verdict))
                        }
                    }
                }
            }
        }
    }
}

/// One set of the case in a line.
fn set_line(view: &View<'_>, round: &Round) -> Markup {
    html! {
        li {
            (time(view.desk, round.at)) ": " (figures::work(&round.report))
            @if let Some(kg) = round.estimate_kg { "; best single about " (Mass::from_kg(kg.0, view.unit()).about()) }
            @if let Some(outcome) = round.outcome { "; after the correction: " strong { (verdict(outcome)) } }
        }
    }
}
