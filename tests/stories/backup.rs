//! A copy is made while the service runs, and the service goes on from it; what a lifter wrote
//! stands in no log.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context, Result, ensure};
use cueline_bot::clock::{Clock as _, SystemClock};
use cueline_bot::record::CaseState;
use cueline_bot::store::{BackupError, about_path, backup, restore};
use cueline_tests::builders::{Ids, Person, Signed};
use cueline_tests::databases::EngineKind;
use cueline_tests::platform::{Platform, TOKEN};
use cueline_tests::program::{Program, free_address, path};
use cueline_tests::stage::{LIFTERS, RIVER, Stage};
use jiff::SignedDuration;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;

on_both_engines!(
    a_copy_made_under_load_is_whole_and_the_service_goes_on_from_it,
    whoever_was_forgotten_after_the_copy_is_forgotten_again,
);

async fn a_copy_made_under_load_is_whole_and_the_service_goes_on_from_it(
    stage: &mut Stage,
) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let copy = folder.path().join("copy.sqlite");
    let url = stage.database.url.clone();
    if stage.database.kind == EngineKind::Postgres {
        let refused = backup(&url, &copy, stage.now()).await;
        let Err(BackupError::Refused(why)) = refused else {
            anyhow::bail!("{refused:?}");
        };
        assert!(why.contains("pg_dump --format=custom"), "{why}");
        assert!(!copy.exists());
        return Ok(());
    }
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    let joel = stage.lifter("joel");
    stage.play(&joel.says(DANGER)).await?;
    // Half of what comes in now is in the copy and half is not.
    let many: Vec<_> = (0..40)
        .map(|number| {
            let lifter = stage.lifter(&format!("lifter{number}"));
            lifter
                .in_room(&format!("room{number}"))
                .says(SET)
                .at(stage.now())
        })
        .collect();
    for event in &many[..20] {
        stage.send(event).await?;
    }
    let about = {
        let more = async {
            for event in &many[20..] {
                stage.send(event).await?;
            }
            anyhow::Ok(())
        };
        let (about, sent) = tokio::join!(backup(&url, &copy, stage.now()), more);
        sent?;
        about?
    };
    assert_eq!(
        std::fs::metadata(&copy)?.permissions().mode() & 0o777,
        0o600
    );
    assert_eq!(std::fs::metadata(&copy)?.len(), about.bytes);
    let again = backup(&url, &copy, stage.now()).await;
    assert!(
        matches!(again, Err(BackupError::Refused(_))),
        "never written over: {again:?}"
    );
    stage.rest().await?;
    let occupied = restore(&copy, &url, None).await;
    assert!(
        matches!(occupied, Err(BackupError::Refused(_))),
        "{occupied:?}"
    );

    // The disk is lost; the copy is put in an empty place, and the service goes on from it.
    stage.stop().await;
    let place = format!(
        "sqlite:{}",
        folder.path().join("new/cueline.sqlite").display()
    );
    let restored = restore(&copy, &place, None).await?;
    assert!(restored.compared);
    stage.settings.store.url.clone_from(&place);
    stage.start().await?;
    // What the platforms had from us they say again; what was in the copy is known and refused.
    let mut lost = 0;
    for event in &many {
        let status = stage.hand_in(event).await?.status;
        ensure!(matches!(status, 200 | 202), "{status}");
        lost += usize::from(status == 202);
    }
    assert!(
        lost <= 20,
        "what was acknowledged before the copy began is in it"
    );
    for _ in 0..2_000 {
        let depths = stage.store()?.depths().await?;
        if (depths.inbox, depths.outbox) == (0, 0) {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    }
    for number in 0..40 {
        let said = stage.river.messages_to(&format!("room{number}")).len();
        assert_eq!(
            said, 1,
            "room{number}: keys are made from causes, so nothing is said twice"
        );
    }
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    assert_eq!(stage.case_of(&joel).await?.state, CaseState::Halted);

    // A copy that was changed, or is none, is refused.
    let mut bytes = std::fs::read(&copy)?;
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0xff;
    let empty = format!("sqlite:{}", folder.path().join("third.sqlite").display());
    std::fs::write(&copy, &bytes)?;
    let changed = restore(&copy, &empty, None).await;
    assert!(
        matches!(changed, Err(BackupError::Refused(_))),
        "{changed:?}"
    );
    std::fs::remove_file(about_path(&copy))?;
    std::fs::write(&copy, b"no database at all, but quite some text")?;
    let none = restore(&copy, &empty, None).await;
    assert!(matches!(none, Err(BackupError::Refused(_))), "{none:?}");
    assert!(!folder.path().join("third.sqlite").exists());
    Ok(())
}

