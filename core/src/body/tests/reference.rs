//! The lifts against `SciPy`'s general solvers; the figures are made by `tests/reference/body.py` with the
//! versions named in the file.

use super::super::ankle::{Heel, Under};
use super::super::bench::Press;
use super::super::deadlift::Pull;
use super::super::squat::{Balance, Position, Rack, Squat};
use super::super::{Build, Dimension, Measured};
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Deserialize)]
struct Reference {
    both_over_mid_foot: Vec<BothOver>,
    ankle_given: Vec<AnkleGiven>,
    odd_squats: Vec<AnkleGiven>,
    heels: Vec<Pitch>,
    presses: Vec<Pressed>,
    over_hand: Vec<OverHand>,
    pulls: Vec<Pulled>,
    spreads: Vec<Spread>,
}

#[derive(Deserialize)]
struct Lifted {
    stature: f64,
    kg: f64,
    bar_kg: f64,
    thigh: f64,
    trunk: f64,
    shank: Option<f64>,
    bar: String,
    heel_mm: f64,
    #[serde(default)]
    thigh_deg: f64,
    #[serde(default)]
    shoe: bool,
}

#[derive(Deserialize)]
struct Found {
    bar_x: Option<f64>,
    shank: f64,
    dorsiflexion: f64,
    lean: f64,
    hip_arm: f64,
    knee_arm: f64,
    hip_moment: f64,
    knee_moment: f64,
    knee_past_toe: f64,
}

#[derive(Deserialize)]
struct BothOver {
    stature: f64,
    kg: f64,
    bar_kg: f64,
    thigh: f64,
    trunk: f64,
    bar: String,
    heel_mm: f64,
    #[serde(flatten)]
    found: Found,
}

#[derive(Deserialize)]
struct AnkleGiven {
    #[serde(flatten)]
    lifted: Lifted,
    ankle: f64,
    short: Option<f64>,
    found: Option<Found>,
}

#[derive(Deserialize)]
struct Pitch {
    mm: f64,
    length: f64,
    degrees: f64,
}

#[derive(Deserialize)]
struct Pressed {
    stature: f64,
    grip: f64,
    chest: f64,
    touch: f64,
    travel: f64,
    elbow: f64,
}

#[derive(Deserialize)]
struct OverHand {
    stature: f64,
    chest: f64,
    touch: f64,
    grip: f64,
}

#[derive(Deserialize)]
struct Pulled {
    stature: f64,
    kg: f64,
    bar_kg: f64,
    thigh: f64,
    trunk: f64,
    arm: f64,
    ahead: f64,
    shin: f64,
    shank: f64,
    hip_y: f64,
    lean: f64,
    thigh_deg: f64,
    hip_behind: f64,
    body_x: f64,
    system_x: f64,
    range: f64,
}

#[derive(Deserialize)]
struct Spread {
    stature: f64,
    kg: f64,
    bar_kg: f64,
    bar: String,
    ankle: f64,
    lean: f64,
    sd: f64,
    drawn_sd: f64,
    drawn_low: f64,
    drawn_high: f64,
}

static REFERENCE: LazyLock<Reference> = LazyLock::new(|| {
    serde_json::from_str(include_str!("../../../../tests/reference/body.json")).unwrap()
});

/// Agreement to `1e-9` of the figure, or of one where it is small.
#[track_caller]
fn close(what: &str, found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{what}: found {found}, expected {expected}"
    );
}

fn rack(bar: &str) -> Rack {
    if bar == "high" { Rack::HIGH } else { Rack::LOW }
}

impl Lifted {
    fn build(&self) -> Build {
        let measured = Measured {
            thigh: Some(self.thigh),
            trunk: Some(self.trunk),
            shank: self.shank,
            arm: None,
        };
        Build::new(self.stature, measured, None).unwrap()
    }

    fn squat(&self) -> Squat {
        Squat {
            thigh: self.thigh_deg,
            heel: Heel {
                height: self.heel_mm / 1000.0,
                under: if self.shoe {
                    Under::Shoe
                } else {
                    Under::WholeFoot
                },
            },
            ..Squat::new(self.kg, self.bar_kg, rack(&self.bar))
        }
    }
}

#[track_caller]
fn same_position(found: &Position, expected: &Found) {
    close("bar", found.bar, expected.bar_x.unwrap_or(0.0));
    close("system", found.system, 0.0);
    close("shank", found.shank, expected.shank);
    close("ankle", found.dorsiflexion, expected.dorsiflexion);
    close("lean", found.lean, expected.lean);
    close("hip arm", found.hip_arm, expected.hip_arm);
    close("knee arm", found.knee_arm, expected.knee_arm);
    close("hip moment", found.hip_moment, expected.hip_moment);
    close("knee moment", found.knee_moment, expected.knee_moment);
    close("past the toe", found.knee_past_toe, expected.knee_past_toe);
}

