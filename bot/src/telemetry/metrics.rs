//! Counters for the operator, in the `OpenMetrics` text format. No label ever holds an id or words
//! of a person.

use crate::signing::SignatureFault;
use crate::store::Depths;
use prometheus_client::encoding::EncodeLabelSet;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::Registry;
use std::time::Duration;

/// The media type of [`Metrics::text`].
pub const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// Upper bounds of the time buckets, seconds; 25 and 50 ms and 1 s are promised figures.
const BUCKETS: [f64; 14] = [
    0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 30.0, 600.0,
];

#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OutcomeLabel {
    outcome: &'static str,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct ReasonLabel {
    reason: &'static str,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct PlaceLabel {
    place: &'static str,
}

/// What became of a request to `POST /events`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventOutcome {
    /// Kept.
    Stored,
    /// Known already.
    Duplicate,
    /// Known with other content.
    Conflict,
    /// Of a type that is not handled.
    Ignored,
    /// Not JSON, or not the id that was signed.
    Malformed,
    /// JSON, but not as agreed.
    Invalid,
    /// Signed by another platform than its source.
    WrongSource,
    /// Signature not accepted.
    Unsigned,
    /// Too many.
    Limited,
    /// Too large.
    TooLarge,
    /// Too slow.
    TooSlow,
    /// Wrong format or encoding.
    Unsupported,
    /// The store could not take it, or the service is stopping.
    Unavailable,
}

impl EventOutcome {
    /// The word in the metrics.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Stored => "stored",
            Self::Duplicate => "duplicate",
            Self::Conflict => "conflict",
            Self::Ignored => "ignored",
            Self::Malformed => "malformed",
            Self::Invalid => "invalid",
            Self::WrongSource => "wrong_source",
            Self::Unsigned => "unsigned",
            Self::Limited => "limited",
            Self::TooLarge => "too_large",
            Self::TooSlow => "too_slow",
            Self::Unsupported => "unsupported",
            Self::Unavailable => "unavailable",
        }
    }
}

/// What became of one try to send a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MessageOutcome {
    /// The platform has it.
    Sent,
    /// To be tried again.
    Retried,
    /// Given up.
    Dead,
}

impl MessageOutcome {
    /// The word in the metrics.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sent => "sent",
            Self::Retried => "retried",
            Self::Dead => "dead",
        }
    }
}

/// What became of reading the configuration again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReloadOutcome {
    /// In use now.
    Loaded,
    /// Not taken; the one from before stays.
    Refused {
        /// Faults found.
        faults: usize,
    },
}

/// All counters.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    events: Family<OutcomeLabel, Counter>,
    auth_failures: Family<ReasonLabel, Counter>,
    messages: Family<OutcomeLabel, Counter>,
    intake: Histogram,
    reply: Histogram,
    depths: Family<PlaceLabel, Gauge>,
    reloads: Family<OutcomeLabel, Counter>,
    configuration_faults: Gauge,
}

impl Default for Metrics {
    fn default() -> Self {
        Self::new()
    }
}

impl Metrics {
    /// All counters at zero.
    pub fn new() -> Self {
        let mut registry = Registry::with_prefix("cueline");
        let events = Family::<OutcomeLabel, Counter>::default();
        let auth_failures = Family::<ReasonLabel, Counter>::default();
        let messages = Family::<OutcomeLabel, Counter>::default();
        let intake = Histogram::new(BUCKETS);
        let reply = Histogram::new(BUCKETS);
        let depths = Family::<PlaceLabel, Gauge>::default();
        let reloads = Family::<OutcomeLabel, Counter>::default();
        let configuration_faults = Gauge::default();
        registry.register(
            "events",
            "Event requests by what became of them",
            events.clone(),
        );
        registry.register(
            "signature_failures",
            "Refused signatures by reason",
            auth_failures.clone(),
        );
        registry.register(
            "messages",
            "Tries to send a message by what became of them",
            messages.clone(),
        );
        registry.register(
            "intake_seconds",
            "Time from an event's request to its durable answer",
            intake.clone(),
        );
        registry.register(
            "reply_seconds",
            "Time from an event's receipt to its first reply at the platform",
            reply.clone(),
        );
        registry.register(
            "waiting",
            "Rows waiting, by place; -1 when the database does not say",
            depths.clone(),
        );
        registry.register(
            "reloads",
            "Times the configuration was read again by what became of it",
            reloads.clone(),
        );
        registry.register(
            "configuration_faults",
            "Faults of the configuration that was read last; 0 when it is in use",
            configuration_faults.clone(),
        );
        Self {
            registry,
            events,
            auth_failures,
            messages,
            intake,
            reply,
            depths,
            reloads,
            configuration_faults,
        }
    }

    /// Counts a request to `POST /events`.
    pub fn event(&self, outcome: EventOutcome) {
        let label = OutcomeLabel {
            outcome: outcome.word(),
        };
        self.events.get_or_create(&label).inc();
    }

    /// Counts a refused signature.
    pub fn signature_failure(&self, fault: SignatureFault) {
        let label = ReasonLabel {
            reason: fault.word(),
        };
        self.auth_failures.get_or_create(&label).inc();
    }

    /// Counts a try to send a message.
    pub fn message(&self, outcome: MessageOutcome) {
        let label = OutcomeLabel {
            outcome: outcome.word(),
        };
        self.messages.get_or_create(&label).inc();
    }

    /// Notes how long an event took from request to durable answer.
    pub fn observe_intake(&self, took: Duration) {
        self.intake.observe(took.as_secs_f64());
    }

    /// Notes how long a first reply took from the event's receipt.
    pub fn observe_reply(&self, took: Duration) {
        self.reply.observe(took.as_secs_f64());
    }

    /// Counts a reading of the configuration.
    pub fn reload(&self, outcome: ReloadOutcome) {
        let (outcome, faults) = match outcome {
            ReloadOutcome::Loaded => ("loaded", 0),
            ReloadOutcome::Refused { faults } => ("refused", faults),
        };
        self.reloads.get_or_create(&OutcomeLabel { outcome }).inc();
        let faults = i64::try_from(faults).unwrap_or(i64::MAX);
        self.configuration_faults.set(faults);
    }

    /// Faults of the configuration that was read last; 0 when it is in use.
    pub fn configuration_faults(&self) -> i64 {
        self.configuration_faults.get()
    }

    /// The page; `depths` as the store says now, none when it does not answer.
    pub fn text(&self, depths: Option<Depths>) -> Result<String, std::fmt::Error> {
        let places = depths.map_or([-1; 5], |d| {
            [d.inbox, d.outbox, d.dead, d.queue, d.follow_ups]
        });
        let names = ["inbox", "outbox", "dead", "queue", "follow_ups"];
        for (place, count) in names.into_iter().zip(places) {
            self.depths.get_or_create(&PlaceLabel { place }).set(count);
        }
        let mut page = String::new();
        encode(&mut page, &self.registry)?;
        Ok(page)
    }
}
