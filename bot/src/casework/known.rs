//! What is known when an input is decided on, and the rules of the house.

use super::challenge::{ChallengeRules, Community, CommunityNeed};
use super::desk::FreshLink;
use super::manners::MannerRules;
use crate::record::{
    Case, CaseFile, DeadLetter, Dossier, Event, KeptFile, Lifter, MessageMark, Outgoing, PersonKey,
    QueueLine, SheetLine,
};
use crate::wording::Words;
use cueline_core::catalog::Catalog;
use cueline_core::diagnosis::Settings;
use jiff::civil::Time;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;

/// What a person may do; from configuration, never from what a message claims.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Everybody else.
    Lifter,
    /// A configured coach.
    Coach,
}

/// The rules of the house, from configuration.
#[derive(Clone, Debug)]
pub struct Rules {
    /// Who is a coach, on which platform.
    pub coaches: Vec<PersonKey>,
    /// Where alerts to the coach go: platform source to room.
    pub coach_rooms: BTreeMap<String, String>,
    /// What to ring by the lifter's time zone; the words for "unknown" when none fits.
    pub emergency_numbers: BTreeMap<String, String>,
    /// Nothing unasked from this local time on.
    pub quiet_from: Time,
    /// Nothing unasked before this local time.
    pub quiet_until: Time,
    /// Zone of lifters who have not said theirs.
    pub default_zone: String,
    /// Local time at which a follow-up comes due.
    pub follow_up_at: Time,
    /// Most reminders for one case.
    pub most_reminders: u32,
    /// Least time between two reminders to one lifter, over all cases.
    pub reminder_gap: SignedDuration,
    /// After this long without an answer an open question lapses.
    pub answer_within: SignedDuration,
    /// Address of the coach's desk, without a slash at the end; none when there is no desk.
    pub desk_url: Option<String>,
    /// How long a coach's taking of a case holds.
    pub take_for: SignedDuration,
    /// Promise for words of a clinician's level.
    pub promise_clinician: SignedDuration,
    /// Promise for everything else that waits for the coach.
    pub promise_coach: SignedDuration,
    /// Promise for emergency words.
    pub promise_emergency: SignedDuration,
    /// A page nobody answers goes out again after this long.
    pub page_again: SignedDuration,
    /// Whoever waits this many hours moves up one class in the queue.
    pub aging_hours: u32,
    /// Thresholds of the diagnosis.
    pub diagnosis: Settings,
    /// Challenges.
    pub challenges: ChallengeRules,
    /// What people write besides sets.
    pub manners: MannerRules,
    /// What lifters are told and given about their data.
    pub privacy: PrivacyRules,
}

/// What lifters are told and given about their data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PrivacyRules {
    /// Where lifters reach us, without a slash at its end; nothing: no links.
    pub public_url: Option<String>,
    /// How long a link to the data works.
    pub link_minutes: u32,
    /// How often.
    pub link_uses: u32,
    /// How long pictures and traces are kept.
    pub pictures_days: u32,
    /// How long words are kept.
    pub words_days: u32,
    /// How long flags are kept.
    pub flags_months: u32,
}

impl Rules {
    /// The role of who acted.
    pub fn role(&self, event: &Event) -> Role {
        let coach = self
            .coaches
            .iter()
            .any(|coach| coach.source == event.key.source && coach.person_id == event.actor.id);
        if coach { Role::Coach } else { Role::Lifter }
    }

    /// What to ring, for a lifter in this zone.
    pub fn emergency_number(&self, zone: Option<&str>) -> String {
        zone.and_then(|zone| self.emergency_numbers.get(zone))
            .cloned()
            .unwrap_or_else(|| "your local emergency number".to_owned())
    }
}

/// What has to be loaded.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one thing to load, in any mixture"
)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Needs {
    /// The queue and the dead letters.
    pub queue: bool,
    /// The case with this number, with its history.
    pub case: Option<i64>,
    /// Everything kept of who acted, and a key for a link to it.
    pub dossier: bool,
    /// Every case, not only the newest, of who acted or of the lifter of the case named.
    pub all_cases: bool,
    /// What a review sheet may choose from.
    pub sheet: bool,
    /// A token for a link to the desk.
    pub link: bool,
    /// The names of the platform's coaches.
    pub coach_names: bool,
    /// What has to be known of challenges.
    pub community: CommunityNeed,
}

/// What is known when an input is decided on.
#[derive(Clone, Debug)]
pub struct Known<'a> {
    /// The coach's knowledge.
    pub catalog: &'a Catalog,
    /// The coach's texts.
    pub words: &'a Words,
    /// The rules of the house.
    pub rules: &'a Rules,
    /// Who acted, if known.
    pub lifter: Option<Lifter>,
    /// Their cases, newest first; those of the lifter a coach's word is about, when asked for.
    pub cases: Vec<Case>,
    /// A number for a case that may be opened.
    pub new_number: i64,
    /// The mark on the message acted on.
    pub mark: Option<MessageMark>,
    /// The case whose history holds the message acted on, when one was taken back.
    pub about: Option<String>,
    /// The message of ours that was answered or whose button was pressed.
    pub ours: Option<Outgoing>,
    /// The case the coach named.
    pub named: Option<CaseFile>,
    /// The queue.
    pub queue: Vec<QueueLine>,
    /// Messages that could not be delivered.
    pub dead: Vec<DeadLetter>,
    /// Who acted was forgotten; what was written up to this time is not taken any more.
    pub erased_at: Option<Timestamp>,
    /// Everything kept of who acted, when asked for.
    pub dossier: Option<Dossier>,
    /// A key nobody can guess, when asked for.
    pub token: Option<String>,
    /// What a review sheet may choose from.
    pub sheet: Vec<SheetLine>,
    /// A token for a link to the desk, when one is asked for.
    pub fresh_link: Option<FreshLink>,
    /// What is known of challenges.
    pub community: Box<Community>,
    /// Coaches of the platform with the names last shown, when asked for.
    pub coach_names: Vec<(PersonKey, String)>,
    /// Kept traces of the sets under review in `cases`, whole.
    pub traces: Vec<KeptFile>,
}

impl<'a> Known<'a> {
    /// What is known when nothing was loaded: the house alone.
    pub fn of_nobody(catalog: &'a Catalog, words: &'a Words, rules: &'a Rules) -> Self {
        Self {
            catalog,
            words,
            rules,
            lifter: None,
            cases: Vec::new(),
            new_number: 0,
            mark: None,
            about: None,
            ours: None,
            named: None,
            queue: Vec::new(),
            dead: Vec::new(),
            erased_at: None,
            dossier: None,
            token: None,
            sheet: Vec::new(),
            fresh_link: None,
            community: Box::default(),
            coach_names: Vec::new(),
            traces: Vec::new(),
        }
    }
}
