//! Builds the service from its parts, starts it and stops it gracefully.

use crate::brain::{Brain, Live};
use crate::clock::Clock;
use crate::platform::backoff::Backoff;
use crate::platform::door::HttpDoor;
use crate::platform::{
    BearerToken, ChatPlatform, GenericPlatform, GenericSettings, PlatformSettingsError,
};
use crate::practice::{self, Chat, PracticeParts};
use crate::record::PersonKey;
use crate::reload::{Reload, ReloadParts};
use crate::settings::{OpenPlatform, Settings};
use crate::signing::Secret;
use crate::store::{OpenOptions, Store, StoreError, open};
use crate::telemetry::Metrics;
use crate::web::{
    self, DeskParts, Door, LimitSettings, PlatformAccess, RateSetting, ServeSettings, WebParts,
    desk_router, router, router_behind, serve,
};
use crate::work::{self, Pace, Paces, Retention, WorkParts, WorkSettings};
use axum::Router;
use jiff::SignedDuration;
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::num::NonZeroU32;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use thiserror::Error;
use tokio::net::TcpListener;
use tokio::sync::Notify;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

/// Longest a graceful stop takes.
const DRAIN: Duration = Duration::from_secs(25);

/// Why the service did not start.
#[derive(Debug, Error)]
pub enum StartError {
    /// A secret or token.
    #[error("{0}")]
    Secret(String),
    /// An address that cannot be listened on.
    #[error("cannot listen on {address}: {error}")]
    Listen {
        /// The address.
        address: String,
        /// Why.
        error: std::io::Error,
    },
    /// The practice room on an address that others can reach.
    #[error(
        "the practice room is for this machine only: `server.listen` is {0}, accepted is a loopback address"
    )]
    PracticeAbroad(SocketAddr),
    /// A platform.
    #[error("platform {platform}: {error}")]
    Platform {
        /// Its source.
        platform: String,
        /// Why.
        error: PlatformSettingsError,
    },
    /// The folder of the database.
    #[error("cannot make the folder of the database: {0}")]
    Folder(std::io::Error),
    /// The database.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// What a service is started from.
#[derive(Debug)]
pub struct Setup {
    /// Settings.
    pub settings: Settings,
    /// Catalog, texts, rules.
    pub brain: Brain,
    /// The config folder they came from, to be looked at again while the service runs.
    pub folder: Option<PathBuf>,
    /// Clock.
    pub clock: Arc<dyn Clock>,
    /// Platforms, their secrets opened.
    pub platforms: Vec<OpenPlatform>,
}

/// A running service.
#[derive(Debug)]
pub struct Running {
    /// Where it listens.
    pub address: SocketAddr,
    /// Where health and metrics are, when apart.
    pub admin_address: Option<SocketAddr>,
    /// Where coaches reach their desk, when there is one.
    pub desk_url: Option<String>,
    /// The practice room's chat, when it is on.
    pub practice: Option<Practice>,
    /// The database, for the demo and tests to look at.
    pub store: Arc<dyn Store>,
    /// Ring it when the clock was moved.
    pub dates_wake: Arc<Notify>,
    /// Ring it to have catalog, texts and rules read again at once.
    pub reload: Arc<Notify>,
    draining: Arc<AtomicBool>,
    stop: CancellationToken,
    tasks: TaskTracker,
}

/// The practice room of a running service.
#[derive(Clone, Debug)]
pub struct Practice {
    /// Rooms and messages.
    pub chat: Arc<Chat>,
    /// The way in.
    pub door: Arc<HttpDoor>,
}

impl Setup {
    /// Opens the secrets that the settings name.
    pub fn open(
        settings: Settings,
        brain: Brain,
        clock: Arc<dyn Clock>,
    ) -> Result<Self, StartError> {
        let platforms = settings
            .platform
            .iter()
            .map(|platform| platform.open().map_err(StartError::Secret))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            settings,
            brain,
            folder: None,
            clock,
            platforms,
        })
    }
}

