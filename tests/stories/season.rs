//! A whole season, decided by casework and kept by the store: many members, many challenges. The
//! messages stay in the outbox; what a platform does with them other stories tell.

use crate::season_midway::{deleted, stopped_midway, taken_back};
use anyhow::{Context as _, Result, ensure};
use cueline_bot::brain::{self, Brain};
use cueline_bot::casework::challenge::{due, season};
use cueline_bot::casework::{Known, decide};
use cueline_bot::record::{
    Actor, ActorKind, AnswerState, Case, CaseBody, CaseFile, CaseState, Challenge, ChallengeAnswer,
    ChallengeBody, ChallengeChange, ChallengeState, Effects, Event, EventKey, Lifter, Payload,
    PersonKey, Profile, Round,
};
use cueline_bot::store::{Claim, ClaimBatch, NewEvent, Store};
use cueline_core::challenge::{Answer, Chance, spoken_answer};
use cueline_core::report::{Lift, SetReport};
use cueline_core::triage::Level;
use cueline_tests::databases::{EngineKind, Fresh};
use cueline_tests::look::Look;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;

pub(crate) const SOURCE: &str = "/chat/river";

/// Everything the season is played with.
pub(crate) struct Play {
    pub(crate) fresh: Fresh,
    pub(crate) store: std::sync::Arc<dyn Store>,
    pub(crate) brain: Brain,
    pub(crate) members: usize,
    pub(crate) challenges: i64,
    pub(crate) events: u32,
}

pub(crate) fn at(hours: i64) -> Timestamp {
    let begin = Timestamp::from_second(1_767_600_000).unwrap_or_default();
    begin + SignedDuration::from_hours(hours)
}

pub(crate) fn person(id: &str) -> PersonKey {
    PersonKey {
        source: SOURCE.to_owned(),
        person_id: id.to_owned(),
    }
}

/// The challenge whose lifter takes their consent back while it is open.
const TAKEN_BACK: i64 = 17;
/// The challenge in the middle of whose reveal the service stops and starts again.
const STOPPED: i64 = 23;
/// After this challenge a member has everything about them deleted.
const DELETED_AFTER: i64 = 30;
/// That member.
pub(crate) const DELETED: usize = 5;

/// The last member answers once, and rightly.
fn lucky(play: &Play) -> usize {
    play.members - 1
}

/// How often a member finds the true cause: from 20 % to 90 %, by place.
fn skill(play: &Play, member: usize) -> f64 {
    0.2 + 0.7 * member as f64 / play.members as f64
}

/// A coach's message.
fn coach_says(play: &mut Play, text: &str, now: Timestamp) -> Event {
    says(play, "ana", "coaches", text, now)
}

/// Somebody's message.
pub(crate) fn says(play: &mut Play, who: &str, room: &str, text: &str, now: Timestamp) -> Event {
    play.events += 1;
    Event {
        key: EventKey {
            source: SOURCE.to_owned(),
            id: format!("e-{}", play.events),
        },
        time: now,
        room_id: room.to_owned(),
        thread_id: None,
        actor: Actor {
            id: who.to_owned(),
            display_name: who.to_owned(),
            kind: ActorKind::Person,
        },
        payload: Payload::Message {
            message_id: format!("m-{}", play.events),
            version: 1,
            text: text.to_owned(),
            reply_to: None,
            attachments: Vec::new(),
        },
    }
}

/// Takes an event in and leases it.
pub(crate) async fn leased(play: &Play, event: &Event, now: Timestamp) -> Result<Claim> {
    play.store
        .accept(NewEvent {
            event: event.clone(),
            body_hash: event.key.id.clone(),
            received_at: now,
        })
        .await?;
    let mut claims = play.store.claim_events(&batch(now)).await?;
    Ok(claims.pop().context("the event")?.claim)
}

pub(crate) fn batch(now: Timestamp) -> ClaimBatch {
    ClaimBatch {
        owner: "season".to_owned(),
        now,
        until: now + SignedDuration::from_hours(1),
        limit: 100,
    }
}

