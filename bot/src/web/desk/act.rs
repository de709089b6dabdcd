//! What a coach does at the desk: each form becomes an order in the inbox, carried out once by the
//! same functions as a word in the chat.

use super::case::{found, not_there};
use super::guard::{Fields, trouble};
use super::page::{deed_fields, refusal, whole};
use super::queue::viewed;
use super::{Desk, Signed, guardian, offer, place, show};
use crate::casework::{DraftCheck, check_draft};
use crate::markup;
use crate::record::{Access, Actor, ActorKind, CaseFile, CaseState, Event, EventKey, Payload};
use crate::store::{Accepted, NewEvent, StoreError};
use crate::token;
use axum::Extension;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use cueline_core::load::OverRail;
use cueline_core::quantity::Mass;
use maud::{Markup, html};
use std::sync::Arc;
use std::time::Duration;

/// Longest wait for an order to be carried out before the page says that it is under way.
const MOST_WAIT: Duration = Duration::from_secs(4);
/// The fields of a verdict, first thing to fix first.
pub(super) const VERDICT_FIELDS: [&str; 3] = ["first", "second", "third"];
/// The id of a form's second order.
const SECOND: &str = "second-deed";
/// How often is looked whether it is.
const LOOK_EVERY: Duration = Duration::from_millis(15);

/// Shows what an answer will look like, or does something about a case.
pub(super) async fn deed(
    State(desk): State<Arc<Desk>>,
    Path((number, deed)): Path<(i64, String)>,
    Extension(signed): Extension<Signed>,
    Extension(fields): Extension<Fields>,
) -> Response {
    let file = match found(&desk, &signed, number).await {
        Ok(Some(file)) => file,
        Ok(None) => return not_there(&number.to_string()),
        Err(error) => return trouble(&error),
    };
    let text = fields.text("text");
    let order = match deed.as_str() {
        "preview" => return preview(&desk, &signed, &file, &fields).await,
        "take" => format!("take {number}"),
        "say" => format!("say {number} {text}"),
        "answered" => return answered(&desk, &signed, &file, &fields).await,
        "ask" => format!("ask {number} {text}"),
        "challenge" => {
            let until = offer::until(&fields.text("closes"));
            format!("open challenge {number} until {until}")
        }
        "halt" => format!("halt {number} {text}"),
        "lift" => format!("lift halt {number}"),
        "verdict" => format!("verdict {number} {}", causes(&fields)),
        "finish" | "aside" => format!("finish {number}"),
        "guardian" => match guardian::order(number, &fields.text("said")) {
            Some(order) => order,
            None => return not_there(&deed),
        },
        _ => return not_there(&deed),
    };
    let id = fields.text("deed");
    let done = match give(&desk, &signed, &id, order).await {
        Ok(done) => done,
        Err(answer) => return *answer,
    };
    // A case that is dealt with leaves the queue, and the coach goes on with the next.
    let leaves = done && matches!(deed.as_str(), "finish" | "aside" | "ask");
    let next = place::on(place::carried(&fields));
    if leaves && left_queue(&desk, &file).await {
        Redirect::to(&format!("/desk?done={id}{next}")).into_response()
    } else {
        Redirect::to(&format!("/desk/case/{number}?done={id}{next}")).into_response()
    }
}

/// Whether a case that waited waits no more.
async fn left_queue(desk: &Desk, file: &CaseFile) -> bool {
    let item = desk.parts.store.queue_item(&file.case.id).await;
    matches!(item, Ok(None))
}

/// Sends the answer and finishes the case: two orders, in this order, each carried out once. What cannot be
/// sent finishes nothing.
async fn answered(desk: &Desk, signed: &Signed, file: &CaseFile, fields: &Fields) -> Response {
    let (number, text) = (file.case.number, fields.text("text"));
    let (say, finish) = (fields.text("deed"), fields.text(SECOND));
    let (length, most) = check_draft(file, &text).length;
    let next = place::on(place::carried(fields));
    if let Err(answer) = give(desk, signed, &say, format!("say {number} {text}")).await {
        return *answer;
    }
    let back = Redirect::to(&format!("/desk/case/{number}?done={say}{next}"));
    if length == 0 || length > most {
        return back.into_response();
    }
    let done = match give(desk, signed, &finish, format!("finish {number}")).await {
        Ok(done) => done,
        Err(answer) => return *answer,
    };
    if done && left_queue(desk, file).await {
        Redirect::to(&format!("/desk?said={say}&done={finish}{next}")).into_response()
    } else {
        back.into_response()
    }
}

