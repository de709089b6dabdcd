//! Files as they come with a message.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use cueline_bot::record::hex;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

/// A whole PNG of one pixel, base64.
pub const PIXEL: &str = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==";

/// The bytes of [`PIXEL`].
pub fn pixel() -> Vec<u8> {
    STANDARD.decode(PIXEL).unwrap_or_default()
}

/// A file sent inline, as an item of `attachments`.
pub fn inline(name: &str, media_type: &str, content: &[u8]) -> Value {
    let digest = hex(&Sha256::digest(content));
    json!({ "attachment_id": "a1", "name": name, "media_type": media_type,
        "size": content.len(), "sha256": digest, "data_base64": STANDARD.encode(content) })
}