/// A case with one set and an open challenge of it.
fn opened(number: i64) -> (Case, Challenge) {
    let case = Case {
        id: format!("case-{number}"),
        number,
        person: person("mara"),
        room_id: "lifters".to_owned(),
        thread_id: None,
        lift: Some(Lift::Squat),
        state: CaseState::Mended,
        opened_at: at(0),
        updated_at: at(0),
        version: 0,
        body: CaseBody {
            rounds: vec![Round {
                at: at(0),
                event_id: format!("set-{number}"),
                report: SetReport::default(),
                level: Level::Answer,
                present: Vec::new(),
                absent: Vec::new(),
                chosen: Vec::new(),
                beliefs: vec![("c-sq-brace".to_owned(), 0.6)],
                edition: String::new(),
                estimate_kg: Some((160.0, 150.0, 170.0)),
                flags: Vec::new(),
                outcome: None,
                measured: None,
            }],
            ..CaseBody::default()
        },
    };
    let challenge = Challenge {
        number,
        id: format!("challenge-{number}"),
        case_id: case.id.clone(),
        event_id: format!("set-{number}"),
        person: person("mara"),
        opened_by: person("ana"),
        lift: Lift::Squat,
        room_id: "community".to_owned(),
        state: ChallengeState::Open,
        opened_at: at(number * 24),
        closes_at: at(number * 24 + 20),
        run_at: Some(at(number * 24 + 20)),
        sealed: Answer::default(),
        body: ChallengeBody::default(),
        version: 0,
    };
    (case, challenge)
}

/// What the members answer to one challenge, read from their words. Each wording is read once.
fn answers(
    play: &Play,
    number: i64,
    truth: &str,
    chance: &mut Chance,
    read: &mut BTreeMap<String, Answer>,
) -> Result<Vec<ChallengeChange>> {
    let causes = &play.brain.catalog.lifts[&Lift::Squat].causes;
    let mut changes = Vec::new();
    for member in 0..play.members {
        let gone = member == DELETED && number > DELETED_AFTER;
        if gone || (member == lucky(play) && number > 1) {
            continue;
        }
        let knows = (chance.below(1000) as f64) < 1000.0 * skill(play, member);
        let cause = if knows || member == lucky(play) {
            truth
        } else {
            &causes[chance.below(causes.len())].id
        };
        let text = format!("{cause} {}%; cue: breathe first", 50 + 10 * chance.below(4));
        if !read.contains_key(&text) {
            let spoken = spoken_answer(&play.brain.catalog, Lift::Squat, &text, Some(160.0))?;
            read.insert(text.clone(), spoken.answer);
        }
        changes.push(ChallengeChange::Answer(ChallengeAnswer {
            challenge: number,
            member: person(&format!("m-{member:05}")),
            at: at(number * 24),
            edits: 0,
            state: AnswerState::Taken,
            message_id: None,
            why: String::new(),
            answer: read[&text].clone(),
            mark: None,
        }));
    }
    Ok(changes)
}

/// What is known of a challenge, as the service loads it.
pub(crate) async fn known<'a>(
    play: &'a Play,
    challenge: &Challenge,
    page: Option<&str>,
) -> Result<Known<'a>> {
    let mut known = Known::of_nobody(&play.brain.catalog, &play.brain.words, &play.brain.rules);
    let case = play
        .store
        .case(&challenge.case_id)
        .await?
        .context("the case")?;
    let mut after = page.unwrap_or_default().to_owned();
    loop {
        let store = play.store.challenges();
        let answers = store.answers(challenge.number, SOURCE, &after, 200).await?;
        let Some(last) = answers.last() else { break };
        after.clone_from(&last.member.person_id);
        known.community.answers.extend(answers);
        if page.is_some() {
            break;
        }
    }
    known.community.file = Some(CaseFile {
        entries: Vec::new(),
        queue_item: None,
        lifter: play.store.lifter(&case.person).await?,
        verdict: None,
        files: Vec::new(),
        case,
    });
    known.community.challenge = Some(challenge.clone());
    Ok(known)
}

