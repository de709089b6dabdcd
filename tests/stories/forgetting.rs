//! A lifter may have all of their data, and may have all of it deleted.

use crate::first_report::SET;
use crate::red_flag::DANGER;
use anyhow::{Context, Result};
use cueline_bot::record::CaseState;
use cueline_bot::store::backup;
use cueline_tests::builders::Person;
use cueline_tests::databases::EngineKind;
use cueline_tests::platform::Fault;
use cueline_tests::stage::{COACHES, LIFTERS, Stage};
use jiff::SignedDuration;

on_both_engines!(
    a_lifter_gets_everything_kept_of_them_in_private,
    a_lifter_fetches_their_data_by_a_link_that_wears_out,
    forgetting_asks_once_and_then_nothing_is_left_of_the_lifter,
    thinking_better_of_it_deletes_nothing,
    nobody_else_can_press_the_button_that_forgets,
    a_case_under_a_stop_is_forgotten_too_and_the_coach_is_told_without_words,
    the_last_word_goes_out_late_and_leaves_nothing_behind,
    what_comes_in_late_from_before_does_not_bring_a_lifter_back,
    words_of_danger_that_come_in_late_are_answered_and_not_kept,
    whoever_writes_again_starts_anew_and_is_told,
);

/// What of a lifter must stand nowhere afterwards.
const MARKS: [&str; 6] = [
    "zwieback",
    "quarkxname",
    "vogelsang",
    "mustard-room",
    "plumfile",
    "Europe/Lisbon",
];

/// A lifter with something in every place that holds a person's data.
async fn everywhere(stage: &mut Stage) -> Result<Person> {
    let lifter = stage
        .lifter("vogelsang")
        .called("Quarkxname")
        .in_room("mustard-room");
    stage.play(&lifter.says("I consent")).await?;
    stage
        .play(&lifter.says("my time zone is Europe/Lisbon"))
        .await?;
    let file = serde_json::json!([{ "attachment_id": "a1", "name": "plumfile.csv",
        "media_type": "text/csv", "size": 1, "sha256": "0".repeat(64),
        "url": "https://clips.example/plumfile" }]);
    let set = lifter.says(&format!("{SET}. I had zwieback before"));
    stage.play(&set.set("attachments", file)).await?;
    stage.play(&lifter.says("ask the coach")).await?;
    let ana = stage.coach("ana");
    let number = stage.case_of(&lifter).await?.number;
    for order in [
        "queue",
        "show N",
        "take N",
        "verdict N brace late",
        "say N eat less zwieback, Quarkxname",
    ] {
        let order = order.replace('N', &number.to_string());
        stage.play(&ana.says(&order)).await?;
    }
    // A body that cannot be read, with the lifter's name in it.
    let bad = lifter.says("zwieback").set("version", serde_json::json!(0));
    assert_eq!(stage.hand_in(&bad).await?.status, 422);
    // Another case, with a question open and reminders dated.
    stage
        .play(
            &lifter
                .says("deadlift 180 x 2, zwieback again")
                .in_thread("t-9"),
        )
        .await?;
    stage.play(&lifter.says("my data")).await?;
    Ok(lifter)
}

/// Where any of the marks still stands, in any column of any table.
async fn left(stage: &mut Stage) -> Result<Vec<String>> {
    let mut found = Vec::new();
    for mark in MARKS {
        for place in stage.look().anywhere(mark).await? {
            found.push(format!("{mark} in {place}"));
        }
    }
    Ok(found)
}