/// Starts the service.
pub async fn start(mut setup: Setup) -> Result<Running, StartError> {
    let store = open_store(&setup.settings.store.url).await?;
    let (listener, address) = listen(&setup.settings.server.listen).await?;
    let practice = if setup.settings.practice.on {
        Some(furnish_practice(&mut setup, address)?)
    } else {
        None
    };
    let desk_url = furnish_desk(&mut setup, address);
    let metrics = Arc::new(Metrics::new());
    let draining = Arc::new(AtomicBool::new(false));
    let events_wake = Arc::new(Notify::new());
    let dates_wake = Arc::new(Notify::new());
    let web = WebParts {
        store: store.clone(),
        clock: setup.clock.clone(),
        platforms: setup
            .platforms
            .iter()
            .map(|platform| PlatformAccess {
                source: platform.source.clone(),
                secrets: platform.secrets.clone(),
            })
            .collect(),
        limits: limits(&setup.settings),
        wake: events_wake.clone(),
        metrics: metrics.clone(),
        draining: draining.clone(),
    };
    let live = Arc::new(Live::new(setup.brain.clone()));
    let desk = desk_url.clone().map(|url| DeskParts {
        store: store.clone(),
        clock: setup.clock.clone(),
        brain: live.clone(),
        wake: events_wake.clone(),
        url,
    });
    let stop = CancellationToken::new();
    let tasks = TaskTracker::new();
    let admin_address = serve_all(
        &setup,
        web,
        practice.as_ref(),
        desk,
        listener,
        &stop,
        &tasks,
    )
    .await?;
    let (events, dates) = (events_wake, dates_wake.clone());
    let parts = work_parts(&setup, &store, &live, metrics.clone(), events, dates)?;
    let reload_wake = Arc::new(Notify::new());
    let mut reload = Reload::new(ReloadParts {
        folder: setup.folder,
        settings: setup.settings,
        brain: setup.brain,
        live,
        store: store.clone(),
        metrics,
        wake: reload_wake.clone(),
    });
    // Before the first event is worked on, so that a restart forgets nothing.
    reload.learn().await;
    tasks.spawn(reload.run(stop.clone()));
    tasks.spawn(work::run(parts, stop.clone()));
    tasks.close();
    tracing::info!(%address, "listening");
    Ok(Running {
        address,
        admin_address,
        desk_url,
        practice: practice.map(|(room, _)| room),
        store,
        dates_wake,
        reload: reload_wake,
        draining,
        stop,
        tasks,
    })
}

impl Running {
    /// Stops: nothing new is taken in, work at hand is finished, leases are freed.
    pub async fn shut_down(self) {
        self.draining.store(true, Ordering::SeqCst);
        if let Some(practice) = &self.practice {
            // An open page's long poll would hold the stop up.
            practice.chat.close();
        }
        self.stop.cancel();
        if tokio::time::timeout(DRAIN, self.tasks.wait())
            .await
            .is_err()
        {
            tracing::warn!("some work did not finish in time; its leases run out by themselves");
        }
        self.store.close().await;
        tracing::info!("stopped");
    }
}

/// Opens the database; makes the folder of an embedded one.
async fn open_store(url: &str) -> Result<Arc<dyn Store>, StartError> {
    if let Some(path) = url.strip_prefix("sqlite:") {
        let path = path
            .trim_start_matches("//")
            .split('?')
            .next()
            .unwrap_or(path);
        if let Some(folder) = Path::new(path)
            .parent()
            .filter(|f| !f.as_os_str().is_empty())
        {
            std::fs::create_dir_all(folder).map_err(StartError::Folder)?;
        }
    }
    Ok(open(url, &OpenOptions::default()).await?)
}

/// Listens on an address.
async fn listen(address: &str) -> Result<(TcpListener, SocketAddr), StartError> {
    let error = |error| StartError::Listen {
        address: address.to_owned(),
        error,
    };
    let listener = TcpListener::bind(address).await.map_err(error)?;
    let local = listener.local_addr().map_err(error)?;
    Ok((listener, local))
}

/// Limits of the edge from the settings.
fn limits(settings: &Settings) -> LimitSettings {
    let rate = |a_minute: u32| RateSetting {
        per_second: NonZeroU32::new(a_minute.div_ceil(60)).unwrap_or(NonZeroU32::MIN),
        burst: NonZeroU32::new(a_minute).unwrap_or(NonZeroU32::MIN),
    };
    LimitSettings {
        per_address: rate(settings.limits.events_per_minute_per_address),
        per_platform: rate(settings.limits.events_per_minute_per_source),
        ..LimitSettings::default()
    }
}

/// Serves the routes; health and metrics on an address of their own when one is set.
async fn serve_all(
    setup: &Setup,
    web: WebParts,
    practice: Option<&(Practice, PracticeParts)>,
    desk: Option<DeskParts>,
    listener: TcpListener,
    stop: &CancellationToken,
    tasks: &TaskTracker,
) -> Result<Option<SocketAddr>, StartError> {
    let admin = &setup.settings.server.admin_listen;
    let mut main = if admin.is_empty() {
        router(web.clone())
    } else {
        router_behind(web.clone(), Door::Platforms)
    };
    if let Some((_, parts)) = practice {
        main = practice::router(parts.clone()).merge(main);
    }
    if let Some(desk) = desk {
        main = desk_router(desk).merge(main);
    }
    let spawn = |listener: TcpListener, router: Router| {
        let stop = stop.clone();
        tasks.spawn(async move {
            serve(listener, router, ServeSettings::default(), async move {
                stop.cancelled().await;
            })
            .await;
        });
    };
    spawn(listener, main);
    if admin.is_empty() {
        return Ok(None);
    }
    let (listener, address) = listen(admin).await?;
    spawn(listener, router_behind(web, Door::Operator));
    Ok(Some(address))
}

