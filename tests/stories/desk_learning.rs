//! What cases teach, at the desk: the table of what works with its curves, and common faults by month.

use crate::desk::{at_the_desk, handed_over, with_desk};
use crate::desk_pages::obeys_its_policy;
use crate::first_report::SET;
use anyhow::{Context as _, Result};
use cueline_tests::desk::{Desk, Page};
use cueline_tests::stage::Stage;
use jiff::SignedDuration;

on_both_engines!(
    what_works_is_a_table_with_curves_words_and_a_download,
    common_faults_are_a_table_by_month,
);

const BETTER: &str = "squat 140 kg x 3 @7, my core doesn't feel squishy any more, I don't forget to \
                      breathe and hips don't shoot up";

/// The page once it is worked out anew from what has happened since.
async fn worked_out(stage: &mut Stage, desk: &mut Desk, path: &str, part: &str) -> Result<Page> {
    stage.pass(SignedDuration::from_mins(11)).await?;
    let mut page = desk.get(path).await?;
    for _ in 0..200 {
        if page.text.contains(part) {
            return Ok(page);
        }
        tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        page = desk.get(path).await?;
    }
    anyhow::bail!("no {part} in {}", page.text)
}

async fn what_works_is_a_table_with_curves_words_and_a_download(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    let ana = stage.coach("ana");
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = worked_out(stage, &mut desk, "/desk/works", "Nothing to show yet").await?;
    obeys_its_policy(&page);
    for who in ["mara", "joel", "nora"] {
        stage.play(&stage.lifter(who).says(SET)).await?;
    }
    stage.pass(SignedDuration::from_hours(24 * 14)).await?;
    stage.play(&stage.lifter("mara").says(BETTER)).await?;
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = worked_out(stage, &mut desk, "/desk/works", "<table").await?;
    obeys_its_policy(&page);
    for part in [
        "aria-labelledby=\"works-table\"",
        "<svg",
        "role=\"img\"",
        "<desc",
        "few: do not go by it",
        "nothing here is proof",
        "From the 3 cases",
    ] {
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    let row = page
        .text
        .split("<tr>")
        .find(|row| row.contains("cause=c-sq-brace"));
    let row = row.context("no row of the correction")?;
    for cell in ["<td class=\"number\">3</td>", "<td class=\"number\">1</td>"] {
        assert!(row.contains(cell), "{cell} in {row}");
    }
    // Narrowed; a cause nobody has is an empty table, not a fault.
    let none = desk.get("/desk/works?lift=deadlift").await?;
    assert!(none.text.contains("Nothing to show yet"), "{}", none.text);
    let some = desk.get("/desk/works?lift=squat&cause=c-sq-brace").await?;
    assert!(
        some.text
            .contains("works.csv?lift=squat&amp;cause=c-sq-brace"),
        "{}",
        some.text
    );
    let odd = desk
        .get_with("/desk/works", &[("cause", "\"><script>x")])
        .await?;
    obeys_its_policy(&odd);
    // Compared in words, by the names of the catalog, with what stands against it.
    let two = [
        ("one", "c-sq-brace sq-brace-late"),
        ("other", "c-sq-brace sq-trunk-soft"),
    ];
    let compared = desk.get_with("/desk/works", &two).await?;
    for part in ["3 courses", "few courses", "no proof"] {
        assert!(compared.text.contains(part), "{part} in {}", compared.text);
    }
    let csv = desk.get("/desk/works.csv?lift=squat").await?;
    assert_eq!(csv.header("content-type"), "text/csv; charset=utf-8");
    assert!(csv.header("content-disposition").contains("what-works.csv"));
    let lines: Vec<&str> = csv.text.lines().collect();
    assert!(
        lines[0].starts_with("lift,cause,sign,by,given"),
        "{}",
        csv.text
    );
    assert!(
        lines[1..]
            .iter()
            .any(|line| line.starts_with("squat,c-sq-brace,")),
        "{}",
        csv.text
    );
    Ok(())
}

async fn common_faults_are_a_table_by_month(stage: &mut Stage) -> Result<()> {
    with_desk(stage).await?;
    for who in ["mara", "joel"] {
        handed_over(stage, who).await?;
    }
    let number = stage.case_of(&stage.lifter("mara")).await?.number;
    let ana = stage.coach("ana");
    stage
        .play(&ana.says(&format!("verdict {number} c-sq-brace")))
        .await?;
    let mut desk = at_the_desk(stage, &ana).await?;
    let page = worked_out(stage, &mut desk, "/desk/faults", "<table").await?;
    obeys_its_policy(&page);
    let row = page
        .text
        .split("<tr>")
        .find(|row| row.contains("cause=c-sq-"));
    let row = row.context("no row of a squat's cause")?;
    assert!(row.contains("<strong>2</strong>"), "{row}");
    for part in ["Waits longest", "Mara", "of 1 verdicts"] {
        assert!(page.text.contains(part), "{part} in {}", page.text);
    }
    let none = desk.get("/desk/faults?lift=bench").await?;
    assert!(none.text.contains("No fault was seen"), "{}", none.text);
    Ok(())
}
