//! The tables of both engines agree, every statement is understood, and no work walks history.

use crate::samples::message;
use cueline_bot::store::{self, OpenOptions, StoreError};
use cueline_tests::databases::{EngineKind, Fresh, postgres, sqlite};
use sqlx::postgres::{PgConnection, PgPool};
use sqlx::sqlite::{SqliteConnection, SqlitePool};
use sqlx::{AssertSqlSafe, Connection, Executor};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// How many rows `FROM {what}` has, asked past the store.
pub(crate) async fn count(fresh: &Fresh, what: &str) -> i64 {
    let statement = AssertSqlSafe(format!("SELECT COUNT(*) FROM {what}"));
    match fresh.kind {
        EngineKind::Sqlite => {
            let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
            sqlx::query_scalar(statement)
                .fetch_one(&mut connection)
                .await
                .unwrap()
        }
        EngineKind::Postgres => {
            let mut connection = PgConnection::connect(&fresh.url).await.unwrap();
            sqlx::query_scalar(statement)
                .fetch_one(&mut connection)
                .await
                .unwrap()
        }
    }
}

/// Runs a statement past the store.
pub(crate) async fn run(fresh: &Fresh, statement: &'static str) {
    match fresh.kind {
        EngineKind::Sqlite => {
            let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
            connection.execute(statement).await.unwrap();
        }
        EngineKind::Postgres => {
            let mut connection = PgConnection::connect(&fresh.url).await.unwrap();
            connection.execute(statement).await.unwrap();
        }
    }
}

/// Name and text of every statement file for this engine.
fn statements(kind: EngineKind) -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../bot/src/store/sql");
    let other = match kind {
        EngineKind::Sqlite => ".postgres.sql",
        EngineKind::Postgres => ".sqlite.sql",
    };
    let mut found: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| !path.to_str().unwrap().ends_with(other))
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (path.file_name().unwrap().to_str().unwrap().to_owned(), text)
        })
        .collect();
    found.sort();
    assert!(found.len() > 40, "only {} statements found", found.len());
    found
}

#[tokio::test]
async fn every_statement_prepares_on_sqlite() {
    let fresh = sqlite().unwrap();
    fresh.open().await.unwrap();
    let pool = SqlitePool::connect(&fresh.url).await.unwrap();
    for (name, text) in statements(EngineKind::Sqlite) {
        let prepared = pool
            .prepare(sqlx::SqlSafeStr::into_sql_str(AssertSqlSafe(text)))
            .await;
        assert!(prepared.is_ok(), "{name}: {}", prepared.err().unwrap());
    }
}

#[tokio::test]
async fn every_statement_prepares_on_postgres() {
    let fresh = postgres().await.unwrap();
    let store = fresh.open().await.unwrap();
    let pool = PgPool::connect(&fresh.url).await.unwrap();
    for (name, text) in statements(EngineKind::Postgres) {
        let prepared = pool
            .prepare(sqlx::SqlSafeStr::into_sql_str(AssertSqlSafe(text)))
            .await;
        assert!(prepared.is_ok(), "{name}: {}", prepared.err().unwrap());
    }
    pool.close().await;
    store.close().await;
}

