//! Samples put right before they are filtered: left and right swapped back, spikes taken out.

use super::grid::median;
use super::trace::{Point, Series};
use super::{Joint, TraceLimits};

/// Pairs that a swap changes together.
const PAIRS: [(Joint, Joint); 4] = [
    (Joint::LeftShoulder, Joint::RightShoulder),
    (Joint::LeftHip, Joint::RightHip),
    (Joint::LeftKnee, Joint::RightKnee),
    (Joint::LeftAnkle, Joint::RightAnkle),
];

/// What is swapped back together: the head keeps its sides, for it is found apart from the limbs.
const SIDES: [(Joint, Joint); 6] = [
    PAIRS[0],
    (Joint::LeftElbow, Joint::RightElbow),
    (Joint::LeftWrist, Joint::RightWrist),
    PAIRS[1],
    PAIRS[2],
    PAIRS[3],
];

/// Swaps left and right back in frames where together they jumped to the other side's place.
/// `unit`: metres in one unit of the places. Gives the number of frames changed.
pub(super) fn swap_back(series: &mut [Series], unit: f64, limits: &TraceLimits) -> usize {
    let find = |joint| {
        series
            .iter()
            .position(|one| one.point == Point::Body(joint))
    };
    let both = |(left, right)| Some((find(left)?, find(right)?));
    let pairs: Vec<(usize, usize)> = PAIRS.into_iter().filter_map(both).collect();
    let sides: Vec<(usize, usize)> = SIDES.into_iter().filter_map(both).collect();
    let frames = series.first().map_or(0, |one| one.x.len());
    let mut before: Vec<Option<[[f64; 2]; 2]>> = vec![None; pairs.len()];
    let mut swapped = 0;
    for frame in 0..frames {
        let (mut gain, mut counted) = (0.0, 0.0_f64);
        let now = pairs.iter().map(|(left, right)| {
            let at = |one: usize| {
                let one = series.get(one)?;
                let seen = one.trust.get(frame).is_some_and(|trust| *trust > 0.0);
                seen.then_some([*one.x.get(frame)?, *one.y.get(frame)?])
            };
            Some([at(*left)?, at(*right)?])
        });
        let now: Vec<Option<[[f64; 2]; 2]>> = now.collect();
        for (before, now) in before.iter().zip(&now) {
            if let (Some([left, right]), Some([new_left, new_right])) = (before, now) {
                let far = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
                gain += far(left, new_left) + far(right, new_right);
                gain -= far(left, new_right) + far(right, new_left);
                counted += 1.0;
            }
        }
        let swap = gain * unit > limits.swap_sigmas * limits.swap_sigma_m * counted.sqrt().max(1.0);
        if swap {
            swapped += 1;
            for (left, right) in &sides {
                exchange(series, *left, *right, frame);
            }
        }
        for (before, now) in before.iter_mut().zip(now) {
            let now = now.map(|[left, right]| if swap { [right, left] } else { [left, right] });
            *before = now.or(*before);
        }
    }
    swapped
}

fn exchange(series: &mut [Series], left: usize, right: usize, frame: usize) {
    if let Ok([left, right]) = series.get_disjoint_mut([left, right]) {
        let (left, right) = (
            [&mut left.x, &mut left.y, &mut left.trust],
            [&mut right.x, &mut right.y, &mut right.trust],
        );
        for (one, other) in left.into_iter().zip(right) {
            if let (Some(one), Some(other)) = (one.get_mut(frame), other.get_mut(frame)) {
                std::mem::swap(one, other);
            }
        }
    }
}

/// A robust standard deviation is so many times the median distance from the median.
const FROM_MEDIAN: f64 = 1.4826;

/// Most samples on each side that one is held against.
const MOST_REACH: usize = 15;

/// Marks spikes as missing (Hampel's identifier on either axis). Places in metres. Gives how many.
pub(super) fn take_out_spikes(series: &mut Series, limits: &TraceLimits) -> usize {
    let seen: Vec<usize> = (0..series.trust.len())
        .filter(|at| series.trust[*at] > 0.0)
        .collect();
    let reach = limits.spike_reach.min(MOST_REACH);
    let mut spikes = Vec::new();
    for (place, at) in seen.iter().enumerate() {
        let from = place.saturating_sub(reach);
        let to = (place + reach + 1).min(seen.len());
        let around = seen.get(from..to).unwrap_or_default();
        let spike = [&series.x, &series.y].into_iter().any(|axis| {
            let here = axis[*at];
            // With most samples this near, so is their middle: no need to find it.
            let close = |at: &&usize| (axis[**at] - here).abs() <= limits.spike_floor_m;
            if 2 * around.iter().filter(close).count() > around.len() {
                return false;
            }
            let mut near = [0.0; 2 * MOST_REACH + 1];
            let near = &mut near[..around.len()];
            for (one, at) in near.iter_mut().zip(around) {
                *one = axis[*at];
            }
            let middle = median(near).unwrap_or(here);
            if (here - middle).abs() <= limits.spike_floor_m {
                return false;
            }
            for one in near.iter_mut() {
                *one = (*one - middle).abs();
            }
            let spread = FROM_MEDIAN * median(near).unwrap_or_default();
            (here - middle).abs() > limits.spike_sigmas * spread
        });
        if spike {
            spikes.push(*at);
        }
    }
    for at in &spikes {
        series.trust[*at] = 0.0;
    }
    spikes.len()
}
