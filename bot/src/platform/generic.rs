//! The generic platform: `POST {base}/v1/messages` with a bearer token (RFC 6750), an
//! `Idempotency-Key` (IETF draft, a structured-field string) and problem answers (RFC 9457); `DELETE
//! {base}/v1/messages/ID` for what is to be taken down.
//! Its answers are hostile input too: bounded, typed, never echoed whole.

use super::{ChatPlatform, PostFault, Posted, retry_after};
use crate::clock::Clock;
use crate::escape::is_bidi_control;
use crate::record::{ChoiceButton, Outgoing, Picture, Recipient};
use crate::signing::is_id;
use async_trait::async_trait;
use reqwest::header::{AUTHORIZATION, HeaderValue, RETRY_AFTER};
use reqwest::{Client, Response, StatusCode, Url};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;
use thiserror::Error;

/// Most of an answer that is read, bytes.
const ANSWER_BYTES: usize = 64 * 1024;

/// Most of a platform's own words that is kept, characters.
const WHY_CHARS: usize = 200;

/// A bearer token; hidden in debug output.
#[derive(Clone)]
pub struct BearerToken(HeaderValue);

impl fmt::Debug for BearerToken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("BearerToken(hidden)")
    }
}

impl BearerToken {
    /// Reads a token in the form of RFC 6750: at least 16 of `A-Z a-z 0-9 - . _ ~ + /`, then `=`.
    pub fn parse(token: &str) -> Result<Self, PlatformSettingsError> {
        let body = token.trim_end_matches('=');
        let fits = (16..=1024).contains(&token.len())
            && body
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b"-._~+/".contains(&b));
        if !fits {
            return Err(PlatformSettingsError::Token);
        }
        let mut value = HeaderValue::try_from(format!("Bearer {token}"))
            .map_err(|_| PlatformSettingsError::Token)?;
        value.set_sensitive(true);
        Ok(Self(value))
    }
}

/// How to reach the platform.
#[derive(Clone, Debug)]
pub struct GenericSettings {
    /// Base URL; `https`, or `http` on a loopback host.
    pub base_url: String,
    /// Our token there.
    pub token: BearerToken,
    /// Longest wait for a connection.
    pub connect_timeout: Duration,
    /// Longest wait for the whole exchange.
    pub total_timeout: Duration,
}

impl GenericSettings {
    /// The usual limits: 5 seconds to connect, 15 in all.
    pub fn new(base_url: impl Into<String>, token: BearerToken) -> Self {
        Self {
            base_url: base_url.into(),
            token,
            connect_timeout: Duration::from_secs(5),
            total_timeout: Duration::from_secs(15),
        }
    }
}

/// What is wrong with the settings.
#[derive(Debug, Error)]
pub enum PlatformSettingsError {
    /// The base URL.
    #[error("base URL `{found}`: {accepted}")]
    BaseUrl {
        /// What was found.
        found: String,
        /// What is accepted.
        accepted: &'static str,
    },
    /// The token; never shown.
    #[error("the bearer token must be 16 to 1,024 of `A-Z a-z 0-9 - . _ ~ + /`, `=` at the end")]
    Token,
    /// The client could not be built.
    #[error("the HTTP client cannot be built: {0}")]
    Client(#[from] reqwest::Error),
}

/// The generic platform.
#[derive(Debug)]
pub struct GenericPlatform {
    client: Client,
    messages: Url,
    token: BearerToken,
    clock: Arc<dyn Clock>,
}

#[derive(Serialize)]
struct Target<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    room_id: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    person_id: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thread_id: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reply_to: Option<&'a str>,
}

#[derive(Serialize)]
struct MessageBody<'a> {
    to: Target<'a>,
    text: &'a str,
    mentions: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    picture: Option<&'a Picture>,
    choices: &'a [ChoiceButton],
    notify: bool,
}

