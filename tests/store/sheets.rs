//! Review sheets: what may be chosen, what was put off, and cases handed from coach to coach.

use crate::samples::{SOURCE, ana, any_claim, case, lifter, minute, person, queued, write};
use cueline_bot::record::{
    CaseState, Challenge, ChallengeBody, ChallengeChange, ChallengeState, Effects, Entry,
    EntryKind, QueueChange, Round, SheetDrawn, SheetLine, Urgency,
};
use cueline_bot::store::{Store, StoreError};
use cueline_core::challenge::Answer;
use cueline_core::report::{Lift, SetReport};
use cueline_core::triage::Level;
use cueline_tests::databases::{EngineKind, Fresh};
use jiff::SignedDuration;
use std::sync::Arc;

/// Cases 1 to 4 of which 1 and 2 wait, 3 was answered lately and 4 long ago.
async fn with_cases(kind: EngineKind) -> (Fresh, Arc<dyn Store>) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut cases: Vec<_> = (1..=4).map(case).collect();
    for answered in &mut cases[2..] {
        answered.state = CaseState::Practising;
    }
    cases[2].updated_at = minute(500);
    let effects = Effects {
        lifter: Some(lifter(ana())),
        cases,
        queue: vec![
            QueueChange::Put(queued(1, Urgency::Asked, minute(20))),
            QueueChange::Put(queued(2, Urgency::Eye, minute(10))),
        ],
        ..Effects::default()
    };
    write(&*store, "cases", &effects).await;
    (fresh, store)
}

async fn lines(store: &dyn Store, earlier: i64) -> Vec<SheetLine> {
    let (earlier, since) = (minute(earlier), minute(100));
    store.sheet_lines(SOURCE, earlier, since, 10).await.unwrap()
}

fn numbers(lines: &[SheetLine]) -> Vec<i64> {
    lines.iter().map(|line| line.case.number).collect()
}

fn drawn(id: &str, at: i64, cases: &[i64]) -> Effects {
    Effects {
        sheet: Some(SheetDrawn {
            id: id.to_owned(),
            source: SOURCE.to_owned(),
            by: person("wren"),
            at: minute(at),
            minutes: 20,
            cases: cases
                .iter()
                .map(|number| format!("case-{number}"))
                .collect(),
        }),
        ..Effects::default()
    }
}

fn coach_spoke(at: i64) -> Effects {
    Effects {
        entries: vec![Entry {
            case_id: "case-1".to_owned(),
            at: minute(at),
            kind: EntryKind::Coach,
            who: "wren".to_owned(),
            message_id: None,
            text: "try it with a pause".to_owned(),
        }],
        ..Effects::default()
    }
}

async fn what_waits_comes_first_then_what_was_answered_lately(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let found = lines(&*store, 1_000).await;
    assert_eq!(numbers(&found), [2, 1, 3]);
    assert_eq!(found[0].lifter_name, "Ana");
    assert_eq!(found[0].item.as_ref().unwrap().urgency, Urgency::Eye);
    assert!(found[2].item.is_none());
    assert!(
        found
            .iter()
            .all(|line| line.carried_since.is_none() && line.consent.is_none())
    );
    let elsewhere = store.sheet_lines("/chat/other", minute(1_000), minute(0), 10);
    assert!(elsewhere.await.unwrap().is_empty());
    let first = store.sheet_lines(SOURCE, minute(1_000), minute(100), 1);
    assert_eq!(
        numbers(&first.await.unwrap()),
        [2, 3],
        "at most so many of each"
    );
}

async fn a_case_put_off_is_carried_over_until_the_coach_answers(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    write(&*store, "sheet", &drawn("s-1", 600, &[1, 3])).await;
    // The same sheet again changes nothing.
    write(&*store, "again", &drawn("s-1", 900, &[2])).await;
    let since = |lines: &[SheetLine], number| {
        let line = lines.iter().find(|line| line.case.number == number);
        line.unwrap().carried_since
    };
    // Within the same session it is no earlier sheet.
    assert_eq!(since(&lines(&*store, 600).await, 1), None);
    let later = lines(&*store, 5_000).await;
    assert_eq!(since(&later, 1), Some(minute(600)));
    assert_eq!(since(&later, 2), None);
    assert_eq!(numbers(&later), [2, 1], "what was shown is not shown again");
    write(&*store, "spoke", &coach_spoke(700)).await;
    assert_eq!(since(&lines(&*store, 5_000).await, 1), None);
    // Chosen again after that and put off again.
    write(&*store, "next", &drawn("s-2", 800, &[1])).await;
    assert_eq!(since(&lines(&*store, 5_000).await, 1), Some(minute(800)));
}

/// A challenge of case 1, made of one of its sets.
fn challenge(number: i64, set: &str, state: ChallengeState) -> ChallengeChange {
    ChallengeChange::Write(Box::new(Challenge {
        number,
        id: format!("challenge-{number}"),
        case_id: "case-1".to_owned(),
        event_id: set.to_owned(),
        person: ana(),
        opened_by: person("wren"),
        lift: Lift::Squat,
        room_id: "community".to_owned(),
        state,
        opened_at: minute(30),
        closes_at: minute(90),
        run_at: None,
        sealed: Answer::default(),
        body: ChallengeBody::default(),
        version: 0,
    }))
}

fn round(event_id: &str) -> Round {
    Round {
        at: minute(1),
        event_id: event_id.to_owned(),
        report: SetReport::default(),
        level: Level::Answer,
        present: Vec::new(),
        absent: Vec::new(),
        chosen: Vec::new(),
        beliefs: Vec::new(),
        edition: String::new(),
        estimate_kg: None,
        flags: Vec::new(),
        outcome: None,
        measured: None,
    }
}