/// The loops' parts.
fn work_parts(
    setup: &Setup,
    store: &Arc<dyn Store>,
    live: &Arc<Live>,
    metrics: Arc<Metrics>,
    events_wake: Arc<Notify>,
    dates_wake: Arc<Notify>,
) -> Result<WorkParts, StartError> {
    let mut platforms: BTreeMap<String, Arc<dyn ChatPlatform>> = BTreeMap::new();
    for platform in &setup.platforms {
        let settings = GenericSettings::new(platform.base_url.clone(), platform.token.clone());
        let built = GenericPlatform::new(settings, setup.clock.clone()).map_err(|error| {
            StartError::Platform {
                platform: platform.source.clone(),
                error,
            }
        })?;
        platforms.insert(platform.source.clone(), Arc::new(built));
    }
    let work = &setup.settings.work;
    let privacy = &setup.settings.privacy;
    let limits = &setup.settings.limits;
    Ok(WorkParts {
        // Unlike any other instance's, also after a restart on the same machine.
        owner: format!("{}-{:08x}", std::process::id(), rand::random::<u32>()),
        store: store.clone(),
        clock: setup.clock.clone(),
        brain: live.clone(),
        platforms,
        metrics,
        paces: Paces::new(
            Pace(limits.messages_per_minute_per_room),
            Pace(limits.messages_per_minute_per_platform),
        ),
        settings: WorkSettings {
            lease: SignedDuration::from_secs(i64::from(work.lease_seconds)),
            poll: Duration::from_secs(u64::from(work.poll_seconds)),
            at_once: work.at_once,
            backoff: Backoff {
                give_up_after: Duration::from_secs(u64::from(work.give_up_hours) * 3600),
                ..Backoff::default()
            },
            retention: Retention {
                files_days: privacy.files_days,
                pictures_days: privacy.pictures_days,
                words_days: privacy.words_days,
                flags_months: privacy.flags_months,
                figures_months: privacy.figures_months,
                unreadable_days: privacy.unreadable_days,
                names_days: privacy.names_days,
            },
        },
        events_wake,
        dates_wake,
    })
}

/// Where the desk is reached. With the practice room on it is on this machine too, unless the
/// settings say another address.
fn furnish_desk(setup: &mut Setup, address: SocketAddr) -> Option<String> {
    let rules = &mut setup.brain.rules;
    if rules.desk_url.is_none() && setup.settings.practice.on {
        rules.desk_url = Some(format!("http://{address}"));
    }
    if rules.privacy.public_url.is_none() && setup.settings.practice.on {
        // A copy of one's data comes by a link there too.
        rules.privacy.public_url = Some(format!("http://{address}"));
    }
    rules.desk_url.clone()
}

/// Sets the practice room up as one more chat platform, with secrets of its own for this run.
fn furnish_practice(
    setup: &mut Setup,
    address: SocketAddr,
) -> Result<(Practice, PracticeParts), StartError> {
    if !address.ip().is_loopback() {
        return Err(StartError::PracticeAbroad(address));
    }
    let source = practice::SOURCE;
    let secret = Secret::generate().map_err(|error| StartError::Secret(error.to_string()))?;
    let token = format!(
        "{:016x}{:016x}",
        rand::random::<u64>(),
        rand::random::<u64>()
    );
    let platform_error = |error| StartError::Platform {
        platform: source.to_owned(),
        error,
    };
    setup.platforms.push(OpenPlatform {
        source: source.to_owned(),
        base_url: format!("http://{address}{}", practice::PLATFORM_PREFIX),
        token: BearerToken::parse(&token).map_err(platform_error)?,
        secrets: vec![secret.clone()],
    });
    let people = practice::seats();
    for coach in people
        .iter()
        .filter(|seat| seat.kind == practice::SeatKind::Coach)
    {
        setup.brain.rules.coaches.push(PersonKey {
            source: source.to_owned(),
            person_id: coach.id.clone(),
        });
        let rooms = &mut setup.brain.rules.coach_rooms;
        rooms.insert(source.to_owned(), coach.room.clone());
    }
    let rooms = &mut setup.brain.rules.challenges.rooms;
    rooms.insert(source.to_owned(), practice::CHALLENGES.to_owned());
    let door = HttpDoor::new(&format!("http://{address}{}", web::EVENTS_PATH), secret)
        .map_err(|error| platform_error(error.into()))?;
    let chat = Arc::new(Chat::new(&Chat::random_mark(), practice::rooms()));
    let room = Practice {
        chat: chat.clone(),
        door: Arc::new(door),
    };
    let parts = PracticeParts {
        chat,
        door: room.door.clone(),
        clock: setup.clock.clone(),
        people,
        token,
        source: source.to_owned(),
    };
    Ok((room, parts))
}
