//! Plays a script against a running service and checks what it says.

use super::script::{Script, Step};
use super::{TRACES, print};
use crate::app::Running;
use crate::clock::{Clock as _, MovableClock};
use crate::platform::door::{EventDoor as _, HttpDoor};
use crate::practice::{
    Author, AuthorKind, Chat, Doing, Draft, Handover, Message, Place, SOURCE, Seat, SeatKind,
    build_event, seats, table_attachment,
};
use crate::record::LeaveReason;
use crate::store::Store;
use jiff::SignedDuration;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

/// Longest the service may take to come to rest after a step.
const REST: Duration = Duration::from_secs(20);

/// How often the loop of dated asks is rung once a span of time has passed.
const LAST_LOOKS: u32 = 10;

/// What became of a play.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Played {
    /// Steps played.
    pub steps: usize,
    /// Events handed in.
    pub events: usize,
    /// Messages the service sent.
    pub answers: usize,
    /// Expectations checked.
    pub checks: usize,
}

/// Plays the parts of the community.
#[derive(Debug)]
pub struct Player {
    chat: Arc<Chat>,
    door: Arc<HttpDoor>,
    clock: Arc<MovableClock>,
    store: Arc<dyn Store>,
    dates_wake: Arc<Notify>,
    people: Vec<Seat>,
    named: BTreeMap<String, String>,
    seen: u64,
    played: Played,
}

impl Player {
    /// A player for a service with a practice room.
    pub fn new(running: &Running, clock: Arc<MovableClock>) -> Result<Self, String> {
        let practice = running
            .practice
            .as_ref()
            .ok_or("the practice room is off")?;
        Ok(Self {
            chat: practice.chat.clone(),
            door: practice.door.clone(),
            clock,
            store: running.store.clone(),
            dates_wake: running.dates_wake.clone(),
            people: seats(),
            named: BTreeMap::new(),
            seen: 0,
            played: Played::default(),
        })
    }

    /// Plays all steps; the error names the step and what was missing.
    pub async fn play(&mut self, script: &Script) -> Result<Played, String> {
        for (index, step) in script.steps.iter().enumerate() {
            self.step(step).await.map_err(|why| {
                let what = step.say.as_deref().or(step.press.as_deref()).unwrap_or("");
                format!("step {} ({what}): {why}", index + 1)
            })?;
            self.played.steps += 1;
        }
        Ok(self.played)
    }

    /// One step.
    async fn step(&mut self, step: &Step) -> Result<(), String> {
        if let Some(title) = &step.title {
            print::title(title)?;
        }
        if let Some(hours) = step.hours {
            self.pass(hours).await?;
        }
        if let Some(by) = &step.by {
            let seat = self
                .people
                .iter()
                .find(|seat| seat.id == *by)
                .cloned()
                .ok_or_else(|| format!("there is no seat {by}"))?;
            self.act(step, &seat).await?;
        }
        self.rest().await?;
        let said = self.news()?;
        self.check(step, &said)
    }

    /// Time passes: a day at a time, as a running service would see it.
    async fn pass(&mut self, hours: i64) -> Result<(), String> {
        print::passing(hours)?;
        let mut left = hours;
        while left > 0 {
            let now = left.min(6);
            self.clock.advance(SignedDuration::from_hours(now));
            left -= now;
            self.dates_wake.notify_one();
            // Lets the loop look before the clock moves on.
            tokio::time::sleep(Duration::from_millis(15)).await;
            self.rest().await?;
        }
        // On a busy machine the loop may not have come round yet; what it sends is asked for next.
        for _ in 0..LAST_LOOKS {
            self.dates_wake.notify_one();
            tokio::time::sleep(Duration::from_millis(40)).await;
            self.rest().await?;
        }
        Ok(())
    }

    /// What somebody does.
    async fn act(&mut self, step: &Step, seat: &Seat) -> Result<(), String> {
        let thread = step.on.as_ref().map(|name| self.id(name)).transpose()?;
        let (message, doing) = if let Some(text) = &step.say {
            let file = step.attach.clone();
            let message = self.write(seat, thread.clone(), (text, file), "m");
            let files = step.attach.iter().map(|name| attached(name));
            let files = files.collect::<Result<Vec<_>, _>>()?;
            (Some(message.clone()), Doing::say_with(&message, files))
        } else if let Some(fields) = &step.submit {
            let text = format!("(form) {}", print::form(fields));
            let message = self.write(seat, thread.clone(), (&text, None), "f");
            let doing = Doing::Submit {
                submission_id: message.id.clone(),
                form: ("set-report".to_owned(), 1),
                fields: fields.clone(),
            };
            (Some(message), doing)
        } else if let Some(label) = &step.press {
            (None, self.press(seat, label)?)
        } else if let (Some(text), Some(id)) = (&step.edit, &thread) {
            let message = self
                .chat
                .edit(id, &seat.author(), text)
                .map_err(|error| error.to_string())?;
            (None, Doing::say(&message))
        } else if let Some(name) = &step.delete {
            let message_id = self.id(name)?;
            self.chat
                .delete(&message_id, &seat.author())
                .map_err(|error| error.to_string())?;
            (None, Doing::Delete { message_id })
        } else if step.leave {
            (
                None,
                Doing::Leave {
                    reason: LeaveReason::Left,
                },
            )
        } else {
            return Ok(());
        };
        let edited = Self::chat_message(&doing);
        if let (Some(name), Some(message)) = (&step.name, &message) {
            self.named.insert(name.clone(), message.id.clone());
        }
        let place = Place {
            room_id: seat.room.clone(),
            thread_id: thread.filter(|_| step.edit.is_none()),
        };
        print::act(self.clock.now(), seat, step)?;
        self.hand_in(seat, &place, &doing, step.twice).await?;
        if let Some(id) = message.map(|message| message.id).or(edited) {
            self.chat.note_handover(&id, Handover::Taken);
        }
        Ok(())
    }

