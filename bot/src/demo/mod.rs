//! `cueline demo`: the real service on loopback, an invented community, and its fortnight.
//!
//! Everything goes the real way: signed events over HTTP, an embedded database on disk, messages
//! out over HTTP to the practice room's chat. Only the clock is moved.

mod play;
mod print;
mod script;

pub use play::{Played, Player};
pub use script::{Script, Step};

use crate::app::{Running, Setup, start};
use crate::brain;
use crate::casework::{self, LINK_FOR};
use crate::cli::{Failure, Signals, failure, runtime};
use crate::clock::{Clock as _, MovableClock};
use crate::practice::{SOURCE, SeatKind, seats};
use crate::record::{PersonKey, SignInLink};
use crate::telemetry::{self, LogShape};
use crate::token;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The play, as built in.
pub const SCRIPT: &str = include_str!("../../../demo-data/fortnight.toml");

/// The traces that the play sends along, as built in, by name.
pub(crate) const TRACES: [(&str, &str); 2] = [
    (
        "bar-forward.csv",
        include_str!("../../../demo-data/bar-forward.csv"),
    ),
    (
        "bar-straight.csv",
        include_str!("../../../demo-data/bar-straight.csv"),
    ),
];

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
        let mut player = Player::new(&running, clock.clone()).map_err(Failure::Other)?;
        let played = player.play(&script).await;
        let outcome = match played {
            Ok(played) => {
                print::summary(&played)?;
                Ok(())
            }
            Err(why) => Err(Failure::Other(why)),
        };
        if outcome.is_ok() && !exit {
            let desk = desk_link(&running, clock.as_ref()).await?;
            let mut out = std::io::stdout();
            writeln!(
                out,
                "\nThe service is up. Practice room: http://{}/practice\n{desk}\nPress Ctrl-C to end; the demo's database goes with it.",
                running.address
            )?;
            signals.wait().await;
        }
        running.shut_down().await;
        outcome
    })
}

/// A link that signs the demo's coach in at the desk, in words.
async fn desk_link(running: &Running, clock: &MovableClock) -> Result<String, Failure> {
    let coach = seats()
        .into_iter()
        .find(|seat| seat.kind == SeatKind::Coach);
    let (Some(url), Some(coach)) = (&running.desk_url, coach) else {
        return Ok("No desk.".to_owned());
    };
    let (token, now) = (token::fresh(), clock.now());
    let link = SignInLink {
        hash: token::hash(&token),
        person: PersonKey {
            source: SOURCE.to_owned(),
            person_id: coach.id,
        },
        created_at: now,
        expires_at: now.checked_add(LINK_FOR).unwrap_or(now),
    };
    let kept = running.store.put_sign_in(&link).await;
    kept.map_err(|error| Failure::Other(error.to_string()))?;
    Ok(format!(
        "{}'s desk, once and within {} minutes: {}\n(Later: write `desk` in the practice room, sitting as {}.)",
        coach.name,
        LINK_FOR.as_mins(),
        casework::link(url, &token),
        coach.name,
    ))
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
