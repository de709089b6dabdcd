//! The squat: depth, trunk, hips and knees from the side.

use super::super::evidence::segment_angle_error;
use super::scene::{Part, Scene, apart, lean, mean};
use super::series::{Join, Ledger, Pool, Reading, Series, Shows};
use super::{bar_path, front, lead, speed, squat_down, tempo};

/// Half the window around the bottom for places, seconds.
const BOTTOM_S: f64 = 0.05;

/// Half the window around the bottom for the ankle, seconds: a rise must last.
const ANKLE_S: f64 = 0.2;

/// All signs of the squat that this motion can show.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let dive = tempo::dive(scene, ledger);
    tempo::descent(scene, ledger, "sq-slow-down", "sq-drop-fast", dive);
    speed::dip(scene, ledger, "sq-double-bounce");
    let range = speed::full_range(scene);
    let half = range.map_or(f64::INFINITY, |range| limits.squat.middle_part * range);
    speed::stalls(
        scene,
        ledger,
        &[
            speed::Stretch {
                sign: "sq-stall-low",
                from: 0.0,
                to: limits.squat.low_m,
                start: true,
            },
            speed::Stretch {
                sign: "sq-stall-mid",
                from: limits.squat.low_m,
                to: half,
                start: false,
            },
        ],
    );
    speed::fade(scene, ledger, "sq-speed-fade", limits.squat.light_speed);
    depth_loss(scene, ledger);
    bar_path::sway(scene, ledger, "sq-start-sway");
    bar_path::squat_forward(scene, ledger);
    from_the_side(scene, ledger);
    front::tilt(scene, ledger, "sq-bar-twists");
    front::start_tilt(scene, ledger, "sq-bar-tilted");
    front::hip_shift(scene, ledger, "sq-hip-shift");
    front::knees(scene, ledger, Some("sq-knees-in-down"), "sq-knees-in-up");
}

/// What only a camera square from the side shows.
fn from_the_side(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    if !scene.side() {
        ledger.hidden("how deep the squat is: that needs a camera square from the side");
        ledger.hidden(
            "trunk, hips, knees and heels against each other: that needs a camera square from the side",
        );
        return;
    }
    ledger.simple("sq-depth-short", &depth(scene), 0.0, Shows::Above);
    ledger.describe(&lean_at_bottom(scene));
    let hips = ledger.weigh(
        &lead::hips_lead(scene, lead::first_third),
        limits.squat.hips_lead,
        Shows::Above,
    );
    let chest = ledger.weigh(
        &lead::lean_gain(scene, lead::first_third),
        limits.squat.lean_gain_deg,
        Shows::Above,
    );
    ledger.sign("sq-hips-shoot", Join::Alike, &[hips, chest], 1.0);
    let jump = squat_down::pitch_jump(scene);
    ledger.simple(
        "sq-torso-pitch",
        &jump,
        limits.squat.pitch_jump_deg,
        Shows::Above,
    );
    squat_down::initiation_signs(scene, ledger);
    ledger.describe(&squat_down::knee_travel(scene));
    ledger.describe(&squat_down::knee_slide(scene));
    let rise = ankle_rise(scene);
    let heels = ledger.weigh(&rise, limits.squat.ankle_rise_m, Shows::Above);
    ledger.sign(
        "sq-heels-rise",
        Join::Either,
        &[heels],
        limits.stand_in_surest,
    );
    if rise.per_rep.iter().any(Option::is_some) {
        ledger.hidden("the heels themselves: the ankle stands for them");
    }
}

/// Height of the top of the leg at the hip above the top of the knee at the bottom, metres; below 0
/// is deep enough by the rule of competition.
fn depth(scene: &Scene<'_>) -> Series {
    let limits = scene.limits;
    let tip = limits.pitch_deg.to_radians().tan() * limits.knee_nearer_m;
    let per_rep = scene.each(|rep| {
        let (hip, knee) = (scene.near(Part::Hip, rep)?, scene.near(Part::Knee, rep)?);
        // At the time of the bar's lowest point: the hip's own lowest sample would pick its noise.
        let window = scene.around(rep.bottom, BOTTOM_S);
        let value = mean(&hip.path.y, window.clone()) - mean(&knee.path.y, window);
        let steady = hip.path.bias.hypot(knee.path.bias);
        Some(Reading {
            value: value + limits.squat.depth_offset_m,
            noise: hip.noise.hypot(knee.noise) / scene.averaging(2.0 * BOTTOM_S),
            shared: steady.hypot(limits.squat.depth_offset_sd_m).hypot(tip),
            trust: hip.trust.min(knee.trust),
        })
    });
    Series::habit(
        "squat-depth",
        "top of the hip above the top of the knee at the bottom",
        "m",
        per_rep,
    )
}

