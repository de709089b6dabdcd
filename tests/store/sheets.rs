//! Review sheets: what may be chosen, what was put off, and cases handed from coach to coach.

use crate::samples::{SOURCE, ana, any_claim, case, lifter, minute, person, queued, write};
use cueline_bot::record::{
    CaseState, Effects, Entry, EntryKind, QueueChange, SheetDrawn, SheetLine, Urgency,
};
use cueline_bot::store::{Store, StoreError};
use cueline_tests::databases::{EngineKind, Fresh};
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
            .all(|line| line.carried_since.is_none() && !line.consent)
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
    a_case_is_handed_on_by_its_holder_and_by_nobody_else,
);
