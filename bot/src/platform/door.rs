//! The way to a service's own `/events` door, signed as any chat platform would sign. The
//! practice room and the demo come in here, so that they prove the same path as real traffic.

use crate::signing::{Secret, sign};
use async_trait::async_trait;
use jiff::Timestamp;
use std::time::Duration;

/// Longest an attempt may take.
const ATTEMPT_LIMIT: Duration = Duration::from_secs(15);

/// Where events are handed in.
#[async_trait]
pub trait EventDoor: Send + Sync + std::fmt::Debug {
    /// Hands in one event and tells the HTTP status of the answer. `timestamp` is the attempt's
    /// time; a repeat carries a new one with the same `id` and `body`. The error says why no
    /// answer came.
    async fn post(&self, id: &str, body: Vec<u8>, timestamp: Timestamp) -> Result<u16, String>;
}

/// Posts events over HTTP, signed by the rules of Standard Webhooks.
#[derive(Debug)]
pub struct HttpDoor {
    client: reqwest::Client,
    url: String,
    secret: Secret,
}

impl HttpDoor {
    /// A door at `url` (the whole address, `/events` included). Fails when no HTTP client can be
    /// made.
    pub fn new(url: &str, secret: Secret) -> Result<Self, reqwest::Error> {
        let client = reqwest::Client::builder()
            .timeout(ATTEMPT_LIMIT)
            .connect_timeout(Duration::from_secs(5))
            .redirect(reqwest::redirect::Policy::none())
            .no_proxy()
            .build()?;
        Ok(Self {
            client,
            url: url.to_owned(),
            secret,
        })
    }
}

#[async_trait]
impl EventDoor for HttpDoor {
    async fn post(&self, id: &str, body: Vec<u8>, timestamp: Timestamp) -> Result<u16, String> {
        let seconds = timestamp.as_second();
        let signature = sign(std::slice::from_ref(&self.secret), id, seconds, &body);
        let answer = self
            .client
            .post(&self.url)
            .header("content-type", "application/cloudevents+json")
            .header("webhook-id", id)
            .header("webhook-timestamp", seconds.to_string())
            .header("webhook-signature", signature)
            .body(body)
            .send()
            .await
            .map_err(|error| why(&error).to_owned())?;
        Ok(answer.status().as_u16())
    }
}

/// What went wrong, in words fit for the page.
fn why(error: &reqwest::Error) -> &'static str {
    if error.is_timeout() {
        "no answer in time"
    } else if error.is_connect() {
        "no connection"
    } else {
        "the connection broke"
    }
}
