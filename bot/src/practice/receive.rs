//! The platform's side of the outbound contract: takes the service's messages, answers a repeat
//! of a key as the first time, and refuses what a real platform would refuse.

use super::chat::{Chat, Receipt};
use super::guard;
use super::message::{Author, AuthorKind, Draft, Sent};
use super::problem::Problem;
use crate::clock::Clock;
use crate::record::{ChoiceButton, ChoiceStyle, Picture};
use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{patch, post};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::sync::Arc;
use subtle::ConstantTimeEq as _;

/// Whole body, bytes: the largest picture in base64 and room for the rest.
const BODY_LIMIT: usize = 1024 * 1024;
/// Picture, bytes after decoding.
const PICTURE_LIMIT: usize = 524_288;
/// The first eight bytes of every PNG file (PNG specification, section 5.2).
const PNG_HEAD: &[u8] = b"\x89PNG\r\n\x1a\n";

/// What the routes need.
#[derive(Clone)]
pub(super) struct Receiving {
    pub(super) chat: Arc<Chat>,
    pub(super) clock: Arc<dyn Clock>,
    pub(super) token: Arc<str>,
}

/// The service as an author.
pub(super) fn service_author() -> Author {
    Author {
        id: "cueline".to_owned(),
        name: "Cueline".to_owned(),
        kind: AuthorKind::Service,
    }
}

/// The routes, to be mounted under the platform's base address.
pub(super) fn routes(state: Receiving) -> Router {
    Router::new()
        .route("/v1/messages", post(create))
        .route("/v1/messages/{id}", patch(replace).delete(withdraw))
        .layer(DefaultBodyLimit::max(BODY_LIMIT))
        .layer(middleware::from_fn(guard::loopback_host_only))
        .with_state(state)
}

#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Target {
    room_id: Option<String>,
    person_id: Option<String>,
    thread_id: Option<String>,
    reply_to: Option<String>,
}

#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Button {
    choice_id: String,
    label: String,
    #[serde(default)]
    style: ChoiceStyle,
}

#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Posted {
    to: Target,
    text: String,
    #[serde(default)]
    mentions: Vec<String>,
    picture: Option<Picture>,
    #[serde(default)]
    choices: Vec<Button>,
    expires_at: Option<Timestamp>,
    #[serde(default)]
    notify: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Replacement {
    text: String,
}

