//! Files that come with a message or form: announced and real size, digest, media type.

use super::fields::{Faults, Fields, is_name};
use super::json::Json;
use crate::record::Attachment;
use crate::token::hex;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

/// Most files with one message.
pub(super) const MOST: usize = 4;

/// Largest announced size, bytes.
const LARGEST: u32 = 2_097_152;

/// Largest content sent inline, bytes after decoding.
const LARGEST_INLINE: usize = 262_144;

/// Longest link, characters.
const LONGEST_URL: usize = 2_048;

#[derive(Clone, Copy, PartialEq)]
enum Media {
    Csv,
    Json,
    Png,
    Jpeg,
}

impl Media {
    const ALL: [(&'static str, Self); 4] = [
        ("text/csv", Self::Csv),
        ("application/json", Self::Json),
        ("image/png", Self::Png),
        ("image/jpeg", Self::Jpeg),
    ];

    fn name(self) -> &'static str {
        match self {
            Self::Csv => "text/csv",
            Self::Json => "application/json",
            Self::Png => "image/png",
            Self::Jpeg => "image/jpeg",
        }
    }

    /// Whether content looks like what it is said to be: the signatures of the PNG (ISO 15948)
    /// and JPEG (ITU T.81) formats; text must be UTF-8 without NUL.
    fn fits(self, content: &[u8]) -> bool {
        match self {
            Self::Png => content.starts_with(b"\x89PNG\r\n\x1a\n"),
            Self::Jpeg => content.starts_with(b"\xff\xd8\xff"),
            Self::Csv | Self::Json => {
                std::str::from_utf8(content).is_ok_and(|text| !text.contains('\0'))
            }
        }
    }
}

/// All files of a message.
pub(super) fn read_all(fields: &mut Fields, faults: &mut Faults) -> Vec<Attachment> {
    let path = fields.name("attachments");
    fields
        .list("attachments", MOST, faults)
        .into_iter()
        .enumerate()
        .filter_map(|(index, item)| read(item, format!("{path}[{index}]"), faults))
        .collect()
}

fn read(item: Json, path: String, faults: &mut Faults) -> Option<Attachment> {
    let mut fields = Fields::new(Some(item), path, faults)?;
    let attachment_id = fields.id("attachment_id", faults);
    let accepted = "1 to 120 characters without control or direction characters";
    let name = fields.text("name", accepted, faults, |t| is_name(t, 120));
    let media = fields.word("media_type", &Media::ALL, faults);
    let size = fields.whole("size", 0..=LARGEST, faults);
    let sha256 = fields
        .text("sha256", "64 hexadecimal digits", faults, |t| {
            t.len() == 64 && t.bytes().all(|b| b.is_ascii_hexdigit())
        })
        .map(|digest| digest.to_ascii_lowercase());
    let accepted = "an https link of at most 2048 characters, without user name";
    let url = fields.optional_text("url", accepted, faults, is_link);
    let data = fields.take("data_base64");
    let has_content = data.is_some();
    if has_content == url.is_some() && faults.is_empty() {
        let found = if has_content { "both" } else { "neither" };
        faults.note(
            fields.name("data_base64"),
            found,
            "either `data_base64` or `url`",
        );
    }
    let (media, size, sha256) = (media?, size?, sha256?);
    let data_base64 = match data {
        None => None,
        Some(value) => {
            let encoded = inline(&value, &fields, faults)?;
            check(&encoded.1, (media, size, &sha256), &fields, faults);
            Some(encoded.0)
        }
    };
    fields.finish(faults);
    Some(Attachment {
        attachment_id: attachment_id?,
        name: name?,
        media_type: media.name().to_owned(),
        size: u64::from(size),
        sha256,
        data_base64,
        url,
    })
}

/// Content sent inline: as sent, and decoded.
fn inline(value: &Json, fields: &Fields, faults: &mut Faults) -> Option<(String, Vec<u8>)> {
    if let Json::Text(text) = value
        && text.len() <= LARGEST_INLINE.div_ceil(3) * 4
        && let Ok(content) = STANDARD.decode(text)
        && content.len() <= LARGEST_INLINE
    {
        return Some((text.clone(), content));
    }
    let found = match value {
        Json::Text(text) => format!("text of {} characters", text.chars().count()),
        other => other.describe(),
    };
    let accepted = format!("base64 with padding, at most {LARGEST_INLINE} bytes decoded");
    faults.note(fields.name("data_base64"), found, accepted);
    None
}

/// Whether content is what was announced.
fn check(
    content: &[u8],
    (media, size, sha256): (Media, u32, &str),
    fields: &Fields,
    faults: &mut Faults,
) {
    if u32::try_from(content.len()) != Ok(size) {
        let accepted = format!("the size of the content, {} bytes", content.len());
        faults.note(fields.name("size"), size.to_string(), accepted);
    }
    if hex(&Sha256::digest(content)) != sha256 {
        let accepted = "the SHA-256 of the content";
        faults.note(fields.name("sha256"), "another digest", accepted);
    }
    if !media.fits(content) {
        let accepted = "the media type of the content";
        faults.note(fields.name("media_type"), media.name(), accepted);
    }
}

/// A link that may be shown to the coach. It is never fetched.
fn is_link(text: &str) -> bool {
    let Some(rest) = text.strip_prefix("https://") else {
        return false;
    };
    let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
    text.len() <= LONGEST_URL
        && !host.is_empty()
        && !host.contains('@')
        && text
            .bytes()
            .all(|b| b.is_ascii_graphic() && !b"\"<>\\^`{|}".contains(&b))
}