async fn a_lifter_gets_everything_kept_of_them_in_private(stage: &mut Stage) -> Result<()> {
    let lifter = everywhere(stage).await?;
    let private: Vec<_> = stage
        .river
        .messages()
        .into_iter()
        .filter(|message| message.private && message.to == "vogelsang")
        .collect();
    let (readable, pieces): (Vec<_>, Vec<_>) = private
        .iter()
        .partition(|message| !message.text.contains("put together"));
    assert!(
        readable[0].text.contains("What I keep of you"),
        "{readable:#?}"
    );
    assert!(readable[0].text.contains("zwieback"), "{readable:#?}");
    let document: String = pieces
        .iter()
        .filter_map(|message| message.text.split('`').nth(1))
        .collect();
    let document: serde_json::Value = serde_json::from_str(&document).context(document.clone())?;
    assert_eq!(document["person"]["person_id"], "vogelsang");
    assert_eq!(document["complete"], true);
    for table in [
        "lifters",
        "consents",
        "cases",
        "entries",
        "case_files",
        "queue",
        "verdicts",
        "inbox",
        "outbox",
        "message_marks",
        "quarantine",
    ] {
        let rows = document["kept"][table].as_array();
        assert!(
            rows.is_some_and(|rows| !rows.is_empty()),
            "nothing of {table}"
        );
    }
    // Never in the room, and nothing of anybody else.
    for message in stage.river.messages_to("mustard-room") {
        assert!(!message.text.contains("put together"), "{}", message.text);
    }
    let joel = stage.lifter("joel");
    stage.play(&joel.says("my data")).await?;
    for message in stage.river.messages_to("joel") {
        assert!(!message.text.contains("zwieback"), "{}", message.text);
    }
    assert_eq!(lifter.id, "vogelsang");
    Ok(())
}

async fn a_lifter_fetches_their_data_by_a_link_that_wears_out(stage: &mut Stage) -> Result<()> {
    stage.stop().await;
    stage.settings.server.public_url = "https://cueline.example".to_owned();
    stage.start().await?;
    let mara = stage.lifter("mara");
    stage
        .play(&mara.says(&format!("{SET}. I had zwieback before")))
        .await?;
    stage.play(&mara.says("my data")).await?;
    let link = stage.river.last_to("mara")?;
    assert!(link.private);
    let at = link
        .text
        .find("https://cueline.example/data?key=")
        .context("a link")?;
    let key: String = link.text[at..]
        .chars()
        .skip_while(|letter| *letter != '=')
        .skip(1)
        .take_while(|letter| letter.is_ascii_alphanumeric() || "-_".contains(*letter))
        .collect();
    assert_eq!(key.len(), 43);
    assert!(
        stage.look().anywhere(&key).await?.is_empty(),
        "only its hash is kept"
    );
    let address = stage.services()[0].address;
    let client = reqwest::Client::builder().no_proxy().build()?;
    let page = client
        .get(format!("http://{address}/data?key={key}"))
        .send()
        .await?;
    assert!(
        !page.text().await?.contains("zwieback"),
        "the page shows nothing"
    );
    for left in [2, 1, 0] {
        let file = client
            .post(format!("http://{address}/data"))
            .body(format!("key={key}"))
            .send()
            .await?;
        assert_eq!(file.status(), 200, "{left} uses left");
        let document: serde_json::Value = serde_json::from_str(&file.text().await?)?;
        assert!(document["kept"]["inbox"].to_string().contains("zwieback"));
    }
    let ask = || {
        client
            .post(format!("http://{address}/data"))
            .body(format!("key={key}"))
    };
    assert_eq!(ask().send().await?.status(), 404, "worn out");
    stage.play(&mara.says("my data")).await?;
    let fresh = stage.river.last_to("mara")?;
    assert!(!fresh.text.contains(&key), "a key of its own each time");
    stage.pass(SignedDuration::from_mins(31)).await?;
    let at = fresh.text.find("key=").context("a key")?;
    let late = client
        .post(format!("http://{address}/data"))
        .body(fresh.text[at..at + 47].to_owned())
        .send()
        .await?;
    assert_eq!(late.status(), 404, "too late");
    Ok(())
}