async fn what_may_be_shown_is_what_the_lifter_agreed_to_and_did_not_take_back(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let mut first = store.case("case-1").await.unwrap().unwrap();
    first.body.rounds = vec![round("set-1")];
    let consent = async |challenge: Option<ChallengeChange>, id: &str| {
        let effects = Effects {
            challenges: challenge.into_iter().collect(),
            ..Effects::default()
        };
        write(&*store, id, &effects).await;
        let found = lines(&*store, 1_000).await;
        let of = |number| {
            found
                .iter()
                .find(|line| line.case.number == number)
                .unwrap()
        };
        assert_eq!(of(2).consent, None, "nobody asked about case 2");
        of(1).consent
    };
    let effects = Effects {
        cases: vec![first.clone()],
        ..Effects::default()
    };
    write(&*store, "set", &effects).await;
    assert_eq!(consent(None, "none").await, None);
    // Asked is not agreed.
    let asked = challenge(7, "set-1", ChallengeState::Asked);
    assert_eq!(consent(Some(asked), "asked").await, None);
    for (step, (state, expected)) in [
        (ChallengeState::Open, Some(7)),
        (ChallengeState::Closed, Some(7)),
        (ChallengeState::Revealed, Some(7)),
        (ChallengeState::Withdrawn, None),
    ]
    .into_iter()
    .enumerate()
    {
        let kept = store.challenges().numbered(7).await.unwrap().unwrap();
        let next = ChallengeChange::Write(Box::new(Challenge { state, ..kept }));
        let found = consent(Some(next), &format!("step-{step}")).await;
        assert_eq!(found, expected, "{state:?}");
    }
    // A newer set nobody was asked about; then that one too.
    let again = challenge(8, "set-1", ChallengeState::Open);
    assert_eq!(consent(Some(again), "again").await, Some(8));
    let mut next = store.case("case-1").await.unwrap().unwrap();
    next.body.rounds.push(round("set-2"));
    let effects = Effects {
        cases: vec![next],
        ..Effects::default()
    };
    write(&*store, "set-2", &effects).await;
    assert_eq!(consent(None, "newer").await, None);
    let both = challenge(9, "set-2", ChallengeState::Open);
    assert_eq!(consent(Some(both), "both").await, Some(9));
}

async fn the_sheet_kept_for_a_session_is_found_in_its_order(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let session = SignedDuration::from_mins(60);
    let kept = async |at: i64| store.kept_sheet(SOURCE, minute(at), session).await.unwrap();
    assert!(kept(600).await.is_none());
    write(&*store, "s1", &drawn("s-1", 540, &[2])).await;
    write(&*store, "s2", &drawn("s-2", 600, &[3, 1])).await;
    let (sheet, found) = kept(610).await.unwrap();
    assert_eq!(
        (sheet.id.as_str(), sheet.minutes, sheet.at),
        ("s-2", 20, minute(600))
    );
    assert_eq!(sheet.by, person("wren"));
    assert_eq!(sheet.cases, ["case-3", "case-1"]);
    assert_eq!(numbers(&found), [3, 1]);
    assert!(found[0].item.is_none(), "answered and not in the queue");
    assert_eq!(found[1].item.as_ref().unwrap().urgency, Urgency::Asked);
    assert!(found.iter().all(|line| line.carried_since.is_none()));
    // Over with the session; and not another platform's.
    assert!(kept(661).await.is_none());
    let other = store.kept_sheet("/chat/other", minute(610), session);
    assert!(other.await.unwrap().is_none());
    // Put off on an earlier one it is carried over on this one.
    write(&*store, "s3", &drawn("s-3", 900, &[1])).await;
    let (_, found) = kept(910).await.unwrap();
    assert_eq!(found[0].carried_since, Some(minute(600)));
}

async fn a_case_is_handed_on_by_its_holder_and_by_nobody_else(kind: EngineKind) {
    let (_fresh, store) = with_cases(kind).await;
    let hand = |from: &str, to: &str, until: i64| Effects {
        queue: vec![QueueChange::Hand {
            case_id: "case-1".to_owned(),
            from: person(from),
            to: person(to),
            until: minute(until),
        }],
        ..Effects::default()
    };
    // Nobody holds it: anybody may hand it on.
    write(&*store, "h1", &hand("wren", "ben", 30)).await;
    let holder = store.queue_item("case-1").await.unwrap().unwrap();
    assert_eq!(holder.taken_by, Some(person("ben")));
    let claim = any_claim(&*store, "h2").await;
    let refused = store
        .apply(&claim, &hand("wren", "wren", 60), minute(5))
        .await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    let claim = any_claim(&*store, "h3").await;
    store
        .apply(&claim, &hand("ben", "wren", 60), minute(5))
        .await
        .unwrap();
    let holder = store.queue_item("case-1").await.unwrap().unwrap();
    assert_eq!(
        (holder.taken_by, holder.taken_until),
        (Some(person("wren")), Some(minute(60)))
    );
    // The time is over: anybody again.
    let claim = any_claim(&*store, "h4").await;
    store
        .apply(&claim, &hand("ben", "ben", 90), minute(60))
        .await
        .unwrap();
}

on_both_engines!(
    what_waits_comes_first_then_what_was_answered_lately,
    a_case_put_off_is_carried_over_until_the_coach_answers,
    what_may_be_shown_is_what_the_lifter_agreed_to_and_did_not_take_back,
    the_sheet_kept_for_a_session_is_found_in_its_order,
    a_case_is_handed_on_by_its_holder_and_by_nobody_else,
);
