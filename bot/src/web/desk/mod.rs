//! The coach's desk in the browser: the queue, one case on one screen, and everything the coach
//! can do in chat, done by the same words and the same functions.
//!
//! A page shows what the store holds. A form becomes an order: an event of our own in the inbox,
//! with the form's id as its key, so that it is carried out exactly once however often it is sent.

mod act;
mod case;
mod faults;
mod guard;
mod guardian;
mod history;
mod lists;
mod log;
mod measured;
mod offer;
mod page;
mod picture;
mod pictures;
mod place;
mod queue;
mod routes;
mod sheet;
mod show;
mod sign_in;
mod words;
mod works;
mod works_log;

pub use routes::{Access, DESK_ROUTES, DeskRoute, desk_router};

use super::limits::BoundedRate;
use crate::brain::{Brain, Live};
use crate::clock::Clock;
use crate::record::PersonKey;
use crate::store::Store;
use governor::Quota;
use jiff::{SignedDuration, Timestamp};
use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

/// A session not used for this long is over.
pub const IDLE: SignedDuration = SignedDuration::from_mins(30);
/// A session is over after this long, used or not.
pub const LONGEST: SignedDuration = SignedDuration::from_hours(12);
/// Links that did not work, from one address, before its tries are refused.
const WRONG_LINKS: NonZeroU32 = NonZeroU32::new(5).unwrap();
/// In how long one of them is forgotten: five in a quarter of an hour.
const FORGET_ONE: Duration = Duration::from_mins(3);
/// Addresses remembered at once.
const ADDRESSES: usize = 10_000;

/// What the desk is built from.
#[derive(Clone, Debug)]
pub struct DeskParts {
    /// Where cases, sessions and the access log are.
    pub store: Arc<dyn Store>,
    /// What time it is.
    pub clock: Arc<dyn Clock>,
    /// Catalog, texts and rules, those in use.
    pub brain: Arc<Live>,
    /// Rung when an order was given.
    pub wake: Arc<Notify>,
    /// Address the coaches reach it under: scheme and host, no slash at the end.
    pub url: String,
}

/// What the pages share.
struct Desk {
    parts: DeskParts,
    wrong_links: BoundedRate<IpAddr>,
    works: works_log::Works,
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Desk").finish_non_exhaustive()
    }
}

impl Desk {
    fn new(parts: DeskParts) -> Self {
        let quota = Quota::with_period(FORGET_ONE)
            .unwrap_or(Quota::per_minute(NonZeroU32::MIN))
            .allow_burst(WRONG_LINKS);
        Self {
            parts,
            wrong_links: BoundedRate::with_quota(quota, ADDRESSES),
            works: works_log::Works::new(),
        }
    }

    fn now(&self) -> Timestamp {
        self.parts.clock.now()
    }

    /// Catalog, texts and rules as they are now; asked for once a page, so that a page is of one
    /// piece.
    fn brain(&self) -> Arc<Brain> {
        self.parts.brain.now()
    }

    /// Reached by https, as everywhere but on this machine.
    fn secure(&self) -> bool {
        self.parts.url.starts_with("https://")
    }

    /// Whether somebody is a coach now; who was one when signing in may not be one any more.
    fn is_coach(&self, person: &PersonKey) -> bool {
        self.brain().rules.coaches.contains(person)
    }
}

/// A coach who is signed in.
#[derive(Clone, Debug)]
struct Signed {
    person: PersonKey,
    /// Hash of the session.
    session: String,
    /// What every form of this session carries.
    form_token: String,
}
