//! Settings: every key has a default in code, and `config/cueline.toml` shows them all.

mod challenges;
mod secrets;

pub use challenges::Challenges;

use crate::casework::{MannerRules, Rules};
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
    /// The coach's side.
    pub coach: Coach,
    /// The desk in the browser.
    pub desk: Desk,
    /// Follow-ups.
    pub follow_up: FollowUps,
    /// What people write besides sets.
    pub manners: Manners,
    /// How long people's data are kept.
    pub privacy: Privacy,
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

mod privacy;
pub use privacy::Privacy;

section! {
    /// Addresses to listen on.
    Server {
        /// Chat platforms and practice room.
        listen: String = "127.0.0.1:8765".to_owned(),
        /// Health and metrics, when apart.
        admin_listen: String = String::new(),
        /// Where lifters reach us from outside; empty: no links are sent.
        public_url: String = String::new(),
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
    /// What people write besides sets.
    Manners {
        /// Hours for which more of a kind is left unanswered.
        quiet_hours: u32 = 24,
        /// Messages of a kind within that time at which the coach is told.
        tell_coach_at: u32 = 3,
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
    /// The coach's desk in the browser.
    Desk {
        /// Address under which coaches reach it; empty: no desk.
        public_url: String = String::new(),
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
        let public = &self.server.public_url;
        if !privacy::is_public_url(public) {
            let found = format!("\"{public}\"");
            let accepted = "https, or http to this machine, without `?`, `#` or a slash at its end";
            problems.add("public_url", &found, accepted);
        }
        let desk = &self.desk.public_url;
        if !desk.is_empty() && !is_desk_address(desk) {
            let accepted = "https and a host, such as https://desk.example, without a path, or \
                             http to this machine (loopback)";
            problems.add("public_url", &format!("\"{desk}\""), accepted);
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
            ("quiet_hours", self.manners.quiet_hours, 1..=720),
            ("tell_coach_at", self.manners.tell_coach_at, 2..=100),
            ("least_entries", self.challenges.least_entries, 1..=1000),
        ]
        .into_iter()
        .chain(self.privacy.bounds())
        {
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
            ("fine", diagnosis.fine),
            ("fine_supported", diagnosis.fine_supported),
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
            desk_url: Some(self.desk.public_url.clone()).filter(|url| !url.is_empty()),
            take_for: minutes(self.coach.take_minutes),
            promise_clinician: hours(self.coach.promise_clinician_hours),
            promise_coach: hours(self.coach.promise_coach_hours),
            promise_emergency: hours(self.coach.promise_emergency_hours),
            page_again: minutes(self.coach.page_again_minutes),
            aging_hours: self.coach.aging_hours,
            diagnosis: self.diagnosis,
            manners: MannerRules {
                quiet_for: hours(self.manners.quiet_hours),
                tell_coach_at: self.manners.tell_coach_at,
            },
            privacy: self.privacy.rules(&self.server.public_url),
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

/// Scheme and host alone, as a browser's `Origin` header has them; encrypted, or on this machine.
fn is_desk_address(url: &str) -> bool {
    let Some((scheme, host)) = url.split_once("://") else {
        return false;
    };
    let plain = host
        .bytes()
        .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || b".-:[]".contains(&byte));
    let usual_port = scheme == "https" && host.ends_with(":443");
    !host.is_empty() && plain && !usual_port && (scheme == "https" || is_loopback(url))
}

/// An http address on this machine.
fn is_loopback(url: &str) -> bool {
    ["http://127.0.0.1:", "http://localhost:", "http://[::1]:"]
        .iter()
        .any(|head| url.starts_with(head))
}

#[cfg(test)]
mod tests;
