//! Which of several people is the lifter, and what the third numbers of their points mean.

use crate::motion::TraceLimits;

/// x, y and confidence of 17 points.
pub(super) type Person = [f64; 51];

/// A point of a person: x, y, confidence.
pub(super) fn point(person: &Person, at: usize) -> [f64; 3] {
    let value = |offset| person.get(3 * at + offset).copied().unwrap_or_default();
    [value(0), value(1), value(2)]
}

/// Brings the third numbers of a whole trace to 0 to 1; a remark when that took something.
///
/// Labels made by hand are 0 not labelled, 1 labelled though hidden, 2 seen; they become 0, 0.5, one.
/// A trace with 0 and 1 alone is taken for a program's. Programs that count further than 1 are
/// brought down by their largest number.
pub(super) fn settle_confidence(crowds: &mut [Vec<Person>]) -> Option<String> {
    let (mut most, mut labels) = (0.0_f64, true);
    for person in crowds.iter().flatten() {
        for sure in person.iter().skip(2).step_by(3) {
            most = most.max(*sure);
            labels &= [0.0, 1.0, 2.0].contains(sure);
        }
    }
    if most <= 1.0 {
        return None;
    }
    let (divisor, remark) = if labels {
        (
            2.0,
            "points labelled by hand: a hidden one counts half".to_owned(),
        )
    } else {
        let remark = format!("confidences above 1 (up to {most}) were divided by the largest");
        (most, remark)
    };
    for person in crowds.iter_mut().flatten() {
        for sure in person.iter_mut().skip(2).step_by(3) {
            *sure = (*sure / divisor).max(0.0);
        }
    }
    Some(remark)
}

/// Left, top, right, bottom of what is seen of a person.
fn frame_of(person: &Person, limits: &TraceLimits) -> Option<[f64; 4]> {
    let mut frame: Option<[f64; 4]> = None;
    for at in 0..17 {
        let [x, y, sure] = point(person, at);
        if sure >= limits.missing_below {
            let [left, top, right, bottom] = frame.unwrap_or([x, y, x, y]);
            frame = Some([left.min(x), top.min(y), right.max(x), bottom.max(y)]);
        }
    }
    frame
}

/// Length from shoulders to hips; 0 when not seen.
fn torso(person: &Person, limits: &TraceLimits) -> f64 {
    let middle = |pair: [usize; 2]| {
        let seen = pair.map(|at| point(person, at));
        let mut sum = [0.0; 3];
        for [x, y, sure] in seen {
            if sure >= limits.missing_below {
                sum = [sum[0] + x, sum[1] + y, sum[2] + 1.0];
            }
        }
        (sum[2] > 0.0).then(|| [sum[0] / sum[2], sum[1] / sum[2]])
    };
    match (middle([5, 6]), middle([11, 12])) {
        (Some(shoulder), Some(hip)) => (shoulder[0] - hip[0]).hypot(shoulder[1] - hip[1]),
        _ => 0.0,
    }
}

/// The one with the longest torso, and in later frames the one of those who overlap with where the
/// followed one was. Also how many frames had people but not this one.
pub(super) fn follow_one<'a>(
    crowds: &'a [Vec<Person>],
    limits: &TraceLimits,
) -> (Vec<Option<&'a Person>>, usize) {
    let mut before: Option<[f64; 4]> = None;
    let mut lost = 0;
    let chosen = crowds.iter().map(|crowd| {
        let mut best: Option<(f64, &Person, [f64; 4])> = None;
        for person in crowd {
            let Some(frame) = frame_of(person, limits) else {
                continue;
            };
            if before.is_some_and(|before| !overlap(before, frame)) {
                continue;
            }
            // One alone is followed even where the torso is hidden.
            let size = torso(person, limits);
            if best.is_none_or(|(longest, ..)| size > longest) {
                best = Some((size, person, frame));
            }
        }
        if let Some((_, person, frame)) = best {
            before = Some(frame);
            return Some(person);
        }
        let anybody = crowd.iter().any(|one| frame_of(one, limits).is_some());
        lost += usize::from(anybody);
        None
    });
    let chosen = chosen.collect();
    (chosen, lost)
}

fn overlap(one: [f64; 4], other: [f64; 4]) -> bool {
    one[0] <= other[2] && other[0] <= one[2] && one[1] <= other[3] && other[1] <= one[3]
}
