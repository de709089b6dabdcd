//! Where a measured quantity becomes a sign: every limit, with its source.
//!
//! No published limit was found for most of them (how far the hips may lead, knee slide, early way
//! back of the bench bar, gap between bar and shin, bounce, tilt). Those say "our choice": starting
//! values for the coach to move.

use serde::Deserialize;

/// Limits and error terms of the measured signs. Metres, seconds, degrees, m/s unless said.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SignLimits {
    /// No measurement is surer than this either way (0.5 to 1). Our choice.
    pub surest: f64,
    /// No stand-in for what cannot be seen itself (ankle for heel) is surer than this. Our choice.
    pub stand_in_surest: f64,
    /// Mean confidence of the points from which on a measurement counts in full. Our choice.
    pub full_trust: f64,
    /// Mean confidence below which the noise is taken as doubled. Our choice.
    pub low_trust: f64,
    /// Largest share of samples of a repetition that may be missing at a point. Our choice.
    pub missing_share: f64,
    /// How much repetitions of one set share their error, 0 to 1 (intraclass correlation); more
    /// where the steady offsets are larger than the noise. Our choice.
    pub shared_error: f64,
    /// Relative error of the scale: one pixel at each edge of a plate 140 pixels wide.
    pub scale_error: f64,
    /// How far off square a side camera usually is, degrees. Our choice.
    pub yaw_deg: f64,
    /// How far a side camera usually looks up or down, degrees. Our choice.
    pub pitch_deg: f64,
    /// How much nearer to a side camera the knee is than the hip. Knees out; our choice.
    pub knee_nearer_m: f64,
    /// How far a front camera usually is from level, degrees. Our choice.
    pub roll_deg: f64,
    /// Offset of the bar's end against the body by perspective: 3 to 6 cm at 2 to 5 m (worked out
    /// for an end 0.5 m nearer than the body and 0.3 m off the camera's axis).
    pub parallax_m: f64,
    /// How much a good lifter's repetitions differ in place. Our choice.
    pub rep_spread_m: f64,
    /// Frames a second from which bounces can be seen at all. Our choice.
    pub bounce_fps: f64,
    /// Cut-off of the filter, Hz, from which bounces can be seen well. Our choice.
    pub bounce_cutoff: f64,
    /// Slower than this the bar stands. Our choice.
    pub still_speed: f64,
    /// Down longer than this is slow. Common practice, no source.
    pub descent_long_s: f64,
    /// Last third of the way down against the first: times as fast. Our choice.
    pub descent_rush: f64,
    /// Loss of mean speed from the best to the last repetition, share. Our choice.
    pub speed_loss: f64,
    /// Up to this share of the best single a load is light. Our choice.
    pub light_share: f64,
    /// Part of the first peak of speed that is lost where the bar slows (0 to 1). Our choice.
    pub stall_depth: f64,
    /// Smallest loss of speed that counts as slowing, m/s. Our choice.
    pub stall_drop: f64,
    /// Mean speed of the first centimetres against the rest below which the start is slow; an even
    /// lift has about three quarters. Our choice.
    pub slow_start: f64,
    /// The last part of the way, from this share of the range on.
    pub top_part: f64,
    /// A drop within the way up. Our choice; any drop is against the rules of the squat.
    pub dip_m: f64,
    /// Tilt of the bar, degrees. Our choice.
    pub tilt_deg: f64,
    /// Hips to one side. Our choice.
    pub hip_shift_m: f64,
    /// Loss of knee width against the way down, share. Our choice.
    pub knee_width_loss: f64,
    /// Knee width against ankle width on the way down below which the knees are in. Our choice.
    pub knee_width: f64,
    /// Error of a ratio of knee and ankle widths by perspective. Our choice.
    pub knee_width_error: f64,
    /// Limits of the squat.
    pub squat: SquatLimits,
    /// Limits of the bench press.
    pub bench: BenchLimits,
    /// Limits of the deadlift.
    pub deadlift: DeadliftLimits,
}

