//! Samples to metres, up and forward.
//!
//! A bar has the scale of its plate, a body that of the lifter's own stature: the plate is nearer
//! to the camera, so its scale on the body would be wrong by the share of that distance. Both are
//! laid about the middle of the image, where the camera looks, so that they fit together.

use super::grid::median;
use super::trace::{Facing, Header, Point, Samples, Series};
use super::{Camera, Joint, TraceLimits};
use crate::report::{FieldError, Lift};

/// Lengths as shares of stature (Drillis and Contini 1966, from memory), by the points at their
/// ends, left side.
const TRUNK: (Joint, Joint, f64) = (Joint::LeftShoulder, Joint::LeftHip, 0.288);
const THIGH: (Joint, Joint, f64) = (Joint::LeftHip, Joint::LeftKnee, 0.245);
const SHIN: (Joint, Joint, f64) = (Joint::LeftKnee, Joint::LeftAnkle, 0.246);
const UPPER_ARM: (Joint, Joint, f64) = (Joint::LeftShoulder, Joint::LeftElbow, 0.186);
const FOREARM: (Joint, Joint, f64) = (Joint::LeftElbow, Joint::LeftWrist, 0.146);

/// Fewest frames that show both ends of a length.
const FEWEST: usize = 10;

/// The same point on the right.
fn right_of(joint: Joint) -> Joint {
    let at = Joint::ALL.iter().position(|one| *one == joint);
    let next = at.and_then(|at| Joint::ALL.get(at + 1));
    next.copied().unwrap_or(joint)
}

/// The series of a point of the body.
pub(super) fn of_joint(series: &[Series], joint: Joint) -> Option<&Series> {
    series.iter().find(|one| one.point == Point::Body(joint))
}

/// Frames in which both points are seen, with the way from the first to the second.
fn ways(series: &[Series], from: Joint, to: Joint) -> Vec<[f64; 2]> {
    let (Some(from), Some(to)) = (of_joint(series, from), of_joint(series, to)) else {
        return Vec::new();
    };
    let frames = 0..from.x.len().min(to.x.len());
    frames
        .filter(|at| from.trust[*at] > 0.0 && to.trust[*at] > 0.0)
        .map(|at| [to.x[at] - from.x[at], to.y[at] - from.y[at]])
        .collect()
}

/// Length of a part in the unit of the trace: the middle one from the side; else that of four
/// fifths, for a part turned to the camera looks shorter.
fn length(series: &[Series], part: (Joint, Joint, f64), camera: Camera) -> Option<f64> {
    let (from, to, _) = part;
    let sides = [(from, to), (right_of(from), right_of(to))];
    let mut sides = sides.map(|(from, to)| ways(series, from, to));
    // The side seen more often.
    sides.sort_by_key(Vec::len);
    let [_, ways] = &sides;
    if ways.len() < FEWEST {
        return None;
    }
    if camera == Camera::Side {
        return median(&mut ways.iter().map(|[x, y]| x.hypot(*y)).collect::<Vec<_>>());
    }
    // A mean of five evens out the noise, which would make the longest ones longer still.
    let even = ways.windows(5).map(|five| {
        let sum = five
            .iter()
            .fold([0.0; 2], |sum, way| [sum[0] + way[0], sum[1] + way[1]]);
        sum[0].hypot(sum[1]) / 5.0
    });
    let mut even: Vec<f64> = even.collect();
    let place = even.len() * 4 / 5;
    Some(*even.select_nth_unstable_by(place, f64::total_cmp).1)
}

/// Metres in one unit of a body's trace, from stature and the parts that are seen.
pub(super) fn body_scale(
    samples: &Samples,
    lift: Lift,
    camera: Camera,
    stature: f64,
) -> Result<f64, Vec<FieldError>> {
    let parts: &[(Joint, Joint, f64)] = if lift == Lift::Bench && camera == Camera::FrontOrRear {
        // Trunk and legs point at the camera.
        &[UPPER_ARM, FOREARM]
    } else {
        &[TRUNK, THIGH, SHIN]
    };
    let (mut shares, mut lengths) = (0.0, 0.0);
    for part in parts {
        if let Some(length) = length(&samples.series, *part, camera).filter(|one| *one > 0.0) {
            shares += part.2;
            lengths += length;
        }
    }
    if lengths > 0.0 {
        return Ok(stature * shares / lengths);
    }
    Err(vec![FieldError::new(
        format!("{}.data", samples.field),
        "too few frames that show shoulders, hips, knees and ankles together",
        format!("confidence of 0.3 or more for them in at least {FEWEST} frames"),
    )])
}

