//! What a build lets expect of a lift, in plain sentences for the coach's desk.
//!
//! For the coach's eye only: nothing here is said to a lifter, for it remarks on their body.

use super::ankle::{Heel, Under};
use super::bench::{ARCHED_CHEST, FLAT_CHEST, Press, WIDEST_GRIP};
use super::deadlift::Pull;
use super::squat::{Balance, Rack, Squat};
use super::{Build, Dimension, Expected, build_of};
use crate::quantity::{Length, LengthUnit};
use crate::report::{BarPosition, Lift, SetReport, Shoes, Stance};

/// The ankle's angle the squat is told for, degrees: what is usable of an ordinary ankle (judgement).
const ANKLE: f64 = 30.0;

/// Heel of a lifting shoe, metres (common practice, no source: 15 to 25 mm).
const SHOE_HEEL: f64 = 0.02;

/// How much further an ankle is taken to bend to show what it would give, degrees.
const MORE_ANKLE: f64 = 5.0;

/// A usual grip, to compare the widest with, metres between the forefingers (judgement).
const USUAL_GRIP: f64 = 0.60;

/// What this lifter's build lets expect of the lift of the report, each with its 80 % range. None
/// when the report does not tell enough (stature; for a squat body mass and load as well), or when
/// the model does not cover the lift as done.
pub fn expectations(report: &SetReport) -> Option<Vec<String>> {
    let build = build_of(report)?;
    let unit = report.stature?.unit;
    let mut said = match report.lift? {
        Lift::Squat => squat(report, &build, unit)?,
        Lift::Bench => bench(&build, unit)?,
        Lift::Deadlift => deadlift(report, &build, unit)?,
    };
    said.extend(build.odd().into_iter().map(|(part, given, usual)| {
        format!(
            "The {} given, {}, is far from the {} that the height lets expect: have it measured again before relying on this.",
            name(part),
            length(given, unit),
            length(usual, unit)
        )
    }));
    said.push(basis(&build));
    Some(said)
}

/// The squat, for each place the bar may have.
fn squat(report: &SetReport, build: &Build, unit: LengthUnit) -> Option<Vec<String>> {
    let (body_kg, bar_kg) = (build.body_kg?, report.load?.kg());
    if !(bar_kg.is_finite() && bar_kg > 0.0) {
        return None;
    }
    let racks = match report.variant.bar_position {
        Some(BarPosition::High) => vec![("high", Rack::HIGH)],
        Some(BarPosition::Low) => vec![("low", Rack::LOW)],
        Some(BarPosition::Front | BarPosition::Special) => return None,
        None => vec![("high", Rack::HIGH), ("low", Rack::LOW)],
    };
    let raised = report.setting.equipment.shoes == Some(Shoes::Heeled);
    let mut said = Vec::new();
    for (place, rack) in racks {
        let mut squat = Squat::new(body_kg, bar_kg, rack);
        if raised {
            squat.heel = shoe();
        }
        said.extend(one_squat(&squat, build, place, unit));
    }
    Some(said)
}

/// The heel of a lifting shoe.
const fn shoe() -> Heel {
    Heel {
        height: SHOE_HEEL,
        under: Under::Shoe,
    }
}

fn one_squat(squat: &Squat, build: &Build, place: &str, unit: LengthUnit) -> Vec<String> {
    let raised = squat.heel != Heel::FLAT;
    let heel = if raised { ", a raised heel" } else { "" };
    let given = format!("a {place} bar{heel} and {ANKLE} degrees at the ankle");
    let Some(lean) = squat.expected_lean(build, ANKLE) else {
        return vec![no_balance(squat, build, &given, unit)];
    };
    let mut said = vec![format!(
        "For this build, with {given}, a lean of about {} is expected at parallel.",
        degrees(lean)
    )];
    if lean.edge {
        said.push(
            "Some builds close to this one do not balance there at all, so the lean may be more."
                .to_owned(),
        );
    }
    let more = squat.spared_by_ankle(build, ANKLE, MORE_ANKLE);
    said.extend(more.map(|less| {
        format!(
            "Another {MORE_ANKLE} degrees at the ankle would take about {} off it.",
            degrees(less)
        )
    }));
    let shoes = squat.spared_by_heel(build, ANKLE, shoe());
    said.extend(shoes.filter(|_| !raised).map(|less| {
        format!(
            "A heel of {} would take about {} off it.",
            length(SHOE_HEEL, unit),
            degrees(less)
        )
    }));
    said
}

/// No lean keeps the lifter over the middle of the foot, which is an answer too.
fn no_balance(squat: &Squat, build: &Build, given: &str, unit: LengthUnit) -> String {
    let at_best = match squat.with_ankle(build, ANKLE) {
        Balance::None { nearest } => format!(
            " (at best they end {} {} it)",
            length(nearest.abs(), unit),
            if nearest < 0.0 { "behind" } else { "ahead of" }
        ),
        Balance::Over(_) => String::new(),
    };
    format!(
        "For this build, with {given}, no lean keeps lifter and bar over the middle of the foot at parallel{at_best}: expect heels that lift, a high squat, or a wider stance."
    )
}