impl<'a> MessageBody<'a> {
    fn new(message: &'a Outgoing) -> Self {
        let (room_id, person_id) = match &message.to {
            Recipient::RoomId(id) => (Some(id.as_str()), None),
            Recipient::PersonId(id) => (None, Some(id.as_str())),
        };
        Self {
            to: Target {
                room_id,
                person_id,
                thread_id: message.thread_id.as_deref(),
                reply_to: message.reply_to.as_deref(),
            },
            text: &message.text,
            mentions: &message.mentions,
            picture: message.picture.as_ref(),
            choices: &message.choices,
            notify: message.notify,
        }
    }
}

#[derive(Deserialize)]
struct Created {
    message_id: String,
}

#[derive(Deserialize)]
struct ProblemWords {
    #[serde(default)]
    title: String,
    #[serde(default)]
    detail: String,
}

impl GenericPlatform {
    /// Builds the client. No redirects, no proxy from the environment, no cookies; `http` only on loopback.
    pub fn new(
        settings: GenericSettings,
        clock: Arc<dyn Clock>,
    ) -> Result<Self, PlatformSettingsError> {
        let base = base_url(&settings.base_url)?;
        let https_only = base.scheme() == "https";
        let messages = format!("{}/v1/messages", base.as_str().trim_end_matches('/'));
        let messages = Url::parse(&messages).map_err(|_| PlatformSettingsError::BaseUrl {
            found: settings.base_url.clone(),
            accepted: "a URL such as https://chat.example/api",
        })?;
        let client = Client::builder()
            .user_agent(concat!("cueline/", env!("CARGO_PKG_VERSION")))
            .redirect(reqwest::redirect::Policy::none())
            .referer(false)
            .no_proxy()
            .https_only(https_only)
            .connect_timeout(settings.connect_timeout)
            .timeout(settings.total_timeout)
            .build()?;
        Ok(Self {
            client,
            messages,
            token: settings.token,
            clock,
        })
    }

    async fn posted(answer: Response) -> Result<Posted, PostFault> {
        let status = answer.status();
        let again = |why: String| PostFault::Retry { after: None, why };
        let Some(body) = read(answer).await? else {
            return Err(again(format!("{status}: the answer is over 64 KiB")));
        };
        match serde_json::from_slice::<Created>(&body) {
            Ok(created) if is_id(&created.message_id) => Ok(Posted {
                message_id: created.message_id,
            }),
            // It may well be posted: only the same key makes another try safe.
            _ => Err(again(format!("{status}: the answer names no message id"))),
        }
    }

    fn asked_wait(&self, answer: &Response) -> Option<Duration> {
        let mut values = answer.headers().get_all(RETRY_AFTER).iter();
        let value = values.next()?.to_str().ok()?;
        retry_after::parse(value, self.clock.now())
    }

    /// What an answer that is no success asks for.
    async fn fault(&self, answer: Response) -> PostFault {
        let status = answer.status();
        match status {
            StatusCode::CONFLICT => PostFault::Busy409,
            StatusCode::UNAUTHORIZED | StatusCode::FORBIDDEN => PostFault::Unauthorised,
            StatusCode::NOT_FOUND | StatusCode::GONE => PostFault::Gone,
            StatusCode::REQUEST_TIMEOUT | StatusCode::TOO_EARLY | StatusCode::TOO_MANY_REQUESTS => {
                PostFault::Retry {
                    after: self.asked_wait(&answer),
                    why: status.to_string(),
                }
            }
            _ if status.is_client_error() => PostFault::Refused {
                status: Some(status.as_u16()),
                why: why(status, answer).await,
            },
            _ if status.is_redirection() => PostFault::Retry {
                after: None,
                why: format!("{status}: redirects are not followed"),
            },
            _ => PostFault::Retry {
                after: self.asked_wait(&answer),
                why: status.to_string(),
            },
        }
    }
}

#[async_trait]
impl ChatPlatform for GenericPlatform {
    async fn post(&self, message: &Outgoing) -> Result<Posted, PostFault> {
        // Only a UUID goes between the quotes of the structured-field string.
        let key = uuid::Uuid::try_parse(&message.key).map_err(|_| PostFault::Refused {
            status: None,
            why: "the idempotency key is not a UUID".to_owned(),
        })?;
        let answer = self
            .client
            .post(self.messages.clone())
            .header(AUTHORIZATION, self.token.0.clone())
            .header("idempotency-key", format!("\"{key}\""))
            .json(&MessageBody::new(message))
            .send()
            .await
            .map_err(|error| transport(&error))?;
        if answer.status().is_success() {
            return Self::posted(answer).await;
        }
        Err(self.fault(answer).await)
    }

