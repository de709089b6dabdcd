//! What the operator does about data kept: a lifter's copy, backups, who was forgotten.

use super::Failure;
use super::serve::runtime;
use crate::brain;
use crate::clock::{Clock as _, SystemClock};
use crate::record::PersonKey;
use crate::store::{
    BackupError, OpenOptions, Store, StoreError, SuppressionList, about_path, backup, open, restore,
};
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

impl From<BackupError> for Failure {
    fn from(error: BackupError) -> Self {
        match error {
            BackupError::Refused(why) => Self::input(why),
            BackupError::Failed(why) => Self::Other(why),
            BackupError::Store(error) => error.into(),
        }
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        Self::Other(error.to_string())
    }
}

/// The address of the database that the settings name.
fn url(config: Option<&Path>) -> Result<String, Failure> {
    Ok(brain::load(config)?.0.store.url)
}

/// The database, which has to be there.
async fn there(url: &str) -> Result<Arc<dyn Store>, Failure> {
    if let Some(path) = url.strip_prefix("sqlite:") {
        let path = path.trim_start_matches("//").split('?').next();
        if !path.is_some_and(|path| Path::new(path).exists()) {
            return Err(Failure::input(format!("there is no database at {url}")));
        }
    }
    Ok(open(url, &OpenOptions::default()).await?)
}

/// `cueline export`: everything kept of one lifter, as JSON.
pub(super) fn export(config: Option<&Path>, source: &str, person: &str) -> Result<(), Failure> {
    let url = url(config)?;
    let person = PersonKey {
        source: source.to_owned(),
        person_id: person.to_owned(),
    };
    let document = runtime()?.block_on(async {
        let store = there(&url).await?;
        let dossier = store.privacy().dossier(&person, u32::MAX - 1).await;
        store.close().await;
        let dossier = dossier?;
        if dossier.is_empty() {
            return Err(Failure::input(format!(
                "nothing is kept of {} on {}",
                person.person_id, person.source
            )));
        }
        Ok(dossier.document(&person, SystemClock.now()))
    })?;
    let text = serde_json::to_string_pretty(&document)
        .map_err(|error| Failure::Other(error.to_string()))?;
    writeln!(std::io::stdout(), "{text}")?;
    Ok(())
}

/// `cueline backup`.
pub(super) fn back_up(config: Option<&Path>, copy: &Path) -> Result<(), Failure> {
    let url = url(config)?;
    let about = runtime()?.block_on(backup(&url, copy, SystemClock.now()))?;
    writeln!(
        std::io::stdout(),
        "{} is whole: {} bytes, SHA-256 {}. Keep {} with it.",
        copy.display(),
        about.bytes,
        about.sha256,
        about_path(copy).display()
    )?;
    Ok(())
}

/// `cueline restore`.
pub(super) fn put_back(
    config: Option<&Path>,
    copy: &Path,
    list: Option<&Path>,
) -> Result<(), Failure> {
    let url = url(config)?;
    let list = list.map(read_list).transpose()?;
    let restored = runtime()?.block_on(restore(copy, &url, list.as_ref()))?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "{} is restored to {url}.", copy.display())?;
    if !restored.compared {
        let beside = about_path(copy);
        writeln!(
            out,
            "There was no {}: the copy is whole, but not proven to be the one that was made.",
            beside.display()
        )?;
    }
    match list {
        Some(_) => writeln!(
            out,
            "Forgotten again: {} lifters of the list.",
            restored.forgotten
        )?,
        None => writeln!(
            out,
            "No list was given: lifters who were forgotten after the copy was made are back. \
             `cueline suppressed --apply LIST` with the newest list forgets them again."
        )?,
    }
    Ok(())
}

/// `cueline suppressed`: the list of who was forgotten, or a list taken over.
pub(super) fn suppressed(config: Option<&Path>, apply: Option<&Path>) -> Result<(), Failure> {
    let url = url(config)?;
    let list = apply.map(read_list).transpose()?;
    let said = runtime()?.block_on(async {
        let store = there(&url).await?;
        let said = match &list {
            Some(list) => store
                .privacy()
                .suppress(list)
                .await
                .map(|count| format!("Forgotten again: {count} lifters of the list.")),
            None => store
                .privacy()
                .suppressed()
                .await
                .map(|list| serde_json::to_string_pretty(&list).unwrap_or_default()),
        };
        store.close().await;
        Ok::<_, Failure>(said?)
    })?;
    writeln!(std::io::stdout(), "{said}")?;
    Ok(())
}

/// A list as `suppressed` prints it, or what stands beside a backup.
fn read_list(path: &Path) -> Result<SuppressionList, Failure> {
    let fault = |error: &dyn std::fmt::Display| {
        Failure::input(format!(
            "{}: {error}; accepted is what `cueline suppressed` prints, or what stands beside a backup",
            path.display()
        ))
    };
    let text = std::fs::read_to_string(path).map_err(|error| fault(&error))?;
    let value: serde_json::Value = serde_json::from_str(&text).map_err(|error| fault(&error))?;
    let list = value.get("forgotten").cloned().unwrap_or(value);
    serde_json::from_value(list).map_err(|error| fault(&error))
}
