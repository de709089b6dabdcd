//! What the store does about a person's data: tell all of it, forget it, let it age out.

use super::database::Database;
use super::desk_database::a_day_before;
use super::engine::{Engine, Fault, Row, Statement, Unit, binds, sql};
use super::{Ageing, PrivacyStore, StoreError, SuppressionList};
use crate::record::{Dossier, Event, EventKey, PersonKey, Reason, TooOld, Wipe, hex};
use async_trait::async_trait;
use hmac::{Hmac, KeyInit as _, Mac as _};
use jiff::Timestamp;
use sha2::Sha256;
use std::collections::BTreeMap;

/// The tables a lifter's data stand in, each with the statement that finds it.
const HELD: [(&str, Statement); 19] = [
    ("lifters", sql!("held_lifters")),
    ("consents", sql!("held_consents")),
    ("cases", sql!("held_cases")),
    ("entries", sql!("held_entries")),
    ("case_files", sql!("held_case_files")),
    ("queue", sql!("held_queue")),
    ("follow_ups", sql!("held_follow_ups")),
    ("verdicts", sql!("held_verdicts")),
    ("access_log", sql!("held_access_log")),
    ("sheet_cases", sql!("held_sheet_cases")),
    ("challenges", sql!("held_challenges")),
    ("challenge_answers", sql!("held_challenge_answers")),
    ("standing_hidden", sql!("held_standing_hidden")),
    ("strikes", sql!("held_strikes")),
    ("inbox", sql!("held_inbox")),
    ("outbox", sql!("held_outbox")),
    ("message_marks", sql!("held_message_marks")),
    ("quarantine", sql!("held_quarantine")),
    ("data_links", sql!("held_data_links")),
];

/// What goes when a lifter is forgotten, in an order in which each still finds its rows. Quarantine
/// is asked in its own way.
const ERASED: [Statement; 11] = [
    sql!("answers_erase"),
    sql!("hidden_remove"),
    sql!("strikes_erase"),
    sql!("erase_access"),
    sql!("erase_marks"),
    sql!("erase_outbox"),
    sql!("erase_cases"),
    sql!("erase_inbox"),
    sql!("erase_consents"),
    sql!("erase_links"),
    sql!("erase_lifter"),
];

/// The pattern of a body that names a person.
fn pattern(person: &PersonKey) -> String {
    let id = &person.person_id;
    format!(
        "%\"{}\"%",
        id.replace('\\', "\\\\")
            .replace('_', "\\_")
            .replace('%', "\\%")
    )
}

/// The suppression id of a person.
fn suppression_id(salt: &str, person: &PersonKey) -> Result<String, StoreError> {
    let mut mac = Hmac::<Sha256>::new_from_slice(salt.as_bytes())
        .map_err(|error| StoreError::Unexpected(format!("suppression salt: {error}")))?;
    mac.update(person.source.as_bytes());
    mac.update(b"\n");
    mac.update(person.person_id.as_bytes());
    Ok(hex(&mac.finalize().into_bytes()))
}

/// Forgets a person within a transaction, and keeps the suppression id.
pub(super) async fn erase(
    unit: &mut dyn Unit,
    person: &PersonKey,
    erased_at: Timestamp,
) -> Result<(), Fault> {
    for statement in ERASED {
        unit.execute(statement, binds![&person.source, &person.person_id])
            .await?;
    }
    let values = binds![&person.source, pattern(person)];
    unit.execute(sql!("erase_quarantine"), values).await?;
    let rows = unit.fetch(sql!("salt"), Vec::new()).await?;
    let salt = salt(&rows)?;
    let values = binds![suppression_id(&salt, person)?, erased_at];
    unit.execute(sql!("suppress_put"), values).await?;
    Ok(())
}

/// Takes every free text and file of a person out, cases aside: they come with the effects.
pub(super) async fn forget_words(
    unit: &mut dyn Unit,
    person: &PersonKey,
    reasons: &[Reason],
) -> Result<(), Fault> {
    for statement in [
        sql!("wipe_words_of"),
        sql!("wipe_entries_of"),
        sql!("wipe_outbox_of"),
        sql!("wipe_files_of"),
    ] {
        unit.execute(statement, binds![&person.source, &person.person_id])
            .await?;
    }
    let reasons = serde_json::to_string(reasons)
        .map_err(|error| StoreError::Unexpected(format!("reasons as JSON: {error}")))?;
    let values = binds![&person.source, &person.person_id, reasons];
    unit.execute(sql!("wipe_reasons_of"), values).await?;
    Ok(())
}

/// Empties the event that was handled, as far as is asked for.
pub(super) async fn wipe(unit: &mut dyn Unit, wipe: Wipe, key: &EventKey) -> Result<(), Fault> {
    let statement = match wipe {
        Wipe::Files => return super::files::take_out(unit, key).await,
        Wipe::Words => sql!("wipe_words"),
        Wipe::Person => sql!("wipe_person"),
    };
    unit.execute(statement, binds![&key.source, &key.id])
        .await?;
    Ok(())
}

