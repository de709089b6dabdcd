//! `cueline demo`: the real service on loopback, an invented community, and its fortnight.
//!
//! Everything goes the real way: signed events over HTTP, an embedded database on disk, messages
//! out over HTTP to the practice room's chat. Only the clock is moved.

mod play;
mod print;
mod script;

pub use play::{Played, Player};
pub use script::{Script, Step};

use crate::app::{Setup, start};
use crate::brain;
use crate::cli::{Failure, Signals, failure, runtime};
use crate::clock::MovableClock;
use crate::telemetry::{self, LogShape};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The play, as built in.
pub const SCRIPT: &str = include_str!("../../../demo-data/fortnight.toml");

/// Plays the script; leaves the service up unless told to end.
pub(crate) fn run(config: Option<&Path>, port: u16, exit: bool) -> Result<(), Failure> {
    let (mut settings, brain) = brain::load(config)?;
    let script = Script::parse(SCRIPT).map_err(Failure::Input)?;
    telemetry::start(LogShape::Text, "warn");
    let folder = Folder::new()?;
    settings.platform.clear();
    settings.practice.on = true;
    settings.server.admin_listen.clear();
    settings.server.listen = format!("127.0.0.1:{port}");
    settings.store.url = format!("sqlite:{}", folder.path.join("demo.sqlite").display());
    let clock = Arc::new(MovableClock::default());
    clock.set(script.starts);
    let setup = Setup::open(settings, brain, clock.clone()).map_err(failure)?;
    runtime()?.block_on(async {
        let mut signals = Signals::new()?;
        let running = start(setup).await.map_err(failure)?;
        let mut player = Player::new(&running, clock).map_err(Failure::Other)?;
        let played = player.play(&script).await;
        let outcome = match played {
            Ok(played) => {
                print::summary(&played)?;
                Ok(())
            }
            Err(why) => Err(Failure::Other(why)),
        };
        if outcome.is_ok() && !exit {
            let mut out = std::io::stdout();
            writeln!(
                out,
                "\nThe service is up. Practice room: http://{}/practice\nPress Ctrl-C to end; the demo's database goes with it.",
                running.address
            )?;
            signals.wait().await;
        }
        running.shut_down().await;
        outcome
    })
}

/// A folder of its own for this run's database, removed at the end.
struct Folder {
    path: PathBuf,
}

impl Folder {
    fn new() -> Result<Self, Failure> {
        let name = format!(
            "cueline-demo-{}-{:08x}",
            std::process::id(),
            rand::random::<u32>()
        );
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir(&path)?;
        Ok(Self { path })
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // Left behind in the system's temporary folder at worst.
        let _ = std::fs::remove_dir_all(&self.path);
    }
}
