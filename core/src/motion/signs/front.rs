//! From the front or from behind: left against right.

use super::super::Rep;
use super::scene::{Part, Scene, Seen, apart, largest, mean};
use super::series::{Join, Ledger, Reading, Series, Shows};
use crate::report::Lift;

/// Half the window for places, seconds.
const WINDOW_S: f64 = 0.1;

/// Rest before the movement over which level and middle are taken, seconds.
const REST_S: f64 = 0.3;

/// The two ends of what should stay level: of the bar, or the wrists that hold it. The shoulders
/// under a squat bar are too close together for an angle.
fn ends<'a>(scene: &Scene<'a>, rep: &Rep) -> Option<(Seen<'a>, Seen<'a>)> {
    if !scene.front() {
        return None;
    }
    let bar = || {
        let other = scene.look(scene.motion.other_end.as_ref()?, rep)?;
        Some((scene.real_bar(rep)?, other))
    };
    let wrists = || {
        let held = scene.motion.lift != Lift::Squat;
        held.then(|| scene.pair(Part::Wrist, rep))?
    };
    bar().or_else(wrists)
}

/// Slope of the line between two points at a sample, degrees, whichever stands left.
fn slope(one: &Seen<'_>, other: &Seen<'_>, at: usize) -> f64 {
    let (across, up) = (other.x(at) - one.x(at), other.y(at) - one.y(at));
    (up * across.signum()).atan2(across.abs()).to_degrees()
}

/// Window of rest before a movement.
fn rest(scene: &Scene<'_>, rep: &Rep) -> std::ops::RangeInclusive<usize> {
    rep.start.saturating_sub(scene.samples(REST_S))..=rep.start
}

/// Largest tilt on the way up against the level at rest, degrees.
pub(super) fn tilt(scene: &Scene<'_>, ledger: &mut Ledger<'_>, sign: &'static str) {
    let per_rep = scene.each(|rep| {
        let (one, other) = ends(scene, rep)?;
        let angles: Vec<f64> = rest(scene, rep).map(|at| slope(&one, &other, at)).collect();
        let level = mean(&angles, 0..=angles.len());
        let (_, tilt) = largest(rep.go..=rep.top, |at| {
            (slope(&one, &other, at) - level).abs()
        })?;
        let width = apart(&one, &other, rep.go);
        let noise = (one.noise.hypot(other.noise) / width).to_degrees();
        Some(Reading::plain(tilt, noise, one.trust.min(other.trust)))
    });
    let series = Series::habit("bar-tilt", "tilt of the bar on the way up", "°", per_rep);
    if !scene.front() {
        ledger.hidden(
            "left against right (level of the bar, hips to one side, knees in): that needs a camera in front or behind",
        );
    } else if series.per_rep.iter().all(Option::is_none) {
        ledger.hidden("the level of the bar: both of its ends have to be followed");
    }
    ledger.simple(sign, &series, scene.limits.tilt_deg, Shows::Above);
}

/// Tilt of the bar before the first repetition, degrees: of both ends, against the picture's level.
pub(super) fn start_tilt(scene: &Scene<'_>, ledger: &mut Ledger<'_>, sign: &'static str) {
    let mut first = true;
    let per_rep = scene.each(|rep| {
        let counts = std::mem::take(&mut first);
        let (one, other) = ends(scene, rep).filter(|_| counts)?;
        let angles: Vec<f64> = rest(scene, rep).map(|at| slope(&one, &other, at)).collect();
        let tilt = mean(&angles, 0..=angles.len()).abs();
        let width = apart(&one, &other, rep.start);
        let of = |a: f64, b: f64| (a.hypot(b) / width).to_degrees();
        Some(Reading {
            value: tilt,
            noise: of(one.noise, other.noise) / scene.averaging(REST_S),
            shared: of(one.path.bias, other.path.bias).hypot(scene.limits.roll_deg),
            trust: one.trust.min(other.trust),
        })
    });
    let series = Series::event(
        "start-tilt",
        "tilt of the bar before the first rep",
        "°",
        per_rep,
    );
    ledger.simple(sign, &series, scene.limits.tilt_deg, Shows::Above);
}

/// Middle of two points across the picture, over a window, metres.
fn middle(pair: &(Seen<'_>, Seen<'_>), window: &std::ops::RangeInclusive<usize>) -> f64 {
    let (one, other) = pair;
    f64::midpoint(
        mean(&one.path.x, window.clone()),
        mean(&other.path.x, window.clone()),
    )
}

