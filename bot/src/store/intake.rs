//! Group intake: requests that wait at the same time are stored by one statement and one commit,
//! and each is answered only after that commit.

use super::engine::{Engine, Fault};
use super::{Accepted, NewEvent, StoreError};
use crate::record::{EventKey, Payload};
use std::collections::{HashMap, HashSet};
use std::sync::{Arc, PoisonError, RwLock};
use tokio::sync::{Mutex, mpsc, oneshot};
use tokio::task::JoinHandle;

/// One event, ready to be written.
#[derive(Debug)]
pub(super) struct NewRow {
    pub(super) key: EventKey,
    pub(super) kind: &'static str,
    pub(super) room_id: String,
    pub(super) person_id: String,
    pub(super) message_id: Option<String>,
    pub(super) body: String,
    pub(super) body_hash: String,
    /// UTC milliseconds.
    pub(super) received_at: i64,
}

impl NewRow {
    fn new(new: NewEvent) -> Result<Self, StoreError> {
        let body = serde_json::to_string(&new.event)
            .map_err(|error| StoreError::Unexpected(format!("event as JSON: {error}")))?;
        let event = new.event;
        // Whose event it is: who acted, or who is gone when a moderator removed them.
        let person_id = match &event.payload {
            Payload::Left { member_id, .. } => member_id.clone(),
            _ => event.actor.id.clone(),
        };
        let (kind, message_id) = match event.payload {
            Payload::Message { message_id, .. } => ("message.created", Some(message_id)),
            Payload::Form { .. } => ("form.submitted", None),
            Payload::Choice { .. } => ("choice.selected", None),
            Payload::Deleted { .. } => ("message.deleted", None),
            Payload::Left { .. } => ("member.left", None),
            Payload::Order { .. } => ("desk.order", None),
        };
        Ok(Self {
            key: event.key,
            kind,
            room_id: event.room_id,
            person_id,
            message_id,
            body,
            body_hash: new.body_hash,
            received_at: new.received_at.as_millisecond(),
        })
    }
}

struct Request {
    row: NewRow,
    answer: oneshot::Sender<Result<Accepted, StoreError>>,
}

/// The door to the writer task.
#[derive(Debug)]
pub(super) struct Intake {
    /// Gone once closed.
    requests: RwLock<Option<mpsc::Sender<Request>>>,
    writer: Mutex<Option<JoinHandle<()>>>,
}

impl Intake {
    /// Starts the writer task: at most `waiting` requests wait, at most `group` go into one commit.
    pub(super) fn start(engine: Arc<dyn Engine>, waiting: usize, group: usize) -> Self {
        let (sender, requests) = mpsc::channel(waiting.max(1));
        let writer = tokio::spawn(write_groups(engine, requests, group.max(1)));
        Self {
            requests: RwLock::new(Some(sender)),
            writer: Mutex::new(Some(writer)),
        }
    }

    /// Stores one event, together with whatever else waits.
    pub(super) async fn accept(&self, event: NewEvent) -> Result<Accepted, StoreError> {
        let row = NewRow::new(event)?;
        let (answer, outcome) = oneshot::channel();
        self.requests
            .read()
            .unwrap_or_else(PoisonError::into_inner)
            .as_ref()
            .ok_or_else(closed)?
            .try_send(Request { row, answer })
            .map_err(|error| match error {
                mpsc::error::TrySendError::Full(_) => {
                    StoreError::Unavailable("too many events wait to be stored".to_owned())
                }
                mpsc::error::TrySendError::Closed(_) => closed(),
            })?;
        outcome.await.map_err(|_| closed())?
    }

    /// Takes nothing more, stores what waits, and ends.
    pub(super) async fn close(&self) {
        self.requests
            .write()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        if let Some(writer) = self.writer.lock().await.take()
            && let Err(error) = writer.await
        {
            tracing::error!(%error, "the intake writer ended badly");
        }
    }
}

fn closed() -> StoreError {
    StoreError::Unavailable("the store is closed".to_owned())
}

async fn write_groups(
    engine: Arc<dyn Engine>,
    mut requests: mpsc::Receiver<Request>,
    group: usize,
) {
    let mut waiting = Vec::with_capacity(group);
    while requests.recv_many(&mut waiting, group).await > 0 {
        let rows: Vec<&NewRow> = waiting.iter().map(|request| &request.row).collect();
        let answers = store(engine.as_ref(), &rows).await;
        for (request, answer) in waiting.drain(..).zip(answers) {
            // A requester that went away is served all the same; the event is stored.
            let _ = request.answer.send(answer);
        }
    }
}

/// One answer a row. A row the database refuses must not take its neighbours with it: when a group
/// fails for another reason than being unavailable, its rows are tried one at a time.
async fn store(engine: &dyn Engine, rows: &[&NewRow]) -> Vec<Result<Accepted, StoreError>> {
    match store_group(engine, rows).await {
        Ok(answers) => answers.into_iter().map(Ok).collect(),
        Err(StoreError::Unavailable(why)) => rows
            .iter()
            .map(|_| Err(StoreError::Unavailable(why.clone())))
            .collect(),
        Err(error) if rows.len() == 1 => vec![Err(error)],
        Err(_) => {
            let mut answers = Vec::with_capacity(rows.len());
            for row in rows {
                let answer = store_group(engine, &[row]).await;
                answers
                    .push(answer.map(|stored| stored.first().copied().unwrap_or(Accepted::Stored)));
            }
            answers
        }
    }
}

async fn store_group(engine: &dyn Engine, rows: &[&NewRow]) -> Result<Vec<Accepted>, StoreError> {
    // A key that stands in the group twice is written once; the later one is then a repeat.
    let mut seen = HashSet::with_capacity(rows.len());
    let firsts: Vec<bool> = rows.iter().map(|row| seen.insert(&row.key)).collect();
    let first_rows: Vec<&NewRow> = rows
        .iter()
        .zip(&firsts)
        .filter_map(|(row, first)| first.then_some(*row))
        .collect();
    let known = retry(engine, &first_rows).await?;
    if known.is_empty() && first_rows.len() == rows.len() {
        return Ok(vec![Accepted::Stored; rows.len()]);
    }
    let is_new = |index: usize, row: &NewRow| {
        firsts.get(index).copied().unwrap_or(false) && !known.contains(&row.key)
    };
    let repeats: Vec<&NewRow> = rows
        .iter()
        .enumerate()
        .filter(|(index, row)| !is_new(*index, row))
        .map(|(_, row)| *row)
        .collect();
    let mut hashes = HashMap::with_capacity(repeats.len());
    for row in engine.known(&repeats).await? {
        hashes.insert(row.event_key()?, row.text("body_hash")?);
    }
    rows.iter()
        .enumerate()
        .map(|(index, row)| {
            if is_new(index, row) {
                return Ok(Accepted::Stored);
            }
            match hashes.get(&row.key) {
                Some(hash) if *hash == row.body_hash => Ok(Accepted::Duplicate),
                Some(_) => Ok(Accepted::Conflict),
                None => Err(StoreError::Unavailable(
                    "an event was removed while it was looked up".to_owned(),
                )),
            }
        })
        .collect()
}

async fn retry(engine: &dyn Engine, rows: &[&NewRow]) -> Result<HashSet<EventKey>, Fault> {
    match engine.store_group(rows).await {
        Err(fault) if fault.again => engine.store_group(rows).await,
        answer => answer,
    }
}
