//! The coach edits the catalog while the service runs.

use crate::first_report::SET;
use anyhow::{Context as _, Result, ensure};
use cueline_bot::clock::{Clock as _, SystemClock};
use cueline_tests::builders::{Ids, Person, Signed};
use cueline_tests::databases::{EngineKind, Fresh};
use cueline_tests::platform::{Platform, TOKEN};
use cueline_tests::program::{Program, free_address};
use cueline_tests::stage::{LIFTERS, RIVER, Stage};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

on_both_engines!(
    a_cue_edited_by_the_coach_is_in_the_next_reply,
    a_broken_edit_keeps_what_was_there_and_says_so,
    rules_are_taken_and_who_is_a_coach_is_not,
    learning_is_switched_on_and_off_by_an_edit,
);

/// The cue of the set's cause, as built in.
const CUE: &str = "Push the belt out all the way round before you move";
/// Longest wait for an edit to be taken.
const TAKEN: Duration = Duration::from_secs(30);

/// A config folder with a copy of the catalog's file of squat corrections.
struct Folder(TempDir);

impl Folder {
    fn new() -> Result<Self> {
        let folder = Self(tempfile::tempdir()?);
        std::fs::create_dir(folder.0.path().join("catalog"))?;
        folder.write("catalog/squat-corrections.toml", &Self::corrections()?)?;
        Ok(folder)
    }

    fn corrections() -> Result<String> {
        let built_in = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../config/catalog");
        let text = std::fs::read_to_string(built_in.join("squat-corrections.toml"))?;
        ensure!(text.contains(CUE), "the cue these stories are about");
        Ok(text)
    }

    fn write(&self, name: &str, text: &str) -> Result<()> {
        Ok(std::fs::write(self.0.path().join(name), text)?)
    }

    fn set_cue(&self, cue: &str) -> Result<()> {
        let text = Self::corrections()?.replace(CUE, cue);
        self.write("catalog/squat-corrections.toml", &text)
    }
}

/// A page of the service.
async fn page(address: SocketAddr, path: &str) -> Result<String> {
    let client = reqwest::Client::builder().no_proxy().build()?;
    let answer = client.get(format!("http://{address}{path}")).send().await?;
    Ok(answer.text().await?)
}

