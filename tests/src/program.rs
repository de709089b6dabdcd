//! The built program: found beside the tests, started with a config folder, ended by force.

use anyhow::{Context, Result, bail};
use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// Longest the program may take to listen.
const READY: Duration = Duration::from_secs(20);

/// The program as built for the profile these tests were built for.
pub fn path() -> Result<PathBuf> {
    let tests = std::env::current_exe().context("where the tests are")?;
    // target/PROFILE/deps/stories-HASH
    let folder = tests
        .parent()
        .and_then(Path::parent)
        .context("the folder of the build")?;
    let program = folder.join("cueline");
    if !program.exists() {
        bail!(
            "{} is missing; build it first: cargo build -p cueline-bot",
            program.display()
        );
    }
    Ok(program)
}

/// A port that was free a moment ago.
pub fn free_address() -> Result<SocketAddr> {
    Ok(TcpListener::bind("127.0.0.1:0")?.local_addr()?)
}

/// A running `cueline serve`; ended by force when dropped.
#[derive(Debug)]
pub struct Program {
    child: Child,
}

impl Program {
    /// Starts it on a config folder and waits until it listens at `address`.
    pub async fn serve(
        config: &Path,
        environment: &[(&str, &str)],
        address: SocketAddr,
        log: &Path,
    ) -> Result<Self> {
        let log_file = std::fs::File::options()
            .create(true)
            .append(true)
            .open(log)?;
        let child = Command::new(path()?)
            .arg("serve")
            .arg("--config")
            .arg(config)
            .envs(environment.iter().copied())
            .stdin(Stdio::null())
            .stdout(log_file.try_clone()?)
            .stderr(log_file)
            .spawn()
            .context("starting the program")?;
        let mut program = Self { child };
        let start = Instant::now();
        while tokio::net::TcpStream::connect(address).await.is_err() {
            if let Some(status) = program.child.try_wait()? {
                let said = std::fs::read_to_string(log).unwrap_or_default();
                bail!("the program ended with {status} instead of listening:\n{said}");
            }
            if start.elapsed() > READY {
                bail!("the program does not listen at {address}");
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        Ok(program)
    }

    /// Asks it to read its configuration again, as an operator does: by `SIGHUP`.
    pub fn hang_up(&self) -> Result<()> {
        let id = self.child.id().to_string();
        let status = Command::new("kill").args(["-HUP", &id]).status()?;
        if !status.success() {
            bail!("kill -HUP {id}: {status}");
        }
        Ok(())
    }

    /// Ends it at once, as `kill -9` does; nothing of it can react.
    pub fn kill(mut self) -> Result<ExitStatus> {
        self.child.kill()?;
        Ok(self.child.wait()?)
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Ended already at best; never left behind.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
