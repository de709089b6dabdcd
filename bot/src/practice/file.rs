//! A file sent along with a message: a picture or a trace, as the contract takes them.

use super::form::Fields;
use super::problem::Problem;
use crate::record::hex;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

/// Kinds of files that the service takes.
pub(super) const KINDS: [&str; 4] = ["image/png", "image/jpeg", "text/csv", "application/json"];
/// Largest file sent inline, bytes.
const LARGEST: usize = 262_144;

/// A table as an attachment of the contract, under this id.
pub fn table_attachment(id: &str, name: &str, text: &str) -> Value {
    let file = SentFile {
        name: name.to_owned(),
        kind: "text/csv",
        bytes: text.as_bytes().to_vec(),
    };
    file.attachment(id)
}

/// One file.
#[derive(Debug)]
pub(super) struct SentFile {
    /// Its name on the sender's machine.
    pub(super) name: String,
    kind: &'static str,
    bytes: Vec<u8>,
}

impl SentFile {
    /// The file as an attachment of the contract, under this id.
    pub(super) fn attachment(&self, id: &str) -> Value {
        json!({
            "attachment_id": id, "name": self.name, "media_type": self.kind,
            "size": self.bytes.len(), "sha256": hex(&Sha256::digest(&self.bytes)),
            "data_base64": STANDARD.encode(&self.bytes),
        })
    }
}

impl Fields {
    /// The file sent along, if there is one. Whether it is what it says it is, the service finds out.
    pub(super) fn file(&self) -> Result<Option<SentFile>, Problem> {
        let Some(data) = self.get("file_data") else {
            return Ok(None);
        };
        let name: String = self.need("file_name")?.chars().take(120).collect();
        let said = self.need("file_type")?;
        let kind = KINDS
            .into_iter()
            .find(|kind| *kind == said)
            .ok_or_else(|| {
                let kinds = KINDS.join(", ");
                Problem::bad(format!("file_type is {said:?}; accepted are: {kinds}."))
            })?;
        let bytes = STANDARD
            .decode(data)
            .map_err(|_| Problem::bad("file_data is not base64."))?;
        if bytes.len() > LARGEST {
            let found = bytes.len();
            let why = format!("The file has {found} bytes; at most {LARGEST} are accepted.");
            return Err(Problem::bad(why));
        }
        Ok(Some(SentFile { name, kind, bytes }))
    }
}
