//! Coaches' verdicts: one a set, gone with their case.

use crate::samples::{case, minute, person, write};
use cueline_bot::record::{CoachVerdict, Effects};
use cueline_bot::store::{OpenOptions, StoreError, open};
use cueline_core::outcome::Judged;
use cueline_core::report::Lift;
use cueline_tests::databases::{EngineKind, Fresh};
use sqlx::{Connection, PgConnection, SqliteConnection};

fn verdict(case: i64, set: &str, at: i64, causes: &[&str]) -> CoachVerdict {
    let ids = |list: &[&str]| list.iter().map(|id| (*id).to_owned()).collect();
    CoachVerdict {
        case_id: format!("case-{case}"),
        event_id: set.to_owned(),
        at: minute(at),
        by: person("wren"),
        edition: "0123456789abcdef+7".to_owned(),
        judged: Judged {
            lift: Lift::Squat,
            causes: ids(causes),
            beliefs: vec![("c-sq-brace".to_owned(), 0.718)],
            present: ids(&["sq-trunk-soft"]),
            absent: ids(&["sq-hips-shoot"]),
        },
    }
}

fn given(verdicts: &[CoachVerdict]) -> Effects {
    Effects {
        verdicts: verdicts.to_vec(),
        ..Effects::default()
    }
}

async fn a_verdict_comes_back_as_given_and_a_later_one_takes_its_place(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let cases = Effects {
        cases: vec![case(1), case(2)],
        ..Effects::default()
    };
    write(&*store, "e1", &cases).await;
    assert_eq!(store.verdict_of_case("case-1").await.unwrap(), None);
    let nothing = store.verdicts_mark().await.unwrap();
    assert_eq!(nothing, (0, 0));

    let first = verdict(1, "set-1", 1, &["c-sq-brace", "c-sq-bottom"]);
    let other = verdict(2, "set-9", 2, &[]);
    write(&*store, "e2", &given(&[first.clone(), other.clone()])).await;
    assert_eq!(
        store.verdicts(10).await.unwrap(),
        [other.clone(), first.clone()]
    );
    let two = store.verdicts_mark().await.unwrap();

    let mut changed = verdict(1, "set-1", 3, &["c-sq-ankle"]);
    changed.by = person("ana");
    write(&*store, "e3", &given(&[changed.clone()])).await;
    assert_eq!(
        store.verdict_of_case("case-1").await.unwrap(),
        Some(changed.clone())
    );
    assert_eq!(store.verdicts(10).await.unwrap(), [changed.clone(), other]);
    assert_eq!(store.verdicts(1).await.unwrap(), [changed]);
    let marks = [nothing, two, store.verdicts_mark().await.unwrap()];
    assert!(marks[0] != marks[1] && marks[1] != marks[2], "{marks:?}");
    store.close().await;
}

async fn the_newest_verdict_of_a_case_is_the_one_shown(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let late = verdict(1, "set-1", 9, &["c-sq-brace"]);
    let effects = Effects {
        cases: vec![case(1)],
        verdicts: vec![verdict(1, "set-2", 4, &[]), late.clone()],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    assert_eq!(store.verdict_of_case("case-1").await.unwrap(), Some(late));
    assert_eq!(store.verdicts_mark().await.unwrap().0, 2);
    store.close().await;
}

/// How a person is forgotten: the case is deleted, and everything that hangs on it goes with it.
async fn a_verdict_goes_with_its_case(kind: EngineKind) {
    const FORGET: &str = "DELETE FROM cases WHERE id = 'case-1'";
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let kept = verdict(2, "set-2", 2, &[]);
    let effects = Effects {
        cases: vec![case(1), case(2)],
        verdicts: vec![verdict(1, "set-1", 1, &[]), kept.clone()],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    match fresh.kind {
        EngineKind::Sqlite => {
            let mut to = SqliteConnection::connect(&fresh.url).await.unwrap();
            // The driver turns foreign keys on by itself; a shell has to be told.
            sqlx::query(FORGET).execute(&mut to).await.unwrap();
        }
        EngineKind::Postgres => {
            let mut to = PgConnection::connect(&fresh.url).await.unwrap();
            sqlx::query(FORGET).execute(&mut to).await.unwrap();
        }
    }
    assert_eq!(store.verdicts(10).await.unwrap(), [kept]);
    store.close().await;
}

async fn a_store_opened_to_look_at_refuses_every_write(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let effects = Effects {
        cases: vec![case(1)],
        verdicts: vec![verdict(1, "set-1", 1, &["c-sq-brace"])],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let options = OpenOptions {
        read_only: true,
        ..OpenOptions::default()
    };
    // Beside the service, and after it has stopped.
    for closed in [false, true] {
        if closed {
            store.close().await;
        }
        let looking = open(&fresh.url, &options).await.unwrap();
        assert_eq!(looking.verdicts(10).await.unwrap(), effects.verdicts);
        let refused = looking.reserve_case_number().await;
        assert!(
            matches!(refused, Err(StoreError::Unavailable(_))),
            "{refused:?}"
        );
        looking.close().await;
    }
}

on_both_engines!(
    a_verdict_comes_back_as_given_and_a_later_one_takes_its_place,
    the_newest_verdict_of_a_case_is_the_one_shown,
    a_verdict_goes_with_its_case,
    a_store_opened_to_look_at_refuses_every_write,
);

#[tokio::test]
async fn looking_at_a_file_that_is_not_there_makes_none() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("none.sqlite");
    let options = OpenOptions {
        read_only: true,
        ..OpenOptions::default()
    };
    let url = format!("sqlite:{}", path.display());
    assert!(open(&url, &options).await.is_err());
    assert!(!path.exists());
}
