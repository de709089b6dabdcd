//! One case on one screen.

use super::act::outcome_of;
use super::guard::trouble;
use super::offer::offer;
use super::page::{refusal, whole};
use super::queue::viewed;
use super::show::{self, View};
use super::{Desk, Signed};
use crate::casework::{draft_answer, second_look};
use crate::record::CaseFile;
use crate::store::StoreError;
use axum::Extension;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use std::sync::Arc;

/// Entries of a history shown.
const MOST_ENTRIES: u32 = 200;
/// Lines of the queue looked through for the cases before and after.
const MOST_NEIGHBOURS: u32 = 200;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// Deed whose outcome is shown.
    done: Option<String>,
    /// Case to go on with, from before the deed.
    next: Option<i64>,
}

/// A case of the coach's own platform with everything about it.
pub(super) async fn found(
    desk: &Desk,
    signed: &Signed,
    number: i64,
) -> Result<Option<CaseFile>, StoreError> {
    let store = &desk.parts.store;
    let Some(case) = store.case_by_number(number).await? else {
        return Ok(None);
    };
    if case.person.source != signed.person.source {
        return Ok(None);
    }
    Ok(Some(CaseFile {
        entries: store.entries(&case.id, MOST_ENTRIES).await?,
        queue_item: store.queue_item(&case.id).await?,
        lifter: store.lifter(&case.person).await?,
        verdict: store.verdict_of_case(&case.id).await?,
        files: Vec::new(),
        case,
    }))
}

/// 404, the same for what is not there and what is somebody else's.
pub(super) fn not_there(what: &str) -> Response {
    refusal(
        StatusCode::NOT_FOUND,
        "Not found",
        &format!("There is no case {what} here."),
    )
}

/// The case with the traces of its newest set, whole, so that they can be measured once more.
async fn with_traces(desk: &Desk, mut file: CaseFile) -> Result<CaseFile, StoreError> {
    let files = desk.parts.store.files();
    for id in &file.case.body.traces {
        file.files
            .extend(files.file_of_case(&file.case.id, id).await?);
    }
    Ok(file)
}

pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Path(number): Path<String>,
    Query(asked): Query<Asked>,
    Extension(signed): Extension<Signed>,
) -> Response {
    page(&desk, &signed, &number, &asked, false).await
}

/// The case with the bot's plan put into the answer, to be changed and sent as the coach's words.
pub(super) async fn plan(
    State(desk): State<Arc<Desk>>,
    Path(number): Path<String>,
    Extension(signed): Extension<Signed>,
) -> Response {
    page(&desk, &signed, &number, &Asked::default(), true).await
}

async fn page(
    desk: &Desk,
    signed: &Signed,
    number: &str,
    asked: &Asked,
    with_plan: bool,
) -> Response {
    let Ok(parsed) = number.parse::<i64>() else {
        return not_there(number);
    };
    let outcome = outcome_of(desk, signed, asked.done.as_deref()).await;
    let store = &desk.parts.store;
    let now = desk.now();
    let brain = desk.brain();
    let read = async {
        let Some(file) = found(desk, signed, parsed).await? else {
            return Ok(None);
        };
        store
            .note_access(&viewed(desk, signed, "case", Some(&file.case.id)))
            .await?;
        let source = &signed.person.source;
        let hours = brain.rules.aging_hours;
        let queue = store
            .desk_queue(source, now, hours, 0, MOST_NEIGHBOURS)
            .await?;
        let queue: Vec<i64> = queue.iter().map(|line| line.case.number).collect();
        let offer = offer(desk, signed, &file, now).await?;
        let files = store.files().files_of_case(&file.case.id).await?;
        let file = with_traces(desk, file).await?;
        Ok::<_, StoreError>(Some((file, queue, offer, files)))
    };
    let (file, queue, offer, files) = match read.await {
        Ok(Some(read)) => read,
        Ok(None) => return not_there(number),
        Err(error) => return trouble(&error),
    };
    let draft = draft_answer(&file, &brain.catalog, &brain.words, &brain.rules, now);
    let view = View {
        desk,
        brain: &brain,
        signed,
        file: &file,
        look: second_look(&file, &brain.catalog, &brain.rules),
        has_plan: draft.is_some(),
        answer: draft.filter(|_| with_plan).unwrap_or_default(),
        queue: &queue,
        next: asked.next,
        offer,
        files: &files,
        now,
    };
    let title = format!("Case {parsed}");
    whole(signed, &title, "/desk", &show::case(&view, &outcome))
}
