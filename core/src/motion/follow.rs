//! The traces of one set, put together into one motion.

use super::filter::{NoiseGains, low_pass, slopes};
use super::grid::{Grid, Placed, median, place, rate};
use super::trace::{Facing, Point, Samples, read_all};
use super::{BRIDGED, Camera, Joint, Motion, Path, TraceLimits, clean, origin, scale, window};
use crate::report::{FieldError, Lift, Trace, View};
use std::collections::BTreeMap;

/// Follows the traces of one set: reads them, puts them to metres and on one even grid, takes out
/// what is no movement, and filters. None without traces.
///
/// `stature_m` is the lifter's height: it is the scale of the body. A trace's own word on the
/// camera goes before `view`.
///
/// # Errors
/// What cannot be read or measured, by trace and by line or frame: found and accepted.
pub fn follow(
    lift: Lift,
    view: Option<View>,
    stature_m: Option<f64>,
    traces: &[Trace],
    limits: &TraceLimits,
) -> Result<Option<Motion>, Vec<FieldError>> {
    if traces.is_empty() {
        return Ok(None);
    }
    let mut all = read_all(traces, limits)?;
    let rates = rates(&all, limits)?;
    let mut notes = Vec::new();
    for samples in &mut all {
        notes.append(&mut samples.notes);
    }
    let mut camera = camera(view, &all, &mut notes);
    let facing = facing(lift, &mut camera, &all, &mut notes);
    if rates.iter().any(|rate| *rate < limits.full_fps) {
        camera = Camera::Unknown;
        notes.push(format!(
            "fewer than {} frames a second: heights and times only",
            limits.full_fps
        ));
    }
    let shared = in_metres(
        &mut all, lift, camera, facing, stature_m, limits, &mut notes,
    )?;
    put_right(&mut all, limits, &mut notes);
    let grid = window::grid(&all, &rates, lift, limits)?;
    let cutoff = cutoff(&all, &rates, limits);
    let mut motion = Motion {
        lift,
        fps: grid.fps,
        cutoff,
        camera,
        bar: None,
        other_end: None,
        bar_is_body: false,
        body: BTreeMap::new(),
        near_left: false,
        notes,
    };
    let gains = NoiseGains::of(grid.fps, cutoff);
    for (samples, own) in all.iter().zip(&rates) {
        for series in &samples.series {
            let placed = place(series, &samples.times, *own, &grid, limits);
            let Some(path) = path(placed, &grid, cutoff, &gains, series.point, limits) else {
                continue;
            };
            match series.point {
                Point::Bar => motion.bar = Some(path),
                Point::OtherEnd => motion.other_end = Some(path),
                Point::Body(joint) => {
                    motion.body.insert(joint, path);
                }
            }
        }
    }
    motion.near_left = origin::near_left(&motion, facing);
    origin::settle(&mut motion, shared, stature_m, limits);
    Ok(Some(motion))
}

/// Frames a second of each trace, within what is accepted.
fn rates(all: &[Samples], limits: &TraceLimits) -> Result<Vec<f64>, Vec<FieldError>> {
    let mut faults = Vec::new();
    let rates = all.iter().map(|samples| {
        let found = rate(&samples.times).unwrap_or_default();
        // Times are often rounded; a rate that is said and fits is the better one.
        let said = samples
            .header
            .fps
            .filter(|said| (said / found - 1.0).abs() < 0.02);
        let fps = said.unwrap_or(found);
        if !(limits.least_fps..=limits.most_fps * 1.001).contains(&fps) {
            faults.push(FieldError::new(
                format!("{}.data", samples.field),
                format!("{} frames, {fps:.1} a second", samples.times.len()),
                format!(
                    "{} to {} frames a second",
                    limits.least_fps, limits.most_fps
                ),
            ));
        }
        fps
    });
    let rates = rates.collect();
    if faults.is_empty() {
        Ok(rates)
    } else {
        Err(faults)
    }
}

