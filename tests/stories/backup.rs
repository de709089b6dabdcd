//! A copy is made while the service runs, and the service goes on from it; what a lifter wrote
//! stands in no log.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context, Result, bail, ensure};
use cueline_bot::clock::{Clock as _, SystemClock};
use cueline_bot::record::CaseState;
use cueline_bot::store::{BackupError, Restored, about_path, backup, restore};
use cueline_tests::builders::{EventBuilder, Ids, Person, Signed};
use cueline_tests::databases::EngineKind;
use cueline_tests::platform::{Platform, TOKEN};
use cueline_tests::program::{Program, free_address, path};
use cueline_tests::stage::{LIFTERS, RIVER, Stage, run};
use jiff::SignedDuration;
use std::fmt::Debug;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_copy_made_under_load_is_whole_and_the_service_goes_on_from_it() -> Result<()> {
    run(EngineKind::Sqlite, goes_on_from_a_copy).await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whoever_was_forgotten_after_the_copy_is_forgotten_again() -> Result<()> {
    run(EngineKind::Sqlite, forgotten_again).await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn for_a_server_the_exact_lines_of_its_own_tools_are_told() -> Result<()> {
    run(EngineKind::Postgres, a_server_is_left_to_its_tools).await
}

fn refused<T: Debug>(outcome: Result<T, BackupError>) -> Result<String> {
    match outcome {
        Err(BackupError::Refused(why)) => Ok(why),
        other => bail!("not refused: {other:?}"),
    }
}

async fn a_server_is_left_to_its_tools(stage: &mut Stage) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let copy = folder.path().join("copy");
    let url = stage.database.url.clone();
    let why = refused(backup(&url, &copy, stage.now()).await)?;
    assert!(why.contains("pg_dump --format=custom --file='"), "{why}");
    assert!(why.contains("cueline suppressed > '"), "{why}");
    assert!(!copy.exists());
    let why = refused(restore(&copy, &url, None).await)?;
    assert!(why.contains("pg_restore --exit-on-error"), "{why}");
    Ok(())
}

async fn goes_on_from_a_copy(stage: &mut Stage) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let copy = folder.path().join("copy.sqlite");
    let url = stage.database.url.clone();
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says(DANGER)).await?;
    let many = copied_under_load(stage, &copy).await?;
    let again = refused(backup(&url, &copy, stage.now()).await)?;
    assert!(again.contains("nothing is written over"), "{again}");
    stage.rest().await?;
    let occupied = refused(restore(&copy, &url, None).await)?;
    assert!(occupied.contains("empty place"), "{occupied}");
    // The disk is lost; the copy is put in an empty place, and the service goes on from it.
    stage.stop().await;
    let place = folder.path().join("new/cueline.sqlite");
    let place = format!("sqlite:{}", place.display());
    let restored = restore(&copy, &place, None).await?;
    let whole = Restored {
        compared: true,
        forgotten: 0,
    };
    assert_eq!(restored, whole);
    stage.settings.store.url.clone_from(&place);
    stage.start().await?;
    said_again(stage, &many).await?;
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    assert_eq!(stage.case_of(&joel).await?.state, CaseState::Halted);
    changed_copies_are_refused(&copy, &folder.path().join("third.sqlite")).await
}

/// Reports come in before and while the copy is made: some of the last are in it and some are not.
async fn copied_under_load(stage: &Stage, copy: &Path) -> Result<Vec<EventBuilder>> {
    let url = stage.database.url.clone();
    let many: Vec<_> = (0..40)
        .map(|number| {
            let lifter = stage.lifter(&format!("lifter{number}"));
            let room = format!("room{number}");
            lifter.in_room(&room).says(SET).at(stage.now())
        })
        .collect();
    for event in &many[..20] {
        stage.send(event).await?;
    }
    let more = async {
        for event in &many[20..] {
            stage.send(event).await?;
        }
        anyhow::Ok(())
    };
    let (about, sent) = tokio::join!(backup(&url, copy, stage.now()), more);
    sent?;
    let file = std::fs::metadata(copy)?;
    assert_eq!(file.permissions().mode() & 0o777, 0o600);
    assert_eq!(file.len(), about?.bytes);
    Ok(many)
}

