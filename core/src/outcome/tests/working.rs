//! The table of what works, and when two corrections may be compared.

use crate::outcome::survival::Followed;
use crate::outcome::works::{By, Caution, Course, comparison, table};
use crate::report::Lift;

fn course(sign: &str, days: f64, gone: bool) -> Course {
    Course {
        lift: Lift::Squat,
        cause: "c-sq-brace".to_owned(),
        sign: sign.to_owned(),
        by: By::Catalog,
        followed: Followed { days, gone },
        resubmitted: true,
        effort: Some(7.0),
        training_months: Some(24),
    }
}

/// Forty courses: gone every `gone_days` days or so, one in five never seen gone.
fn forty(gone_days: f64) -> Vec<Course> {
    (0..40)
        .map(|at| {
            let days = gone_days + f64::from(at % 7);
            course("sq-brace-late", days, at % 5 != 0)
        })
        .collect()
}

fn refer(courses: &[Course]) -> Vec<&Course> {
    courses.iter().collect()
}

#[test]
fn each_correction_and_sign_has_its_line_and_the_most_given_comes_first() {
    let mut courses = forty(10.0);
    courses.push(course("sq-trunk-soft", 14.0, true));
    courses.push(Course {
        resubmitted: false,
        ..course("sq-trunk-soft", 21.0, false)
    });
    let lines = table(&courses);
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0].key.sign, "sq-brace-late");
    assert_eq!(
        (lines[0].given, lines[0].gone, lines[0].few()),
        (40, 32, false)
    );
    let second = &lines[1];
    assert_eq!((second.given, second.resubmitted, second.gone), (2, 1, 1));
    assert!(second.few(), "two courses are few");
    assert_eq!(second.median.days, Some(14.0));
}

#[test]
fn a_clear_difference_in_large_like_groups_is_said() {
    let (fast, slow) = (forty(7.0), forty(28.0));
    let found = comparison(&refer(&fast), &refer(&slow));
    assert_eq!(found.cautions, []);
    assert!(found.differs() && found.test.unwrap().p < 1e-6);
}

#[test]
fn the_same_difference_in_a_handful_is_not_said() {
    let (fast, slow) = (forty(7.0), forty(28.0));
    let found = comparison(&refer(&fast[..6]), &refer(&slow[..6]));
    assert_eq!(found.cautions, [Caution::SmallNumbers]);
    assert!(!found.differs());
}

#[test]
fn groups_that_differ_otherwise_are_no_fair_comparison() {
    let fast = forty(7.0);
    let mut slow = forty(28.0);
    for (at, course) in slow.iter_mut().enumerate() {
        course.effort = Some(9.0);
        course.training_months = Some(6);
        course.resubmitted = at % 2 == 0;
    }
    let found = comparison(&refer(&fast), &refer(&slow));
    assert_eq!(
        found.cautions,
        [
            Caution::LostUnevenly,
            Caution::EffortDiffers,
            Caution::TrainingDiffers
        ]
    );
    assert!(!found.differs());
}

#[test]
fn curves_that_cross_are_pointed_out() {
    let early_then_stuck: Vec<Course> = (0..40)
        .map(|at| course("sq-brace-late", if at < 20 { 3.0 } else { 60.0 }, at < 24))
        .collect();
    let late_then_all: Vec<Course> = (0..40)
        .map(|at| course("sq-brace-late", 20.0 + f64::from(at % 3), true))
        .collect();
    let found = comparison(&refer(&early_then_stuck), &refer(&late_then_all));
    assert!(found.cautions.contains(&Caution::CurvesCross));
}