/// Metres in one unit of a bar's trace.
pub(super) fn bar_scale(samples: &Samples, limits: &TraceLimits) -> Result<f64, Vec<FieldError>> {
    let header = &samples.header;
    let by_plate = header.plate_px.map(|px| limits.plate_m / px);
    let own = header.px_per_m.map(|px| 1.0 / px).or(by_plate);
    let error = |field: String, found: String, accepted: &str| {
        Err(vec![FieldError::new(field, found, accepted)])
    };
    match (own, samples.scale) {
        (Some(own), Some(said)) if (own / said - 1.0).abs() > 0.05 => error(
            format!("{}.scale", samples.field),
            format!("{said} metres in one unit, and {own:.6} in the trace itself"),
            "one scale, or two that agree to 5 %",
        ),
        (Some(own), _) => Ok(own),
        (None, Some(said)) => Ok(said),
        (None, None) if header.pixels == Some(true) => error(
            format!("{}.data", samples.field),
            "pixels without a scale".to_owned(),
            "px_per_m, plate_px (diameter of a full-size plate in pixels), or scale in the report",
        ),
        (None, None) => Ok(1.0),
    }
}

/// Which way is forward, as the points of the body show it: knees and shoulders are ahead of the
/// hips (squat, deadlift), and the hips further to the feet than the shoulders (bench press). None
/// when it does not show clearly.
pub(super) fn facing_of(series: &[Series], lift: Lift) -> Option<Facing> {
    let mut ahead = Vec::new();
    let mut long = Vec::new();
    for side in [|joint| joint, right_of] {
        let [shoulder, hip, knee] =
            [Joint::LeftShoulder, Joint::LeftHip, Joint::LeftKnee].map(side);
        let trunk = ways(series, hip, shoulder);
        long.extend(trunk.iter().map(|[x, y]| x.hypot(*y)));
        if lift == Lift::Bench {
            ahead.extend(trunk.iter().map(|[x, _]| -x));
        } else {
            ahead.extend(trunk.iter().map(|[x, _]| *x));
            ahead.extend(ways(series, hip, knee).iter().map(|[x, _]| *x));
        }
    }
    let long = median(&mut long)?;
    // At the bottom it shows most; standing, hardly at all.
    ahead.retain(|one| one.abs() > 0.25 * long);
    let right = ahead.iter().filter(|one| **one > 0.0).count();
    match (right * 10, ahead.len() * 8) {
        _ if ahead.len() < FEWEST => None,
        (right, most) if right >= most => Some(Facing::Right),
        (right, _) if right <= ahead.len() * 2 => Some(Facing::Left),
        _ => None,
    }
}

/// Middle of the image; none when its size is not said.
pub(super) fn middle(headers: &[&Header]) -> Option<[f64; 2]> {
    let said = |of: fn(&Header) -> Option<f64>| headers.iter().find_map(|header| of(header));
    let (width, height) = (said(|one| one.width)?, said(|one| one.height)?);
    Some([(width - 1.0) / 2.0, (height - 1.0) / 2.0])
}

/// Lays every sample about `middle`, in metres, forward and up.
pub(super) fn to_metres(samples: &mut Samples, scale: f64, middle: [f64; 2], facing: Facing) {
    let down = samples.header.y_down;
    let down = down.unwrap_or(samples.header.pixels == Some(true));
    let across = if facing == Facing::Left {
        -scale
    } else {
        scale
    };
    let up = if down { -scale } else { scale };
    for series in &mut samples.series {
        for x in &mut series.x {
            *x = (*x - middle[0]) * across;
        }
        for y in &mut series.y {
            *y = (*y - middle[1]) * up;
        }
    }
}