/// What the platforms told us they tell again: what is in the copy is known, and the rest is made
/// up for without a word said twice, for keys are made from causes.
async fn said_again(stage: &Stage, many: &[EventBuilder]) -> Result<()> {
    let mut lost = 0;
    for event in many {
        let status = stage.hand_in(event).await?.status;
        ensure!(matches!(status, 200 | 202), "{status}");
        lost += usize::from(status == 202);
    }
    assert!(
        lost <= 20,
        "what was acknowledged before the copy is in it: {lost}"
    );
    // What was being worked on when the copy was made is taken over when its lease has run out.
    stage.clock.advance(SignedDuration::from_mins(2));
    at_rest(stage).await?;
    for number in 0..40 {
        let said = stage.river.messages_to(&format!("room{number}")).len();
        assert_eq!(said, 1, "room{number}");
    }
    Ok(())
}

/// The stage looks into its own database; this asks the one the service runs on.
async fn at_rest(stage: &Stage) -> Result<()> {
    for _ in 0..3_000 {
        let depths = stage.store()?.depths().await?;
        if (depths.inbox, depths.outbox) == (0, 0) {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    bail!("the service did not come to rest")
}

/// A copy that was changed, and a file that is none.
async fn changed_copies_are_refused(copy: &Path, place: &Path) -> Result<()> {
    let empty = format!("sqlite:{}", place.display());
    let mut bytes = std::fs::read(copy)?;
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0xff;
    std::fs::write(copy, &bytes)?;
    let changed = refused(restore(copy, &empty, None).await)?;
    assert!(changed.contains("checksum"), "{changed}");
    std::fs::remove_file(about_path(copy))?;
    std::fs::write(copy, b"no database at all, but quite some text")?;
    refused(restore(copy, &empty, None).await)?;
    assert!(!place.exists());
    Ok(())
}

async fn forgotten_again(stage: &mut Stage) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says(SET)).await?;
    let copy = folder.path().join("old.sqlite");
    let url = stage.database.url.clone();
    backup(&url, &copy, stage.now()).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.play(&mara.says("yes forget me")).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    // A later copy has the newest list beside it, and of the lifter nothing.
    let newer = folder.path().join("newer.sqlite");
    let list = backup(&url, &newer, stage.now()).await?.forgotten;
    assert_eq!(list.suppressed.len(), 1);
    stage.stop().await;
    let place = format!("sqlite:{}", folder.path().join("new.sqlite").display());
    let restored = restore(&copy, &place, Some(&list)).await?;
    assert_eq!(restored.forgotten, 1);
    stage.settings.store.url.clone_from(&place);
    stage.start().await?;
    assert!(stage.cases_of(&mara).await?.is_empty());
    assert_eq!(stage.cases_of(&joel).await?.len(), 1);
    // Taken over once; who has begun anew since is not forgotten a second time.
    stage.hand_in(&mara.says(SET)).await?;
    at_rest(stage).await?;
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    assert_eq!(stage.store()?.privacy().suppress(&list).await?, 0);
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    Ok(())
}

/// Names of the variables that hold the program's secrets.
const ENVIRONMENT: (&str, &str) = ("STORY_CHAT_TOKEN", "STORY_CHAT_SECRET");
/// What must stand in no log.
const MARKS: [&str; 5] = ["zwieback", "Quarkxname", "collarbone", TOKEN, "my data"];

/// The real program at its most talkative: words, names and secrets stand in no line of its log.
/// Then the operator's commands on the database it left.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn words_stand_in_no_log_and_the_operators_commands_work_on_what_is_left() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let platform = Platform::start(RIVER, &["ana"], Some("coaches")).await?;
    let address = free_address()?;
    let database = folder.path().join("cueline.sqlite");
    let (token, secret) = ENVIRONMENT;
    let text = format!(
        "[server]\nlisten = \"{address}\"\n[store]\nurl = \"sqlite:{}\"\n[work]\n\
         poll_seconds = 1\n[[platform]]\nsource = \"{RIVER}\"\nbase_url = \"{}\"\n\
         token = {{ env = \"{token}\" }}\nsecrets = [{{ env = \"{secret}\" }}]\n\
         coaches = [\"ana\"]\ncoach_room = \"coaches\"\n",
        database.display(),
        platform.url()
    );
    std::fs::write(folder.path().join("cueline.toml"), text)?;
    let log = folder.path().join("log.txt");
    let revealed = platform.secret.reveal();
    let environment = [
        (token, TOKEN),
        (secret, revealed.as_str()),
        ("CUELINE_LOG", "trace"),
    ];
    let program = Program::serve(folder.path(), &environment, address, &log).await?;
    talk(&platform, &format!("http://{address}/events")).await?;
    program.kill()?;
    let said = std::fs::read_to_string(&log)?;
    assert!(said.contains("handled event"), "the log is on: {said}");
    for mark in MARKS.iter().chain([&revealed.as_str()]) {
        let line = said.lines().find(|line| line.contains(mark));
        assert_eq!(line, None, "{mark}");
    }
    the_operators_commands(folder.path())
}

