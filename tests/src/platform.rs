//! A chat platform in memory behind a real HTTP server: takes messages, keeps one message for
//! each idempotency key, and fails as told.

use anyhow::{Result, bail};
use base64::Engine as _;
use cueline_bot::platform::BearerToken;
use cueline_bot::signing::Secret;
use serde::Deserialize;
use serde_json::json;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::watch;
use wiremock::matchers::{method, path, path_regex};
use wiremock::{Mock, MockServer, Request, Respond, ResponseTemplate};

/// The token the service uses here.
pub const TOKEN: &str = "a-token-of-the-stories";
/// Longest a story waits for the platform to hear something.
const PATIENCE: Duration = Duration::from_secs(40);

/// A button as received.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Button {
    /// Its id.
    pub choice_id: String,
    /// Its label.
    pub label: String,
    /// How it looks.
    pub style: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Target {
    room_id: Option<String>,
    person_id: Option<String>,
    thread_id: Option<String>,
    reply_to: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Body {
    to: Target,
    text: String,
    mentions: Vec<String>,
    #[serde(default)]
    picture: Option<serde_json::Value>,
    choices: Vec<Button>,
    notify: bool,
}

/// A message that was posted, once for each key.
#[derive(Clone, Debug)]
pub struct Message {
    /// The platform's id.
    pub message_id: String,
    /// Idempotency key it came with.
    pub key: String,
    /// The room, or the person it went to in private.
    pub to: String,
    /// Went to one person in private.
    pub private: bool,
    /// Thread.
    pub thread_id: Option<String>,
    /// Message it answers.
    pub reply_to: Option<String>,
    /// Text.
    pub text: String,
    /// Who is notified.
    pub mentions: Vec<String>,
    /// Buttons.
    pub choices: Vec<Button>,
    /// Rings.
    pub notify: bool,
    /// Picture, as it came.
    pub picture: Option<serde_json::Value>,
    /// The service had it deleted: nobody sees it any more.
    pub deleted: bool,
}

impl Message {
    /// The button with this label.
    pub fn button(&self, label: &str) -> Result<&Button> {
        match self.choices.iter().find(|choice| choice.label == label) {
            Some(button) => Ok(button),
            None => bail!("no button \"{label}\" on {self:#?}"),
        }
    }
}

/// What the platform does instead of answering as agreed.
#[derive(Clone, Debug)]
pub enum Fault {
    /// Posts nothing, answers this status.
    Status(u16),
    /// Posts nothing, answers this status with this `Retry-After`.
    Later(u16, String),
    /// Posts, but answers this status: the acknowledgement is lost.
    PostedBut(u16),
    /// Posts, but the answer is no JSON.
    Garbage,
    /// Posts, but answers only after this long.
    Slow(Duration),
}

impl Fault {
    const fn posts(&self) -> bool {
        matches!(self, Self::PostedBut(_) | Self::Garbage | Self::Slow(_))
    }
}

#[derive(Clone, Debug)]
struct Order {
    room: Option<String>,
    fault: Fault,
    left: usize,
}

/// One request as it came in.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Idempotency key.
    pub key: String,
    /// Room or person.
    pub to: String,
    /// Text.
    pub text: String,
    /// The status it was answered with.
    pub status: u16,
}

#[derive(Debug, Default)]
struct Model {
    heard: Vec<Heard>,
    messages: Vec<Message>,
    /// Key to the body it came with and the id it was given.
    keys: BTreeMap<String, (Vec<u8>, String)>,
    orders: Vec<Order>,
    /// Breaches of the contract by the service; a story with one fails.
    breaches: Vec<String>,
}

/// A chat platform.
#[derive(Debug)]
pub struct Platform {
    /// `CloudEvents` source.
    pub source: String,
    /// Secret its events are signed with.
    pub secret: Secret,
    /// Persons configured as coaches.
    pub coaches: Vec<String>,
    /// Room for the coaches.
    pub coach_room: Option<String>,
    server: MockServer,
    model: Arc<Mutex<Model>>,
    changed: watch::Receiver<u64>,
}

/// Answers requests from the model.
struct Desk {
    model: Arc<Mutex<Model>>,
    changed: watch::Sender<u64>,
}

impl Platform {
    /// A platform with a server of its own on a free loopback port.
    pub async fn start(source: &str, coaches: &[&str], coach_room: Option<&str>) -> Result<Self> {
        let server = MockServer::start().await;
        let model = Arc::new(Mutex::new(Model::default()));
        let (sender, changed) = watch::channel(0);
        let desk = || Desk {
            model: model.clone(),
            changed: sender.clone(),
        };
        Mock::given(method("POST"))
            .and(path("/v1/messages"))
            .respond_with(desk())
            .mount(&server)
            .await;
        Mock::given(method("DELETE"))
            .and(path_regex("^/v1/messages/[^/]+$"))
            .respond_with(desk())
            .mount(&server)
            .await;
        Ok(Self {
            source: source.to_owned(),
            secret: Secret::generate()?,
            coaches: coaches.iter().map(|&id| id.to_owned()).collect(),
            coach_room: coach_room.map(str::to_owned),
            server,
            model,
            changed,
        })
    }

