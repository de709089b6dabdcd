//! What a trace says of itself.

use super::{Faults, quoted};
use crate::motion::Camera;

/// Which way in the image is forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::motion) enum Facing {
    Right,
    Left,
}

/// What a trace says of itself, beside its samples.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(in crate::motion) struct Header {
    pub(in crate::motion) fps: Option<f64>,
    /// Pixels, not metres.
    pub(in crate::motion) pixels: Option<bool>,
    pub(in crate::motion) px_per_m: Option<f64>,
    pub(in crate::motion) plate_px: Option<f64>,
    pub(in crate::motion) y_down: Option<bool>,
    pub(in crate::motion) camera: Option<Camera>,
    pub(in crate::motion) facing: Option<Facing>,
    pub(in crate::motion) width: Option<f64>,
    pub(in crate::motion) height: Option<f64>,
}

/// The keys a trace may say something by.
pub(super) const KEYS: &str =
    "fps, unit, px_per_m, plate_px, y_down, view, facing, width or height";

impl Header {
    /// Takes one key with its value as text; `place` says where it stands. False when the key is
    /// none of ours.
    pub(super) fn take(
        &mut self,
        faults: &mut Faults,
        place: &str,
        key: &str,
        value: &str,
    ) -> bool {
        let value = value.trim().trim_matches('"');
        let key = key.trim().to_ascii_lowercase();
        let number = value.parse().unwrap_or(f64::NAN);
        let mut broken = |accepted: &str| {
            faults.add(format!("{place}{key} {}", quoted(value)), accepted);
        };
        match key.as_str() {
            "fps" if number > 0.0 && number <= 100_000.0 => self.fps = Some(number),
            "fps" => broken("frames a second, above 0"),
            "px_per_m" if (10.0..=20_000.0).contains(&number) => self.px_per_m = Some(number),
            "px_per_m" => broken("10 to 20000 pixels a metre"),
            "plate_px" if (10.0..=10_000.0).contains(&number) => self.plate_px = Some(number),
            "plate_px" => broken("the diameter of a plate, 10 to 10000 pixels"),
            "width" if (16.0..=16_384.0).contains(&number) => self.width = Some(number),
            "height" if (16.0..=16_384.0).contains(&number) => self.height = Some(number),
            "width" | "height" => broken("16 to 16384 pixels"),
            "unit" => match value {
                "m" => self.pixels = Some(false),
                "px" => self.pixels = Some(true),
                _ => broken("m or px"),
            },
            "y_down" => match value.to_ascii_lowercase().as_str() {
                "true" | "yes" | "1" => self.y_down = Some(true),
                "false" | "no" | "0" => self.y_down = Some(false),
                _ => broken("true or false"),
            },
            "facing" => match value.to_ascii_lowercase().as_str() {
                "right" => self.facing = Some(Facing::Right),
                "left" => self.facing = Some(Facing::Left),
                _ => broken("right or left"),
            },
            "view" => {
                if !self.take_view(&value.to_ascii_lowercase()) {
                    broken("side, side_right, side_left, front, rear, oblique or unknown");
                }
            }
            _ => return false,
        }
        true
    }

    fn take_view(&mut self, word: &str) -> bool {
        // Who looks from the lifter's right sees them face to the right.
        let (camera, facing) = match word {
            "side_right" => (Camera::Side, Some(Facing::Right)),
            "side_left" => (Camera::Side, Some(Facing::Left)),
            "side" => (Camera::Side, None),
            "front" | "rear" => (Camera::FrontOrRear, None),
            "oblique" => (Camera::Oblique, None),
            "unknown" => (Camera::Unknown, None),
            _ => return false,
        };
        self.camera = Some(camera);
        self.facing = self.facing.or(facing);
        true
    }
}

/// Defines a JSON document with all keys of a header beside its own fields.
macro_rules! document {
    ($(#[$note:meta])* $name:ident { $($field:ident: $type:ty),* $(,)? }) => {
        $(#[$note])*
        #[derive(serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        struct $name {
            $(#[serde(default)] $field: Option<$type>,)*
            #[serde(default)]
            fps: Option<f64>,
            #[serde(default)]
            unit: Option<String>,
            #[serde(default)]
            px_per_m: Option<f64>,
            #[serde(default)]
            plate_px: Option<f64>,
            #[serde(default)]
            y_down: Option<bool>,
            #[serde(default)]
            view: Option<String>,
            #[serde(default)]
            facing: Option<String>,
            #[serde(default)]
            width: Option<f64>,
            #[serde(default)]
            height: Option<f64>,
        }

        impl $name {
            /// What the document says of itself.
            fn header(&self, faults: &mut super::Faults) -> super::Header {
                let mut header = super::Header::default();
                let texts = [("unit", &self.unit), ("view", &self.view), ("facing", &self.facing)];
                let texts = texts.map(|(key, text)| (key, text.clone()));
                let figures = [
                    ("fps", self.fps),
                    ("px_per_m", self.px_per_m),
                    ("plate_px", self.plate_px),
                    ("width", self.width),
                    ("height", self.height),
                ];
                let figures = figures.map(|(key, figure)| (key, figure.map(|f| f.to_string())));
                let flag = [("y_down", self.y_down.map(|down| down.to_string()))];
                for (key, value) in texts.into_iter().chain(figures).chain(flag) {
                    if let Some(value) = value {
                        header.take(faults, "", key, &value);
                    }
                }
                header
            }
        }
    };
}

pub(super) use document;