/// A lifter writes of this and that, and asks for their data.
async fn talk(platform: &Platform, door: &str) -> Result<()> {
    let lifter = Person {
        source: RIVER.to_owned(),
        id: "vogel".to_owned(),
        name: "Quarkxname".to_owned(),
        room: LIFTERS.to_owned(),
        ids: Ids::default(),
    };
    let client = reqwest::Client::builder().no_proxy().build()?;
    let long = "zwieback ".repeat(800);
    for text in [
        "squat 140 kg x 3 @8, zwieback before. hips shoot up, best 165 kg",
        "my collarbone hurts, zwieback",
        DANGER,
        &long,
        "my data",
    ] {
        let now = SystemClock.now();
        let event = lifter.says(text);
        let signed = Signed::new(&platform.secret, &event.id, event.body(now)?, now);
        let answer = client
            .post(door)
            .header("content-type", &signed.content_type)
            .header("webhook-id", &signed.id)
            .header("webhook-timestamp", &signed.timestamp)
            .header("webhook-signature", &signed.signature)
            .body(signed.body.clone())
            .send()
            .await?;
        assert_eq!(answer.status(), 202);
    }
    platform
        .wait_until("the data in pieces", |platform| {
            let heard = platform.heard();
            heard.iter().any(|one| one.text.contains("put together"))
        })
        .await
}

fn cueline(config: &Path, arguments: &[&str]) -> Result<(Option<i32>, String)> {
    let done = Command::new(path()?)
        .arg("--config")
        .arg(config)
        .args(arguments)
        .output()?;
    let said = [done.stdout, done.stderr].concat();
    let said = String::from_utf8_lossy(&said).into_owned();
    Ok((done.status.code(), said))
}

/// Everything kept of the lifter, as the operator gets it.
fn exported(config: &Path) -> Result<serde_json::Value> {
    let export = ["export", "--source", RIVER, "--person", "vogel"];
    let (code, text) = cueline(config, &export)?;
    ensure!(code == Some(0), "{text}");
    let document: serde_json::Value = serde_json::from_str(&text)?;
    Ok(document["kept"].clone())
}

/// The operator's commands on what the program left.
fn the_operators_commands(config: &Path) -> Result<()> {
    let kept = exported(config)?;
    assert!(kept["cases"].to_string().contains("squat"));
    let copy = config.join("copy.sqlite");
    let copy = copy.to_str().context("a name")?;
    let beside = format!("{copy}.about.json");
    for (arguments, code, words) in [
        (
            &["export", "--source", RIVER, "--person", "nobody"][..],
            2,
            "nothing is kept",
        ),
        (&["backup", copy], 0, "is whole"),
        (&["backup", copy], 2, "nothing is written over"),
        (&["suppressed"], 0, "\"salt\""),
        (&["suppressed", "--apply", &beside], 0, "Forgotten again: 0"),
        (&["suppressed", "--apply", copy], 2, "accepted is"),
        (&["restore", copy], 2, "empty place"),
    ] {
        let (found, said) = cueline(config, arguments)?;
        assert_eq!(found, Some(code), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    for ending in ["", "-wal", "-shm"] {
        // The last two may be gone already.
        let _ = std::fs::remove_file(config.join(format!("cueline.sqlite{ending}")));
    }
    let (code, said) = cueline(config, &["restore", copy, "--suppressed", &beside])?;
    assert_eq!(code, Some(0), "{said}");
    assert_eq!(exported(config)?, kept);
    Ok(())
}
