//! The way to a service's own `/events` door, signed as any chat platform would sign. The
//! practice room and the demo come in here, so that they prove the same path as real traffic.

use async_trait::async_trait;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use hmac::{Hmac, KeyInit as _, Mac as _};
use jiff::Timestamp;
use sha2::Sha256;
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

/// Why a door cannot be built.
#[derive(Debug, thiserror::Error)]
pub enum DoorError {
    /// The secret is not of the form the standard asks for.
    #[error("the signing secret must be `whsec_` and 24 to 64 bytes in base64; {0}")]
    Secret(&'static str),
    /// The HTTP client cannot be made.
    #[error("no HTTP client: {0}")]
    Client(#[from] reqwest::Error),
}

/// Posts events over HTTP, signed by the rules of Standard Webhooks (`v1`, HMAC-SHA256).
pub struct HttpDoor {
    client: reqwest::Client,
    url: String,
    key: Vec<u8>,
}

impl std::fmt::Debug for HttpDoor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The key stays out of every log.
        f.debug_struct("HttpDoor")
            .field("url", &self.url)
            .finish_non_exhaustive()
    }
}

impl HttpDoor {
    /// A door at `url` (the whole address, `/events` included) with a secret such as
    /// `whsec_...`.
    pub fn new(url: &str, secret: &str) -> Result<Self, DoorError> {
        let client = reqwest::Client::builder()
            .timeout(ATTEMPT_LIMIT)
            .connect_timeout(Duration::from_secs(5))
            .redirect(reqwest::redirect::Policy::none())
            .no_proxy()
            .build()?;
        Ok(Self {
            client,
            url: url.to_owned(),
            key: decode_secret(secret)?,
        })
    }
}

#[async_trait]
impl EventDoor for HttpDoor {
    async fn post(&self, id: &str, body: Vec<u8>, timestamp: Timestamp) -> Result<u16, String> {
        let seconds = timestamp.as_second();
        let signature = sign(&self.key, id, seconds, &body)?;
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
            .map_err(|error| error.without_url().to_string())?;
        Ok(answer.status().as_u16())
    }
}

fn decode_secret(secret: &str) -> Result<Vec<u8>, DoorError> {
    let encoded = secret
        .strip_prefix("whsec_")
        .ok_or(DoorError::Secret("the prefix is missing"))?;
    let key = STANDARD
        .decode(encoded)
        .map_err(|_| DoorError::Secret("the rest is not base64"))?;
    if (24..=64).contains(&key.len()) {
        Ok(key)
    } else {
        Err(DoorError::Secret("the length is wrong"))
    }
}

fn sign(key: &[u8], id: &str, seconds: i64, body: &[u8]) -> Result<String, String> {
    let mut mac = Hmac::<Sha256>::new_from_slice(key).map_err(|error| error.to_string())?;
    mac.update(format!("{id}.{seconds}.").as_bytes());
    mac.update(body);
    Ok(format!(
        "v1,{}",
        STANDARD.encode(mac.finalize().into_bytes())
    ))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    // Published in the test suites of Standard Webhooks (libraries/python, go, javascript).
    const SECRET: &str = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";

    #[test]
    fn the_published_webhook_example_gets_its_published_signature() {
        let key = decode_secret(SECRET).unwrap();
        let signature = sign(
            &key,
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            1_614_265_330,
            br#"{"test": 2432232314}"#,
        );
        assert_eq!(
            signature.unwrap(),
            "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
        );
    }

    #[test]
    fn one_more_space_in_the_body_gives_another_signature() {
        let key = decode_secret(SECRET).unwrap();
        assert_ne!(sign(&key, "a", 1, b"{}"), sign(&key, "a", 1, b"{ }"));
    }

    #[test]
    fn a_secret_without_prefix_or_too_short_is_refused_without_being_shown() {
        for wrong in [
            "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "whsec_",
            "whsec_QUJD",
            "whsec_%%%",
        ] {
            let error = HttpDoor::new("http://127.0.0.1:1/events", wrong).unwrap_err();
            assert!(!error.to_string().contains("MfKQ"), "{error}");
            assert!(!error.to_string().contains("QUJD"), "{error}");
        }
        let door = HttpDoor::new("http://127.0.0.1:1/events", SECRET).unwrap();
        assert!(!format!("{door:?}").contains("key"), "{door:?}");
    }
}