impl Default for SignLimits {
    fn default() -> Self {
        Self {
            surest: 0.98,
            stand_in_surest: 0.8,
            full_trust: 0.7,
            low_trust: 0.5,
            missing_share: 0.2,
            shared_error: 0.5,
            scale_error: 0.01,
            yaw_deg: 10.0,
            pitch_deg: 3.0,
            knee_nearer_m: 0.15,
            roll_deg: 1.0,
            parallax_m: 0.04,
            rep_spread_m: 0.01,
            bounce_fps: 50.0,
            bounce_cutoff: 8.0,
            still_speed: 0.03,
            descent_long_s: 3.0,
            descent_rush: 1.6,
            speed_loss: 0.3,
            light_share: 0.7,
            stall_depth: 0.3,
            stall_drop: 0.05,
            slow_start: 0.4,
            top_part: 2.0 / 3.0,
            dip_m: 0.015,
            tilt_deg: 1.5,
            hip_shift_m: 0.03,
            knee_width_loss: 0.1,
            knee_width: 0.9,
            knee_width_error: 0.08,
            squat: SquatLimits::default(),
            bench: BenchLimits::default(),
            deadlift: DeadliftLimits::default(),
        }
    }
}

/// Where a quantity of the squat becomes a sign.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SquatLimits {
    /// A light set whose best repetition is slower than this is slow, m/s. From memory of published
    /// load-velocity lines, lowered: our choice.
    pub light_speed: f64,
    /// How much higher the top of the leg at the hip lies above its joint than the top of the knee
    /// above its own. Our choice.
    pub depth_offset_m: f64,
    /// Its standard deviation between people. Our choice.
    pub depth_offset_sd_m: f64,
    /// Bottoms get higher over a set by this. Our choice.
    pub depth_loss_m: f64,
    /// Rise of the hip against the shoulder over the first third. Our choice.
    pub hips_lead: f64,
    /// Trunk leans further forward over the first third, degrees. Our choice.
    pub lean_gain_deg: f64,
    /// Trunk tips forward against the thigh's movement on the way down, degrees. Our choice.
    pub pitch_jump_deg: f64,
    /// Hip bends so many times as fast as the knee at first: hips first. Our choice.
    pub hips_first: f64,
    /// Below this the knees go first. Our choice.
    pub knees_first: f64,
    /// A shin less inclined than this at the bottom is near upright, degrees. Our choice.
    pub shin_upright_deg: f64,
    /// Rise of the ankle that stands for a rising heel. Our choice.
    pub ankle_rise_m: f64,
    /// Bar forward of where it was at the top. Our choice.
    pub drift_m: f64,
    /// Bar on the way up forward of where it went down. Our choice.
    pub shift_m: f64,
    /// Fastest speed down of a dive, m/s. Our choice; 1.0 would call an even way down of 0.63 m in
    /// 1.4 s a dive.
    pub dive_speed: f64,
    /// Swinging of the bar before the way down (standard deviation of its place). Our choice.
    pub sway_m: f64,
    /// A hand's width above the bottom.
    pub low_m: f64,
    /// Up to this share of the way the bar slows half way up: the thighs are somewhat above level
    /// until then. Our choice.
    pub middle_part: f64,
}

impl Default for SquatLimits {
    fn default() -> Self {
        Self {
            light_speed: 0.45,
            depth_offset_m: 0.02,
            depth_offset_sd_m: 0.02,
            depth_loss_m: 0.03,
            hips_lead: 1.1,
            lean_gain_deg: 5.0,
            pitch_jump_deg: 8.0,
            hips_first: 1.5,
            knees_first: 0.7,
            shin_upright_deg: 15.0,
            ankle_rise_m: 0.01,
            drift_m: 0.04,
            shift_m: 0.02,
            dive_speed: 1.3,
            sway_m: 0.008,
            low_m: 0.1,
            middle_part: 0.75,
        }
    }
}