    async fn unpost(&self, message_id: &str) -> Result<(), PostFault> {
        // An id holds nothing that an address could take for its own.
        if !is_id(message_id) {
            return Err(PostFault::Refused {
                status: None,
                why: "the message id is none of the contract's".to_owned(),
            });
        }
        let place = format!("{}/{message_id}", self.messages);
        let answer = self
            .client
            .delete(place)
            .header(AUTHORIZATION, self.token.0.clone())
            .send()
            .await
            .map_err(|error| transport(&error))?;
        let status = answer.status();
        match status {
            _ if status.is_success() => Ok(()),
            StatusCode::NOT_FOUND | StatusCode::GONE => Ok(()),
            // Whoever may post and not delete is no reason to leave the whole platform alone.
            StatusCode::FORBIDDEN | StatusCode::NOT_IMPLEMENTED => Err(PostFault::Refused {
                status: Some(status.as_u16()),
                why: why(status, answer).await,
            }),
            _ => Err(self.fault(answer).await),
        }
    }
}

/// Checks the base URL: `https` anywhere, `http` on loopback only; no user, query or fragment.
fn base_url(text: &str) -> Result<Url, PlatformSettingsError> {
    let refuse = |accepted| PlatformSettingsError::BaseUrl {
        // A password in the URL must not reach a log.
        found: text.split('@').next_back().unwrap_or_default().to_owned(),
        accepted,
    };
    let url = Url::parse(text).map_err(|_| refuse("a URL such as https://chat.example/api"))?;
    if !url.username().is_empty() || url.password().is_some() {
        return Err(refuse("a URL without user name or password"));
    }
    if url.query().is_some() || url.fragment().is_some() {
        return Err(refuse("a URL without `?` or `#`"));
    }
    let host = url.host_str().unwrap_or_default();
    let address = host.trim_start_matches('[').trim_end_matches(']');
    let loopback = host == "localhost"
        || address
            .parse::<IpAddr>()
            .is_ok_and(|address| address.is_loopback());
    match url.scheme() {
        "https" => Ok(url),
        "http" if loopback => Ok(url),
        _ => Err(refuse("`https`, or `http` on a loopback host")),
    }
}

/// What went wrong on the way, without addresses or tokens.
fn transport(error: &reqwest::Error) -> PostFault {
    let why = if error.is_timeout() {
        "no answer in time"
    } else if error.is_connect() {
        "no connection"
    } else {
        "the connection broke"
    };
    PostFault::Retry {
        after: None,
        why: why.to_owned(),
    }
}

/// The body, or nothing when it is over the limit.
async fn read(mut answer: Response) -> Result<Option<Vec<u8>>, PostFault> {
    let mut body = Vec::new();
    while let Some(piece) = answer.chunk().await.map_err(|error| transport(&error))? {
        if body.len() + piece.len() > ANSWER_BYTES {
            return Ok(None);
        }
        body.extend_from_slice(&piece);
    }
    Ok(Some(body))
}

/// The status and what a problem answer says, cleaned and cut.
async fn why(status: StatusCode, answer: Response) -> String {
    let words = match read(answer).await {
        Ok(Some(body)) => serde_json::from_slice::<ProblemWords>(&body)
            .map(|problem| format!("{} {}", problem.title, problem.detail))
            .unwrap_or_default(),
        _ => String::new(),
    };
    let words: String = words
        .chars()
        .filter(|c| !c.is_control() && !is_bidi_control(*c))
        .take(WHY_CHARS)
        .collect();
    let words = words.trim();
    if words.is_empty() {
        status.to_string()
    } else {
        format!("{status}: {words}")
    }
}

#[cfg(test)]
mod tests;
