//! The desk in a real browser: an evening cleared by keyboard alone, forged forms and hostile words,
//! accessibility, and how the pages look on a desktop and on a phone.

mod access;
mod attack;
mod brought;
mod clearing;
mod evening;
mod practice;

use anyhow::{Context as _, Result, ensure};
use cueline_tests::browser::Browser;
use cueline_tests::databases::EngineKind;
use cueline_tests::program::free_address;
use cueline_tests::stage::{COACHES, LIFTERS, Stage, run};

/// Invented: a set with what happened in it.
const SET: &str = "squat 140 kg x 3 @8, filmed from the side. I forget to breathe and my core feels \
                   squishy, then hips shoot up. best 165 kg, 88 kg body weight";
/// Invented: words that stop everything.
const DANGER: &str = "bench 60 kg x 5, felt a tightness across my chest on rep 3 and it hasnt gone";

/// Plays with the service, its desk and a browser.
async fn with_browser<F>(story: F) -> Result<()>
where
    F: AsyncFnOnce(&mut Stage, &Browser, &str) -> Result<()>,
{
    run(EngineKind::Sqlite, async |stage| {
        stage.stop().await;
        let address = free_address()?;
        stage.settings.server.listen = address.to_string();
        stage.settings.desk.public_url = format!("http://{address}");
        stage.start().await?;
        let browser = Browser::start().await?;
        let url = format!("http://{address}");
        story(stage, &browser, &url).await
    })
    .await
}

/// A lifter's set, handed to the coach; the number of its case.
async fn handed_over(stage: &mut Stage, who: &str, name: &str, set: &str) -> Result<i64> {
    let lifter = stage.lifter(who).called(name);
    stage.play(&lifter.says(set)).await?;
    stage.play(&lifter.says("can I ask the coach?")).await?;
    Ok(stage.case_of(&lifter).await?.number)
}

/// The link a coach gets by asking for the desk.
async fn link(stage: &mut Stage) -> Result<String> {
    let ana = stage.person(cueline_tests::stage::RIVER, "ana", COACHES);
    stage.play(&ana.says("desk")).await?;
    let told = stage.river.last_to("ana")?;
    let (_, rest) = told.text.split_once("Your desk: ").context("no link")?;
    Ok(rest
        .split_whitespace()
        .next()
        .context("no link")?
        .to_owned())
}

/// Signs the coach in.
async fn sign_in(stage: &mut Stage, browser: &Browser) -> Result<()> {
    let link = link(stage).await?;
    browser.open(&link).await?;
    browser
        .wait_until("return document.activeElement.tagName === 'BUTTON'")
        .await?;
    browser.press(cueline_tests::browser::keys::ENTER).await?;
    browser.wait_for("Sign out").await
}

/// What the lifters were told last.
fn told_lifters(stage: &Stage) -> Result<String> {
    let told = stage.river.last_to(LIFTERS)?;
    ensure!(!told.private);
    Ok(told.text)
}
