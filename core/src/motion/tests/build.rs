//! Invented bodies of a few lengths, and where their joints are in the three lifts.
//!
//! Lengths are the usual fractions of stature (Drillis and Contini 1966, from memory), with the
//! thigh and trunk of B and C changed; bars, feet and heads are our choice.

use super::generator::Pose;

/// Stature and lengths, metres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Build {
    pub(crate) stature: f64,
    pub(crate) shin: f64,
    pub(crate) thigh: f64,
    pub(crate) trunk: f64,
}

/// Half the distance between left and right, as a share of stature: shoulders, elbows, wrists,
/// hips, knees, ankles.
const ASIDE: [f64; 6] = [0.129, 0.18, 0.19, 0.0955, 0.11, 0.11];

/// Half a bar, between its ends, m.
const HALF_BAR: f64 = 0.655;

/// Upper arm, and forearm to the wrist, shares of stature.
const ARM: [f64; 2] = [0.186, 0.146];

/// Height of the bar's centre on the floor, m: half a 450 mm disc.
const FLOOR: f64 = 0.225;

/// A point: forward, up.
type Point = [f64; 2];

fn along(from: Point, length: f64, from_vertical: f64) -> Point {
    let (sin, cos) = from_vertical.sin_cos();
    [from[0] + length * sin, from[1] + length * cos]
}

/// Where circles about `one` and `other` meet: the point to the left of the way between them.
fn meeting(one: Point, radius: f64, other: Point, far: f64) -> Point {
    let way = [other[0] - one[0], other[1] - one[1]];
    let apart = way[0].hypot(way[1]).min(radius + far - 1e-9);
    let unit = [way[0] / way[0].hypot(way[1]), way[1] / way[0].hypot(way[1])];
    let along = (radius * radius - far * far + apart * apart) / (2.0 * apart);
    let aside = (radius * radius - along * along).max(0.0).sqrt();
    [
        one[0] + along * unit[0] - aside * unit[1],
        one[1] + along * unit[1] + aside * unit[0],
    ]
}

impl Build {
    const fn new(stature: f64, thigh: f64, trunk: f64) -> Self {
        Self {
            stature,
            shin: 0.246 * stature,
            thigh: thigh * stature,
            trunk: trunk * stature,
        }
    }
    /// Average.
    pub(crate) const A: Self = Self::new(1.75, 0.245, 0.288);
    /// Long thighs, short trunk.
    pub(crate) const B: Self = Self::new(1.85, 0.26, 0.273);
    /// Short thighs, long trunk.
    pub(crate) const C: Self = Self::new(1.65, 0.23, 0.303);

    /// Puts points in the plane of the lift on both sides: shoulder, elbow, wrist, hip, knee,
    /// ankle; the head goes on from the trunk.
    fn pose(&self, t: f64, plane: [Point; 6], bar: Point) -> Pose {
        let mut joints = [[0.0; 3]; 17];
        for (part, ([x, y], aside)) in plane.into_iter().zip(ASIDE).enumerate() {
            let aside = aside * self.stature;
            joints[5 + 2 * part] = [x, y, aside];
            joints[6 + 2 * part] = [x, y, -aside];
        }
        let [shoulder, hip] = [plane[0], plane[3]];
        let up = [shoulder[0] - hip[0], shoulder[1] - hip[1]];
        let long = up[0].hypot(up[1]).max(1e-9);
        let up = [up[0] / long, up[1] / long];
        // Nose, eyes, ears: so far beyond the shoulder, before the line of the trunk, aside.
        let head = [
            [0.11, 0.07, 0.0],
            [0.13, 0.06, 0.018],
            [0.13, 0.06, -0.018],
            [0.12, 0.01, 0.04],
            [0.12, 0.01, -0.04],
        ];
        for (joint, [beyond, before, aside]) in joints.iter_mut().zip(head) {
            let [beyond, before, aside] = [beyond, before, aside].map(|s| s * self.stature);
            *joint = [
                shoulder[0] + beyond * up[0] + before * up[1],
                shoulder[1] + beyond * up[1] - before * up[0],
                aside,
            ];
        }
        Pose {
            t,
            joints,
            bar: [bar[0], bar[1], HALF_BAR],
            other: [bar[0], bar[1], -HALF_BAR],
        }
    }

    /// A squat: bar high on the back, 5 cm behind the line of the trunk. Angles in radians.
    pub(crate) fn standing_on(
        &self,
        t: f64,
        ankle: Point,
        shin: f64,
        thigh: f64,
        lean: f64,
    ) -> Pose {
        let knee = along(ankle, self.shin, shin);
        let (sin, cos) = thigh.sin_cos();
        let hip = [knee[0] - self.thigh * cos, knee[1] + self.thigh * sin];
        let shoulder = along(hip, self.trunk, lean);
        let (sin, cos) = lean.sin_cos();
        let bar = [shoulder[0] - 0.05 * cos, shoulder[1] + 0.05 * sin];
        let elbow = [bar[0] - 0.1, bar[1] - 0.2];
        self.pose(t, [shoulder, elbow, bar, hip, knee, ankle], bar)
    }

