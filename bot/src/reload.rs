//! The coach's knowledge anew while the service runs: catalog, texts and rules when their files
//! change or on request, and what verdicts teach when new ones were given.
//!
//! One task looks every few seconds. A set of files is read and checked whole before it takes the
//! place of the one in use; a broken one changes nothing and is named fault by fault. Addresses,
//! database, platforms and secrets are read at the start only.

use crate::brain::{self, Brain, Live};
use crate::record::CoachVerdict;
use crate::settings::{FILE, Settings};
use crate::store::{Store, StoreError};
use crate::telemetry::{Metrics, ReloadOutcome};
use cueline_core::catalog::{CatalogProblem, LiftBook};
use cueline_core::outcome::{Counts, LearningSettings, learned};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};
use tokio::sync::Notify;
use tokio_util::sync::CancellationToken;

/// How often files and verdicts are looked at.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// How long files must have stood still before they are read: an editor writes more than once.
const SETTLED: Duration = Duration::from_millis(500);
/// Most such waits; files that never stand still are read all the same.
const MOST_WAITS: u32 = 20;
/// Looks between two askings for new verdicts, so that a run of them is counted once.
const LEARN_EVERY: u32 = 3;
/// Newest verdicts that are learned from.
pub const MOST_VERDICTS: u32 = 20_000;

/// What the task is built from.
#[derive(Debug)]
pub struct ReloadParts {
    /// The config folder; none when everything is as built in.
    pub folder: Option<PathBuf>,
    /// Settings the service was started with.
    pub settings: Settings,
    /// Catalog, texts and rules it was started with, nothing learned.
    pub brain: Brain,
    /// The one in use.
    pub live: Arc<Live>,
    /// Where verdicts are.
    pub store: Arc<dyn Store>,
    /// Counters.
    pub metrics: Arc<Metrics>,
    /// Rung to load at once.
    pub wake: Arc<Notify>,
}

/// The state of one file when it was looked at.
type Seen = (PathBuf, u64, Option<SystemTime>);

/// Loads and learns.
#[derive(Debug)]
pub struct Reload {
    parts: ReloadParts,
    learning: LearningSettings,
    /// The files as last read.
    seen: Vec<Seen>,
    /// The settings in use come from a file.
    from_file: bool,
    /// The verdicts as last learned from.
    mark: Option<(i64, i64)>,
}

impl Reload {
    /// Of the service's parts; nothing is read yet.
    pub fn new(parts: ReloadParts) -> Self {
        let folder = parts.folder.as_deref();
        Self {
            learning: parts.settings.learning,
            seen: folder.map(look).unwrap_or_default(),
            from_file: folder.is_some_and(|folder| folder.join(FILE).exists()),
            mark: None,
            parts,
        }
    }

    /// Looks again and again, until the end.
    pub async fn run(mut self, stop: CancellationToken) {
        let wake = Arc::clone(&self.parts.wake);
        let mut looks = 0_u32;
        loop {
            tokio::select! {
                () = stop.cancelled() => return,
                () = wake.notified() => self.asked().await,
                () = tokio::time::sleep(LOOK_EVERY) => {
                    tokio::select! {
                        () = stop.cancelled() => return,
                        () = self.look_at_files() => {}
                    }
                    looks = looks.wrapping_add(1);
                    if looks.is_multiple_of(LEARN_EVERY) {
                        self.learn().await;
                    }
                }
            }
        }
    }

    /// Loads because somebody asked for it, changed or not.
    async fn asked(&mut self) {
        let Some(folder) = self.parts.folder.clone() else {
            tracing::info!("nothing to reload: there is no config folder, all is as built in");
            return;
        };
        let now = look(&folder);
        self.load(&folder, now).await;
    }

    /// Loads when a file has changed and stands still again.
    async fn look_at_files(&mut self) {
        let Some(folder) = self.parts.folder.clone() else {
            return;
        };
        let mut now = look(&folder);
        if now == self.seen {
            return;
        }
        for _ in 0..MOST_WAITS {
            tokio::time::sleep(SETTLED).await;
            let later = look(&folder);
            if later == now {
                break;
            }
            now = later;
        }
        self.load(&folder, now).await;
    }

