//! The frame of every page, and what its looks are made of.

use super::guard::FORM_TOKEN;
use super::{Desk, Signed};
use crate::token;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use maud::{DOCTYPE, Markup, html};

/// The pages reached from everywhere: address, name, key if there is one.
const PLACES: [(&str, &str, Option<&str>); 7] = [
    ("/desk", "Queue", Some("q")),
    ("/desk/cases", "Cases", None),
    ("/desk/sheet", "Review sheet", Some("s")),
    ("/desk/works", "What works", Some("w")),
    ("/desk/undelivered", "Undelivered", Some("u")),
    ("/desk/log", "Log", Some("g")),
    ("/desk/help", "Help", None),
];

pub(super) async fn style() -> impl IntoResponse {
    let kind = [(header::CONTENT_TYPE, "text/css; charset=utf-8")];
    (kind, include_str!("desk.css"))
}

pub(super) async fn script() -> impl IntoResponse {
    let kind = [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")];
    (kind, include_str!("desk.js"))
}

pub(super) async fn icon() -> impl IntoResponse {
    let kind = [(header::CONTENT_TYPE, "image/svg+xml")];
    (kind, include_str!("icon.svg"))
}

/// A page with its status.
pub(super) fn html_page(status: StatusCode, page: Markup) -> Response {
    (status, Html(page.into_string())).into_response()
}

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            meta name="robots" content="noindex";
            title { (title) " - Cueline desk" }
            link rel="icon" type="image/svg+xml" href="/desk/icon.svg";
            link rel="stylesheet" href="/desk/desk.css";
            script src="/desk/desk.js" defer {}
        }
    }
}

/// A page for anybody: no way into the rest.
pub(super) fn bare(title: &str, inside: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(title))
            body.bare { main id="main" { (inside) } }
        }
    }
}

/// Something that did not go.
pub(super) fn refusal(status: StatusCode, title: &str, why: &str) -> Response {
    let inside = html! {
        h1 { (title) }
        p role="alert" { (why) }
        p { a href="/desk" { "Back to the desk" } }
    };
    html_page(status, bare(title, &inside))
}

/// A page for a coach. `place` is the address of the place it belongs to.
pub(super) fn whole(signed: &Signed, title: &str, place: &str, inside: &Markup) -> Response {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head(title))
            body {
                a.skip href="#main" { "Skip to the page" }
                header.top {
                    p.name { "Cueline desk" }
                    nav aria-label="Desk" {
                        ul {
                            @for (address, name, key) in PLACES {
                                li { a href=(address) data-key=[key] aria-current=[(address == place).then_some("page")] { (name) } }
                            }
                        }
                    }
                    form.out method="post" action="/desk/sign-out" {
                        (token_field(signed))
                        span.who { (signed.person.person_id) }
                        button.quiet type="submit" { "Sign out" }
                    }
                }
                main id="main" { (inside) }
                footer {
                    p id="keys" {
                        "Keys: " kbd { "j" } " next, " kbd { "k" } " previous, " kbd { "Enter" } " open; in a case "
                        kbd { "a" } " answer, " kbd { "t" } " take, " kbd { "f" } " finish, " kbd { "q" } " queue; "
                        kbd { "s" } " review sheet, " kbd { "w" } " what works, " kbd { "u" } " undelivered, " kbd { "g" } " log, "
                        kbd { "?" } " help."
                    }
                }
            }
        }
    };
    html_page(StatusCode::OK, page)
}

/// What every form of a session carries.
pub(super) fn token_field(signed: &Signed) -> Markup {
    html! { input type="hidden" name=(FORM_TOKEN) value=(signed.form_token); }
}

/// What a form carries that does something: the session's token, and an id of its own by which the
/// deed is done once.
pub(super) fn deed_fields(signed: &Signed) -> Markup {
    html! {
        (token_field(signed))
        input type="hidden" name="deed" value=(token::fresh());
    }
}

/// The house's zone.
pub(super) fn zone(desk: &Desk) -> TimeZone {
    TimeZone::get(&desk.brain().rules.default_zone).unwrap_or(TimeZone::UTC)
}

/// A time in the house's zone.
pub(super) fn time(desk: &Desk, at: Timestamp) -> Markup {
    let local = zone(desk).to_datetime(at);
    html! { time datetime=(at) { (local.strftime("%a %-d %b %H:%M")) } }
}