/// From where the camera looked: as the traces say, else as the report does.
fn camera(view: Option<View>, all: &[Samples], notes: &mut Vec<String>) -> Camera {
    let reported = view.map(|view| match view {
        View::Side => Camera::Side,
        View::Front | View::Rear => Camera::FrontOrRear,
        View::ThreeQuarter => Camera::Oblique,
    });
    let traced = all.iter().find_map(|samples| samples.header.camera);
    if let (Some(traced), Some(reported)) = (traced, reported)
        && traced != reported
    {
        notes
            .push("the trace names another view than the report: the trace's was taken".to_owned());
    }
    traced.or(reported).unwrap_or(Camera::Unknown)
}

/// Which way is forward. From the side it must be known; else only heights and times are.
fn facing(lift: Lift, camera: &mut Camera, all: &[Samples], notes: &mut Vec<String>) -> Facing {
    let said = all.iter().find_map(|samples| samples.header.facing);
    let body = all.iter().find(|samples| !samples.is_bar);
    let shown = || facing_shown(lift, body?);
    // A tracker that gives metres has axes of its own: its x is forward unless it says otherwise.
    let metres = || {
        let bar = all.iter().find(|samples| samples.is_bar)?;
        (bar.header.pixels == Some(false)).then_some(Facing::Right)
    };
    match *camera {
        Camera::FrontOrRear | Camera::Oblique | Camera::Unknown => Facing::Right,
        Camera::Side => {
            let known = said.or_else(shown);
            let known = known.or_else(|| if body.is_none() { metres() } else { None });
            known.unwrap_or_else(|| {
                *camera = Camera::Unknown;
                notes.push(
                    "which way the lifter faces does not show and is not said: heights and times \
                     only"
                        .to_owned(),
                );
                Facing::Right
            })
        }
    }
}

fn facing_shown(lift: Lift, body: &Samples) -> Option<Facing> {
    scale::facing_of(&body.series, lift)
}

/// Puts every trace to metres. True when bar and body have their origin in common.
fn in_metres(
    all: &mut [Samples],
    lift: Lift,
    camera: Camera,
    facing: Facing,
    stature_m: Option<f64>,
    limits: &TraceLimits,
    notes: &mut Vec<String>,
) -> Result<bool, Vec<FieldError>> {
    let headers: Vec<_> = all.iter().map(|samples| samples.header).collect();
    let middle = scale::middle(&headers.iter().collect::<Vec<_>>());
    let shared = middle.is_some() && headers.iter().all(|one| one.pixels == Some(true));
    for samples in all {
        let pixels = samples.header.pixels == Some(true);
        let metres = if samples.is_bar {
            scale::bar_scale(samples, limits)?
        } else {
            let unit = body_unit(samples, lift, camera, stature_m, limits)?;
            let swapped = clean::swap_back(&mut samples.series, unit, limits);
            if swapped > 0 {
                notes.push(format!(
                    "left and right were swapped back in {swapped} frames"
                ));
            }
            if stature_m.is_none() && samples.scale.is_none() {
                notes.push(format!(
                    "the lifter's height is not known: lengths are for somebody {} m tall",
                    limits.usual_stature_m
                ));
            }
            // Once more: limbs are longer where nothing is swapped.
            body_unit(samples, lift, camera, stature_m, limits)?
        };
        // A tracker in metres says forward itself unless it says which way is.
        let own = samples.header.facing;
        let facing = if pixels {
            facing
        } else {
            own.unwrap_or(Facing::Right)
        };
        scale::to_metres(samples, metres, middle.unwrap_or_default(), facing);
        if samples.is_bar {
            window::check_travel(samples, limits)?;
        }
    }
    Ok(shared)
}

/// Metres in one unit of a body's trace: by stature; without it as the report says, and without
/// that as for a usual stature.
fn body_unit(
    samples: &Samples,
    lift: Lift,
    camera: Camera,
    stature_m: Option<f64>,
    limits: &TraceLimits,
) -> Result<f64, Vec<FieldError>> {
    match (stature_m, samples.scale) {
        (None, Some(said)) => Ok(said),
        (stature, _) => {
            let stature = stature.unwrap_or(limits.usual_stature_m);
            scale::body_scale(samples, lift, camera, stature)
        }
    }
}