/// The causes chosen for a verdict, first thing to fix first, as they are written in chat.
fn causes(fields: &Fields) -> String {
    let chosen = VERDICT_FIELDS.map(|name| fields.text(name));
    let chosen: Vec<&str> = chosen
        .iter()
        .map(|cause| cause.trim())
        .filter(|cause| !cause.is_empty())
        .collect();
    chosen.join(", ")
}

/// Sends undelivered messages again.
pub(super) async fn send_again(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Extension(fields): Extension<Fields>,
) -> Response {
    let id = fields.text("deed");
    match give(&desk, &signed, &id, "send again".to_owned()).await {
        Ok(_) => Redirect::to(&format!("/desk/undelivered?done={id}")).into_response(),
        Err(answer) => *answer,
    }
}

/// Puts an order into the inbox and waits a little until it is carried out; false when it is not
/// yet. A form sent twice is one order.
pub(super) async fn give(
    desk: &Desk,
    signed: &Signed,
    id: &str,
    text: String,
) -> Result<bool, Box<Response>> {
    let unread = |why: &str| Box::new(refusal(StatusCode::BAD_REQUEST, "Not readable", why));
    if !token::is_token(id) {
        return Err(unread("`deed` is not as the desk's pages have it."));
    }
    let now = desk.now();
    let source = signed.person.source.clone();
    let event = NewEvent {
        body_hash: token::hash(&text),
        received_at: now,
        event: Event {
            key: EventKey {
                source: source.clone(),
                id: id.to_owned(),
            },
            time: now,
            // No room of a platform: those are written with letters, digits, `_` and `-` alone.
            room_id: format!("desk:{}", signed.person.person_id),
            thread_id: None,
            actor: Actor {
                id: signed.person.person_id.clone(),
                display_name: signed.person.person_id.clone(),
                kind: ActorKind::Person,
            },
            payload: Payload::Order { text },
        },
    };
    match desk.parts.store.accept(event).await {
        Ok(Accepted::Stored | Accepted::Duplicate) => {}
        Ok(Accepted::Conflict) => {
            return Err(Box::new(refusal(
                StatusCode::CONFLICT,
                "Sent already",
                "This form was sent before with other words. Load the case again and look what \
                 was done.",
            )));
        }
        Err(error) => return Err(Box::new(trouble(&error))),
    }
    desk.parts.wake.notify_one();
    let carried_out = async {
        loop {
            if desk.parts.store.action(&source, id).await?.is_some() {
                return Ok::<_, StoreError>(());
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
    };
    match tokio::time::timeout(MOST_WAIT, carried_out).await {
        Ok(Ok(())) => Ok(true),
        // It is kept, and will be carried out.
        Ok(Err(_)) | Err(_) => Ok(false),
    }
}

/// What came of a deed, for the page shown after it. Only the coach who did it reads it.
pub(super) async fn outcome_of(desk: &Desk, signed: &Signed, done: Option<&str>) -> Markup {
    let Some(id) = done.filter(|id| token::is_token(id)) else {
        return html! {};
    };
    let own = |access: &Access| access.person == signed.person;
    let action = desk.parts.store.action(&signed.person.source, id).await;
    let text = action
        .ok()
        .flatten()
        .filter(own)
        .and_then(|action| action.outcome);
    html! {
        div.outcome role="status" {
            @match text {
                Some(text) => (markup::render(&text, "")),
                None => p { "This is being carried out. Load the page again to see what came of it." }
            }
        }
    }
}

/// The answer as it will be read, with what to mind, before it goes out.
async fn preview(desk: &Desk, signed: &Signed, file: &CaseFile, fields: &Fields) -> Response {
    let number = file.case.number;
    let (text, next) = (&*fields.text("text"), place::carried(fields));
    let finish = match file.case.state {
        CaseState::Halted => "Send and set aside",
        _ => "Send and finish",
    };
    let store = &desk.parts.store;
    let noted = viewed(desk, signed, "preview", Some(&file.case.id));
    if let Err(error) = store.note_access(&noted).await {
        return trouble(&error);
    }
    let check = check_draft(file, text);
    let sent = desk
        .brain()
        .words
        .say("coach.alert_reply", &[("text", text.trim())]);
    let (length, most) = check.length;
    let may_go = length > 0 && length <= most;
    let inside = html! {
        p.back { a href={ "/desk/case/" (number) } data-key="b" { "Back to case " (number) } }
        h1 { "Your answer to " (show::name(file)) }
        @if length == 0 { p.warn role="alert" { "There is nothing to send yet." } }
        @if length > most { p.warn role="alert" { "Too long for one message: " (length) " characters, at most " (most) "." } }
        (warnings(&check))
        @if may_go {
            section.sheet aria-labelledby="as-read" {
                h2 id="as-read" { "As it will be read" }
                div.message { (markup::render(&sent, "")) }
            }
            (load_table(&check))
        }
        form.answer method="post" action={ "/desk/case/" (number) "/say" } {
            (deed_fields(signed))
            input type="hidden" name=(SECOND) value=(token::fresh());
            @if let Some(next) = next { (place::field(next)) }
            label for="answer" { "Change it here if you like" }
            textarea id="answer" name="text" rows="9" maxlength="6000" { (text) }
            p.buttons {
                @if may_go { button.main type="submit" autofocus { "Send to " (show::name(file)) } }
                @if may_go && file.queue_item.is_some() { button type="submit" formaction={ "/desk/case/" (number) "/answered" } data-key="f" { (finish) } }
                button type="submit" formaction={ "/desk/case/" (number) "/preview" } { "Preview again" }
            }
        }
    };
    whole(signed, &format!("Preview, case {number}"), "/desk", &inside)
}

/// What speaks against sending it as it is.
fn warnings(check: &DraftCheck) -> Markup {
    let over: Vec<(&Mass, OverRail)> = check
        .loads
        .iter()
        .filter_map(|(load, rail)| Some((load, (*rail)?)))
        .collect();
    let warns = check.halted || (check.minor && !check.loads.is_empty()) || !over.is_empty();
    html! {
        @if warns {
            section.caution aria-labelledby="mind" {
                h2 id="mind" { "Before you send" }
                ul {
                    @if check.halted {
                        li { "This case is stopped for safety. No loads and no technique until a licensed clinician has cleared the lifter and you lift the stop." }
                    }
                    @if check.minor && !check.loads.is_empty() {
                        li { "The lifter is under 18: Cueline gives no loads to minors. An adult in the room has to agree." }
                    }
                    @for (load, rail) in over {
                        li { (load.both()) " is more than Cueline may give by itself: " (rail_words(rail, *load)) }
                    }
                }
            }
        }
    }
}

/// The rail a load is over, in the load's own unit first.
fn rail_words(rail: OverRail, load: Mass) -> String {
    let most = Mass::from_kg(rail.most_kg(), load.unit).value.floor();
    let most = Mass::new(most, load.unit).both();
    match rail {
        OverRail::Share(_) => {
            format!("80 % of the careful end of the estimate is {most}.")
        }
        OverRail::Step(_) => format!("what was done and one small step is {most}."),
    }
}

/// Every load named, in both units.
fn load_table(check: &DraftCheck) -> Markup {
    html! {
        @if !check.loads.is_empty() {
            section aria-labelledby="loads" {
                h2 id="loads" { "Loads in it" }
                ul.loads { @for (load, _) in &check.loads { li { (load.both()) } } }
            }
        }
    }
}
