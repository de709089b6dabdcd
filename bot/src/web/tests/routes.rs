//! The list of routes, the operator's side, and what every answer carries.

use super::super::{Door, ROUTES, router_behind};
use super::Stage;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode};
use std::sync::atomic::Ordering;
use tower::ServiceExt as _;

#[tokio::test]
async fn the_list_of_routes_is_what_the_router_answers() {
    let stage = Stage::new();
    let methods = [
        "GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "QUERY",
    ];
    for route in ROUTES {
        for method in methods {
            let request = Request::builder()
                .method(Method::from_bytes(method.as_bytes()).unwrap())
                .uri(route.path)
                .body(Body::empty())
                .unwrap();
            let answer = stage.ask(request).await;
            let listed = route.methods.split(", ").any(|listed| listed == method);
            let refused = answer.status == StatusCode::METHOD_NOT_ALLOWED;
            assert_eq!(listed, !refused, "{method} {}", route.path);
            if refused {
                assert_eq!(answer.header("allow"), route.methods);
                // An answer to HEAD has no body (RFC 9110, section 9.3.2).
                if method != "HEAD" {
                    answer.problem();
                }
            }
        }
    }
    for path in [
        "/",
        "/events/",
        "/events/x",
        "/health",
        "/metrics/",
        "//events",
        "/EVENTS",
    ] {
        let answer = stage.get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        answer.problem();
    }
}

#[tokio::test]
async fn each_side_answers_its_own_routes_only() {
    let stage = Stage::new();
    for door in [Door::Platforms, Door::Operator] {
        let side = router_behind(stage.parts.clone(), door);
        for route in ROUTES {
            let request = Request::get(route.path).body(Body::empty()).unwrap();
            let status = side.clone().oneshot(request).await.unwrap().status();
            assert_eq!(
                status == StatusCode::NOT_FOUND,
                route.door != door,
                "{}",
                route.path
            );
        }
    }
}

#[tokio::test]
async fn every_answer_has_an_id_of_its_own_and_tells_browsers_to_keep_off() {
    let stage = Stage::new();
    let mut ids = std::collections::BTreeSet::new();
    for path in ["/health/live", "/metrics", "/nowhere", "/events"] {
        let answer = stage.get(path).await;
        assert!(ids.insert(answer.header("x-request-id").to_owned()));
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("referrer-policy"), "no-referrer");
        let policy = answer.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'"));
    }
}

#[tokio::test]
async fn the_counters_page_shows_what_waits_and_lives_through_a_lost_database() {
    let stage = Stage::new();
    let answer = stage.get("/metrics").await;
    assert!(
        answer
            .header("content-type")
            .starts_with("application/openmetrics-text")
    );
    assert!(
        answer.text.contains("cueline_waiting{place=\"queue\"} 7"),
        "{}",
        answer.text
    );
    assert!(answer.text.ends_with("# EOF\n"));
    stage.store.broken.store(true, Ordering::SeqCst);
    let answer = stage.get("/metrics").await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(answer.text.contains("cueline_waiting{place=\"queue\"} -1"));
}
