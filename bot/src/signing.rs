//! Webhook signatures after the Standard Webhooks specification, version `v1`: HMAC-SHA256 over
//! `id.timestamp.body`, base64, with secrets written `whsec_` and base64.
//!
//! Pure: the time is an argument. Used by the edge to check, and by the demo, the practice room
//! and the tests to sign.

use base64::Engine as _;
use base64::alphabet;
use base64::engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig, general_purpose};
use hmac::{Hmac, KeyInit as _, Mac as _};
use jiff::Timestamp;
use rand::Rng as _;
use sha2::Sha256;
use std::fmt;
use subtle::{Choice, ConstantTimeEq as _};
use thiserror::Error;

/// How far a signed timestamp may lie from our clock, either way, in seconds. The specification
/// leaves the figure open; its own libraries use five minutes.
pub const TOLERANCE_SECONDS: i64 = 300;

/// Signatures looked at in one header. Rotation needs two; the rest is room for other versions.
const MOST_SIGNATURES: usize = 16;

/// Shortest and longest key, bytes after decoding.
const KEY_BYTES: std::ops::RangeInclusive<usize> = 24..=64;

/// Secrets are read leniently, as the specification's own libraries do: padding may be missing and
/// the unused bits of the last character are ignored. Signatures are read strictly.
const SECRET_BASE64: GeneralPurpose = GeneralPurpose::new(
    &alphabet::STANDARD,
    GeneralPurposeConfig::new()
        .with_decode_allow_trailing_bits(true)
        .with_decode_padding_mode(DecodePaddingMode::Indifferent),
);

/// What is wrong with a secret.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SecretFault {
    /// Not base64.
    #[error("a signing secret is `whsec_` followed by base64; this one is not base64")]
    NotBase64,
    /// Too short or too long.
    #[error("a signing secret holds 24 to 64 bytes; this one holds {0}")]
    Length(usize),
}

/// A signing secret.
///
/// Accepted with or without the prefix `whsec_` and with or without `=` padding, 24 to 64 bytes
/// after decoding. The specification's libraries also load a 23-byte secret in one of their
/// tests; the specification itself asks for at least 24, and that floor is held here: such a
/// secret is refused.
#[derive(Clone)]
pub struct Secret {
    key: Vec<u8>,
    mac: Hmac<Sha256>,
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(hidden)")
    }
}

impl Secret {
    /// Reads a secret.
    pub fn parse(text: &str) -> Result<Self, SecretFault> {
        let encoded = text.strip_prefix("whsec_").unwrap_or(text);
        let key = SECRET_BASE64
            .decode(encoded)
            .map_err(|_| SecretFault::NotBase64)?;
        Self::from_key(key)
    }

    /// A new secret from 32 bytes of the operating system's seeded generator.
    pub fn generate() -> Result<Self, SecretFault> {
        let mut key = vec![0_u8; 32];
        rand::rng().fill_bytes(&mut key);
        Self::from_key(key)
    }

    fn from_key(key: Vec<u8>) -> Result<Self, SecretFault> {
        if !KEY_BYTES.contains(&key.len()) {
            return Err(SecretFault::Length(key.len()));
        }
        let mac =
            Hmac::<Sha256>::new_from_slice(&key).map_err(|_| SecretFault::Length(key.len()))?;
        Ok(Self { key, mac })
    }

    /// The secret as it is handed to the other side. Never log this.
    pub fn reveal(&self) -> String {
        format!(
            "whsec_{}",
            general_purpose::STANDARD.encode(self.key.as_slice())
        )
    }

    fn tag(&self, id: &str, timestamp: &str, body: &[u8]) -> [u8; 32] {
        let mut mac = self.mac.clone();
        mac.update(id.as_bytes());
        mac.update(b".");
        mac.update(timestamp.as_bytes());
        mac.update(b".");
        mac.update(body);
        mac.finalize().into_bytes().into()
    }
}

/// The value of the `webhook-signature` header: one `v1` signature for each secret, separated by
/// spaces. `timestamp` is Unix seconds.
pub fn sign(secrets: &[Secret], id: &str, timestamp: i64, body: &[u8]) -> String {
    let timestamp = timestamp.to_string();
    let signatures: Vec<String> = secrets
        .iter()
        .map(|secret| {
            let tag = secret.tag(id, &timestamp, body);
            format!("v1,{}", general_purpose::STANDARD.encode(tag))
        })
        .collect();
    signatures.join(" ")
}

