//! What messages show is made into pictures before they are written: every try of a message then
//! carries the same bytes.

use crate::raster::{RasterFault, png};
use crate::record::{Drawing, Effects, Picture};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

/// Largest picture a platform takes, bytes in base64.
const MOST_BYTES: usize = 524_288;

/// Longest words for a picture, in code points.
const MOST_ALT: usize = 300;

/// Puts the pictures into the messages that show something. What cannot be drawn is left out: the
/// words of a message say all of it.
pub(super) async fn pictures(mut effects: Effects) -> Effects {
    let drawings = std::mem::take(&mut effects.drawings);
    for (key, drawing) in drawings {
        let Some(at) = effects.outbox.iter().position(|message| message.key == key) else {
            continue;
        };
        let made = tokio::task::spawn_blocking(move || picture(&drawing)).await;
        match made {
            Ok(Ok(picture)) => {
                if let Some(message) = effects.outbox.get_mut(at) {
                    message.picture = picture;
                }
            }
            Ok(Err(error)) => tracing::warn!(%error, key, "a message goes without its picture"),
            Err(error) => tracing::warn!(%error, key, "a message goes without its picture"),
        }
    }
    effects
}

/// The picture of a drawing; none when it is larger than a platform takes.
fn picture(drawing: &Drawing) -> Result<Option<Picture>, RasterFault> {
    let data_base64 = STANDARD.encode(png(&drawing.svg)?);
    if data_base64.len() > MOST_BYTES || drawing.alt.trim().is_empty() {
        return Ok(None);
    }
    Ok(Some(Picture {
        media_type: "image/png".to_owned(),
        data_base64,
        alt: drawing.alt.chars().take(MOST_ALT).collect(),
    }))
}
