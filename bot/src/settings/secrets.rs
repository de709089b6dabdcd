//! Opening the secrets that the settings name.

use super::{OpenPlatform, Platform, SecretPlace};
use crate::platform::BearerToken;
use crate::signing::Secret;

impl SecretPlace {
    /// Opens the secret. A file that others can read, and an empty secret, are refused.
    pub fn open(&self) -> Result<String, String> {
        let text = match self {
            Self::Env(name) => std::env::var(name)
                .map_err(|_| format!("the environment variable {name} is not set"))?,
            Self::File(path) => {
                refuse_shared(path)?;
                std::fs::read_to_string(path)
                    .map_err(|error| format!("cannot read {}: {error}", path.display()))?
            }
        };
        let text = text.trim().to_owned();
        if text.is_empty() {
            return Err(format!("{self:?} is empty"));
        }
        Ok(text)
    }
}

/// Refuses a secret that others on the machine can read.
fn refuse_shared(path: &std::path::Path) -> Result<(), String> {
    use std::os::unix::fs::PermissionsExt;
    let mode = std::fs::metadata(path)
        .map_err(|error| format!("cannot read {}: {error}", path.display()))?
        .permissions()
        .mode();
    if mode & 0o077 != 0 {
        return Err(format!(
            "{} can be read by others (mode {:o}); accepted is 600 or 400",
            path.display(),
            mode & 0o777
        ));
    }
    Ok(())
}

impl Platform {
    /// The platform with its secrets opened.
    pub fn open(&self) -> Result<OpenPlatform, String> {
        let token = BearerToken::parse(&self.token.open()?)
            .map_err(|error| format!("the token of {}: {error}", self.source))?;
        let secrets = self
            .secrets
            .iter()
            .map(|place| {
                let text = place.open()?;
                Secret::parse(&text)
                    .map_err(|error| format!("a secret of {}: {error}", self.source))
            })
            .collect::<Result<_, String>>()?;
        Ok(OpenPlatform {
            source: self.source.clone(),
            base_url: self.base_url.clone(),
            token,
            secrets,
        })
    }
}
