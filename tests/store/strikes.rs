//! Strikes: one for each cause, taken back for good, theirs to have, gone with who is forgotten.

use crate::challenges::changes;
use crate::samples::{SOURCE, minute, person, write};
use cueline_bot::record::{ChallengeChange, Strike, StrikeState, StrikeStep, TooOld};
use cueline_bot::store::Ageing;
use cueline_tests::databases::{EngineKind, Fresh};

fn strike(member: &str, cause: &str, at: i64, step: StrikeStep) -> Strike {
    Strike {
        member: person(member),
        cause_id: cause.to_owned(),
        at: minute(at),
        step,
        until: (step == StrikeStep::Week).then(|| minute(10_080)),
        rule: "through-pain".to_owned(),
        why: "it tells somebody to lift through pain".to_owned(),
        challenge: Some(1),
        given_by: None,
        state: StrikeState::Given,
    }
}

async fn a_strike_is_kept_once_for_its_cause_and_what_was_taken_back_stays_so(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let first = strike("joel", "m-1", 1, StrikeStep::Warning);
    let second = strike("joel", "m-2", 2, StrikeStep::Week);
    let other = strike("nora", "m-3", 3, StrikeStep::Out);
    let again = strike("joel", "m-1", 9, StrikeStep::Out);
    let all = [&first, &second, &other, &again];
    let all = all.map(|strike| ChallengeChange::Strike(strike.clone()));
    write(&*store, "e1", &changes(all.to_vec())).await;
    let challenges = store.challenges();
    let of_joel = challenges.strikes_of(&person("joel")).await.unwrap();
    assert_eq!(of_joel, [second.clone(), first.clone()]);
    let newest = challenges.strikes(SOURCE, 2).await.unwrap();
    assert_eq!(newest, [other.clone(), second.clone()]);
    let settle = |state| ChallengeChange::SettleStrike {
        member: person("joel"),
        cause_id: "m-2".to_owned(),
        state,
    };
    for (event, state, found) in [
        ("e2", StrikeState::Appealed, StrikeState::Appealed),
        ("e3", StrikeState::TakenBack, StrikeState::TakenBack),
        ("e4", StrikeState::Kept, StrikeState::TakenBack),
    ] {
        write(&*store, event, &changes(vec![settle(state)])).await;
        let of_joel = challenges.strikes_of(&person("joel")).await.unwrap();
        assert_eq!(of_joel[0].state, found, "{event}");
        assert_eq!(of_joel[1].state, StrikeState::Given);
    }
    // What was taken back is no longer among those of the platform.
    let newest = challenges.strikes(SOURCE, 9).await.unwrap();
    assert_eq!(newest, [other.clone(), first]);
    // All of it is the member's to have, and goes when they are forgotten.
    let dossier = store.privacy().dossier(&person("joel"), 9).await.unwrap();
    assert_eq!(dossier.rows("strikes").len(), 2);
    challenges.forget_member(&person("joel")).await.unwrap();
    let newest = challenges.strikes(SOURCE, 9).await.unwrap();
    assert_eq!(newest, [other]);
    store.close().await;
}

async fn old_strikes_go_but_who_is_out_stays_out(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let all = [
        strike("joel", "m-1", 1, StrikeStep::Warning),
        strike("joel", "m-2", 2, StrikeStep::Out),
        strike("nora", "m-3", 500, StrikeStep::Warning),
    ];
    let all = all.map(ChallengeChange::Strike);
    write(&*store, "e1", &changes(all.to_vec())).await;
    let too_old = TooOld {
        files: minute(0),
        pictures: minute(0),
        words: minute(0),
        flags: minute(0),
        figures: minute(100),
        unreadable: minute(0),
        names: minute(0),
    };
    let privacy = store.privacy();
    let cleaned = privacy.clean(Ageing::Strikes, &too_old, minute(600), 9);
    assert_eq!(cleaned.await.unwrap(), 1);
    let left = store.challenges().strikes(SOURCE, 9).await.unwrap();
    let left: Vec<&str> = left.iter().map(|strike| strike.cause_id.as_str()).collect();
    assert_eq!(left, ["m-3", "m-2"]);
    store.close().await;
}

on_both_engines!(
    a_strike_is_kept_once_for_its_cause_and_what_was_taken_back_stays_so,
    old_strikes_go_but_who_is_out_stays_out,
);
