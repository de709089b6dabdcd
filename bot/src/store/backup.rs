//! Copies of the embedded database: made while the service runs, checked, and put back into an
//! empty place. A server's are made with the server's own tools.

use super::{OpenOptions, StoreError, SuppressionList, migrations, open};
use crate::record::hex;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{ConnectOptions as _, Connection as _};
use std::fs::{File, OpenOptions as FileOptions};
use std::io::{Read as _, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::str::FromStr as _;
use std::time::Duration;
use thiserror::Error;

/// What stands beside a copy.
const ABOUT: &str = ".about.json";
/// How long to wait for somebody who writes.
const BUSY: Duration = Duration::from_secs(10);

/// What a copy holds, kept beside it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct About {
    /// SHA-256 of the copy, hexadecimal.
    pub sha256: String,
    /// Its size.
    pub bytes: u64,
    /// Number of the newest migration in it.
    pub migration: i64,
    /// When it was made.
    pub made_at: Timestamp,
    /// Who was forgotten until then.
    pub forgotten: SuppressionList,
}

/// What a restoring did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Restored {
    /// The copy was compared with what stood beside it.
    pub compared: bool,
    /// Lifters on the list who were still in the copy, and were forgotten again.
    pub forgotten: u64,
}

/// Why no copy was made or put back.
#[derive(Debug, Error)]
pub enum BackupError {
    /// It was asked for in a way that cannot be done; nothing was changed.
    #[error("{0}")]
    Refused(String),
    /// It failed; what was begun was taken away again.
    #[error("{0}")]
    Failed(String),
    /// The database.
    #[error(transparent)]
    Store(#[from] StoreError),
}

fn failed(what: &str, path: &Path, error: impl std::fmt::Display) -> BackupError {
    BackupError::Failed(format!("{what} {}: {error}", path.display()))
}

impl From<sqlx::Error> for BackupError {
    fn from(error: sqlx::Error) -> Self {
        Self::Failed(format!("database: {error}"))
    }
}

/// The file of an embedded database; for a server, what to do instead.
fn embedded(
    url: &str,
    instead: impl Fn(&str) -> String,
) -> Result<SqliteConnectOptions, BackupError> {
    if !url.starts_with("sqlite:") {
        return Err(BackupError::Refused(instead(&without_password(url))));
    }
    SqliteConnectOptions::from_str(url)
        .map_err(|error| BackupError::Refused(format!("database URL: {error}")))
}

/// A server's address without what must not be shown.
fn without_password(url: &str) -> String {
    let Some((scheme, rest)) = url.split_once("://") else {
        return String::new();
    };
    match rest.rsplit_once('@') {
        Some((login, place)) => {
            let user = login.split(':').next().unwrap_or_default();
            format!("{scheme}://{user}@{place}")
        }
        None => url.to_owned(),
    }
}

/// The name of what stands beside a copy.
pub fn about_path(copy: &Path) -> PathBuf {
    let mut name = copy.as_os_str().to_owned();
    name.push(ABOUT);
    name.into()
}

/// A new file that only its owner may read; an existing one is never written over.
fn new_file(path: &Path) -> Result<File, BackupError> {
    FileOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::AlreadyExists => BackupError::Refused(format!(
                "{} is there already, and nothing is written over",
                path.display()
            )),
            _ => failed("cannot make", path, error),
        })
}

/// Copies the database to `copy` while the service runs, checks the copy, and writes beside it
/// what it holds.
///
/// # Errors
/// `Refused` for a server, a missing database and a copy that is there already.
pub async fn backup(url: &str, copy: &Path, now: Timestamp) -> Result<About, BackupError> {
    let from = embedded(url, |server| {
        format!(
            "a PostgreSQL database is backed up with its own tools: \
             pg_dump --format=custom --file='{0}' --dbname='{server}' \
             and, for who was forgotten: cueline suppressed > '{0}{ABOUT}'",
            copy.display()
        )
    })?;
    if !from.get_filename().exists() {
        let path = from.get_filename().display().to_string();
        return Err(BackupError::Refused(format!(
            "there is no database at {path}"
        )));
    }
    let about_path = about_path(copy);
    // Both names are taken before anything is written.
    new_file(copy)?;
    let outcome = match new_file(&about_path) {
        Ok(beside) => {
            let outcome = fill(from, copy, beside, now).await;
            if outcome.is_err() {
                let _ = std::fs::remove_file(&about_path);
            }
            outcome
        }
        Err(error) => Err(error),
    };
    if outcome.is_err() {
        let _ = std::fs::remove_file(copy);
    }
    outcome
}