/// Where a quantity of the bench press becomes a sign.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct BenchLimits {
    /// A light set whose best repetition is slower than this is slow, m/s. From memory of published
    /// load-velocity lines, lowered: our choice.
    pub light_speed: f64,
    /// Bar off the line of the shoulders before it is lowered. Our choice.
    pub start_off_m: f64,
    /// Touch nearer to the place of lockout than this is high on the chest. Our choice.
    pub touch_near_m: f64,
    /// Touch further towards the feet than this is low. Our choice.
    pub touch_far_m: f64,
    /// Touch points differ by this (standard deviation). Our choice.
    pub touch_spread_m: f64,
    /// Speed shortly before the touch that is hard, m/s. Our choice.
    pub touch_speed: f64,
    /// Upward acceleration at the turn that is a bounce, m/s². Our choice.
    pub bounce: f64,
    /// Sinking during the pause. Our choice.
    pub sink_m: f64,
    /// A shorter stop is touch and go. Common practice, no source.
    pub pause_s: f64,
    /// Share of the way back that is done in the first third of the way up, above: back first.
    pub back_first: f64,
    /// Below: up first.
    pub up_first: f64,
    /// Knees move by this when the press starts, degrees. Our choice.
    pub leg_kick_deg: f64,
    /// Hips rise by this in the press. Our choice.
    pub hips_lift_m: f64,
    /// Elbow angle of a lockout, degrees. Our choice.
    pub elbow_straight_deg: f64,
    /// Just off the chest: up to here.
    pub low_m: f64,
}

impl Default for BenchLimits {
    fn default() -> Self {
        Self {
            light_speed: 0.35,
            start_off_m: 0.08,
            touch_near_m: 0.03,
            touch_far_m: 0.2,
            touch_spread_m: 0.02,
            touch_speed: 0.3,
            bounce: 10.0,
            sink_m: 0.015,
            pause_s: 0.3,
            back_first: 0.5,
            up_first: 0.2,
            leg_kick_deg: 5.0,
            hips_lift_m: 0.03,
            elbow_straight_deg: 165.0,
            low_m: 0.075,
        }
    }
}

/// Where a quantity of the deadlift becomes a sign.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DeadliftLimits {
    /// A light set whose best repetition is slower than this is slow, m/s. From memory of published
    /// load-velocity lines, lowered: our choice.
    pub light_speed: f64,
    /// Gap between bar and shin. Our choice.
    pub shin_gap_m: f64,
    /// Half a shin and half a bar, between the bar's centre and the line ankle to knee. Our choice.
    pub shin_and_bar_m: f64,
    /// Shoulder behind the bar by this at the start. Common practice, no source.
    pub shoulder_behind_m: f64,
    /// Bar away from where it started. Our choice.
    pub drift_m: f64,
    /// Hips rise before the bar leaves. Our choice.
    pub hips_pop_m: f64,
    /// Rise of the hip against the shoulder until the bar is at the knee. Our choice.
    pub hips_lead: f64,
    /// Trunk leans further forward until the bar is at the knee, degrees. Our choice.
    pub lean_gain_deg: f64,
    /// Hip above what the build lets expect. Our choice.
    pub hips_high_m: f64,
    /// Knee angle at the start of nearly straight legs, degrees. Our choice.
    pub start_knee_deg: f64,
    /// Knee angle of legs that are straight too early, with the bar below the knee, degrees. Our
    /// choice.
    pub early_knee_deg: f64,
    /// Knee and hip angle of a lockout, degrees. Our choice.
    pub lockout_deg: f64,
    /// Trunk behind the vertical at the finish, degrees. Our choice.
    pub lean_back_deg: f64,
    /// Shortest stop of a hitch. Our choice.
    pub hitch_s: f64,
    /// Knees bend again by this in a hitch, degrees. Our choice.
    pub hitch_deg: f64,
    /// Bar starts elsewhere than in the first repetition. Our choice.
    pub start_shift_m: f64,
    /// A shorter stop on the floor is no dead stop. Our choice.
    pub floor_stop_s: f64,
    /// Fastest speed down of a bar that is let go, m/s. Our choice.
    pub dropped_speed: f64,
    /// The bar hardly leaves the floor: up to here.
    pub low_m: f64,
}

impl Default for DeadliftLimits {
    fn default() -> Self {
        Self {
            light_speed: 0.35,
            shin_gap_m: 0.03,
            shin_and_bar_m: 0.045,
            shoulder_behind_m: 0.0,
            drift_m: 0.03,
            hips_pop_m: 0.04,
            hips_lead: 1.5,
            lean_gain_deg: 8.0,
            hips_high_m: 0.05,
            start_knee_deg: 145.0,
            early_knee_deg: 160.0,
            lockout_deg: 172.0,
            lean_back_deg: 5.0,
            hitch_s: 0.15,
            hitch_deg: 5.0,
            start_shift_m: 0.03,
            floor_stop_s: 0.2,
            dropped_speed: 1.8,
            low_m: 0.08,
        }
    }
}
