//! Settings: every key has a default in code, and `config/cueline.toml` shows them all.

mod challenges;

pub use challenges::Challenges;

use crate::casework::Rules;
use crate::platform::BearerToken;
use crate::record::PersonKey;
use crate::signing::Secret;
use cueline_core::catalog::CatalogProblem;
use cueline_core::diagnosis;
use cueline_core::outcome::LearningSettings;
use jiff::SignedDuration;
use jiff::civil::Time;
use jiff::tz::TimeZone;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Name of the settings file in the config folder.
pub const FILE: &str = "cueline.toml";

/// Everything that can be set.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// Addresses.
    pub server: Server,
    /// Database.
    pub store: StoreSettings,
    /// Durable work.
    pub work: Work,
    /// Rate limits.
    pub limits: Limits,
    /// Coach's desk.
    pub coach: Coach,
    /// Follow-ups.
    pub follow_up: FollowUps,
    /// Thresholds of the diagnosis.
    pub diagnosis: diagnosis::Settings,
    /// Whether the coach's verdicts are learned from.
    pub learning: LearningSettings,
    /// Challenges.
    pub challenges: Challenges,
    /// Practice room.
    pub practice: Practice,
    /// What to ring, by time zone.
    pub emergency_numbers: BTreeMap<String, String>,
    /// Chat platforms.
    pub platform: Vec<Platform>,
}

macro_rules! section {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $field:ident: $type:ty = $default:expr,)* }) => {
        $(#[$about])*
        #[derive(Clone, Debug, PartialEq, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct $name { $($(#[$doc])* pub $field: $type,)* }

        impl Default for $name {
            fn default() -> Self {
                Self { $($field: $default,)* }
            }
        }
    };
}

section! {
    /// Addresses to listen on.
    Server {
        /// Chat platforms and practice room.
        listen: String = "127.0.0.1:8765".to_owned(),
        /// Health and metrics, when apart.
        admin_listen: String = String::new(),
    }
}
section! {
    /// The database.
    StoreSettings {
        /// `sqlite:PATH` or `postgres://...`.
        url: String = "sqlite:cueline-data/cueline.sqlite".to_owned(),
    }
}
section! {
    /// Durable work.
    Work {
        /// Lease, seconds.
        lease_seconds: u32 = 60,
        /// Poll, seconds.
        poll_seconds: u32 = 5,
        /// Most pieces of work at once.
        at_once: u32 = 32,
        /// Hours after which a message is given up.
        give_up_hours: u32 = 24,
    }
}
section! {
    /// Rate limits, a minute.
    Limits {
        /// Events from one address.
        events_per_minute_per_address: u32 = 6000,
        /// Events from one platform.
        events_per_minute_per_source: u32 = 6000,
        /// Messages into one room.
        messages_per_minute_per_room: u32 = 60,
        /// Messages to one platform.
        messages_per_minute_per_platform: u32 = 1200,
    }
}
section! {
    /// The coach's side.
    Coach {
        /// Minutes a taking holds.
        take_minutes: u32 = 30,
        /// Promise for emergency words, hours.
        promise_emergency_hours: u32 = 1,
        /// Promise for clinician words, hours.
        promise_clinician_hours: u32 = 12,
        /// Promise for everything else, hours.
        promise_coach_hours: u32 = 24,
        /// Minutes until a page goes out again.
        page_again_minutes: u32 = 15,
        /// Hours until a case moves up one class.
        aging_hours: u32 = 24,
    }
}
section! {
    /// Follow-ups and quiet hours.
    FollowUps {
        /// Local time of a follow-up.
        at: Time = Time::constant(18, 0, 0, 0),
        /// Start of the quiet hours.
        quiet_from: Time = Time::constant(21, 0, 0, 0),
        /// End of the quiet hours.
        quiet_until: Time = Time::constant(9, 0, 0, 0),
        /// Zone of lifters who have not said theirs.
        default_zone: String = "UTC".to_owned(),
        /// Most reminders for one case.
        most_reminders: u32 = 3,
        /// Least days between two reminders to one lifter.
        gap_days: u32 = 7,
        /// Days until an unanswered question lapses.
        answer_within_days: u32 = 30,
    }
}
section! {
    /// The practice room.
    Practice {
        /// Whether it is served.
        on: bool = false,
    }
}

