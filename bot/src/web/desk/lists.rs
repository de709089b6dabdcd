//! Recent cases, undelivered messages, help.

use super::act::outcome_of;
use super::guard::trouble;
use super::page::{deed_fields, time, whole};
use super::queue::viewed;
use super::show::state;
use super::{Desk, Signed};
use crate::record::Recipient;
use crate::store::StoreError;
use axum::Extension;
use axum::extract::{Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use cueline_core::report::Lift;
use maud::html;
use serde::Deserialize;
use std::sync::Arc;

/// Cases or messages on one page.
const PAGE: u32 = 50;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// Case to open.
    number: Option<String>,
    /// Cases with numbers below this one.
    below: Option<i64>,
    /// Deed whose outcome is shown.
    done: Option<String>,
}

/// Cases, newest first; a number that is typed opens its case.
pub(super) async fn cases(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let typed = asked.number.as_deref().unwrap_or_default().trim();
    if let Ok(number) = typed.parse::<i64>() {
        return Redirect::to(&format!("/desk/case/{number}")).into_response();
    }
    let store = &desk.parts.store;
    let below = asked.below.unwrap_or(i64::MAX);
    let read = async {
        store
            .note_access(&viewed(&desk, &signed, "cases", None))
            .await?;
        store.recent_cases(&signed.person.source, below, PAGE).await
    };
    let lines = match read.await {
        Ok(lines) => lines,
        Err(error) => return trouble(&error),
    };
    let full = lines.len() == PAGE as usize;
    let last = lines.last().map(|line| line.case.number).filter(|_| full);
    let inside = html! {
        h1 { "Cases" }
        form.find method="get" action="/desk/cases" role="search" {
            label for="number" { "Case number" }
            input id="number" name="number" inputmode="numeric" pattern="[0-9]*" autocomplete="off";
            button type="submit" { "Open" }
        }
        @if !typed.is_empty() { p.warn role="alert" { "That is no case number. Numbers are digits alone, such as 12." } }
        @if lines.is_empty() { p.empty { "No cases here." } }
        ul.list {
            @for line in &lines {
                li {
                    a.case href={ "/desk/case/" (line.case.number) } {
                        "Case " (line.case.number) ": " (line.lifter_name) ", " (line.case.lift.map_or("set", Lift::name))
                    }
                    span.soft { (state(line.case.state)) ", opened " (time(&desk, line.case.opened_at)) }
                }
            }
        }
        @if let Some(last) = last { nav.pages aria-label="Pages" { a href={ "/desk/cases?below=" (last) } { "Older cases" } } }
    };
    whole(&signed, "Cases", "/desk/cases", &inside)
}

/// Messages the platform does not take.
pub(super) async fn undelivered(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let store = &desk.parts.store;
    let outcome = outcome_of(&desk, &signed, asked.done.as_deref()).await;
    let read = async {
        store
            .note_access(&viewed(&desk, &signed, "undelivered", None))
            .await?;
        let letters = store.dead_letters_of(&signed.person.source, PAGE).await?;
        let mut lines = Vec::new();
        for letter in letters {
            let case = match &letter.message.case_id {
                Some(id) => store.case(id).await?.map(|case| case.number),
                None => None,
            };
            lines.push((letter, case));
        }
        Ok::<_, StoreError>(lines)
    };
    let lines = match read.await {
        Ok(lines) => lines,
        Err(error) => return trouble(&error),
    };
    let inside = html! {
        h1 { "Undelivered messages" }
        (outcome)
        @if lines.is_empty() { p.empty { "Every message was delivered, or is still being tried." } }
        @else {
            form method="post" action="/desk/send-again" {
                (deed_fields(&signed))
                button.main type="submit" data-key="r" { "Send all of them again" }
            }
            ul.list {
                @for (letter, number) in &lines {
                    li {
                        p {
                            @match &letter.message.to {
                                Recipient::RoomId(room) => { "To room " (room) }
                                Recipient::PersonId(person) => { "To " (person) ", in private" }
                            }
                            @if let Some(number) = number { ", " a href={ "/desk/case/" (number) } { "case " (number) } }
                            ", given up " (time(&desk, letter.died_at))
                        }
                        p.soft { (letter.last_error) }
                        details { summary { "The message" } p.own { (letter.message.text) } }
                    }
                }
            }
        }
    };
    whole(&signed, "Undelivered", "/desk/undelivered", &inside)
}