    /// Where it is.
    pub fn url(&self) -> String {
        self.server.uri()
    }

    /// The token, opened.
    pub fn token() -> Result<BearerToken> {
        Ok(BearerToken::parse(TOKEN)?)
    }

    /// Fails the next `times` requests, whatever they are.
    pub fn fails(&self, times: usize, fault: Fault) {
        self.order(None, times, fault);
    }

    /// Fails the next `times` requests for a room or person.
    pub fn fails_in(&self, room: &str, times: usize, fault: Fault) {
        self.order(Some(room.to_owned()), times, fault);
    }

    /// Fails the next `times` deletions in a room.
    pub fn keeps_in(&self, room: &str, times: usize, fault: Fault) {
        self.order(Some(deleting(room)), times, fault);
    }

    /// Works again as agreed.
    pub fn recovers(&self) {
        lock(&self.model).orders.clear();
    }

    fn order(&self, room: Option<String>, left: usize, fault: Fault) {
        lock(&self.model).orders.push(Order { room, fault, left });
    }

    /// Every request so far.
    pub fn heard(&self) -> Vec<Heard> {
        lock(&self.model).heard.clone()
    }

    /// Every message posted so far.
    pub fn messages(&self) -> Vec<Message> {
        lock(&self.model).messages.clone()
    }

    /// Messages in a room, or to a person in private.
    pub fn messages_to(&self, to: &str) -> Vec<Message> {
        let mut all = self.messages();
        all.retain(|message| message.to == to);
        all
    }

    /// The newest message to a room or person.
    pub fn last_to(&self, to: &str) -> Result<Message> {
        match self.messages_to(to).pop() {
            Some(message) => Ok(message),
            None => bail!("nothing was said to {to}"),
        }
    }

    /// What still stands in a room, or with a person in private.
    pub fn standing_in(&self, to: &str) -> Vec<Message> {
        let mut all = self.messages_to(to);
        all.retain(|message| !message.deleted);
        all
    }

    /// Breaches of the contract by the service.
    pub fn breaches(&self) -> Vec<String> {
        lock(&self.model).breaches.clone()
    }

    /// Waits until what was heard and posted is as wanted.
    pub async fn wait_until(&self, what: &str, wanted: impl Fn(&Self) -> bool) -> Result<()> {
        let mut changed = self.changed.clone();
        let waiting = async {
            loop {
                changed.borrow_and_update();
                if wanted(self) || changed.changed().await.is_err() {
                    return;
                }
            }
        };
        if tokio::time::timeout(PATIENCE, waiting).await.is_err() {
            bail!("waited in vain for {what}; heard: {:#?}", self.heard());
        }
        Ok(())
    }
}

impl Respond for Desk {
    fn respond(&self, request: &Request) -> ResponseTemplate {
        let answer = lock(&self.model).answer(request);
        self.changed.send_modify(|count| *count += 1);
        answer
    }
}

impl Model {
    fn answer(&mut self, request: &Request) -> ResponseTemplate {
        let header = |name: &str| {
            let value = request.headers.get(name)?;
            value.to_str().ok().map(str::to_owned)
        };
        if header("authorization") != Some(format!("Bearer {TOKEN}")) {
            self.breaches.push("a wrong token".to_owned());
            return ResponseTemplate::new(401);
        }
        if request.method.as_str() == "DELETE" {
            return self.delete(request.url.path());
        }
        let body = match serde_json::from_slice::<Body>(&request.body) {
            Ok(body) => body,
            Err(error) => return self.breach(format!("a body that is not as agreed: {error}")),
        };
        let Some(key) = header("idempotency-key").and_then(|key| unquoted(&key)) else {
            return self.breach("no idempotency key in quotation marks".to_owned());
        };
        let (to, private) = match (body.to.room_id.clone(), body.to.person_id.clone()) {
            (Some(room), None) => (room, false),
            (None, Some(person)) => (person, true),
            _ => return self.breach("not exactly one of room and person".to_owned()),
        };
        self.check_limits(&body);
        let fault = self.fault(&to);
        let posts = fault.as_ref().is_none_or(Fault::posts);
        let posted = if posts {
            self.post(&key, &request.body, &body, &to, private)
        } else {
            None
        };
        let answer = match (&fault, posted) {
            (Some(Fault::Status(status) | Fault::PostedBut(status)), _) => (*status, None),
            (Some(Fault::Later(status, after)), _) => (*status, Some(after.clone())),
            (_, Some(_)) => (201, None),
            (_, None) => (422, None),
        };
        self.heard.push(Heard {
            key,
            to,
            text: body.text,
            status: answer.0,
        });
        let template = ResponseTemplate::new(answer.0);
        match (&fault, self.heard.last().map(|heard| &heard.key)) {
            (Some(Fault::Garbage), _) => template.set_body_string("<html>a proxy's page</html>"),
            (Some(Fault::Later(_, after)), _) => template.insert_header("retry-after", after),
            (Some(Fault::Status(_) | Fault::PostedBut(_)), _) => template
                .set_body_json(json!({ "title": "as told", "detail": "the story wants it so" })),
            (slow, Some(key)) if answer.0 == 201 => {
                let id = self.keys.get(key).map(|(_, id)| id.clone());
                let template = template.set_body_json(json!({ "message_id": id, "created": true }));
                match slow {
                    Some(Fault::Slow(delay)) => template.set_delay(*delay),
                    _ => template,
                }
            }
            _ => template,
        }
    }

