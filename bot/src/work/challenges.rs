//! Challenges with something to do, and what events have to know of challenges.

use super::events::file;
use super::{MOST_CLAIMS, Shared, wait};
use crate::brain::Brain;
use crate::casework::challenge::{due, season, struck, trouble};
use crate::casework::{Community, CommunityNeed, Known, NEWEST_CASES, WorkLog};
use crate::record::{Case, Challenge, ChallengeAnswer, ChallengeState, Event, Outgoing, PersonKey};
use crate::store::{Leased, StoreError};
use jiff::Timestamp;
use std::sync::Arc;
use tokio_util::sync::CancellationToken;

/// Cases of a lifter that are looked at.
const MOST_CASES: u32 = 50;
/// Challenges listed.
const MOST_LISTED: u32 = 50;
/// Answers of one page of marks.
const PAGE: u32 = 200;
/// Answers a reveal's post tells of; marks have no such bound.
const MOST_ANSWERS: usize = 20_000;
/// Members of a standing.
const MOST_MEMBERS: u32 = 50_000;
/// Cases of one page.
const CASES_AT_ONCE: u32 = 500;
/// Newest verdicts compared.
const MOST_VERDICTS: u32 = 20_000;
/// Lines of the queue looked through.
const MOST_QUEUE: u32 = 200;

/// Works until the end.
pub(super) async fn run(shared: Arc<Shared>, stop: CancellationToken) {
    loop {
        let parts = &shared.parts;
        match parts.store.challenges().claim(&shared.batch()).await {
            Ok(due) if !due.is_empty() => {
                for leased in due {
                    handle(&shared, leased).await;
                }
                if stop.is_cancelled() {
                    return;
                }
                continue;
            }
            Ok(_) => {}
            Err(error) => tracing::warn!(%error, "no challenges could be leased"),
        }
        if !wait(&shared.challenges_wake, parts.settings.poll, &stop).await {
            return;
        }
    }
}

/// One challenge; a failure is put back, or left for a person.
async fn handle(shared: &Shared, leased: Leased<Challenge>) {
    let Err(error) = one(shared, &leased).await else {
        return;
    };
    if matches!(error, StoreError::Stale(_)) {
        return;
    }
    tracing::warn!(%error, challenge = leased.item.number, "a challenge could not be worked on");
    let store = &shared.parts.store;
    let now = shared.parts.clock.now();
    let busy = matches!(error, StoreError::Unavailable(_) | StoreError::Conflict(_));
    let written = if leased.attempts >= MOST_CLAIMS && !busy {
        let brain = shared.parts.brain.now();
        let effects = trouble(&leased.item, &brain.words, &brain.rules);
        if let Err(error) = store.apply(&leased.claim, &effects, now).await {
            tracing::warn!(%error, "the coach could not be told");
        }
        shared.outbox_wake.notify_one();
        store.give_up(&leased.claim, &error.to_string(), now).await
    } else {
        let at = shared.again(leased.attempts);
        store.retry_at(&leased.claim, at, &error.to_string()).await
    };
    if let Err(error) = written {
        tracing::warn!(%error, "the failure could not be noted");
    }
}

/// Load, decide, write.
async fn one(shared: &Shared, leased: &Leased<Challenge>) -> Result<(), StoreError> {
    let parts = &shared.parts;
    let challenge = &leased.item;
    let now = parts.clock.now();
    let brain = parts.brain.now();
    let mut community = Box::<Community>::default();
    with_case(shared, challenge, &mut community).await?;
    if challenge.state == ChallengeState::Revealed {
        let after = challenge.body.marked_to.as_deref().unwrap_or_default();
        let source = &challenge.person.source;
        let store = parts.store.challenges();
        community.answers = store.answers(challenge.number, source, after, PAGE).await?;
    }
    let mut known = Known::of_nobody(&brain.catalog, &brain.words, &brain.rules);
    known.community = community;
    let effects = due(challenge, &known, now);
    parts.store.apply(&leased.claim, &effects, now).await?;
    if !effects.outbox.is_empty() {
        shared.outbox_wake.notify_one();
    }
    Ok(())
}

/// The challenge's case, and all cases of its lifter.
async fn with_case(
    shared: &Shared,
    challenge: &Challenge,
    community: &mut Community,
) -> Result<(), StoreError> {
    let store = &shared.parts.store;
    if let Some(case) = store.case(&challenge.case_id).await? {
        community.lifter_cases = store.cases_of(&case.person, MOST_CASES).await?;
        community.file = Some(file(shared, case).await?);
    }
    let verdicts = store.challenges();
    community.verdict = verdicts
        .verdict_on(&challenge.case_id, &challenge.event_id)
        .await?;
    Ok(())
}