async fn forgetting_asks_once_and_then_nothing_is_left_of_the_lifter(
    stage: &mut Stage,
) -> Result<()> {
    let joel = stage.lifter("joel");
    stage.play(&joel.says(SET)).await?;
    let lifter = everywhere(stage).await?;
    stage.play(&lifter.says("forget me")).await?;
    let asked = stage.river.last_to("mustard-room")?;
    assert!(asked.text.contains("cannot be undone"), "{}", asked.text);
    assert!(
        asked.text.contains("no way to take them down"),
        "{}",
        asked.text
    );
    assert!(
        !left(stage).await?.is_empty(),
        "nothing is deleted before the answer"
    );
    let button = asked.button("Delete everything")?.choice_id.clone();
    stage
        .play(&lifter.presses(&asked.message_id, &button))
        .await?;
    let said = stage.river.last_to("mustard-room")?;
    assert!(said.text.contains("is deleted"), "{}", said.text);
    assert_eq!(left(stage).await?, Vec::<String>::new());
    let verdicts = "SELECT COUNT(*) FROM verdicts";
    assert_eq!(stage.look().number(verdicts).await?, 0);
    // Nor in any byte of a copy made from now on.
    if stage.database.kind == EngineKind::Sqlite {
        let folder = tempfile::tempdir()?;
        let copy = folder.path().join("copy.sqlite");
        backup(&stage.database.url.clone(), &copy, stage.now()).await?;
        let bytes = std::fs::read(&copy)?;
        for mark in MARKS {
            let mut parts = bytes.windows(mark.len());
            let there = parts.any(|part| part.eq_ignore_ascii_case(mark.as_bytes()));
            assert!(!there, "{mark} in the copy");
        }
    }
    // Everybody else is as before, and nothing comes any more.
    assert_eq!(stage.case_of(&joel).await?.state, CaseState::Practising);
    let count = stage.river.messages_to("mustard-room").len();
    stage.pass(SignedDuration::from_hours(24 * 40)).await?;
    assert_eq!(stage.river.messages_to("mustard-room").len(), count);
    assert_eq!(
        stage
            .look()
            .number("SELECT COUNT(*) FROM suppressed")
            .await?,
        1
    );
    assert!(stage.look().anywhere("vogelsang").await?.is_empty());
    Ok(())
}

async fn thinking_better_of_it_deletes_nothing(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.play(&mara.says("forget me")).await?;
    let asked = stage.river.last_to(LIFTERS)?;
    let button = asked.button("Keep it")?.choice_id.clone();
    stage
        .play(&mara.presses(&asked.message_id, &button))
        .await?;
    assert!(
        stage
            .river
            .last_to(LIFTERS)?
            .text
            .contains("Nothing was deleted")
    );
    assert_eq!(stage.case_of(&mara).await?.state, CaseState::Practising);
    Ok(())
}

async fn nobody_else_can_press_the_button_that_forgets(stage: &mut Stage) -> Result<()> {
    let (mara, joel) = (stage.lifter("mara"), stage.lifter("joel"));
    stage.play(&mara.says(SET)).await?;
    stage.play(&joel.says(SET)).await?;
    stage.play(&mara.says("forget me")).await?;
    let asked = stage.river.last_to(LIFTERS)?;
    let button = asked.button("Delete everything")?.choice_id.clone();
    stage
        .play(&joel.presses(&asked.message_id, &button))
        .await?;
    stage
        .play(&stage.coach("ana").presses(&asked.message_id, &button))
        .await?;
    assert_eq!(stage.cases_of(&mara).await?.len(), 1);
    assert_eq!(stage.cases_of(&joel).await?.len(), 1);
    Ok(())
}

async fn a_case_under_a_stop_is_forgotten_too_and_the_coach_is_told_without_words(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(DANGER)).await?;
    stage.play(&mara.says("yes, forget me")).await?;
    assert!(stage.cases_of(&mara).await?.is_empty());
    let told = stage.river.last_to(COACHES)?;
    assert!(told.text.contains("asked to be forgotten"), "{}", told.text);
    assert!(told.text.contains("stop on case 1"), "{}", told.text);
    for word in ["Mara", "mara", "chest", "arm"] {
        assert!(!told.text.contains(word), "{word} in {}", told.text);
    }
    assert!(stage.look().anywhere("mara").await?.is_empty());
    assert_eq!(stage.store()?.depths().await?.queue, 0);
    let pages = stage.river.messages_to(COACHES).len();
    stage.pass(SignedDuration::from_hours(2)).await?;
    assert_eq!(
        stage.river.messages_to(COACHES).len(),
        pages,
        "no page about it"
    );
    Ok(())
}

