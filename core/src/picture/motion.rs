//! A followed set: the way of the bar to scale, and height, speed and lean over time.

use super::stages::digit;
use super::{WIDE, rect};
use crate::motion::{Camera, Followed, Joint, Motion, Path, Rep};
use std::fmt::Write as _;

/// Height of the whole part.
pub(super) const HIGH: f64 = 1300.0;

/// Margin around everything, and between fields.
const MARGIN: f64 = 100.0;
const GAP: f64 = 60.0;

/// Width of the field with the bar's way.
const WAY_WIDE: f64 = 700.0;

/// Most points of one line: more cannot be told apart at this size.
const MOST_POINTS: usize = 800;

/// Least trust in a sample that is drawn; the line is broken where it is missing.
const LEAST_TRUST: f64 = 0.05;

const INK: &str = "#26222e";
const SOFT: &str = "#8d98a0";
const FIELD: &str = "#efece4";
/// Repetitions, so that the way of each can be told from its neighbour's: our own tones, each as
/// readable on the paper as the next.
const TONES: [&str; 3] = ["#4b3460", "#7a4d3c", "#3f5a63"];

/// A field of the drawing with the ranges shown in it.
struct Field {
    left: f64,
    top: f64,
    wide: f64,
    high: f64,
    across: (f64, f64),
    up: (f64, f64),
}

impl Field {
    fn x(&self, value: f64) -> f64 {
        self.left + self.wide * share(value, self.across)
    }

    fn y(&self, value: f64) -> f64 {
        self.top + self.high * (1.0 - share(value, self.up))
    }
}

/// Where a value lies in a range, 0 to 1.
fn share(value: f64, (low, high): (f64, f64)) -> f64 {
    if high > low {
        ((value - low) / (high - low)).clamp(0.0, 1.0)
    } else {
        0.5
    }
}

/// Smallest and largest of what is shown, with a little air; none without a figure.
fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let (low, high) = values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
    let air = 0.05 * (high - low).max(1e-3);
    (low <= high).then_some((low - air, high + air))
}

/// A line over time or over the way: one value pair a sample, none where it is broken.
type Line = Vec<Option<(f64, f64)>>;

/// Draws the part from `top` on; false when there is no path to draw.
pub(super) fn draw(out: &mut String, followed: &Followed, top: f64) -> bool {
    let motion = &followed.motion;
    let Some(bar) = &motion.bar else {
        return false;
    };
    if motion.fps <= 0.0 || seen(bar).next().is_none() {
        return false;
    }
    let side = motion.camera == Camera::Side;
    let left = if side {
        way(out, bar, &followed.reps, top);
        MARGIN + WAY_WIDE + GAP
    } else {
        MARGIN
    };
    let mut strips: Vec<Line> = vec![
        over_time(motion, bar, &bar.y),
        over_time(motion, bar, &bar.vy),
    ];
    strips.extend(lean(motion).filter(|_| side));
    let high = (HIGH - 2.0 * MARGIN - GAP * (strips.len() - 1) as f64) / strips.len() as f64;
    for (at, line) in strips.iter().enumerate() {
        let upper = top + MARGIN + (high + GAP) * at as f64;
        let place = (left, upper, WIDE - MARGIN - left, high);
        strip(out, line, place, followed, at == 0);
    }
    true
}

/// Samples that can be drawn.
fn seen(path: &Path) -> impl Iterator<Item = usize> {
    let shown = |at: &usize| {
        let trusted = path
            .trust
            .get(*at)
            .is_none_or(|trust| *trust >= LEAST_TRUST);
        let there = |values: &[f64]| values.get(*at).is_some_and(|value| value.is_finite());
        trusted && there(&path.x) && there(&path.y)
    };
    (0..path.y.len()).filter(shown)
}

/// The way of the bar by repetition, to one scale both ways: down with dashes, up in full.
fn way(out: &mut String, bar: &Path, reps: &[Rep], top: f64) {
    let (wide, high) = (WAY_WIDE, HIGH - 2.0 * MARGIN);
    rect(out, (MARGIN, top + MARGIN), (wide, high), 18.0, FIELD);
    let whole = || seen(bar).collect::<Vec<usize>>();
    let shown: Vec<usize> = if reps.is_empty() {
        whole()
    } else {
        let within = |at: &usize| reps.iter().any(|rep| (rep.start..=rep.end).contains(at));
        whole().into_iter().filter(within).collect()
    };
    let of = |values: &[f64]| range(shown.iter().filter_map(|at| values.get(*at).copied()));
    let (Some(across), Some(up)) = (of(&bar.x), of(&bar.y)) else {
        return;
    };
    // One scale for both: the way would be bent otherwise.
    let metres = ((across.1 - across.0) / wide).max((up.1 - up.0) / high);
    let centred = |(low, high): (f64, f64), size: f64| {
        let (middle, half) = (f64::midpoint(low, high), metres * size / 2.0);
        (middle - half, middle + half)
    };
    let field = Field {
        left: MARGIN,
        top: top + MARGIN,
        wide,
        high,
        across: centred(across, wide),
        up: centred(up, high),
    };
    let plumb = reps.first().and_then(|rep| bar.x.get(rep.start));
    if let Some(x) = plumb.filter(|x| x.is_finite()) {
        let x = field.x(*x);
        let _ = write!(
            out,
            "<path d=\"M{x:.1} {:.1}V{:.1}\" stroke=\"{SOFT}\" stroke-width=\"4\" fill=\"none\"/>",
            field.top,
            field.top + field.high
        );
    }
    let line = |from: usize, to: usize| -> Line {
        let shown = |at: usize| shown.binary_search(&at).is_ok();
        let point = |at: usize| shown(at).then(|| Some((*bar.x.get(at)?, *bar.y.get(at)?)));
        (from..=to).map(|at| point(at).flatten()).collect()
    };
    if reps.is_empty() {
        polyline(
            out,
            &field,
            &line(0, bar.y.len().saturating_sub(1)),
            INK,
            false,
        );
    }
    for (at, rep) in reps.iter().enumerate() {
        let tone = TONES[at % TONES.len()];
        // Squat and bench go down before they go up, the deadlift after.
        let up = (rep.go.min(rep.top), rep.top);
        let down = if rep.top >= rep.end {
            (rep.start.min(rep.bottom), rep.bottom)
        } else if rep.start < rep.bottom {
            (rep.start, rep.bottom)
        } else {
            (rep.top, rep.end)
        };
        polyline(out, &field, &line(down.0, down.1), tone, true);
        polyline(out, &field, &line(up.0, up.1), tone, false);
    }
}

