//! The practice platform's memory: rooms, messages and what was asked with which key. Plain data
//! behind one lock; nothing here waits but [`Chat::wait_for_more`].

use super::message::{Author, AuthorKind, Draft, Handover, Message, Press, Room, Sent};
use jiff::Timestamp;
use std::collections::{BTreeMap, HashMap, VecDeque};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::watch;

/// Messages kept; the ones untouched for longest go first.
const KEPT_MESSAGES: usize = 5_000;
/// Idempotency keys kept; the oldest go first.
const KEPT_KEYS: usize = 50_000;
/// Pictures kept; older messages lose theirs, so that memory stays bounded.
const KEPT_PICTURES: usize = 40;
/// Presses kept on one message.
const KEPT_PRESSES: usize = 50;

/// Why the chat refuses something.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChatError {
    /// No room of this id.
    #[error("there is no room {0}")]
    NoRoom(String),
    /// No message of this id, or it was taken back.
    #[error("there is no message {0} any more")]
    NoMessage(String),
    /// Only the author may change a message.
    #[error("only the person who wrote a message can change it")]
    NotYours,
    /// The message has no such button.
    #[error("message {message} has no button {choice}")]
    NoChoice {
        /// The message.
        message: String,
        /// The button asked for.
        choice: String,
    },
    /// The buttons' time is over.
    #[error("these buttons could be pressed until {0}")]
    TooLate(Timestamp),
    /// The key came before with another payload.
    #[error("this Idempotency-Key was used before with another payload")]
    KeyReused,
}

/// What an idempotency key was used for.
#[derive(Clone, Debug)]
struct Kept {
    fingerprint: [u8; 32],
    message_id: String,
    created: Timestamp,
}

/// The service's message as the platform took it; the same on every repeat of its key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The platform's id of the message.
    pub message_id: String,
    /// When it was first taken.
    pub created: Timestamp,
}

#[derive(Debug, Default)]
struct State {
    rooms: Vec<Room>,
    last_seq: u64,
    last_name: u64,
    by_seq: BTreeMap<u64, Message>,
    seq_of: HashMap<String, u64>,
    keys: HashMap<String, Kept>,
    key_order: VecDeque<String>,
    pictures: VecDeque<String>,
}

/// An in-process chat platform.
#[derive(Debug)]
pub struct Chat {
    mark: String,
    state: Mutex<State>,
    head: watch::Sender<Head>,
}

/// What those who wait for news wait on.
#[derive(Clone, Copy, Debug, Default)]
struct Head {
    latest: u64,
    closed: bool,
}

impl Chat {
    /// A chat with these rooms. `mark` goes into every id made here, so that a service which
    /// remembers an earlier run never takes a new event for an old one; letters, digits and `-`.
    pub fn new(mark: &str, rooms: Vec<Room>) -> Self {
        let state = State {
            rooms,
            ..State::default()
        };
        Self {
            mark: mark.to_owned(),
            state: Mutex::new(state),
            head: watch::Sender::new(Head::default()),
        }
    }

    /// A mark that no earlier run has used: 16 random hexadecimal digits.
    pub fn random_mark() -> String {
        format!("{:016x}", rand::random::<u64>())
    }

    /// The mark of this run.
    pub fn mark(&self) -> &str {
        &self.mark
    }

    /// The private room of a person.
    pub fn private_room(person_id: &str) -> String {
        format!("private-{person_id}")
    }

    /// All rooms, private ones (whose ids begin with `private-`) left out.
    pub fn rooms(&self) -> Vec<Room> {
        let state = self.lock();
        let open = state
            .rooms
            .iter()
            .filter(|room| !room.id.starts_with("private-"));
        open.cloned().collect()
    }

    /// Adds a room, or with an id from [`Chat::private_room`] a private one; a room of the same id
    /// stays as it is.
    pub fn add_room(&self, room: Room) {
        let mut state = self.lock();
        if state.rooms.iter().all(|known| known.id != room.id) {
            state.rooms.push(room);
        }
    }

    /// A fresh id that starts with `kind`.
    pub fn fresh_id(&self, kind: &str) -> String {
        let mut state = self.lock();
        state.last_name += 1;
        format!("{kind}-{}-{}", self.mark, state.last_name)
    }