/// The bench press, for the usual and the widest grip.
fn bench(build: &Build, unit: LengthUnit) -> Option<Vec<String>> {
    let usual = Press::new(USUAL_GRIP, FLAT_CHEST);
    let wide = Press::new(WIDEST_GRIP, FLAT_CHEST);
    let arched = Press::new(USUAL_GRIP, ARCHED_CHEST);
    let travel = usual.expected_travel(build)?;
    let mut said = vec![format!(
        "For this build, with {} between the forefingers and a flat chest, the bar travels about {}.",
        length(USUAL_GRIP, unit),
        metres(travel, unit)
    )];
    said.extend(usual.longer_than(&wide, build).map(|less| {
        format!(
            "The widest grip of the rules, {}, would take about {} off it.",
            length(WIDEST_GRIP, unit),
            metres(less, unit)
        )
    }));
    let arch = usual.longer_than(&arched, build);
    said.extend(arch.map(|less| {
        format!(
            "An arch that raises the chest by {} would take {} off it.",
            length(ARCHED_CHEST - FLAT_CHEST, unit),
            length(less.value, unit)
        )
    }));
    Some(said)
}

/// The conventional deadlift.
fn deadlift(report: &SetReport, build: &Build, unit: LengthUnit) -> Option<Vec<String>> {
    if report.variant.stance == Some(Stance::Sumo) {
        return None;
    }
    let pull = Pull::default();
    let (hip, lean) = (pull.expected_hip(build)?, pull.expected_lean(build)?);
    let mut said = vec![
        format!(
            "For this build, in a conventional start with the shoulders {} ahead of the bar, the hip joint is expected about {} above the floor.",
            length(pull.ahead, unit),
            metres(hip, unit)
        ),
        format!(
            "The trunk then leans about {}. Shoulders further ahead mean higher hips and more lean; no one start is right.",
            degrees(lean)
        ),
    ];
    let range = pull.expected_range(build);
    said.extend(range.map(|range| {
        format!(
            "The bar has to go about {} to lockout.",
            metres(range, unit)
        )
    }));
    Some(said)
}

/// What the figures rest on.
fn basis(build: &Build) -> String {
    let measured: Vec<&str> = [
        Dimension::Shank,
        Dimension::Thigh,
        Dimension::Trunk,
        Dimension::Arm,
    ]
    .into_iter()
    .filter(|part| build.part(*part).measured)
    .map(name)
    .collect();
    let from = if measured.is_empty() {
        "All lengths are taken from the height".to_owned()
    } else {
        format!(
            "Measured: {}; other lengths are taken from the height",
            measured.join(", ")
        )
    };
    format!(
        "{from}. The range in brackets holds 8 of 10 such builds; a still body in one plane is assumed, and no measured lifters stand behind it."
    )
}

/// The word for a length of the body.
const fn name(part: Dimension) -> &'static str {
    match part {
        Dimension::Ankle => "ankle height",
        Dimension::Shank => "shank",
        Dimension::Thigh => "thigh",
        Dimension::Trunk => "trunk",
        Dimension::Foot => "foot",
        Dimension::Arm => "arm",
        Dimension::Hand => "hand",
        Dimension::HalfShoulders => "shoulder breadth",
        Dimension::ShoulderHeight => "shoulder height",
    }
}

/// `44 degrees (38 to 50)`; without a range that rounds to nothing.
fn degrees(angle: Expected) -> String {
    let [value, low, high] =
        [angle.value, angle.low, angle.high].map(|degrees| format!("{degrees:.0}"));
    if low == high {
        format!("{value} degrees")
    } else {
        format!("{value} degrees ({low} to {high})")
    }
}

/// `54 cm (21 in; 50 to 58 cm)`, the unit of the lifter's height first.
fn metres(figure: Expected, unit: LengthUnit) -> String {
    let (own, _) = units(unit);
    let places = usize::from(figure.value < 0.1);
    let [low, high] = [figure.low, figure.high]
        .map(|metres| format!("{:.places$}", Length::from_metres(metres, own).value));
    let shown = length(figure.value, unit);
    if low == high {
        return shown;
    }
    let ends = format!("; {low} to {high} {})", word(own));
    shown.strip_suffix(')').unwrap_or(&shown).to_owned() + &ends
}

/// `54 cm (21 in)`, the unit of the lifter's height first; below 10 cm to one place.
fn length(metres: f64, unit: LengthUnit) -> String {
    let (own, other) = units(unit);
    let places = usize::from(metres < 0.1);
    let shown = |unit| {
        format!(
            "{:.places$} {}",
            Length::from_metres(metres, unit).value,
            word(unit)
        )
    };
    format!("{} ({})", shown(own), shown(other))
}

/// The lifter's own unit for lengths of the body, and the other. Metres are told in centimetres.
const fn units(unit: LengthUnit) -> (LengthUnit, LengthUnit) {
    match unit {
        LengthUnit::M | LengthUnit::Cm => (LengthUnit::Cm, LengthUnit::In),
        LengthUnit::In => (LengthUnit::In, LengthUnit::Cm),
    }
}

const fn word(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::M => "m",
        LengthUnit::Cm => "cm",
        LengthUnit::In => "in",
    }
}