/// Where a secret is kept.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum SecretPlace {
    /// A file readable by its owner only.
    File(PathBuf),
    /// An environment variable.
    Env(String),
}

/// One chat platform.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Platform {
    /// `CloudEvents` source of its events.
    pub source: String,
    /// Base of its address for messages.
    pub base_url: String,
    /// Token for its address.
    pub token: SecretPlace,
    /// Secrets its events are signed with.
    pub secrets: Vec<SecretPlace>,
    /// Person ids of the coaches there.
    #[serde(default)]
    pub coaches: Vec<String>,
    /// Room for alerts and commands.
    #[serde(default)]
    pub coach_room: Option<String>,
    /// Room challenges are posted in; none are without one.
    #[serde(default)]
    pub challenge_room: Option<String>,
}

/// A platform with its secrets opened.
#[derive(Clone, Debug)]
pub struct OpenPlatform {
    /// `CloudEvents` source of its events.
    pub source: String,
    /// Base of its address for messages.
    pub base_url: String,
    /// Token for its address.
    pub token: BearerToken,
    /// Secrets its events are signed with.
    pub secrets: Vec<Secret>,
}

impl Settings {
    /// Reads settings from a file's text; every fault found, with line.
    pub fn parse(text: &str) -> Result<Self, Vec<CatalogProblem>> {
        let settings: Self = toml::from_str(text).map_err(|error| {
            let line = error.span().map_or(1, |span| {
                1 + text
                    .get(..span.start)
                    .unwrap_or_default()
                    .matches('\n')
                    .count()
            });
            vec![CatalogProblem {
                file: FILE.to_owned(),
                line,
                what: error.message().to_owned(),
                accepted: "the keys and values shown in the default config/cueline.toml".to_owned(),
            }]
        })?;
        let problems = settings.problems(text);
        if problems.is_empty() {
            Ok(settings)
        } else {
            Err(problems)
        }
    }

    /// Values that cannot be used.
    fn problems(&self, text: &str) -> Vec<CatalogProblem> {
        let mut problems = Problems {
            text,
            found: Vec::new(),
        };
        self.check_addresses(&mut problems);
        self.check_numbers(&mut problems);
        self.check_platforms(&mut problems);
        problems.found
    }

    /// Addresses and zones.
    fn check_addresses(&self, problems: &mut Problems<'_>) {
        for (key, address) in [
            ("listen", &self.server.listen),
            ("admin_listen", &self.server.admin_listen),
        ] {
            let may_be_empty = key == "admin_listen" && address.is_empty();
            if !may_be_empty && address.parse::<SocketAddr>().is_err() {
                let accepted = "an address and port such as 127.0.0.1:8765";
                problems.add(key, &format!("\"{address}\""), accepted);
            }
        }
        let url = &self.store.url;
        let schemes = ["sqlite:", "postgres://", "postgresql://"];
        if !schemes.iter().any(|scheme| url.starts_with(scheme)) {
            let accepted = "sqlite:PATH or postgres://...";
            problems.add("url", "no database address known here", accepted);
        }
        let zone = &self.follow_up.default_zone;
        if TimeZone::get(zone).is_err() {
            let accepted = "an IANA time zone name such as Europe/London";
            problems.add("default_zone", &format!("\"{zone}\""), accepted);
        }
        for zone in self.emergency_numbers.keys() {
            if TimeZone::get(zone).is_err() {
                let accepted = "IANA time zone names";
                problems.add(&format!("\"{zone}\""), "no time zone", accepted);
            }
        }
    }

