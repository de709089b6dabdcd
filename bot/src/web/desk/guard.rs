//! Who comes in: sessions, forms that are our own, and what every answer carries.

use super::page::refusal;
use super::{Desk, IDLE, Signed, sign_in};
use crate::store::StoreError;
use crate::token;
use axum::body::{Body, to_bytes};
use axum::extract::{Form, FromRequest as _, Request, State};
use axum::http::header::{
    ALLOW, CACHE_CONTROL, CONTENT_SECURITY_POLICY, COOKIE, HeaderName, HeaderValue, ORIGIN,
    REFERRER_POLICY, STRICT_TRANSPORT_SECURITY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Redirect, Response};
use jiff::SignedDuration;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use tracing::Instrument as _;

/// Longest time for a whole request, its body included.
const DEADLINE: Duration = Duration::from_secs(15);
/// Largest form, bytes.
const FORM_BYTES: usize = 64 * 1024;
/// How often the use of a session is noted.
const NOTE_EVERY: SignedDuration = SignedDuration::from_secs(60);
/// Nothing but what the desk itself serves.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
     form-action 'self'; frame-ancestors 'none'; base-uri 'none'";
/// A year, as ASVS 5.0 3.4.1 asks for.
const HTTPS_ONLY: &str = "max-age=31536000";
/// Name of the field every form of a session carries.
pub(super) const FORM_TOKEN: &str = "form";
/// Purpose of the token derived from the session for its forms.
const FORM_PURPOSE: &str = "desk form";

/// The fields of a form whose token was right.
#[derive(Clone, Debug, Default)]
pub(super) struct Fields(BTreeMap<String, String>);

impl Fields {
    /// A field's text, with plain line ends and without control characters; empty when missing.
    pub(super) fn text(&self, name: &str) -> String {
        let text = self.0.get(name).map_or("", String::as_str);
        text.replace("\r\n", "\n")
            .chars()
            .filter(|c| matches!(c, '\n' | '\t') || !c.is_control())
            .collect()
    }
}

/// Trouble with the database, as the coach sees it.
pub(super) fn trouble(error: &StoreError) -> Response {
    tracing::warn!(%error, "the desk cannot read");
    refusal(
        StatusCode::SERVICE_UNAVAILABLE,
        "Not available right now",
        "The database does not answer. Please load the page again in a moment.",
    )
}

/// 405 with what is allowed.
pub(super) fn not_allowed(methods: &'static str) -> Response {
    let mut answer = refusal(
        StatusCode::METHOD_NOT_ALLOWED,
        "That does not work here",
        "This address cannot be used that way.",
    );
    let headers = answer.headers_mut();
    headers.insert(ALLOW, HeaderValue::from_static(methods));
    answer
}

/// Ends requests that take too long, such as a body that comes a byte at a time.
pub(super) async fn in_time(request: Request, next: Next) -> Response {
    tokio::time::timeout(DEADLINE, next.run(request))
        .await
        .unwrap_or_else(|_| {
            refusal(
                StatusCode::REQUEST_TIMEOUT,
                "That took too long",
                "Please try again.",
            )
        })
}

/// What every answer carries, and a line in the log without anything from the address bar.
pub(super) async fn headers(
    State(desk): State<Arc<Desk>>,
    request: Request,
    next: Next,
) -> Response {
    let span = tracing::info_span!("desk", method = %request.method());
    let mut answer = next.run(request).instrument(span).await;
    let headers = answer.headers_mut();
    // What serves a file has a stricter one.
    headers
        .entry(CONTENT_SECURITY_POLICY)
        .or_insert(HeaderValue::from_static(POLICY));
    let mut fixed = vec![
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Not `no-referrer`: a form would then be sent with `Origin: null` and be refused here.
        (REFERRER_POLICY, "same-origin"),
        (CACHE_CONTROL, "no-store"),
    ];
    if desk.secure() {
        fixed.push((STRICT_TRANSPORT_SECURITY, HTTPS_ONLY));
    }
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// Lets a change through only from a page of our own, as the browser tells.
pub(super) async fn own_forms_only(
    State(desk): State<Arc<Desk>>,
    request: Request,
    next: Next,
) -> Response {
    let reads = matches!(*request.method(), Method::GET | Method::HEAD);
    if reads || from_own_page(request.headers(), &desk.parts.url) {
        next.run(request).await
    } else {
        forged(&desk.parts.url)
    }
}

/// `Origin` is the desk's own, and `Sec-Fetch-Site`, where the browser sends it, says so too.
fn from_own_page(headers: &HeaderMap, url: &str) -> bool {
    let one = |name: HeaderName| {
        let mut values = headers.get_all(name).iter();
        let first = values.next();
        (first, values.next().is_some())
    };
    let (origin, twice) = one(ORIGIN);
    let (site, site_twice) = one(HeaderName::from_static("sec-fetch-site"));
    !twice
        && !site_twice
        && origin.is_some_and(|origin| origin.as_bytes() == url.as_bytes())
        && site.is_none_or(|site| site.as_bytes() == b"same-origin")
}

fn forged(url: &str) -> Response {
    refusal(
        StatusCode::FORBIDDEN,
        "Not from here",
        &format!("This form does not come from a page of the desk. Open {url}/desk and try again."),
    )
}

/// Name of the session's cookie. With https its prefix makes browsers hold it to this host.
pub(super) const fn cookie_name(secure: bool) -> &'static str {
    if secure {
        "__Host-cueline-desk"
    } else {
        "cueline-desk"
    }
}

