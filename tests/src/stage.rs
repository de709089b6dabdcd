//! The stage: the real service on a fresh database with platforms in memory around it.

use crate::builders::{EventBuilder, Ids, Person, Signed};
use crate::databases::{EngineKind, Fresh};
use crate::look::Look;
use crate::platform::Platform;
use anyhow::{Context, Result, anyhow, bail, ensure};
use cueline_bot::app::{Running, Setup, start};
use cueline_bot::brain::{self, Brain};
use cueline_bot::casework::Rules;
use cueline_bot::clock::{Clock as _, MovableClock};
use cueline_bot::record::{Case, PersonKey};
use cueline_bot::settings::{self, OpenPlatform, SecretPlace, Settings};
use cueline_bot::store::Store;
use cueline_bot::telemetry::Metrics;
use cueline_bot::web::{LimitSettings, PlatformAccess, ServeSettings, WebParts, router, serve};
use futures::FutureExt as _;
use jiff::{SignedDuration, Timestamp};
use std::net::SocketAddr;
use std::panic::AssertUnwindSafe;
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, Once, OnceLock, PoisonError};
use std::time::{Duration, Instant};
use tokio::net::TcpListener;
use tokio::sync::Notify;
use tokio_util::sync::CancellationToken;

/// Longest one story takes.
const LIMIT: Duration = Duration::from_secs(150);
/// Longest the service takes to come to rest.
const REST: Duration = Duration::from_secs(40);
/// How often is looked whether it has.
const LOOK_EVERY: Duration = Duration::from_millis(4);
/// When stories begin: a Monday morning.
const BEGINS: &str = "2026-03-02T10:00:00Z";
/// `CloudEvents` source of the first platform.
pub const RIVER: &str = "/chat/river";
/// `CloudEvents` source of the second, where nobody of the first has any rights.
pub const HILL: &str = "/chat/hill";
/// The coaches' room on the first platform.
pub const COACHES: &str = "coaches";
/// The room challenges are posted in.
pub const COMMUNITY: &str = "community";
/// The room of the lifters.
pub const LIFTERS: &str = "lifters";

/// Panics in the service or the core since this process began.
static PANICS: Mutex<Vec<String>> = Mutex::new(Vec::new());

/// Notes panics outside the stories: in a background task nobody else would see them.
fn watch_panics() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            let inside = info
                .location()
                .is_some_and(|at| at.file().contains("bot/src") || at.file().contains("core/src"));
            if inside {
                let mut panics = PANICS.lock().unwrap_or_else(PoisonError::into_inner);
                panics.push(info.to_string());
            }
            usual(info);
        }));
    });
}

/// Settings and brain as built in, read once for all stories.
fn built_in() -> Result<(Settings, Brain)> {
    static READ: OnceLock<Result<(Settings, Brain), String>> = OnceLock::new();
    READ.get_or_init(|| brain::load(None).map_err(|problems| format!("{problems:?}")))
        .clone()
        .map_err(|problems| anyhow!("{problems}"))
}

/// Plays a story against the service on a fresh database. The service is always stopped; the
/// story fails when it is not over in time, when the service broke the platforms' contract, and
/// when anything in the service panicked.
pub async fn run<F>(engine: EngineKind, story: F) -> Result<()>
where
    F: AsyncFnOnce(&mut Stage) -> Result<()>,
{
    watch_panics();
    // Boxed, for a whole service is large to carry in a future.
    let mut stage = Box::new(Box::pin(Stage::set(engine)).await?);
    Box::pin(stage.start()).await?;
    let telling = AssertUnwindSafe(Box::pin(story(&mut stage))).catch_unwind();
    let told = tokio::time::timeout(LIMIT, telling).await;
    let finished = Box::pin(stage.finish()).await;
    match told {
        Err(_) => bail!("the story was not over after {} s", LIMIT.as_secs()),
        Ok(Err(panic)) => std::panic::resume_unwind(panic),
        Ok(Ok(outcome)) => outcome.and(finished),
    }
}

/// What the service answered to an event.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Status.
    pub status: u16,
    /// The problem, when there is one; `null` otherwise.
    pub problem: serde_json::Value,
    /// `Retry-After`.
    pub retry_after: Option<String>,
}

impl Answer {
    /// The fields a problem names.
    pub fn fields(&self) -> Vec<&str> {
        let errors = self.problem["errors"].as_array();
        errors
            .into_iter()
            .flatten()
            .filter_map(|error| error["field"].as_str())
            .collect()
    }
}

/// A service with everything around it.
#[derive(Debug)]
pub struct Stage {
    /// The clock of every service on this stage.
    pub clock: Arc<MovableClock>,
    /// The first platform: coaches `ana` and `ben`.
    pub river: Platform,
    /// The second platform: coach `eve`.
    pub hill: Platform,
    /// The database.
    pub database: Fresh,
    /// Settings the next service starts with.
    pub settings: Settings,
    /// The config folder the next service looks at; it starts with what is built in all the same.
    pub folder: Option<PathBuf>,
    look: Look,
    ids: Ids,
    services: Vec<Running>,
    client: reqwest::Client,
}

