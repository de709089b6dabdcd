//! Pictures and traces that come with a set: kept under consent, shown to the coach alone, gone in
//! time and with their lifter.

use crate::desk::{at_the_desk, with_desk};
use crate::first_report::SET;
use anyhow::{Context as _, Result};
use cueline_bot::record::{KeptFile, PersonKey};
use cueline_bot::store::{backup, restore};
use cueline_tests::builders::Person;
use cueline_tests::databases::EngineKind;
use cueline_tests::desk::Desk;
use cueline_tests::files::{PIXEL, inline, pixel};
use cueline_tests::stage::{COACHES, HILL, LIFTERS, Stage};
use jiff::SignedDuration;
use serde_json::json;

on_both_engines!(
    a_picture_is_shown_to_the_coach_alone_and_can_do_nothing,
    without_a_desk_it_is_said_that_nobody_can_look,
    without_a_yes_nothing_of_a_picture_is_kept_anywhere,
    a_picture_goes_with_its_lifter_and_is_in_their_data_and_in_the_copy,
    a_guardians_word_is_recorded_at_the_desk,
);

/// Marks of the files, as they would stand in a database.
const TRACE: &str = "t,plumtrace\n0,0.5\n0.1,0.6\n";

/// Mara, who agrees, posts a set with a picture and a trace, and asks the coach.
pub(crate) async fn posted(stage: &mut Stage) -> Result<(Person, Vec<KeptFile>)> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says("I consent")).await?;
    let files = json!([
        inline("side <b>view</b>.png", "image/png", &pixel()),
        inline("bar.csv", "text/csv", TRACE.as_bytes()),
    ]);
    stage
        .play(&mara.says(SET).set("attachments", files))
        .await?;
    stage.play(&mara.says("ask the coach")).await?;
    let case = stage.case_of(&mara).await?;
    let kept = stage.store()?.files().files_of_case(&case.id).await?;
    Ok((mara, kept))
}

/// The file at this address comes as it was sent, and with nothing it could do.
async fn served(desk: &Desk, path: &str, kind: &str, shown: &str, bytes: &[u8]) -> Result<()> {
    let client = reqwest::Client::builder().no_proxy().build()?;
    let cookie = desk.cookie.clone().context("signed in")?;
    let request = client.get(format!("http://{}{path}", desk.address));
    let answer = request.header("cookie", &cookie).send().await?;
    assert_eq!(answer.status(), 200, "{path}");
    let header = |name: &str| answer.headers()[name].to_str().unwrap_or_default();
    assert_eq!(header("content-type"), kind);
    assert!(header("content-disposition").starts_with(shown));
    assert!(
        !header("content-disposition").contains("view"),
        "a name of ours"
    );
    assert_eq!(header("x-content-type-options"), "nosniff");
    assert_eq!(header("cache-control"), "no-store");
    assert_eq!(header("cross-origin-resource-policy"), "same-origin");
    let policy = header("content-security-policy");
    assert!(
        policy.starts_with("default-src 'none'; sandbox"),
        "{policy}"
    );
    assert_eq!(answer.bytes().await?, bytes);
    Ok(())
}

