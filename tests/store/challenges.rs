//! Challenges: one answer a member and only while open, leases with fences, marks added up, nothing
//! left of who is forgotten.

use crate::samples::{SOURCE, ana, any_claim, batch, case, lifter, minute, person, write};
use cueline_bot::record::{
    AnswerState, CaseState, Challenge, ChallengeAnswer, ChallengeBody, ChallengeChange,
    ChallengeState, Effects, Lifter, PersonKey,
};
use cueline_bot::store::{Store, StoreError};
use cueline_core::challenge::{Answer, ExerciseVerdict, Mark, NamedCause};
use cueline_core::report::Lift;
use cueline_tests::databases::{EngineKind, Fresh};

fn challenge(number: i64, state: ChallengeState) -> Challenge {
    Challenge {
        number,
        id: format!("challenge-{number}"),
        case_id: format!("case-{number}"),
        event_id: "set-1".to_owned(),
        person: ana(),
        opened_by: person("wren"),
        lift: Lift::Squat,
        room_id: "community".to_owned(),
        state,
        opened_at: minute(0),
        closes_at: minute(60),
        run_at: Some(minute(60)),
        sealed: answered("c-sq-brace"),
        body: ChallengeBody {
            text: "About 140 kg x 3".to_owned(),
            ..ChallengeBody::default()
        },
        version: 0,
    }
}

fn answered(cause: &str) -> Answer {
    Answer {
        causes: vec![NamedCause {
            cause: cause.to_owned(),
            confidence: Some(0.7),
        }],
        cue: "breathe first".to_owned(),
        ..Answer::default()
    }
}

fn answer(number: i64, member: &str, edits: u32) -> ChallengeAnswer {
    ChallengeAnswer {
        challenge: number,
        member: person(member),
        at: minute(5),
        edits,
        state: AnswerState::Taken,
        message_id: Some(format!("m-{member}")),
        why: String::new(),
        answer: answered("c-sq-brace"),
        mark: None,
    }
}

fn mark(causes: f64) -> Mark {
    Mark {
        causes,
        first: 20.0,
        exercise: 0.0,
        exercise_verdict: ExerciseVerdict::None,
    }
}

pub(crate) fn changes(challenges: Vec<ChallengeChange>) -> Effects {
    Effects {
        challenges,
        ..Effects::default()
    }
}

/// A case with its challenge.
async fn begin(store: &dyn Store, number: i64, state: ChallengeState) {
    let effects = Effects {
        cases: vec![case(number)],
        challenges: vec![ChallengeChange::Write(Box::new(challenge(number, state)))],
        ..Effects::default()
    };
    write(store, &format!("begin-{number}"), &effects).await;
}

async fn a_challenge_comes_back_as_written_and_its_sealed_answer_never_changes(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let challenges = store.challenges();
    assert_eq!(challenges.reserve_number().await.unwrap(), 1);
    assert_eq!(challenges.reserve_number().await.unwrap(), 2);
    begin(&*store, 1, ChallengeState::Asked).await;
    let mut kept = challenges.numbered(1).await.unwrap().unwrap();
    let expected = Challenge {
        version: 1,
        ..challenge(1, ChallengeState::Asked)
    };
    assert_eq!(kept, expected);
    assert_eq!(challenges.live(SOURCE, 9).await.unwrap(), [kept.clone()]);
    assert_eq!(
        challenges.of_lifter(&ana(), 9).await.unwrap(),
        [kept.clone()]
    );
    kept.state = ChallengeState::Open;
    kept.sealed = answered("c-sq-ankle");
    let effects = changes(vec![ChallengeChange::Write(Box::new(kept.clone()))]);
    write(&*store, "e1", &effects).await;
    let again = challenges.numbered(1).await.unwrap().unwrap();
    assert_eq!(again.state, ChallengeState::Open);
    assert_eq!(again.sealed, answered("c-sq-brace"), "sealed is sealed");
    // The same version once more: somebody else has changed it meanwhile.
    let claim = any_claim(&*store, "e2").await;
    let refused = store.apply(&claim, &effects, minute(0)).await;
    assert!(
        matches!(refused, Err(StoreError::Conflict(_))),
        "{refused:?}"
    );
    store.close().await;
}

