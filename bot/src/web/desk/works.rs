//! What works: the table of corrections, the curves, two corrections compared; and the table as CSV.

use super::guard::trouble;
use super::page::{time, whole};
use super::queue::viewed;
use super::works_log::{Worked, worked};
use super::{Desk, Signed};
use crate::brain::Brain;
use crate::markup;
use crate::wording::community::{
    WorksRow, cause_and_sign, compared, works_csv, works_rows, works_svg,
};
use axum::Extension;
use axum::extract::{Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use cueline_core::catalog::Catalog;
use cueline_core::outcome::works::{By, Course, Line};
use cueline_core::report::Lift;
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;
use std::sync::Arc;

/// What a page is narrowed to.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// A lift's word.
    #[serde(default)]
    lift: String,
    /// A cause's id.
    #[serde(default)]
    cause: String,
    /// Two corrections to compare, each a cause's id with a sign's id behind it or none.
    #[serde(default)]
    one: String,
    #[serde(default)]
    other: String,
}

impl Asked {
    /// The lift, when it is one.
    pub(super) fn lift(&self) -> Option<Lift> {
        Lift::ALL.into_iter().find(|lift| lift.word() == self.lift)
    }

    fn holds(&self, line: &Line) -> bool {
        self.lift().is_none_or(|lift| line.key.lift == lift.word())
            && (self.cause.is_empty() || line.key.cause == self.cause)
    }

    /// The lines of the table, the most given first.
    fn lines(&self, table: &[Line]) -> Vec<Line> {
        let chosen = table.iter().filter(|line| self.holds(line));
        let mut lines: Vec<Line> = chosen.cloned().collect();
        lines.sort_by_key(|line| std::cmp::Reverse(line.given));
        lines
    }

    /// The same narrowing for another address. Only what is in the catalog gets into it.
    fn query(&self, catalog: &Catalog) -> String {
        let lift = self.lift().map_or("", Lift::word);
        let known = |cause: &&str| {
            let mut books = catalog.lifts.values();
            books.any(|book| book.cause(cause).is_some())
        };
        let cause = Some(self.cause.as_str()).filter(known).unwrap_or_default();
        format!("lift={lift}&cause={cause}")
    }
}

/// The page.
pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let noted = viewed(&desk, &signed, "works", None);
    if let Err(error) = desk.parts.store.note_access(&noted).await {
        return trouble(&error);
    }
    let Some(worked) = worked(&desk).await else {
        return under_way(&signed, "What works", "/desk/works");
    };
    let brain = desk.brain();
    let source = &signed.person.source;
    let all = worked.table(source);
    let lines = asked.lines(all);
    let query = asked.query(&brain.catalog);
    let inside = html! {
        h1 { "What works" }
        (places("/desk/works"))
        p { "Corrections by how often, and how soon, their sign was gone at a later set. Nobody was given a correction by chance, so nothing here is proof." }
        (from(&desk, &worked))
        (narrowing(&brain.catalog, &asked))
        @if lines.is_empty() { p.empty { "Nothing to show yet: no correction of that kind was given." } }
        @else {
            (figures(&brain.catalog, &lines))
            p { a href={ "/desk/works.csv?" (query) } download { "Download the table as CSV" } }
            (curves(&brain.catalog, &lines))
        }
        (comparing(&brain, &asked, all, worked.log.on(source)))
    };
    whole(&signed, "What works", "/desk/works", &inside)
}

/// The page while the first result is not there yet.
pub(super) fn under_way(signed: &Signed, title: &str, place: &str) -> Response {
    let inside = html! {
        h1 { (title) }
        p role="status" { "This is being worked out from the cases. Load the page again in a moment." }
    };
    whole(signed, title, place, &inside)
}

/// The two pages of what cases teach.
pub(super) fn places(here: &str) -> Markup {
    html! {
        nav.way aria-label="What cases teach" {
            @for (address, name) in [("/desk/works", "Corrections"), ("/desk/faults", "Common faults")] {
                a href=(address) aria-current=[(address == here).then_some("page")] { (name) }
            }
        }
    }
}

/// What the figures come from, and as of when.
pub(super) fn from(desk: &Desk, worked: &Worked) -> Markup {
    html! {
        p.soft {
            "From the " @if worked.more { "newest " } (worked.cases) " cases, as of " (time(desk, worked.at)) "."
        }
    }
}

/// A lift's form: which lift, and which cause.
fn narrowing(catalog: &Catalog, asked: &Asked) -> Markup {
    html! {
        form.find method="get" action="/desk/works" {
            (lift_choice(asked.lift()))
            label for="cause" { "Cause" }
            select id="cause" name="cause" {
                option value="" { "all" }
                @for (lift, book) in &catalog.lifts {
                    optgroup label=(lift.name()) {
                        @for cause in &book.causes {
                            option value=(cause.id) selected[cause.id == asked.cause] { (cause.meaning) }
                        }
                    }
                }
            }
            button type="submit" { "Show" }
        }
    }
}

