//! The squat: depth, trunk, hips and knees from the side.

use super::super::Rep;
use super::super::evidence::{joint_angle_error, segment_angle_error};
use super::scene::{Part, Scene, Seen, apart, largest, lean, mean, thigh};
use super::series::{Join, Ledger, Pool, Reading, Series, Shows};
use super::{bar_path, front, lead, speed, tempo};

/// Half the window around the bottom for places, seconds.
const BOTTOM_S: f64 = 0.05;

/// Half the window around the bottom for the ankle, seconds: a rise must last.
const ANKLE_S: f64 = 0.2;

/// Share of the way down over which hips and knees are compared.
const AT_FIRST: f64 = 0.2;

/// A jump of the trunk happens within this time, seconds.
const JUMP_S: f64 = 0.5;

/// All signs of the squat that this motion can show.
pub(super) fn signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let dive = tempo::dive(scene, ledger);
    tempo::descent(scene, ledger, "sq-slow-down", "sq-drop-fast", dive);
    speed::dip(scene, ledger, "sq-double-bounce");
    let range = speed::full_range(scene);
    let half = range.map_or(f64::INFINITY, |range| limits.top_part * range);
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
    let jump = pitch_jump(scene);
    ledger.simple(
        "sq-torso-pitch",
        &jump,
        limits.squat.pitch_jump_deg,
        Shows::Above,
    );
    initiation_signs(scene, ledger);
    ledger.describe(&knee_travel(scene));
    ledger.describe(&knee_slide(scene));
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
    Series {
        id: "squat-depth",
        plain: "top of the hip above the top of the knee at the bottom",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
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
    Series {
        id: "lean-at-bottom",
        plain: "lean of the trunk at the bottom",
        unit: "°",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// How far the trunk tips forward within half a second of the way down, beyond what goes with the
/// thigh, degrees.
fn pitch_jump(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, shoulder) = lead::trunk(scene, rep)?;
        let knee = scene.near(Part::Knee, rep)?;
        let at_ends = |of: &dyn Fn(usize) -> f64| (of(rep.start), of(rep.bottom));
        let thigh_at = |at: usize| thigh(&knee, &hip, at);
        let lean_at = |at: usize| lean(&hip, &shoulder, at);
        let (thigh_from, thigh_to) = at_ends(&thigh_at);
        let (lean_from, lean_to) = at_ends(&lean_at);
        if (thigh_from - thigh_to).abs() < 10.0 {
            return None;
        }
        let along = (lean_to - lean_from) / (thigh_to - thigh_from);
        let beyond: Vec<f64> = (rep.start..=rep.bottom)
            .map(|at| lean_at(at) - lean_from - along * (thigh_at(at) - thigh_from))
            .collect();
        let within = scene.samples(JUMP_S);
        let jump = (0..beyond.len())
            .filter_map(|at| {
                let (_, low) = largest(at.saturating_sub(within)..=at, |one| {
                    beyond.get(one).map_or(f64::NAN, |value| -value)
                })?;
                Some(beyond.get(at)? + low)
            })
            .fold(0.0, f64::max);
        let trunk =
            segment_angle_error(hip.noise, shoulder.noise, apart(&hip, &shoulder, rep.start));
        let leg = segment_angle_error(hip.noise, knee.noise, apart(&hip, &knee, rep.start));
        let one = trunk.hypot(along * leg).to_degrees();
        Some(Reading::plain(
            jump,
            std::f64::consts::SQRT_2 * one,
            hip.trust.min(shoulder.trust).min(knee.trust),
        ))
    });
    Series {
        id: "pitch-jump",
        plain: "sudden tipping of the trunk on the way down",
        unit: "°",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// The four points of one side from ankle to shoulder.
struct Chain<'a> {
    ankle: Seen<'a>,
    knee: Seen<'a>,
    hip: Seen<'a>,
    shoulder: Seen<'a>,
}

impl<'a> Chain<'a> {
    fn of(scene: &Scene<'a>, rep: &Rep) -> Option<Self> {
        let (hip, shoulder) = lead::trunk(scene, rep)?;
        Some(Self {
            ankle: scene.near(Part::Ankle, rep)?,
            knee: scene.near(Part::Knee, rep)?,
            hip,
            shoulder,
        })
    }

    fn trust(&self) -> f64 {
        let body = self.hip.trust.min(self.shoulder.trust);
        body.min(self.knee.trust).min(self.ankle.trust)
    }

    /// How far the hip is bent, degrees: 0 standing.
    fn hip_bend(&self, at: usize) -> f64 {
        lean(&self.hip, &self.shoulder, at) + 90.0 - thigh(&self.knee, &self.hip, at)
    }