async fn create(
    State(state): State<Receiving>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<Response, Problem> {
    authorised(&headers, &state.token)?;
    let key = idempotency_key(&headers)?;
    json_only(&headers)?;
    let posted: Posted =
        serde_json::from_slice(&body).map_err(|error| Problem::bad(error.to_string()))?;
    let canonical = serde_json::to_vec(&posted).map_err(|error| Problem::bad(error.to_string()))?;
    let sent = checked(posted, state.clock.now())?;
    let receipt = state
        .chat
        .take(&key, Sha256::digest(&canonical).into(), sent)?;
    Ok(created(&receipt))
}

async fn replace(
    State(state): State<Receiving>,
    Path(id): Path<String>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<Response, Problem> {
    authorised(&headers, &state.token)?;
    json_only(&headers)?;
    let new: Replacement =
        serde_json::from_slice(&body).map_err(|error| Problem::bad(error.to_string()))?;
    length("text", &new.text, 1, 4_000)?;
    let message = state.chat.edit(&id, &service_author(), &new.text)?;
    let body = serde_json::json!({ "message_id": message.id, "version": message.version });
    Ok(axum::Json(body).into_response())
}

async fn withdraw(
    State(state): State<Receiving>,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<StatusCode, Problem> {
    authorised(&headers, &state.token)?;
    state.chat.delete(&id, &service_author())?;
    Ok(StatusCode::NO_CONTENT)
}

fn created(receipt: &Receipt) -> Response {
    let body = serde_json::json!({
        "message_id": receipt.message_id,
        "created": receipt.created.to_string(),
    });
    (StatusCode::CREATED, axum::Json(body)).into_response()
}

fn authorised(headers: &HeaderMap, token: &str) -> Result<(), Problem> {
    let given = headers
        .get(header::AUTHORIZATION)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.split_once(' '))
        .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
        .map_or("", |(_, given)| given);
    // Hashed first, so that not even the length of the token shows in the time taken.
    let same: bool = Sha256::digest(given).ct_eq(&Sha256::digest(token)).into();
    if same && !token.is_empty() {
        Ok(())
    } else {
        Err(Problem::new(
            StatusCode::UNAUTHORIZED,
            "not signed in",
            "Authorization must be Bearer and the platform's token.",
        ))
    }
}

/// A quoted UUID, as the structured-field string of the Idempotency-Key draft.
fn idempotency_key(headers: &HeaderMap) -> Result<String, Problem> {
    let wrong = || Problem::bad("Idempotency-Key must be given once: a UUID in double quotes.");
    let mut values = headers.get_all("idempotency-key").iter();
    let (Some(value), None) = (values.next(), values.next()) else {
        return Err(wrong());
    };
    let text = value.to_str().map_err(|_| wrong())?.trim();
    let inner = text
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'))
        .ok_or_else(wrong)?;
    let uuid = uuid::Uuid::try_parse(inner).map_err(|_| wrong())?;
    Ok(uuid.to_string())
}

fn json_only(headers: &HeaderMap) -> Result<(), Problem> {
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.split(';').next())
        .map_or("", str::trim);
    if kind.eq_ignore_ascii_case("application/json") {
        Ok(())
    } else {
        Err(Problem::new(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "wrong format",
            "Content-Type must be application/json.",
        ))
    }
}

fn checked(posted: Posted, now: Timestamp) -> Result<Sent, Problem> {
    let room_id = match (posted.to.room_id, posted.to.person_id) {
        (Some(room), None) => room,
        (None, Some(person)) => Chat::private_room(&person),
        _ => {
            return Err(Problem::bad(
                "to must name exactly one of room_id and person_id.",
            ));
        }
    };
    identifier("to", &room_id)?;
    for (field, value) in [
        ("to.thread_id", &posted.to.thread_id),
        ("to.reply_to", &posted.to.reply_to),
    ] {
        if let Some(value) = value {
            identifier(field, value)?;
        }
    }
    length("text", &posted.text, 1, 4_000)?;
    if posted.mentions.len() > 3 {
        return Err(Problem::bad("mentions holds at most 3 people."));
    }
    for person in &posted.mentions {
        identifier("mentions", person)?;
    }
    if let Some(picture) = &posted.picture {
        check_picture(picture)?;
    }
    let choices = check_buttons(posted.choices)?;
    Ok(Sent {
        draft: Draft {
            room_id,
            thread_id: posted.to.thread_id,
            reply_to: posted.to.reply_to,
            author: service_author(),
            text: posted.text,
            file: None,
            at: now,
        },
        choices,
        choices_until: posted.expires_at,
        mentions: posted.mentions,
        notify: posted.notify,
        picture: posted.picture,
    })
}

fn check_buttons(posted: Vec<Button>) -> Result<Vec<ChoiceButton>, Problem> {
    if posted.len() > 5 {
        return Err(Problem::bad("choices holds at most 5 buttons."));
    }
    let mut buttons: Vec<ChoiceButton> = Vec::with_capacity(posted.len());
    for one in posted {
        length("choice_id", &one.choice_id, 1, 64)?;
        length("label", &one.label, 1, 40)?;
        if buttons.iter().any(|known| known.choice_id == one.choice_id) {
            return Err(Problem::bad(
                "choices has two buttons of the same choice_id.",
            ));
        }
        buttons.push(ChoiceButton {
            choice_id: one.choice_id,
            label: one.label,
            style: one.style,
        });
    }
    Ok(buttons)
}

fn check_picture(picture: &Picture) -> Result<(), Problem> {
    length("picture.alt", &picture.alt, 1, 300)?;
    if picture.media_type != "image/png" {
        return Err(Problem::bad("picture.media_type must be image/png."));
    }
    let bytes = STANDARD
        .decode(&picture.data_base64)
        .map_err(|_| Problem::bad("picture.data_base64 is not base64."))?;
    if bytes.len() > PICTURE_LIMIT {
        return Err(Problem::bad("picture is larger than 524,288 bytes."));
    }
    if bytes.starts_with(PNG_HEAD) {
        Ok(())
    } else {
        Err(Problem::bad("picture is not a PNG file."))
    }
}

fn length(field: &str, text: &str, least: usize, most: usize) -> Result<(), Problem> {
    let found = text.chars().count();
    if (least..=most).contains(&found) {
        Ok(())
    } else {
        Err(Problem::bad(format!(
            "{field} has {found} characters; {least} to {most} are accepted."
        )))
    }
}

/// Ids of the contract: 1 to 128 of letters, digits, `_` and `-`.
fn identifier(field: &str, id: &str) -> Result<(), Problem> {
    let good = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-';
    if (1..=128).contains(&id.len()) && id.bytes().all(good) {
        Ok(())
    } else {
        Err(Problem::bad(format!(
            "{field} must be 1 to 128 letters, digits, _ or -."
        )))
    }
}
