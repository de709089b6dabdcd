//! The desk asks nothing of the store in memory: its own tests play against real ones.

use super::{FakeStore, not_here};
use crate::record::{
    Access, CaseLine, DeadLetter, Outgoing, PersonKey, QueueCount, QueueLine, Session, SheetDrawn,
    SheetLine, SignInLink,
};
use crate::store::{Claim, DeskStore, StoreError};
use async_trait::async_trait;
use jiff::{SignedDuration, Timestamp};

#[async_trait]
impl DeskStore for FakeStore {
    async fn put_sign_in(&self, _: &SignInLink) -> Result<(), StoreError> {
        not_here()
    }
    async fn sign_ins_since(&self, _: &PersonKey, _: Timestamp) -> Result<i64, StoreError> {
        not_here()
    }
    async fn sign_in(
        &self,
        _: &str,
        _: &str,
        _: Timestamp,
        _: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError> {
        not_here()
    }
    async fn session(&self, _: &str) -> Result<Option<Session>, StoreError> {
        not_here()
    }
    async fn session_seen(&self, _: &str, _: Timestamp) -> Result<(), StoreError> {
        not_here()
    }
    async fn end_session(&self, _: &str) -> Result<(), StoreError> {
        not_here()
    }
    async fn note_access(&self, _: &Access) -> Result<(), StoreError> {
        not_here()
    }
    async fn action(&self, _: &str, _: &str) -> Result<Option<Access>, StoreError> {
        not_here()
    }
    async fn access_log(&self, _: Option<&str>, _: u32) -> Result<Vec<Access>, StoreError> {
        not_here()
    }
    async fn access_page(&self, _: &str, _: i64, _: u32) -> Result<Vec<(i64, Access)>, StoreError> {
        not_here()
    }
    async fn kept_sheet(
        &self,
        _: &str,
        _: Timestamp,
        _: SignedDuration,
    ) -> Result<Option<(SheetDrawn, Vec<SheetLine>)>, StoreError> {
        not_here()
    }
    async fn desk_queue(
        &self,
        _: &str,
        _: Timestamp,
        _: u32,
        _: u32,
        _: u32,
    ) -> Result<Vec<QueueLine>, StoreError> {
        not_here()
    }
    async fn queue_counts(&self, _: &str, _: Timestamp) -> Result<Vec<QueueCount>, StoreError> {
        not_here()
    }
    async fn recent_cases(&self, _: &str, _: i64, _: u32) -> Result<Vec<CaseLine>, StoreError> {
        not_here()
    }
    async fn dead_letters_of(&self, _: &str, _: u32) -> Result<Vec<DeadLetter>, StoreError> {
        not_here()
    }
    async fn mark_sent_as(
        &self,
        _: &Claim,
        _: &str,
        _: &Outgoing,
        _: Timestamp,
    ) -> Result<(), StoreError> {
        not_here()
    }
}
