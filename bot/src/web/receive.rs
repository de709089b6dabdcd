//! `POST /events`: checks in a fixed order, cheapest and least trusting first; the answer is
//! given only after the durable commit. Nothing slow happens here: no call outward, no file.

use super::data::{self, Kind};
use super::envelope;
use super::json;
use super::problem::Problem;
use super::router::Edge;
use super::{PlatformAccess, body};
use crate::record::hex;
use crate::signing::{SignatureFault, SignedHeaders, verify};
use crate::store::{Accepted, NewEvent, Quarantined};
use crate::telemetry::EventOutcome;
use axum::body::Bytes;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use jiff::Timestamp;
use sha2::{Digest as _, Sha256};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Instant;
use tokio::time::timeout;

/// A refusal with what it counts as.
type Refused = (EventOutcome, Problem);

/// A body whose signature is good.
struct Signed<'a> {
    platform: &'a PlatformAccess,
    id: &'a str,
    body: &'a Bytes,
    received_at: Timestamp,
}

/// The handler.
pub(super) async fn events(
    State(edge): State<Arc<Edge>>,
    request: Request,
) -> Result<StatusCode, Problem> {
    let started = Instant::now();
    match receive(&edge, request).await {
        Ok(outcome) => {
            edge.parts.metrics.event(outcome);
            edge.parts.metrics.observe_intake(started.elapsed());
            Ok(match outcome {
                EventOutcome::Duplicate => StatusCode::OK,
                _ => StatusCode::ACCEPTED,
            })
        }
        Err((outcome, problem)) => {
            edge.parts.metrics.event(outcome);
            tracing::debug!(outcome = outcome.word(), "event refused");
            Err(problem)
        }
    }
}

async fn receive(edge: &Edge, request: Request) -> Result<EventOutcome, Refused> {
    if edge.parts.draining.load(Ordering::SeqCst) {
        return Err((EventOutcome::Unavailable, Problem::unavailable()));
    }
    let limits = &edge.parts.limits;
    format(request.headers()).map_err(|problem| (EventOutcome::Unsupported, problem))?;
    let announced = announced(request.headers());
    if announced.is_some_and(|length| length > limits.body_bytes) {
        let problem = Problem::too_large(limits.body_bytes);
        return Err((EventOutcome::TooLarge, problem));
    }
    let peer = peer(&request);
    edge.rates
        .address(peer)
        .map_err(|wait| (EventOutcome::Limited, Problem::too_many(wait)))?;
    let (head, stream) = request.into_parts();
    let body = body::read(stream, announced, limits.body_bytes, limits.body_deadline)
        .await
        .map_err(|fault| {
            let outcome = match fault {
                body::BodyFault::TooLarge => EventOutcome::TooLarge,
                body::BodyFault::TooSlow => EventOutcome::TooSlow,
                body::BodyFault::Broken => EventOutcome::Malformed,
            };
            (
                outcome,
                fault.problem(limits.body_bytes, limits.body_deadline),
            )
        })?;
    let received_at = edge.parts.clock.now();
    let (platform, id) = signed_by(edge, &head.headers, received_at, &body)?;
    let signed = Signed {
        platform,
        id,
        body: &body,
        received_at,
    };
    accept(edge, &signed).await
}

/// Reads and stores a body whose signature is good. What cannot be read is kept for a person.
async fn accept(edge: &Edge, signed: &Signed<'_>) -> Result<EventOutcome, Refused> {
    let event = match read(signed) {
        Ok(Some(event)) => event,
        Ok(None) => return Ok(EventOutcome::Ignored),
        Err(refused) => return Err(keep(edge, signed, refused).await),
    };
    let new = NewEvent {
        event,
        body_hash: hex(&Sha256::digest(signed.body)),
        received_at: signed.received_at,
    };
    match timeout(
        edge.parts.limits.store_deadline,
        edge.parts.store.accept(new),
    )
    .await
    {
        Ok(Ok(Accepted::Stored)) => {
            edge.parts.wake.notify_one();
            Ok(EventOutcome::Stored)
        }
        Ok(Ok(Accepted::Duplicate)) => Ok(EventOutcome::Duplicate),
        Ok(Ok(Accepted::Conflict)) => {
            let source = &signed.platform.source;
            tracing::warn!(source, id = signed.id, "same event id with other content");
            Err((EventOutcome::Conflict, Problem::conflict()))
        }
        Ok(Err(error)) => {
            tracing::warn!(%error, "event not stored");
            Err((EventOutcome::Unavailable, Problem::unavailable()))
        }
        Err(_) => {
            tracing::warn!("event not stored in time");
            Err((EventOutcome::Unavailable, Problem::unavailable()))
        }
    }
}

