//! From the text of a trace to samples: bar tracks and points of the body, still in their own unit.
//!
//! Accepted are, by kind and format (README has examples of each):
//!
//! - `bar-track`, `csv`: a table whose columns are named in its head, `,` or `;` between them, a
//!   point for decimals. One of `t` (seconds) and `frame` (with `fps`); `x` and `y` in metres or
//!   `x_px` and `y_px` in pixels; `x2` and `y2` (or `x2_px`, `y2_px`) for the other end. A place
//!   left empty is missing. Lines before the head say more, as `# key=value` or `key,value`.
//! - `bar-track`, `json`: the same keys, and `frames` with `t`, `x`, `y`, `x2`, `y2` each.
//! - `keypoints`, `json`: the same keys, and `frames` with `t` and `keypoints` (51 numbers: x, y and
//!   confidence of the 17 points of COCO) or `people`, a list of such; or `results`, a list of COCO
//!   results, with `fps`.
//!
//! Keys: `fps`, `unit` (`m` or `px`), `px_per_m`, `plate_px` (diameter of a full-size plate),
//! `y_down` (true for pixels, false for metres when not said), `view` (`side_right`: from the
//! lifter's right, `side_left`, `side`, `front`, `rear`, `oblique`, `unknown`), `facing` (`right` or
//! `left` in the image: where toes point, for the bench press the feet), `width`, `height`.

mod bar;
mod header;
mod keypoints;
mod people;
mod table;

pub(super) use header::{Facing, Header};

use super::{Joint, TraceLimits};
use crate::report::{FieldError, Trace};

/// Most bytes of a JSON trace.
const MOST_JSON: usize = 16 << 20;

/// Most bytes of a CSV trace.
const MOST_CSV: usize = 4 << 20;

/// Most frames: three minutes at 240 a second.
const MOST_FRAMES: usize = 43_200;

/// Largest figure of a place, either way: far beyond any image or room.
const FARTHEST: f64 = 1e6;

/// Most faults that are named of one trace.
const MOST_FAULTS: usize = 5;

/// Characters of a text quoted in an error.
const MOST_QUOTED: usize = 80;

/// What a series of places is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Point {
    /// The end of the bar.
    Bar,
    /// Its other end.
    OtherEnd,
    /// A point of the body.
    Body(Joint),
}

/// One point through all frames, in the unit of the trace.
#[derive(Clone, Debug)]
pub(super) struct Series {
    pub(super) point: Point,
    pub(super) x: Vec<f64>,
    pub(super) y: Vec<f64>,
    /// Confidence, 0 to 1; 0 is missing.
    pub(super) trust: Vec<f64>,
}

/// One trace as read.
#[derive(Clone, Debug)]
pub(super) struct Samples {
    /// `traces[0]` and so on.
    pub(super) field: String,
    /// The bar, not the body.
    pub(super) is_bar: bool,
    pub(super) header: Header,
    /// Metres in one unit, as the report says.
    pub(super) scale: Option<f64>,
    /// Seconds of each frame, going up.
    pub(super) times: Vec<f64>,
    pub(super) series: Vec<Series>,
    pub(super) notes: Vec<String>,
}

/// The faults of one trace, up to a bound.
pub(super) struct Faults {
    field: String,
    found: Vec<FieldError>,
}

impl Faults {
    fn of(field: &str) -> Self {
        Self {
            field: format!("{field}.data"),
            found: Vec::new(),
        }
    }

    fn add(&mut self, found: impl Into<String>, accepted: impl Into<String>) {
        if !self.full() {
            self.found
                .push(FieldError::new(&self.field, found, accepted));
        }
    }

    fn full(&self) -> bool {
        self.found.len() >= MOST_FAULTS
    }

    /// One fault, and the end of it.
    fn only(mut self, found: impl Into<String>, accepted: impl Into<String>) -> Vec<FieldError> {
        self.found.clear();
        self.add(found, accepted);
        self.found
    }

    fn end<T>(self, value: T) -> Result<T, Vec<FieldError>> {
        if self.found.is_empty() {
            Ok(value)
        } else {
            Err(self.found)
        }
    }
}

/// Someone's text cut short, control characters left out.
fn quoted(text: &str) -> String {
    let mut clean = text.trim().chars().filter(|c| !c.is_control());
    let start: String = clean.by_ref().take(MOST_QUOTED).collect();
    let more = if clean.next().is_some() { "…" } else { "" };
    format!("\"{start}{more}\"")
}

