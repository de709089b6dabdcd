//! What a trace becomes: points followed through a set, and its repetitions.
//!
//! Metres, seconds and degrees. x forward (squat and deadlift: towards the toes; bench: towards the
//! feet), y up. Every path of one motion lies on the same uniform grid of `fps` samples a second.

use crate::report::Lift;
use std::collections::BTreeMap;

/// Trust of a sample that lies in a gap short enough to be bridged. It counts as missing where the
/// share of missing samples is asked for.
pub const BRIDGED: f64 = 0.25;

/// From where the camera looked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Camera {
    /// Square from the side: everything in the plane of the lift.
    Side,
    /// From the front or from behind: left against right.
    FrontOrRear,
    /// About 20 to 45 degrees off: heights and times only.
    Oblique,
    /// Not said: heights and times only.
    Unknown,
}

/// A point of the body, in the order of COCO-17.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Joint {
    Nose,
    LeftEye,
    RightEye,
    LeftEar,
    RightEar,
    LeftShoulder,
    RightShoulder,
    LeftElbow,
    RightElbow,
    LeftWrist,
    RightWrist,
    LeftHip,
    RightHip,
    LeftKnee,
    RightKnee,
    LeftAnkle,
    RightAnkle,
}

impl Joint {
    /// All of them, in the order of COCO-17.
    pub const ALL: [Self; 17] = [
        Self::Nose,
        Self::LeftEye,
        Self::RightEye,
        Self::LeftEar,
        Self::RightEar,
        Self::LeftShoulder,
        Self::RightShoulder,
        Self::LeftElbow,
        Self::RightElbow,
        Self::LeftWrist,
        Self::RightWrist,
        Self::LeftHip,
        Self::RightHip,
        Self::LeftKnee,
        Self::RightKnee,
        Self::LeftAnkle,
        Self::RightAnkle,
    ];
}

/// One point through the set, filtered.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Forward, metres, one a sample.
    pub x: Vec<f64>,
    /// Up, metres, one a sample.
    pub y: Vec<f64>,
    /// Forward speed, m/s, one a sample.
    pub vx: Vec<f64>,
    /// Upward speed, m/s, one a sample.
    pub vy: Vec<f64>,
    /// How far each sample can be trusted: 0 missing (lies in a gap too long to bridge),
    /// [`BRIDGED`] in a gap that is bridged, else the confidence it was found with, to 1.
    pub trust: Vec<f64>,
    /// Standard deviation of one axis before filtering, metres.
    pub jitter: f64,
    /// Standard deviation of the steady offset from where the point really is, metres.
    pub bias: f64,
}

/// A set as followed by a camera or a bar tracker.
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    /// Which lift.
    pub lift: Lift,
    /// Samples a second.
    pub fps: f64,
    /// Cut-off of the filter, Hz (-3 dB after both passes).
    pub cutoff: f64,
    /// From where.
    pub camera: Camera,
    /// The end of the bar (or, with no bar track, what stands for it: see `bar_is_body`).
    pub bar: Option<Path>,
    /// The other end of the bar, when both were followed (front view).
    pub other_end: Option<Path>,
    /// The bar is not followed itself: shoulder (squat) or wrist (bench, deadlift) stands for it.
    pub bar_is_body: bool,
    /// Points of the body that were followed.
    pub body: BTreeMap<Joint, Path>,
    /// The side of the body nearer to a side camera, by trust.
    pub near_left: bool,
    /// Remarks in plain words on what had to be done to the trace.
    pub notes: Vec<String>,
}

/// One repetition, in samples of the grid. Squat and bench go down first, the deadlift up first.
#[derive(Clone, Debug, PartialEq)]
pub struct Rep {
    /// The movement begins.
    pub start: usize,
    /// Lowest point between descent and ascent (deadlift: the last still sample on the floor).
    pub bottom: usize,
    /// The upward movement begins (after any pause).
    pub go: usize,
    /// The upward movement ends (a missed one: where it turned back).
    pub top: usize,
    /// The repetition is over (deadlift: back on the floor).
    pub end: usize,
    /// Height gained in the ascent, metres.
    pub range: f64,
    /// The bar came back before the top.
    pub missed: bool,
    /// Every sample the repetition needs could be measured.
    pub measured: bool,
}