async fn an_answer_is_one_a_member_and_only_while_the_challenge_is_open(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let challenges = store.challenges();
    begin(&*store, 1, ChallengeState::Open).await;
    begin(&*store, 2, ChallengeState::Closed).await;
    for edits in 0..3 {
        let effects = changes(vec![ChallengeChange::Answer(answer(1, "joel", edits))]);
        write(&*store, &format!("e{edits}"), &effects).await;
    }
    let kept = challenges.answers(1, SOURCE, "", 9).await.unwrap();
    assert_eq!(kept, [answer(1, "joel", 2)]);
    for number in [2, 3] {
        let claim = any_claim(&*store, &format!("late-{number}")).await;
        let effects = changes(vec![ChallengeChange::Answer(answer(number, "joel", 0))]);
        let refused = store.apply(&claim, &effects, minute(0)).await;
        assert!(
            matches!(refused, Err(StoreError::Conflict(_))),
            "{refused:?}"
        );
    }
    // Pages in the order of the members' ids.
    let more = ["ada", "zoe", "max"].map(|who| ChallengeChange::Answer(answer(1, who, 0)));
    write(&*store, "more", &changes(more.to_vec())).await;
    let page = challenges.answers(1, SOURCE, "ada", 2).await.unwrap();
    let members: Vec<&str> = page
        .iter()
        .map(|one| one.member.person_id.as_str())
        .collect();
    assert_eq!(members, ["joel", "max"]);
    store.close().await;
}

async fn whoever_lost_the_lease_changes_nothing_and_the_next_takes_over(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let challenges = store.challenges();
    begin(&*store, 1, ChallengeState::Open).await;
    assert_eq!(
        challenges.claim(&batch("a", minute(59), 9)).await.unwrap(),
        []
    );
    let first = challenges.claim(&batch("a", minute(60), 9)).await.unwrap();
    assert_eq!(first.len(), 1);
    // Leased: nobody else has it, until the lease runs out.
    assert_eq!(
        challenges.claim(&batch("b", minute(61), 9)).await.unwrap(),
        []
    );
    let second = challenges.claim(&batch("b", minute(71), 9)).await.unwrap();
    assert_eq!(second[0].attempts, 2);
    let mut closed = second[0].item.clone();
    closed.state = ChallengeState::Closed;
    closed.run_at = None;
    let effects = changes(vec![ChallengeChange::Write(Box::new(closed))]);
    let stale = store.apply(&first[0].claim, &effects, minute(72)).await;
    assert!(matches!(stale, Err(StoreError::Stale(_))), "{stale:?}");
    store
        .apply(&second[0].claim, &effects, minute(72))
        .await
        .unwrap();
    let kept = challenges.numbered(1).await.unwrap().unwrap();
    assert_eq!((kept.state, kept.run_at), (ChallengeState::Closed, None));
    assert_eq!(
        challenges.claim(&batch("a", minute(999), 9)).await.unwrap(),
        []
    );
    store.close().await;
}

