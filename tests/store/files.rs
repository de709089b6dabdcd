//! Pictures and traces: kept once, listed without their contents, and gone with whatever they are of.

use crate::samples::{SOURCE, ana, any_claim, batch, case, lifter, message, minute, person, write};
use crate::schema::count;
use cueline_bot::record::{
    Attachment, ConsentEntry, ConsentHow, ConsentStep, Effects, KeptFile, Payload, PersonKey,
    Reason, TooOld, Wipe,
};
use cueline_bot::store::{Ageing, MOST_OF_A_PERSON, Store};
use cueline_tests::databases::{EngineKind, Fresh};
use cueline_tests::files::{PIXEL, pixel};

fn file(id: &str, number: i64, whose: PersonKey, at: i64) -> KeptFile {
    KeptFile {
        id: id.to_owned(),
        case_id: format!("case-{number}"),
        person: whose,
        message_id: Some(format!("m-of-{id}")),
        at: minute(at),
        name: format!("{id}.png"),
        media_type: "image/png".to_owned(),
        size: 68,
        sha256: "0".repeat(64),
        pixels: Some((1, 1)),
        content: Some(PIXEL.to_owned()),
        url: None,
    }
}

/// Ana with the first case and Ben with the second, and these files.
async fn kept(store: &dyn Store, files: Vec<KeptFile>) {
    let mut other = case(2);
    other.person = person("ben");
    let effects = Effects {
        lifter: Some(lifter(ana())),
        cases: vec![case(1), other],
        files,
        ..Effects::default()
    };
    write(store, "first", &effects).await;
}

async fn names(store: &dyn Store, case_id: &str) -> Vec<String> {
    let files = store.files().files_of_case(case_id).await.unwrap();
    files.into_iter().map(|file| file.id).collect()
}

async fn a_file_is_kept_once_and_listed_without_its_content(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut link = file("b", 1, ana(), 1);
    link.content = None;
    link.pixels = None;
    link.message_id = None;
    link.url = Some("https://files.example/b.png".to_owned());
    kept(&*store, vec![file("a", 1, ana(), 0), link.clone()]).await;
    let again = Effects {
        files: vec![KeptFile {
            name: "other".to_owned(),
            ..file("a", 1, ana(), 5)
        }],
        ..Effects::default()
    };
    write(&*store, "again", &again).await;
    let listed = store.files().files_of_case("case-1").await.unwrap();
    let mut first = file("a", 1, ana(), 0);
    first.content = None;
    assert_eq!(listed, [first, link]);
    let whole = store.files().file_of_case("case-1", "a").await.unwrap();
    assert_eq!(whole.as_ref(), Some(&file("a", 1, ana(), 0)));
    assert_eq!(whole.unwrap().bytes(), Some(pixel()));
    for (case_id, id) in [("case-2", "a"), ("case-1", "c"), ("case-9", "a")] {
        let none = store.files().file_of_case(case_id, id).await.unwrap();
        assert_eq!(none, None, "{case_id} {id}");
    }
}

async fn of_one_person_the_newest_stay_and_nobody_else_loses_any(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    kept(&*store, vec![file("bens", 2, person("ben"), 0)]).await;
    for number in 0..MOST_OF_A_PERSON + 6 {
        let effects = Effects {
            files: vec![file(&format!("f{number}"), 1, ana(), i64::from(number))],
            ..Effects::default()
        };
        write(&*store, &format!("e{number}"), &effects).await;
    }
    let left = names(&*store, "case-1").await;
    assert_eq!(left.len(), MOST_OF_A_PERSON as usize);
    assert_eq!(left.first().map(String::as_str), Some("f6"));
    assert_eq!(names(&*store, "case-2").await, ["bens"]);
}

