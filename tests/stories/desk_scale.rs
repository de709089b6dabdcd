//! How fast the desk's pages are with a hundred thousand cases. A measurement, not a promise kept on
//! every machine: `cargo nextest run -p cueline-tests --test stories desk_scale --run-ignored only
//! --no-capture`, with `--release` for figures that count.

use crate::desk::{at_the_desk, handed_over, with_desk};
use anyhow::Result;
use cueline_tests::databases::EngineKind;
use cueline_tests::desk::Desk;
use cueline_tests::stage::{Stage, run};
use jiff::SignedDuration;
use sqlx::{AssertSqlSafe, Connection as _, Executor as _, PgConnection, SqliteConnection};
use std::time::{Duration, Instant};

/// Cases beside the one that was played, and how many of them wait.
const CASES: i64 = 100_000;
const WAITING: i64 = 2_000;
/// Times each page is opened.
const TIMES: usize = 40;
/// What a page may take.
const MOST: Duration = Duration::from_millis(100);

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "a measurement of a minute; see the head of this file"]
async fn pages_with_a_hundred_thousand_cases_on_sqlite() -> Result<()> {
    run(EngineKind::Sqlite, measured).await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
#[ignore = "a measurement of a minute; see the head of this file"]
async fn pages_with_a_hundred_thousand_cases_on_postgres() -> Result<()> {
    run(EngineKind::Postgres, measured).await
}

/// Copies of case 1 with their lifters, three entries each; every fiftieth waits.
fn copies(numbers: &str) -> [String; 4] {
    let every = CASES / WAITING;
    [
        format!(
            "INSERT INTO cases (id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, version, body)
             SELECT 'copy-' || n, 1000 + n, source, 'p' || n, room_id, thread_id, lift, state, opened_at + n, updated_at, version, body
             FROM cases, {numbers} WHERE number = 1"
        ),
        format!(
            "INSERT INTO lifters (source, person_id, display_name, zone, reminders, has_left, last_reminder, profile, version)
             SELECT source, 'p' || n, 'Lifter ' || n, zone, reminders, has_left, last_reminder, profile, version
             FROM lifters, {numbers} WHERE person_id = 'mara'"
        ),
        format!(
            "INSERT INTO entries (case_id, at, kind, who, text)
             SELECT 'copy-' || n, at, kind, who, text FROM entries, {numbers}
             WHERE case_id = (SELECT id FROM cases WHERE number = 1)"
        ),
        format!(
            "INSERT INTO queue (case_id, source, urgency, reasons, since, promised, minutes)
             SELECT 'copy-' || n, source, 2 + n % 2, reasons, since - n, promised, minutes
             FROM queue, {numbers} WHERE n % {every} = 0"
        ),
    ]
}

async fn fill(stage: &Stage) -> Result<()> {
    let url = &stage.database.url;
    match stage.database.kind {
        EngineKind::Sqlite => {
            let mut connection = SqliteConnection::connect(url).await?;
            let numbers = format!(
                "(WITH RECURSIVE up(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM up WHERE n < {CASES}) SELECT n FROM up)"
            );
            for statement in copies(&numbers) {
                connection.execute(AssertSqlSafe(statement)).await?;
            }
        }
        EngineKind::Postgres => {
            let mut connection = PgConnection::connect(url).await?;
            for statement in copies(&format!("generate_series(1, {CASES}) AS n")) {
                connection.execute(AssertSqlSafe(statement)).await?;
            }
            connection.execute("ANALYZE").await?;
        }
    }
    Ok(())
}

/// Waits until what works is told from all the cases it is told from; no page waits for that long.
async fn worked_out(stage: &mut Stage, desk: &mut Desk) -> Result<()> {
    stage.pass(SignedDuration::from_mins(11)).await?;
    let begun = Instant::now();
    loop {
        let start = Instant::now();
        let page = desk.get("/desk/works").await?;
        assert!(
            start.elapsed() < MOST * 5,
            "a page waited: {:?}",
            start.elapsed()
        );
        if page.text.contains("newest 20000 cases") {
            println!("what works is worked out within {:?}", begun.elapsed());
            return Ok(());
        }
        assert!(begun.elapsed() < Duration::from_mins(1), "{}", page.text);
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

async fn measured(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    handed_over(stage, "mara").await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    fill(stage).await?;
    worked_out(stage, &mut desk).await?;
    let mut slow = Vec::new();
    for path in [
        "/desk",
        "/desk?from=1000",
        "/desk/case/51000",
        "/desk/cases",
        "/desk/cases?below=50000",
        "/desk/sheet",
        "/desk/sheet.md?minutes=60",
        "/desk/works",
        "/desk/works.csv",
        "/desk/faults",
        "/desk/log",
    ] {
        let mut took = Vec::with_capacity(TIMES);
        for _ in 0..TIMES {
            let start = Instant::now();
            let page = desk.get(path).await?;
            took.push(start.elapsed());
            assert_eq!(page.status, 200, "{path}");
        }
        took.sort();
        let (median, late) = (took[TIMES / 2], took[TIMES * 95 / 100]);
        println!("{path}: median {median:?}, 95th percentile {late:?}");
        if late > MOST {
            slow.push(path);
        }
    }
    assert!(slow.is_empty(), "over {MOST:?}: {slow:?}");
    Ok(())
}