fn salt(rows: &[Row]) -> Result<String, StoreError> {
    rows.first()
        .ok_or_else(|| StoreError::Corrupt("the salt of suppression ids is missing".to_owned()))?
        .text("value")
}

impl Database {
    /// The salt of this database, asked for once.
    async fn salt(&self) -> Result<&str, StoreError> {
        self.salt
            .get_or_try_init(async || salt(&self.engine.read(sql!("salt"), Vec::new()).await?))
            .await
            .map(String::as_str)
    }
}

#[async_trait]
impl PrivacyStore for Database {
    async fn dossier(&self, person: &PersonKey, most: u32) -> Result<Dossier, StoreError> {
        let mut dossier = Dossier::default();
        for (table, statement) in HELD {
            let second = if table == "quarantine" {
                pattern(person)
            } else {
                person.person_id.clone()
            };
            let values = binds![&person.source, second, most.saturating_add(1)];
            let mut rows = self.engine.read(statement, values).await?;
            let most = usize::try_from(most).unwrap_or(usize::MAX);
            dossier.cut |= rows.len() > most;
            rows.truncate(most);
            let rows = rows.iter().map(Row::told).collect();
            dossier.tables.push((table.to_owned(), rows));
        }
        Ok(dossier)
    }

    async fn erased_at(&self, person: &PersonKey) -> Result<Option<Timestamp>, StoreError> {
        let id = suppression_id(self.salt().await?, person)?;
        let rows = self.engine.read(sql!("suppressed"), binds![id]).await?;
        rows.first().map(|row| row.time("erased_at")).transpose()
    }

