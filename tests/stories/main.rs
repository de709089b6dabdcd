//! What Cueline promises, played against the real service: signed events over HTTP in, a chat
//! platform out, either database behind it. One file a story.

#![allow(
    clippy::assigning_clones,
    reason = "saving an allocation is no gain in a story"
)]

/// Plays each story on both engines.
macro_rules! on_both_engines {
    ($($story:ident),* $(,)?) => {$(
        mod $story {
            use cueline_tests::databases::EngineKind;
            use cueline_tests::stage::run;

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn on_sqlite() -> anyhow::Result<()> {
                run(EngineKind::Sqlite, super::$story).await
            }

            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn on_postgres() -> anyhow::Result<()> {
                run(EngineKind::Postgres, super::$story).await
            }
        }
    )*};
}

mod backup;
mod bad_input;
mod besides_sets;
mod challenge;
mod challenge_end;
mod challenge_fair;
mod challenge_reveal;
mod coach_queue;
mod consent;
mod delivery;
mod demo;
mod desk;
mod desk_evening;
mod desk_learning;
mod desk_pages;
mod desk_scale;
mod desk_work;
mod duplicates;
mod first_report;
mod follow_up;
mod forgetting;
mod pictures;
mod privacy;
mod question;
mod red_flag;
mod reload;
mod restart;
mod retention;
mod review_sheet;
mod season;
mod season_midway;
mod strikes;
mod traces;
mod two_instances;
mod verdict;
