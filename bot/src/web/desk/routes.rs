//! The one list of the desk's routes; its router is built from it and from nothing else.

use super::{
    Desk, DeskParts, act, case, faults, guard, lists, log, page, pictures, queue, sheet, sign_in,
    works,
};
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{MethodRouter, get, post};
use std::sync::Arc;

/// Who may use a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Anybody: it shows nothing of anybody.
    Anybody,
    /// A coach who is signed in.
    Coach,
}

/// What a route does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Name {
    Queue,
    SignIn,
    Enter,
    SignOut,
    Case,
    Plan,
    Picture,
    Trace,
    Deed,
    Cases,
    Undelivered,
    SendAgain,
    Sheet,
    SheetDocument,
    KeepSheet,
    Works,
    WorksTable,
    Faults,
    Log,
    Help,
    Style,
    Script,
    Icon,
}

/// One route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DeskRoute {
    /// Methods, as in the `Allow` header.
    pub methods: &'static str,
    /// Path, with what varies in braces.
    pub path: &'static str,
    /// Who may use it.
    pub access: Access,
    name: Name,
}

const fn coach(methods: &'static str, path: &'static str, name: Name) -> DeskRoute {
    DeskRoute {
        methods,
        path,
        access: Access::Coach,
        name,
    }
}

const fn anybody(methods: &'static str, path: &'static str, name: Name) -> DeskRoute {
    DeskRoute {
        methods,
        path,
        access: Access::Anybody,
        name,
    }
}

const READ: &str = "GET, HEAD";

/// All routes of the desk.
pub const DESK_ROUTES: [DeskRoute; 23] = [
    coach(READ, "/desk", Name::Queue),
    coach(READ, "/desk/case/{number}", Name::Case),
    coach(READ, "/desk/case/{number}/plan", Name::Plan),
    coach(READ, "/desk/case/{number}/picture/{id}", Name::Picture),
    coach(READ, "/desk/case/{number}/trace/{id}", Name::Trace),
    coach("POST", "/desk/case/{number}/{deed}", Name::Deed),
    coach(READ, "/desk/cases", Name::Cases),
    coach(READ, "/desk/undelivered", Name::Undelivered),
    coach("POST", "/desk/send-again", Name::SendAgain),
    coach(READ, "/desk/sheet", Name::Sheet),
    coach(READ, "/desk/sheet.md", Name::SheetDocument),
    coach("POST", "/desk/sheet/keep", Name::KeepSheet),
    coach(READ, "/desk/works", Name::Works),
    coach(READ, "/desk/works.csv", Name::WorksTable),
    coach(READ, "/desk/faults", Name::Faults),
    coach(READ, "/desk/log", Name::Log),
    coach(READ, "/desk/help", Name::Help),
    coach("POST", "/desk/sign-out", Name::SignOut),
    anybody(READ, "/desk/sign-in", Name::SignIn),
    anybody("GET, HEAD, POST", crate::casework::ENTER, Name::Enter),
    anybody(READ, "/desk/desk.css", Name::Style),
    anybody(READ, "/desk/desk.js", Name::Script),
    anybody(READ, "/desk/icon.svg", Name::Icon),
];

/// The desk's router, to be merged with the others.
pub fn desk_router(parts: DeskParts) -> Router {
    let desk = Arc::new(Desk::new(parts));
    DESK_ROUTES
        .into_iter()
        .fold(Router::new(), |router, route| {
            let mut methods = handler(route);
            if route.access == Access::Coach {
                methods = methods.layer(from_fn_with_state(desk.clone(), guard::coaches_only));
            }
            let methods = methods.fallback(async move || guard::not_allowed(route.methods));
            router.route(route.path, methods)
        })
        .layer(from_fn_with_state(desk.clone(), guard::own_forms_only))
        .layer(from_fn(guard::in_time))
        .layer(from_fn_with_state(desk.clone(), guard::headers))
        .with_state(desk)
}

fn handler(route: DeskRoute) -> MethodRouter<Arc<Desk>> {
    match route.name {
        Name::Queue => get(queue::show),
        Name::SignIn => get(sign_in::show),
        Name::Enter => get(sign_in::button).post(sign_in::enter),
        Name::SignOut => post(sign_in::leave),
        Name::Case => get(case::show),
        Name::Plan => get(case::plan),
        Name::Picture => get(pictures::picture),
        Name::Trace => get(pictures::trace),
        Name::Deed => post(act::deed),
        Name::Cases => get(lists::cases),
        Name::Undelivered => get(lists::undelivered),
        Name::SendAgain => post(act::send_again),
        Name::Sheet => get(sheet::show),
        Name::SheetDocument => get(sheet::document),
        Name::KeepSheet => post(sheet::keep),
        Name::Works => get(works::show),
        Name::WorksTable => get(works::csv),
        Name::Faults => get(faults::show),
        Name::Log => get(log::show),
        Name::Help => get(lists::help),
        Name::Style => get(page::style),
        Name::Script => get(page::script),
        Name::Icon => get(page::icon),
    }
}