/// Works on whatever challenges have to do until nothing is due.
pub(crate) async fn work(play: &Play, now: Timestamp) -> Result<usize> {
    let mut steps = 0;
    loop {
        let leased = play.store.challenges().claim(&batch(now)).await?;
        if leased.is_empty() {
            return Ok(steps);
        }
        for one in leased {
            let page = (one.item.state == ChallengeState::Revealed)
                .then(|| one.item.body.marked_to.clone().unwrap_or_default());
            let known = known(play, &one.item, page.as_deref()).await?;
            let effects = due(&one.item, &known, now);
            play.store.apply(&one.claim, &effects, now).await?;
            steps += 1;
        }
    }
}

/// Plays one challenge from its opening to its last mark.
async fn one_challenge(
    play: &mut Play,
    number: i64,
    chance: &mut Chance,
    read: &mut BTreeMap<String, Answer>,
) -> Result<()> {
    let causes = &play.brain.catalog.lifts[&Lift::Squat].causes;
    let truth = causes[chance.below(causes.len())].id.clone();
    let (case, challenge) = opened(number);
    let mut changes = vec![ChallengeChange::Write(Box::new(challenge))];
    changes.extend(answers(play, number, &truth, chance, read)?);
    let effects = Effects {
        cases: vec![case],
        challenges: changes,
        ..Effects::default()
    };
    let event = coach_says(play, "hello", at(number * 24));
    let claim = leased(play, &event, at(number * 24)).await?;
    play.store.apply(&claim, &effects, at(number * 24)).await?;
    if number == TAKEN_BACK {
        return taken_back(play, number).await;
    }
    let closing = at(number * 24 + 20);
    ensure!(work(play, closing).await? == 1, "closed once");
    let event = coach_says(play, &format!("reveal {number} {truth}"), closing);
    let claim = leased(play, &event, closing).await?;
    let challenge = play
        .store
        .challenges()
        .numbered(number)
        .await?
        .context("kept")?;
    let mut known = known(play, &challenge, None).await?;
    let coach = PersonKey {
        source: event.key.source.clone(),
        person_id: event.actor.id.clone(),
    };
    known.lifter = play.store.lifter(&coach).await?;
    let effects = decide(&event, &known, closing);
    play.store.apply(&claim, &effects, closing).await?;
    let mut now = closing;
    if number == STOPPED {
        now = stopped_midway(play, closing).await?;
    }
    while play
        .store
        .challenges()
        .numbered(number)
        .await?
        .is_some_and(|one| one.run_at.is_some())
    {
        ensure!(work(play, now).await? <= 1, "one page at a time");
        now += SignedDuration::from_secs(15);
    }
    if number == DELETED_AFTER {
        deleted(play, number).await?;
    }
    Ok(())
}

/// Ranks of values, for the correlation of ranks (Spearman 1904).
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    for (rank, at) in order.into_iter().enumerate() {
        ranks[at] = rank as f64;
    }
    ranks
}

fn spearman(one: &[f64], other: &[f64]) -> f64 {
    let n = one.len() as f64;
    let (a, b) = (ranks(one), ranks(other));
    let squares: f64 = a.iter().zip(&b).map(|(a, b)| (a - b).powi(2)).sum();
    1.0 - 6.0 * squares / (n * (n * n - 1.0))
}

async fn a_season(kind: EngineKind, members: usize, challenges: i64) -> Result<()> {
    let fresh = Fresh::new(kind).await?;
    let mut brain = brain::load(None)
        .map_err(|problems| anyhow::anyhow!("{problems:?}"))?
        .1;
    brain.rules.coaches.push(person("ana"));
    let rooms = &mut brain.rules.challenges.rooms;
    rooms.insert(SOURCE.to_owned(), "community".to_owned());
    let mut play = Play {
        store: fresh.open().await?,
        fresh,
        brain,
        members,
        challenges,
        events: 0,
    };
    let mara = Lifter {
        key: person("mara"),
        display_name: "Mara".to_owned(),
        zone: None,
        reminders: true,
        left: false,
        last_reminder: None,
        profile: Profile::default(),
        version: 0,
    };
    let event = coach_says(&mut play, "hello", at(0));
    let claim = leased(&play, &event, at(0)).await?;
    let effects = Effects {
        lifter: Some(mara),
        ..Effects::default()
    };
    play.store.apply(&claim, &effects, at(0)).await?;
    let (mut chance, mut read) = (Chance::from_seed(7), BTreeMap::new());
    for number in 1..=play.challenges {
        Box::pin(one_challenge(&mut play, number, &mut chance, &mut read)).await?;
    }
    let end = at(play.challenges * 24 + 21);
    check(&mut play, end).await?;
    play.store.close().await;
    Ok(())
}

