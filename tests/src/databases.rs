//! Fresh databases for tests: a file for `SQLite`, a database of its own on a private server for
//! `PostgreSQL`. A missing server program is a failure, never a silent skip.

mod server;

pub use server::{PrivatePostgres, VARIABLE};

use anyhow::{Context, Result};
use cueline_bot::store::{self, OpenOptions, Store};
use sqlx::postgres::{PgConnectOptions, PgConnection};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection};
use std::str::FromStr;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

/// One of the two engines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EngineKind {
    /// The embedded one.
    Sqlite,
    /// The shared one.
    Postgres,
}

impl EngineKind {
    /// Both, for tests of what they must have in common.
    pub const BOTH: [Self; 2] = [Self::Sqlite, Self::Postgres];

    /// Its word in file names.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sqlite => "sqlite",
            Self::Postgres => "postgres",
        }
    }
}

/// An empty database that goes away with this value.
#[derive(Debug)]
pub struct Fresh {
    /// Where it is, as the settings of the service take it.
    pub url: String,
    /// Which engine it is.
    pub kind: EngineKind,
    folder: Option<tempfile::TempDir>,
    name: String,
}

impl Fresh {
    /// An empty database of this engine.
    pub async fn new(kind: EngineKind) -> Result<Self> {
        match kind {
            EngineKind::Sqlite => sqlite(),
            EngineKind::Postgres => postgres().await,
        }
    }

    /// Opens the store in it.
    pub async fn open(&self) -> Result<Arc<dyn Store>> {
        self.open_with(&OpenOptions::default()).await
    }

    /// Opens the store in it with other options than the usual ones.
    pub async fn open_with(&self, options: &OpenOptions) -> Result<Arc<dyn Store>> {
        store::open(&self.url, options)
            .await
            .with_context(|| format!("the store at {}", self.url))
    }
}

impl Drop for Fresh {
    fn drop(&mut self) {
        if self.folder.is_some() {
            return;
        }
        // A destructor cannot wait for a future of the runtime it runs on, so a thread does.
        let name = std::mem::take(&mut self.name);
        let dropping = std::thread::spawn(move || -> Result<()> {
            let runtime = tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()?;
            runtime.block_on(async {
                let mut admin = admin().await?;
                let statement = format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)");
                sqlx::raw_sql(AssertSqlSafe(statement))
                    .execute(&mut admin)
                    .await?;
                Ok(())
            })
        });
        // The private server's folder is removed with the server, so nothing is lost by a failure.
        let _ = dropping.join();
    }
}

/// A fresh `SQLite` file in a folder of its own.
pub fn sqlite() -> Result<Fresh> {
    let folder = tempfile::tempdir().context("a folder for a SQLite file")?;
    let url = format!("sqlite:{}", folder.path().join("cueline.sqlite").display());
    Ok(Fresh {
        url,
        kind: EngineKind::Sqlite,
        folder: Some(folder),
        name: String::new(),
    })
}

/// A fresh database on the test server, which is started when there is none yet.
pub async fn postgres() -> Result<Fresh> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let name = format!(
        "test_{}_{}",
        std::process::id(),
        COUNT.fetch_add(1, Ordering::Relaxed)
    );
    let mut admin = admin().await?;
    let statement = format!("DROP DATABASE IF EXISTS {name}; ");
    sqlx::raw_sql(AssertSqlSafe(statement))
        .execute(&mut admin)
        .await?;
    sqlx::raw_sql(AssertSqlSafe(format!("CREATE DATABASE {name}")))
        .execute(&mut admin)
        .await
        .context("a database on the test server")?;
    admin.close().await?;
    let url = PgConnectOptions::from_str(server_url()?)?
        .database(&name)
        .to_url_lossy()
        .to_string();
    Ok(Fresh {
        url,
        kind: EngineKind::Postgres,
        folder: None,
        name,
    })
}

/// The server given by the environment, else one started for this process and stopped with it.
fn server_url() -> Result<&'static str> {
    static SERVER: OnceLock<Result<(String, Option<PrivatePostgres>), String>> = OnceLock::new();
    let server = SERVER.get_or_init(|| match std::env::var(VARIABLE) {
        Ok(url) => Ok((url, None)),
        Err(_) => PrivatePostgres::start()
            .map(|server| (server.url().to_owned(), Some(server)))
            .map_err(|error| format!("{error:#}")),
    });
    match server {
        Ok((url, _)) => Ok(url),
        Err(error) => Err(anyhow::anyhow!("{error}")),
    }
}

/// A connection to the server, which may still be coming up.
async fn admin() -> Result<PgConnection> {
    let options = PgConnectOptions::from_str(server_url()?)?.disable_statement_logging();
    let start = Instant::now();
    loop {
        match options.connect().await {
            Ok(connection) => return Ok(connection),
            Err(error) if start.elapsed() > Duration::from_secs(30) => {
                return Err(error).context("the PostgreSQL test server did not answer for 30 s");
            }
            Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    }
}
