//! What a message leaves behind, links to data, lists of forgotten lifters, and cleaning by age.

use crate::samples::{
    SOURCE, ana, any_claim, batch, case, lifter, message, minute, outgoing, person, write,
};
use crate::schema::count;
use cueline_bot::record::{
    ChoiceButton, ChoiceStyle, DataLink, Effects, Erasure, Keep, Outgoing, Purpose, TooOld,
};
use cueline_bot::store::{Accepted, Ageing, Claim, Store, SuppressionList};
use cueline_tests::databases::{EngineKind, Fresh};
use jiff::Timestamp;
use std::collections::BTreeMap;

/// How the sending of a message ends.
#[derive(Clone, Copy, Debug)]
enum End {
    Sent,
    GivenUp,
    Withdrawn,
}

/// Writes a message and leases it.
async fn leased(store: &dyn Store, note: Outgoing) -> Claim {
    let event = note.key.clone();
    let effects = Effects {
        outbox: vec![note],
        ..Effects::default()
    };
    write(store, &event, &effects).await;
    let mut leased = store
        .claim_outgoing(&batch("a", minute(1), 9))
        .await
        .unwrap();
    assert_eq!(leased.len(), 1);
    leased.remove(0).claim
}

async fn a_message_leaves_behind_what_it_says_however_its_sending_ends(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    for end in [End::Sent, End::GivenUp, End::Withdrawn] {
        for keep in [Keep::All, Keep::Frame, Keep::Nothing] {
            let key = format!("{keep:?}-{end:?}");
            let mut note = outgoing(&key, "secretroom", Purpose::Reply);
            note.case_id = None;
            note.text = "secrettext".to_owned();
            note.keep = keep;
            let claim = leased(&*store, note).await;
            match end {
                End::Sent => store.mark_sent(&claim, "p-1", minute(2)).await,
                End::GivenUp => store.give_up(&claim, "refused ana", minute(2)).await,
                End::Withdrawn => store.withdraw(&claim, minute(2)).await,
            }
            .unwrap();
            let row = |what: &str| format!("outbox WHERE key = '{key}' AND {what}");
            let text = count(&fresh, &row("body LIKE '%secrettext%'")).await;
            let whose = count(&fresh, &row("person_id = 'ana'")).await;
            let trace = "(body LIKE '%ana%' OR room_key LIKE '%secretroom%'
                OR last_error LIKE '%ana%' OR platform_message_id IS NOT NULL)";
            let trace = count(&fresh, &row(trace)).await;
            match (keep, end) {
                (Keep::All, _) | (Keep::Frame, End::GivenUp) => {
                    assert_eq!((text, whose), (1, 1), "{key}");
                }
                (Keep::Frame, _) => assert_eq!((text, whose), (0, 1), "{key}"),
                (Keep::Nothing, _) => assert_eq!((text, whose, trace), (0, 0, 0), "{key}"),
            }
        }
    }
    let dead = store.dead_letters(9).await.unwrap();
    assert_eq!(dead.len(), 2, "one that leaves nothing is no dead letter");
}

async fn a_message_with_buttons_is_known_when_one_is_pressed(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut note = outgoing("k", "room", Purpose::Reply);
    note.case_id = None;
    note.keep = Keep::Nothing;
    note.choices = vec![ChoiceButton {
        choice_id: "yes".to_owned(),
        label: "Yes".to_owned(),
        style: ChoiceStyle::Plain,
    }];
    let claim = leased(&*store, note).await;
    store.mark_sent(&claim, "p-1", minute(2)).await.unwrap();
    let ours = store.sent_message(SOURCE, "p-1").await.unwrap().unwrap();
    assert_eq!((ours.text.as_str(), ours.choices.len()), ("", 1));
}

async fn a_link_opens_for_its_own_lifter_as_often_as_it_may_and_no_longer(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let give = |hash: &str| Effects {
        data_links: vec![DataLink {
            token_hash: hash.to_owned(),
            person: ana(),
            expires_at: minute(30),
            uses: 2,
        }],
        ..Effects::default()
    };
    let opened = async |hash, at| store.privacy().use_data_link(hash, at).await.unwrap();
    write(&*store, "e1", &give("one")).await;
    assert_eq!(opened("other", minute(1)).await, None);
    assert_eq!(opened("one", minute(30)).await, None, "too late");
    assert_eq!(opened("one", minute(29)).await, Some(ana()));
    assert_eq!(opened("one", minute(29)).await, Some(ana()));
    assert_eq!(opened("one", minute(29)).await, None, "worn out");
    write(&*store, "e2", &give("two")).await;
    write(&*store, "e3", &give("three")).await;
    assert_eq!(opened("two", minute(1)).await, None, "ended by the next");
    assert_eq!(opened("three", minute(1)).await, Some(ana()));
}