    /// Writes a person's message under an id from [`Chat::fresh_id`]; it waits to be handed over.
    pub fn write(&self, id: &str, draft: Draft) -> Message {
        let handover = match draft.author.kind {
            AuthorKind::Person => Handover::Waiting,
            AuthorKind::Service | AuthorKind::Room => Handover::NotNeeded,
        };
        let sent = Sent {
            draft,
            choices: Vec::new(),
            choices_until: None,
            mentions: Vec::new(),
            notify: false,
            picture: None,
        };
        self.put_new(&mut self.lock(), id, sent, handover)
    }

    /// Takes a message of the service. A repeat of `key` with the same payload changes nothing
    /// and gets the same receipt.
    pub fn take(&self, key: &str, fingerprint: [u8; 32], sent: Sent) -> Result<Receipt, ChatError> {
        let mut state = self.lock();
        if let Some(kept) = state.keys.get(key) {
            if kept.fingerprint != fingerprint {
                return Err(ChatError::KeyReused);
            }
            return Ok(Receipt {
                message_id: kept.message_id.clone(),
                created: kept.created,
            });
        }
        let room_id = &sent.draft.room_id;
        if state.rooms.iter().all(|room| room.id != *room_id) {
            return Err(ChatError::NoRoom(room_id.clone()));
        }
        state.last_name += 1;
        let id = format!("m-{}-{}", self.mark, state.last_name);
        let message = self.put_new(&mut state, &id, sent, Handover::NotNeeded);
        let kept = Kept {
            fingerprint,
            message_id: id,
            created: message.at,
        };
        let receipt = Receipt {
            message_id: kept.message_id.clone(),
            created: kept.created,
        };
        state.remember(key, kept);
        Ok(receipt)
    }

    /// The message of this id, unless it was taken back or dropped.
    pub fn message(&self, id: &str) -> Result<Message, ChatError> {
        self.lock().live(id).cloned()
    }

    /// Replaces the text of the author's own message; the version goes up by one.
    pub fn edit(&self, id: &str, by: &Author, text: &str) -> Result<Message, ChatError> {
        self.change(id, |message| {
            own(message, by)?;
            text.clone_into(&mut message.text);
            message.version = message.version.saturating_add(1);
            if message.author.kind == AuthorKind::Person {
                message.handover = Handover::Waiting;
            }
            Ok(())
        })
    }

    /// Takes the author's own message back: its text, buttons and picture are gone.
    pub fn delete(&self, id: &str, by: &Author) -> Result<Message, ChatError> {
        self.change(id, |message| {
            own(message, by)?;
            message.text.clear();
            message.choices.clear();
            message.presses.clear();
            message.picture = None;
            message.deleted = true;
            if message.author.kind == AuthorKind::Person {
                message.handover = Handover::Waiting;
            }
            Ok(())
        })
    }

    /// Presses a button; a second press of the same one by the same person adds nothing here.
    pub fn press(
        &self,
        id: &str,
        choice_id: &str,
        by: &Author,
        now: Timestamp,
    ) -> Result<Message, ChatError> {
        self.change(id, |message| {
            if !message.choices.iter().any(|one| one.choice_id == choice_id) {
                return Err(ChatError::NoChoice {
                    message: message.id.clone(),
                    choice: choice_id.to_owned(),
                });
            }
            if let Some(until) = message.choices_until.filter(|until| now > *until) {
                return Err(ChatError::TooLate(until));
            }
            let press = Press {
                choice_id: choice_id.to_owned(),
                by_id: by.id.clone(),
                by_name: by.name.clone(),
            };
            if !message.presses.contains(&press) && message.presses.len() < KEPT_PRESSES {
                message.presses.push(press);
            }
            Ok(())
        })
    }

    /// Notes how far a person's message came; a message dropped meanwhile is left alone.
    pub fn note_handover(&self, id: &str, handover: Handover) {
        let mut state = self.lock();
        let Some(seq) = state.seq_of.get(id).copied() else {
            return;
        };
        if let Some(mut message) = state.by_seq.remove(&seq) {
            message.handover = handover;
            self.put_back(&mut state, message);
        }
    }

    /// Everything written or changed after feed number `after`, in the order of change. Each
    /// message comes once, in its newest version.
    pub fn messages_since(&self, after: u64) -> Vec<Message> {
        let state = self.lock();
        let newer = (std::ops::Bound::Excluded(after), std::ops::Bound::Unbounded);
        state
            .by_seq
            .range(newer)
            .map(|(_, one)| one.clone())
            .collect()
    }

    /// The highest feed number given so far; 0 when nothing was written.
    pub fn latest(&self) -> u64 {
        self.head.borrow().latest
    }

