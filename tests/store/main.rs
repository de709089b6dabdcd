//! What the store promises, asked of both engines with the same questions.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(
    clippy::assigning_clones,
    reason = "saving an allocation is no gain in a test"
)]

/// Runs each promise, a function of the engine, on both.
macro_rules! on_both_engines {
    ($($promise:ident),* $(,)?) => {$(
        mod $promise {
            use cueline_tests::databases::EngineKind;

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn on_sqlite() {
                super::$promise(EngineKind::Sqlite).await;
            }

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn on_postgres() {
                super::$promise(EngineKind::Postgres).await;
            }
        }
    )*};
}

mod apply;
mod challenges;
mod claims;
mod desk;
mod faults;
mod files;
mod follow_ups;
mod intake;
mod outbox;
mod privacy;
mod queue;
mod samples;
mod schema;
mod sheets;
mod strikes;
mod texts;
mod verdicts;
