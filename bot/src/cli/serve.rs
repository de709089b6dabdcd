//! `cueline serve`: the service, until it is told to stop.

use super::Failure;
use crate::app::{Setup, StartError, start};
use crate::brain;
use crate::clock::SystemClock;
use crate::telemetry::{self, LogShape};
use std::path::Path;
use std::sync::Arc;
use tokio::signal::unix::{SignalKind, signal};

/// Runs until a stop signal; a second one ends at once.
pub(super) fn run(config: Option<&Path>) -> Result<(), Failure> {
    let (settings, brain) = brain::load(config)?;
    telemetry::start(LogShape::Json, "info");
    let mut setup = Setup::open(settings, brain, Arc::new(SystemClock)).map_err(failure)?;
    setup.folder = config.map(Path::to_path_buf);
    if setup.platforms.is_empty() && !setup.settings.practice.on {
        return Err(Failure::input(
            "cueline.toml: no [[platform]] and no practice room; accepted is at least one of them \
             (see README.md, \"Connecting a chat platform\")",
        ));
    }
    runtime()?.block_on(async {
        let mut signals = Signals::new()?;
        // From now on, so that asking for a reload during the start does not end the process.
        let mut hang_up = signal(SignalKind::hangup())?;
        let running = start(setup).await.map_err(failure)?;
        loop {
            tokio::select! {
                () = signals.wait() => break,
                _ = hang_up.recv() => running.reload.notify_one(),
            }
        }
        tokio::select! {
            () = running.shut_down() => Ok(()),
            () = signals.wait() => Err(Failure::Other("ended at once on a second signal".to_owned())),
        }
    })
}

/// Bad configuration, or something else.
pub(crate) fn failure(error: StartError) -> Failure {
    match error {
        StartError::Secret(_) | StartError::Platform { .. } | StartError::PracticeAbroad(_) => {
            Failure::input(error.to_string())
        }
        other => Failure::Other(other.to_string()),
    }
}

/// The runtime everything runs on.
pub(crate) fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    Ok(tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?)
}

/// Signals that ask for an end.
pub(crate) struct Signals {
    terminate: tokio::signal::unix::Signal,
    interrupt: tokio::signal::unix::Signal,
}

impl Signals {
    /// Listens from now on.
    pub(crate) fn new() -> Result<Self, Failure> {
        Ok(Self {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
        })
    }

    /// Waits for the next one.
    pub(crate) async fn wait(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }
}