    /// As [`Chat::messages_since`], but waits up to `timeout` for something to come. Empty when
    /// nothing came.
    pub async fn wait_for_more(&self, after: u64, timeout: Duration) -> Vec<Message> {
        let mut head = self.head.subscribe();
        let waiting = head.wait_for(|head| head.latest > after || head.closed);
        // Time running out is an answer, not a fault: nothing came.
        let _ = tokio::time::timeout(timeout, waiting).await;
        self.messages_since(after)
    }

    /// Ends all waiting now and for good, so that open pages do not hold up the end of the service.
    pub fn close(&self) {
        self.head.send_modify(|head| head.closed = true);
    }

    /// Whether [`Chat::close`] was called.
    pub fn is_closed(&self) -> bool {
        self.head.borrow().closed
    }

    /// The newest `limit` messages that `wanted` picks, in the order in which they appeared.
    pub fn newest(&self, limit: usize, wanted: impl Fn(&Message) -> bool) -> Vec<Message> {
        let state = self.lock();
        let mut picked: Vec<&Message> = state.by_seq.values().filter(|one| wanted(one)).collect();
        picked.sort_by_key(|one| one.place);
        let from = picked.len().saturating_sub(limit);
        picked.into_iter().skip(from).cloned().collect()
    }

    fn change(
        &self,
        id: &str,
        apply: impl FnOnce(&mut Message) -> Result<(), ChatError>,
    ) -> Result<Message, ChatError> {
        let mut state = self.lock();
        let mut message = state.live(id)?.clone();
        apply(&mut message)?;
        state.by_seq.remove(&message.seq);
        Ok(self.put_back(&mut state, message))
    }

    fn put_new(&self, state: &mut State, id: &str, sent: Sent, handover: Handover) -> Message {
        let draft = sent.draft;
        if sent.picture.is_some() {
            state.pictures.push_back(id.to_owned());
        }
        let message = Message {
            seq: 0,
            place: state.last_seq + 1,
            id: id.to_owned(),
            version: 1,
            room_id: draft.room_id,
            thread_id: draft.thread_id,
            reply_to: draft.reply_to,
            author: draft.author,
            text: draft.text,
            file: draft.file,
            choices: sent.choices,
            choices_until: sent.choices_until,
            presses: Vec::new(),
            mentions: sent.mentions,
            notify: sent.notify,
            picture: sent.picture,
            at: draft.at,
            deleted: false,
            handover,
        };
        let message = self.put_back(state, message);
        state.drop_oldest();
        message
    }

    /// Puts a message at the head of the feed and wakes whoever waits.
    fn put_back(&self, state: &mut State, mut message: Message) -> Message {
        state.last_seq += 1;
        message.seq = state.last_seq;
        state.seq_of.insert(message.id.clone(), message.seq);
        state.by_seq.insert(message.seq, message.clone());
        self.head.send_modify(|head| head.latest = message.seq);
        message
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        // Every change is whole before anything can fail, so a poisoned lock holds good data.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    fn live(&self, id: &str) -> Result<&Message, ChatError> {
        self.seq_of
            .get(id)
            .and_then(|seq| self.by_seq.get(seq))
            .filter(|message| !message.deleted)
            .ok_or_else(|| ChatError::NoMessage(id.to_owned()))
    }

    fn remember(&mut self, key: &str, kept: Kept) {
        self.keys.insert(key.to_owned(), kept);
        self.key_order.push_back(key.to_owned());
        while self.key_order.len() > KEPT_KEYS {
            if let Some(oldest) = self.key_order.pop_front() {
                self.keys.remove(&oldest);
            }
        }
    }

    fn drop_oldest(&mut self) {
        while self.by_seq.len() > KEPT_MESSAGES {
            if let Some((_, oldest)) = self.by_seq.pop_first() {
                self.seq_of.remove(&oldest.id);
            }
        }
        while self.pictures.len() > KEPT_PICTURES {
            let Some(id) = self.pictures.pop_front() else {
                return;
            };
            let seq = self.seq_of.get(&id).copied();
            if let Some(message) = seq.and_then(|seq| self.by_seq.get_mut(&seq)) {
                message.picture = None;
            }
        }
    }
}

fn own(message: &Message, by: &Author) -> Result<(), ChatError> {
    // The kind counts too: a person's id may happen to be the service's.
    if message.author.id == by.id && message.author.kind == by.kind {
        Ok(())
    } else {
        Err(ChatError::NotYours)
    }
}