/// How far the hips move to one side over the feet, from the bottom into the way up, metres.
pub(super) fn hip_shift(scene: &Scene<'_>, ledger: &mut Ledger<'_>, sign: &'static str) {
    if !scene.front() {
        return;
    }
    let per_rep = scene.each(|rep| {
        let (hips, ankles) = (scene.pair(Part::Hip, rep)?, scene.pair(Part::Ankle, rep)?);
        let off = |window: std::ops::RangeInclusive<usize>| {
            middle(&hips, &window) - middle(&ankles, &window)
        };
        let straight = off(rest(scene, rep));
        // The bottom, and a third of the way up.
        let third = rep.go + (rep.top - rep.go) / 3;
        let (_, shift) = largest(0..=1, |place| {
            let at = if place == 0 { rep.bottom } else { third };
            (off(scene.around(at, WINDOW_S)) - straight).abs()
        })?;
        let four = [&hips.0, &hips.1, &ankles.0, &ankles.1];
        let noise = four.iter().fold(0.0_f64, |sum, one| sum.hypot(one.noise)) / 2.0;
        let trust = four.iter().map(|one| one.trust).fold(1.0, f64::min);
        let spread =
            (noise / scene.averaging(2.0 * WINDOW_S)).hypot(noise / scene.averaging(REST_S));
        Some(Reading::plain(shift, spread, trust))
    });
    let series = Series::habit("hip-shift", "hips to one side", "m", per_rep);
    ledger.simple(sign, &series, scene.limits.hip_shift_m, Shows::Above);
}

/// Knee width against ankle width at a sample, and its error by noise.
fn knee_width(
    scene: &Scene<'_>,
    knees: &(Seen<'_>, Seen<'_>),
    ankles: &(Seen<'_>, Seen<'_>),
    at: usize,
) -> (f64, f64) {
    let window = scene.around(at, WINDOW_S);
    let wide = |pair: &(Seen<'_>, Seen<'_>)| {
        (mean(&pair.0.path.x, window.clone()) - mean(&pair.1.path.x, window.clone())).abs()
    };
    let (knee, ankle) = (wide(knees), wide(ankles));
    let ratio = knee / ankle;
    let averaging = scene.averaging(2.0 * WINDOW_S);
    let noise = knees.0.noise.hypot(knees.1.noise);
    let feet = ankles.0.noise.hypot(ankles.1.noise);
    (ratio, noise.hypot(ratio * feet) / ankle / averaging)
}

/// Knees in: on the way up against the way down at equal height, and on the way down against the
/// feet. Told by the width of knees and ankles, which stands for the line of knee and foot.
pub(super) fn knees(
    scene: &Scene<'_>,
    ledger: &mut Ledger<'_>,
    down: Option<&'static str>,
    up: &'static str,
) {
    if !scene.front() {
        return;
    }
    let limits = scene.limits;
    if let Some(sign) = down {
        let per_rep = scene.each(|rep| {
            let (knees, ankles) = (scene.pair(Part::Knee, rep)?, scene.pair(Part::Ankle, rep)?);
            let (ratio, noise) = knee_width(scene, &knees, &ankles, rep.bottom);
            Some(Reading {
                value: ratio,
                noise,
                shared: limits.knee_width_error,
                trust: trust_of(&knees, &ankles),
            })
        });
        let series = Series::habit(
            "knee-width",
            "width of the knees against the ankles at the bottom",
            "",
            per_rep,
        );
        let verdict = ledger.weigh(&series, limits.knee_width, Shows::Below);
        ledger.sign(sign, Join::Either, &[verdict], limits.stand_in_surest);
    }
    let per_rep = scene.each(|rep| width_loss(scene, rep));
    let series = Series::habit(
        "knee-width-loss",
        "width of the knees lost on the way up, as a share",
        "",
        per_rep,
    );
    let verdict = ledger.weigh(&series, limits.knee_width_loss, Shows::Above);
    ledger.sign(up, Join::Either, &[verdict], limits.stand_in_surest);
}

fn trust_of(one: &(Seen<'_>, Seen<'_>), other: &(Seen<'_>, Seen<'_>)) -> f64 {
    let knees = one.0.trust.min(one.1.trust);
    knees.min(other.0.trust).min(other.1.trust)
}

/// Share of the knee width lost on the way up against the other way at equal height of the hips,
/// at a quarter, a half and three quarters of it.
fn width_loss(scene: &Scene<'_>, rep: &Rep) -> Option<Reading> {
    let (knees, ankles) = (scene.pair(Part::Knee, rep)?, scene.pair(Part::Ankle, rep)?);
    let (hip, _) = scene.pair(Part::Hip, rep)?;
    let (low, high) = (hip.y(rep.bottom), hip.y(rep.top));
    // A deadlift is lowered after it is pulled, a squat before.
    let before = rep.start < rep.bottom;
    let mut worst: Option<Reading> = None;
    for share in [0.25, 0.5, 0.75] {
        let level = low + share * (high - low);
        let rising = (rep.go..=rep.top).find(|at| hip.y(*at) >= level)?;
        let falling = if before {
            (rep.start..=rep.bottom).find(|at| hip.y(*at) <= level)?
        } else {
            (rep.top..=rep.end).find(|at| hip.y(*at) <= level)?
        };
        let (up, noise_up) = knee_width(scene, &knees, &ankles, rising);
        let (down, noise_down) = knee_width(scene, &knees, &ankles, falling);
        let loss = 1.0 - up / down;
        if worst.is_none_or(|worst| loss > worst.value) {
            let noise = noise_up.hypot(noise_down * up / down) / down;
            worst = Some(Reading::plain(loss, noise, trust_of(&knees, &ankles)));
        }
    }
    worst
}