/// Fills the two empty files.
async fn fill(
    from: SqliteConnectOptions,
    copy: &Path,
    mut beside: File,
    now: Timestamp,
) -> Result<About, BackupError> {
    let name = copy
        .to_str()
        .ok_or_else(|| BackupError::Refused("the copy's name must be UTF-8".to_owned()))?;
    let mut source = from.read_only(true).busy_timeout(BUSY).connect().await?;
    sqlx::query("VACUUM INTO $1")
        .bind(name)
        .execute(&mut source)
        .await?;
    source.close().await?;
    let file = File::open(copy).map_err(|error| failed("cannot open", copy, error))?;
    file.sync_all()
        .map_err(|error| failed("cannot sync", copy, error))?;
    let (migration, forgotten) = checked(copy).await?;
    let (sha256, bytes) = digest(copy)?;
    let about = About {
        sha256,
        bytes,
        migration,
        made_at: now,
        forgotten,
    };
    let text = serde_json::to_string_pretty(&about)
        .map_err(|error| BackupError::Failed(format!("about the copy, as JSON: {error}")))?;
    beside
        .write_all(text.as_bytes())
        .and_then(|()| beside.sync_all())
        .map_err(|error| failed("cannot write beside", copy, error))?;
    Ok(about)
}

/// Opens a copy without changing anything beside it, and checks that it is whole and ours. Its
/// newest migration, and who was forgotten.
async fn checked(copy: &Path) -> Result<(i64, SuppressionList), BackupError> {
    let refused = |what: &str| BackupError::Refused(format!("{}: {what}", copy.display()));
    let mut connection = SqliteConnectOptions::new()
        .filename(copy)
        .immutable(true)
        .read_only(true)
        .connect()
        .await
        .map_err(|error| refused(&format!("cannot be opened as a database: {error}")))?;
    let whole: String = sqlx::query_scalar("PRAGMA integrity_check")
        .fetch_one(&mut connection)
        .await
        .map_err(|error| refused(&format!("is no whole database: {error}")))?;
    if whole != "ok" {
        return Err(refused(&format!("is damaged: {whole}")));
    }
    let dangling = sqlx::query("PRAGMA foreign_key_check")
        .fetch_all(&mut connection)
        .await?;
    if !dangling.is_empty() {
        return Err(refused("holds rows that point nowhere"));
    }
    let migration: i64 = sqlx::query_scalar("SELECT MAX(version) FROM _sqlx_migrations")
        .fetch_one(&mut connection)
        .await
        .map_err(|_| refused("is not a database of this program"))?;
    let forgotten = forgotten(&mut connection).await?;
    connection.close().await?;
    Ok((migration, forgotten))
}

/// Who was forgotten according to a database; nobody where it is too old to know.
async fn forgotten(connection: &mut SqliteConnection) -> Result<SuppressionList, BackupError> {
    let known: i64 =
        sqlx::query_scalar("SELECT COUNT(*) FROM sqlite_schema WHERE name = 'suppressed'")
            .fetch_one(&mut *connection)
            .await?;
    if known == 0 {
        return Ok(SuppressionList {
            salt: String::new(),
            suppressed: std::collections::BTreeMap::new(),
        });
    }
    let salt = sqlx::query_scalar(super::engine::sql!("salt").text)
        .fetch_one(&mut *connection)
        .await?;
    let rows: Vec<(String, i64)> = sqlx::query_as("SELECT id, erased_at FROM suppressed")
        .fetch_all(&mut *connection)
        .await?;
    Ok(SuppressionList {
        salt,
        suppressed: rows.into_iter().collect(),
    })
}

/// SHA-256 and size of a file.
fn digest(path: &Path) -> Result<(String, u64), BackupError> {
    let mut file = File::open(path).map_err(|error| failed("cannot open", path, error))?;
    let mut hasher = Sha256::new();
    let mut buffer = vec![0_u8; 1 << 16];
    let mut bytes = 0;
    loop {
        let read = file
            .read(&mut buffer)
            .map_err(|error| failed("cannot read", path, error))?;
        if read == 0 {
            break;
        }
        bytes += u64::try_from(read).unwrap_or_default();
        hasher.update(buffer.get(..read).unwrap_or_default());
    }
    Ok((hex(&hasher.finalize()), bytes))
}