    /// A bench press: bar at `bar` from the lowest place over the shoulders, lockout `way` above;
    /// hips so much off the bench.
    pub(crate) fn lying_under(&self, t: f64, bar: Point, way: f64, hips: f64) -> Pose {
        let [upper, fore] = ARM.map(|share| share * self.stature);
        let shoulder = [0.0, 0.45];
        // Nearly straight arms at the top.
        let lowest = shoulder[1] + 0.9985 * (upper + fore) - way;
        let wrist = [bar[0], lowest + bar[1]];
        let elbow = meeting(wrist, fore, shoulder, upper);
        let hip = [self.trunk, 0.43 + hips];
        let knee = along(hip, self.thigh, 85.0_f64.to_radians());
        let back = ((knee[1] - 0.07) / self.shin).min(1.0).acos();
        let ankle = [
            knee[0] - self.shin * back.sin(),
            knee[1] - self.shin * back.cos(),
        ];
        self.pose(t, [shoulder, elbow, wrist, hip, knee, ankle], wrist)
    }

    /// Way of the bar from the floor to lockout, m.
    pub(crate) fn pull(&self) -> f64 {
        let arm = 0.382 * self.stature;
        0.039 * self.stature + self.shin + self.thigh + self.trunk
            - (arm * arm - 0.05 * 0.05).sqrt()
            - FLOOR
    }

    /// A deadlift, the shoulder 5 cm ahead of the bar at the start; the bar has risen the share
    /// `risen`. Faults: bar forward (m), thigh ahead, lean left at the top and knees bent again
    /// (degrees).
    pub(crate) fn pulling(&self, t: f64, risen: f64, faults: [f64; 4]) -> Pose {
        const AHEAD: f64 = 0.05;
        let [forward, lead, soft, bent] = faults;
        let ankle = [-0.25 * 0.152 * self.stature, 0.039 * self.stature];
        let arm = 0.382 * self.stature;
        let hang = (arm * arm - 0.05 * 0.05 - AHEAD * AHEAD).sqrt();
        // The bar touches the shin: its centre 4.5 cm before the line from ankle to knee.
        let (a, b) = (-ankle[0], FLOOR - ankle[1]);
        let start = (0.045 / a.hypot(b)).acos() - b.atan2(a);
        let kneecap = ankle[1] + self.shin * start.cos();
        let bar = [forward, FLOOR + self.pull() * risen];
        let low = bar[1].min(kneecap);
        let knee = along(ankle, self.shin, start);
        let shoulder = [AHEAD, low + hang];
        let hip = meeting(knee, self.thigh, shoulder, self.trunk);
        let thigh = (hip[1] - knee[1]).atan2(knee[0] - hip[0]);
        let lean = (shoulder[0] - hip[0]).atan2(shoulder[1] - hip[1]);
        // Above the knee everything closes evenly until it stands straight.
        let top = FLOOR + self.pull();
        let closed = ((bar[1] - kneecap) / (top - kneecap)).clamp(0.0, 1.0);
        let to = |from: f64, end: f64| from + (end - from) * closed;
        let bend = bent.to_radians();
        let shin = to(start, 0.0) + bend;
        let ahead = thigh + lead.to_radians();
        let lean = if lead == 0.0 {
            lean
        } else {
            // Hips ahead: the arms still hold the shoulder at its height.
            let hip = knee[1] + self.thigh * ahead.sin();
            ((shoulder[1] - hip) / self.trunk).clamp(-1.0, 1.0).acos()
        };
        let thigh = to(ahead, std::f64::consts::FRAC_PI_2) - bend;
        let lean = to(lean, soft.to_radians());
        let knee = along(ankle, self.shin, shin);
        let hip = [
            knee[0] - self.thigh * thigh.cos(),
            knee[1] + self.thigh * thigh.sin(),
        ];
        let shoulder = along(hip, self.trunk, lean);
        let wrist = along(
            bar,
            0.05 * self.stature,
            (shoulder[0] - bar[0]).atan2(shoulder[1] - bar[1]),
        );
        let elbow = [
            f64::midpoint(wrist[0], shoulder[0]),
            f64::midpoint(wrist[1], shoulder[1]),
        ];
        self.pose(t, [shoulder, elbow, wrist, hip, knee, ankle], bar)
    }
}