#[tokio::test]
async fn tables_and_columns_have_the_same_names_on_both_engines() {
    let (file, server) = (sqlite().unwrap(), postgres().await.unwrap());
    file.open().await.unwrap().close().await;
    server.open().await.unwrap().close().await;
    let mut connection = SqliteConnection::connect(&file.url).await.unwrap();
    let on_sqlite: Vec<(String, String)> = sqlx::query_as(
        "SELECT tables.name, columns.name
         FROM sqlite_schema AS tables JOIN pragma_table_info(tables.name) AS columns
         WHERE tables.type = 'table' AND tables.name NOT LIKE 'sqlite_%'
           AND tables.name NOT LIKE '_sqlx_%'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    let mut connection = PgConnection::connect(&server.url).await.unwrap();
    let on_postgres: Vec<(String, String)> = sqlx::query_as(
        "SELECT table_name::TEXT, column_name::TEXT FROM information_schema.columns
         WHERE table_schema = 'public' AND table_name NOT LIKE '\\_sqlx\\_%'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    let on_sqlite: BTreeSet<_> = on_sqlite.into_iter().collect();
    assert_eq!(on_sqlite, on_postgres.into_iter().collect());
    assert!(on_sqlite.contains(&("inbox".to_owned(), "fence".to_owned())));
}

async fn starting_again_or_twice_at_once_is_harmless(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let (one, two) = tokio::join!(fresh.open(), fresh.open());
    let (one, two) = (one.unwrap(), two.unwrap());
    one.accept(message("e1", "room", "text")).await.unwrap();
    two.ping().await.unwrap();
    assert_eq!(two.depths().await.unwrap().inbox, 1);
    one.close().await;
    two.close().await;
    let again = fresh.open().await.unwrap();
    assert_eq!(again.depths().await.unwrap().inbox, 1);
    assert_eq!(again.reserve_case_number().await.unwrap(), 1);
}

async fn a_database_that_a_newer_release_has_moved_on_still_opens(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    fresh.open().await.unwrap().close().await;
    let newer = "INSERT INTO _sqlx_migrations
        (version, description, success, checksum, execution_time)
        SELECT 9999, 'newer', success, checksum, execution_time FROM _sqlx_migrations
        WHERE version = 1";
    match kind {
        EngineKind::Sqlite => {
            let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
            connection.execute(newer).await.unwrap();
        }
        EngineKind::Postgres => {
            let mut connection = PgConnection::connect(&fresh.url).await.unwrap();
            connection.execute(newer).await.unwrap();
        }
    }
    fresh.open().await.unwrap().ping().await.unwrap();
}

/// The plan of a statement file with sample values in place of its parameters.
async fn sqlite_plan(connection: &mut SqliteConnection, name: &str) -> String {
    let (_, text) = statements(EngineKind::Sqlite)
        .into_iter()
        .find(|(file, _)| file == name)
        .unwrap();
    let explain = AssertSqlSafe(format!("EXPLAIN QUERY PLAN {text}"));
    let steps: Vec<(i64, i64, i64, String)> =
        sqlx::query_as(explain).fetch_all(connection).await.unwrap();
    let steps: Vec<_> = steps.into_iter().map(|step| step.3).collect();
    steps.join("\n")
}

#[tokio::test]
async fn no_claim_count_or_cancellation_walks_a_whole_table() {
    let fresh = sqlite().unwrap();
    fresh.open().await.unwrap();
    let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
    for (name, _) in statements(EngineKind::Sqlite) {
        // The queue table is itself what waits: reading it in order reads it whole.
        let may_scan: &[&str] = match name.as_str() {
            "queue.sql" | "depths.sql" => &["SCAN queue"],
            // The lines of one page.
            "access_page.sql" | "desk_queue.sql" | "sheet_waiting.sql" => &["SCAN page"],
            // From its end, in the order of its key, no further than the limit.
            "access_recent.sql" => &["SCAN access_log"],
            // The sums of a season, one a member.
            "season.sql" => &["SCAN sums"],
            // The marks handed in, laid out as rows.
            "answers_mark.sqlite.sql" => &["SCAN one"],
            _ => &[],
        };
        let plan = sqlite_plan(&mut connection, &name).await;
        for step in plan.lines().filter(|step| step.starts_with("SCAN")) {
            let allowed = step.contains("USING INDEX")
                || step.contains("USING COVERING INDEX")
                || step.contains("VIRTUAL TABLE")
                || step.contains("CONSTANT ROW")
                || step.contains("newest")
                || may_scan.iter().any(|start| step.starts_with(start));
            assert!(allowed, "{name} walks a table:\n{plan}");
        }
    }
    for (name, index) in [
        ("claim_events.sqlite.sql", "inbox_waiting"),
        ("claim_outgoing.sqlite.sql", "outbox_ready"),
        ("claim_follow_ups.sqlite.sql", "follow_ups_due"),
        (
            "answers_mark.sqlite.sql",
            "(challenge=? AND source=? AND person_id=?)",
        ),
    ] {
        let plan = sqlite_plan(&mut connection, name).await;
        assert!(plan.contains(index), "{name}:\n{plan}");
    }
}

/// What the desk's pages ask: each statement with the values one page asks with.
const DESK: [(&str, &[&str]); 8] = [
    ("access_page.sql", &["'/chat/demo'", "5000", "100"]),
    ("sheet_newest.sql", &["'/chat/demo'", "9900"]),
    ("sheet_kept.sql", &["'s77'", "9000"]),
    ("sheet_waiting.sql", &["'/chat/demo'", "9000", "64"]),
    (
        "desk_queue.sql",
        &["5000000", "86400000", "51", "'/chat/demo'", "0"],
    ),
    ("case_by_number.sql", &["777"]),
    ("entries.sql", &["'c777'", "200"]),
    ("cases_recent.sql", &["'/chat/demo'", "9000", "50"]),
];

/// Ten thousand cases, of which a hundred wait.
const MANY: &str = "
INSERT INTO cases (id, number, source, person_id, room_id, state, opened_at, updated_at, version, body)
SELECT 'c' || n, n, '/chat/demo', 'p' || n, 'room', 'with-coach', n, n, 1, '{}' FROM many;
INSERT INTO entries (case_id, at, kind, who, text) SELECT 'c' || n, n, 'lifter', 'p', 'words' FROM many;
INSERT INTO queue (case_id, source, urgency, reasons, since, minutes)
SELECT 'c' || n, '/chat/demo', 2, '[]', n, 5 FROM many WHERE n % 100 = 0;
INSERT INTO access_log (at, source, person_id, what)
SELECT n, CASE WHEN n % 2 = 0 THEN '/chat/demo' ELSE '/chat/other' END, 'carla', 'queue' FROM many;
INSERT INTO sheets (id, source, person_id, made_at, minutes)
SELECT 's' || n, '/chat/demo', 'carla', n, 20 FROM many;
INSERT INTO sheet_cases (sheet_id, case_id, place, made_at) SELECT 's' || n, 'c' || n, 0, n FROM many;";

#[tokio::test]
async fn no_page_of_the_desk_walks_all_cases_on_postgres() {
    let fresh = postgres().await.unwrap();
    fresh.open().await.unwrap().close().await;
    let mut connection = PgConnection::connect(&fresh.url).await.unwrap();
    let fill = format!(
        "CREATE TEMPORARY TABLE many AS SELECT n FROM generate_series(1, 10000) AS n;{MANY}
         ANALYZE cases; ANALYZE entries; ANALYZE queue; ANALYZE access_log; ANALYZE sheets;
         ANALYZE sheet_cases;"
    );
    connection.execute(AssertSqlSafe(fill)).await.unwrap();
    for (name, values) in DESK {
        let (_, mut text) = statements(EngineKind::Postgres)
            .into_iter()
            .find(|(file, _)| file == name)
            .unwrap();
        for (index, value) in values.iter().enumerate() {
            text = text.replace(&format!("${}", index + 1), value);
        }
        let explain = AssertSqlSafe(format!("EXPLAIN {text}"));
        let plan: Vec<String> = sqlx::query_scalar(explain)
            .fetch_all(&mut connection)
            .await
            .unwrap();
        let plan = plan.join("\n");
        for table in ["cases", "entries", "access_log", "sheets", "sheet_cases"] {
            assert!(
                !plan.contains(&format!("Seq Scan on {table}")),
                "{name}:\n{plan}"
            );
        }
        assert!(plan.contains("Index"), "{name}:\n{plan}");
    }
}

#[tokio::test]
async fn no_page_of_the_desk_walks_all_cases_on_sqlite() {
    let fresh = sqlite().unwrap();
    fresh.open().await.unwrap().close().await;
    let mut connection = SqliteConnection::connect(&fresh.url).await.unwrap();
    for (name, index) in [
        ("desk_queue.sql", "COVERING INDEX queue_platform"),
        ("desk_counts.sql", "COVERING INDEX queue_platform"),
        ("case_by_number.sql", "(number=?)"),
        ("entries.sql", "entries_case"),
        ("cases_recent.sql", "cases_recent"),
        ("access_page.sql", "access_log_source"),
        ("sheet_newest.sql", "sheets_newest"),
        ("sheet_kept.sql", "sheet_id=?"),
        ("sheet_waiting.sql", "challenges_case"),
    ] {
        let plan = sqlite_plan(&mut connection, name).await;
        assert!(plan.contains(index), "{name}:\n{plan}");
        for table in ["cases", "own", "entries"] {
            assert!(!plan.contains(&format!("SCAN {table}")), "{name}:\n{plan}");
        }
    }
}

#[tokio::test]
async fn a_url_that_names_no_database_we_have_is_refused_in_words() {
    for (url, words) in [
        ("mysql://localhost/x", "sqlite:PATH"),
        ("cueline.sqlite", "sqlite:PATH"),
        ("sqlite::memory:", "a file is needed"),
    ] {
        match store::open(url, &OpenOptions::default()).await {
            Err(StoreError::Unexpected(why)) => assert!(why.contains(words), "{url}: {why}"),
            other => panic!("{url}: {other:?}"),
        }
    }
    let nobody = "postgres://nobody@127.0.0.1:1/none";
    let refused = store::open(nobody, &OpenOptions::default()).await;
    assert!(
        matches!(refused, Err(StoreError::Unavailable(_))),
        "{refused:?}"
    );
}

on_both_engines!(
    starting_again_or_twice_at_once_is_harmless,
    a_database_that_a_newer_release_has_moved_on_still_opens,
);
