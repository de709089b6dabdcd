//! The access log of the desk: who saw and did what when, newest first. It names cases by number and
//! holds nothing that anybody wrote.

use super::guard::trouble;
use super::page::{whole, zone};
use super::queue::viewed;
use super::{Desk, Signed};
use axum::Extension;
use axum::extract::{Query, State};
use axum::response::Response;
use maud::html;
use serde::Deserialize;
use std::sync::Arc;

/// Lines on one page.
const PAGE: u32 = 100;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// Lines below this one.
    below: Option<i64>,
}

/// What was done, in words. An order that is not listed is not told by what was written in it.
fn what(what: &str) -> &'static str {
    match what {
        "signed-in" => "signed in",
        "signed-out" => "signed out",
        "queue" => "saw the queue",
        "cases" => "saw the list of cases",
        "case" => "saw the case",
        "preview" => "looked at an answer before sending it",
        "undelivered" => "saw undelivered messages",
        "sheet" => "saw the review sheet",
        "sheet.md" => "downloaded the review sheet",
        "works" => "saw what works",
        "works.csv" => "downloaded what works",
        "faults" => "saw common faults",
        "log" => "saw this log",
        "picture" => "saw a picture",
        "take" => "took the case",
        "say" => "answered the lifter",
        "ask" => "asked the lifter",
        "halt" => "stopped the case for safety",
        "lift halt" => "lifted the stop",
        "verdict" => "gave a verdict",
        "finish" => "finished the case, or set a stopped one aside",
        "send again" => "sent undelivered messages again",
        "review sheet" => "drew up a review sheet",
        "open challenge" => "put the case to the community",
        _ => "did something else",
    }
}

pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let store = &desk.parts.store;
    let below = asked.below.unwrap_or(i64::MAX);
    let read = async {
        store
            .note_access(&viewed(&desk, &signed, "log", None))
            .await?;
        store.access_page(&signed.person.source, below, PAGE).await
    };
    let lines = match read.await {
        Ok(lines) => lines,
        Err(error) => return trouble(&error),
    };
    let full = lines.len() == PAGE as usize;
    let last = lines.last().map(|(seq, _)| *seq).filter(|_| full);
    let zone = zone(&desk);
    let inside = html! {
        h1 { "Who saw and did what" }
        p.soft { "Everything at this desk, newest first. What is done by words in chat stands in the history of its case." }
        @if lines.is_empty() { p.empty { "Nothing older is kept." } }
        @else {
            div.wide role="region" aria-label="Access log" tabindex="0" {
                table {
                    thead { tr { th scope="col" { "When" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "Case" } } }
                    tbody {
                        @for (_, access) in &lines {
                            tr {
                                td {
                                    @let local = zone.to_datetime(access.at);
                                    time datetime=(access.at) { span { (local.strftime("%-d %b %Y")) } " " span { (local.strftime("%H:%M:%S")) } }
                                }
                                td { (access.person.person_id) }
                                td { (what(&access.what)) }
                                td {
                                    @match (access.number, &access.case_id) {
                                        (Some(number), _) => a.case href={ "/desk/case/" (number) } { (number) },
                                        (None, Some(_)) => "no longer kept",
                                        (None, None) => "",
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
        @if asked.below.is_some() || last.is_some() {
            nav.pages aria-label="Pages" {
                @if asked.below.is_some() { a href="/desk/log" { "Newest" } }
                @if let Some(last) = last { a href={ "/desk/log?below=" (last) } { "Older" } }
            }
        }
    };
    whole(&signed, "Log", "/desk/log", &inside)
}
