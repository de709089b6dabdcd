//! Keeps the practice room to this machine and to its own page: no other host name, no other
//! page's forms or scripts. Also sets the headers that every answer carries.

use super::problem::Problem;
use axum::extract::Request;
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use std::net::IpAddr;

/// Only what the page itself serves, and pictures sent inline.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; \
     base-uri 'none'";

/// Lets a request through when it comes from this machine's own page.
pub(super) async fn own_page_only(request: Request, next: Next) -> Response {
    match check(request.headers(), request.method()) {
        Ok(()) => with_headers(next.run(request).await),
        Err(why) => {
            with_headers(Problem::new(StatusCode::FORBIDDEN, "not from here", why).into_response())
        }
    }
}

/// Lets a request through when it names this machine; for calls that carry a token.
pub(super) async fn loopback_host_only(request: Request, next: Next) -> Response {
    match loopback_host(request.headers()) {
        Ok(_) => next.run(request).await,
        Err(why) => Problem::new(StatusCode::FORBIDDEN, "not from here", why).into_response(),
    }
}

fn check(headers: &HeaderMap, method: &Method) -> Result<(), String> {
    let host = loopback_host(headers)?;
    if let Some(origin) = one(headers, &header::ORIGIN)?
        && !origin.eq_ignore_ascii_case(&format!("http://{host}"))
    {
        return Err("Origin is another page than the practice room.".to_owned());
    }
    let site = one(headers, &HeaderName::from_static("sec-fetch-site"))?;
    // On loopback every port counts as the same site, so a change needs the same origin.
    let accepted: &[&str] = if *method == Method::GET || *method == Method::HEAD {
        &["same-origin", "same-site", "none"]
    } else {
        &["same-origin", "none"]
    };
    match site {
        Some(site) if !accepted.contains(&site) => Err(format!(
            "Sec-Fetch-Site is not one of: {}. Type the address into the browser yourself.",
            accepted.join(", ")
        )),
        _ => Ok(()),
    }
}

/// The `Host` of a request, when it names this machine.
pub(super) fn loopback_host(headers: &HeaderMap) -> Result<&str, String> {
    let host = one(headers, &header::HOST)?.ok_or_else(|| "Host is missing.".to_owned())?;
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    let bare = name
        .strip_prefix('[')
        .and_then(|rest| rest.strip_suffix(']'))
        .unwrap_or(name);
    let is_loopback = bare.eq_ignore_ascii_case("localhost")
        || bare.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
    if is_loopback {
        Ok(host)
    } else {
        Err("Host must be this machine: 127.0.0.1, [::1] or localhost.".to_owned())
    }
}

/// The one value of a header; two of a name are refused, for nobody knows which was meant.
fn one<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Result<Option<&'a str>, String> {
    let mut values = headers.get_all(name).iter();
    let Some(first) = values.next() else {
        return Ok(None);
    };
    if values.next().is_some() {
        return Err(format!("{name} was sent twice."));
    }
    let text = first
        .to_str()
        .map_err(|_| format!("{name} is not plain text."))?;
    Ok(Some(text))
}

fn with_headers(mut response: Response) -> Response {
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Not `no-referrer`: a form would then be sent with `Origin: null` and be refused here.
        (header::REFERRER_POLICY, "same-origin"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in fixed {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    response
}
