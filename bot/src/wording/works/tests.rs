//! The plot and the CSV of what works.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::*;
use crate::brain;
use cueline_core::outcome::survival::Followed;
use cueline_core::outcome::works::By;

fn course(sign: &str, days: f64, gone: bool) -> Course {
    Course {
        lift: Lift::Squat,
        cause: "c-sq-brace".to_owned(),
        sign: sign.to_owned(),
        by: By::Catalog,
        followed: Followed { days, gone },
        resubmitted: gone,
        effort: None,
        training_months: None,
    }
}

/// 6-mercaptopurine in Freireich et al. 1963 (Blood 21, 699-716), as in the core's own tests: the
/// median is 23 and its interval begins at 13.
fn lines() -> Vec<Line> {
    let gone = [6, 6, 6, 7, 10, 13, 16, 22, 23];
    let still = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
    let mut courses: Vec<Course> = Vec::new();
    courses.extend(gone.map(|day| course("sq-brace-late", f64::from(day), true)));
    courses.extend(still.map(|day| course("sq-brace-late", f64::from(day), false)));
    courses.push(course("sq-trunk-soft", 14.0, false));
    table(&courses)
}

#[test]
fn the_csv_has_a_line_a_correction_and_sign() {
    let csv = works_csv(&lines());
    let rows: Vec<&str> = csv.split("\r\n").collect();
    assert_eq!(
        rows[1],
        "squat,c-sq-brace,sq-brace-late,catalog,21,9,9,23.00,13.00,,true"
    );
    assert_eq!(
        rows[2],
        "squat,c-sq-brace,sq-trunk-soft,catalog,1,0,0,,,,true"
    );
    assert_eq!(rows[3], "");
}

#[test]
fn the_plot_is_whole_has_words_and_tells_curves_apart_without_colour() {
    let catalog = brain::load(None).unwrap().1.catalog;
    let svg = works_svg(&catalog, &lines());
    for part in [
        "<title",
        "<desc",
        "role=\"img\"",
        "21 given, 9 gone",
        "stroke-dasharray=\"8 4\"",
    ] {
        assert!(svg.contains(part), "{part} in {svg}");
    }
    // Every element that is opened is closed.
    let opened = svg.matches('<').count() - svg.matches("</").count();
    let closed = svg.matches("</").count() + svg.matches("/>").count();
    assert_eq!(opened, closed, "{svg}");
    // The first step: three of 21 gone by day 6.
    // The axis ends on the next multiple of four after day 35.
    let x = 50.0 + 520.0 * 6.0 / 36.0;
    let y = 20.0 + 240.0 * 3.0 / 21.0;
    assert!(svg.contains(&format!("H{x:.1}V{y:.1}")), "{svg}");
    assert!(works_svg(&catalog, &[]).ends_with("</svg>"));
}

#[test]
fn no_line_of_a_legend_is_longer_than_the_plot_is_wide() {
    let catalog = brain::load(None).unwrap().1.catalog;
    let mut lines = lines();
    for line in &mut lines {
        // No cause of the catalog: shown by its id, which here is a long text.
        line.key.cause = "a very long name of a cause that nobody can say in one breath".to_owned();
    }
    let svg = works_svg(&catalog, &lines);
    let texts: Vec<&str> = svg
        .split("<text ")
        .skip(1)
        .filter_map(|part| part.split_once('>')?.1.split("</text>").next())
        .collect();
    assert!(
        texts
            .iter()
            .all(|text| text.chars().count() <= plot::MOST_LABEL),
        "{texts:?}"
    );
    let legend = texts.join(" ");
    assert!(
        legend.contains("in one breath`; `sq-brace-late` (21)"),
        "{legend}"
    );
    assert!(tables::wrapped("", 5).is_empty());
    assert_eq!(tables::wrapped("one two three", 7), ["one two", "three"]);
}

#[test]
fn faults_are_counted_by_month_and_the_most_seen_stand_first() {
    let catalog = brain::load(None).unwrap().1.catalog;
    let seen = BTreeMap::from([
        ((Lift::Squat, "c-sq-brace".to_owned(), (2026, 3)), 2),
        ((Lift::Squat, "c-sq-brace".to_owned(), (2025, 12)), 1),
        ((Lift::Squat, "c-sq-loose-rack".to_owned(), (2026, 2)), 4),
        // Longer ago than the table reaches.
        ((Lift::Squat, "c-sq-brace".to_owned(), (2025, 9)), 50),
    ]);
    let today = jiff::civil::date(2026, 3, 15);
    let table = faults(&catalog, &seen, today, Some(Lift::Squat));
    assert_eq!(
        table.months,
        [
            "2025-10", "2025-11", "2025-12", "2026-01", "2026-02", "2026-03"
        ]
    );
    let rows: Vec<(&str, &[usize], usize)> = table
        .rows
        .iter()
        .map(|row| (row.cause_id.as_str(), row.counts.as_slice(), row.total()))
        .collect();
    assert_eq!(
        rows,
        [
            ("c-sq-loose-rack", [0, 0, 0, 0, 4, 0].as_slice(), 4),
            ("c-sq-brace", [0, 0, 1, 0, 0, 2].as_slice(), 3),
        ]
    );
    assert!(
        faults(&catalog, &seen, today, Some(Lift::Bench))
            .rows
            .is_empty()
    );
}

#[test]
fn a_cause_is_known_by_id_in_words_and_with_a_sign() {
    let catalog = brain::load(None).unwrap().1.catalog;
    for (said, sign, by) in [
        ("c-sq-brace", None, None),
        ("c-sq-brace sq-trunk-soft", Some("sq-trunk-soft"), None),
        ("c-sq-brace coach", None, Some(By::Coach)),
        (
            "c-sq-brace sq-trunk-soft catalog",
            Some("sq-trunk-soft"),
            Some(By::Catalog),
        ),
    ] {
        match of(&catalog, said) {
            Some(Of::Cause(Lift::Squat, cause, found, whose)) => {
                assert_eq!((cause.as_str(), found, whose), ("c-sq-brace", sign, by));
            }
            _ => panic!("{said}"),
        }
    }
    assert!(matches!(
        of(&catalog, "deadlift"),
        Some(Of::Lift(Lift::Deadlift))
    ));
    assert!(matches!(of(&catalog, ""), Some(Of::All)));
    assert!(of(&catalog, "purple monkey").is_none());
}

#[test]
fn the_coachs_own_words_stand_beside_the_catalogs_correction_for_the_same_cause() {
    let (_, brain) = brain::load(None).unwrap();
    let mut courses: Vec<Course> = (0..30)
        .map(|n| course("sq-brace-late", f64::from(10 + n % 5), true))
        .collect();
    courses.extend((0..30).map(|n| Course {
        by: By::Coach,
        ..course("sq-brace-late", f64::from(30 + n % 5), true)
    }));
    let told = what_works(&brain.words, &brain.catalog, &courses, "c-sq-brace");
    let own: Vec<&str> = told
        .lines()
        .filter(|line| line.contains("the coach's own words"))
        .collect();
    assert_eq!(own.len(), 1, "{told}");
    assert!(own[0].contains("given 30, came back 30, gone 30"), "{told}");
    let told = compared(
        &brain.words,
        &brain.catalog,
        &courses,
        "c-sq-brace",
        "c-sq-brace coach",
    );
    assert_eq!(told.matches("30 courses").count(), 2, "{told}");
    assert!(told.contains("below 0.001"), "{told}");
}
