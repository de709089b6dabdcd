//! A world in memory: one room, its lifters and coaches, and everything that was written. What the
//! store promises (versions, one queue item a case, keys written once) is held to here as well, so
//! that a decision the store would refuse fails the test.

use crate::brain::{self, Brain};
use crate::casework::{Hold, Known, decide, due, hold_reminder, needs};
use crate::record::{
    Actor, ActorKind, Case, CaseFile, CaseState, ConsentEntry, DeadLetter, Effects, Entry, Event,
    EventKey, FollowUp, FollowUpChange, FollowUpKind, KeptFile, Lifter, MessageMark, Outgoing,
    Payload, PersonKey, Purpose, QueueChange, QueueItem, QueueLine, SheetLine, Withdraw,
};
use jiff::{SignedDuration, Timestamp};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

pub(in crate::casework) const SOURCE: &str = "/chat/test";
pub(in crate::casework) const ROOM: &str = "r1";

/// The built-in brain, loaded once, with two coaches.
pub(in crate::casework) fn built_in() -> &'static Brain {
    static BRAIN: OnceLock<Brain> = OnceLock::new();
    BRAIN.get_or_init(|| {
        let (_, mut brain) = brain::load(None).unwrap();
        for coach in ["wren", "ana"] {
            brain.rules.coaches.push(person(coach));
        }
        brain.rules.desk_url = Some("https://desk.example".to_owned());
        brain
    })
}

pub(in crate::casework) fn person(id: &str) -> PersonKey {
    PersonKey {
        source: SOURCE.to_owned(),
        person_id: id.to_owned(),
    }
}

/// A message that was sent.
#[derive(Clone, Debug)]
pub(in crate::casework) struct Sent {
    pub(in crate::casework) at: Timestamp,
    pub(in crate::casework) message: Outgoing,
    pub(in crate::casework) platform_id: String,
}

#[derive(Clone, Debug)]
pub(in crate::casework) struct World {
    pub(in crate::casework) now: Timestamp,
    pub(in crate::casework) lifters: BTreeMap<PersonKey, Lifter>,
    pub(in crate::casework) cases: BTreeMap<String, Case>,
    pub(in crate::casework) entries: Vec<Entry>,
    pub(in crate::casework) queue: BTreeMap<String, QueueItem>,
    pub(in crate::casework) follow_ups: BTreeMap<String, (FollowUp, bool)>,
    pub(in crate::casework) sent: Vec<Sent>,
    pub(in crate::casework) keys: BTreeSet<String>,
    pub(in crate::casework) sheets: usize,
    pub(in crate::casework) files: BTreeMap<String, KeptFile>,
    pub(in crate::casework) consents: Vec<ConsentEntry>,
    marks: BTreeMap<String, MessageMark>,
    last_id: u32,
}

impl World {
    pub(in crate::casework) fn new(now: &str) -> Self {
        Self {
            now: now.parse().unwrap(),
            lifters: BTreeMap::new(),
            cases: BTreeMap::new(),
            entries: Vec::new(),
            queue: BTreeMap::new(),
            follow_ups: BTreeMap::new(),
            sent: Vec::new(),
            keys: BTreeSet::new(),
            sheets: 0,
            files: BTreeMap::new(),
            consents: Vec::new(),
            marks: BTreeMap::new(),
            last_id: 0,
        }
    }

    fn fresh(&mut self, kind: &str) -> String {
        self.last_id += 1;
        format!("{kind}-{}", self.last_id)
    }

    pub(in crate::casework) fn event(
        &mut self,
        who: &str,
        thread: Option<&str>,
        payload: Payload,
    ) -> Event {
        Event {
            key: EventKey {
                source: SOURCE.to_owned(),
                id: self.fresh("e"),
            },
            time: self.now,
            room_id: ROOM.to_owned(),
            thread_id: thread.map(str::to_owned),
            actor: Actor {
                id: who.to_owned(),
                display_name: who.to_owned(),
                kind: ActorKind::Person,
            },
            payload,
        }
    }

    /// Somebody writes; what was sent for it, and the message's id.
    pub(in crate::casework) fn says(&mut self, who: &str, text: &str) -> (Vec<Outgoing>, String) {
        self.says_in(who, None, text)
    }