/// The session's token in a request, when there is exactly one that looks like one.
fn session_token(headers: &HeaderMap, secure: bool) -> Option<String> {
    let name = cookie_name(secure);
    let mut found = headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(|(key, _)| *key == name)
        .map(|(_, value)| value);
    let token = found.next()?;
    (found.next().is_none() && token::is_token(token)).then(|| token.to_owned())
}

/// The coach a request comes from, when signed in.
pub(super) async fn signed(desk: &Desk, headers: &HeaderMap) -> Result<Option<Signed>, StoreError> {
    let Some(token) = session_token(headers, desk.secure()) else {
        return Ok(None);
    };
    let store = &desk.parts.store;
    let hash = token::hash(&token);
    let Some(session) = store.session(&hash).await? else {
        return Ok(None);
    };
    let now = desk.now();
    let idle = now.duration_since(session.seen_at);
    if now >= session.ends_at || idle >= IDLE || !desk.is_coach(&session.person) {
        store.end_session(&hash).await?;
        return Ok(None);
    }
    if idle >= NOTE_EVERY {
        store.session_seen(&hash, now).await?;
    }
    Ok(Some(Signed {
        person: session.person,
        session: hash,
        form_token: token::derived(&token, FORM_PURPOSE),
    }))
}

/// Lets a coach through who is signed in; of forms, those that carry the session's token.
pub(super) async fn coaches_only(
    State(desk): State<Arc<Desk>>,
    mut request: Request,
    next: Next,
) -> Response {
    let signed = match signed(&desk, request.headers()).await {
        Ok(signed) => signed,
        Err(error) => return trouble(&error),
    };
    let reads = matches!(*request.method(), Method::GET | Method::HEAD);
    if reads {
        let Some(signed) = signed else {
            return Redirect::to("/desk/sign-in").into_response();
        };
        request.extensions_mut().insert(signed);
        return next.run(request).await;
    }
    let (head, body) = request.into_parts();
    let Ok(body) = to_bytes(body, FORM_BYTES).await else {
        return refusal(
            StatusCode::PAYLOAD_TOO_LARGE,
            "Too long",
            "This form holds more than the desk takes. Please shorten it.",
        );
    };
    let form = Request::from_parts(head.clone(), Body::from(body));
    let fields = Form::<Vec<(String, String)>>::from_request(form, &()).await;
    let Ok(Form(fields)) = fields else {
        return refusal(
            StatusCode::BAD_REQUEST,
            "Not readable",
            "This is not a form of the desk.",
        );
    };
    let fields = Fields(fields.into_iter().collect());
    let Some(signed) = signed else {
        // What was written must not be lost with the session.
        return sign_in::over(&fields.text("text"));
    };
    if !token::same(&fields.text(FORM_TOKEN), &signed.form_token) {
        return forged(&desk.parts.url);
    }
    let mut request = Request::from_parts(head, Body::empty());
    request.extensions_mut().insert(signed);
    request.extensions_mut().insert(fields);
    next.run(request).await
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            let name = HeaderName::from_static(name);
            headers.append(name, HeaderValue::from_str(value).unwrap());
        }
        headers
    }

    #[test]
    fn only_the_desk_s_own_pages_may_change_anything() {
        let url = "https://desk.example";
        let own = ("origin", url);
        assert!(from_own_page(&headers(&[own]), url));
        let same = ("sec-fetch-site", "same-origin");
        assert!(from_own_page(&headers(&[own, same]), url));
        for foreign in [
            vec![],
            vec![("origin", "null")],
            vec![("origin", "https://desk.example.evil.example")],
            vec![("origin", "http://desk.example")],
            vec![own, own],
            vec![own, ("sec-fetch-site", "same-site")],
            vec![own, ("sec-fetch-site", "cross-site")],
            vec![same],
        ] {
            assert!(!from_own_page(&headers(&foreign), url), "{foreign:?}");
        }
    }

    #[test]
    fn a_session_is_taken_from_one_cookie_of_the_right_name_only() {
        let token = token::fresh();
        let cookie = |text: String| headers(&[("cookie", &text)]);
        let good = format!("a=b; __Host-cueline-desk={token}; c=d");
        assert_eq!(session_token(&cookie(good), true), Some(token.clone()));
        for (text, secure) in [
            (format!("cueline-desk={token}"), true),
            (format!("__Host-cueline-desk={token}"), false),
            (format!("cueline-desk={token}; cueline-desk={token}"), false),
            ("cueline-desk=short".to_owned(), false),
            (String::new(), false),
        ] {
            assert_eq!(session_token(&cookie(text.clone()), secure), None, "{text}");
        }
    }
}