async fn a_picture_is_shown_to_the_coach_alone_and_can_do_nothing(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let (mara, kept) = posted(stage).await?;
    assert_eq!(kept.len(), 2);
    let said = stage.river.messages_to(LIFTERS);
    let answer = &said.iter().find(|one| one.text.contains("Most likely"));
    let answer = &answer.context("an answer")?.text;
    assert!(answer.contains("do not look at pictures"), "{answer}");
    assert!(answer.contains("could not measure the trace"), "{answer}");
    // The content stands once, with the case: no longer in the event it came with.
    assert_eq!(
        stage.look().anywhere(&PIXEL[..60]).await?,
        ["case_files.content"]
    );
    let number = stage.case_of(&mara).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    let address = |kind: &str, file: &KeptFile| format!("/desk/case/{number}/{kind}/{}", file.id);
    let (picture, trace) = (address("picture", &kept[0]), address("trace", &kept[1]));
    for part in [
        format!("src=\"{picture}\""),
        format!("href=\"{picture}\""),
        format!("href=\"{trace}\" download"),
        "alt=\"Picture 1 that Mara sent of the squat\"".to_owned(),
        "1 x 1 pixels".to_owned(),
        "Not readable".to_owned(),
        "side &lt;b&gt;view&lt;/b&gt;.png".to_owned(),
    ] {
        assert!(page.text.contains(&part), "{part} in {}", page.text);
    }
    for (path, kind, shown, bytes) in [
        (&picture, "image/png", "inline", pixel()),
        (
            &trace,
            "text/csv; charset=utf-8",
            "attachment",
            TRACE.into(),
        ),
    ] {
        served(&desk, path, kind, shown, &bytes).await?;
    }
    // Under the wrong name, of another case, of no case: not there.
    for path in [
        address("trace", &kept[0]),
        address("picture", &kept[1]),
        format!("/desk/case/{}/picture/{}", number + 1, kept[0].id),
        format!("/desk/case/{number}/picture/none"),
        format!("/desk/case/x/picture/{}", kept[0].id),
    ] {
        assert_eq!(desk.get(&path).await?.status, 404, "{path}");
    }
    let eve = stage.person(HILL, "eve", COACHES);
    let mut other = at_the_desk(stage, &eve).await?;
    for path in [&picture, &trace] {
        assert_eq!(other.get(path).await?.status, 404, "another platform's");
    }
    let case = stage.case_of(&mara).await?;
    let log = stage.store()?.access_log(Some(&case.id), 20).await?;
    for what in ["picture", "trace"] {
        let seen = log.iter().filter(|access| access.what == what).count();
        assert_eq!(seen, 1, "{what} in {log:?}");
    }
    Ok(())
}

async fn without_a_desk_it_is_said_that_nobody_can_look(stage: &mut Stage) -> Result<()> {
    assert!(stage.settings.desk.public_url.is_empty());
    let (mara, kept) = posted(stage).await?;
    assert_eq!(kept.len(), 2);
    let told = |stage: &Stage, part: &str| {
        let said = stage.river.messages();
        said.iter().any(|one| one.text.contains(part))
    };
    assert!(told(stage, "nobody can look at it"));
    assert!(!told(stage, "for the coach to see"));
    let number = stage.case_of(&mara).await?.number;
    let ana = stage.coach("ana");
    stage.play(&ana.says(&format!("show {number}"))).await?;
    assert!(told(stage, "pictures 1, traces 1. You cannot see them"));
    with_desk(stage).await?;
    stage.play(&ana.says(&format!("show {number}"))).await?;
    assert!(told(
        stage,
        "pictures 1, traces 1. No chat shows them; see them at your desk"
    ));
    Ok(())
}

async fn without_a_yes_nothing_of_a_picture_is_kept_anywhere(stage: &mut Stage) -> Result<()> {
    let mara = stage.lifter("mara");
    let files = json!([inline("plumfile.png", "image/png", &pixel())]);
    let set = mara.says(SET).set("attachments", files.clone());
    stage.play(&set).await?;
    let answer = stage.river.last_to(LIFTERS)?;
    assert!(answer.text.contains("kept no picture"), "{}", answer.text);
    for mark in ["plumfile", &PIXEL[..60]] {
        assert_eq!(stage.look().anywhere(mark).await?, Vec::<String>::new());
    }
    let question = stage.river.last_to("mara")?;
    let yes = question.button("Yes, keep them")?.choice_id.clone();
    stage
        .play(&mara.in_room("mara").presses(&question.message_id, &yes))
        .await?;
    let again = mara.says("").set("attachments", files);
    stage.play(&again).await?;
    assert!(!stage.look().anywhere("plumfile").await?.is_empty());
    // Taking the message back takes the picture.
    stage.play(&mara.takes_back(&again.message_id())).await?;
    for mark in ["plumfile", &PIXEL[..60]] {
        assert_eq!(stage.look().anywhere(mark).await?, Vec::<String>::new());
    }
    Ok(())
}