    pub(in crate::casework) fn says_in(
        &mut self,
        who: &str,
        thread: Option<&str>,
        text: &str,
    ) -> (Vec<Outgoing>, String) {
        let message_id = self.fresh("m");
        let out = self.edits(who, thread, &message_id, 1, text);
        (out, message_id)
    }

    pub(in crate::casework) fn edits(
        &mut self,
        who: &str,
        thread: Option<&str>,
        message_id: &str,
        version: u32,
        text: &str,
    ) -> Vec<Outgoing> {
        let payload = Payload::Message {
            message_id: message_id.to_owned(),
            version,
            text: text.to_owned(),
            reply_to: None,
            attachments: Vec::new(),
        };
        let event = self.event(who, thread, payload);
        self.happens(&event)
    }

    /// Decides on an event and writes what follows.
    pub(in crate::casework) fn happens(&mut self, event: &Event) -> Vec<Outgoing> {
        let effects = decide(event, &self.known(event), self.now);
        self.apply(&effects);
        effects.outbox
    }

    fn known(&self, event: &Event) -> Known<'static> {
        let brain = built_in();
        let needs = needs(event, &brain.rules);
        let mut owner = match &event.payload {
            Payload::Left { member_id, .. } => person(member_id),
            _ => person(&event.actor.id),
        };
        let mut about = None;
        let (mut message, mut answered) = (None, None);
        match &event.payload {
            Payload::Message {
                message_id,
                reply_to,
                ..
            } => {
                message = Some(message_id.clone());
                answered = reply_to.clone().or_else(|| event.thread_id.clone());
            }
            Payload::Choice { message_id, .. } => answered = Some(message_id.clone()),
            Payload::Deleted { message_id, .. } => {
                message = Some(message_id.clone());
                let holds = |entry: &&Entry| entry.message_id.as_ref() == Some(message_id);
                if let Some(entry) = self.entries.iter().rev().find(holds) {
                    about = Some(entry.case_id.clone());
                    owner = self.cases[&entry.case_id].person.clone();
                }
            }
            _ => {}
        }
        let named = needs.case.and_then(|number| {
            let case = self.cases.values().find(|case| case.number == number)?;
            Some(self.file(&case.id))
        });
        Known {
            catalog: &brain.catalog,
            words: &brain.words,
            rules: &brain.rules,
            lifter: self.lifters.get(&owner).cloned(),
            cases: match &named {
                Some(file) if needs.all_cases => self.cases_of(&file.case.person),
                _ => self.cases_of(&owner),
            },
            traces: self.files.values().cloned().collect(),
            new_number: i64::try_from(self.cases.len()).unwrap() + 1,
            mark: message.and_then(|id| self.marks.get(&id).cloned()),
            about,
            ours: answered.and_then(|id| {
                let sent = self.sent.iter().find(|sent| sent.platform_id == id)?;
                Some(sent.message.clone())
            }),
            named,
            queue: if needs.queue {
                self.queue_lines()
            } else {
                Vec::new()
            },
            dead: Vec::<DeadLetter>::new(),
            erased_at: None,
            dossier: None,
            token: None,
            fresh_link: None,
            community: Box::default(),
            coach_names: self.coach_names(),
            sheet: if needs.sheet {
                self.sheet_lines()
            } else {
                Vec::new()
            },
        }
    }

    fn coach_names(&self) -> Vec<(PersonKey, String)> {
        let coaches = built_in().rules.coaches.iter();
        let named = |key: &PersonKey| {
            let name = self.lifters.get(key)?.display_name.clone();
            Some((key.clone(), name))
        };
        coaches.filter_map(named).collect()
    }

    fn queue_lines(&self) -> Vec<QueueLine> {
        let line = |item: &QueueItem| QueueLine {
            item: item.clone(),
            case: self.cases[&item.case_id].clone(),
            lifter_name: self.cases[&item.case_id].person.person_id.clone(),
        };
        self.queue.values().map(line).collect()
    }

    fn sheet_lines(&self) -> Vec<SheetLine> {
        let line = |case: &Case| SheetLine {
            case: case.clone(),
            lifter_name: case.person.person_id.clone(),
            item: self.queue.get(&case.id).cloned(),
            carried_since: None,
            consent: None,
        };
        self.cases.values().map(line).collect()
    }

    /// A lifter's cases, stopped ones first, then the newest.
    pub(in crate::casework) fn cases_of(&self, owner: &PersonKey) -> Vec<Case> {
        let mut cases: Vec<Case> = self
            .cases
            .values()
            .filter(|case| case.person == *owner)
            .cloned()
            .collect();
        cases.sort_by_key(|case| {
            let stopped = case.state != CaseState::Halted;
            (stopped, std::cmp::Reverse(case.number))
        });
        cases
    }

    fn file(&self, id: &str) -> CaseFile {
        let case = self.cases[id].clone();
        CaseFile {
            entries: self
                .entries
                .iter()
                .filter(|entry| entry.case_id == id)
                .cloned()
                .collect(),
            queue_item: self.queue.get(id).cloned(),
            verdict: None,
            files: self
                .files
                .values()
                .filter(|file| file.case_id == id)
                .cloned()
                .collect(),
            lifter: self.lifters.get(&case.person).cloned(),
            case,
        }
    }

    pub(in crate::casework) fn apply(&mut self, effects: &Effects) {
        for (_, _, message) in &effects.forget_texts {
            for entry in &mut self.entries {
                if entry.message_id.as_ref() == Some(message) {
                    entry.text.clear();
                }
            }
            let taken = Some(message);
            self.files
                .retain(|_, file| file.message_id.as_ref() != taken);
        }
        if let Some((whose, _)) = &effects.forget_words {
            self.files.retain(|_, file| file.person != *whose);
        }
        self.consents.extend(effects.consents.iter().cloned());
        if let Some(lifter) = &effects.lifter {
            let known = self
                .lifters
                .get(&lifter.key)
                .map_or(0, |known| known.version);
            assert_eq!(known, lifter.version, "a stale lifter would be refused");
            let mut lifter = lifter.clone();
            lifter.version += 1;
            self.lifters.insert(lifter.key.clone(), lifter);
        }
        for case in &effects.cases {
            let known = self.cases.get(&case.id).map_or(0, |known| known.version);
            assert_eq!(known, case.version, "a stale case would be refused");
            let mut case = case.clone();
            case.version += 1;
            self.cases.insert(case.id.clone(), case);
        }
        for entry in &effects.entries {
            assert!(
                self.cases.contains_key(&entry.case_id),
                "history of no case"
            );
        }
        self.entries.extend(effects.entries.iter().cloned());
        for file in &effects.files {
            assert!(self.cases.contains_key(&file.case_id), "a file of no case");
            let kept = self.files.entry(file.id.clone());
            kept.or_insert_with(|| file.clone());
        }
        effects.queue.iter().for_each(|change| self.queue(change));
        effects
            .follow_ups
            .iter()
            .for_each(|change| self.date(change));
        for withdraw in &effects.withdraw {
            // Everything is delivered at once here, so there is never anything to withdraw.
            match withdraw {
                Withdraw::RemindersOf(_) | Withdraw::Case(_) => {}
            }
        }
        for mark in &effects.marks {
            self.marks.insert(mark.message_id.clone(), mark.clone());
        }
        self.sheets += usize::from(effects.sheet.is_some());
        for message in &effects.outbox {
            self.send(message);
        }
    }

    fn queue(&mut self, change: &QueueChange) {
        match change {
            QueueChange::Put(item) => {
                assert!(self.cases.contains_key(&item.case_id), "no such case waits");
                let mut item = item.clone();
                if let Some(known) = self.queue.get(&item.case_id) {
                    item.urgency = item.urgency.min(known.urgency);
                    item.since = item.since.min(known.since);
                    item.promised = known.promised.map_or(item.promised, |at| {
                        Some(item.promised.map_or(at, |new| new.min(at)))
                    });
                    item.taken_by.clone_from(&known.taken_by);
                    item.taken_until = known.taken_until;
                }
                self.queue.insert(item.case_id.clone(), item);
            }
            QueueChange::Remove { case_id } => {
                self.queue.remove(case_id);
            }
            QueueChange::Take { case_id, by, until }
            | QueueChange::Hand {
                case_id,
                to: by,
                until,
                ..
            } => {
                let item = self.queue.get_mut(case_id).expect("taken from the queue");
                item.taken_by = Some(by.clone());
                item.taken_until = Some(*until);
            }
        }
    }

    fn date(&mut self, change: &FollowUpChange) {
        match change {
            FollowUpChange::Open(ask) => {
                assert!(
                    self.cases.contains_key(&ask.case_id),
                    "an ask about no case"
                );
                let kept = self.follow_ups.entry(ask.id.clone());
                kept.or_insert_with(|| (ask.clone(), true));
            }
            FollowUpChange::CancelCase { case_id } => {
                let of = self.follow_ups.values_mut();
                of.filter(|(ask, _)| ask.case_id == *case_id)
                    .for_each(|(_, open)| *open = false);
            }
            FollowUpChange::CancelPerson { person } => {
                let of = self.follow_ups.values_mut();
                of.filter(|(ask, _)| ask.person == *person && ask.kind == FollowUpKind::Resubmit)
                    .for_each(|(_, open)| *open = false);
            }
        }
    }

    fn send(&mut self, message: &Outgoing) {
        assert!(self.keys.insert(message.key.clone()), "a key is used twice");
        assert!(!message.text.trim().is_empty(), "an empty message");
        assert!(message.text.chars().count() <= 4_000);
        if message.purpose == Purpose::Reminder {
            let id = message.case_id.clone().expect("a reminder is about a case");
            let (file, known) = self.dated(&id);
            let hold = hold_reminder(&file, &known, self.now, self.now);
            assert_eq!(hold, Hold::Send, "written and at once not wanted");
        }
        let platform_id = self.fresh("out");
        self.sent.push(Sent {
            at: self.now,
            message: message.clone(),
            platform_id,
        });
    }

    fn dated(&self, case_id: &str) -> (CaseFile, Known<'static>) {
        let file = self.file(case_id);
        let brain = built_in();
        let known = Known {
            catalog: &brain.catalog,
            words: &brain.words,
            rules: &brain.rules,
            lifter: file.lifter.clone(),
            cases: self.cases_of(&file.case.person),
            new_number: 0,
            mark: None,
            about: None,
            ours: None,
            named: None,
            queue: Vec::new(),
            traces: Vec::new(),
            dead: Vec::new(),
            erased_at: None,
            dossier: None,
            token: None,
            fresh_link: None,
            community: Box::default(),
            coach_names: Vec::new(),
            sheet: Vec::new(),
        };
        (file, known)
    }

    /// Open asks of a case.
    pub(in crate::casework) fn open_asks(&self, case_id: &str) -> Vec<&FollowUp> {
        let asks = self.follow_ups.values();
        asks.filter(|(ask, open)| *open && ask.case_id == case_id)
            .map(|(ask, _)| ask)
            .collect()
    }

    /// The dated ask that is due next, if it is before `until`.
    fn next_due(&self, until: Timestamp) -> Option<FollowUp> {
        let open = self.follow_ups.values().filter(|(_, open)| *open);
        let due = open.filter(|(ask, _)| ask.due_at <= until);
        due.min_by_key(|(ask, _)| (ask.due_at, ask.id.clone()))
            .map(|(ask, _)| ask.clone())
    }

    /// Hours pass; what comes due meanwhile is decided on when it does.
    pub(in crate::casework) fn pass(&mut self, hours: i64) -> Vec<Outgoing> {
        let until = self.now + SignedDuration::from_hours(hours);
        let mut out = Vec::new();
        for _ in 0..10_000 {
            let Some(ask) = self.next_due(until) else {
                self.now = until;
                return out;
            };
            self.now = self.now.max(ask.due_at);
            if let Some((_, open)) = self.follow_ups.get_mut(&ask.id) {
                *open = false;
            }
            let (file, known) = self.dated(&ask.case_id);
            let effects = due(&ask, &file, &known, self.now);
            self.apply(&effects);
            out.extend(effects.outbox);
        }
        panic!("dated asks never end");
    }
}
