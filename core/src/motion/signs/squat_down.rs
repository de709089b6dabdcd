//! The way down of the squat: trunk, hips and knees from the side.

use super::super::Rep;
use super::super::evidence::{joint_angle_error, segment_angle_error};
use super::lead;
use super::scene::{Part, Scene, Seen, apart, largest, lean, thigh};
use super::series::{Join, Ledger, Reading, Series, Shows};

/// Share of the way down over which hips and knees are compared.
const AT_FIRST: f64 = 0.2;

/// A jump of the trunk happens within this time, seconds.
const JUMP_S: f64 = 0.5;

/// How far the trunk tips forward within half a second of the way down, beyond what goes with the
/// thigh, degrees.
pub(super) fn pitch_jump(scene: &Scene<'_>) -> Series {
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
    Series::habit(
        "pitch-jump",
        "sudden tipping of the trunk on the way down",
        "°",
        per_rep,
    )
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
    Series::habit(
        "hips-or-knees-first",
        "bending of the hips against the knees at first",
        "",
        per_rep,
    )
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
    Series::habit(
        "shin-at-bottom",
        "forward lean of the shins at the bottom",
        "°",
        per_rep,
    )
}

/// Knees first; or hips first with shins that stay near upright. A long way back of the hips alone
/// is build.
pub(super) fn initiation_signs(scene: &Scene<'_>, ledger: &mut Ledger<'_>) {
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
pub(super) fn knee_travel(scene: &Scene<'_>) -> Series {
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
    Series::habit("knee-travel", "way of the knees forward", "m", per_rep)
}

/// How far the knee slides further forward once the hip is nine tenths down, metres.
pub(super) fn knee_slide(scene: &Scene<'_>) -> Series {
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
    Series::habit(
        "knee-slide",
        "way of the knees forward at the turn",
        "m",
        per_rep,
    )
}
