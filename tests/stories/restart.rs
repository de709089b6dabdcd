//! Whatever stops the service, each report gets its one answer.

use crate::first_report::SET;
use anyhow::{Context, Result, ensure};
use cueline_bot::clock::{Clock as _, SystemClock};
use cueline_tests::builders::{Ids, Person, Signed};
use cueline_tests::databases::{EngineKind, Fresh};
use cueline_tests::look::Look;
use cueline_tests::platform::{Fault, Platform, TOKEN};
use cueline_tests::program::{Program, free_address};
use cueline_tests::stage::{RIVER, Stage};
use jiff::SignedDuration;
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::Path;
use std::time::{Duration, Instant};

on_both_engines!(
    what_was_acknowledged_before_the_stop_is_answered_after_the_start,
    what_was_decided_before_the_stop_is_said_after_the_start,
    a_stop_in_the_middle_of_many_reports_loses_and_doubles_none,
);

async fn what_was_acknowledged_before_the_stop_is_answered_after_the_start(
    stage: &mut Stage,
) -> Result<()> {
    stage.stop().await;
    // A door with nobody behind it: acknowledged, and nothing more.
    let door = stage.open_bare_door().await?;
    let mara = stage.lifter("mara");
    let event = mara.says(SET).at(stage.now());
    for status in [202, 200] {
        let answer = stage.post_to(door.address(), stage.signed(&event)?).await?;
        assert_eq!(answer.status, status);
    }
    door.shut().await?;
    assert!(stage.river.messages().is_empty());
    stage.start().await?;
    assert_eq!(stage.hand_in(&event).await?.status, 200);
    stage.rest().await?;
    assert_eq!(stage.river.messages().len(), 1);
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    Ok(())
}

async fn what_was_decided_before_the_stop_is_said_after_the_start(stage: &mut Stage) -> Result<()> {
    // Posted, but the platform's answer was lost; then the service stopped.
    stage.river.fails(1, Fault::PostedBut(502));
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.stop().await;
    stage.start().await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    assert_eq!(stage.river.heard().len(), 2);
    assert_eq!(stage.river.messages().len(), 1);
    assert_eq!(stage.store()?.depths().await?.outbox, 0);
    Ok(())
}

async fn a_stop_in_the_middle_of_many_reports_loses_and_doubles_none(
    stage: &mut Stage,
) -> Result<()> {
    let events: Vec<_> = (0..40)
        .map(|number| {
            let lifter = stage.lifter(&format!("lifter{number}"));
            let room = format!("room{number}");
            lifter.in_room(&room).says(SET).at(stage.now())
        })
        .collect();
    for event in &events {
        stage.send(event).await?;
    }
    stage.stop().await;
    stage.start().await?;
    stage.rest().await?;
    for number in 0..40 {
        let said = stage.river.messages_to(&format!("room{number}")).len();
        assert_eq!(said, 1, "room{number}");
    }
    Ok(())
}

/// Moments at which the program is killed.
const KILLS: u64 = 15;
/// Names of the variables that hold the program's secrets.
const ENVIRONMENT: (&str, &str) = ("STORY_CHAT_TOKEN", "STORY_CHAT_SECRET");

/// A lifter's reports posted to a program that is killed in between, and what became of each.
struct Shift {
    platform: Platform,
    address: SocketAddr,
    client: reqwest::Client,
    ids: Ids,
    sent: BTreeMap<String, Signed>,
}

impl Shift {
    fn lifter(&self, room: &str) -> Person {
        Person {
            source: RIVER.to_owned(),
            id: format!("lifter-{room}"),
            name: "Mara".to_owned(),
            room: room.to_owned(),
            ids: self.ids.clone(),
        }
    }

    /// Posts one report; true when it was acknowledged.
    async fn post(&mut self, room: &str) -> Result<bool> {
        let now = SystemClock.now();
        let event = self.lifter(room).says(SET);
        let body = event.body(now)?;
        let signed = Signed::new(&self.platform.secret, &event.id, body, now);
        self.sent.insert(room.to_owned(), signed);
        Ok(self.deliver(room).await? == Some(202))
    }

