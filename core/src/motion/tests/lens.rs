//! A made set through a camera: keypoints and bar tracks as text, with noise and lost frames.

use super::chance::Chance;
use super::generator::{Pose, Set};
use std::fmt::Write as _;

/// A set as a camera sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lens {
    /// 0 from the lifter's right side, 90 from the front, degrees.
    pub(crate) yaw_deg: f64,
    /// The image is mirrored: the lifter faces left.
    pub(crate) mirrored: bool,
    pub(crate) px_per_m: f64,
    /// Standard deviation of each axis, m.
    pub(crate) jitter_m: f64,
    /// Share of frames that are lost.
    pub(crate) lost: f64,
    pub(crate) seed: u64,
}

impl Lens {
    /// Square from the right side, without noise.
    pub(crate) const SIDE: Self = Self {
        yaw_deg: 0.0,
        mirrored: false,
        px_per_m: 400.0,
        jitter_m: 0.0,
        lost: 0.0,
        seed: 1000,
    };

    /// Width and height of the image, px.
    pub(crate) const IMAGE: [f64; 2] = [1280.0, 1080.0];

    /// Frames that were kept: each with its number, 17 points and two ends of the bar, px.
    pub(crate) fn film(&self, poses: &[Pose]) -> Vec<(usize, [[f64; 2]; 19])> {
        let mut chance = Chance(self.seed);
        let mut seen: Vec<[[f64; 2]; 19]> = poses.iter().map(|pose| self.image(pose)).collect();
        // Ankles, knees, hips, shoulders, then the rest; each point through all frames.
        let order = [
            15, 16, 13, 14, 11, 12, 5, 6, 7, 8, 9, 10, 0, 1, 2, 3, 4, 17, 18,
        ];
        if self.jitter_m > 0.0 {
            for point in order {
                for frame in &mut seen {
                    for axis in &mut frame[point] {
                        *axis += self.jitter_m * self.px_per_m * chance.gauss();
                    }
                }
            }
        }
        let kept = seen.into_iter().enumerate();
        kept.filter(|_| self.lost == 0.0 || chance.even() > self.lost)
            .collect()
    }

    fn image(&self, pose: &Pose) -> [[f64; 2]; 19] {
        let (sin, cos) = self.yaw_deg.to_radians().sin_cos();
        let place = |[x, y, z]: [f64; 3]| {
            let across = x * cos + z * sin;
            let across = if self.mirrored { -across } else { across };
            [
                (Self::IMAGE[0] - 1.0) / 2.0 + across * self.px_per_m,
                Self::IMAGE[1] - 1.0 - (y + 0.2) * self.px_per_m,
            ]
        };
        let mut points = [[0.0; 2]; 19];
        for (point, joint) in points.iter_mut().zip(pose.joints) {
            *point = place(joint);
        }
        points[17] = place(pose.bar);
        points[18] = place(pose.other);
        points
    }

    /// Keypoints as JSON in the own envelope.
    pub(crate) fn keypoints(&self, set: &Set) -> String {
        let frames = self.film(&set.poses()).into_iter().map(|(number, points)| {
            let flat = points[..17]
                .iter()
                .map(|[x, y]| format!("{x:.3},{y:.3},0.9"));
            let flat = flat.collect::<Vec<_>>().join(",");
            format!(
                "{{\"t\":{:.6},\"keypoints\":[{flat}]}}",
                number as f64 / set.fps
            )
        });
        let frames = frames.collect::<Vec<_>>().join(",\n");
        let [width, height] = Self::IMAGE;
        format!(
            "{{\"fps\":{},\"width\":{width},\"height\":{height},\"frames\":[{frames}]}}",
            set.fps
        )
    }

    /// One end of the bar as CSV in pixels, or both.
    pub(crate) fn bar_track(&self, set: &Set, both: bool) -> String {
        let (plate, facing) = (
            0.45 * self.px_per_m,
            if self.mirrored { "left" } else { "right" },
        );
        let [width, height] = Self::IMAGE;
        let mut text = format!(
            "# fps={}\n# plate_px={plate}\n# facing={facing}\n# width={width}\n# height={height}\n",
            set.fps
        );
        text += if both {
            "frame,x_px,y_px,x2_px,y2_px\n"
        } else {
            "frame,x_px,y_px\n"
        };
        for (number, points) in self.film(&set.poses()) {
            let ([x, y], [x2, y2]) = (points[17], points[18]);
            let rest = if both {
                format!(",{x2:.4},{y2:.4}")
            } else {
                String::new()
            };
            let _ = writeln!(text, "{number},{x:.4},{y:.4}{rest}");
        }
        text
    }
}

/// One end of the bar as CSV in metres, as a bar tracker writes it.
pub(crate) fn metres(set: &Set) -> String {
    let rows = set.poses().into_iter();
    let rows = rows.map(|pose| format!("{:.6},{:.6},{:.6}\n", pose.t, pose.bar[0], pose.bar[1]));
    format!("t,x,y\n{}", rows.collect::<String>())
}