/// A value over time.
fn over_time(motion: &Motion, path: &Path, values: &[f64]) -> Line {
    let mut line: Line = vec![None; values.len()];
    for at in seen(path) {
        if let (Some(place), Some(value)) = (line.get_mut(at), values.get(at)) {
            *place = value.is_finite().then(|| (at as f64 / motion.fps, *value));
        }
    }
    line
}

/// Lean of the trunk over time, degrees forward from upright; none without shoulder and hip.
fn lean(motion: &Motion) -> Option<Line> {
    let (shoulder, hip) = if motion.near_left {
        (Joint::LeftShoulder, Joint::LeftHip)
    } else {
        (Joint::RightShoulder, Joint::RightHip)
    };
    let (shoulder, hip) = (motion.body.get(&shoulder)?, motion.body.get(&hip)?);
    let mut line: Line = vec![None; shoulder.y.len().min(hip.y.len())];
    let both = seen(shoulder).filter(|at| seen_at(hip, *at));
    for at in both {
        let angle = || {
            let x = shoulder.x.get(at)? - hip.x.get(at)?;
            let y = shoulder.y.get(at)? - hip.y.get(at)?;
            Some((at as f64 / motion.fps, x.atan2(y).to_degrees()))
        };
        if let Some(place) = line.get_mut(at) {
            *place = angle();
        }
    }
    line.iter().any(Option::is_some).then_some(line)
}

fn seen_at(path: &Path, at: usize) -> bool {
    let trusted = path.trust.get(at).is_none_or(|trust| *trust >= LEAST_TRUST);
    trusted && path.x.get(at).is_some_and(|x| x.is_finite())
}

/// One line over time, with a lighter field for each repetition, numbered in the first strip.
fn strip(
    out: &mut String,
    line: &Line,
    (left, top, wide, high): (f64, f64, f64, f64),
    followed: &Followed,
    numbered: bool,
) {
    rect(out, (left, top), (wide, high), 18.0, "#fdfcf8");
    let points = || line.iter().flatten();
    let (Some(across), Some(up)) = (
        range(points().map(|(x, _)| *x)),
        range(points().map(|(_, y)| *y)),
    ) else {
        return;
    };
    let field = Field {
        left,
        top,
        wide,
        high,
        across,
        up,
    };
    let fps = followed.motion.fps;
    for (at, rep) in followed.reps.iter().enumerate() {
        let (from, to) = (
            field.x(rep.start as f64 / fps),
            field.x(rep.end as f64 / fps),
        );
        let _ = write!(
            out,
            "<rect x=\"{from:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{high:.1}\" fill=\"{FIELD}\"/>",
            (to - from).max(1.0)
        );
        if numbered {
            let path = digit(at + 1, (from + 34.0, top + 44.0));
            let _ = write!(
                out,
                "<path d=\"{path}\" stroke=\"{INK}\" stroke-width=\"8\" fill=\"none\" stroke-linecap=\"round\"/>"
            );
        }
    }
    if up.0 < 0.0 && up.1 > 0.0 {
        let y = field.y(0.0);
        let _ = write!(
            out,
            "<path d=\"M{left:.1} {y:.1}H{:.1}\" stroke=\"{SOFT}\" stroke-width=\"4\" fill=\"none\"/>",
            left + wide
        );
    }
    polyline(out, &field, line, INK, false);
}

/// A line through the points that are there.
fn polyline(out: &mut String, field: &Field, line: &Line, tone: &str, dashed: bool) {
    let step = line.len().div_ceil(MOST_POINTS).max(1);
    let mut path = String::new();
    let mut pen = 'M';
    for point in line.iter().step_by(step) {
        match point {
            Some((x, y)) => {
                let _ = write!(path, "{pen}{:.1} {:.1}", field.x(*x), field.y(*y));
                pen = 'L';
            }
            None => pen = 'M',
        }
    }
    if path.is_empty() {
        return;
    }
    let dash = if dashed {
        " stroke-dasharray=\"18 14\""
    } else {
        ""
    };
    let _ = write!(
        out,
        "<path d=\"{path}\" stroke=\"{tone}\" stroke-width=\"8\" fill=\"none\" \
         stroke-linejoin=\"round\"{dash}/>"
    );
}