async fn a_picture_goes_with_its_lifter_and_is_in_their_data_and_in_the_copy(
    stage: &mut Stage,
) -> Result<()> {
    let (mara, kept) = posted(stage).await?;
    let key = PersonKey {
        source: mara.source.clone(),
        person_id: mara.id.clone(),
    };
    let dossier = stage.store()?.privacy().dossier(&key, 50).await?;
    let rows = dossier.rows("case_files");
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0]["content"], PIXEL, "whole");
    if stage.database.kind == EngineKind::Sqlite {
        let folder = tempfile::tempdir()?;
        let copy = folder.path().join("copy.sqlite");
        backup(&stage.database.url.clone(), &copy, stage.now()).await?;
        let place = format!("sqlite:{}", folder.path().join("new.sqlite").display());
        restore(&copy, &place, None).await?;
        let options = cueline_bot::store::OpenOptions::default();
        let restored = cueline_bot::store::open(&place, &options).await?;
        let whole = restored
            .files()
            .file_of_case(&kept[0].case_id, &kept[0].id)
            .await?;
        let whole = whole.context("the picture is in the copy")?;
        assert_eq!(whole.bytes(), Some(pixel()));
        restored.close().await;
    }
    stage.play(&mara.says("yes, forget me")).await?;
    for mark in ["plumtrace", &PIXEL[..60], "bar.csv"] {
        assert_eq!(stage.look().anywhere(mark).await?, Vec::<String>::new());
    }
    let files = "SELECT COUNT(*) FROM case_files";
    assert_eq!(stage.look().number(files).await?, 0);
    Ok(())
}

async fn a_guardians_word_is_recorded_at_the_desk(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let mara = stage.lifter("mara");
    stage.play(&mara.says(&format!("I'm 16. {SET}"))).await?;
    let number = stage.case_of(&mara).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let path = format!("/desk/case/{number}");
    let page = desk.get(&path).await?;
    assert!(page.text.contains("Nothing on record"), "{}", page.text);
    let deed = format!("{path}/guardian");
    let wrong = desk.send(&page, &deed, &[("said", "maybe")]).await?;
    assert_eq!(wrong.status, 404);
    let done = desk.send(&page, &deed, &[("said", "yes")]).await?;
    let page = desk.follow(&done).await?;
    assert!(page.text.contains("Said yes"), "{}", page.text);
    assert!(page.text.contains("recorded by ana"), "{}", page.text);
    let recorded = "SELECT COUNT(*) FROM consents WHERE step = 'yes' AND recorded_by = 'ana'
        AND text LIKE '%parent or guardian%'";
    assert_eq!(stage.look().number(recorded).await?, 1);
    assert!(stage.river.last_to("mara")?.text.contains("agrees"));
    let pain = "my left knee has been a sore spot, it has ached for three weeks";
    stage.play(&mara.says(pain)).await?;
    assert!(!stage.look().anywhere("left knee").await?.is_empty());
    let files = json!([inline("plumfile.png", "image/png", &pixel())]);
    let picture = mara.says("").set("attachments", files);
    stage.play(&picture).await?;
    assert!(!stage.look().anywhere("plumfile").await?.is_empty());
    // A no, in chat: everything goes at once, and nothing is asked any more.
    let order = format!("guardian no {number}");
    stage.play(&ana.says(&order)).await?;
    for mark in ["left knee", "plumfile", &PIXEL[..60]] {
        assert_eq!(
            stage.look().anywhere(mark).await?,
            Vec::<String>::new(),
            "{mark}"
        );
    }
    for order in ["say N work on the breath", "finish N"] {
        let order = order.replace('N', &number.to_string());
        stage.play(&ana.says(&order)).await?;
    }
    let before = stage.river.messages_to(LIFTERS).len();
    stage.pass(SignedDuration::from_hours(24 * 28)).await?;
    assert_eq!(stage.river.messages_to(LIFTERS).len(), before);
    Ok(())
}
