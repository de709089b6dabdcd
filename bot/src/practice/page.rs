//! The practice page, whole without scripts: seats, messages, what can be done with them, and the
//! set form. `page.js` adds news as it comes and sends without loading the page anew.

use super::examples::{Example, examples};
use super::file::KINDS;
use super::message::{AuthorKind, Handover, Message};
use super::problem::Problem;
use super::{Practice, Seat, SeatKind, card, guard};
use axum::extract::{Query, State};
use axum::http::{HeaderMap, header};
use axum::response::{Html, IntoResponse as _, Response};
use maud::{DOCTYPE, Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;

/// Messages shown when the page is loaded.
const SHOWN: usize = 50;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    seat: Option<String>,
    room: Option<String>,
    /// Message to answer.
    reply: Option<String>,
    /// Example to put into the box, by its number.
    example: Option<usize>,
}

pub(super) async fn style() -> impl axum::response::IntoResponse {
    let kind = [(header::CONTENT_TYPE, "text/css; charset=utf-8")];
    (kind, include_str!("page.css"))
}

pub(super) async fn script() -> impl axum::response::IntoResponse {
    let kind = [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")];
    (kind, include_str!("page.js"))
}

/// Everything one showing of the page needs.
pub(super) struct View<'a> {
    pub(super) practice: &'a Practice,
    pub(super) seat: &'a Seat,
    pub(super) room: &'a str,
    /// This service's address as the browser knows it, `/` at the end.
    pub(super) own: &'a str,
}

pub(super) async fn show(
    State(practice): State<Practice>,
    Query(asked): Query<Asked>,
    headers: HeaderMap,
) -> Response {
    let found = practice
        .seat_or_first(asked.seat.as_deref())
        .and_then(|seat| {
            let room = asked.room.clone().unwrap_or_else(|| seat.room.clone());
            let known = practice.chat.rooms().iter().any(|one| one.id == room);
            if known && seat.may_enter(&room) {
                Ok((seat, room))
            } else {
                Err(Problem::bad("room is not one this seat may enter."))
            }
        });
    match found {
        Ok((seat, room)) => {
            let host = guard::loopback_host(&headers).unwrap_or("127.0.0.1");
            let view = View {
                practice: &practice,
                seat: &seat,
                room: &room,
                own: &format!("http://{host}/"),
            };
            Html(whole(&view, &asked).into_string()).into_response()
        }
        Err(problem) => refusal(&problem, None, None),
    }
}

/// The page's address for a seat and room; ids that are none are left out.
pub(super) fn address(seat: &str, room: Option<&str>, rest: &str) -> String {
    let id = |id: &str| {
        id.bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-')
    };
    let mut address = "/practice".to_owned();
    if !seat.is_empty() && id(seat) {
        address.push_str("?seat=");
        address.push_str(seat);
        if let Some(room) = room.filter(|room| id(room)) {
            address.push_str("&room=");
            address.push_str(room);
        }
    }
    address.push_str(rest);
    address
}

/// What a browser without scripts sees when something did not go.
pub(super) fn refusal(problem: &Problem, seat: Option<&str>, room: Option<&str>) -> Response {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head("That did not work"))
            body.refusal {
                main {
                    h1 { "That did not work" }
                    p role="alert" { (problem.detail()) }
                    p { a href=(address(seat.unwrap_or_default(), room, "")) { "Back to the room" } }
                }
            }
        }
    };
    (problem.status(), Html(page.into_string())).into_response()
}

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) }
            link rel="icon" href="data:,";
            link rel="stylesheet" href="/practice/page.css";
            script src="/practice/page.js" defer {}
        }
    }
}