/// Reads every trace of a report.
pub(super) fn read_all(
    traces: &[Trace],
    limits: &TraceLimits,
) -> Result<Vec<Samples>, Vec<FieldError>> {
    let (mut read, mut faults) = (Vec::new(), Vec::new());
    for (at, trace) in traces.iter().enumerate() {
        match one(&format!("traces[{at}]"), trace, limits) {
            Ok(samples) => read.push(samples),
            Err(found) => faults.extend(found),
        }
    }
    for (bar, name) in [(true, "bar tracks"), (false, "traces of keypoints")] {
        let count = read.iter().filter(|samples| samples.is_bar == bar).count();
        if count > 1 {
            faults.push(FieldError::new(
                "traces",
                format!("{count} {name}"),
                "one bar track and one trace of keypoints of the same set, from the same camera",
            ));
        }
    }
    if faults.is_empty() {
        Ok(read)
    } else {
        Err(faults)
    }
}

fn one(field: &str, trace: &Trace, limits: &TraceLimits) -> Result<Samples, Vec<FieldError>> {
    let single = |part: &str, found: String, accepted: &str| {
        Err(vec![FieldError::new(
            format!("{field}.{part}"),
            found,
            accepted,
        )])
    };
    if let Some(scale) = trace.scale
        && !(scale.is_finite() && scale > 0.0)
    {
        return single("scale", format!("{scale}"), "metres in one unit, above 0");
    }
    let most = if trace.format == "csv" {
        MOST_CSV
    } else {
        MOST_JSON
    };
    if trace.data.len() > most {
        let found = format!("{} bytes", trace.data.len());
        return single("data", found, &format!("at most {most} bytes"));
    }
    let mut samples = match (trace.kind.as_str(), trace.format.as_str()) {
        ("bar-track", "csv") => table::read(field, &trace.data)?,
        ("bar-track", "json") => bar::read(field, &trace.data)?,
        ("keypoints", "json") => keypoints::read(field, &trace.data, limits)?,
        ("keypoints", "csv") => return single("format", quoted("csv"), "json for keypoints"),
        ("bar-track", other) => return single("format", quoted(other), "csv or json"),
        ("keypoints", other) => return single("format", quoted(other), "json"),
        (other, _) => return single("kind", quoted(other), "bar-track or keypoints"),
    };
    samples.scale = trace.scale;
    let mut faults = Faults::of(field);
    if samples.header.fps.is_some_and(|fps| fps < limits.least_fps) {
        let fps = samples.header.fps.unwrap_or_default();
        let accepted = format!("{} frames a second or more", limits.least_fps);
        faults.add(format!("fps {fps}"), accepted);
    }
    faults.end(samples)
}

/// One row of a bar track: when, and the places of its ends where they were found.
#[derive(Clone, Copy, Debug)]
struct Row {
    /// For errors: `line 7`, `frame 3`.
    number: usize,
    t: Option<f64>,
    frame: Option<f64>,
    ends: [[Option<f64>; 2]; 2],
}

/// Rows to samples; `word` is what a row is called.
fn from_rows(
    field: &str,
    header: Header,
    rows: &[Row],
    word: &str,
) -> Result<Samples, Vec<FieldError>> {
    let mut faults = Faults::of(field);
    let fps = header.fps;
    let mut times = Vec::with_capacity(rows.len());
    for row in rows {
        let time = row.t.or_else(|| Some(row.frame? / fps?));
        match time {
            None => faults.add(
                format!("{word} {}: no time", row.number),
                "t in seconds, or frame together with fps",
            ),
            Some(time) => push_time(&mut faults, &mut times, time, word, row.number),
        }
        let places = row.ends.iter().flatten().flatten();
        if let Some(far) = places.into_iter().find(|place| place.abs() > FARTHEST) {
            faults.add(
                format!("{word} {}: {far}", row.number),
                format!("places from -{FARTHEST} to {FARTHEST}"),
            );
        }
        if faults.full() {
            break;
        }
    }
    let mut series = Vec::new();
    for (end, point) in [Point::Bar, Point::OtherEnd].into_iter().enumerate() {
        let place = |row: &Row| match row.ends[end] {
            [Some(x), Some(y)] => [x, y, 1.0],
            _ => [0.0; 3],
        };
        if end == 0 || rows.iter().any(|row| place(row)[2] > 0.0) {
            series.push(Series {
                point,
                x: rows.iter().map(|row| place(row)[0]).collect(),
                y: rows.iter().map(|row| place(row)[1]).collect(),
                trust: rows.iter().map(|row| place(row)[2]).collect(),
            });
        }
    }
    faults.end(Samples {
        field: field.to_owned(),
        is_bar: true,
        header,
        scale: None,
        times,
        series,
        notes: Vec::new(),
    })
}

/// Adds a time that must be later than the one before.
fn push_time(faults: &mut Faults, times: &mut Vec<f64>, time: f64, word: &str, number: usize) {
    if !time.is_finite() || time.abs() > 1e12 {
        faults.add(format!("{word} {number}: time {time}"), "a time in seconds");
    } else if let Some(before) = times.last().filter(|before| time <= **before) {
        faults.add(
            format!("{word} {number}: {time} s after {before} s"),
            "times that go up from frame to frame",
        );
    } else {
        times.push(time);
    }
}
