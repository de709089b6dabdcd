//! What the service asks of a database about people's data: all of it, forgetting, ageing out.

use super::StoreError;
use crate::record::{Dossier, PersonKey, TooOld};
use async_trait::async_trait;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Lifters who were forgotten, as ids that say nothing without the salt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SuppressionList {
    /// What the ids are made with.
    pub salt: String,
    /// Id, and when that lifter was forgotten, UTC milliseconds.
    pub suppressed: BTreeMap<String, i64>,
}

/// One kind of what grows old; each is cleaned in batches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ageing {
    /// Links to data and to the desk, and sessions there, whose time is over.
    Links,
    /// Files that came with events.
    Files,
    /// Pictures and traces kept with cases.
    Pictures,
    /// Clips named in cases.
    Clips,
    /// Events, whole.
    Events,
    /// Names of events whose content is gone.
    Names,
    /// Messages that are out or given up.
    Messages,
    /// Words in cases that are over.
    Words,
    /// Flags in cases that are over.
    Flags,
    /// Cases that are over, whole.
    Cases,
    /// Lifters of whom nothing else is kept.
    Lifters,
    /// Consents of lifters who are gone.
    Consents,
    /// Marks on messages.
    Marks,
    /// Strikes of members who are not out.
    Strikes,
    /// Bodies that could not be read.
    Unreadable,
}

impl Ageing {
    /// All of them, in an order in which each finds what the ones before left.
    pub const ALL: [Self; 15] = [
        Self::Links,
        Self::Files,
        Self::Pictures,
        Self::Clips,
        Self::Events,
        Self::Names,
        Self::Messages,
        Self::Words,
        Self::Flags,
        Self::Cases,
        Self::Lifters,
        Self::Consents,
        Self::Marks,
        Self::Strikes,
        Self::Unreadable,
    ];

    /// Its word in the log.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Links => "links",
            Self::Files => "files",
            Self::Pictures => "pictures",
            Self::Clips => "clips",
            Self::Events => "events",
            Self::Names => "names",
            Self::Messages => "messages",
            Self::Words => "words",
            Self::Flags => "flags",
            Self::Cases => "cases",
            Self::Lifters => "lifters",
            Self::Consents => "consents",
            Self::Marks => "marks",
            Self::Strikes => "strikes",
            Self::Unreadable => "unreadable",
        }
    }
}

/// What the service asks of a database about people's data.
#[async_trait]
pub trait PrivacyStore: Send + Sync {
    /// Everything kept of a person, at most `most` rows of each table.
    async fn dossier(&self, person: &PersonKey, most: u32) -> Result<Dossier, StoreError>;

    /// Until when what a forgotten lifter wrote is not taken; nothing for everybody else.
    async fn erased_at(&self, person: &PersonKey) -> Result<Option<Timestamp>, StoreError>;

    /// Takes one use off a link and tells whose data it opens; nothing when it is unknown, used up
    /// or too old.
    async fn use_data_link(
        &self,
        token_hash: &str,
        now: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError>;

    /// Leases the cleaning until a time, when it is due and nobody else has it.
    async fn claim_cleaning(&self, now: Timestamp, until: Timestamp) -> Result<bool, StoreError>;

    /// Moves a leased cleaning's lease, or its next date, from `held` to `next`. False when somebody
    /// else has taken over.
    async fn hold_cleaning(&self, held: Timestamp, next: Timestamp) -> Result<bool, StoreError>;

    /// Cleans one batch and tells how many rows it changed; 0 when nothing is left to do.
    async fn clean(
        &self,
        what: Ageing,
        too_old: &TooOld,
        now: Timestamp,
        limit: u32,
    ) -> Result<u64, StoreError>;

    /// Everybody who was forgotten.
    async fn suppressed(&self) -> Result<SuppressionList, StoreError>;

    /// Forgets everybody on a list who is known here and was not forgotten yet, and takes the list
    /// over. Tells how many were forgotten now.
    async fn suppress(&self, list: &SuppressionList) -> Result<u64, StoreError>;
}
