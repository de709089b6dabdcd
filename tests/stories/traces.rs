//! A trace that comes with a set: measured under consent, named in the reply, drawn, shown to the
//! coach, and what the next set is judged by.

use crate::desk::{at_the_desk, with_desk};
use anyhow::{Context as _, Result};
use cueline_bot::record::{KeptFile, PersonKey};
use cueline_tests::builders::Person;
use cueline_tests::files::inline;
use cueline_tests::stage::{LIFTERS, Stage};
use jiff::SignedDuration;
use serde_json::json;

on_both_engines!(
    a_bar_that_drifts_is_measured_named_drawn_and_shown_to_the_coach,
    a_trace_that_cannot_be_read_is_told_and_the_set_is_answered,
    the_next_set_is_judged_by_what_was_measured,
    without_a_yes_a_trace_is_neither_kept_nor_measured,
    a_trace_sent_later_by_itself_is_measured_with_its_set,
);

/// Invented bar tracks of three squats: forward by some 8 cm on the way up, and nearly straight.
const FORWARD: &str = include_str!("../../demo-data/bar-forward.csv");
const STRAIGHT: &str = include_str!("../../demo-data/bar-straight.csv");

const SQUATS: &str = "squat 140 kg x 3 @8, best 165 kg, filmed from the side";

/// A lifter who agrees to pictures and traces being kept and measured.
async fn agreed(stage: &mut Stage) -> Result<Person> {
    let mara = stage.lifter("mara");
    stage.play(&mara.says("I consent")).await?;
    Ok(mara)
}

/// Words with a trace; what the room reads then.
async fn with_trace(stage: &mut Stage, who: &Person, text: &str, trace: &str) -> Result<String> {
    let files = json!([inline("track.csv", "text/csv", trace.as_bytes())]);
    stage
        .play(&who.says(text).set("attachments", files))
        .await?;
    Ok(stage.river.last_to(LIFTERS)?.text)
}

async fn kept(stage: &Stage, who: &Person) -> Result<Vec<KeptFile>> {
    let case = stage.case_of(who).await?;
    Ok(stage.store()?.files().files_of_case(&case.id).await?)
}

async fn a_bar_that_drifts_is_measured_named_drawn_and_shown_to_the_coach(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let mara = agreed(stage).await?;
    let said = with_trace(stage, &mara, SQUATS, FORWARD).await?;
    assert!(
        said.contains("**Measured** on your trace, 3 repetitions"),
        "{said}"
    );
    assert!(said.contains("Most likely"), "{said}");
    let reply = stage.river.last_to(LIFTERS)?;
    let picture = reply.picture.context("the way of the bar is drawn")?;
    let alt = picture["alt"].as_str().unwrap_or_default();
    assert!(alt.contains("way of the bar"), "{alt}");
    assert_eq!(kept(stage, &mara).await?.len(), 1);
    // What the coach sees: the picture, the figures of each repetition, what cannot be shown.
    stage.play(&mara.says("ask the coach")).await?;
    let number = stage.case_of(&mara).await?.number;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = desk.get(&format!("/desk/case/{number}")).await?;
    for part in [
        "Measured on the trace",
        "role=\"img\"",
        "<svg",
        "Rep 3",
        "±",
        "Signs by the trace alone",
    ] {
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    Ok(())
}

async fn a_trace_that_cannot_be_read_is_told_and_the_set_is_answered(
    stage: &mut Stage,
) -> Result<()> {
    with_desk(stage).await?;
    let mara = agreed(stage).await?;
    let told = format!("{SQUATS}, hips shoot up out of the hole");
    let broken = "t,plumheight\n0,1.4\n0.1,1.3\n";
    let said = with_trace(stage, &mara, &told, broken).await?;
    assert_eq!(
        said.matches("could not measure the trace").count(),
        1,
        "{said}"
    );
    assert!(said.contains("I accept"), "{said}");
    assert!(said.contains("140 kg (309 lb) x 3"), "{said}");
    assert_eq!(kept(stage, &mara).await?.len(), 1);
    // Nothing of the file's text stands with the case: taking consent back leaves none of it.
    stage.play(&mara.says("take back my consent")).await?;
    let left = stage.look().anywhere("plumheight").await?;
    assert_eq!(left, Vec::<String>::new());
    Ok(())
}

async fn the_next_set_is_judged_by_what_was_measured(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let mara = agreed(stage).await?;
    with_trace(stage, &mara, SQUATS, FORWARD).await?;
    stage.pass(SignedDuration::from_hours(24 * 5)).await?;
    let next = "squat 140 kg x 3 @8, filmed from the side";
    let said = with_trace(stage, &mara, next, STRAIGHT).await?;
    assert!(said.contains("**Measured:**"), "{said}");
    assert!(said.contains("last time"), "{said}");
    assert!(said.contains("cm"), "{said}");
    assert!(
        said.contains("It worked") || said.contains("Better"),
        "{said}"
    );
    let case = stage.case_of(&mara).await?;
    let rounds = &case.body.rounds;
    assert_eq!(rounds.len(), 2);
    assert!(rounds.iter().all(|round| round.measured.is_some()));
    assert!(rounds.iter().all(|round| round.report.traces.is_empty()));
    Ok(())
}

async fn without_a_yes_a_trace_is_neither_kept_nor_measured(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let mara = stage.lifter("mara");
    let said = with_trace(stage, &mara, SQUATS, FORWARD).await?;
    assert!(!said.contains("Measured"), "{said}");
    assert!(said.contains("kept no picture or trace"), "{said}");
    assert!(kept(stage, &mara).await?.is_empty());
    let case = stage.case_of(&mara).await?;
    assert!(
        case.body
            .rounds
            .iter()
            .all(|round| round.measured.is_none())
    );
    let key = PersonKey {
        source: mara.source.clone(),
        person_id: mara.id.clone(),
    };
    let dossier = stage.store()?.privacy().dossier(&key, 50).await?;
    assert!(dossier.rows("case_files").is_empty());
    Ok(())
}

async fn a_trace_sent_later_by_itself_is_measured_with_its_set(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let mara = agreed(stage).await?;
    stage
        .play(&mara.says("my squat feels heavy, 80 kg x 5 rpe 7"))
        .await?;
    let said = with_trace(stage, &mara, "", STRAIGHT).await?;
    assert!(said.contains("**Measured** on your trace"), "{said}");
    assert!(
        said.contains("One question"),
        "the question is not lost: {said}"
    );
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.rounds.len(), 1, "the same set, read again");
    assert_eq!(case.body.traces.len(), 1);
    // An answer given after that still counts what the trace showed.
    stage.play(&mara.says("1")).await?;
    let case = stage.case_of(&mara).await?;
    assert_eq!(case.body.rounds.len(), 1);
    let newest = case.body.rounds.last().context("a set")?;
    assert!(
        newest
            .measured
            .as_ref()
            .is_some_and(cueline_core::motion::Measurement::shows_anything)
    );
    Ok(())
}
