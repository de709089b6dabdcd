//! The queue: what waits, in order, with why, since when, what was promised and who has it.

use super::act::outcome_of;
use super::guard::trouble;
use super::page::{time, whole};
use super::{Desk, Signed};
use crate::record::{Access, QueueCount, QueueLine, Urgency};
use crate::wording::waiting;
use axum::Extension;
use axum::extract::{Query, State};
use axum::response::Response;
use cueline_core::report::Lift;
use jiff::Timestamp;
use maud::{Markup, html};
use serde::Deserialize;
use std::sync::Arc;

/// Cases on one page.
const PAGE: u32 = 50;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// First line, counted from 0.
    #[serde(default)]
    from: u32,
    /// Deed whose outcome is shown.
    done: Option<String>,
    /// What was said just before that deed.
    said: Option<String>,
    /// Case to go on with.
    next: Option<i64>,
}

/// An urgency in words, and the class of its badge.
pub(super) const fn urgency(urgency: Urgency) -> (&'static str, &'static str) {
    match urgency {
        Urgency::Emergency => ("Emergency words", "emergency"),
        Urgency::Clinician => ("Stopped", "stopped"),
        Urgency::Eye => ("Needs your eye", "eye"),
        Urgency::Asked => ("Asked for you", "asked"),
    }
}

/// A line of the access log for a page.
pub(super) fn viewed(desk: &Desk, signed: &Signed, what: &str, case_id: Option<&str>) -> Access {
    Access {
        at: desk.now(),
        person: signed.person.clone(),
        what: what.to_owned(),
        case_id: case_id.map(str::to_owned),
        number: None,
        action_id: None,
        outcome: None,
    }
}

pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let (store, now) = (&desk.parts.store, desk.now());
    let source = &signed.person.source;
    let hours = desk.brain().rules.aging_hours;
    let said = outcome_of(&desk, &signed, asked.said.as_deref()).await;
    let outcome = outcome_of(&desk, &signed, asked.done.as_deref()).await;
    let read = async {
        store
            .note_access(&viewed(&desk, &signed, "queue", None))
            .await?;
        let lines = store
            .desk_queue(source, now, hours, asked.from, PAGE + 1)
            .await?;
        let undelivered = !store.dead_letters_of(source, 1).await?.is_empty();
        Ok((lines, store.queue_counts(source, now).await?, undelivered))
    };
    let (lines, counts, undelivered) = match read.await {
        Ok(read) => read,
        Err(error) => return trouble(&error),
    };
    let more = lines.len() > PAGE as usize;
    let marked = marked(&lines, &asked);
    let inside = html! {
        h1 { "Queue" }
        (said)
        (outcome)
        (summary(&counts))
        @if undelivered { p.warn { "Something you or Cueline said was not delivered: " a href="/desk/undelivered" { "look at it" } "." } }
        form.find method="get" action="/desk/cases" role="search" {
            label for="number" { "Case number" }
            input id="number" name="number" inputmode="numeric" pattern="[0-9]*" autocomplete="off";
            button type="submit" { "Open" }
        }
        @if lines.is_empty() {
            p.empty { "Nothing waits. New cases come here by themselves; load the page again to see." }
        } @else {
            ol.queue start=(asked.from + 1) {
                @for (index, line) in lines.iter().take(PAGE as usize).enumerate() {
                    (item(&desk, line, now, marked == Some(index)))
                }
            }
        }
        @if asked.from > 0 || more {
            nav.pages aria-label="Pages of the queue" {
                @if asked.from > 0 { a href={ "/desk?from=" (asked.from.saturating_sub(PAGE)) } { "Earlier in the queue" } }
                @if more { a href={ "/desk?from=" (asked.from + PAGE) } { "Later in the queue" } }
            }
        }
    };
    whole(&signed, "Queue", "/desk", &inside)
}

/// The line that has the focus after a deed: the case to go on with, else the first.
fn marked(lines: &[QueueLine], asked: &Asked) -> Option<usize> {
    asked.done.as_ref()?;
    let next = |line: &QueueLine| Some(line.case.number) == asked.next;
    Some(lines.iter().position(next).unwrap_or_default())
}

/// How much waits.
fn summary(counts: &[QueueCount]) -> Markup {
    let all: i64 = counts.iter().map(|count| count.number).sum();
    let overdue: i64 = counts.iter().map(|count| count.overdue).sum();
    html! {
        p.counts {
            strong { (all) " waiting" }
            @if overdue > 0 { ", " strong.warn { (overdue) " overdue" } }
            @for count in counts { ", " (count.number) " " (urgency(count.urgency).0.to_lowercase()) }
        }
    }
}

/// Since when, what was promised, and who has it.
pub(super) fn dates(desk: &Desk, line: &crate::record::QueueItem, now: Timestamp) -> Markup {
    html! {
        span { "waits " (waiting(line.since, now)) }
        @if let Some(at) = line.promised {
            @if at < now {
                span.warn { "overdue: promised " (time(desk, at)) }
            } @else {
                span { "promised by " (time(desk, at)) ", in " (waiting(now, at)) }
            }
        }
        @if let (Some(by), Some(until)) = (&line.taken_by, line.taken_until) {
            @if until > now { span.held { "with " (by.person_id) " until " (time(desk, until)) } }
        }
    }
}

fn item(desk: &Desk, line: &QueueLine, now: Timestamp, marked: bool) -> Markup {
    let (name, class) = urgency(line.item.urgency);
    html! {
        li {
            article {
                h2 {
                    span class={ "badge " (class) } { (name) } " "
                    a.case href={ "/desk/case/" (line.case.number) } autofocus[marked] {
                        "Case " (line.case.number) ": " (line.lifter_name) ", " (line.case.lift.map_or("set", Lift::name))
                    }
                }
                p.why { (reasons(&line.item.reasons)) }
                p.dates { (dates(desk, &line.item, now)) span { "about " (line.item.minutes) " min" } }
            }
        }
    }
}

/// Why a case waits.
pub(super) fn reasons(reasons: &[crate::record::Reason]) -> Markup {
    html! {
        @for (index, reason) in reasons.iter().enumerate() {
            @if index > 0 { "; " }
            (reason.why)
        }
    }
}