    /// A message of the service is taken down.
    fn delete(&mut self, path: &str) -> ResponseTemplate {
        let id = path.rsplit('/').next().unwrap_or_default();
        let found = self.messages.iter().position(|one| one.message_id == id);
        let Some(at) = found else {
            self.breaches
                .push(format!("deletes {id}, which is none of its"));
            return ResponseTemplate::new(404);
        };
        let to = deleting(&self.messages[at].to);
        if let Some(Fault::Status(status)) = self.fault(&to) {
            return ResponseTemplate::new(status);
        }
        self.messages[at].deleted = true;
        ResponseTemplate::new(204)
    }

    fn breach(&mut self, what: String) -> ResponseTemplate {
        self.breaches.push(what);
        ResponseTemplate::new(400)
    }

    /// The limits of the contract.
    fn check_limits(&mut self, body: &Body) {
        let length = body.text.chars().count();
        if !(1..=4000).contains(&length) {
            self.breaches.push(format!("a text of {length} characters"));
        }
        if body.choices.len() > 5 || body.mentions.len() > 3 {
            self.breaches
                .push("too many buttons or mentions".to_owned());
        }
        let fault = body.picture.as_ref().and_then(picture_fault);
        self.breaches.extend(fault);
        for choice in &body.choices {
            let (id, label) = (
                choice.choice_id.chars().count(),
                choice.label.chars().count(),
            );
            if !(1..=64).contains(&id) || !(1..=40).contains(&label) {
                self.breaches
                    .push(format!("a button out of bounds: {choice:?}"));
            }
        }
    }

    /// The fault ordered for this request.
    fn fault(&mut self, to: &str) -> Option<Fault> {
        let order = self.orders.iter_mut().find(|order| {
            order.left > 0 && order.room.as_ref().is_none_or(|room| room.as_str() == to)
        })?;
        order.left -= 1;
        Some(order.fault.clone())
    }

    /// Posts unless the key is known; nothing when the key came with another body.
    fn post(
        &mut self,
        key: &str,
        raw: &[u8],
        body: &Body,
        to: &str,
        private: bool,
    ) -> Option<String> {
        if let Some((first, id)) = self.keys.get(key) {
            if first == raw {
                return Some(id.clone());
            }
            self.breaches.push(format!("key {key} with another body"));
            return None;
        }
        let message_id = format!("p-{}", self.messages.len() + 1);
        self.keys
            .insert(key.to_owned(), (raw.to_vec(), message_id.clone()));
        self.messages.push(Message {
            message_id: message_id.clone(),
            key: key.to_owned(),
            to: to.to_owned(),
            private,
            thread_id: body.to.thread_id.clone(),
            reply_to: body.to.reply_to.clone(),
            text: body.text.clone(),
            mentions: body.mentions.clone(),
            choices: body.choices.clone(),
            notify: body.notify,
            picture: body.picture.clone(),
            deleted: false,
        });
        Some(message_id)
    }
}

/// What a deletion in a room is called in orders to fail.
fn deleting(room: &str) -> String {
    format!("delete in {room}")
}

/// What is wrong with a picture: it is a PNG file in base64 of at most 524,288 bytes, with words for
/// who cannot see it.
fn picture_fault(picture: &serde_json::Value) -> Option<String> {
    let text = |name: &str| picture[name].as_str().unwrap_or_default();
    let alt = text("alt").chars().count();
    let data = text("data_base64");
    let fields = picture.as_object().map_or(0, serde_json::Map::len);
    if fields != 3 || text("media_type") != "image/png" || !(1..=300).contains(&alt) {
        return Some(format!(
            "a picture with {fields} fields and {alt} characters of words"
        ));
    }
    let bytes = base64::engine::general_purpose::STANDARD
        .decode(data)
        .unwrap_or_default();
    // The signature of a PNG file (W3C PNG specification, section 5.2).
    let png = bytes.starts_with(b"\x89PNG\r\n\x1a\n");
    (data.len() > 524_288 || !png).then(|| format!("a picture of {} bytes", data.len()))
}

/// What stands between the quotation marks of a structured-field string (RFC 9651).
fn unquoted(key: &str) -> Option<String> {
    let inside = key.strip_prefix('"')?.strip_suffix('"')?;
    (!inside.is_empty()).then(|| inside.to_owned())
}

fn lock(model: &Mutex<Model>) -> MutexGuard<'_, Model> {
    model.lock().unwrap_or_else(PoisonError::into_inner)
}