    /// How far the knee is bent, degrees: 0 standing.
    fn knee_bend(&self, at: usize) -> f64 {
        lean(&self.ankle, &self.knee, at) + 90.0 - thigh(&self.knee, &self.hip, at)
    }
}

/// Bending of the hip against bending of the knee over the first fifth of the hip's way down.
fn initiation(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let chain = Chain::of(scene, rep)?;
        let high = chain.hip.y(rep.start);
        let level = high - AT_FIRST * (high - chain.hip.y(rep.bottom));
        let to = (rep.start..=rep.bottom).find(|at| chain.hip.y(*at) <= level)?;
        let hip = chain.hip_bend(to) - chain.hip_bend(rep.start);
        let knee = chain.knee_bend(to) - chain.knee_bend(rep.start);
        if hip + knee < 10.0 || knee < 1.0 {
            return None;
        }
        let (shank, thigh, trunk) = (
            apart(&chain.ankle, &chain.knee, to),
            apart(&chain.knee, &chain.hip, to),
            apart(&chain.hip, &chain.shoulder, to),
        );
        let noise = |near: f64, far: f64, bent: f64, of: [&Seen<'_>; 3]| {
            let angle = (180.0 - bent).to_radians();
            let one = joint_angle_error(near, far, angle, of.map(|point| point.noise));
            std::f64::consts::SQRT_2 * one.to_degrees()
        };
        let at_hip = noise(
            thigh,
            trunk,
            hip,
            [&chain.knee, &chain.hip, &chain.shoulder],
        );
        let at_knee = noise(shank, thigh, knee, [&chain.ankle, &chain.knee, &chain.hip]);
        let ratio = hip / knee;
        Some(Reading::plain(
            ratio,
            at_hip.hypot(ratio * at_knee) / knee,
            chain.trust(),
        ))
    });
    Series {
        id: "hips-or-knees-first",
        plain: "bending of the hips against the knees at first",
        unit: "",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// Inclination of the shin at the bottom, degrees.
fn shin_at_bottom(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (ankle, knee) = (scene.near(Part::Ankle, rep)?, scene.near(Part::Knee, rep)?);
        let angle = lean(&ankle, &knee, rep.bottom);
        let length = apart(&ankle, &knee, rep.bottom);
        let of = |one: f64, other: f64| segment_angle_error(one, other, length).to_degrees();
        Some(Reading {
            value: angle,
            noise: of(ankle.noise, knee.noise),
            shared: of(ankle.path.bias, knee.path.bias).hypot(scene.yaw_part(angle)),
            trust: ankle.trust.min(knee.trust),
        })
    });
    Series {
        id: "shin-at-bottom",
        plain: "forward lean of the shins at the bottom",
        unit: "°",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// Knees first; or hips first with shins that stay near upright. A long way back of the hips alone
/// is build.
fn initiation_signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
    let limits = scene.limits;
    let first = initiation(scene);
    let knees = ledger.weigh(&first, limits.squat.knees_first, Shows::Below);
    ledger.sign("sq-knees-first", Join::Either, &[knees], 1.0);
    let hips = first.judge(limits.squat.hips_first, Shows::Above, limits);
    let shins = ledger.weigh(
        &shin_at_bottom(scene),
        limits.squat.shin_upright_deg,
        Shows::Below,
    );
    ledger.sign("sq-hips-too-far-back", Join::Both, &[hips, shins], 1.0);
}

/// How far the knee goes forward, metres: allowed, so it is told and not judged.
fn knee_travel(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let knee = scene.near(Part::Knee, rep)?;
        let value = knee.x(rep.bottom) - knee.x(rep.start);
        Some(Reading {
            value,
            noise: std::f64::consts::SQRT_2 * knee.noise,
            shared: scene.scale_part(value),
            trust: knee.trust,
        })
    });
    Series {
        id: "knee-travel",
        plain: "way of the knees forward",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
}

/// How far the knee slides further forward once the hip is nine tenths down, metres.
fn knee_slide(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, knee) = (scene.near(Part::Hip, rep)?, scene.near(Part::Knee, rep)?);
        let (high, low) = (hip.y(rep.start), hip.y(rep.bottom));
        let level = high - 0.9 * (high - low);
        let from = (rep.start..=rep.bottom).find(|at| hip.y(*at) <= level)?;
        let value = knee.x(rep.bottom) - knee.x(from);
        Some(Reading::plain(
            value,
            std::f64::consts::SQRT_2 * knee.noise,
            hip.trust.min(knee.trust),
        ))
    });
    Series {
        id: "knee-slide",
        plain: "way of the knees forward at the turn",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
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
    Series {
        id: "ankle-rise",
        plain: "rise of the ankles at the bottom",
        unit: "m",
        pool: Pool::Habit,
        per_rep,
        whole: None,
    }
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
