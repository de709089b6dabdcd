//! Signing in by a link from the chat, and out.

use super::guard::{cookie_name, trouble};
use super::page::{bare, html_page, refusal};
use super::{Desk, LONGEST, Signed, works_log};
use crate::record::Access;
use crate::token;
use axum::Extension;
use axum::extract::{ConnectInfo, Form, Query, State};
use axum::http::StatusCode;
use axum::http::header::{HeaderValue, SET_COOKIE};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::html;
use serde::Deserialize;
use std::net::SocketAddr;
use std::sync::Arc;

/// What a link carries.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Key {
    #[serde(default)]
    key: String,
}

/// How to sign in.
pub(super) async fn show() -> Response {
    let page = bare(
        "Sign in",
        &html! {
            h1 { "The coach's desk" }
            p { "Write " code { "desk" } " to Cueline in your chat. It sends you a link, in private, that signs you in: once, and within ten minutes." }
            p { "Not a coach here? There is nothing for you on this page; write to Cueline in the chat instead." }
        },
    );
    html_page(StatusCode::OK, page)
}

/// What a link opens: a button. Programs that look links up in advance press none, so they do not
/// use it up.
pub(super) async fn button(Query(key): Query<Key>) -> Response {
    if !token::is_token(&key.key) {
        return no_longer();
    }
    let page = bare(
        "Sign in",
        &html! {
            h1 { "The coach's desk" }
            form method="post" action=(crate::casework::ENTER) {
                input type="hidden" name="key" value=(key.key);
                p { "This link signs you in on this device, for twelve hours at most and until you have been away for half an hour." }
                button.main type="submit" autofocus { "Sign in" }
            }
            p.soft { "Only go on if you asked for the link yourself." }
        },
    );
    html_page(StatusCode::OK, page)
}

/// Uses the link up and begins a session. A good link always works; from an address that had many
/// bad ones, further bad ones are refused without saying more.
pub(super) async fn enter(
    State(desk): State<Arc<Desk>>,
    peer: Option<Extension<ConnectInfo<SocketAddr>>>,
    key: Result<Form<Key>, axum::extract::rejection::FormRejection>,
) -> Response {
    let Ok(Form(Key { key })) = key else {
        return refusal(
            StatusCode::BAD_REQUEST,
            "Not readable",
            "This is not a form of the desk.",
        );
    };
    let now = desk.now();
    let session = token::fresh();
    let ends_at = now.checked_add(LONGEST).unwrap_or(now);
    let store = &desk.parts.store;
    let person = if token::is_token(&key) {
        let (link, session) = (token::hash(&key), token::hash(&session));
        match store.sign_in(&link, &session, now, ends_at).await {
            Ok(person) => person,
            Err(error) => return trouble(&error),
        }
    } else {
        None
    };
    if person.is_some_and(|person| desk.is_coach(&person)) {
        // Ready by the time somebody asks what works.
        works_log::begin(&desk);
        let mut answer = Redirect::to("/desk").into_response();
        set_cookie(&mut answer, &desk, &session, LONGEST.as_secs());
        return answer;
    }
    let address = peer.map(|peer| peer.0.0.ip());
    match address.map(|address| desk.wrong_links.take(&address)) {
        Some(Err(_)) => refusal(
            StatusCode::TOO_MANY_REQUESTS,
            "Too many tries",
            "Please wait a quarter of an hour, or write `desk` in the chat for a new link.",
        ),
        _ => no_longer(),
    }
}

fn no_longer() -> Response {
    refusal(
        StatusCode::FORBIDDEN,
        "This link does not work",
        "It was used already, it is older than ten minutes, or a newer one was asked for. Write `desk` in the chat for another.",
    )
}

/// Ends the session, here and on the server.
pub(super) async fn leave(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
) -> Response {
    let store = &desk.parts.store;
    let noted = store
        .note_access(&Access {
            at: desk.now(),
            person: signed.person.clone(),
            what: "signed-out".to_owned(),
            case_id: None,
            number: None,
            action_id: None,
            outcome: None,
        })
        .await;
    if let Err(error) = store.end_session(&signed.session).await.and(noted) {
        return trouble(&error);
    }
    let mut answer = Redirect::to("/desk/sign-in").into_response();
    set_cookie(&mut answer, &desk, "", 0);
    answer
}

/// Sets or takes away the session's cookie.
fn set_cookie(answer: &mut Response, desk: &Desk, value: &str, seconds: i64) {
    let secure = desk.secure();
    let cookie = format!(
        "{}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict{}",
        cookie_name(secure),
        if secure { "; Secure" } else { "" }
    );
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        answer.headers_mut().insert(SET_COOKIE, cookie);
    }
}

/// The session is over; what was written is given back.
pub(super) fn over(text: &str) -> Response {
    let page = bare(
        "Signed out",
        &html! {
            h1 { "You are signed out" }
            p role="alert" { "Nothing was sent. Write " code { "desk" } " in the chat for a new link." }
            @if !text.is_empty() {
                label for="kept" { "What you wrote, to copy before you leave this page" }
                textarea id="kept" rows="10" readonly { (text) }
            }
        },
    );
    html_page(StatusCode::FORBIDDEN, page)
}
