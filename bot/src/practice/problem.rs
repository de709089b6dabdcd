//! What the practice platform answers when it refuses: `application/problem+json` (RFC 9457).

use super::chat::ChatError;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// A refusal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Problem {
    status: StatusCode,
    title: &'static str,
    detail: String,
}

impl Problem {
    pub(super) fn new(status: StatusCode, title: &'static str, detail: impl Into<String>) -> Self {
        Self {
            status,
            title,
            detail: detail.into(),
        }
    }

    pub(super) fn status(&self) -> StatusCode {
        self.status
    }

    pub(super) fn detail(&self) -> &str {
        &self.detail
    }

    /// Something sent cannot be read; `detail` names the field and what is accepted.
    pub(super) fn bad(detail: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, "this cannot be read", detail)
    }
}

impl From<ChatError> for Problem {
    fn from(error: ChatError) -> Self {
        let (status, title) = match &error {
            ChatError::NoRoom(_) | ChatError::NoMessage(_) => (StatusCode::NOT_FOUND, "not found"),
            ChatError::NotYours => (StatusCode::FORBIDDEN, "not yours"),
            ChatError::NoChoice { .. } => (StatusCode::NOT_FOUND, "no such button"),
            ChatError::TooLate(_) => (StatusCode::CONFLICT, "too late"),
            ChatError::KeyReused => (StatusCode::UNPROCESSABLE_ENTITY, "key used before"),
        };
        Self::new(status, title, error.to_string())
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let body = serde_json::json!({
            "type": "about:blank",
            "title": self.title,
            "status": self.status.as_u16(),
            "detail": self.detail,
        });
        let kind = [(header::CONTENT_TYPE, "application/problem+json")];
        (self.status, kind, body.to_string()).into_response()
    }
}