    /// Numbers with bounds.
    fn check_numbers(&self, problems: &mut Problems<'_>) {
        let (work, limits) = (&self.work, &self.limits);
        let (coach, follow_up) = (&self.coach, &self.follow_up);
        let events = 1..=10_000_000;
        let messages = 1..=1_000_000;
        let address = limits.events_per_minute_per_address;
        let source = limits.events_per_minute_per_source;
        let room = limits.messages_per_minute_per_room;
        let platform = limits.messages_per_minute_per_platform;
        for (key, value, accepted) in [
            ("lease_seconds", work.lease_seconds, 20..=3600),
            ("poll_seconds", work.poll_seconds, 1..=300),
            ("at_once", work.at_once, 1..=256),
            ("give_up_hours", work.give_up_hours, 1..=720),
            ("events_per_minute_per_address", address, events.clone()),
            ("events_per_minute_per_source", source, events),
            ("messages_per_minute_per_room", room, messages.clone()),
            ("messages_per_minute_per_platform", platform, messages),
            ("take_minutes", coach.take_minutes, 1..=1440),
            (
                "promise_emergency_hours",
                coach.promise_emergency_hours,
                1..=24,
            ),
            (
                "promise_clinician_hours",
                coach.promise_clinician_hours,
                1..=168,
            ),
            ("promise_coach_hours", coach.promise_coach_hours, 1..=720),
            ("page_again_minutes", coach.page_again_minutes, 1..=240),
            ("aging_hours", coach.aging_hours, 1..=720),
            ("most_reminders", follow_up.most_reminders, 0..=3),
            ("gap_days", follow_up.gap_days, 3..=60),
            ("answer_within_days", follow_up.answer_within_days, 1..=365),
            ("least_entries", self.challenges.least_entries, 1..=1000),
        ] {
            if !accepted.contains(&value) {
                let accepted = format!("{} to {}", accepted.start(), accepted.end());
                problems.add(key, &value.to_string(), &accepted);
            }
        }
        for (key, found, accepted) in self.learning.faults() {
            problems.add(key, &found.to_string(), &accepted);
        }
        let diagnosis = &self.diagnosis;
        for (key, value) in [
            ("probable", diagnosis.probable),
            ("leading", diagnosis.leading),
            ("link", diagnosis.link),
        ] {
            if !(0.0..1.0).contains(&value) {
                problems.add(key, &value.to_string(), "0 up to, not including, 1");
            }
        }
    }

    /// Platforms.
    fn check_platforms(&self, problems: &mut Problems<'_>) {
        for (index, platform) in self.platform.iter().enumerate() {
            let before = self.platform.iter().take(index);
            if before.clone().any(|other| other.source == platform.source) {
                let found = format!("\"{}\" twice", platform.source);
                problems.add("source", &found, "a source of its own for each platform");
            }
            // The secret tells which platform an event came from.
            let shared =
                |secret: &SecretPlace| before.clone().any(|other| other.secrets.contains(secret));
            if platform.secrets.iter().any(shared) {
                let accepted = "secrets of its own for each platform";
                problems.add("secrets", "shared with another platform", accepted);
            }
            if platform.coaches.is_empty() {
                let accepted = "at least one coach, who is told of emergencies";
                problems.add("coaches", "empty or missing", accepted);
            }
            if platform.secrets.is_empty() {
                let accepted = "at least one secret for the platform's events";
                problems.add("secrets", "empty", accepted);
            }
            if !platform.base_url.starts_with("https://") && !is_loopback(&platform.base_url) {
                let found = format!("\"{}\"", platform.base_url);
                let accepted = "https, or http to this machine (loopback)";
                problems.add("base_url", &found, accepted);
            }
        }
    }

