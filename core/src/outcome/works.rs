//! What works: for each correction how often it was given, how often the lifter came back, how often
//! the sign was gone and how soon; and an honest comparison of two.

use super::survival::{Curve, Followed, LogRank, Median, curve, log_rank};
use crate::report::Lift;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Courses in a group below which its figures are called few (common practice, no source).
pub const FEW_COURSES: usize = 20;

/// Signs gone in a group below which its curve is called unsure: about ten events for each thing
/// compared (a rule of thumb of survival analysis, from memory).
pub const FEW_GONE: usize = 10;

/// Share of courses lost early in one group, beyond the other's, above which losing them may be
/// what differs (our judgement, no source).
const LOSS_GAP: f64 = 0.2;

/// Difference in mean effort of the sets, in RPE, above which two groups trained differently (our
/// judgement, no source).
const EFFORT_GAP: f64 = 1.0;

/// Who thought of a correction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum By {
    /// The catalog's own.
    Catalog,
    /// The coach's own words.
    Coach,
}

/// One correction given for one sign.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Course {
    /// Lift.
    pub lift: Lift,
    /// Cause it was for.
    pub cause: String,
    /// Sign it should make go.
    pub sign: String,
    /// Whose correction.
    pub by: By,
    /// How long it was followed, and whether the sign was gone.
    pub followed: Followed,
    /// The lifter came back at least once.
    pub resubmitted: bool,
    /// Effort of the set it was given after, as RPE, when said.
    pub effort: Option<f64>,
    /// Months of training when it was given, when said.
    pub training_months: Option<u32>,
}

/// Which courses a line of the table counts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct LineKey {
    /// Lift's word.
    pub lift: String,
    /// Cause id.
    pub cause: String,
    /// Sign id.
    pub sign: String,
    /// Whose correction.
    pub by: By,
}

/// One line of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// What it counts.
    pub key: LineKey,
    /// Given.
    pub given: usize,
    /// Of these, the lifter came back.
    pub resubmitted: usize,
    /// Of these, the sign was gone.
    pub gone: usize,
    /// Share still there over time.
    pub curve: Curve,
    /// The day by which half are gone.
    pub median: Median,
}

impl Line {
    /// Too few to go by.
    pub const fn few(&self) -> bool {
        self.given < FEW_COURSES || self.gone < FEW_GONE
    }
}

/// Why a comparison should not be leaned on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// A group has few courses, or few signs gone.
    SmallNumbers,
    /// One group was lost early more often than the other.
    LostUnevenly,
    /// The sets were of different effort.
    EffortDiffers,
    /// One group has trained more than twice as long.
    TrainingDiffers,
    /// The curves cross, which a log-rank test can hide.
    CurvesCross,
}

/// Two corrections compared.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Comparison {
    /// The test; none when there was nothing to compare.
    pub test: Option<LogRank>,
    /// The first group's curve.
    pub first: Curve,
    /// The second group's curve.
    pub second: Curve,
    /// Why not to lean on it; nobody was assigned by chance, so it is never proof.
    pub cautions: Vec<Caution>,
}

impl Comparison {
    /// Says that they differ: the test is below 5 in 100 and no caution stands against it.
    pub fn differs(&self) -> bool {
        self.cautions.is_empty() && self.test.is_some_and(|test| test.p < 0.05)
    }
}

/// The table, by lift, cause, sign and whose correction; the most given first within a lift.
pub fn table(courses: &[Course]) -> Vec<Line> {
    let mut groups: BTreeMap<LineKey, Vec<&Course>> = BTreeMap::new();
    for course in courses {
        groups.entry(key(course)).or_default().push(course);
    }
    let mut lines: Vec<Line> = groups
        .into_iter()
        .map(|(key, courses)| line(key, &courses))
        .collect();
    // The sort is stable, so equals stay in the order of their keys.
    lines.sort_by(|a, b| {
        a.key
            .lift
            .cmp(&b.key.lift)
            .then_with(|| b.given.cmp(&a.given))
    });
    lines
}

fn key(course: &Course) -> LineKey {
    LineKey {
        lift: course.lift.word().to_owned(),
        cause: course.cause.clone(),
        sign: course.sign.clone(),
        by: course.by,
    }
}

fn line(key: LineKey, courses: &[&Course]) -> Line {
    let followed: Vec<Followed> = courses.iter().map(|course| course.followed).collect();
    let curve = curve(&followed);
    Line {
        key,
        given: courses.len(),
        resubmitted: courses.iter().filter(|course| course.resubmitted).count(),
        gone: curve.gone,
        median: curve.median(),
        curve,
    }
}

/// Compares two groups of courses, and says what stands against leaning on it.
pub fn comparison(first: &[&Course], second: &[&Course]) -> Comparison {
    let followed = |group: &[&Course]| -> Vec<Followed> {
        group.iter().map(|course| course.followed).collect()
    };
    let (one, two) = (followed(first), followed(second));
    let (curve_one, curve_two) = (curve(&one), curve(&two));
    let mut cautions = Vec::new();
    if [(&one, &curve_one), (&two, &curve_two)]
        .iter()
        .any(|(group, curve)| group.len() < FEW_COURSES || curve.gone < FEW_GONE)
    {
        cautions.push(Caution::SmallNumbers);
    }
    if (lost(first) - lost(second)).abs() > LOSS_GAP {
        cautions.push(Caution::LostUnevenly);
    }
    if let (Some(a), Some(b)) = (effort(first), effort(second))
        && (a - b).abs() > EFFORT_GAP
    {
        cautions.push(Caution::EffortDiffers);
    }
    if let (Some(a), Some(b)) = (training(first), training(second))
        && (a > 2.0 * b || b > 2.0 * a)
    {
        cautions.push(Caution::TrainingDiffers);
    }
    if cross(&curve_one, &curve_two) {
        cautions.push(Caution::CurvesCross);
    }
    Comparison {
        test: log_rank(&one, &two),
        first: curve_one,
        second: curve_two,
        cautions,
    }
}

/// Share that never came back.
fn lost(group: &[&Course]) -> f64 {
    let lost = group.iter().filter(|course| !course.resubmitted).count();
    if group.is_empty() {
        0.0
    } else {
        lost as f64 / group.len() as f64
    }
}

fn effort(group: &[&Course]) -> Option<f64> {
    mean(group.iter().filter_map(|course| course.effort))
}

fn training(group: &[&Course]) -> Option<f64> {
    mean(
        group
            .iter()
            .filter_map(|course| course.training_months.map(f64::from)),
    )
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// Whether each curve lies clearly below the other somewhere: beyond a tenth of all.
fn cross(one: &Curve, two: &Curve) -> bool {
    const CLEAR: f64 = 0.1;
    let until = one.last_day.min(two.last_day);
    let days = one.steps.iter().chain(&two.steps).map(|step| step.days);
    let gaps = days
        .filter(|day| *day <= until)
        .map(|day| one.still(day) - two.still(day));
    let (least, most) = gaps.fold((0.0_f64, 0.0_f64), |(least, most), gap| {
        (least.min(gap), most.max(gap))
    });
    least < -CLEAR && most > CLEAR
}