    /// The message of the chat that a doing changes.
    fn chat_message(doing: &Doing) -> Option<String> {
        match doing {
            Doing::Say { message_id, .. } | Doing::Delete { message_id } => {
                Some(message_id.clone())
            }
            _ => None,
        }
    }

    /// The id behind a name.
    fn id(&self, name: &str) -> Result<String, String> {
        self.named
            .get(name)
            .cloned()
            .ok_or_else(|| format!("no message is named {name}"))
    }

    /// Writes a message into the chat.
    fn write(
        &self,
        seat: &Seat,
        thread_id: Option<String>,
        (text, file): (&str, Option<String>),
        kind: &str,
    ) -> Message {
        let draft = Draft {
            room_id: seat.room.clone(),
            thread_id,
            reply_to: None,
            author: seat.author(),
            text: text.to_owned(),
            file,
            at: self.clock.now(),
        };
        self.chat.write(&self.chat.fresh_id(kind), draft)
    }

    /// Presses the button with this label on the newest message to this person that has it.
    fn press(&self, seat: &Seat, label: &str) -> Result<Doing, String> {
        let newest = self.chat.newest(1, |message| {
            message.mentions.contains(&seat.id)
                && message.choices.iter().any(|choice| choice.label == label)
        });
        let message = newest
            .last()
            .ok_or_else(|| format!("nobody offers \"{label}\""))?;
        let choice = message
            .choices
            .iter()
            .find(|choice| choice.label == label)
            .ok_or_else(|| format!("nobody offers \"{label}\""))?;
        self.chat
            .press(
                &message.id,
                &choice.choice_id,
                &seat.author(),
                self.clock.now(),
            )
            .map_err(|error| error.to_string())?;
        Ok(Doing::Choose {
            message_id: message.id.clone(),
            choice_id: choice.choice_id.clone(),
        })
    }

    /// Hands an event in at the service's own door, twice when the platform is forgetful.
    async fn hand_in(
        &mut self,
        seat: &Seat,
        place: &Place,
        doing: &Doing,
        twice: bool,
    ) -> Result<(), String> {
        let id = self.chat.fresh_id("e");
        let author = Author {
            kind: AuthorKind::Person,
            ..seat.author()
        };
        let event = build_event(&id, SOURCE, self.clock.now(), &author, place, doing);
        let body = serde_json::to_vec(&event).map_err(|error| error.to_string())?;
        let mut wanted = vec![202];
        if twice {
            wanted.push(200);
        }
        for status in wanted {
            let answer = self.door.post(&id, body.clone(), self.clock.now()).await?;
            self.played.events += 1;
            if answer != status {
                return Err(format!("the door answered {answer} instead of {status}"));
            }
        }
        Ok(())
    }

    /// Waits until nothing is left to do.
    async fn rest(&self) -> Result<(), String> {
        let end = tokio::time::Instant::now() + REST;
        let mut quiet = 0;
        while tokio::time::Instant::now() < end {
            let depths = self
                .store
                .depths()
                .await
                .map_err(|error| error.to_string())?;
            quiet = if depths.inbox == 0 && depths.outbox == 0 {
                quiet + 1
            } else {
                0
            };
            if quiet >= 2 {
                return Ok(());
            }
            tokio::time::sleep(Duration::from_millis(3)).await;
        }
        Err("the service did not come to rest".to_owned())
    }

    /// What the service has said since the last look, printed.
    fn news(&mut self) -> Result<Vec<Message>, String> {
        let mut said: Vec<Message> = self
            .chat
            .messages_since(self.seen)
            .into_iter()
            .filter(|message| message.author.kind == AuthorKind::Service)
            .collect();
        // A press changes an old message; only new ones are news.
        said.retain(|message| message.place > self.seen);
        self.seen = self.chat.latest();
        self.played.answers += said.len();
        for message in &said {
            print::answer(message, &self.people)?;
        }
        Ok(said)
    }

    /// What was said must hold what the script expects.
    fn check(&mut self, step: &Step, said: &[Message]) -> Result<(), String> {
        let all: Vec<&str> = said.iter().map(|message| message.text.as_str()).collect();
        let all = all.join("\n");
        for part in &step.expect {
            self.played.checks += 1;
            if !all.contains(part) {
                return Err(format!("expected \"{part}\" in the answer, got \"{all}\""));
            }
        }
        for part in &step.never {
            self.played.checks += 1;
            if all.contains(part) {
                return Err(format!(
                    "did not want \"{part}\" in the answer, got \"{all}\""
                ));
            }
        }
        if let Some(count) = step.answers {
            self.played.checks += 1;
            if said.len() != count {
                return Err(format!(
                    "expected {count} messages, got {}: \"{all}\"",
                    said.len()
                ));
            }
        }
        Ok(())
    }
}

/// A trace of the demo's own, as an attachment.
fn attached(name: &str) -> Result<serde_json::Value, String> {
    let found = TRACES.iter().find(|(known, _)| *known == name);
    let (_, text) = found.ok_or_else(|| format!("there is no trace {name}"))?;
    Ok(table_attachment("trace-1", name, text))
}

/// Whether a seat is the coach's.
pub(super) fn is_coach(seat: &Seat) -> bool {
    seat.kind == SeatKind::Coach
}