/// A service's door without anybody behind it: events are acknowledged and stay.
#[derive(Debug)]
pub struct BareDoor {
    address: SocketAddr,
    stop: CancellationToken,
    served: tokio::task::JoinHandle<()>,
    store: Arc<dyn Store>,
}

impl BareDoor {
    /// Where it listens.
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// Shuts it.
    pub async fn shut(self) -> Result<()> {
        self.stop.cancel();
        self.served.await?;
        self.store.close().await;
        Ok(())
    }
}

impl Stage {
    /// Sets the stage; nothing runs yet.
    pub async fn set(engine: EngineKind) -> Result<Self> {
        let database = Fresh::new(engine).await?;
        let clock = Arc::new(MovableClock::default());
        clock.set(BEGINS.parse()?);
        // The tables are made before the story looks at them.
        database.open().await?.close().await;
        let look = Look::into_database(&database).await?;
        let river = Platform::start(RIVER, &["ana", "ben"], Some(COACHES)).await?;
        let hill = Platform::start(HILL, &["eve"], Some(COACHES)).await?;
        let mut settings = built_in()?.0;
        "127.0.0.1:0".clone_into(&mut settings.server.listen);
        settings.store.url.clone_from(&database.url);
        settings.work.poll_seconds = 1;
        settings.limits.events_per_minute_per_address = 1_000_000;
        settings.limits.events_per_minute_per_source = 1_000_000;
        settings.limits.messages_per_minute_per_room = 100_000;
        settings.limits.messages_per_minute_per_platform = 100_000;
        settings.platform = [&river, &hill].map(described).to_vec();
        Ok(Self {
            clock,
            river,
            hill,
            database,
            settings,
            folder: None,
            look,
            ids: Ids::default(),
            services: Vec::new(),
            client: reqwest::Client::builder().no_proxy().build()?,
        })
    }

    /// Starts a service; with several, events go to the first.
    pub async fn start(&mut self) -> Result<()> {
        // Boxed: a set-up holds the whole catalog, and every story holds this future.
        let starting = Box::pin(start(self.set_up()?));
        self.services.push(starting.await?);
        Ok(())
    }

    fn set_up(&self) -> Result<Setup> {
        let mut brain = built_in()?.1;
        brain.rules = self.rules();
        Ok(Setup {
            settings: self.settings.clone(),
            brain,
            folder: self.folder.clone(),
            clock: self.clock.clone(),
            platforms: self.opened()?,
        })
    }

    /// The rules the services go by.
    pub fn rules(&self) -> Rules {
        self.settings.rules()
    }

    fn opened(&self) -> Result<Vec<OpenPlatform>> {
        [&self.river, &self.hill]
            .into_iter()
            .map(|platform| {
                Ok(OpenPlatform {
                    source: platform.source.clone(),
                    base_url: platform.url(),
                    token: Platform::token()?,
                    secrets: vec![platform.secret.clone()],
                })
            })
            .collect()
    }

    /// Opens a door without workers behind it: what comes in is acknowledged and stays.
    pub async fn open_bare_door(&self) -> Result<BareDoor> {
        let store = self.database.open().await?;
        let platforms = self.opened()?.into_iter().map(|platform| PlatformAccess {
            source: platform.source,
            secrets: platform.secrets,
        });
        let parts = WebParts {
            store: store.clone(),
            clock: self.clock.clone(),
            platforms: platforms.collect(),
            limits: LimitSettings::default(),
            wake: Arc::new(Notify::new()),
            metrics: Arc::new(Metrics::new()),
            draining: Arc::new(AtomicBool::new(false)),
        };
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let stop = CancellationToken::new();
        let stopped = stop.clone().cancelled_owned();
        let served = tokio::spawn(async move {
            serve(listener, router(parts), ServeSettings::default(), stopped).await;
        });
        Ok(BareDoor {
            address,
            stop,
            served,
            store,
        })
    }

    /// Stops the first service gracefully.
    pub async fn stop(&mut self) {
        if !self.services.is_empty() {
            self.services.remove(0).shut_down().await;
        }
    }

    /// The services that run, the one events go to first.
    pub fn services(&self) -> &[Running] {
        &self.services
    }

    /// Stops everything and looks back.
    async fn finish(mut self) -> Result<()> {
        while !self.services.is_empty() {
            self.stop().await;
        }
        let mut breaches = self.river.breaches();
        breaches.extend(self.hill.breaches());
        ensure!(
            breaches.is_empty(),
            "the service broke the contract: {breaches:#?}"
        );
        let panics = PANICS
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        ensure!(
            panics.is_empty(),
            "something panicked in the service: {panics:#?}"
        );
        Ok(())
    }

    /// The store of the first service.
    pub fn store(&self) -> Result<&Arc<dyn Store>> {
        let first = self.services.first().context("no service runs")?;
        Ok(&first.store)
    }

    /// Somebody who lifts, on the first platform.
    pub fn lifter(&self, id: &str) -> Person {
        self.person(RIVER, id, LIFTERS)
    }