async fn whoever_was_forgotten_after_the_copy_is_forgotten_again(stage: &mut Stage) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says(SET)).await?;
    let copy = folder.path().join("old.sqlite");
    let url = stage.database.url.clone();
    if stage.database.kind == EngineKind::Postgres {
        // Without tools of the server here: the list alone, taken over by a database that still
        // has the lifter.
        let list = {
            let other = Stage::set(EngineKind::Postgres).await?;
            let store = other.database.open().await?;
            store.close().await;
            stage.store()?.privacy().suppressed().await?
        };
        assert!(list.suppressed.is_empty());
        assert_eq!(stage.store()?.privacy().suppress(&list).await?, 0);
        return Ok(());
    }
    backup(&url, &copy, stage.now()).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.play(&mara.says("yes forget me")).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    // A later copy has the newest list beside it, and of the lifter nothing.
    let newer = folder.path().join("newer.sqlite");
    let about = backup(&url, &newer, stage.now()).await?;
    assert_eq!(about.forgotten.suppressed.len(), 1);
    stage.stop().await;
    let place = format!("sqlite:{}", folder.path().join("new.sqlite").display());
    let restored = restore(&copy, &place, Some(&about.forgotten)).await?;
    assert_eq!(restored.forgotten, 1);
    stage.settings.store.url.clone_from(&place);
    stage.start().await?;
    assert!(stage.cases_of(&mara).await?.is_empty());
    assert_eq!(stage.cases_of(&joel).await?.len(), 1);
    // Taken over once; who has begun anew since is not forgotten a second time.
    stage.hand_in(&mara.says(SET)).await?;
    for _ in 0..2_000 {
        if stage.cases_of(&mara).await?.len() == 1 {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(10)).await;
    }
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    assert_eq!(
        stage.store()?.privacy().suppress(&about.forgotten).await?,
        0
    );
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    Ok(())
}

/// Names of the variables that hold the program's secrets.
const ENVIRONMENT: (&str, &str) = ("STORY_CHAT_TOKEN", "STORY_CHAT_SECRET");
/// What must stand in no log.
const MARKS: [&str; 5] = ["zwieback", "Quarkxname", "collarbone", TOKEN, "my data"];

fn cueline(config: &Path, arguments: &[&str]) -> Result<(Option<i32>, String)> {
    let done = Command::new(path()?)
        .arg("--config")
        .arg(config)
        .args(arguments)
        .output()?;
    let said = [done.stdout, done.stderr].concat();
    Ok((
        done.status.code(),
        String::from_utf8_lossy(&said).into_owned(),
    ))
}

/// The real program at its most talkative: words, names and secrets stand in no line of its log.
/// Then the operator's commands on the database it left.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn words_stand_in_no_log_and_the_operators_commands_work_on_what_is_left() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let platform = Platform::start(RIVER, &["ana"], Some("coaches")).await?;
    let address = free_address()?;
    let database = format!("sqlite:{}", folder.path().join("cueline.sqlite").display());
    let (token, secret) = ENVIRONMENT;
    let text = format!(
        "[server]\nlisten = \"{address}\"\n[store]\nurl = \"{database}\"\n[work]\npoll_seconds = 1\n\
         [[platform]]\nsource = \"{RIVER}\"\nbase_url = \"{}\"\ntoken = {{ env = \"{token}\" }}\n\
         secrets = [{{ env = \"{secret}\" }}]\ncoaches = [\"ana\"]\ncoach_room = \"coaches\"\n",
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
    let lifter = Person {
        source: RIVER.to_owned(),
        id: "vogel".to_owned(),
        name: "Quarkxname".to_owned(),
        room: LIFTERS.to_owned(),
        ids: Ids::default(),
    };
    let client = reqwest::Client::builder().no_proxy().build()?;
    let long = "zwieback ".repeat(900);
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
        client
            .post(format!("http://{address}/events"))
            .header("content-type", &signed.content_type)
            .header("webhook-id", &signed.id)
            .header("webhook-timestamp", &signed.timestamp)
            .header("webhook-signature", &signed.signature)
            .body(signed.body.clone())
            .send()
            .await?;
    }
    platform
        .wait_until("the data in pieces", |platform| {
            let heard = platform.heard();
            heard.iter().any(|heard| heard.text.contains("put together"))
        })
        .await?;
    program.kill()?;
    let said = std::fs::read_to_string(&log)?;
    assert!(said.contains("handled event"), "the log is on: {said}");
    for mark in MARKS.iter().chain([&revealed.as_str()]) {
        let line = said.lines().find(|line| line.contains(mark));
        assert_eq!(line, None, "{mark}");
    }

    let config = folder.path();
    let (code, export) = cueline(config, &["export", "--source", RIVER, "--person", "vogel"])?;
    assert_eq!(code, Some(0), "{export}");
    let document: serde_json::Value = serde_json::from_str(&export)?;
    assert!(document["kept"]["cases"].to_string().contains("squat"));
    let (code, nobody) = cueline(config, &["export", "--source", RIVER, "--person", "nobody"])?;
    assert_eq!(code, Some(2), "{nobody}");
    let copy = folder.path().join("copy.sqlite");
    let copy = copy.to_str().context("a name")?;
    let (code, said) = cueline(config, &["backup", copy])?;
    assert_eq!(code, Some(0), "{said}");
    let (code, said) = cueline(config, &["backup", copy])?;
    assert_eq!(
        (code, said.contains("nothing is written over")),
        (Some(2), true),
        "{said}"
    );
    let (code, list) = cueline(config, &["suppressed"])?;
    assert_eq!((code, list.contains("\"salt\"")), (Some(0), true), "{list}");
    let (code, said) = cueline(config, &["restore", copy])?;
    assert_eq!(
        (code, said.contains("empty place")),
        (Some(2), true),
        "{said}"
    );
    for ending in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(folder.path().join(format!("cueline.sqlite{ending}")));
    }
    let beside = format!("{copy}.about.json");
    let (code, said) = cueline(config, &["restore", copy, "--suppressed", &beside])?;
    assert_eq!(code, Some(0), "{said}");
    let (code, again) = cueline(config, &["export", "--source", RIVER, "--person", "vogel"])?;
    assert_eq!(code, Some(0), "{again}");
    let again: serde_json::Value = serde_json::from_str(&again)?;
    assert_eq!(again["kept"], document["kept"]);
    Ok(())
}