#[test]
fn bar_and_system_over_mid_foot_are_where_fsolve_has_them() {
    assert_eq!(REFERENCE.both_over_mid_foot.len(), 12);
    for row in &REFERENCE.both_over_mid_foot {
        let lifted = Lifted {
            stature: row.stature,
            kg: row.kg,
            bar_kg: row.bar_kg,
            thigh: row.thigh,
            trunk: row.trunk,
            shank: None,
            bar: row.bar.clone(),
            heel_mm: row.heel_mm,
            thigh_deg: 0.0,
            shoe: false,
        };
        let found = lifted.squat().bar_over_mid_foot(&lifted.build()).unwrap();
        same_position(&found, &row.found);
    }
}

#[test]
fn the_lean_for_an_ankle_is_the_root_that_brent_finds() {
    let rows = REFERENCE.ankle_given.iter().chain(&REFERENCE.odd_squats);
    let (mut balanced, mut none) = (0, 0);
    for row in rows {
        let balance = row
            .lifted
            .squat()
            .with_ankle(&row.lifted.build(), row.ankle);
        match (balance, &row.found, row.short) {
            (Balance::Over(found), Some(expected), None) => {
                same_position(&found, expected);
                balanced += 1;
            }
            (Balance::None { nearest }, None, Some(short)) => {
                close("nearest", nearest, short);
                none += 1;
            }
            (found, _, short) => panic!("found {found:?}, expected short {short:?}"),
        }
    }
    assert!(balanced >= 60 && none >= 2, "{balanced} {none}");
}

#[test]
fn heels_presses_and_pulls_are_those_of_scipy() {
    assert_eq!(REFERENCE.heels.len(), 16);
    for row in &REFERENCE.heels {
        let heel = Heel {
            height: row.mm / 1000.0,
            under: Under::WholeFoot,
        };
        close("pitch", heel.pitch(row.length), row.degrees);
    }
    assert_eq!(REFERENCE.presses.len(), 96);
    for row in &REFERENCE.presses {
        let build = Build::new(row.stature, Measured::default(), None).unwrap();
        let press = Press {
            grip: row.grip,
            chest: row.chest,
            touch: row.touch,
        };
        close("travel", press.travel(&build).unwrap(), row.travel);
        close("elbow", press.elbow_at_touch(&build).unwrap(), row.elbow);
    }
    assert_eq!(REFERENCE.over_hand.len(), 2);
    for row in &REFERENCE.over_hand {
        let build = Build::new(row.stature, Measured::default(), None).unwrap();
        let press = Press {
            touch: row.touch,
            ..Press::new(0.5, row.chest)
        };
        close("grip", press.grip_over_elbow(&build).unwrap(), row.grip);
    }
}

#[test]
fn starts_of_the_deadlift_are_those_of_scipy() {
    assert_eq!(REFERENCE.pulls.len(), 10);
    for row in &REFERENCE.pulls {
        let usual = Build::new(row.stature, Measured::default(), None).unwrap();
        let measured = Measured {
            thigh: Some(row.thigh),
            trunk: Some(row.trunk),
            shank: Some(usual.metres(Dimension::Shank)),
            arm: Some(row.arm),
        };
        let build = Build::new(row.stature, measured, None).unwrap();
        let pull = Pull {
            ahead: row.ahead,
            shin: row.shin,
            ..Pull::default()
        };
        let start = pull.start(&build).unwrap();
        close("shank", start.shank, row.shank);
        close("hip", start.hip, row.hip_y);
        close("lean", start.lean, row.lean);
        close("thigh", start.thigh, row.thigh_deg);
        close("hip behind", start.hip_behind, row.hip_behind);
        close("body", start.body, row.body_x);
        close("system", start.system(row.kg, row.bar_kg), row.system_x);
        close("range", pull.range(&build).unwrap(), row.range);
    }
}

#[test]
fn the_stated_spread_is_that_of_four_thousand_drawn_builds() {
    assert_eq!(REFERENCE.spreads.len(), 3);
    for row in &REFERENCE.spreads {
        let build = Build::new(row.stature, Measured::default(), None).unwrap();
        let squat = Squat::new(row.kg, row.bar_kg, rack(&row.bar));
        let found = squat.expected_lean(&build, row.ankle).unwrap();
        close("lean", found.value, row.lean);
        close("sd", found.sd, row.sd);
        // The differences are a straight line through a bent curve: a few percent off the draws.
        assert!((found.sd / row.drawn_sd - 1.0).abs() < 0.06);
        assert!((found.low - row.drawn_low).abs() < 0.8, "{found:?}");
        assert!((found.high - row.drawn_high).abs() < 0.8, "{found:?}");
        assert!(!found.edge);
    }
}