async fn the_last_word_goes_out_late_and_leaves_nothing_behind(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.river.fails(2, Fault::Status(503));
    stage.play(&mara.says("yes forget me")).await?;
    // Until it is out, its address is the only thing left.
    let places = stage.look().anywhere("mara").await?;
    assert!(
        places.iter().all(|place| place.starts_with("outbox.")),
        "{places:?}"
    );
    stage.pass(SignedDuration::from_mins(5)).await?;
    stage.pass(SignedDuration::from_mins(5)).await?;
    assert!(stage.river.last_to(LIFTERS)?.text.contains("is deleted"));
    assert!(stage.look().anywhere("mara").await?.is_empty());
    // And when it can never be said, it leaves nothing behind either.
    let joel = stage.lifter("joel");
    stage.play(&joel.says(SET)).await?;
    stage.river.fails(1, Fault::Status(404));
    stage.play(&joel.says("yes forget me")).await?;
    assert!(stage.look().anywhere("joel").await?.is_empty());
    Ok(())
}

async fn what_comes_in_late_from_before_does_not_bring_a_lifter_back(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let set = mara
        .says(&format!("{SET}. I had zwieback before"))
        .at(stage.now());
    let stuck = mara
        .says(&format!("{SET}. I had zwieback too"))
        .at(stage.now());
    stage.play(&set).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.play(&mara.says("yes forget me")).await?;
    let said = stage.river.messages().len();
    // The same again, one that was stuck on its way, and what else platforms tell of people.
    assert_eq!(
        stage.hand_in(&set).await?.status,
        200,
        "known, and nothing happens"
    );
    stage.play(&stuck).await?;
    let removed = stage.lifter("moderator").leaves();
    stage
        .play(&removed.set("member_id", serde_json::json!("mara")))
        .await?;
    stage
        .play(&mara.takes_back(&set.message_id()).at(stage.now()))
        .await?;
    stage.play(&mara.leaves()).await?;
    stage.play(&mara.presses("m-gone", "q-sq-foot:1")).await?;
    // Talk with others in the room is left alone.
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage
        .play(&mara.says("see you on friday everybody"))
        .await?;
    assert_eq!(stage.river.messages().len(), said);
    assert!(stage.cases_of(&mara).await?.is_empty());
    for text in ["mara", "Mara", "zwieback", "friday"] {
        assert_eq!(
            stage.look().anywhere(text).await?,
            Vec::<String>::new(),
            "{text}"
        );
    }
    Ok(())
}

async fn words_of_danger_that_come_in_late_are_answered_and_not_kept(
    stage: &mut Stage,
) -> Result<()> {
    let mara = stage.lifter("mara");
    let stuck = mara.says(DANGER).at(stage.now());
    stage.play(&mara.says(SET)).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    stage.play(&mara.says("yes forget me")).await?;
    stage.play(&stuck).await?;
    let said = stage.river.last_to(LIFTERS)?;
    assert!(said.text.contains("Stop training now"), "{}", said.text);
    assert!(stage.river.last_to(COACHES)?.text.contains("chest"));
    for text in ["mara", "chest"] {
        assert_eq!(
            stage.look().anywhere(text).await?,
            Vec::<String>::new(),
            "{text}"
        );
    }
    Ok(())
}

async fn whoever_writes_again_starts_anew_and_is_told(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says(SET)).await?;
    stage.play(&mara.says("yes forget me")).await?;
    stage.pass(SignedDuration::from_mins(1)).await?;
    let before = stage.river.messages_to(LIFTERS).len();
    stage.play(&mara.says(SET)).await?;
    let said = stage.river.messages_to(LIFTERS);
    assert_eq!(said.len(), before + 1, "one answer");
    assert!(
        said[before].text.contains("Most likely"),
        "{}",
        said[before].text
    );
    assert!(
        said[before].text.contains("start anew"),
        "{}",
        said[before].text
    );
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.rounds.len(), 1, "nothing of before is known");
    stage
        .play(&mara.says("squat 142.5 kg x 3 @8, hips shoot up"))
        .await?;
    let next = stage.river.last_to(LIFTERS)?;
    assert!(
        !next.text.contains("start anew"),
        "told once: {}",
        next.text
    );
    Ok(())
}