/// What must hold of the season: everybody's marks are there once, skill shows, luck does not lead.
async fn check(play: &mut Play, end: Timestamp) -> Result<()> {
    let (from, until, _) = season(&play.brain.rules, end).context("a season")?;
    ensure!(from <= at(0) && end < until, "the season holds all of it");
    let sums = play
        .store
        .challenges()
        .season(SOURCE, from, until, 100_000)
        .await?;
    // Everybody but the one who was deleted; one mark a challenge but the one taken back.
    ensure!(sums.len() == play.members - 1, "{} members", sums.len());
    let (gone, lucky_one) = (format!("m-{DELETED:05}"), format!("m-{:05}", lucky(play)));
    let challenges = u32::try_from(play.challenges)? - 1;
    for sum in &sums {
        let wanted = if sum.person_id == lucky_one {
            1
        } else {
            challenges
        };
        ensure!(sum.person_id != gone && sum.entries == wanted, "{sum:?}");
    }
    let means: Vec<f64> = sums
        .iter()
        .map(|sum| sum.sum / f64::from(sum.entries))
        .collect();
    let skills: Vec<f64> = (0..play.members)
        .filter(|member| *member != DELETED)
        .map(|member| skill(play, member))
        .collect();
    let all = play.members - 2;
    let rho = spearman(&means[..all], &skills[..all]);
    ensure!(rho > 0.9, "rank correlation of marks and skill: {rho}");
    // Each challenge but the one taken back is revealed by one post, and each answer has one mark.
    let mut look = Look::into_database(&play.fresh).await?;
    let reveals = "SELECT COUNT(*) FROM outbox WHERE body LIKE '%: the answer.**%'";
    let reveals = look.number(reveals).await?;
    ensure!(reveals == play.challenges - 1, "{reveals} reveals");
    let marks = "SELECT COUNT(*) FROM outbox WHERE body LIKE '% points**.%'";
    let marks = look.number(marks).await?;
    let wanted = (play.challenges - 1) * i64::try_from(all)? + 1;
    ensure!(marks == wanted, "{marks} marks for {wanted} answers");
    // The deleted member is named nowhere but in their own last word, which leaves nothing behind.
    for place in look.anywhere(&gone).await? {
        ensure!(place.starts_with("outbox."), "{gone} in {place}");
    }
    // The table as the coach reads it, with everybody who has one mark or more.
    play.brain.rules.challenges.least_entries = 1;
    let event = coach_says(play, "standing", end);
    let mut known = Known::of_nobody(&play.brain.catalog, &play.brain.words, &play.brain.rules);
    known.community.season = sums;
    let told = decide(&event, &known, end).outbox;
    let table = &told.first().context("a table")?.text;
    let first = table.lines().nth(1).context("a first place")?;
    let name = first.split(['.', ':']).nth(1).context("a name")?.trim();
    let place: usize = name.trim_start_matches("m-").parse()?;
    ensure!(place != lucky(play), "one lucky answer leads: {table}");
    ensure!(
        place * 10 >= play.members * 8,
        "{place} leads of {}: {table}",
        play.members
    );
    Ok(())
}

/// 2,000 members and 50 challenges: 98,000 answers and as many marks.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_thousand_members_and_fifty_challenges_on_sqlite() -> Result<()> {
    Box::pin(a_season(EngineKind::Sqlite, 2000, 50)).await
}

/// The same on the other engine.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_thousand_members_and_fifty_challenges_on_postgres() -> Result<()> {
    Box::pin(a_season(EngineKind::Postgres, 2000, 50)).await
}
