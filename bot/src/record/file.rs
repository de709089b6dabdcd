//! A picture or trace that came with a case's message, and what its first bytes say of it. Nothing
//! here decodes a picture: the size stands in its head.

use super::{Attachment, PersonKey};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Most pixels of a picture that is kept: what a phone's camera makes, and no more than a browser
/// can hold (our own bound, no source).
pub const MOST_PIXELS: u64 = 24_000_000;

/// A file kept with a case.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptFile {
    /// Id, made from the message and the content: the same file of the same message is kept once.
    pub id: String,
    /// The case.
    pub case_id: String,
    /// Whose it is.
    pub person: PersonKey,
    /// The platform's id of the message it came with; taking that back takes the file.
    pub message_id: Option<String>,
    /// When it came in.
    pub at: Timestamp,
    /// Name as sent; shown after escaping, never a path.
    pub name: String,
    /// Media type, one of the allow-list.
    pub media_type: String,
    /// Size in bytes.
    pub size: u64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
    /// Width and height of a picture, pixels.
    pub pixels: Option<(u32, u32)>,
    /// Content, base64; none in lists, and none of a file that is a link.
    pub content: Option<String>,
    /// Link; shown, never fetched.
    pub url: Option<String>,
}

impl KeptFile {
    /// A picture rather than a trace.
    pub fn is_picture(&self) -> bool {
        is_picture(&self.media_type)
    }

    /// The bytes; none when they are not at hand.
    pub fn bytes(&self) -> Option<Vec<u8>> {
        STANDARD.decode(self.content.as_deref()?).ok()
    }
}

/// A picture rather than a trace.
fn is_picture(media_type: &str) -> bool {
    media_type.starts_with("image/")
}

/// Why a file is not kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unkept {
    /// It is not what its media type says, or is cut off.
    Unreadable,
    /// More pixels than a browser should have to hold.
    TooManyPixels,
    /// Cells that a spreadsheet would take for formulas.
    Formulas,
}

impl Attachment {
    /// The bytes; none when it is a link.
    pub fn bytes(&self) -> Option<Vec<u8>> {
        STANDARD.decode(self.data_base64.as_deref()?).ok()
    }

    /// A picture rather than a trace.
    pub fn is_picture(&self) -> bool {
        is_picture(&self.media_type)
    }

    /// Looks whether the file may be kept, at its head only for a picture; its width and height then.
    /// A link is not looked at.
    pub fn looked_at(&self) -> Result<Option<(u32, u32)>, Unkept> {
        let Some(data) = &self.data_base64 else {
            return Ok(None);
        };
        let content = STANDARD.decode(data).map_err(|_| Unkept::Unreadable)?;
        match self.media_type.as_str() {
            "image/png" => sized(png_size(&content)).map(Some),
            "image/jpeg" => sized(jpeg_size(&content)).map(Some),
            "text/csv" => plain_csv(&content).map(|()| None),
            "application/json" => serde_json::from_slice::<serde::de::IgnoredAny>(&content)
                .map(|_| None)
                .map_err(|_| Unkept::Unreadable),
            _ => Err(Unkept::Unreadable),
        }
    }
}

/// A size within the bound.
fn sized(size: Option<(u32, u32)>) -> Result<(u32, u32), Unkept> {
    let (width, height) = size
        .filter(|(width, height)| *width > 0 && *height > 0)
        .ok_or(Unkept::Unreadable)?;
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(Unkept::TooManyPixels);
    }
    Ok((width, height))
}

/// Width and height of a PNG: its first chunk is IHDR of 13 bytes and begins with them (ISO/IEC
/// 15948, 5.6 and 11.2.2).
fn png_size(content: &[u8]) -> Option<(u32, u32)> {
    let head = content.strip_prefix(b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR")?;
    Some((big_endian(head.get(..4)?)?, big_endian(head.get(4..8)?)?))
}

/// Width and height of a JPEG, from its frame header: segments are stepped over until one is a start
/// of frame (ITU-T T.81, B.1.1.3, B.2.2).
fn jpeg_size(content: &[u8]) -> Option<(u32, u32)> {
    let mut rest = content.strip_prefix(b"\xff\xd8")?;
    loop {
        rest = rest.strip_prefix(b"\xff")?;
        let marker = *rest.first()?;
        if marker == 0xff {
            // Fill bytes may stand before a marker.
            continue;
        }
        rest = rest.get(1..)?;
        match marker {
            // Markers without a segment of their own.
            0x01 | 0xd0..=0xd8 => continue,
            // The end, or the picture itself, before any frame header.
            0xd9 | 0xda => return None,
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes([*rest.first()?, *rest.get(1)?]));
        let segment = rest.get(2..length)?;
        // C4, C8 and CC among these are tables and reserved.
        if matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc) {
            let height = u32::from(u16::from_be_bytes([*segment.get(1)?, *segment.get(2)?]));
            let width = u32::from(u16::from_be_bytes([*segment.get(3)?, *segment.get(4)?]));
            return Some((width, height));
        }
        rest = rest.get(length..)?;
    }
}