    /// Delivers a report, again perhaps. Nothing when nobody answers.
    async fn deliver(&self, room: &str) -> Result<Option<u16>> {
        let signed = self.sent.get(room).context("a report to deliver")?;
        let answer = self
            .client
            .post(format!("http://{}/events", self.address))
            .header("content-type", &signed.content_type)
            .header("webhook-id", &signed.id)
            .header("webhook-timestamp", &signed.timestamp)
            .header("webhook-signature", &signed.signature)
            .body(signed.body.clone())
            .timeout(Duration::from_secs(5))
            .send()
            .await;
        Ok(answer.ok().map(|answer| answer.status().as_u16()))
    }
}

fn write_config(folder: &Path, database: &str, address: SocketAddr, chat: &str) -> Result<()> {
    let (token, secret) = ENVIRONMENT;
    let text = format!(
        "[server]\nlisten = \"{address}\"\n\n[store]\nurl = \"{database}\"\n\n[work]\n\
         poll_seconds = 1\nlease_seconds = 20\n\n[[platform]]\nsource = \"{RIVER}\"\n\
         base_url = \"{chat}\"\ntoken = {{ env = \"{token}\" }}\n\
         secrets = [{{ env = \"{secret}\" }}]\ncoaches = [\"ana\"]\ncoach_room = \"coaches\"\n"
    );
    Ok(std::fs::write(folder.join("cueline.toml"), text)?)
}

/// Kills the real program at moments spread over the way of a report: before, during and after
/// the acknowledgement, the work, and the sending. A killed instance's leases run out after
/// 20 seconds, the shortest the settings allow; only what is still unanswered then is waited for.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_program_killed_at_any_moment_answers_every_acknowledged_report_once() -> Result<()> {
    let folder = tempfile::tempdir()?;
    let database = Fresh::new(EngineKind::Sqlite).await?;
    let platform = Platform::start(RIVER, &["ana"], Some("coaches")).await?;
    let address = free_address()?;
    write_config(folder.path(), &database.url, address, &platform.url())?;
    let secret = platform.secret.reveal();
    let environment = [(ENVIRONMENT.0, TOKEN), (ENVIRONMENT.1, secret.as_str())];
    let log = folder.path().join("log");
    let mut shift = Shift {
        platform,
        address,
        client: reqwest::Client::builder().no_proxy().build()?,
        ids: Ids::default(),
        sent: BTreeMap::new(),
    };
    for kill in 0..KILLS {
        let program = Program::serve(folder.path(), &environment, address, &log).await?;
        let (before, at) = (format!("before-{kill}"), format!("at-{kill}"));
        ensure!(shift.post(&before).await?, "not acknowledged");
        // From at once to a few milliseconds later: the seed of a moment is its number.
        let moment = Duration::from_micros(kill * kill * 90);
        let started = Instant::now();
        let racing = shift.post(&at);
        let (acknowledged, ended) = tokio::join!(racing, async {
            while started.elapsed() < moment {
                tokio::task::yield_now().await;
            }
            program.kill()
        });
        acknowledged?;
        ended?;
    }
    let program = Program::serve(folder.path(), &environment, address, &log).await?;
    // A platform delivers again what was not acknowledged, and some of what was.
    let rooms: Vec<String> = shift.sent.keys().cloned().collect();
    for room in &rooms {
        let status = shift.deliver(room).await?;
        ensure!(matches!(status, Some(200 | 202)), "{room}: {status:?}");
    }
    let all = |platform: &Platform| {
        rooms
            .iter()
            .all(|room| !platform.messages_to(room).is_empty())
    };
    shift
        .platform
        .wait_until("an answer in every room", all)
        .await?;
    program.kill()?;
    for room in &rooms {
        let said = shift.platform.messages_to(room);
        assert_eq!(said.len(), 1, "{room}: {said:#?}");
        assert!(said[0].text.contains("140 kg"), "{}", said[0].text);
    }
    assert_eq!(shift.platform.breaches(), Vec::<String>::new());
    let mut look = Look::into_database(&database).await?;
    assert_eq!(look.integrity().await?, "ok");
    let cases = look.number("SELECT COUNT(*) FROM cases").await?;
    assert_eq!(usize::try_from(cases)?, rooms.len(), "one case a lifter");
    Ok(())
}