/// Takes out what is no movement.
fn put_right(all: &mut [Samples], limits: &TraceLimits, notes: &mut Vec<String>) {
    for samples in all {
        let spikes: usize = samples
            .series
            .iter_mut()
            .map(|series| clean::take_out_spikes(series, limits))
            .sum();
        if spikes > 0 {
            notes.push(format!("{spikes} single places that jumped were left out"));
        }
    }
}

/// The lowest cut-off that a trace of the set needs.
fn cutoff(all: &[Samples], rates: &[f64], limits: &TraceLimits) -> f64 {
    let each = all.iter().zip(rates).map(|(samples, rate)| {
        let (slow, fast) = (limits.body_cutoff_slow, limits.body_cutoff_fast);
        if samples.is_bar {
            limits.bar_cutoff
        } else {
            slow + (fast - slow) * ((rate - 30.0) / 30.0).clamp(0.0, 1.0)
        }
    });
    each.fold(f64::INFINITY, f64::min).clamp(
        0.1,
        0.25 * rates.iter().copied().fold(limits.most_fps, f64::min),
    )
}

/// Steady offset of a point, standard deviation in metres.
fn bias(point: Point, limits: &TraceLimits) -> f64 {
    match point {
        Point::Bar | Point::OtherEnd => limits.bar_bias_m,
        Point::Body(joint) => match joint {
            Joint::LeftHip | Joint::RightHip | Joint::LeftKnee | Joint::RightKnee => {
                limits.hip_knee_bias_m
            }
            Joint::LeftAnkle | Joint::RightAnkle => limits.ankle_bias_m,
            _ => limits.upper_bias_m,
        },
    }
}

/// Filters what was placed on the grid, stretch by stretch between gaps. None when no stretch is
/// long enough.
fn path(
    placed: Placed,
    grid: &Grid,
    cutoff: f64,
    gains: &NoiseGains,
    point: Point,
    limits: &TraceLimits,
) -> Option<Path> {
    let Placed { x, y, mut trust } = placed;
    let (mut smooth_x, mut smooth_y) = (x.clone(), y.clone());
    let (mut squares, mut counted) = (0.0, 0.0);
    let mut from = 0;
    while from < trust.len() {
        let known = trust[from] > 0.0;
        let length = trust[from..]
            .iter()
            .take_while(|one| (**one > 0.0) == known)
            .count();
        let stretch = from..from + length;
        from = stretch.end;
        if !known {
            continue;
        }
        let filtered = [&x, &y].map(|axis| low_pass(&axis[stretch.clone()], grid.fps, cutoff));
        let [Some(new_x), Some(new_y)] = filtered else {
            // Too short to filter: as good as missing.
            trust[stretch].fill(0.0);
            continue;
        };
        for (at, (new_x, new_y)) in stretch.clone().zip(new_x.iter().zip(&new_y)) {
            if trust[at] > BRIDGED {
                squares += (x[at] - new_x).powi(2) + (y[at] - new_y).powi(2);
                counted += 2.0;
            }
        }
        smooth_x[stretch.clone()].copy_from_slice(&new_x);
        smooth_y[stretch].copy_from_slice(&new_y);
    }
    if counted == 0.0 {
        return None;
    }
    let least = if matches!(point, Point::Body(_)) {
        limits.body_jitter_least_m
    } else {
        limits.bar_jitter_least_m
    };
    let jitter = (squares / counted).sqrt() / gains.residual.max(0.1);
    Some(Path {
        vx: slopes(&smooth_x, grid.fps),
        vy: slopes(&smooth_y, grid.fps),
        x: smooth_x,
        y: smooth_y,
        trust,
        jitter: jitter.max(least),
        bias: bias(point, limits),
    })
}

/// Middle of the values whose samples are trusted.
pub(super) fn trusted_median(values: &[f64], trust: &[f64]) -> Option<f64> {
    let trusted = values.iter().zip(trust).filter(|(_, trust)| **trust > 0.0);
    median(&mut trusted.map(|(value, _)| *value).collect::<Vec<_>>())
}