/// What an event has to know of challenges.
pub(super) async fn load(
    shared: &Shared,
    brain: &Brain,
    event: &Event,
    need: CommunityNeed,
    ours: Option<&Outgoing>,
    now: Timestamp,
) -> Result<Box<Community>, StoreError> {
    let source = &event.key.source;
    // A coach may speak of a member; everybody else speaks for themselves.
    let actor = PersonKey {
        source: source.clone(),
        person_id: struck(event, &brain.rules).unwrap_or_else(|| event.actor.id.clone()),
    };
    let store = &shared.parts.store;
    let challenges = store.challenges();
    let mut community = Box::<Community>::default();
    community.beside = beside(shared, event, ours).await?;
    if need.asks_for_strikes() || community.beside.is_some() {
        community.strikes = challenges.strikes_of(&actor).await?;
    }
    match need {
        CommunityNeed::Nothing | CommunityNeed::OwnStrikes => {}
        CommunityNeed::Strikes => community.member = store.lifter(&actor).await?,
        CommunityNeed::AllStrikes => {
            community.strikes = challenges.strikes(source, MOST_LISTED).await?;
        }
        CommunityNeed::List => community.live = challenges.live(source, MOST_LISTED).await?,
        CommunityNeed::Own => community.own = challenges.of_lifter(&actor, MOST_LISTED).await?,
        CommunityNeed::One(number) | CommunityNeed::Answers(number) => {
            if let Some(challenge) = challenges.numbered(number).await? {
                community.mine = challenges.answer_of(number, &actor).await?;
                community.member = store.lifter(&actor).await?;
                with_case(shared, &challenge, &mut community).await?;
                if need == CommunityNeed::Answers(number) {
                    community.answers = all_answers(shared, &challenge).await?;
                }
                community.challenge = Some(challenge);
            }
        }
        CommunityNeed::Opening(case) => {
            if let Some(case) = store.case_by_number(case).await? {
                community.lifter_cases = store.cases_of(&case.person, MOST_CASES).await?;
                community.own = challenges.of_lifter(&case.person, MOST_LISTED).await?;
                community.live = challenges.live(source, MOST_LISTED).await?;
                community.new_number = challenges.reserve_number().await?;
            }
        }
        CommunityNeed::Standing => {
            if let Some((from, until, _)) = season(&brain.rules, now) {
                community.season = challenges.season(source, from, until, MOST_MEMBERS).await?;
            }
        }
        CommunityNeed::Works => community.log = log(shared).await?,
        CommunityNeed::Faults => {
            community.log = log(shared).await?;
            community.verdicts = store.verdicts(MOST_VERDICTS).await?;
            let hours = brain.rules.aging_hours;
            community.queue = store.queue(now, hours, MOST_QUEUE).await?;
        }
    }
    Ok(community)
}

/// The case of another lifter that a message answers, or whose thread it is in.
async fn beside(
    shared: &Shared,
    event: &Event,
    ours: Option<&Outgoing>,
) -> Result<Option<Case>, StoreError> {
    let other = |person: &String| *person != event.actor.id;
    let Some(id) = ours
        .filter(|ours| ours.person_id.as_ref().is_some_and(other))
        .and_then(|ours| ours.case_id.as_ref())
    else {
        return Ok(None);
    };
    let case = shared.parts.store.case(id).await?;
    Ok(case.filter(|case| other(&case.person.person_id)))
}

/// All answers to a challenge, page by page.
async fn all_answers(
    shared: &Shared,
    challenge: &Challenge,
) -> Result<Vec<ChallengeAnswer>, StoreError> {
    let store = shared.parts.store.challenges();
    let source = &challenge.person.source;
    let mut answers: Vec<ChallengeAnswer> = Vec::new();
    loop {
        let after = answers
            .last()
            .map(|answer| answer.member.person_id.clone())
            .unwrap_or_default();
        let page = store
            .answers(challenge.number, source, &after, PAGE)
            .await?;
        if page.is_empty() || answers.len() >= MOST_ANSWERS {
            return Ok(answers);
        }
        answers.extend(page);
    }
}

/// What became of corrections, from the newest cases, page by page.
async fn log(shared: &Shared) -> Result<WorkLog, StoreError> {
    let store = shared.parts.store.challenges();
    let mut log = WorkLog::default();
    let (mut below, mut looked_at) = (i64::MAX, 0);
    while looked_at < NEWEST_CASES {
        let page = store.cases_below(below, CASES_AT_ONCE).await?;
        let Some(last) = page.last() else { break };
        below = last.number;
        looked_at += page.len();
        for case in &page {
            log.add(case);
        }
    }
    Ok(log)
}