/// The three headers, each present exactly once.
#[derive(Clone, Copy, Debug)]
pub struct SignedHeaders<'a> {
    /// `webhook-id`.
    pub id: &'a str,
    /// `webhook-timestamp`.
    pub timestamp: &'a str,
    /// `webhook-signature`.
    pub signature: &'a str,
}

/// Why a signature was refused. For metrics only: the sender is told none of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Error)]
pub enum SignatureFault {
    /// One of the three headers is missing.
    #[error("a signature header is missing")]
    MissingHeader,
    /// One of the three headers is there twice, or is not text.
    #[error("a signature header is repeated or unreadable")]
    UnreadableHeader,
    /// The id is not 1 to 128 of `A-Z a-z 0-9 _ -`. A dot would let two messages share one signature.
    #[error("the webhook id is not an id")]
    BadId,
    /// The timestamp is not a plain integer.
    #[error("the timestamp is not an integer")]
    BadTimestamp,
    /// Signed too long ago.
    #[error("the timestamp is too old")]
    TooOld,
    /// Signed in the future.
    #[error("the timestamp is ahead of the clock")]
    TooNew,
    /// No readable `v1` signature.
    #[error("no readable v1 signature")]
    NoSignature,
    /// No signature fits any secret.
    #[error("no signature fits")]
    Mismatch,
}

impl SignatureFault {
    /// The word in the metrics.
    pub const fn word(self) -> &'static str {
        match self {
            Self::MissingHeader => "missing_header",
            Self::UnreadableHeader => "unreadable_header",
            Self::BadId => "bad_id",
            Self::BadTimestamp => "bad_timestamp",
            Self::TooOld => "too_old",
            Self::TooNew => "too_new",
            Self::NoSignature => "no_signature",
            Self::Mismatch => "mismatch",
        }
    }
}

/// An opaque id: 1 to 128 of `A-Z a-z 0-9 _ -`.
pub fn is_id(text: &str) -> bool {
    (1..=128).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-')
}

/// Checks a signature over the raw bytes of a body and answers with the index of the secret that
/// fits. How long a comparison takes says nothing about how much of a signature was right.
pub fn verify(
    secrets: &[Secret],
    headers: &SignedHeaders<'_>,
    now: Timestamp,
    body: &[u8],
) -> Result<usize, SignatureFault> {
    if !is_id(headers.id) {
        return Err(SignatureFault::BadId);
    }
    let signed_at = timestamp(headers.timestamp).ok_or(SignatureFault::BadTimestamp)?;
    let age = now.as_second().saturating_sub(signed_at);
    if age > TOLERANCE_SECONDS {
        return Err(SignatureFault::TooOld);
    }
    if age < -TOLERANCE_SECONDS {
        return Err(SignatureFault::TooNew);
    }
    let given = signatures(headers.signature);
    if given.is_empty() {
        return Err(SignatureFault::NoSignature);
    }
    for (index, secret) in secrets.iter().enumerate() {
        let tag = secret.tag(headers.id, headers.timestamp, body);
        let fits = given.iter().fold(Choice::from(0), |fits, signature| {
            fits | tag.as_slice().ct_eq(signature.as_slice())
        });
        if bool::from(fits) {
            return Ok(index);
        }
    }
    Err(SignatureFault::Mismatch)
}

/// Unix seconds written as digits only: no sign, space, fraction or leading zero.
fn timestamp(text: &str) -> Option<i64> {
    let plain = (1..=12).contains(&text.len())
        && text.bytes().all(|b| b.is_ascii_digit())
        && (text.len() == 1 || !text.starts_with('0'));
    if plain { text.parse().ok() } else { None }
}

/// The `v1` signatures of a header. Other versions and unreadable entries are skipped.
fn signatures(header: &str) -> Vec<[u8; 32]> {
    header
        .split(' ')
        .filter(|entry| !entry.is_empty())
        .take(MOST_SIGNATURES)
        .filter_map(|entry| entry.strip_prefix("v1,"))
        .filter_map(|encoded| general_purpose::STANDARD.decode(encoded).ok())
        .filter_map(|bytes| bytes.try_into().ok())
        .collect()
}

#[cfg(test)]
mod tests;