async fn a_case_that_is_stopped_has_its_challenge_looked_at_at_once(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    begin(&*store, 1, ChallengeState::Open).await;
    let mut stopped = store.case("case-1").await.unwrap().unwrap();
    stopped.state = CaseState::Halted;
    let effects = Effects {
        cases: vec![stopped],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let due = store
        .challenges()
        .claim(&batch("a", minute(1), 9))
        .await
        .unwrap();
    assert_eq!(due.len(), 1);
    store.close().await;
}

async fn an_answer_taken_back_before_the_marks_gets_none(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    begin(&*store, 1, ChallengeState::Open).await;
    let marked = |member: &str| ChallengeChange::Mark {
        challenge: 1,
        member: person(member),
        mark: mark(10.0),
    };
    let all = vec![
        ChallengeChange::Answer(answer(1, "joel", 0)),
        ChallengeChange::Answer(answer(1, "nora", 0)),
        ChallengeChange::Settle {
            challenge: 1,
            member: person("nora"),
            state: AnswerState::Withdrawn,
        },
        marked("joel"),
        marked("nora"),
    ];
    write(&*store, "e1", &changes(all)).await;
    for (member, wanted) in [("joel", Some(mark(10.0))), ("nora", None)] {
        let kept = store.challenges().answer_of(1, &person(member)).await;
        assert_eq!(kept.unwrap().unwrap().mark, wanted, "{member}");
    }
    store.close().await;
}

async fn marks_are_added_up_by_member_for_the_season_they_closed_in(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    for number in [1, 2] {
        begin(&*store, number, ChallengeState::Open).await;
    }
    let marked = |challenge, member: &str, points| {
        [
            ChallengeChange::Answer(answer(challenge, member, 0)),
            ChallengeChange::Mark {
                challenge,
                member: person(member),
                mark: mark(points),
            },
        ]
    };
    let mut all = Vec::new();
    for (challenge, member, points) in [(1, "joel", 10.5), (2, "joel", -40.0), (1, "nora", 69.25)] {
        all.extend(marked(challenge, member, points));
    }
    all.push(ChallengeChange::Answer(answer(2, "zoe", 0)));
    all.push(ChallengeChange::Hide {
        member: person("nora"),
        hidden: true,
    });
    let effects = Effects {
        lifter: Some(Lifter {
            display_name: "Joel B".to_owned(),
            ..lifter(person("joel"))
        }),
        challenges: all,
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let challenges = store.challenges();
    let season = challenges
        .season(SOURCE, minute(0), minute(61), 9)
        .await
        .unwrap();
    let found: Vec<(&str, &str, bool, u32)> = season
        .iter()
        .map(|sum| {
            (
                sum.person_id.as_str(),
                sum.name.as_str(),
                sum.hidden,
                sum.entries,
            )
        })
        .collect();
    assert_eq!(
        found,
        [("joel", "Joel B", false, 2), ("nora", "nora", true, 1)]
    );
    assert!((season[0].sum - (30.5 - 20.0)).abs() < 1e-9);
    assert!((season[0].squares - (30.5_f64.powi(2) + 400.0)).abs() < 1e-6);
    assert_eq!(
        challenges
            .season(SOURCE, minute(61), minute(99), 9)
            .await
            .unwrap(),
        []
    );
    // What has its mark is settled; what has none is not.
    let settle = |member: &str| ChallengeChange::Settle {
        challenge: 2,
        member: person(member),
        state: AnswerState::Withdrawn,
    };
    write(&*store, "e2", &changes(vec![settle("joel"), settle("zoe")])).await;
    let state = async |who: &str| {
        let found = challenges.answer_of(2, &person(who)).await.unwrap();
        found.unwrap().state
    };
    assert_eq!(state("joel").await, AnswerState::Taken);
    assert_eq!(state("zoe").await, AnswerState::Withdrawn);
    store.close().await;
}

async fn an_emptied_challenge_keeps_marks_and_nothing_anybody_wrote(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    begin(&*store, 1, ChallengeState::Open).await;
    let post = crate::samples::outgoing("post-1", "community", cueline_bot::record::Purpose::Coach);
    let effects = Effects {
        challenges: vec![
            ChallengeChange::Answer(answer(1, "joel", 0)),
            ChallengeChange::Answer(answer(1, "nora", 0)),
            ChallengeChange::Mark {
                challenge: 1,
                member: person("joel"),
                mark: mark(40.0),
            },
        ],
        outbox: vec![post],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let empty = ChallengeChange::Empty {
        challenge: 1,
        posts: vec!["post-1".to_owned()],
    };
    write(&*store, "e2", &changes(vec![empty])).await;
    let kept = store.challenges().answers(1, SOURCE, "", 9).await.unwrap();
    assert!(kept.iter().all(|one| one.answer == Answer::default()));
    assert_eq!(kept[0].mark, Some(mark(40.0)));
    assert_eq!(kept[1].state, AnswerState::Withdrawn);
    assert_eq!(store.depths().await.unwrap().outbox, 0);
    store.close().await;
}

async fn forgetting_takes_a_members_answers_and_a_case_takes_its_challenge(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    begin(&*store, 1, ChallengeState::Open).await;
    let joel: PersonKey = person("joel");
    let effects = changes(vec![
        ChallengeChange::Answer(answer(1, "joel", 0)),
        ChallengeChange::Answer(answer(1, "nora", 0)),
        ChallengeChange::Hide {
            member: joel.clone(),
            hidden: true,
        },
    ]);
    write(&*store, "e1", &effects).await;
    assert_eq!(store.challenges().forget_member(&joel).await.unwrap(), 1);
    assert_eq!(store.challenges().forget_member(&joel).await.unwrap(), 0);
    assert_eq!(crate::schema::count(&fresh, "standing_hidden").await, 0);
    assert_eq!(crate::schema::count(&fresh, "challenge_answers").await, 1);
    crate::schema::run(&fresh, "DELETE FROM cases WHERE id = 'case-1'").await;
    assert_eq!(crate::schema::count(&fresh, "challenge_answers").await, 0);
    assert_eq!(crate::schema::count(&fresh, "challenges").await, 0);
    store.close().await;
}

async fn a_page_of_marks_is_written_at_once_each_to_its_own_answer(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    begin(&*store, 1, ChallengeState::Open).await;
    begin(&*store, 2, ChallengeState::Open).await;
    // Ids and reasons as people may have them.
    let members = ["joel", "o'\"brien", "zoë \\ 1", "nora"];
    let answers = [1, 2].into_iter().flat_map(|number| {
        members.map(|member| ChallengeChange::Answer(answer(number, member, 0)))
    });
    write(&*store, "e1", &changes(answers.collect())).await;
    let marked = |number: i64, member: &str, points: f64| ChallengeChange::Mark {
        challenge: number,
        member: person(member),
        mark: mark(points),
    };
    let mut all: Vec<ChallengeChange> = members
        .iter()
        .zip([10.5, -40.25, 69.0, 0.0])
        .map(|(member, points)| marked(1, member, points))
        .collect();
    all.push(marked(2, "joel", 5.0));
    all.push(marked(2, "nobody", 5.0));
    write(&*store, "e2", &changes(all)).await;
    let challenges = store.challenges();
    for (member, points) in members.iter().zip([10.5, -40.25, 69.0, 0.0]) {
        let kept = challenges.answer_of(1, &person(member)).await.unwrap();
        assert_eq!(kept.unwrap().mark, Some(mark(points)), "{member}");
    }
    let of_two = challenges.answers(2, SOURCE, "", 9).await.unwrap();
    let marked: Vec<&str> = of_two
        .iter()
        .filter(|answer| answer.mark.is_some())
        .map(|answer| answer.member.person_id.as_str())
        .collect();
    assert_eq!(marked, ["joel"]);
    let total = crate::schema::count(&fresh, "challenge_answers WHERE points = -20250").await;
    assert_eq!(total, 1, "points are kept as thousandths");
    store.close().await;
}

async fn cases_come_page_by_page_the_newest_first(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let effects = Effects {
        cases: (1..=5).map(case).collect(),
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let mut seen = Vec::new();
    let mut below = i64::MAX;
    loop {
        let page = store.challenges().cases_below(below, 2).await.unwrap();
        let Some(last) = page.last() else { break };
        below = last.number;
        seen.extend(page.iter().map(|case| case.number));
    }
    assert_eq!(seen, [5, 4, 3, 2, 1]);
    store.close().await;
}

on_both_engines!(
    a_challenge_comes_back_as_written_and_its_sealed_answer_never_changes,
    an_answer_is_one_a_member_and_only_while_the_challenge_is_open,
    whoever_lost_the_lease_changes_nothing_and_the_next_takes_over,
    a_case_that_is_stopped_has_its_challenge_looked_at_at_once,
    marks_are_added_up_by_member_for_the_season_they_closed_in,
    an_answer_taken_back_before_the_marks_gets_none,
    an_emptied_challenge_keeps_marks_and_nothing_anybody_wrote,
    forgetting_takes_a_members_answers_and_a_case_takes_its_challenge,
    a_page_of_marks_is_written_at_once_each_to_its_own_answer,
    cases_come_page_by_page_the_newest_first,
);