/// Lean of the trunk at the bottom, degrees: build decides it, so it is told and not judged.
fn lean_at_bottom(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, shoulder) = lead::trunk(scene, rep)?;
        let angle = lean(&hip, &shoulder, rep.bottom);
        let length = apart(&hip, &shoulder, rep.bottom);
        let of = |one: f64, other: f64| segment_angle_error(one, other, length).to_degrees();
        Some(Reading {
            value: angle,
            noise: of(hip.noise, shoulder.noise),
            shared: of(hip.path.bias, shoulder.path.bias).hypot(scene.yaw_part(angle)),
            trust: hip.trust.min(shoulder.trust),
        })
    });
    Series::habit(
        "lean-at-bottom",
        "lean of the trunk at the bottom",
        "°",
        per_rep,
    )
}

/// Rise of the ankle around the bottom against standing, metres: it stands for the heel, which no
/// point of the body shows.
fn ankle_rise(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let ankle = scene.near(Part::Ankle, rep)?;
        let standing = rep.start.saturating_sub(scene.samples(2.0 * ANKLE_S))..=rep.start;
        let to = rep.go.max(rep.bottom) + scene.samples(ANKLE_S);
        let down = rep.bottom.saturating_sub(scene.samples(ANKLE_S))..=to.min(rep.top);
        let spread = |window: &std::ops::RangeInclusive<usize>| {
            let time = scene.seconds(*window.start(), *window.end());
            ankle.noise / scene.averaging(time)
        };
        let noise = spread(&standing).hypot(spread(&down));
        let value = mean(&ankle.path.y, down) - mean(&ankle.path.y, standing);
        Some(Reading::plain(value, noise, ankle.trust))
    });
    Series::habit(
        "ankle-rise",
        "rise of the ankles at the bottom",
        "m",
        per_rep,
    )
}

/// How much higher the bottoms get from the first to the last repetition, metres: the slope of a
/// straight line through them.
fn depth_loss(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let window = scene.around(rep.bottom, BOTTOM_S);
        let height = mean(&bar.path.y, window);
        let noise = (bar.noise / scene.averaging(2.0 * BOTTOM_S)).hypot(scene.limits.rep_spread_m);
        Some(Reading::plain(height, noise, bar.trust))
    });
    let Some(whole) = loss_by_line(&per_rep) else {
        return;
    };
    let first = per_rep.iter().flatten().next().map_or(0.0, |one| one.value);
    let above = |one: Reading| Reading {
        value: one.value - first,
        ..one
    };
    let series = Series {
        id: "depth-loss",
        plain: "bottom of the last rep above the first",
        unit: "m",
        pool: Pool::Habit,
        per_rep: per_rep.into_iter().map(|one| one.map(above)).collect(),
        whole: Some(whole),
    };
    ledger.simple(
        "sq-depth-shrinks",
        &series,
        scene.limits.squat.depth_loss_m,
        Shows::Above,
    );
}

/// Rise over the whole set of the line of least squares; from three repetitions on.
fn loss_by_line(heights: &[Option<Reading>]) -> Option<Reading> {
    let known: Vec<(f64, Reading)> = heights
        .iter()
        .enumerate()
        .filter_map(|(rep, one)| Some((rep as f64, (*one)?)))
        .collect();
    if known.len() < 3 {
        return None;
    }
    let count = known.len() as f64;
    let centre = known.iter().map(|(rep, _)| rep).sum::<f64>() / count;
    let spread: f64 = known.iter().map(|(rep, _)| (rep - centre).powi(2)).sum();
    let slope: f64 = known
        .iter()
        .map(|(rep, one)| (rep - centre) * one.value)
        .sum::<f64>()
        / spread;
    let steps = known.last()?.0 - known.first()?.0;
    let noise = known.iter().map(|(_, one)| one.noise).fold(0.0, f64::max);
    let trust = known.iter().map(|(_, one)| one.trust).fold(1.0, f64::min);
    Some(Reading::plain(
        slope * steps,
        noise / spread.sqrt() * steps,
        trust,
    ))
}