    /// The rules of the house for casework.
    pub fn rules(&self) -> Rules {
        let hours = |hours: u32| SignedDuration::from_hours(i64::from(hours));
        let minutes = |minutes: u32| SignedDuration::from_mins(i64::from(minutes));
        let coaches = self.platform.iter().flat_map(|platform| {
            platform.coaches.iter().map(|person| PersonKey {
                source: platform.source.clone(),
                person_id: person.clone(),
            })
        });
        Rules {
            coaches: coaches.collect(),
            coach_rooms: self
                .platform
                .iter()
                .filter_map(|p| Some((p.source.clone(), p.coach_room.clone()?)))
                .collect(),
            emergency_numbers: self.emergency_numbers.clone(),
            quiet_from: self.follow_up.quiet_from,
            quiet_until: self.follow_up.quiet_until,
            default_zone: self.follow_up.default_zone.clone(),
            follow_up_at: self.follow_up.at,
            most_reminders: self.follow_up.most_reminders,
            reminder_gap: hours(self.follow_up.gap_days * 24),
            answer_within: hours(self.follow_up.answer_within_days * 24),
            take_for: minutes(self.coach.take_minutes),
            promise_clinician: hours(self.coach.promise_clinician_hours),
            promise_coach: hours(self.coach.promise_coach_hours),
            promise_emergency: hours(self.coach.promise_emergency_hours),
            page_again: minutes(self.coach.page_again_minutes),
            aging_hours: self.coach.aging_hours,
            diagnosis: self.diagnosis,
            challenges: self.challenges.rules(&self.platform),
        }
    }
}

/// Problems as they are found, with the text they stand in.
struct Problems<'a> {
    text: &'a str,
    found: Vec<CatalogProblem>,
}

impl Problems<'_> {
    /// One value that cannot be used.
    fn add(&mut self, key: &str, found: &str, accepted: &str) {
        let line = self
            .text
            .lines()
            .position(|line| line.trim_start().starts_with(key))
            .map_or(1, |index| index + 1);
        self.found.push(CatalogProblem {
            file: FILE.to_owned(),
            line,
            what: format!("`{key}` is {found}"),
            accepted: accepted.to_owned(),
        });
    }
}

/// An http address on this machine.
fn is_loopback(url: &str) -> bool {
    ["http://127.0.0.1:", "http://localhost:", "http://[::1]:"]
        .iter()
        .any(|head| url.starts_with(head))
}

impl SecretPlace {
    /// Opens the secret. A file that others can read, and an empty secret, are refused.
    pub fn open(&self) -> Result<String, String> {
        let text = match self {
            Self::Env(name) => std::env::var(name)
                .map_err(|_| format!("the environment variable {name} is not set"))?,
            Self::File(path) => {
                refuse_shared(path)?;
                std::fs::read_to_string(path)
                    .map_err(|error| format!("cannot read {}: {error}", path.display()))?
            }
        };
        let text = text.trim().to_owned();
        if text.is_empty() {
            return Err(format!("{self:?} is empty"));
        }
        Ok(text)
    }
}

/// Refuses a secret that others on the machine can read.
fn refuse_shared(path: &std::path::Path) -> Result<(), String> {
    use std::os::unix::fs::PermissionsExt;
    let mode = std::fs::metadata(path)
        .map_err(|error| format!("cannot read {}: {error}", path.display()))?
        .permissions()
        .mode();
    if mode & 0o077 != 0 {
        return Err(format!(
            "{} can be read by others (mode {:o}); accepted is 600 or 400",
            path.display(),
            mode & 0o777
        ));
    }
    Ok(())
}

impl Platform {
    /// The platform with its secrets opened.
    pub fn open(&self) -> Result<OpenPlatform, String> {
        let token = BearerToken::parse(&self.token.open()?)
            .map_err(|error| format!("the token of {}: {error}", self.source))?;
        let secrets = self
            .secrets
            .iter()
            .map(|place| {
                let text = place.open()?;
                Secret::parse(&text)
                    .map_err(|error| format!("a secret of {}: {error}", self.source))
            })
            .collect::<Result<_, String>>()?;
        Ok(OpenPlatform {
            source: self.source.clone(),
            base_url: self.base_url.clone(),
            token,
            secrets,
        })
    }
}

#[cfg(test)]
mod tests;
