//! Events of the inbox: load what is known, decide, write it all in one transaction.

use super::{MOST_CLAIMS, Shared, challenges, draw, wait};
use crate::brain::Brain;
use crate::casework::{
    FreshLink, Known, LINKS_COUNTED_FOR, MOST_SHEET_LINES, Needs, decide, needs, sheet_spans,
    trouble,
};
use crate::record::{
    Case, CaseFile, CaseState, Dossier, Event, KeptFile, Lifter, MessageMark, Outgoing, Payload,
    PersonKey, SheetLine,
};
use crate::store::{Leased, StoreError};
use crate::token;
use jiff::Timestamp;
use std::sync::Arc;
use tokio_util::sync::CancellationToken;
use tracing::Instrument as _;

/// Cases of a lifter that are looked at.
const MOST_CASES: u32 = 20;
/// Entries of a history that are shown.
const MOST_ENTRIES: u32 = 50;
/// Lines of the queue that are loaded.
const MOST_QUEUE: u32 = 51;
/// Times a decision is made again at once because something changed meanwhile.
const MOST_CONFLICTS: u32 = 4;

/// Works until the end.
pub(super) async fn run(shared: Arc<Shared>, stop: CancellationToken) {
    loop {
        match shared.parts.store.claim_events(&shared.batch()).await {
            Ok(events) if events.is_empty() => {
                let parts = &shared.parts;
                if !wait(&parts.events_wake, parts.settings.poll, &stop).await {
                    return;
                }
            }
            Ok(events) => {
                work_on(&shared, events).await;
                if stop.is_cancelled() {
                    return;
                }
            }
            Err(error) => {
                tracing::warn!(%error, "no events could be leased");
                let parts = &shared.parts;
                tokio::select! {
                    () = stop.cancelled() => return,
                    () = tokio::time::sleep(parts.settings.poll.min(std::time::Duration::from_secs(1))) => {}
                }
            }
        }
    }
}

/// Works on leased events side by side; each on a task of its own, so that a panic in one is an
/// attempt of that one and nothing more.
async fn work_on(shared: &Arc<Shared>, events: Vec<Leased<Event>>) {
    let tasks: Vec<_> = events
        .into_iter()
        .map(|leased| {
            let shared = shared.clone();
            let kept = leased.clone();
            let span = tracing::info_span!(
                "event",
                source = %leased.item.key.source,
                id = %leased.item.key.id
            );
            async move {
                if kept.attempts > MOST_CLAIMS {
                    // It has ended the process before; it is not begun again.
                    let error = StoreError::Unexpected("handling never ended".to_owned());
                    failed(&shared, &kept, &error).await;
                    return;
                }
                let task = tokio::spawn({
                    let shared = shared.clone();
                    async move { Box::pin(one(&shared, leased)).await }.instrument(span)
                });
                let outcome = task.await.unwrap_or_else(|error| {
                    Err(StoreError::Unexpected(format!(
                        "handling broke off: {error}"
                    )))
                });
                if let Err(error) = outcome {
                    failed(&shared, &kept, &error).await;
                }
            }
        })
        .collect();
    futures::future::join_all(tasks).await;
}

/// Puts a failed event back, or gives it up when it has failed too often: the lifter and the
/// coach are told then, for nothing that was taken in may be lost in silence.
async fn failed(shared: &Shared, leased: &Leased<Event>, error: &StoreError) {
    let (claim, attempts) = (&leased.claim, leased.attempts);
    if matches!(error, StoreError::Stale(_)) {
        tracing::warn!(%error, "taken over by another instance");
        return;
    }
    tracing::warn!(%error, attempts, "an event could not be handled");
    let now = shared.parts.clock.now();
    let store = &shared.parts.store;
    let busy = matches!(error, StoreError::Unavailable(_) | StoreError::Conflict(_));
    let written = if attempts >= MOST_CLAIMS && !busy {
        let brain = shared.parts.brain.now();
        let effects = trouble(&leased.item, &brain.words, &brain.rules);
        let told = store.apply(claim, &effects, now).await;
        shared.outbox_wake.notify_one();
        match told {
            Ok(()) => Ok(()),
            Err(_) => store.give_up(claim, &error.to_string(), now).await,
        }
    } else {
        store
            .retry_at(claim, shared.again(attempts), &error.to_string())
            .await
    };
    if let Err(error) = written {
        // The lease runs out by itself, and the event is taken up again then.
        tracing::warn!(%error, "the failure could not be noted");
    }
}

