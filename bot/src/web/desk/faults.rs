//! Common faults: how often each cause was seen by lift and month, what waits longest, and how often the
//! service and the coach name the same cause first.

use super::guard::trouble;
use super::page::{whole, zone};
use super::queue::viewed;
use super::works::{Asked, from, lift_choice, places, under_way};
use super::works_log::worked;
use super::{Desk, Signed};
use crate::markup;
use crate::wording::community::{Faults, faults, faults_agreement};
use crate::wording::waiting;
use axum::Extension;
use axum::extract::{Query, State};
use axum::response::Response;
use maud::{Markup, html};
use std::sync::Arc;

/// The page.
pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let (store, now, source) = (&desk.parts.store, desk.now(), &signed.person.source);
    let read = async {
        store
            .note_access(&viewed(&desk, &signed, "faults", None))
            .await?;
        // The first line of what waits, longest first.
        store.sheet_lines(source, now, now, 1).await
    };
    let longest = match read.await {
        Ok(lines) => lines.into_iter().find(|line| line.item.is_some()),
        Err(error) => return trouble(&error),
    };
    let Some(worked) = worked(&desk).await else {
        return under_way(&signed, "Common faults", "/desk/works");
    };
    let brain = desk.brain();
    let today = zone(&desk).to_datetime(now).date();
    let table = faults(
        &brain.catalog,
        &worked.log.seen_of(source),
        today,
        asked.lift(),
    );
    let agreement = worked.agreement(source, asked.lift());
    let agreement = agreement.map_or_else(
        || faults_agreement(&brain.words, &[], asked.lift()),
        str::to_owned,
    );
    let inside = html! {
        h1 { "Common faults" }
        (places("/desk/faults"))
        p { "By the first cause Cueline saw in each set." }
        (from(&desk, &worked))
        form.find method="get" action="/desk/faults" {
            (lift_choice(asked.lift()))
            button type="submit" { "Show" }
        }
        @if table.rows.is_empty() { p.empty { "No fault was seen in these months." } }
        @else { (by_month(&table)) }
        section.sheet aria-labelledby="longest" {
            h2 id="longest" { "Waits longest" }
            @match longest.as_ref().and_then(|line| Some((line, line.item.as_ref()?))) {
                Some((line, item)) => p {
                    a.case href={ "/desk/case/" (line.case.number) } { "Case " (line.case.number) ": " (line.lifter_name) }
                    ", for " (waiting(item.since, now))
                },
                None => p { "Nothing waits." },
            }
        }
        section.sheet aria-labelledby="agreement" {
            h2 id="agreement" { "Cueline and the coach" }
            (markup::render(&agreement, ""))
        }
    };
    whole(&signed, "Common faults", "/desk/works", &inside)
}

/// The table.
fn by_month(table: &Faults) -> Markup {
    html! {
        p.soft id="faults-table" { "Sets by cause and month, the most seen first within a lift" }
        div.wide role="region" aria-labelledby="faults-table" tabindex="0" {
            table.figures aria-labelledby="faults-table" {
                thead {
                    tr {
                        th scope="col" { "Lift" }
                        th scope="col" { "Cause" }
                        @for month in &table.months { th.number scope="col" { (month) } }
                        th.number scope="col" { "All" }
                    }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            td { (row.lift.name()) }
                            th scope="row" { a.case href={ "/desk/works?cause=" (row.cause_id) } { (row.cause) } }
                            @for count in &row.counts { td.number { (count) } }
                            td.number { strong { (row.total()) } }
                        }
                    }
                }
            }
        }
    }
}