/// The choice of a lift.
pub(super) fn lift_choice(chosen: Option<Lift>) -> Markup {
    html! {
        label for="lift" { "Lift" }
        select id="lift" name="lift" {
            option value="" { "all" }
            @for lift in Lift::ALL {
                option value=(lift.word()) selected[chosen == Some(lift)] { (lift.name()) }
            }
        }
    }
}

/// The table.
fn figures(catalog: &Catalog, lines: &[Line]) -> Markup {
    let rows: Vec<WorksRow> = works_rows(catalog, lines);
    html! {
        p.soft id="works-table" { "Each correction by the cause it is for and the sign it should make go" }
        div.wide role="region" aria-labelledby="works-table" tabindex="0" {
            table.figures aria-labelledby="works-table" {
                thead {
                    tr {
                        th scope="col" { "Correction for" }
                        th scope="col" { "Sign" }
                        th.number scope="col" { "Given" }
                        th.number scope="col" { "Came back" }
                        th.number scope="col" { "Gone" }
                        th scope="col" { "Half gone by" }
                    }
                }
                tbody {
                    @for row in &rows {
                        tr {
                            th scope="row" { a.case href={ "/desk/works?cause=" (row.cause_id) } { (row.cause) } }
                            td { (row.sign) @if row.own { span.soft { " (your own words)" } } }
                            td.number { (row.given) }
                            td.number { (row.resubmitted) }
                            td.number { (row.gone) }
                            td { (row.median) @if row.few { " " span.badge.eye { "few: do not go by it" } } }
                        }
                    }
                }
            }
        }
    }
}

/// The plot; what it shows stands in the table above it.
fn curves(catalog: &Catalog, lines: &[Line]) -> Markup {
    html! {
        section.sheet aria-labelledby="curves" {
            h2 id="curves" { "How soon" }
            figure.plot {
                div.wide role="region" aria-label="Plot" tabindex="0" { (PreEscaped(works_svg(catalog, lines))) }
                figcaption {
                    "Share of lifters whose sign is still there, by days since the correction, for the most given corrections (Kaplan-Meier). A sign counts until the last set that told of it; a lifter who did not come back makes no curve better or worse. The table above holds the same in figures."
                }
            }
        }
    }
}

/// Two corrections side by side, in words with what stands against leaning on them.
fn comparing(brain: &Brain, asked: &Asked, lines: &[Line], courses: &[Course]) -> Markup {
    let both = !asked.one.is_empty() && !asked.other.is_empty();
    html! {
        section.sheet aria-labelledby="compared" {
            h2 id="compared" { "Two corrections compared" }
            @if both {
                div.outcome role="status" {
                    (markup::render(&compared(&brain.words, &brain.catalog, courses, &asked.one, &asked.other), ""))
                }
            }
            @if lines.len() < 2 { p { "There are no two corrections to compare yet." } }
            @else {
                form.compare method="get" action="/desk/works#compared" {
                    (side(&brain.catalog, lines, ("one", "First"), &asked.one, 0))
                    (side(&brain.catalog, lines, ("other", "Second"), &asked.other, 1))
                    p { button type="submit" { "Compare" } }
                }
            }
        }
    }
}

/// One of the two; `usual` is chosen as long as nothing else is.
fn side(
    catalog: &Catalog,
    lines: &[Line],
    (name, label): (&str, &str),
    chosen: &str,
    usual: usize,
) -> Markup {
    html! {
        label for=(name) { (label) }
        select id=(name) name=(name) {
            @for (index, line) in lines.iter().enumerate() {
                @let own = line.key.by == By::Coach;
                // As the chat word takes it.
                @let value = format!("{} {}{}", line.key.cause, line.key.sign, if own { " coach" } else { "" });
                @let (cause, sign) = cause_and_sign(catalog, line);
                @let on = value == chosen || (chosen.is_empty() && index == usual);
                option value=(value) selected[on] { (line.key.lift) ": " (cause) "; " (sign) @if own { " (your own words)" } " (" (line.given) ")" }
            }
        }
    }
}

/// The table as CSV.
pub(super) async fn csv(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let noted = viewed(&desk, &signed, "works.csv", None);
    if let Err(error) = desk.parts.store.note_access(&noted).await {
        return trouble(&error);
    }
    let Some(worked) = worked(&desk).await else {
        return under_way(&signed, "What works", "/desk/works");
    };
    let lines = asked.lines(worked.table(&signed.person.source));
    let kind = [
        (CONTENT_TYPE, "text/csv; charset=utf-8"),
        (
            CONTENT_DISPOSITION,
            "attachment; filename=\"what-works.csv\"",
        ),
    ];
    (kind, works_csv(&lines)).into_response()
}
