//! Several instances share one database: no double work, and the work of one that is gone is
//! taken over.

use crate::first_report::SET;
use anyhow::Result;
use cueline_tests::databases::EngineKind;
use cueline_tests::platform::Fault;
use cueline_tests::stage::{COACHES, LIFTERS, Stage, run};
use jiff::SignedDuration;
use std::collections::BTreeSet;
use std::time::Duration;

/// `SQLite` is for one instance; this is what `PostgreSQL` is for.
macro_rules! on_postgres {
    ($($story:ident),* $(,)?) => {$(
        mod $story {
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn on_postgres() -> anyhow::Result<()> {
                super::run(super::EngineKind::Postgres, super::$story).await
            }
        }
    )*};
}

on_postgres!(
    two_instances_answer_every_report_once,
    one_instance_takes_over_what_a_stopped_one_left,
    one_instance_takes_over_what_a_hanging_one_holds,
    two_instances_send_one_reminder,
);

async fn two_instances_answer_every_report_once(stage: &mut Stage) -> Result<()> {
    stage.start().await?;
    let addresses = [stage.services()[0].address, stage.services()[1].address];
    for number in 0..30 {
        let room = format!("room{number}");
        let lifter = stage.lifter(&format!("lifter{number}")).in_room(&room);
        let event = lifter.says(SET).at(stage.now());
        let signed = stage.signed(&event)?;
        // The same event at both doors at once.
        let (one, two) = tokio::join!(
            stage.post_to(addresses[0], signed.clone()),
            stage.post_to(addresses[1], signed)
        );
        let mut statuses = [one?.status, two?.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 202]);
    }
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 30);
    assert_eq!(stage.river.heard().len(), 30, "and nothing was tried twice");
    let numbers = stage
        .look()
        .number("SELECT COUNT(DISTINCT number) FROM cases")
        .await?;
    assert_eq!(numbers, 30);
    Ok(())
}

async fn one_instance_takes_over_what_a_stopped_one_left(stage: &mut Stage) -> Result<()> {
    stage.start().await?;
    let lifters: Vec<_> = (0..20)
        .map(|number| {
            let lifter = stage.lifter(&format!("lifter{number}"));
            lifter.in_room(&format!("room{number}"))
        })
        .collect();
    for (number, lifter) in lifters.iter().enumerate() {
        stage.send(&lifter.says(SET)).await?;
        if number == 10 {
            stage.stop().await;
        }
    }
    stage.rest().await?;
    let rooms: BTreeSet<String> = stage.river.messages().into_iter().map(|m| m.to).collect();
    assert_eq!(rooms.len(), 20);
    assert_eq!(stage.river.messages().len(), 20);
    Ok(())
}

async fn one_instance_takes_over_what_a_hanging_one_holds(stage: &mut Stage) -> Result<()> {
    // The first instance hangs in a request, longer than its lease lasts on the stage's clock.
    stage.river.fails(1, Fault::Slow(Duration::from_secs(10)));
    stage.send(&stage.lifter("mara").says(SET)).await?;
    stage
        .river
        .wait_until("the hanging request", |platform| {
            platform.heard().len() == 1
        })
        .await?;
    stage.start().await?;
    stage.clock.advance(SignedDuration::from_secs(61));
    stage
        .river
        .wait_until("another try", |platform| platform.heard().len() == 2)
        .await?;
    stage.rest().await?;
    let heard = stage.river.heard();
    assert_eq!(heard[0].key, heard[1].key);
    assert_eq!(stage.river.messages().len(), 1);
    let depths = stage.store()?.depths().await?;
    assert_eq!((depths.outbox, depths.dead), (0, 0));
    Ok(())
}

async fn two_instances_send_one_reminder(stage: &mut Stage) -> Result<()> {
    stage.start().await?;
    stage.play(&stage.lifter("mara").says(SET)).await?;
    let danger = crate::red_flag::DANGER;
    stage
        .play(&stage.lifter("joel").in_room("room-b").says(danger))
        .await?;
    for _ in 0..15 * 4 {
        stage.pass(SignedDuration::from_hours(6)).await?;
    }
    assert_eq!(
        stage.river.messages_to(LIFTERS).len(),
        2,
        "one answer, one reminder"
    );
    assert_eq!(
        stage.river.messages_to(COACHES).len(),
        3,
        "one alert, two pages"
    );
    Ok(())
}
