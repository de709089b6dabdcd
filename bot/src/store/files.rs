//! Pictures and traces of cases.

use super::StoreError;
use super::apply::json;
use super::database::Database;
use super::engine::{Fault, Row, Unit, binds, sql};
use crate::record::{Event, EventKey, KeptFile};
use async_trait::async_trait;

/// Files of one person that stay; the oldest make room. With the bound on one file's size this is
/// what a person's files take at most, in the database and in a copy of their data.
pub const MOST_OF_A_PERSON: u32 = 24;

/// What the service asks of a database about files.
#[async_trait]
pub trait FileStore: Send + Sync {
    /// Files of a case in the order they came, without their contents.
    async fn files_of_case(&self, case_id: &str) -> Result<Vec<KeptFile>, StoreError>;

    /// One file of a case, whole; none when the case has no such file.
    async fn file_of_case(
        &self,
        case_id: &str,
        file_id: &str,
    ) -> Result<Option<KeptFile>, StoreError>;
}

#[async_trait]
impl FileStore for Database {
    async fn files_of_case(&self, case_id: &str) -> Result<Vec<KeptFile>, StoreError> {
        let values = binds![case_id, MOST_OF_A_PERSON];
        self.all(sql!("files_of_case"), values, kept_file).await
    }

    async fn file_of_case(
        &self,
        case_id: &str,
        file_id: &str,
    ) -> Result<Option<KeptFile>, StoreError> {
        let values = binds![case_id, file_id];
        self.one(sql!("file_of_case"), values, kept_file).await
    }
}

fn kept_file(row: &Row) -> Result<KeptFile, StoreError> {
    let side = |name| {
        let side = row.maybe_int(name)?;
        Ok::<_, StoreError>(side.and_then(|side| u32::try_from(side).ok()))
    };
    Ok(KeptFile {
        id: row.text("id")?,
        case_id: row.text("case_id")?,
        person: row.person()?,
        message_id: row.maybe_text("message_id")?,
        at: row.time("at")?,
        name: row.text("name")?,
        media_type: row.text("media_type")?,
        size: u64::from(row.count("size")?),
        sha256: row.text("sha256")?,
        pixels: side("width")?.zip(side("height")?),
        content: row.maybe_text("content")?,
        url: row.maybe_text("url")?,
    })
}

/// Keeps files within a transaction, and no more of a person than may stay.
pub(super) async fn keep(unit: &mut dyn Unit, files: &[KeptFile]) -> Result<(), Fault> {
    for file in files {
        let size = i64::try_from(file.size).unwrap_or(i64::MAX);
        let (width, height) = file.pixels.unzip();
        let values = binds![
            &file.id,
            &file.case_id,
            &file.person.source,
            &file.person.person_id,
            &file.message_id,
            file.at,
            &file.name,
            &file.media_type,
            size,
            &file.sha256,
            width.map(i64::from),
            height.map(i64::from),
            &file.content,
            &file.url,
        ];
        unit.execute(sql!("file_put"), values).await?;
    }
    if let Some(file) = files.first() {
        let person = &file.person;
        let values = binds![&person.source, &person.person_id, MOST_OF_A_PERSON];
        unit.execute(sql!("files_trim"), values).await?;
    }
    Ok(())
}

/// Takes the files out of an event that was handled; its words stay.
pub(super) async fn take_out(unit: &mut dyn Unit, key: &EventKey) -> Result<(), Fault> {
    let values = binds![&key.source, &key.id];
    for row in unit.fetch(sql!("inbox_of"), values).await? {
        let mut event: Event = row.json("body")?;
        event.payload.drop_files();
        let values = binds![row.int("seq")?, json(&event)?];
        unit.execute(sql!("forget_body"), values).await?;
    }
    Ok(())
}
