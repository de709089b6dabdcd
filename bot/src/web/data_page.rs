//! A lifter's link to a copy of their data: a page with one button, and the file behind it.
//!
//! Programs that look at links open them, so opening the page uses nothing up and shows nothing;
//! the button does. The key is in the query and in the form, never in the path, which is logged.

use super::body;
use super::problem::Problem;
use super::receive;
use super::router::Edge;
use crate::store::StoreError;
use crate::token;
use axum::extract::{Request, State};
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE,
};
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use std::sync::Arc;
use tokio::time::timeout;

/// Where it is.
pub(super) const PATH: &str = "/data";
/// Longest body of the form.
const MOST_BODY: usize = 256;
/// Most rows of each table.
const MOST_ROWS: u32 = 20_000;
/// The page may send its form to us and do nothing else.
const POLICY: &str =
    "default-src 'none'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// `GET /data?key=...`: the page. It looks the same for every key.
pub(super) async fn page(request: Request) -> Response {
    let key = request.uri().query().and_then(key);
    let page = match key {
        Some(key) => frame(&html! {
            p { "This is everything that is kept of you, as one file in JSON. The link works a few "
                "times and for a short while; write " code { "my data" } " in the chat for a new one." }
            form method="post" action=(PATH) {
                input type="hidden" name="key" value=(key);
                button type="submit" { "Get the file" }
            }
        }),
        None => gone(),
    };
    shown(StatusCode::OK, page)
}

/// `POST /data`: the file, and one use less.
pub(super) async fn file(
    State(edge): State<Arc<Edge>>,
    request: Request,
) -> Result<Response, Problem> {
    let limits = &edge.parts.limits;
    edge.rates
        .address(receive::peer(&request))
        .map_err(Problem::too_many)?;
    let stream = request.into_body();
    let bytes = body::read(stream, None, MOST_BODY, limits.body_deadline)
        .await
        .map_err(|fault| fault.problem(MOST_BODY, limits.body_deadline))?;
    let text = String::from_utf8_lossy(&bytes);
    let Some(key) = key(&text) else {
        return Ok(shown(StatusCode::NOT_FOUND, gone()));
    };
    let hash = token::hash(key);
    let now = edge.parts.clock.now();
    let store = edge.parts.store.privacy();
    let found = within(limits.store_deadline, store.use_data_link(&hash, now)).await?;
    let Some(person) = found else {
        return Ok(shown(StatusCode::NOT_FOUND, gone()));
    };
    let dossier = within(limits.store_deadline, store.dossier(&person, MOST_ROWS)).await?;
    let document = dossier.document(&person, now).to_string();
    tracing::info!(
        bytes = document.len(),
        "a lifter's data were fetched by link"
    );
    Ok((
        [
            (CONTENT_TYPE, "application/json"),
            (
                CONTENT_DISPOSITION,
                "attachment; filename=\"cueline-data.json\"",
            ),
            (CACHE_CONTROL, "no-store"),
        ],
        document,
    )
        .into_response())
}

/// What the database answers in time.
async fn within<T>(
    deadline: std::time::Duration,
    asked: impl Future<Output = Result<T, StoreError>>,
) -> Result<T, Problem> {
    match timeout(deadline, asked).await {
        Ok(Ok(answer)) => Ok(answer),
        Ok(Err(error)) => {
            tracing::warn!(%error, "a lifter's data could not be read");
            Err(Problem::unavailable())
        }
        Err(_) => Err(Problem::unavailable()),
    }
}

/// The key in a query or form, when it is one.
fn key(text: &str) -> Option<&str> {
    let value = text
        .split('&')
        .find_map(|pair| pair.strip_prefix("key="))?
        .trim_end();
    token::is_token(value).then_some(value)
}

/// Nothing behind this link, for whatever reason.
fn gone() -> Markup {
    frame(&html! {
        p { "This link does not work any more. Write " code { "my data" } " in the chat for a new one." }
    })
}

fn frame(content: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="robots" content="noindex";
                title { "Your data" }
            }
            body { main { h1 { "Your data" } (content) } }
        }
    }
}

fn shown(status: StatusCode, page: Markup) -> Response {
    let mut answer = (status, page.into_string()).into_response();
    let headers = answer.headers_mut();
    headers.insert(
        CONTENT_TYPE,
        HeaderValue::from_static("text/html; charset=utf-8"),
    );
    headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    answer
}