/// One event, decided again at once when something changed meanwhile.
async fn one(shared: &Shared, leased: Leased<Event>) -> Result<(), StoreError> {
    let mut last = None;
    for _ in 0..MOST_CONFLICTS {
        match Box::pin(try_one(shared, &leased)).await {
            Err(StoreError::Conflict(what)) => last = Some(StoreError::Conflict(what)),
            other => return other,
        }
    }
    last.map_or(Ok(()), Err)
}

/// Load, decide, write.
async fn try_one(shared: &Shared, leased: &Leased<Event>) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let event = &leased.item;
    let now = parts.clock.now();
    // What is decided with is not changed under way, whatever is loaded meanwhile.
    let brain = parts.brain.now();
    let known = load(shared, &brain, event, now).await?;
    let effects = draw::pictures(decide(event, &known, now)).await;
    let number = known.new_number;
    if !effects.cases.iter().any(|case| case.number == number) {
        shared.numbers.give_back(number).await;
    }
    parts.store.apply(&leased.claim, &effects, now).await?;
    if !effects.outbox.is_empty() || !effects.revive.is_empty() {
        shared.outbox_wake.notify_one();
    }
    let halted = |case: &Case| case.state == CaseState::Halted;
    if !effects.challenges.is_empty() || effects.cases.iter().any(halted) {
        shared.challenges_wake.notify_one();
    }
    tracing::info!(
        cases = effects.cases.len(),
        messages = effects.outbox.len(),
        "handled event {}",
        event.key.id
    );
    Ok(())
}

/// Whose cases an event concerns.
fn person(event: &Event) -> PersonKey {
    let person_id = match &event.payload {
        Payload::Left { member_id, .. } => member_id,
        _ => &event.actor.id,
    };
    PersonKey {
        source: event.key.source.clone(),
        person_id: person_id.clone(),
    }
}

/// Everything casework has to know.
async fn load<'a>(
    shared: &Shared,
    brain: &'a Brain,
    event: &Event,
    now: Timestamp,
) -> Result<Known<'a>, StoreError> {
    let parts = &shared.parts;
    let store = &parts.store;
    let source = &event.key.source;
    let needs = needs(event, &brain.rules);
    let mut person = person(event);
    let mut cases = Vec::new();
    let mut about = None;
    if let Payload::Deleted { message_id, .. } = &event.payload {
        // A moderator may take back what somebody else wrote.
        if let Some(case) = store
            .case_of_message(source, &event.room_id, message_id)
            .await?
        {
            person = case.person.clone();
            about = Some(case.id.clone());
            cases.push(case);
        }
    }
    let lifter: Option<Lifter> = store.lifter(&person).await?;
    let named = named(shared, needs).await?;
    let most = if needs.all_cases {
        u32::MAX
    } else {
        MOST_CASES
    };
    let about_whom = named.as_ref().filter(|_| needs.all_cases);
    let whose = about_whom.map_or(&person, |file| &file.case.person);
    for case in store.cases_of(whose, most).await? {
        if !cases.iter().any(|known| known.id == case.id) {
            cases.push(case);
        }
    }
    let (mark, ours) = messages(shared, event).await?;
    let traces = traces(shared, event, &cases).await?;
    let need = needs.community;
    let community = challenges::load(shared, brain, event, need, ours.as_ref(), now);
    let community = Box::pin(community).await?;
    let (queue, dead) = if needs.queue {
        let hours = brain.rules.aging_hours;
        // Of the coach's own platform: another's must not take the places of a page.
        let source = &event.key.source;
        let queue = store.desk_queue(source, now, hours, 0, MOST_QUEUE).await?;
        (queue, store.dead_letters_of(source, MOST_QUEUE).await?)
    } else {
        (Vec::new(), Vec::new())
    };
    Ok(Known {
        catalog: &brain.catalog,
        words: &brain.words,
        rules: &brain.rules,
        lifter,
        cases,
        new_number: new_number(shared, event).await?,
        mark,
        about,
        ours,
        named,
        queue,
        dead,
        sheet: sheet_lines(shared, needs, source, now).await?,
        fresh_link: fresh_link(shared, &person, needs, now).await?,
        coach_names: coach_names(shared, brain, needs, source).await?,
        traces,
        community,
        erased_at: store.privacy().erased_at(&person).await?,
        dossier: dossier(shared, needs, &person).await?,
        token: needs.dossier.then(token::fresh),
    })
}