/// Ana with the first case and Ben with the second.
async fn two_lifters(store: &dyn Store) {
    let mut other = case(2);
    other.person = person("ben");
    let effects = Effects {
        lifter: Some(lifter(ana())),
        cases: vec![case(1), other],
        ..Effects::default()
    };
    write(store, "first", &effects).await;
}

async fn forget_ana(store: &dyn Store, at: Timestamp) {
    let effects = Effects {
        erase: Some(Erasure {
            person: ana(),
            erased_at: at,
        }),
        ..Effects::default()
    };
    write(store, "forget", &effects).await;
}

async fn a_list_taken_over_forgets_here_too_and_only_once(kind: EngineKind) {
    let here = Fresh::new(kind).await.unwrap();
    let there = Fresh::new(kind).await.unwrap();
    let (store, older) = (here.open().await.unwrap(), there.open().await.unwrap());
    two_lifters(&*store).await;
    two_lifters(&*older).await;
    forget_ana(&*store, minute(5)).await;
    assert_eq!(store.lifter(&ana()).await.unwrap(), None);
    assert_eq!(store.case("case-1").await.unwrap(), None);
    assert!(store.case("case-2").await.unwrap().is_some(), "Ben stays");
    let asked = store.privacy();
    assert_eq!(asked.erased_at(&ana()).await.unwrap(), Some(minute(5)));
    assert_eq!(asked.erased_at(&person("ben")).await.unwrap(), None);
    assert!(asked.dossier(&ana(), 9).await.unwrap().is_empty());
    let list = asked.suppressed().await.unwrap();
    assert!(list.suppressed.keys().all(|id| !id.contains("ana")));
    // An older database takes the list over.
    assert_eq!(older.privacy().suppress(&list).await.unwrap(), 1);
    older.close().await;
    let older = there.open().await.unwrap();
    assert_eq!(older.lifter(&ana()).await.unwrap(), None);
    assert!(older.case("case-2").await.unwrap().is_some());
    let asked = older.privacy();
    assert_eq!(asked.erased_at(&ana()).await.unwrap(), Some(minute(5)));
    // Ana begins anew; the same list does not forget her a second time.
    let again = Effects {
        lifter: Some(lifter(ana())),
        ..Effects::default()
    };
    write(&*older, "again", &again).await;
    assert_eq!(asked.suppress(&list).await.unwrap(), 0);
    assert!(older.lifter(&ana()).await.unwrap().is_some());
    // A list of another house fits nobody here.
    let foreign = SuppressionList {
        salt: "another".to_owned(),
        suppressed: BTreeMap::from([("0".repeat(64), 1)]),
    };
    assert!(asked.suppress(&foreign).await.is_err());
}

async fn a_repeat_of_a_forgotten_lifters_event_is_known(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    two_lifters(&*store).await;
    forget_ana(&*store, minute(5)).await;
    let depths = store.depths().await.unwrap();
    let again = message("first", "room of first", "squat 100 kg x 5");
    assert_eq!(store.accept(again).await.unwrap(), Accepted::Duplicate);
    assert_eq!(store.depths().await.unwrap(), depths);
    let left = "inbox WHERE body LIKE '%ana%' OR person_id = 'ana' OR room_id <> ''";
    assert_eq!(count(&fresh, left).await, 0);
}

async fn cleaning_goes_in_batches_and_leaves_what_is_young(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    for number in 0..5 {
        // Finished at the first minute, but for the last.
        let claim = any_claim(&*store, &format!("e{number}")).await;
        let at = minute(if number == 4 { 90 } else { 1 });
        let nothing = Effects::default();
        store.apply(&claim, &nothing, at).await.unwrap();
    }
    let too_old = TooOld {
        files: minute(60),
        pictures: minute(60),
        words: minute(60),
        flags: minute(60),
        figures: minute(60),
        unreadable: minute(60),
        names: minute(60),
    };
    let clean = async |what| {
        let privacy = store.privacy();
        privacy.clean(what, &too_old, minute(100), 3).await.unwrap()
    };
    assert_eq!(clean(Ageing::Events).await, 3);
    assert_eq!(clean(Ageing::Events).await, 1);
    assert_eq!(count(&fresh, "inbox").await, 1);
    for what in Ageing::ALL {
        assert_eq!(clean(what).await, 0, "{what:?}");
    }
}

on_both_engines!(
    a_message_leaves_behind_what_it_says_however_its_sending_ends,
    a_message_with_buttons_is_known_when_one_is_pressed,
    a_link_opens_for_its_own_lifter_as_often_as_it_may_and_no_longer,
    a_list_taken_over_forgets_here_too_and_only_once,
    a_repeat_of_a_forgotten_lifters_event_is_known,
    cleaning_goes_in_batches_and_leaves_what_is_young,
);
