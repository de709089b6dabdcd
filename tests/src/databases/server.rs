//! A private `PostgreSQL` server: own folder, own Unix socket, no port, gone when its starter is.

use anyhow::{Context, Result, bail};
use std::os::unix::fs::{PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::{Duration, Instant};

/// Environment variable that names a server to use instead of starting one.
pub const VARIABLE: &str = "CUELINE_TEST_POSTGRES";

/// What to do when the server program is missing.
const INSTALL: &str = "PostgreSQL is needed for this test and was not found; install it with: \
                       apt-get install postgresql";

/// Runs the server, waits for its own input to end (which it does when the starter ends, however
/// that happens), then stops the server and removes its folder.
const GUARD: &str = r#"folder=$1; shift
"$@" >"$folder/log" 2>&1 &
server=$!
cat >/dev/null
kill -QUIT "$server" 2>/dev/null
wait "$server"
rm -rf "$folder""#;

/// A running private server.
#[derive(Debug)]
pub struct PrivatePostgres {
    url: String,
    guard: Child,
    /// Held open for as long as the server should run.
    lifeline: Option<ChildStdin>,
}

impl PrivatePostgres {
    /// Makes and starts a server. It never syncs to disk: tests check what it does, not the disk.
    pub fn start() -> Result<Self> {
        Self::start_with(&["fsync=off", "full_page_writes=off"])
    }

    /// Makes and starts a server that syncs every commit, as a real one does; for measuring.
    pub fn start_durable() -> Result<Self> {
        Self::start_with(&[])
    }

    fn start_with(settings: &[&str]) -> Result<Self> {
        let programs = programs()?;
        let folder = tempfile::Builder::new()
            .prefix("cueline-postgres-")
            .tempdir()
            .context("a folder for PostgreSQL")?;
        std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755))?;
        let runner = runner(folder.path())?;
        let data = folder.path().join("data");
        initialise(&runner, &programs, &data)?;
        // From here on the guard removes the folder.
        let folder = folder.keep();
        let mut guard = Command::new("sh");
        guard.arg("-c").arg(GUARD).arg("sh").arg(&folder);
        guard.args(&runner).arg(programs.join("postgres"));
        guard.arg("-D").arg(&data).arg("-k").arg(&folder);
        for setting in [
            "listen_addresses=",
            "port=5432",
            "max_connections=200",
            "shared_buffers=32MB",
        ]
        .iter()
        .chain(settings)
        {
            guard.arg("-c").arg(setting);
        }
        let mut guard = guard
            .current_dir("/")
            .process_group(0)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .context("the guard of the PostgreSQL server")?;
        let lifeline = guard.stdin.take();
        let server = Self {
            url: format!(
                "postgres://cueline@localhost:5432/postgres?host={}",
                folder.display()
            ),
            guard,
            lifeline,
        };
        wait_for_socket(&folder)?;
        Ok(server)
    }

    /// Its address, naming the database `postgres`.
    pub fn url(&self) -> &str {
        &self.url
    }
}

impl Drop for PrivatePostgres {
    fn drop(&mut self) {
        drop(self.lifeline.take());
        let start = Instant::now();
        while start.elapsed() < Duration::from_secs(10) {
            if !matches!(self.guard.try_wait(), Ok(None)) {
                return;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

fn wait_for_socket(folder: &Path) -> Result<()> {
    let start = Instant::now();
    while !folder.join(".s.PGSQL.5432").exists() {
        if start.elapsed() > Duration::from_secs(30) {
            let log = std::fs::read_to_string(folder.join("log")).unwrap_or_default();
            bail!("the PostgreSQL server did not start within 30 s:\n{log}");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    Ok(())
}

/// The folder of `initdb` and `postgres`: the newest of Debian's, else wherever the path finds them.
fn programs() -> Result<PathBuf> {
    let mut found: Vec<(u32, PathBuf)> = std::fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let version = entry.file_name().to_str()?.parse().ok()?;
            Some((version, entry.path().join("bin")))
        })
        .filter(|(_, folder)| folder.join("initdb").exists())
        .collect();
    found.sort();
    if let Some((_, folder)) = found.pop() {
        return Ok(folder);
    }
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .find(|folder| folder.join("initdb").exists() && folder.join("postgres").exists())
        .context(INSTALL)
}

/// How to run a program that refuses to run as root: as the package's own user, who is given the
/// folder.
fn runner(folder: &Path) -> Result<Vec<String>> {
    if id(&["-u"])? != 0 {
        return Ok(Vec::new());
    }
    let user = id(&["-u", "postgres"]).context(INSTALL)?;
    let group = id(&["-g", "postgres"]).context(INSTALL)?;
    chown(folder, Some(user), Some(group)).context("the PostgreSQL folder's owner")?;
    Ok(vec![
        "setpriv".to_owned(),
        format!("--reuid={user}"),
        format!("--regid={group}"),
        "--clear-groups".to_owned(),
    ])
}

fn id(arguments: &[&str]) -> Result<u32> {
    let answer = Command::new("id").args(arguments).output().context("id")?;
    let text = String::from_utf8_lossy(&answer.stdout);
    text.trim()
        .parse()
        .with_context(|| format!("id {} answered {text:?}", arguments.join(" ")))
}

fn initialise(runner: &[String], programs: &Path, data: &Path) -> Result<()> {
    let initdb = programs.join("initdb");
    let mut words = runner.iter().map(String::as_str).chain(initdb.to_str());
    let program = words.next().context("the path of initdb is not UTF-8")?;
    let answer = Command::new(program)
        .args(words)
        .arg("-D")
        .arg(data)
        .args(["-U", "cueline", "--auth=trust", "--encoding=UTF8"])
        .args(["--locale=C", "--no-sync"])
        .current_dir("/")
        .output()
        .context("initdb")?;
    if !answer.status.success() {
        bail!(
            "initdb failed: {}",
            String::from_utf8_lossy(&answer.stderr).trim()
        );
    }
    Ok(())
}