/// The mark on the message acted on, and the message of ours that was answered or pressed.
async fn messages(
    shared: &Shared,
    event: &Event,
) -> Result<(Option<MessageMark>, Option<Outgoing>), StoreError> {
    let store = &shared.parts.store;
    let source = &event.key.source;
    Ok(match &event.payload {
        Payload::Message {
            message_id,
            reply_to,
            ..
        } => {
            let mark = store
                .message_mark(source, &event.room_id, message_id)
                .await?;
            // A thread begun on a message of ours goes by that message's id.
            let ours = match reply_to.as_ref().or(event.thread_id.as_ref()) {
                Some(id) => store.sent_message(source, id).await?,
                None => None,
            };
            (mark, ours)
        }
        Payload::Choice { message_id, .. } => (None, store.sent_message(source, message_id).await?),
        Payload::Deleted { message_id, .. } => (
            store
                .message_mark(source, &event.room_id, message_id)
                .await?,
            None,
        ),
        _ => (None, None),
    })
}

/// Rows of each table that are shown in chat or given by a link.
const MOST_ROWS: u32 = 2_000;

/// Everything kept of a person, when it was asked for.
async fn dossier(
    shared: &Shared,
    needs: Needs,
    person: &PersonKey,
) -> Result<Option<Dossier>, StoreError> {
    if !needs.dossier {
        return Ok(None);
    }
    let privacy = shared.parts.store.privacy();
    privacy.dossier(person, MOST_ROWS).await.map(Some)
}

/// What a review sheet may choose from, when one is asked for.
async fn sheet_lines(
    shared: &Shared,
    needs: Needs,
    source: &str,
    now: Timestamp,
) -> Result<Vec<SheetLine>, StoreError> {
    if !needs.sheet {
        return Ok(Vec::new());
    }
    let (earlier, since) = sheet_spans(now);
    let store = &shared.parts.store;
    store
        .sheet_lines(source, earlier, since, MOST_SHEET_LINES)
        .await
}

/// A token for a link to the desk, when one is asked for.
async fn fresh_link(
    shared: &Shared,
    coach: &PersonKey,
    needs: Needs,
    now: Timestamp,
) -> Result<Option<FreshLink>, StoreError> {
    if !needs.link {
        return Ok(None);
    }
    let since = now.checked_sub(LINKS_COUNTED_FOR).unwrap_or(now);
    let token = token::fresh();
    Ok(Some(FreshLink {
        hash: token::hash(&token),
        token,
        lately: shared.parts.store.sign_ins_since(coach, since).await?,
    }))
}

/// The names the platform's coaches last went by, when asked for.
async fn coach_names(
    shared: &Shared,
    brain: &Brain,
    needs: Needs,
    source: &str,
) -> Result<Vec<(PersonKey, String)>, StoreError> {
    let mut names = Vec::new();
    let coaches = brain.rules.coaches.iter();
    for coach in coaches.filter(|coach| needs.coach_names && coach.source == source) {
        if let Some(known) = shared.parts.store.lifter(coach).await? {
            names.push((coach.clone(), known.display_name));
        }
    }
    Ok(names)
}

/// A number for a case that a message or a form may open.
async fn new_number(shared: &Shared, event: &Event) -> Result<i64, StoreError> {
    match event.payload {
        Payload::Message { .. } | Payload::Form { .. } => {
            shared.numbers.next(shared.parts.store.as_ref()).await
        }
        _ => Ok(0),
    }
}

/// Kept traces of the sets under review, whole, when a lifter does something that may have one looked
/// at again.
async fn traces(
    shared: &Shared,
    event: &Event,
    cases: &[Case],
) -> Result<Vec<KeptFile>, StoreError> {
    let mut all = Vec::new();
    if matches!(event.payload, Payload::Order { .. } | Payload::Left { .. }) {
        return Ok(all);
    }
    let files = shared.parts.store.files();
    for case in cases.iter().filter(|case| case.state.is_open()) {
        for id in &case.body.traces {
            all.extend(files.file_of_case(&case.id, id).await?);
        }
    }
    Ok(all)
}

/// The case a coach named.
async fn named(shared: &Shared, needs: Needs) -> Result<Option<CaseFile>, StoreError> {
    let Some(number) = needs.case else {
        return Ok(None);
    };
    let Some(case) = shared.parts.store.case_by_number(number).await? else {
        return Ok(None);
    };
    let files = shared.parts.store.files().files_of_case(&case.id).await?;
    let file = file(shared, case).await?;
    Ok(Some(CaseFile { files, ..file }))
}

/// A case with history, queue item and lifter.
pub(super) async fn file(
    shared: &Shared,
    case: crate::record::Case,
) -> Result<CaseFile, StoreError> {
    let store = &shared.parts.store;
    Ok(CaseFile {
        entries: store.entries(&case.id, MOST_ENTRIES).await?,
        queue_item: store.queue_item(&case.id).await?,
        lifter: store.lifter(&case.person).await?,
        verdict: store.verdict_of_case(&case.id).await?,
        files: Vec::new(),
        case,
    })
}
