//! Refusals as `application/problem+json` (RFC 9457), in words a person can use.

use axum::Json;
use axum::http::header::{ALLOW, CONNECTION, CONTENT_TYPE, RETRY_AFTER};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::time::Duration;

/// One field that was not accepted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FieldFault {
    /// Where, such as `data.attachments[0].size`.
    pub field: String,
    /// What was found.
    pub found: String,
    /// What is accepted.
    pub accepted: String,
}

/// A refusal; boxed, since it travels in the error half of many results.
#[derive(Clone, Debug)]
pub struct Problem(Box<Members>);

/// The members of the answer, and what goes into its headers.
#[derive(Clone, Debug, Serialize)]
struct Members {
    /// Which kind of problem, a reference relative to this service.
    #[serde(rename = "type")]
    kind: &'static str,
    title: &'static str,
    status: u16,
    detail: String,
    /// The id of the request, to be quoted to the operator.
    #[serde(skip_serializing_if = "Option::is_none")]
    instance: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    errors: Vec<FieldFault>,
    #[serde(skip)]
    retry_after: Option<u64>,
    #[serde(skip)]
    allow: Option<&'static str>,
    #[serde(skip)]
    close: bool,
}

impl Problem {
    fn new(
        status: StatusCode,
        kind: &'static str,
        title: &'static str,
        detail: impl Into<String>,
    ) -> Self {
        Self(Box::new(Members {
            kind,
            title,
            status: status.as_u16(),
            detail: detail.into(),
            instance: None,
            errors: Vec::new(),
            retry_after: None,
            allow: None,
            close: false,
        }))
    }

    /// 404.
    pub fn not_found() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "/problems/not-found",
            "Nothing here",
            "There is nothing at this address.",
        )
    }

    /// 405; `allow` lists the methods accepted.
    pub fn method_not_allowed(allow: &'static str) -> Self {
        let mut problem = Self::new(
            StatusCode::METHOD_NOT_ALLOWED,
            "/problems/method-not-allowed",
            "Method not accepted",
            format!("This address accepts {allow}."),
        );
        problem.0.allow = Some(allow);
        problem
    }

    /// 415.
    pub fn unsupported(detail: impl Into<String>) -> Self {
        Self::new(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "/problems/unsupported-format",
            "Format not accepted",
            detail,
        )
    }

    /// 413; the rest of the body is not read.
    pub fn too_large(limit: usize) -> Self {
        let mut problem = Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "/problems/too-large",
            "Event too large",
            format!("The body is over the limit of {limit} bytes."),
        );
        problem.0.close = true;
        problem
    }

    /// 408.
    pub fn too_slow(deadline: Duration) -> Self {
        let mut problem = Self::new(
            StatusCode::REQUEST_TIMEOUT,
            "/problems/too-slow",
            "Body too slow",
            format!(
                "The body was not complete after {} seconds. Nothing was kept.",
                deadline.as_secs_f64()
            ),
        );
        problem.0.close = true;
        problem
    }

    /// 429; `wait` is how long to wait.
    pub fn too_many(wait: Duration) -> Self {
        let mut problem = Self::new(
            StatusCode::TOO_MANY_REQUESTS,
            "/problems/too-many",
            "Too many events",
            "Events are coming faster than they are taken. Wait, then send the same event again.",
        );
        let seconds = wait.as_secs() + u64::from(wait.subsec_nanos() > 0);
        problem.0.retry_after = Some(seconds.max(1));
        problem
    }

    /// 401; the same words whatever was wrong.
    pub fn not_signed() -> Self {
        Self::new(
            StatusCode::UNAUTHORIZED,
            "/problems/signature",
            "Signature not accepted",
            "The signature of this request is not accepted.",
        )
    }

    /// 403: a good signature, but of another platform.
    pub fn wrong_source() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "/problems/source",
            "Source not yours",
            "`source` is not the one this signing secret belongs to.",
        )
    }

    /// 400.
    pub fn malformed(detail: impl Into<String>) -> Self {
        Self::new(
            StatusCode::BAD_REQUEST,
            "/problems/malformed",
            "Not readable",
            detail,
        )
    }

    /// 422, naming the fields.
    pub fn invalid(errors: Vec<FieldFault>) -> Self {
        let detail = errors.first().map_or_else(
            || "The event is not as agreed.".to_owned(),
            |first| {
                format!(
                    "`{}`: found {}; accepted is {}.",
                    first.field, first.found, first.accepted
                )
            },
        );
        let mut problem = Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "/problems/invalid",
            "Event not as agreed",
            detail,
        );
        problem.0.errors = errors;
        problem
    }

    /// 409: the same id with another body.
    pub fn conflict() -> Self {
        Self::new(
            StatusCode::CONFLICT,
            "/problems/changed-event",
            "Same id, other content",
            "An event with this source and id is kept already, with other content. \
             Nothing was changed. A new event needs a new id.",
        )
    }

    /// 503: our own trouble, or stopping.
    pub fn unavailable() -> Self {
        let mut problem = Self::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "/problems/unavailable",
            "Not available right now",
            "The event was not kept. Send the same event again in a moment.",
        );
        problem.0.retry_after = Some(2);
        problem
    }

    /// The status.
    pub const fn status(&self) -> u16 {
        self.0.status
    }

    /// What is wrong, in one sentence.
    pub fn detail(&self) -> &str {
        &self.0.detail
    }

    /// The same refusal with the id of the request.
    #[must_use]
    pub fn with_instance(mut self, id: &str) -> Self {
        self.0.instance = Some(id.to_owned());
        self
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status =
            StatusCode::from_u16(self.0.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut answer = (status, Json(&self.0)).into_response();
        let headers = answer.headers_mut();
        headers.insert(
            CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        if let Some(seconds) = self.0.retry_after {
            headers.insert(RETRY_AFTER, HeaderValue::from(seconds));
        }
        if let Some(allow) = self.0.allow {
            headers.insert(ALLOW, HeaderValue::from_static(allow));
        }
        if self.0.close {
            headers.insert(CONNECTION, HeaderValue::from_static("close"));
        }
        // The outermost layer writes it once more, with the id of the request.
        answer.extensions_mut().insert(self);
        answer
    }
}