async fn a_file_goes_with_its_message_its_lifters_words_and_its_age(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let files = vec![
        file("a", 1, ana(), 0),
        file("b", 1, ana(), 30),
        file("c", 1, ana(), 60),
        file("bens", 2, person("ben"), 90),
    ];
    kept(&*store, files).await;
    let taken_back = Effects {
        forget_texts: vec![(SOURCE.to_owned(), "room".to_owned(), "m-of-b".to_owned())],
        ..Effects::default()
    };
    write(&*store, "taken-back", &taken_back).await;
    assert_eq!(names(&*store, "case-1").await, ["a", "c"]);
    let too_old = TooOld {
        files: minute(0),
        pictures: minute(60),
        words: minute(0),
        flags: minute(0),
        figures: minute(0),
        unreadable: minute(0),
        names: minute(0),
    };
    let privacy = store.privacy();
    let clean = async || {
        let what = Ageing::Pictures;
        privacy.clean(what, &too_old, minute(100), 5).await.unwrap()
    };
    assert_eq!((clean().await, clean().await), (1, 0));
    assert_eq!(names(&*store, "case-1").await, ["c"]);
    let rows = privacy.dossier(&ana(), 9).await.unwrap();
    assert_eq!(rows.rows("case_files")[0]["content"], PIXEL);
    assert_eq!(rows.rows("case_files").len(), 1, "nobody else's");
    let back = Effects {
        forget_words: Some((ana(), Vec::<Reason>::new())),
        ..Effects::default()
    };
    write(&*store, "back", &back).await;
    assert_eq!(names(&*store, "case-1").await, Vec::<String>::new());
    assert_eq!(names(&*store, "case-2").await, ["bens"]);
    // And with its case.
    crate::schema::run(&fresh, "DELETE FROM cases WHERE id = 'case-2'").await;
    assert_eq!(count(&fresh, "case_files").await, 0);
}

async fn files_are_taken_out_of_the_event_and_its_words_stay(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let mut new = message("e1", "room", "squat 100 kg x 5, zwieback");
    if let Payload::Message { attachments, .. } = &mut new.event.payload {
        attachments.push(Attachment {
            attachment_id: "a1".to_owned(),
            name: "plumfile.png".to_owned(),
            media_type: "image/png".to_owned(),
            size: 68,
            sha256: "0".repeat(64),
            data_base64: Some(PIXEL.to_owned()),
            url: None,
        });
    }
    store.accept(new).await.unwrap();
    let mut leased = store.claim_events(&batch("a", minute(0), 1)).await.unwrap();
    let leased = leased.remove(0);
    assert_eq!(leased.item.payload.files().len(), 1);
    let effects = Effects {
        wipe: Some(Wipe::Files),
        ..Effects::default()
    };
    store
        .apply(&leased.claim, &effects, minute(1))
        .await
        .unwrap();
    let row = |mark: &str| format!("inbox WHERE body LIKE '%{mark}%'");
    assert_eq!(count(&fresh, &row("plumfile")).await, 0);
    assert_eq!(count(&fresh, &row("zwieback")).await, 1);
    // A wipe of what holds none changes nothing.
    let claim = any_claim(&*store, "e2").await;
    store.apply(&claim, &effects, minute(1)).await.unwrap();
    assert_eq!(count(&fresh, "inbox WHERE body <> '{}'").await, 2);
}

async fn the_log_of_consents_names_the_coach_who_recorded_a_guardians_word(kind: EngineKind) {
    let fresh = Fresh::new(kind).await.unwrap();
    let store = fresh.open().await.unwrap();
    let entry = |recorded_by: Option<&str>| ConsentEntry {
        person: ana(),
        step: ConsentStep::Yes,
        at: minute(0),
        how: ConsentHow::Words,
        event_id: "e1".to_owned(),
        text_version: "v".to_owned(),
        text: None,
        recorded_by: recorded_by.map(str::to_owned),
    };
    let effects = Effects {
        consents: vec![entry(Some("wren")), entry(None)],
        ..Effects::default()
    };
    write(&*store, "e1", &effects).await;
    let told = store.privacy().dossier(&ana(), 9).await.unwrap();
    let told = told.rows("consents");
    assert_eq!(told[0]["recorded_by"], "wren");
    assert!(told[1]["recorded_by"].is_null());
}

on_both_engines!(
    a_file_is_kept_once_and_listed_without_its_content,
    of_one_person_the_newest_stay_and_nobody_else_loses_any,
    a_file_goes_with_its_message_its_lifters_words_and_its_age,
    files_are_taken_out_of_the_event_and_its_words_stay,
    the_log_of_consents_names_the_coach_who_recorded_a_guardians_word,
);
