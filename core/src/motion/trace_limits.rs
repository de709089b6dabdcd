//! Every limit of following a trace and cutting it into repetitions.
//!
//! None has a published source unless one is named: they are our choice, for the coach to move.

use serde::Deserialize;

/// Limits of following and cutting. Metres, seconds, m/s, Hz unless said.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TraceLimits {
    // What is accepted.
    /// Fewest frames a second that are measured at all.
    pub least_fps: f64,
    /// Frames a second from which more than heights and times is measured.
    pub full_fps: f64,
    /// Most frames a second.
    pub most_fps: f64,
    /// Shortest trace.
    pub shortest_s: f64,
    /// Longest trace, once what lies idle at its ends is cut off.
    pub longest_s: f64,
    /// Largest way up and down that a bar can make; more means a wrong scale.
    pub most_travel_m: f64,

    // Gaps, confidence, spikes, swaps.
    /// Longest gap that is bridged.
    pub bridge_s: f64,
    /// Most samples in a row that are bridged.
    pub bridge_samples: usize,
    /// Confidence below which a point counts as missing.
    pub missing_below: f64,
    /// Confidence below which a point is doubtful: its noise counts double.
    pub doubtful_below: f64,
    /// Samples on each side that a spike is held against (Hampel's identifier with 7 samples).
    pub spike_reach: usize,
    /// Robust standard deviations from which on a sample is a spike.
    pub spike_sigmas: f64,
    /// Nothing nearer than this to the middle of its neighbours is a spike.
    pub spike_floor_m: f64,
    /// Standard deviation that a jump between left and right is held against.
    pub swap_sigma_m: f64,
    /// Standard deviations from which on such a jump is a swap.
    pub swap_sigmas: f64,
    /// Largest share of a repetition that may be missing.
    pub missing_share: f64,

    // Filter and errors.
    /// Cut-off for a bar track.
    pub bar_cutoff: f64,
    /// Cut-off for points of the body at 30 frames a second and fewer.
    pub body_cutoff_slow: f64,
    /// Cut-off for points of the body from 60 frames a second on; evenly between.
    pub body_cutoff_fast: f64,
    /// Least standard deviation that is believed of a bar track, one axis.
    pub bar_jitter_least_m: f64,
    /// Least standard deviation that is believed of a point of the body, one axis.
    pub body_jitter_least_m: f64,
    /// Steady offset of a followed plate, standard deviation.
    pub bar_bias_m: f64,
    /// Steady offset of hip and knee. 30 to 50 mm in walking and running (Needham and others
    /// 2021); our choice here.
    pub hip_knee_bias_m: f64,
    /// Steady offset of the ankle. 1 to 15 mm in the same paper; our choice here.
    pub ankle_bias_m: f64,
    /// Steady offset of shoulder, elbow, wrist and head.
    pub upper_bias_m: f64,
    /// Steady offset of a bar that had to be laid on the body because the two traces have no
    /// origin in common.
    pub laid_on_bias_m: f64,
    /// Stature taken when neither stature nor scale is known.
    pub usual_stature_m: f64,
    /// Diameter of a full-size plate: 450 mm, from memory of the rule books.
    pub plate_m: f64,

    // Repetitions.
    /// Speed at which a movement begins.
    pub speed_on: f64,
    /// Speed at which a movement ends.
    pub speed_off: f64,
    /// Both are raised to so many standard deviations of the speed. Movements are found by their
    /// way, so this need not keep noise from looking like one; four would cut a third of a second
    /// off each end at 30 frames a second.
    pub speed_sigmas: f64,
    /// A movement lasts at least this long.
    pub dwell_s: f64,
    /// Smallest way of a repetition.
    pub least_range_m: f64,
    /// The same as a share of the middle one of the set.
    pub least_range_share: f64,
    /// Slower than this is still.
    pub still_speed: f64,
    /// A pause lasts at least this long.
    pub pause_s: f64,
    /// A pause lies within this of the lowest point.
    pub pause_within_m: f64,
    /// A repetition begins within this share of the range from the top.
    pub begin_within: f64,
    /// A rise below this share of the descent that comes back is a missed repetition.
    pub missed_below: f64,
    /// Coming back takes at least this long.
    pub back_s: f64,
    /// Share of the rise from which the top may be reached.
    pub top_from: f64,
    /// Smallest drop within the way up that is a second dip.
    pub dip_m: f64,
    /// The same in standard deviations of the height.
    pub dip_sigmas: f64,
    /// A bar this still on the floor between two deadlifts is a dead stop, s.
    pub dead_stop_s: f64,
    /// A deadlift whose whole way is shorter than this did not reach lockout.
    pub least_pull_m: f64,
    /// Walking with the bar: so far forward or back.
    pub walk_m: f64,
    /// Walking: up and down by less than this.
    pub walk_height_m: f64,

    // Speed.
    /// Smallest loss of speed of a sticking region.
    pub sticking_drop: f64,
    /// The same in standard deviations of the speed.
    pub sticking_sigmas: f64,
    /// A sticking region lies below this share of the range.
    pub sticking_below: f64,
}

impl Default for TraceLimits {
    fn default() -> Self {
        Self {
            least_fps: 20.0,
            full_fps: 24.0,
            most_fps: 240.0,
            shortest_s: 1.0,
            longest_s: 180.0,
            most_travel_m: 2.5,
            bridge_s: 0.2,
            bridge_samples: 6,
            missing_below: 0.3,
            doubtful_below: 0.5,
            spike_reach: 3,
            spike_sigmas: 3.0,
            spike_floor_m: 0.03,
            swap_sigma_m: 0.02,
            swap_sigmas: 3.0,
            missing_share: 0.2,
            bar_cutoff: 6.0,
            body_cutoff_slow: 4.0,
            body_cutoff_fast: 6.0,
            bar_jitter_least_m: 0.001,
            body_jitter_least_m: 0.003,
            bar_bias_m: 0.005,
            hip_knee_bias_m: 0.03,
            ankle_bias_m: 0.01,
            upper_bias_m: 0.02,
            laid_on_bias_m: 0.04,
            usual_stature_m: 1.75,
            plate_m: 0.45,
            speed_on: 0.05,
            speed_off: 0.03,
            speed_sigmas: 1.5,
            dwell_s: 0.1,
            least_range_m: 0.1,
            least_range_share: 0.3,
            still_speed: 0.03,
            pause_s: 0.1,
            pause_within_m: 0.03,
            begin_within: 0.25,
            missed_below: 0.85,
            back_s: 0.15,
            top_from: 0.9,
            dip_m: 0.015,
            dip_sigmas: 4.0,
            dead_stop_s: 0.2,
            least_pull_m: 0.35,
            walk_m: 0.15,
            walk_height_m: 0.08,
            sticking_drop: 0.05,
            sticking_sigmas: 3.0,
            sticking_below: 0.9,
        }
    }
}
