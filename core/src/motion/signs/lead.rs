//! Do the hips rise before the shoulders? Squat out of the bottom, deadlift off the floor.

use super::super::Rep;
use super::super::evidence::segment_angle_error;
use super::scene::{Part, Scene, Seen, apart, largest, lean, mean};
use super::series::{Reading, Series};

/// Half the window over which the place at the turn is averaged, seconds.
const TURN_S: f64 = 0.07;

/// From where to where the rise is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Span {
    /// Around this sample it begins.
    pub(super) from: usize,
    /// At this sample it ends.
    pub(super) to: usize,
}

/// Hip and shoulder of the side nearer to the camera.
pub(super) fn trunk<'a>(scene: &Scene<'a>, rep: &Rep) -> Option<(Seen<'a>, Seen<'a>)> {
    Some((
        scene.near(Part::Hip, rep)?,
        scene.near(Part::Shoulder, rep)?,
    ))
}

/// The first third of the hip's way up out of the squat.
pub(super) fn first_third(rep: &Rep, hip: &Seen<'_>) -> Option<Span> {
    let (from, low) = largest(rep.start..=rep.top, |at| -hip.y(at))?;
    let level = -low + (hip.y(rep.top) + low) / 3.0;
    let to = (from..=rep.top).find(|at| hip.y(*at) >= level)?;
    Some(Span { from, to })
}

/// Rise of the hip against the rise of the shoulder.
pub(super) fn hips_lead(
    scene: &Scene<'_>,
    span: impl Fn(&Rep, &Seen<'_>) -> Option<Span>,
) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, shoulder) = trunk(scene, rep)?;
        let span = span(rep, &hip)?;
        let turn = scene.around(span.from, TURN_S);
        let rise = |point: &Seen<'_>| point.y(span.to) - mean(&point.path.y, turn.clone());
        let (up_hip, up_shoulder) = (rise(&hip), rise(&shoulder));
        let noise = |point: &Seen<'_>| {
            point
                .noise
                .hypot(point.noise / scene.averaging(2.0 * TURN_S))
        };
        // Shoulders that stay down while the hips rise: a ratio without bound.
        let least = 2.0 * noise(&shoulder);
        let below = up_shoulder.max(least).max(0.01);
        let ratio = up_hip / below;
        let error = noise(&hip).hypot(ratio * noise(&shoulder)) / below;
        Some(Reading::plain(ratio, error, hip.trust.min(shoulder.trust)))
    });
    Series::habit(
        "hips-lead",
        "rise of the hips against the shoulders at first",
        "",
        per_rep,
    )
}

/// How much further forward the trunk leans at the end of a span than at its beginning, degrees.
pub(super) fn lean_gain(
    scene: &Scene<'_>,
    span: impl Fn(&Rep, &Seen<'_>) -> Option<Span>,
) -> Series {
    let per_rep = scene.each(|rep| {
        let (hip, shoulder) = trunk(scene, rep)?;
        let span = span(rep, &hip)?;
        let turn = scene.around(span.from, TURN_S);
        let angles: Vec<f64> = turn.map(|at| lean(&hip, &shoulder, at)).collect();
        let before = mean(&angles, 0..=angles.len());
        let gain = lean(&hip, &shoulder, span.to) - before;
        let length = apart(&hip, &shoulder, span.to);
        let one = segment_angle_error(hip.noise, shoulder.noise, length).to_degrees();
        Some(Reading {
            value: gain,
            noise: one.hypot(one / scene.averaging(2.0 * TURN_S)),
            shared: (scene.yaw_part(before + gain) - scene.yaw_part(before)).abs(),
            trust: hip.trust.min(shoulder.trust),
        })
    });
    Series::habit(
        "lean-gain",
        "how much further forward the trunk leans at first on the way up",
        "°",
        per_rep,
    )
}