fn big_endian(bytes: &[u8]) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.try_into().ok()?))
}

/// No cell begins as a formula does in a spreadsheet, numbers with a sign aside (OWASP, "CSV
/// Injection").
fn plain_csv(content: &[u8]) -> Result<(), Unkept> {
    let text = std::str::from_utf8(content).map_err(|_| Unkept::Unreadable)?;
    let cells = text.split([',', ';', '\t', '\n', '\r']);
    for cell in cells {
        let cell = cell.trim().trim_matches('"').trim();
        let formula = cell.starts_with(['=', '@', '+', '-', '|', '%']);
        if formula && cell.parse::<f64>().is_err() {
            return Err(Unkept::Formulas);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn attachment(media_type: &str, content: &[u8]) -> Attachment {
        Attachment {
            attachment_id: "a1".to_owned(),
            name: "file".to_owned(),
            media_type: media_type.to_owned(),
            size: content.len() as u64,
            sha256: String::new(),
            data_base64: Some(STANDARD.encode(content)),
            url: None,
        }
    }

    /// The head of a PNG of this size.
    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        head.extend(width.to_be_bytes());
        head.extend(height.to_be_bytes());
        head.extend(b"\x08\x02\0\0\0");
        head
    }

    #[test]
    fn the_size_of_a_png_stands_in_its_head() {
        let looked = |content: &[u8]| attachment("image/png", content).looked_at();
        assert_eq!(looked(&png(640, 480)), Ok(Some((640, 480))));
        assert_eq!(looked(&png(50_000, 50_000)), Err(Unkept::TooManyPixels));
        assert_eq!(looked(&png(u32::MAX, u32::MAX)), Err(Unkept::TooManyPixels));
        assert_eq!(looked(&png(0, 480)), Err(Unkept::Unreadable));
        assert_eq!(looked(b"\x89PNG\r\n\x1a\nrest"), Err(Unkept::Unreadable));
        assert_eq!(looked(&png(1, 1)[..20]), Err(Unkept::Unreadable));
    }

    /// The frame of the example JPEGs, after ITU-T T.81: SOI, APP0, DQT, SOF of a kind.
    fn jpeg(sof: u8, width: u16, height: u16) -> Vec<u8> {
        let mut head = b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0".to_vec();
        head.extend(b"\xff\xff\xdb\0\x04\0\0\xff");
        head.push(sof);
        head.extend(b"\0\x0b\x08");
        head.extend(height.to_be_bytes());
        head.extend(width.to_be_bytes());
        head.extend(b"\x01\x01\x11\0\xff\xda");
        head
    }

    #[test]
    fn the_size_of_a_jpeg_stands_in_its_frame_header() {
        let looked = |content: &[u8]| attachment("image/jpeg", content).looked_at();
        for sof in [0xc0, 0xc1, 0xc2, 0xc9] {
            assert_eq!(looked(&jpeg(sof, 1200, 900)), Ok(Some((1200, 900))));
        }
        // Tables are no frame, and the picture's data may not come before one.
        assert_eq!(looked(&jpeg(0xc4, 1200, 900)), Err(Unkept::Unreadable));
        assert_eq!(
            looked(&jpeg(0xc0, 65_000, 65_000)),
            Err(Unkept::TooManyPixels)
        );
        assert_eq!(looked(&jpeg(0xc0, 0, 9)), Err(Unkept::Unreadable));
        let whole = jpeg(0xc0, 10, 10);
        for end in 0..whole.len() - 8 {
            assert_eq!(looked(&whole[..end]), Err(Unkept::Unreadable), "{end}");
        }
        // A segment that says it is shorter than its own length.
        assert_eq!(
            looked(b"\xff\xd8\xff\xe0\0\0\xff\xe0\0\0"),
            Err(Unkept::Unreadable)
        );
    }

    #[test]
    fn a_trace_holds_figures_and_no_formulas() {
        let csv = |text: &str| attachment("text/csv", text.as_bytes()).looked_at();
        assert_eq!(csv("t,y\n0,-0.5\n0.1,+2e-3\n"), Ok(None));
        for text in ["t,y\n0,=1+1", "@SUM(A1)", "a;-cmd|x", "\"=1\",2", "+A1"] {
            assert_eq!(csv(text), Err(Unkept::Formulas), "{text}");
        }
        let json = |text: &str| attachment("application/json", text.as_bytes()).looked_at();
        assert_eq!(json("{\"t\": [0, 0.1]}"), Ok(None));
        assert_eq!(json("{"), Err(Unkept::Unreadable));
        assert_eq!(json(&"[".repeat(10_000)), Err(Unkept::Unreadable));
    }

    #[test]
    fn a_link_is_not_looked_at() {
        let mut link = attachment("image/png", b"");
        link.data_base64 = None;
        link.url = Some("https://files.example/x.png".to_owned());
        assert_eq!(link.looked_at(), Ok(None));
        assert!(link.is_picture());
    }
}