/// Waits until the metrics hold a line.
async fn counted(address: SocketAddr, line: &str) -> Result<()> {
    let end = Instant::now() + TAKEN;
    loop {
        let metrics = page(address, "/metrics").await?;
        if metrics.lines().any(|found| found == line) {
            return Ok(());
        }
        ensure!(Instant::now() < end, "no `{line}` in:\n{metrics}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// The service anew, looking at a folder.
async fn started_on(stage: &mut Stage, folder: &Folder) -> Result<SocketAddr> {
    stage.stop().await;
    stage.folder = Some(folder.0.path().to_owned());
    stage.start().await?;
    stage.address()
}

/// What a new lifter is told about the set.
async fn reply(stage: &mut Stage, who: &str) -> Result<String> {
    stage.play(&stage.lifter(who).says(SET)).await?;
    Ok(stage.river.last_to(LIFTERS)?.text)
}

async fn a_cue_edited_by_the_coach_is_in_the_next_reply(stage: &mut Stage) -> Result<()> {
    let folder = Folder::new()?;
    let address = started_on(stage, &folder).await?;
    assert!(reply(stage, "mara").await?.contains(CUE));
    folder.set_cue("Fill the belt, then move")?;
    counted(address, "cueline_reloads_total{outcome=\"loaded\"} 1").await?;
    let said = reply(stage, "joel").await?;
    assert!(said.contains("Fill the belt, then move"), "{said}");
    assert!(!said.contains(CUE), "{said}");
    // A file taken away is as built in again.
    std::fs::remove_file(folder.0.path().join("catalog/squat-corrections.toml"))?;
    counted(address, "cueline_reloads_total{outcome=\"loaded\"} 2").await?;
    assert!(reply(stage, "nora").await?.contains(CUE));
    Ok(())
}

async fn a_broken_edit_keeps_what_was_there_and_says_so(stage: &mut Stage) -> Result<()> {
    let folder = Folder::new()?;
    let address = started_on(stage, &folder).await?;
    folder.set_cue("Fill the belt, then move")?;
    counted(address, "cueline_reloads_total{outcome=\"loaded\"} 1").await?;
    // Two files change at once, and one of them is broken: neither is taken.
    folder.set_cue("Never said")?;
    folder.write(
        "cueline.toml",
        "[coach]\naging_hours = 0\ntake_minutes = 0\n",
    )?;
    counted(address, "cueline_reloads_total{outcome=\"refused\"} 1").await?;
    counted(address, "cueline_configuration_faults 2").await?;
    let said = reply(stage, "mara").await?;
    assert!(said.contains("Fill the belt, then move"), "{said}");
    let health = page(address, "/health/ready").await?;
    assert!(
        health.starts_with("ready\n") && health.contains("2 faults"),
        "{health}"
    );
    // Mended, and all of it is taken.
    folder.write("cueline.toml", "[coach]\naging_hours = 12\n")?;
    counted(address, "cueline_reloads_total{outcome=\"loaded\"} 2").await?;
    counted(address, "cueline_configuration_faults 0").await?;
    assert_eq!(page(address, "/health/ready").await?, "ready\n");
    let said = reply(stage, "joel").await?;
    assert!(said.contains("Never said"), "{said}");
    // A settings file that vanishes does not let the defaults in.
    std::fs::remove_file(folder.0.path().join("cueline.toml"))?;
    counted(address, "cueline_configuration_faults 1").await?;
    Ok(())
}

async fn rules_are_taken_and_who_is_a_coach_is_not(stage: &mut Stage) -> Result<()> {
    let folder = Folder::new()?;
    let address = started_on(stage, &folder).await?;
    // The folder names no platform at all, and asks for no question.
    folder.write("cueline.toml", "[diagnosis]\nmost_questions = 0\n")?;
    counted(address, "cueline_reloads_total{outcome=\"loaded\"} 1").await?;
    let said = reply(stage, "mara").await?;
    assert!(!said.contains("One question"), "{said}");
    let ana = stage.coach("ana");
    stage.play(&ana.says("queue")).await?;
    let said = stage.river.last_to(&ana.room)?;
    assert!(said.text.contains("The queue is empty"), "{}", said.text);
    Ok(())
}

async fn learning_is_switched_on_and_off_by_an_edit(stage: &mut Stage) -> Result<()> {
    let folder = Folder::new()?;
    let address = started_on(stage, &folder).await?;
    reply(stage, "mara").await?;
    let number = stage.case_of(&stage.lifter("mara")).await?.number;
    let ana = stage.coach("ana");
    stage
        .play(&ana.says(&format!("verdict {number} loose-rack")))
        .await?;
    let mut found = Vec::new();
    for (loaded, enabled, who) in [(1, true, "joel"), (2, false, "nora")] {
        folder.write(
            "cueline.toml",
            &format!("[learning]\nenabled = {enabled}\n"),
        )?;
        counted(
            address,
            &format!("cueline_reloads_total{{outcome=\"loaded\"}} {loaded}"),
        )
        .await?;
        reply(stage, who).await?;
        let case = stage.case_of(&stage.lifter(who)).await?;
        found.extend(case.body.rounds);
    }
    let before = stage.case_of(&stage.lifter("mara")).await?.body.rounds;
    assert!(found[0].edition.ends_with("+1"), "{}", found[0].edition);
    assert_ne!(found[0].beliefs, before[0].beliefs);
    assert_eq!(found[1].edition, before[0].edition);
    assert_eq!(found[1].beliefs, before[0].beliefs);
    Ok(())
}

/// A lifter posts the set to the program; what is said back in the lifter's room.
async fn asked(platform: &Platform, address: SocketAddr, ids: &Ids, room: &str) -> Result<String> {
    let lifter = Person {
        source: RIVER.to_owned(),
        id: format!("lifter-{room}"),
        name: "Mara".to_owned(),
        room: room.to_owned(),
        ids: ids.clone(),
    };
    let now = SystemClock.now();
    let event = lifter.says(SET);
    let signed = Signed::new(&platform.secret, &event.id, event.body(now)?, now);
    let client = reqwest::Client::builder().no_proxy().build()?;
    let answer = client
        .post(format!("http://{address}/events"))
        .header("content-type", &signed.content_type)
        .header("webhook-id", &signed.id)
        .header("webhook-timestamp", &signed.timestamp)
        .header("webhook-signature", &signed.signature)
        .body(signed.body)
        .send()
        .await?;
    ensure!(answer.status() == 202, "not taken: {answer:?}");
    let said = |platform: &Platform| !platform.messages_to(room).is_empty();
    platform.wait_until("an answer", said).await?;
    let messages = platform.messages_to(room);
    Ok(messages.first().context("an answer")?.text.clone())
}

/// Waits until the log of the program says something.
async fn logged(log: &Path, text: &str) -> Result<String> {
    let end = Instant::now() + TAKEN;
    loop {
        let said = std::fs::read_to_string(log)?;
        if said.contains(text) {
            return Ok(said);
        }
        ensure!(Instant::now() < end, "no \"{text}\" in {said}");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_program_takes_an_edit_on_sighup_and_refuses_a_broken_one_line_by_line() -> Result<()> {
    let folder = Folder::new()?;
    let database = Fresh::new(EngineKind::Sqlite).await?;
    let platform = Platform::start(RIVER, &["ana"], Some("coaches")).await?;
    let address = free_address()?;
    let (chat, url) = (platform.url(), &database.url);
    let settings = format!(
        "[server]\nlisten = \"{address}\"\n\n[store]\nurl = \"{url}\"\n\n[[platform]]\n\
         source = \"{RIVER}\"\nbase_url = \"{chat}\"\ntoken = {{ env = \"STORY_TOKEN\" }}\n\
         secrets = [{{ env = \"STORY_SECRET\" }}]\ncoaches = [\"ana\"]\n"
    );
    folder.write("cueline.toml", &settings)?;
    let secret = platform.secret.reveal();
    let environment = [("STORY_TOKEN", TOKEN), ("STORY_SECRET", secret.as_str())];
    let log = folder.0.path().join("log");
    let program = Program::serve(folder.0.path(), &environment, address, &log).await?;
    let ids = Ids::default();
    assert!(asked(&platform, address, &ids, "one").await?.contains(CUE));

    folder.set_cue("Fill the belt, then move")?;
    program.hang_up()?;
    let said = logged(&log, "configuration loaded").await?;
    assert!(
        said.contains("squat-corrections.toml"),
        "what changed: {said}"
    );
    let heard = asked(&platform, address, &ids, "two").await?;
    assert!(heard.contains("Fill the belt, then move"), "{heard}");

    // Two faults in two files: each named with its line, and nothing taken.
    folder.write(
        "catalog/squat-corrections.toml",
        "[[correction]]\ncause = \"c-sq-brase\"\n",
    )?;
    folder.write(
        "cueline.toml",
        &format!("{settings}\n[learning]\nprior_weight = 0\n"),
    )?;
    program.hang_up()?;
    let said = logged(&log, "configuration refused").await?;
    let line = settings.lines().count() + 3;
    assert!(
        said.contains(&format!("cueline.toml:{line}: `prior_weight` is 0")),
        "{said}"
    );
    assert!(said.contains("squat-corrections.toml:1: "), "{said}");
    let heard = asked(&platform, address, &ids, "three").await?;
    assert!(heard.contains("Fill the belt, then move"), "{heard}");
    program.kill()?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_a_config_folder_sighup_finds_nothing_to_reload_and_ends_nothing() -> Result<()> {
    let mut stage = Stage::set(EngineKind::Sqlite).await?;
    stage.start().await?;
    let running = stage.services().first().context("a service")?;
    running.reload.notify_one();
    let address = stage.address()?;
    tokio::time::sleep(Duration::from_millis(300)).await;
    assert!(
        !page(address, "/metrics")
            .await?
            .contains("cueline_reloads_total{")
    );
    assert!(reply(&mut stage, "mara").await?.contains(CUE));
    stage.stop().await;
    Ok(())
}