    /// Reads everything anew; a fault in it leaves everything as it is.
    async fn load(&mut self, folder: &Path, now: Vec<Seen>) {
        let settings_file = folder.join(FILE);
        let there = settings_file.exists();
        let outcome = if !folder.is_dir() {
            Err(vec![missing(folder, "a folder with the configuration")])
        } else if self.from_file && !there {
            // An editor may take a file away for a moment; defaults must not slip in through that.
            Err(vec![missing(
                &settings_file,
                "the settings file, or a restart without it",
            )])
        } else {
            let folder = folder.to_owned();
            tokio::task::spawn_blocking(move || brain::load(Some(&folder)))
                .await
                .unwrap_or_else(|error| Err(vec![broke_off(&error)]))
        };
        let changed = changed(&self.seen, &now);
        // Refused or not, it is not read again before it changes.
        self.seen = now;
        match outcome {
            Ok((settings, brain)) => {
                self.from_file = there;
                self.take(&settings, brain, &changed).await;
            }
            Err(problems) => self.refuse(&problems),
        }
    }

    /// Puts what was read in the place of the one in use.
    async fn take(&mut self, settings: &Settings, mut brain: Brain, changed: &str) {
        let before = &self.parts.brain.rules;
        brain.rules.coaches.clone_from(&before.coaches);
        brain.rules.coach_rooms.clone_from(&before.coach_rooms);
        brain.rules.desk_url.clone_from(&before.desk_url);
        let public_url = &before.privacy.public_url;
        brain.rules.privacy.public_url.clone_from(public_url);
        let rooms = &before.challenges.rooms;
        brain.rules.challenges.rooms.clone_from(rooms);
        let before = self.parts.brain.catalog.edition.clone();
        self.learning = settings.learning;
        self.parts.brain = brain;
        self.mark = None;
        self.learn().await;
        // Said when it is so: whoever reads this may rely on it.
        let catalog = &self.parts.brain.catalog;
        let count = |of: fn(&LiftBook) -> usize| catalog.lifts.values().map(of).sum::<usize>();
        tracing::info!(
            edition = catalog.edition,
            before,
            changed,
            signs = count(|book| book.signs.len()),
            causes = count(|book| book.causes.len()),
            questions = count(|book| book.questions.len()),
            flags = catalog.flags.flags.len(),
            "configuration loaded: catalog, texts and rules"
        );
        let later = at_the_next_start(&self.parts.settings, settings);
        if !later.is_empty() {
            tracing::warn!(
                sections = later.join(", "),
                "changed, and taken at the next start only"
            );
        }
        self.parts.metrics.reload(ReloadOutcome::Loaded);
    }

    /// Says why what was read is not taken.
    fn refuse(&self, problems: &[CatalogProblem]) {
        for problem in problems {
            tracing::error!("{problem}");
        }
        tracing::error!(
            faults = problems.len(),
            edition = self.parts.brain.catalog.edition,
            "configuration refused; the one from before stays in use"
        );
        let faults = problems.len();
        self.parts.metrics.reload(ReloadOutcome::Refused { faults });
    }

    /// Puts what verdicts teach into the brain in use, if there are others than last time. Without
    /// learning, and where the store does not answer, the catalog stands by itself.
    pub async fn learn(&mut self) {
        let mark = if self.learning.enabled {
            match self.parts.store.verdicts_mark().await {
                Ok(mark) => mark,
                Err(error) => return cannot(&error, self.mark, &self.parts),
            }
        } else {
            (0, 0)
        };
        if self.mark == Some(mark) {
            return;
        }
        if mark.0 == 0 {
            self.parts.live.replace(self.parts.brain.clone());
            self.mark = Some(mark);
            return;
        }
        match self.parts.store.verdicts(MOST_VERDICTS).await {
            Ok(verdicts) => {
                let brain = taught(&self.parts.brain, &verdicts, &self.learning);
                self.parts.live.replace(brain);
                self.mark = Some(mark);
                tracing::info!(
                    verdicts = verdicts.len(),
                    "learned from the coaches' verdicts"
                );
            }
            Err(error) => cannot(&error, self.mark, &self.parts),
        }
    }
}

/// A brain with what verdicts teach.
fn taught(brain: &Brain, verdicts: &[CoachVerdict], settings: &LearningSettings) -> Brain {
    let judged = verdicts.iter().map(|verdict| &verdict.judged);
    let counts = Counts::of(&brain.catalog, judged);
    Brain {
        catalog: learned(&brain.catalog, &counts, settings),
        ..brain.clone()
    }
}

/// The store does not say what verdicts there are. What was just loaded is used without them
/// until it does.
fn cannot(error: &StoreError, mark: Option<(i64, i64)>, parts: &ReloadParts) {
    tracing::warn!(%error, "verdicts could not be read; nothing is learned for now");
    if mark.is_none() {
        parts.live.replace(parts.brain.clone());
    }
}