    /// A coach of the first platform, in the coaches' room.
    pub fn coach(&self, id: &str) -> Person {
        self.person(RIVER, id, COACHES)
    }

    /// Anybody, anywhere.
    pub fn person(&self, source: &str, id: &str, room: &str) -> Person {
        let mut letters = id.chars();
        let first: String = letters
            .next()
            .into_iter()
            .flat_map(char::to_uppercase)
            .collect();
        Person {
            source: source.to_owned(),
            id: id.to_owned(),
            name: format!("{first}{}", letters.as_str()),
            room: room.to_owned(),
            ids: self.ids.clone(),
        }
    }

    /// The time on this stage.
    pub fn now(&self) -> Timestamp {
        self.clock.now()
    }

    /// An event signed by its platform, now.
    pub fn signed(&self, event: &EventBuilder) -> Result<Signed> {
        let platform = [&self.river, &self.hill]
            .into_iter()
            .find(|platform| platform.source == event.source)
            .context("no platform has this source")?;
        let now = self.now();
        Ok(Signed::new(
            &platform.secret,
            &event.id,
            event.body(now)?,
            now,
        ))
    }

    /// Where the first service listens.
    pub fn address(&self) -> Result<SocketAddr> {
        Ok(self.services.first().context("no service runs")?.address)
    }

    /// Delivers a signed body to an address.
    pub async fn post_to(&self, address: SocketAddr, signed: Signed) -> Result<Answer> {
        let answer = self
            .client
            .post(format!("http://{address}/events"))
            .header("content-type", signed.content_type)
            .header("webhook-id", signed.id)
            .header("webhook-timestamp", signed.timestamp)
            .header("webhook-signature", signed.signature)
            .body(signed.body)
            .send()
            .await?;
        let status = answer.status().as_u16();
        let retry_after = answer.headers().get("retry-after");
        let retry_after = retry_after.and_then(|value| value.to_str().ok().map(str::to_owned));
        let body = answer.bytes().await?;
        Ok(Answer {
            status,
            problem: serde_json::from_slice(&body).unwrap_or_default(),
            retry_after,
        })
    }

    /// Delivers a signed body to the first service.
    pub async fn post(&self, signed: Signed) -> Result<Answer> {
        self.post_to(self.address()?, signed).await
    }

    /// Delivers an event to the first service, whatever it answers.
    pub async fn hand_in(&self, event: &EventBuilder) -> Result<Answer> {
        self.post(self.signed(event)?).await
    }

    /// Delivers an event that must be taken, without waiting for what comes of it.
    pub async fn send(&self, event: &EventBuilder) -> Result<()> {
        let answer = self.hand_in(event).await?;
        ensure!(answer.status == 202, "not taken: {answer:?}");
        Ok(())
    }

    /// Delivers an event that must be taken and waits until nothing is left to do.
    pub async fn play(&mut self, event: &EventBuilder) -> Result<()> {
        self.send(event).await?;
        self.rest().await
    }

    /// Waits until nothing is due and nothing is being worked on.
    pub async fn rest(&mut self) -> Result<()> {
        let end = Instant::now() + REST;
        let mut quiet = 0;
        while Instant::now() < end {
            let due = self.look.due(self.clock.now()).await?;
            quiet = if due == 0 { quiet + 1 } else { 0 };
            if quiet == 2 {
                return Ok(());
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
        bail!(
            "the service did not come to rest; heard: {:#?}",
            self.river.heard()
        )
    }

    /// Time passes at once; what came due is done. What was under way is finished first, so that
    /// no wait begins at the later time.
    pub async fn pass(&mut self, by: SignedDuration) -> Result<()> {
        self.rest().await?;
        self.clock.advance(by);
        for service in &self.services {
            service.dates_wake.notify_one();
        }
        self.rest().await
    }

    /// Time passes until `at`.
    pub async fn pass_until(&mut self, at: Timestamp) -> Result<()> {
        let by = at.duration_since(self.now());
        self.pass(by).await
    }

    /// A look into the database.
    pub const fn look(&mut self) -> &mut Look {
        &mut self.look
    }

    /// The cases of a person, newest first.
    pub async fn cases_of(&self, person: &Person) -> Result<Vec<Case>> {
        let key = PersonKey {
            source: person.source.clone(),
            person_id: person.id.clone(),
        };
        Ok(self.store()?.cases_of(&key, 20).await?)
    }

    /// The only case of a person.
    pub async fn case_of(&self, person: &Person) -> Result<Case> {
        let mut cases = self.cases_of(person).await?;
        ensure!(cases.len() == 1, "expected one case, found {cases:#?}");
        cases.pop().context("one case")
    }
}

fn described(platform: &Platform) -> settings::Platform {
    settings::Platform {
        source: platform.source.clone(),
        base_url: platform.url(),
        // Opened by the stage itself; these places are never looked at.
        token: SecretPlace::Env("STORY_TOKEN".to_owned()),
        secrets: vec![SecretPlace::Env("STORY_SECRET".to_owned())],
        coaches: platform.coaches.clone(),
        coach_room: platform.coach_room.clone(),
        challenge_room: Some(COMMUNITY.to_owned()),
    }
}