/// Puts a copy back into the empty place that the URL names, brings it up to date, and forgets
/// again whom the list says.
///
/// # Errors
/// `Refused` for a server, a place that is not empty, a copy that is not whole, was changed, or
/// comes from a newer release.
pub async fn restore(
    copy: &Path,
    url: &str,
    list: Option<&SuppressionList>,
) -> Result<Restored, BackupError> {
    let to = embedded(url, |server| {
        format!(
            "a PostgreSQL database is restored with its own tools: pg_restore --exit-on-error \
             --dbname='{server}' '{}' and then: cueline suppressed --apply LIST",
            copy.display()
        )
    })?;
    let to = to.get_filename().to_path_buf();
    for ending in ["", "-wal", "-shm", "-journal"] {
        let mut name = to.as_os_str().to_owned();
        name.push(ending);
        let path = PathBuf::from(name);
        if path.exists() {
            return Err(BackupError::Refused(format!(
                "{} is there already; a copy is put into an empty place only",
                path.display()
            )));
        }
    }
    let compared = compare(copy)?;
    let (migration, _) = checked(copy).await?;
    let newest = migrations::SQLITE
        .last()
        .map_or(0, |(number, _, _)| *number);
    if migration > newest {
        return Err(BackupError::Refused(format!(
            "{} is of a newer release: its tables are at {migration}, this program knows {newest}",
            copy.display()
        )));
    }
    let mut name = to.as_os_str().to_owned();
    name.push(".restoring");
    let part = PathBuf::from(name);
    let outcome = put(copy, &part, &to, list).await;
    if outcome.is_err() {
        let _ = std::fs::remove_file(&part);
    }
    Ok(Restored {
        compared,
        forgotten: outcome?,
    })
}

/// Compares a copy with what stands beside it, when something does.
fn compare(copy: &Path) -> Result<bool, BackupError> {
    let beside = about_path(copy);
    if !beside.exists() {
        return Ok(false);
    }
    let text =
        std::fs::read_to_string(&beside).map_err(|error| failed("cannot read", &beside, error))?;
    let about: About = serde_json::from_str(&text)
        .map_err(|error| BackupError::Refused(format!("{}: {error}", beside.display())))?;
    let (sha256, bytes) = digest(copy)?;
    if (sha256, bytes) == (about.sha256, about.bytes) {
        Ok(true)
    } else {
        Err(BackupError::Refused(format!(
            "{} is not what was backed up: its checksum differs from the one in {}",
            copy.display(),
            beside.display()
        )))
    }
}

/// Copies under another name, brings it up to date there, and only then gives it its name.
async fn put(
    copy: &Path,
    part: &Path,
    to: &Path,
    list: Option<&SuppressionList>,
) -> Result<u64, BackupError> {
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder {
        std::fs::create_dir_all(folder).map_err(|error| failed("cannot make", folder, error))?;
    }
    let mut from = File::open(copy).map_err(|error| failed("cannot open", copy, error))?;
    let mut file = new_file(part)?;
    std::io::copy(&mut from, &mut file)
        .and_then(|_| file.sync_all())
        .map_err(|error| failed("cannot write", part, error))?;
    drop(file);
    let store = open(
        &format!("sqlite:{}", part.display()),
        &OpenOptions::default(),
    )
    .await?;
    let forgotten = match list {
        Some(list) => store.privacy().suppress(list).await,
        None => Ok(0),
    };
    store.close().await;
    let forgotten = forgotten?;
    // Unlike a renaming, a link never writes over a file that has come there meanwhile.
    std::fs::hard_link(part, to).map_err(|error| failed("cannot make", to, error))?;
    std::fs::remove_file(part).map_err(|error| failed("cannot remove", part, error))?;
    if let Some(folder) = folder {
        File::open(folder)
            .and_then(|folder| folder.sync_all())
            .map_err(|error| failed("cannot sync", folder, error))?;
    }
    Ok(forgotten)
}

#[cfg(test)]
mod tests {
    use super::without_password;

    #[test]
    fn the_advice_for_a_server_shows_no_password() {
        for (url, shown) in [
            (
                "postgres://cue:s3cret@db:5432/cue",
                "postgres://cue@db:5432/cue",
            ),
            ("postgres://cue:p@ss@db/cue", "postgres://cue@db/cue"),
            ("postgres://db/cue?user=x", "postgres://db/cue?user=x"),
        ] {
            assert_eq!(without_password(url), shown);
        }
    }
}