/// How the desk works.
pub(super) async fn help(Extension(signed): Extension<Signed>) -> Response {
    let keys = [
        (
            "j, k",
            "next and previous: in a list or table from line to line, in a case to the next and the one before",
        ),
        ("Enter", "opens what is marked, presses what is marked"),
        ("a", "to your answer; Ctrl and Enter there show the preview"),
        (
            "t, f",
            "to \"Take it\" and \"Finish\"; in the preview f goes to \"Send and finish\"; Enter then does it",
        ),
        ("h, l", "to the stop, or to lifting it"),
        (
            "p",
            "starts your answer from Cueline's plan, for you to change",
        ),
        ("v", "to your verdict; Ctrl and Enter there keep it"),
        ("n", "to one question for the lifter"),
        ("c", "to putting the case to the community"),
        ("q", "to the queue"),
        ("b", "from the preview back to the case"),
        ("s", "the review sheet"),
        ("w", "what works"),
        (
            "u, r",
            "undelivered messages; there, to the button that sends them again",
        ),
        ("g", "the log of this desk"),
        ("?", "this page"),
    ];
    let inside = html! {
        h1 { "Help" }
        section.sheet aria-labelledby="evening" {
            h2 id="evening" { "Clearing the queue" }
            p { "Emergency words come first, then stops, then what needs your eye, then who asked for you; within that what was promised sooner, then what waits longer. Who waits long moves up." }
            p { "Open a case, read what was said, write your answer, look at the preview, send it, and finish the case: " strong { "Send and finish" } " does both. What you said is practised, and the lifter is asked about it later. The desk goes on with the case that came next." }
            p { "A stopped case that you have answered can be set aside: it stays stopped and comes back as soon as the lifter writes." }
            p { "Take a case when you need longer: it is yours for a while, and another coach is told so." }
            p { "Everything here can be written in chat too, and does the same: " code { "queue" } ", " code { "show 12" } ", " code { "take 12" } ", " code { "say 12 your words" } ", " code { "ask 12 your question" } ", " code { "halt 12 why" } ", " code { "lift halt 12" } ", " code { "finish 12" } ", " code { "verdict 12 ..." } ", " code { "open challenge 12 until friday 18:00" } ", " code { "review sheet 20 minutes" } ", " code { "what works squat" } ", " code { "common faults" } ", " code { "send again" } "." }
            p { "In Cueline's view the figure behind a sign is how far it moves the cause, in log odds: +0.7 doubles the odds, -0.7 halves them." }
            p { "Ask the lifter one question when something is missing: the case leaves the queue and comes back with the answer." }
            p { "For the weekly session, draw up the " a href="/desk/sheet" { "review sheet" } " for your minutes and print it. What you keep and do not answer comes first on the next one. Only what the lifter agreed to may be shown; each card says so." }
            p { "Every case you look at and everything you do here is noted, with the time: see the " a href="/desk/log" { "log" } "." }
        }
        section.sheet aria-labelledby="keyboard" {
            h2 id="keyboard" { "Keys" }
            dl.keys { @for (key, what) in keys { dt { kbd { (key) } } dd { (what) } } }
            p { "Keys of one letter work while no field is being written in. " span id="keys-switch" { "They need scripts; without them every link and button works as usual." } }
        }
        section.sheet aria-labelledby="safety" {
            h2 id="safety" { "Safety" }
            p { "A stop ends loads, technique and reminders until you lift it, and you lift it only when a licensed clinician has cleared the lifter. Nobody here diagnoses an injury or an illness. In an emergency the lifter rings the local number; write that first, and nothing else." }
        }
    };
    whole(&signed, "Help", "/desk/help", &inside)
}
