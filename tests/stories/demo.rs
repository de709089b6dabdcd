//! The play of `cueline demo`, so that it cannot rot.

use anyhow::{Result, anyhow, ensure};
use cueline_bot::app::{Setup, start};
use cueline_bot::brain;
use cueline_bot::clock::MovableClock;
use cueline_bot::demo::{Player, SCRIPT, Script};
use std::sync::Arc;
use std::time::Duration;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_invented_fortnight_plays_as_it_is_told() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let (mut settings, brain) = brain::load(None).map_err(|problems| anyhow!("{problems:?}"))?;
    settings.practice.on = true;
    settings.server.listen = "127.0.0.1:0".to_owned();
    settings.store.url = format!("sqlite:{}", folder.path().join("demo.sqlite").display());
    let script = Script::parse(SCRIPT).map_err(|faults| anyhow!("{faults:?}"))?;
    let clock = Arc::new(MovableClock::default());
    clock.set(script.starts);
    let running = start(Setup::open(settings, brain, clock.clone())?).await?;
    let mut player = Player::new(&running, clock).map_err(|why| anyhow!(why))?;
    let played = tokio::time::timeout(Duration::from_mins(2), player.play(&script)).await;
    running.shut_down().await;
    let played = played?.map_err(|why| anyhow!(why))?;
    assert_eq!(played.steps, script.steps.len());
    ensure!(
        played.checks > 0,
        "a play that expects nothing proves nothing"
    );
    Ok(())
}