fn whole(view: &View<'_>, asked: &Asked) -> Markup {
    let chat = &view.practice.chat;
    // Read before the messages, so that one written meanwhile comes with the feed.
    let latest = chat.latest();
    let messages = chat.newest(SHOWN, |message| view.seat.sees(view.room, message));
    let oldest_change = messages.iter().map(|one| one.seq.saturating_sub(1)).min();
    let after = oldest_change.map_or(latest, |oldest| oldest.min(latest));
    let people: BTreeMap<&str, &str> = view
        .practice
        .people
        .iter()
        .map(|seat| (seat.id.as_str(), seat.role_label.as_str()))
        .collect();
    let people = serde_json::to_string(&people).unwrap_or_default();
    html! {
        (DOCTYPE)
        html lang="en" {
            (head("Practice room"))
            body {
                a.skip href="#say" { "Skip to writing" }
                header.top {
                    h1 { "Practice room" }
                    p.caution {
                        "This is practice. Nobody watches this room; in an emergency ring your "
                        "local emergency number. Pain, numbness or faintness: stop lifting and "
                        "see a doctor."
                    }
                }
                div.layout {
                    (seats(view))
                    main #room data-seat=(view.seat.id) data-name=(view.seat.name)
                        data-room=(view.room) data-after=(after) data-mark=(chat.mark())
                        data-people=(people) {
                        (rooms(view))
                        ol #feed role="log" aria-live="polite" aria-label="Messages" tabindex="0" {
                            @for message in &messages { (card::card(view, message)) }
                        }
                        p #empty.hint hidden[!messages.is_empty()] {
                            "Nothing here yet. Write something below, or pick one of the examples."
                        }
                        div #newest {}
                        noscript { p.hint {
                            a href=(address(&view.seat.id, Some(view.room), "#newest")) { "Show what is new" }
                        } }
                        (composer(view, asked))
                    }
                    aside aria-label="Things to try" {
                        (tries(view))
                        @if view.seat.kind == SeatKind::Lifter { (set_form(view)) }
                        (leaving(view))
                    }
                }
            }
        }
    }
}

fn seats(view: &View<'_>) -> Markup {
    html! {
        nav.seats aria-label="Seats" {
            h2 { "Sit down as" }
            ul {
                @for seat in view.practice.people.iter() {
                    li {
                        a href=(address(&seat.id, None, ""))
                            aria-current=[(seat.id == view.seat.id).then_some("true")] {
                            span.who { (seat.name) }
                            span.role { (seat.role_label) }
                        }
                    }
                }
            }
        }
    }
}

fn rooms(view: &View<'_>) -> Markup {
    let rooms = view.practice.chat.rooms();
    let open: Vec<_> = rooms
        .iter()
        .filter(|room| view.seat.may_enter(&room.id))
        .collect();
    html! {
        nav.rooms aria-label="Rooms" {
            @for room in open {
                a href=(address(&view.seat.id, Some(&room.id), ""))
                    aria-current=[(room.id == view.room).then_some("page")] { (room.label) }
            }
        }
    }
}

fn composer(view: &View<'_>, asked: &Asked) -> Markup {
    let answered = asked
        .reply
        .as_deref()
        .and_then(|id| view.practice.chat.message(id).ok());
    let answered = answered.filter(|one| view.seat.sees(view.room, one));
    let example = asked
        .example
        .and_then(|at| examples(view.seat.kind).get(at));
    let text = example.map_or("", |one| one.text);
    html! {
        form #say method="post" action="/practice/say" data-live="say" {
            (card::hidden(view))
            p #answering hidden[answered.is_none()] {
                span #answering-what { @if let Some(one) = &answered { "Answering " (short(one)) } }
                " "
                a #answer-none href=(address(&view.seat.id, Some(view.room), "#say")) { "Do not answer it" }
            }
            input type="hidden" name="reply_to" value=(answered.map(|one| one.id).unwrap_or_default());
            label for="text" { "Write as " strong { (view.seat.name) } }
            div.line {
                textarea #text name="text" rows="3" maxlength="8000" required
                    aria-describedby="keys" { (text) }
                button.main type="submit" { "Send" }
            }
            // Read by `page.js`: a plain form of this kind carries no file.
            label #file-line.hint hidden {
                "A picture or a trace with it (PNG, JPEG, CSV or JSON, up to 256 KiB): "
                input #file type="file" accept=(KINDS.join(","));
            }
            noscript { p.hint { "Sending a picture or a trace takes scripts; the rest does not." } }
            p #keys.hint { "Enter sends, Shift and Enter begins a new line." }
            p #status role="status" {}
        }
    }
}

