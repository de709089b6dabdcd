//! A bar track as JSON.

use super::header::document;
use super::{Faults, MOST_FRAMES, Row, Samples, from_rows, quoted};
use crate::report::FieldError;
use serde::Deserialize;

document! {
    /// The whole track.
    Track { frames: Vec<Moment> }
}

/// One frame; what was not found is left out or null.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Moment {
    #[serde(default)]
    t: Option<f64>,
    #[serde(default)]
    frame: Option<f64>,
    #[serde(default)]
    x: Option<f64>,
    #[serde(default)]
    y: Option<f64>,
    #[serde(default)]
    x2: Option<f64>,
    #[serde(default)]
    y2: Option<f64>,
}

/// Reads a track. A frame without `t` and `frame` is the one after the frame before.
pub(super) fn read(field: &str, text: &str) -> Result<Samples, Vec<FieldError>> {
    let mut faults = Faults::of(field);
    let track: Track = serde_json::from_str(text).map_err(|error| {
        Faults::of(field).only(
            quoted(&error.to_string()),
            "JSON with frames, each with t, x and y",
        )
    })?;
    let mut header = track.header(&mut faults);
    let marked = header.px_per_m.is_some() || header.plate_px.is_some();
    header.pixels = header.pixels.or(Some(marked));
    let frames = track.frames.unwrap_or_default();
    if frames.len() > MOST_FRAMES {
        let found = format!("{} frames", frames.len());
        return Err(faults.only(found, format!("at most {MOST_FRAMES} frames")));
    }
    faults.end(())?;
    let rows: Vec<Row> = frames
        .iter()
        .enumerate()
        .map(|(number, frame)| Row {
            number,
            t: frame.t,
            frame: frame.frame.or(Some(number as f64)),
            ends: [[frame.x, frame.y], [frame.x2, frame.y2]],
        })
        .collect();
    from_rows(field, header, &rows, "frame")
}
