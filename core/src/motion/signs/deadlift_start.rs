//! The deadlift before the bar leaves the floor.

use super::deadlift::knee_angle;
use super::scene::{Part, Scene, largest, mean};
use super::series::{Join, Ledger, Reading, Series, Shows};

/// Half the window for places, seconds.
const PLACE_S: f64 = 0.05;

/// How long before the start the hips are watched, seconds.
const BEFORE_S: f64 = 1.0;

/// The position before the bar leaves.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    ledger.simple(
        "dl-bar-far",
        &shin_gap(scene),
        limits.deadlift.shin_gap_m,
        Shows::Above,
    );
    ledger.simple(
        "dl-shoulders-behind",
        &shoulder_ahead(scene),
        limits.deadlift.shoulder_behind_m,
        Shows::Below,
    );
    ledger.simple(
        "dl-hips-drop-in",
        &hips_pop(scene),
        limits.deadlift.hips_pop_m,
        Shows::Above,
    );
    let height = hip_above_expected(scene)
        .and_then(|series| ledger.weigh(&series, limits.deadlift.hips_high_m, Shows::Above));
    let knees = knee_angle(scene, "knee-at-start", "knee angle at the start", |rep| {
        Some(rep.bottom)
    });
    let straight = ledger.weigh(&knees, limits.deadlift.start_knee_deg, Shows::Above);
    ledger.sign("dl-hips-high-start", Join::Alike, &[height, straight], 1.0);
}

/// Gap between bar and shin at the start, metres: from the bar's centre square to the line from
/// ankle to knee, less half a shin and half a bar.
fn shin_gap(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar_beside_body(rep)?;
        let (ankle, knee) = (scene.near(Part::Ankle, rep)?, scene.near(Part::Knee, rep)?);
        let at = rep.bottom;
        let (along_x, along_y) = (knee.x(at) - ankle.x(at), knee.y(at) - ankle.y(at));
        let (off_x, off_y) = (bar.x(at) - ankle.x(at), bar.y(at) - ankle.y(at));
        let length = along_x.hypot(along_y);
        let square = (off_x * along_y - off_y * along_x) / length;
        let steady = bar
            .path
            .bias
            .hypot(ankle.path.bias)
            .hypot(knee.path.bias / 2.0);
        Some(Reading {
            value: square - scene.limits.deadlift.shin_and_bar_m,
            noise: bar.noise.hypot(ankle.noise),
            shared: steady.hypot(scene.parallax()),
            trust: bar.trust.min(ankle.trust).min(knee.trust),
        })
    });
    Series::habit(
        "shin-gap",
        "gap between bar and shins at the start",
        "m",
        per_rep,
    )
}

/// Shoulder ahead of the bar at the start, metres.
fn shoulder_ahead(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar_beside_body(rep)?;
        let shoulder = scene.near(Part::Shoulder, rep)?;
        let window = scene.around(rep.bottom, PLACE_S);
        let value = mean(&shoulder.path.x, window.clone()) - mean(&bar.path.x, window);
        let steady = bar.path.bias.hypot(shoulder.path.bias);
        Some(Reading {
            value,
            noise: bar.noise.hypot(shoulder.noise),
            shared: steady.hypot(scene.parallax()),
            trust: bar.trust.min(shoulder.trust),
        })
    });
    Series::habit(
        "shoulder-ahead",
        "shoulders ahead of the bar at the start",
        "m",
        per_rep,
    )
}

/// How far the hips rise from their lowest place before the bar leaves, metres.
fn hips_pop(scene: &Scene<'_>) -> Series {
    let mut over = 0;
    let per_rep = scene.each(|rep| {
        let earliest = std::mem::replace(&mut over, rep.end);
        let hip = scene.near(Part::Hip, rep)?;
        let from = rep
            .bottom
            .saturating_sub(scene.samples(BEFORE_S))
            .max(earliest);
        if from >= rep.bottom {
            return None;
        }
        let height = |at: usize| mean(&hip.path.y, scene.around(at, PLACE_S));
        let (_, low) = largest(from..=rep.bottom, |at| -height(at))?;
        let noise = std::f64::consts::SQRT_2 * hip.noise;
        Some(Reading::plain(height(rep.bottom) + low, noise, hip.trust))
    });
    Series::habit(
        "hips-pop",
        "rise of the hips before the bar leaves",
        "m",
        per_rep,
    )
}

/// Hip at the start above what the build lets expect, metres.
fn hip_above_expected(scene: &Scene<'_>) -> Option<Series> {
    let (expected, spread) = scene.about.expected_hip_height_m?;
    let per_rep = scene.each(|rep| {
        let (hip, ankle) = (scene.near(Part::Hip, rep)?, scene.near(Part::Ankle, rep)?);
        let window = scene.around(rep.bottom, PLACE_S);
        let height = mean(&hip.path.y, window.clone()) - mean(&ankle.path.y, window);
        let steady = hip.path.bias.hypot(ankle.path.bias);
        Some(Reading {
            value: height - expected,
            noise: hip.noise.hypot(ankle.noise) / scene.averaging(2.0 * PLACE_S),
            shared: steady.hypot(spread).hypot(scene.scale_part(height)),
            trust: hip.trust.min(ankle.trust),
        })
    });
    Some(Series::habit(
        "hip-height",
        "hips at the start above what the build lets expect",
        "m",
        per_rep,
    ))
}