/// Who wrote a message and how it begins.
pub(super) fn short(message: &Message) -> String {
    let line = message.text.lines().next().unwrap_or_default();
    let start: String = line.chars().take(48).collect();
    let more = if start.len() < message.text.len() {
        "…"
    } else {
        ""
    };
    format!("{}: “{start}{more}”", message.author.name)
}

fn tries(view: &View<'_>) -> Markup {
    html! {
        section.tries {
            h2 { "Try one of these" }
            ul {
                @for (at, Example { label, text }) in examples(view.seat.kind).iter().enumerate() {
                    li {
                        a href={ (address(&view.seat.id, Some(view.room), "")) "&example=" (at) "#say" }
                            data-example=(text) {
                            span.label { (label) }
                            span.text { (text) }
                        }
                    }
                }
            }
        }
    }
}

fn number(name: &str, label: &str, hint: &str) -> Markup {
    html! {
        label { span { (label) } input name=(name) inputmode="decimal" autocomplete="off" placeholder=(hint); }
    }
}

fn pick(name: &str, label: &str, choices: &[(&str, &str)]) -> Markup {
    html! {
        label {
            span { (label) }
            select name=(name) {
                @for (value, shown) in choices { option value=(value) { (shown) } }
            }
        }
    }
}

fn set_form(view: &View<'_>) -> Markup {
    const UNSAID: (&str, &str) = ("", "not said");
    const YES_NO: &[(&str, &str)] = &[UNSAID, ("yes", "yes"), ("no", "no")];
    html! {
        details.set-form {
            summary { "Send a set with the form" }
            form method="post" action="/practice/submit" data-live="submit" {
                (card::hidden(view))
                div.grid {
                    (pick("lift", "Lift", &[UNSAID, ("squat", "squat"), ("bench", "bench press"), ("deadlift", "deadlift")]))
                    (number("load", "Load", "e.g. 140"))
                    (pick("unit", "Unit", &[UNSAID, ("kg", "kg"), ("lb", "lb")]))
                    (number("reps", "Reps", "e.g. 5"))
                    (number("rpe", "RPE, 1 to 10", "e.g. 8"))
                    (number("body_mass", "Body mass", "same unit"))
                    (number("best", "Best single", "same unit"))
                    (pick("view", "Seen from", &[UNSAID, ("side", "the side"), ("front", "the front"), ("rear", "behind"), ("three-quarter", "45 degrees")]))
                    (pick("alone", "Lifting alone", YES_NO))
                    (pick("safeties", "Safeties set", YES_NO))
                }
                label.wide { span { "What you felt or saw" } textarea name="words" rows="3" maxlength="2000" {} }
                button.main type="submit" { "Send the form" }
            }
        }
    }
}

fn leaving(view: &View<'_>) -> Markup {
    html! {
        form.leaving method="post" action="/practice/leave" data-live="leave" {
            (card::hidden(view))
            button.quiet type="submit" { "Leave the room as " (view.seat.name) }
        }
    }
}

/// Whether a message is one the seat wrote and may change.
pub(super) fn is_own(seat: &Seat, message: &Message) -> bool {
    message.author.kind == AuthorKind::Person && message.author.id == seat.id && !message.deleted
}

/// What to say of a message's way to the service, when there is something to say.
pub(super) fn way(message: &Message) -> Option<&str> {
    match &message.handover {
        Handover::Refused(why) => Some(why),
        Handover::Waiting => Some("On its way…"),
        Handover::NotNeeded | Handover::Taken => None,
    }
}