    async fn use_data_link(
        &self,
        token_hash: &str,
        now: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError> {
        let values = binds![token_hash, now];
        let rows = self.engine.write(sql!("link_use"), values).await?;
        rows.first().map(Row::person).transpose()
    }

    async fn claim_cleaning(&self, now: Timestamp, until: Timestamp) -> Result<bool, StoreError> {
        let rows = self.engine.read(sql!("chore"), Vec::new()).await?;
        let due = rows.first().map(|row| row.time("run_at")).transpose()?;
        if due.is_none_or(|due| due > now) {
            return Ok(false);
        }
        let claimed = self
            .engine
            .change(sql!("chore_claim"), binds![now, until])
            .await?;
        Ok(claimed == 1)
    }

    async fn hold_cleaning(&self, held: Timestamp, next: Timestamp) -> Result<bool, StoreError> {
        let values = binds![held, next];
        Ok(self.engine.change(sql!("chore_hold"), values).await? == 1)
    }

    async fn clean(
        &self,
        what: Ageing,
        too_old: &TooOld,
        now: Timestamp,
        limit: u32,
    ) -> Result<u64, StoreError> {
        let engine = self.engine.as_ref();
        let (statement, before) = match what {
            Ageing::Files => return clean_files(engine, too_old.files, limit).await,
            Ageing::Clips => return clean_cases(engine, 1, too_old.files, limit).await,
            Ageing::Words => return clean_cases(engine, 2, too_old.words, limit).await,
            Ageing::Flags => return clean_cases(engine, 3, too_old.flags, limit).await,
            Ageing::Lifters => {
                return Ok(engine.change(sql!("clean_lifters"), binds![limit]).await?);
            }
            Ageing::Consents => {
                return Ok(engine.change(sql!("clean_consents"), binds![limit]).await?);
            }
            Ageing::Marks => {
                // From before marks had a date.
                engine.change(sql!("clean_marks_date"), binds![now]).await?;
                (sql!("clean_marks"), too_old.words)
            }
            Ageing::Links => return clean_links(engine, now, limit).await,
            Ageing::Pictures => (sql!("clean_pictures"), too_old.pictures),
            Ageing::Events => (sql!("clean_inbox"), too_old.words),
            Ageing::Names => (sql!("clean_names"), too_old.names),
            Ageing::Messages => (sql!("clean_outbox"), too_old.words),
            Ageing::Cases => (sql!("clean_cases"), too_old.figures),
            Ageing::Strikes => (sql!("clean_strikes"), too_old.figures),
            Ageing::Unreadable => (sql!("clean_quarantine"), too_old.unreadable),
        };
        Ok(engine.change(statement, binds![before, limit]).await?)
    }

    async fn suppressed(&self) -> Result<SuppressionList, StoreError> {
        let mut list = SuppressionList {
            salt: self.salt().await?.to_owned(),
            suppressed: BTreeMap::new(),
        };
        let mut after = String::new();
        loop {
            let values = binds![&after, PAGE];
            let rows = self.engine.read(sql!("suppressed_all"), values).await?;
            let Some(last) = rows.last() else {
                return Ok(list);
            };
            after = last.text("id")?;
            for row in &rows {
                list.suppressed
                    .insert(row.text("id")?, row.int("erased_at")?);
            }
        }
    }

    async fn suppress(&self, list: &SuppressionList) -> Result<u64, StoreError> {
        if list.suppressed.is_empty() {
            return Ok(0);
        }
        let own = salt(&self.engine.read(sql!("salt"), Vec::new()).await?)?;
        if own != list.salt {
            let taken = self
                .engine
                .change(sql!("salt_put"), binds![&list.salt])
                .await?;
            if taken != 1 {
                return Err(StoreError::Unexpected(
                    "the list of forgotten lifters is of another house: this database has \
                     forgotten lifters of its own under another salt"
                        .to_owned(),
                ));
            }
        }
        let mut forgotten = 0;
        let mut after = binds!["", ""];
        loop {
            after.push(PAGE.into());
            let rows = self.engine.read(sql!("people"), after).await?;
            let Some(last) = rows.last().map(Row::person).transpose()? else {
                break;
            };
            after = binds![last.source, last.person_id];
            for row in &rows {
                forgotten += u64::from(self.suppress_one(list, &row.person()?).await?);
            }
        }
        for (id, erased_at) in &list.suppressed {
            let values = binds![id, *erased_at];
            self.engine.change(sql!("suppress_put"), values).await?;
        }
        Ok(forgotten)
    }
}

/// Rows read at once.
const PAGE: u32 = 500;

impl Database {
    /// Forgets one person if the list says so and this database does not know it yet.
    async fn suppress_one(
        &self,
        list: &SuppressionList,
        person: &PersonKey,
    ) -> Result<bool, StoreError> {
        let id = suppression_id(&list.salt, person)?;
        let Some(erased_at) = list.suppressed.get(&id) else {
            return Ok(false);
        };
        let known = self.engine.read(sql!("suppressed"), binds![&id]).await?;
        let known = known.first().map(|row| row.int("erased_at")).transpose()?;
        if known.is_some_and(|known| known >= *erased_at) {
            // Forgotten here already; what there is was written anew.
            return Ok(false);
        }
        let at = Timestamp::from_millisecond(*erased_at)
            .map_err(|error| StoreError::Unexpected(format!("list of forgotten: {error}")))?;
        let mut unit = self.engine.begin().await?;
        erase(unit.as_mut(), person, at).await?;
        unit.commit().await?;
        Ok(true)
    }
}

/// Links to a copy of data, sessions of the desk that are over, and links to sign in with, each up to
/// the limit.
async fn clean_links(engine: &dyn Engine, now: Timestamp, limit: u32) -> Result<u64, StoreError> {
    let mut cleaned = 0;
    for (statement, before) in [
        (sql!("clean_links"), now),
        (sql!("clean_sessions"), now),
        (sql!("clean_sign_ins"), a_day_before(now)),
    ] {
        cleaned += engine.change(statement, binds![before, limit]).await?;
    }
    Ok(cleaned)
}

/// Takes files out of finished events.
async fn clean_files(
    engine: &dyn Engine,
    before: Timestamp,
    limit: u32,
) -> Result<u64, StoreError> {
    let values = binds![before, 0_i64, limit];
    let rows = engine.read(sql!("clean_files_find"), values).await?;
    let mut cleaned = 0;
    for row in &rows {
        let body = match row.json::<Event>("body") {
            Ok(mut event) => {
                event.payload.drop_files();
                serde_json::to_string(&event)
                    .map_err(|error| StoreError::Unexpected(format!("event as JSON: {error}")))?
            }
            // What cannot be read must not come back in every batch.
            Err(_) => "{}".to_owned(),
        };
        let values = binds![row.int("seq")?, body];
        cleaned += engine.change(sql!("forget_body"), values).await?;
    }
    Ok(cleaned)
}

/// Takes what has grown old out of cases, and out of their history from the words on.
async fn clean_cases(
    engine: &dyn Engine,
    stage: i64,
    before: Timestamp,
    limit: u32,
) -> Result<u64, StoreError> {
    let values = binds![stage, before, limit];
    let rows = engine.read(sql!("clean_cases_find"), values).await?;
    let mut cleaned = 0;
    for row in &rows {
        let mut case = row.case()?;
        case.body.drop_clips();
        if stage >= 2 {
            case.body.drop_words();
        }
        if stage >= 3 {
            case.body.drop_flags(|_| false);
        }
        let body = serde_json::to_string(&case.body)
            .map_err(|error| StoreError::Unexpected(format!("case as JSON: {error}")))?;
        let mut unit = engine.begin().await?;
        let values = binds![&case.id, case.version, body, stage];
        let written = unit.execute(sql!("clean_case"), values).await?;
        if written == 1 && stage >= 2 {
            unit.execute(sql!("clean_entries"), binds![&case.id])
                .await?;
        }
        unit.commit().await?;
        // A case that somebody wrote to meanwhile is not old any more.
        cleaned += written;
    }
    Ok(cleaned)
}