/// The event, or nothing when its type is not handled.
fn read(signed: &Signed<'_>) -> Result<Option<crate::record::Event>, Refused> {
    let tree = json::parse(signed.body)
        .map_err(|detail| (EventOutcome::Malformed, Problem::malformed(detail)))?;
    let invalid = |errors| (EventOutcome::Invalid, Problem::invalid(errors));
    let envelope = envelope::read(tree).map_err(invalid)?;
    if envelope.id != signed.id {
        let problem = Problem::malformed("`id` in the body is not the `webhook-id` of the header.");
        return Err((EventOutcome::Malformed, problem));
    }
    if envelope.source != signed.platform.source {
        return Err((EventOutcome::WrongSource, Problem::wrong_source()));
    }
    let Some(kind) = Kind::named(&envelope.kind) else {
        return Ok(None);
    };
    data::event(kind, envelope, signed.received_at)
        .map(Some)
        .map_err(invalid)
}

/// Keeps what could not be read. When even that fails the sender is asked to try again, so that
/// nothing signed is lost unseen.
async fn keep(edge: &Edge, signed: &Signed<'_>, refused: Refused) -> Refused {
    let quarantined = Quarantined {
        source: signed.platform.source.clone(),
        id: signed.id.to_owned(),
        // One of the two databases cannot hold NUL in a text.
        body: String::from_utf8_lossy(signed.body).replace('\0', "\u{FFFD}"),
        reason: refused.1.detail().to_owned(),
        received_at: signed.received_at,
    };
    let kept = edge.parts.store.quarantine(quarantined);
    match timeout(edge.parts.limits.store_deadline, kept).await {
        Ok(Ok(())) => refused,
        Ok(Err(error)) => {
            tracing::warn!(%error, "unreadable event not kept");
            (EventOutcome::Unavailable, Problem::unavailable())
        }
        Err(_) => (EventOutcome::Unavailable, Problem::unavailable()),
    }
}

/// The platform whose secret fits, and the signed id. Every failure looks the same from outside.
fn signed_by<'e, 'h>(
    edge: &'e Edge,
    headers: &'h HeaderMap,
    now: Timestamp,
    body: &[u8],
) -> Result<(&'e PlatformAccess, &'h str), Refused> {
    let checked = signed_headers(headers).and_then(|signed| {
        let secret = verify(&edge.secrets, &signed, now, body)?;
        let index = edge.owners.get(secret).copied();
        let index = index.ok_or(SignatureFault::Mismatch)?;
        let platform = edge.parts.platforms.get(index);
        Ok((index, platform.ok_or(SignatureFault::Mismatch)?, signed.id))
    });
    let (index, platform, id) = checked.map_err(|fault| {
        edge.parts.metrics.signature_failure(fault);
        (EventOutcome::Unsigned, Problem::not_signed())
    })?;
    // Only now is it known whose allowance to take from; a forger cannot use up a platform's.
    edge.rates
        .platform(index)
        .map_err(|wait| (EventOutcome::Limited, Problem::too_many(wait)))?;
    Ok((platform, id))
}

/// The three signature headers, each exactly once.
fn signed_headers(headers: &HeaderMap) -> Result<SignedHeaders<'_>, SignatureFault> {
    let one = |name: &str| {
        let mut values = headers.get_all(name).iter();
        let value = values.next().ok_or(SignatureFault::MissingHeader)?;
        if values.next().is_some() {
            return Err(SignatureFault::UnreadableHeader);
        }
        value.to_str().map_err(|_| SignatureFault::UnreadableHeader)
    };
    Ok(SignedHeaders {
        id: one("webhook-id")?,
        timestamp: one("webhook-timestamp")?,
        signature: one("webhook-signature")?,
    })
}

/// No content encoding, and the structured JSON form of `CloudEvents`.
fn format(headers: &HeaderMap) -> Result<(), Problem> {
    if headers.contains_key(CONTENT_ENCODING) {
        return Err(Problem::unsupported(
            "`Content-Encoding` is not accepted; send the body as it is.",
        ));
    }
    let mut types = headers.get_all(CONTENT_TYPE).iter();
    let fits = types
        .next()
        .and_then(|value| value.to_str().ok())
        .is_some_and(is_structured_json);
    if fits && types.next().is_none() {
        Ok(())
    } else {
        Err(Problem::unsupported(
            "`Content-Type` must be `application/cloudevents+json`, with `charset=utf-8` or nothing behind it.",
        ))
    }
}

fn is_structured_json(value: &str) -> bool {
    let mut parts = value.split(';').map(str::trim);
    let media = parts.next().unwrap_or_default();
    let charset = parts.next();
    let utf8 = charset.is_none_or(|text| {
        text.eq_ignore_ascii_case("charset=utf-8") || text.eq_ignore_ascii_case("charset=\"utf-8\"")
    });
    media.eq_ignore_ascii_case("application/cloudevents+json") && utf8 && parts.next().is_none()
}

/// The announced length of the body. The server has checked that it is a number already.
fn announced(headers: &HeaderMap) -> Option<usize> {
    headers.get(CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

/// The address of the connection. `X-Forwarded-For` is not trusted: anybody can write it.
pub(super) fn peer(request: &Request) -> IpAddr {
    request
        .extensions()
        .get::<ConnectInfo<SocketAddr>>()
        .map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |info| info.0.ip())
}
