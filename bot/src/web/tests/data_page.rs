//! A lifter's link to their data: a page that gives nothing away, and the file a few times.

use super::{FakeStore, Stage, not_here};
use crate::record::{Dossier, PersonKey, TooOld};
use crate::store::{Ageing, PrivacyStore, StoreError, SuppressionList};
use async_trait::async_trait;
use axum::body::Body;
use axum::http::{Request, StatusCode};
use jiff::Timestamp;
use sha2::{Digest as _, Sha256};
use std::sync::atomic::{AtomicU32, Ordering};

const KEY: &str = "00112233445566778899aabbccddeeff-_AABBCCDDE";
static USES: AtomicU32 = AtomicU32::new(0);

/// One link, which works once.
#[async_trait]
impl PrivacyStore for FakeStore {
    async fn dossier(&self, person: &PersonKey, _: u32) -> Result<Dossier, StoreError> {
        self.trouble().await?;
        let row = serde_json::json!({ "display_name": "<script>alert(1)</script>" });
        Ok(Dossier {
            tables: vec![(format!("of {}", person.person_id), vec![row])],
            cut: false,
        })
    }
    async fn erased_at(&self, _: &PersonKey) -> Result<Option<Timestamp>, StoreError> {
        not_here()
    }
    async fn use_data_link(
        &self,
        hash: &str,
        _: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError> {
        self.trouble().await?;
        // The key itself never reaches the store. SHA-256 of FIPS 180-4, by the library.
        let known = super::super::attachment::hex(&Sha256::digest(KEY.as_bytes()));
        let first = hash == known && USES.fetch_add(1, Ordering::SeqCst) == 0;
        Ok(first.then(|| PersonKey {
            source: "/chat/demo".to_owned(),
            person_id: "u1".to_owned(),
        }))
    }
    async fn claim_cleaning(&self, _: Timestamp, _: Timestamp) -> Result<bool, StoreError> {
        not_here()
    }
    async fn hold_cleaning(&self, _: Timestamp, _: Timestamp) -> Result<bool, StoreError> {
        not_here()
    }
    async fn clean(&self, _: Ageing, _: &TooOld, _: Timestamp, _: u32) -> Result<u64, StoreError> {
        not_here()
    }
    async fn suppressed(&self) -> Result<SuppressionList, StoreError> {
        not_here()
    }
    async fn suppress(&self, _: &SuppressionList) -> Result<u64, StoreError> {
        not_here()
    }
}

fn posted(body: &str) -> Request<Body> {
    Request::post("/data")
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(body.to_owned()))
        .unwrap()
}

#[tokio::test]
async fn the_page_uses_nothing_up_and_the_button_gives_the_file_as_often_as_it_may() {
    let stage = Stage::new();
    for _ in 0..3 {
        let page = stage.get(&format!("/data?key={KEY}")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(page.text.contains("method=\"post\""), "{}", page.text);
        assert!(page.header("content-type").starts_with("text/html"));
        assert_eq!(page.header("cache-control"), "no-store");
        assert_eq!(page.header("referrer-policy"), "no-referrer");
        assert!(
            page.header("content-security-policy")
                .contains("form-action 'self'")
        );
    }
    let file = stage.ask(posted(&format!("key={KEY}"))).await;
    assert_eq!(file.status, StatusCode::OK);
    assert_eq!(file.header("content-type"), "application/json");
    assert!(file.header("content-disposition").starts_with("attachment"));
    assert_eq!(file.header("cache-control"), "no-store");
    assert_eq!(file.header("x-content-type-options"), "nosniff");
    let document: serde_json::Value = serde_json::from_str(&file.text).unwrap();
    assert_eq!(document["person"]["person_id"], "u1");
    assert_eq!(document["complete"], true);
    let again = stage.ask(posted(&format!("key={KEY}"))).await;
    assert_eq!(again.status, StatusCode::NOT_FOUND);
    assert!(!again.text.contains("u1"), "{}", again.text);
}

#[tokio::test]
async fn what_is_no_key_gets_the_same_page_as_a_key_that_is_over() {
    let stage = Stage::new();
    let long = "a".repeat(10_000);
    for query in [
        "",
        "?key=",
        "?key=%22%3E%3Cscript%3E",
        "?other=1",
        "?key=abc",
    ] {
        let page = stage.get(&format!("/data{query}")).await;
        assert!(page.text.contains("does not work any more"), "{query}");
        assert!(!page.text.contains("script"), "{query}");
    }
    for body in ["", "key=", "key=../../etc/passwd", "\u{0}"] {
        let answer = stage.ask(posted(body)).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{body:?}");
    }
    let answer = stage.ask(posted(&long)).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
}
