//! The one list of routes, and what every answer carries.

use super::limits::RateLimits;
use super::problem::Problem;
use super::{WebParts, data_page, health, receive};
use crate::signing::Secret;
use axum::Router;
use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderValue, Method};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{MethodRouter, get, post};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tracing::Instrument as _;

/// Which side of the service a route belongs to. The operator's side is meant for another port.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Door {
    /// Reached by chat platforms.
    Platforms,
    /// Reached by the operator's tools.
    Operator,
}

/// What a route does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteName {
    /// Takes an event in.
    Events,
    /// A lifter's link to their data, and the file behind it.
    Data,
    /// Says that the process answers.
    Live,
    /// Says whether work can be taken.
    Ready,
    /// Counters.
    Metrics,
}

/// One route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Route {
    /// Methods, as in the `Allow` header. `GET` answers `HEAD` too.
    pub methods: &'static str,
    /// Path.
    pub path: &'static str,
    /// Side.
    pub door: Door,
    /// What it does.
    pub name: RouteName,
}

/// Where chat platforms hand their events in.
pub const EVENTS_PATH: &str = "/events";

/// All routes; the router is built from this list and from nothing else.
pub const ROUTES: [Route; 5] = [
    Route {
        methods: "POST",
        path: EVENTS_PATH,
        door: Door::Platforms,
        name: RouteName::Events,
    },
    Route {
        methods: "GET, HEAD, POST",
        path: data_page::PATH,
        door: Door::Platforms,
        name: RouteName::Data,
    },
    Route {
        methods: "GET, HEAD",
        path: "/health/live",
        door: Door::Operator,
        name: RouteName::Live,
    },
    Route {
        methods: "GET, HEAD",
        path: "/health/ready",
        door: Door::Operator,
        name: RouteName::Ready,
    },
    Route {
        methods: "GET, HEAD",
        path: "/metrics",
        door: Door::Operator,
        name: RouteName::Metrics,
    },
];

/// What the handlers share.
#[derive(Debug)]
pub(super) struct Edge {
    pub(super) parts: WebParts,
    pub(super) rates: RateLimits,
    /// The secrets of all platforms in one row, and for each the index of its platform.
    pub(super) secrets: Vec<Secret>,
    pub(super) owners: Vec<usize>,
    instance: u32,
    requests: AtomicU64,
}

impl Edge {
    fn new(parts: WebParts) -> Self {
        let mut secrets = Vec::new();
        let mut owners = Vec::new();
        for (index, platform) in parts.platforms.iter().enumerate() {
            for secret in &platform.secrets {
                secrets.push(secret.clone());
                owners.push(index);
            }
        }
        Self {
            rates: RateLimits::new(&parts.limits, parts.platforms.len()),
            secrets,
            owners,
            instance: rand::random(),
            requests: AtomicU64::new(0),
            parts,
        }
    }

    /// Unlike any other request's id: a mark of this start of the service, and a count.
    fn request_id(&self) -> String {
        let count = self.requests.fetch_add(1, Ordering::Relaxed);
        format!("{:08x}-{count:x}", self.instance)
    }
}

/// All routes on one router.
pub fn router(parts: WebParts) -> Router {
    build(parts, |_| true)
}

/// The routes of one side only, for a port of their own.
pub fn router_behind(parts: WebParts, door: Door) -> Router {
    build(parts, |route| route.door == door)
}

fn build(parts: WebParts, wanted: impl Fn(&Route) -> bool) -> Router {
    let edge = Arc::new(Edge::new(parts));
    ROUTES
        .into_iter()
        .filter(wanted)
        .fold(Router::new(), |router, route| {
            router.route(route.path, handler(route))
        })
        .fallback(async || Problem::not_found())
        .layer(from_fn_with_state(edge.clone(), around))
        .with_state(edge)
}

fn handler(route: Route) -> MethodRouter<Arc<Edge>> {
    let methods = match route.name {
        RouteName::Events => post(receive::events),
        RouteName::Data => get(data_page::page).post(data_page::file),
        RouteName::Live => get(health::live),
        RouteName::Ready => get(health::ready),
        RouteName::Metrics => get(health::metrics),
    };
    methods.fallback(async move || Problem::method_not_allowed(route.methods))
}

/// Gives every request an id, and every answer the id and the headers that keep browsers from
/// doing anything with it.
async fn around(State(edge): State<Arc<Edge>>, request: Request, next: Next) -> Response {
    let id = edge.request_id();
    let span = span(&request, &id);
    let mut answer = next.run(request).instrument(span).await;
    if let Some(problem) = answer.extensions_mut().remove::<Problem>() {
        answer = problem.with_instance(&id).into_response();
    }
    let headers = answer.headers_mut();
    if let Ok(value) = HeaderValue::from_str(&id) {
        headers.insert(HeaderName::from_static("x-request-id"), value);
    }
    for (name, value) in [
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; frame-ancestors 'none'",
        ),
        (CACHE_CONTROL, "no-store"),
    ] {
        // Pages set their own policy.
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    }
    answer
}

/// The span of a request. An unknown path is not written down: it may hold anything.
fn span(request: &Request, id: &str) -> tracing::Span {
    let path = ROUTES
        .iter()
        .map(|route| route.path)
        .find(|path| *path == request.uri().path())
        .unwrap_or("other");
    let method = match *request.method() {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        _ => "other",
    };
    tracing::info_span!("request", id, method, path)
}