/// Size and time of the settings file and of every file of the catalog, in order of their names.
fn look(folder: &Path) -> Vec<Seen> {
    let state = |path: PathBuf| {
        let about = std::fs::metadata(&path).ok()?;
        Some((path, about.len(), about.modified().ok()))
    };
    let catalog = std::fs::read_dir(folder.join("catalog"));
    let files = catalog.into_iter().flatten().flatten();
    let mut seen: Vec<Seen> = files
        .map(|entry| entry.path())
        .filter(|path| brain::is_for_us(path))
        .chain([folder.join(FILE)])
        .filter_map(state)
        .collect();
    seen.sort();
    seen
}

/// Names of the files that are not as they were.
fn changed(before: &[Seen], now: &[Seen]) -> String {
    let there = |list: &[Seen], one: &Seen| list.contains(one);
    let mut names: Vec<String> = before
        .iter()
        .filter(|one| !there(now, one))
        .chain(now.iter().filter(|one| !there(before, one)))
        .filter_map(|(path, ..)| Some(path.file_name()?.to_string_lossy().into_owned()))
        .collect();
    names.sort();
    names.dedup();
    names.join(", ")
}

/// Sections of the settings that differ from those the service was started with and are not
/// taken while it runs.
fn at_the_next_start(started: &Settings, now: &Settings) -> Vec<&'static str> {
    [
        ("server", started.server != now.server),
        ("store", started.store != now.store),
        ("work", started.work != now.work),
        ("limits", started.limits != now.limits),
        ("practice", started.practice != now.practice),
        ("platform", started.platform != now.platform),
    ]
    .into_iter()
    .filter_map(|(section, differs)| differs.then_some(section))
    .collect()
}

fn missing(path: &Path, accepted: &str) -> CatalogProblem {
    CatalogProblem {
        file: path.display().to_string(),
        line: 1,
        what: "is missing".to_owned(),
        accepted: accepted.to_owned(),
    }
}

fn broke_off(error: &tokio::task::JoinError) -> CatalogProblem {
    CatalogProblem {
        file: FILE.to_owned(),
        line: 1,
        what: format!("reading the configuration broke off: {error}"),
        accepted: "files that can be read".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_changed_added_or_taken_away_is_seen_and_named() {
        let folder = tempfile::tempdir().unwrap();
        let catalog = folder.path().join("catalog");
        std::fs::create_dir(&catalog).unwrap();
        std::fs::write(folder.path().join(FILE), "").unwrap();
        let none = look(folder.path());
        assert_eq!(none.len(), 1);
        std::fs::write(catalog.join("notes.txt"), "not the catalog's").unwrap();
        std::fs::write(catalog.join(".#wording.toml"), "an editor's").unwrap();
        assert_eq!(look(folder.path()), none);
        std::fs::write(catalog.join("wording.toml"), "[talk]").unwrap();
        let one = look(folder.path());
        assert_eq!(changed(&none, &one), "wording.toml");
        std::fs::write(catalog.join("wording.toml"), "[talk] # longer").unwrap();
        assert_eq!(changed(&one, &look(folder.path())), "wording.toml");
        std::fs::remove_file(folder.path().join(FILE)).unwrap();
        let lost = look(folder.path());
        assert_eq!(changed(&one, &lost), "cueline.toml, wording.toml");
    }

    #[test]
    fn files_an_editor_hides_beside_the_catalog_s_are_no_fault_of_it() {
        let folder = tempfile::tempdir().unwrap();
        let catalog = folder.path().join("catalog");
        std::fs::create_dir(&catalog).unwrap();
        std::fs::write(catalog.join(".#wording.toml"), "an editor's").unwrap();
        assert!(brain::load(Some(folder.path())).is_ok());
        std::fs::write(catalog.join("wordings.toml"), "").unwrap();
        assert!(brain::load(Some(folder.path())).is_err());
    }

    #[test]
    fn what_needs_a_restart_is_named_and_what_does_not_is_not() {
        let started = Settings::default();
        let mut now = started.clone();
        now.coach.aging_hours = 7;
        now.learning.enabled = true;
        assert!(at_the_next_start(&started, &now).is_empty());
        "sqlite:elsewhere".clone_into(&mut now.store.url);
        now.practice.on = true;
        assert_eq!(at_the_next_start(&started, &now), ["store", "practice"]);
    }
}
