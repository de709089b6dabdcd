//! Challenges in the store: what is asked of a database about them, and how changes are written.

use super::apply::{Write, json, one};
use super::claim::claimed;
use super::database::Database;
use super::engine::{Fault, Row, binds, sql};
use super::{Claim, ClaimBatch, Leased, StoreError};
use crate::record::{
    AnswerState, Case, Challenge, ChallengeAnswer, ChallengeChange, ChallengeState, CoachVerdict,
    Outgoing, PersonKey, SeasonSum, Strike, StrikeState, StrikeStep,
};
use async_trait::async_trait;
use cueline_core::challenge::Mark;
use cueline_core::report::Lift;
use jiff::Timestamp;

/// Strikes of one member that are looked at; nobody who is out gets more.
const MOST_STRIKES: u32 = 50;

/// What the service asks of a database about challenges.
#[async_trait]
pub trait ChallengeStore: Send + Sync {
    /// Leases challenges with something to do, earliest first.
    async fn claim(&self, batch: &ClaimBatch) -> Result<Vec<Leased<Challenge>>, StoreError>;

    /// A number for a new challenge; gaps are fine, repeats never happen.
    async fn reserve_number(&self) -> Result<i64, StoreError>;

    /// The challenge with this number.
    async fn numbered(&self, number: i64) -> Result<Option<Challenge>, StoreError>;

    /// Challenges of a platform that are asked, open or closed; the next to close first.
    async fn live(&self, source: &str, limit: u32) -> Result<Vec<Challenge>, StoreError>;

    /// Challenges of a lifter's own sets, newest first.
    async fn of_lifter(&self, key: &PersonKey, limit: u32) -> Result<Vec<Challenge>, StoreError>;

    /// A member's answer.
    async fn answer_of(
        &self,
        number: i64,
        member: &PersonKey,
    ) -> Result<Option<ChallengeAnswer>, StoreError>;

    /// Answers in the order of the members' ids, those after `after`; at most `limit`.
    async fn answers(
        &self,
        number: i64,
        source: &str,
        after: &str,
        limit: u32,
    ) -> Result<Vec<ChallengeAnswer>, StoreError>;

    /// What members of a platform have in the challenges that closed from `from` until before `until`.
    async fn season(
        &self,
        source: &str,
        from: Timestamp,
        until: Timestamp,
        limit: u32,
    ) -> Result<Vec<SeasonSum>, StoreError>;

    /// Cases with numbers below `number`, the highest first: a page of all of them.
    async fn cases_below(&self, number: i64, limit: u32) -> Result<Vec<Case>, StoreError>;

    /// The verdict on one set of a case.
    async fn verdict_on(
        &self,
        case_id: &str,
        event_id: &str,
    ) -> Result<Option<CoachVerdict>, StoreError>;

    /// Strikes of a member, newest first.
    async fn strikes_of(&self, member: &PersonKey) -> Result<Vec<Strike>, StoreError>;

    /// Strikes of a platform that were not taken back, newest first.
    async fn strikes(&self, source: &str, limit: u32) -> Result<Vec<Strike>, StoreError>;

    /// Forgets a person as a member: every answer with its mark, strikes, and the wish not to be named.
    /// Challenges of their own sets go with their cases. Tells how many answers there were.
    async fn forget_member(&self, member: &PersonKey) -> Result<u64, StoreError>;
}

#[async_trait]
impl ChallengeStore for Database {
    async fn claim(&self, batch: &ClaimBatch) -> Result<Vec<Leased<Challenge>>, StoreError> {
        let engine = self.engine();
        let statement = engine.claims().challenges;
        claimed(
            engine,
            statement,
            batch,
            "run_at",
            Row::challenge_claim,
            Row::leased_challenge,
        )
        .await
    }

    async fn reserve_number(&self) -> Result<i64, StoreError> {
        let statement = sql!("challenge_number_next");
        let rows = self.engine().write(statement, Vec::new()).await?;
        rows.first()
            .ok_or_else(|| StoreError::Corrupt("the counter of challenges is missing".to_owned()))?
            .int("value")
    }

    async fn numbered(&self, number: i64) -> Result<Option<Challenge>, StoreError> {
        self.one(sql!("challenge"), binds![number], Row::challenge)
            .await
    }

    async fn live(&self, source: &str, limit: u32) -> Result<Vec<Challenge>, StoreError> {
        self.all(
            sql!("challenges_live"),
            binds![source, limit],
            Row::challenge,
        )
        .await
    }

    async fn of_lifter(&self, key: &PersonKey, limit: u32) -> Result<Vec<Challenge>, StoreError> {
        let values = binds![&key.source, &key.person_id, limit];
        self.all(sql!("challenges_of"), values, Row::challenge)
            .await
    }

    async fn answer_of(
        &self,
        number: i64,
        member: &PersonKey,
    ) -> Result<Option<ChallengeAnswer>, StoreError> {
        let values = binds![number, &member.source, &member.person_id];
        self.one(sql!("answer"), values, Row::challenge_answer)
            .await
    }

    async fn answers(
        &self,
        number: i64,
        source: &str,
        after: &str,
        limit: u32,
    ) -> Result<Vec<ChallengeAnswer>, StoreError> {
        let values = binds![number, source, after, limit];
        self.all(sql!("answers"), values, Row::challenge_answer)
            .await
    }

    async fn season(
        &self,
        source: &str,
        from: Timestamp,
        until: Timestamp,
        limit: u32,
    ) -> Result<Vec<SeasonSum>, StoreError> {
        let values = binds![source, from, until, limit];
        self.all(sql!("season"), values, Row::season_sum).await
    }

    async fn cases_below(&self, number: i64, limit: u32) -> Result<Vec<Case>, StoreError> {
        self.all(sql!("cases_before"), binds![number, limit], Row::case)
            .await
    }

    async fn verdict_on(
        &self,
        case_id: &str,
        event_id: &str,
    ) -> Result<Option<CoachVerdict>, StoreError> {
        self.one(sql!("verdict_on"), binds![case_id, event_id], Row::verdict)
            .await
    }

    async fn strikes_of(&self, member: &PersonKey) -> Result<Vec<Strike>, StoreError> {
        let values = binds![&member.source, &member.person_id, MOST_STRIKES];
        self.all(sql!("strikes_of"), values, Row::strike).await
    }

    async fn strikes(&self, source: &str, limit: u32) -> Result<Vec<Strike>, StoreError> {
        self.all(sql!("strikes_newest"), binds![source, limit], Row::strike)
            .await
    }

    async fn forget_member(&self, member: &PersonKey) -> Result<u64, StoreError> {
        let mut unit = self.engine().begin().await?;
        let values = || binds![&member.source, &member.person_id];
        let answers = unit.execute(sql!("answers_erase"), values()).await?;
        unit.execute(sql!("hidden_remove"), values()).await?;
        unit.execute(sql!("strikes_erase"), values()).await?;
        unit.commit().await?;
        Ok(answers)
    }
}

impl Write<'_> {
    /// Changes of challenges and answers in their order; marks that follow one another go together.
    pub(super) async fn challenges(&mut self, changes: &[ChallengeChange]) -> Result<(), Fault> {
        for run in
            changes.chunk_by(|one, next| of_mark(one).is_some() && of_mark(one) == of_mark(next))
        {
            match run {
                [one] => self.challenge(one).await?,
                marks => self.marks(marks).await?,
            }
        }
        Ok(())
    }

    /// Marks of one challenge on one platform, by one statement.
    async fn marks(&mut self, changes: &[ChallengeChange]) -> Result<(), Fault> {
        let Some((number, source)) = changes.first().and_then(of_mark) else {
            return Ok(());
        };
        let mut rows = Vec::with_capacity(changes.len());
        for change in changes {
            if let ChallengeChange::Mark { member, mark, .. } = change {
                rows.push((&member.person_id, json(mark)?, thousandths(mark)));
            }
        }
        let values = binds![number, source, json(&rows)?];
        self.run(self.claims.marks, values).await?;
        Ok(())
    }

    /// One change of challenges and answers.
    async fn challenge(&mut self, change: &ChallengeChange) -> Result<(), Fault> {
        match change {
            ChallengeChange::Write(challenge) => self.challenge_row(challenge).await,
            ChallengeChange::Answer(answer) => self.answer(answer).await,
            ChallengeChange::Settle {
                challenge,
                member,
                state,
            } => {
                let values = binds![*challenge, &member.source, &member.person_id, state.word(),];
                self.run(sql!("answer_settle"), values).await?;
                Ok(())
            }
            ChallengeChange::Mark { .. } => self.marks(std::slice::from_ref(change)).await,
            ChallengeChange::Empty { challenge, posts } => {
                self.run(sql!("answers_empty"), binds![*challenge]).await?;
                for key in posts {
                    self.unpost(key).await?;
                    self.run(sql!("outbox_delete"), binds![key]).await?;
                }
                Ok(())
            }
            ChallengeChange::Strike(strike) => {
                let values = binds![
                    &strike.member.source,
                    &strike.member.person_id,
                    &strike.cause_id,
                    strike.at,
                    strike.step.word(),
                    strike.until,
                    &strike.rule,
                    &strike.why,
                    strike.challenge,
                    &strike.given_by,
                    strike.state.word(),
                ];
                self.run(sql!("strike_put"), values).await?;
                Ok(())
            }
            ChallengeChange::SettleStrike {
                member,
                cause_id,
                state,
            } => {
                let values = binds![&member.source, &member.person_id, cause_id, state.word()];
                self.run(sql!("strike_settle"), values).await?;
                Ok(())
            }
            ChallengeChange::Hide { member, hidden } => {
                let statement = if *hidden {
                    sql!("hidden_put")
                } else {
                    sql!("hidden_remove")
                };
                let values = binds![&member.source, &member.person_id];
                self.run(statement, values).await?;
                Ok(())
            }
        }
    }

    /// What stands in a room already is to be deleted there.
    async fn unpost(&mut self, key: &str) -> Result<(), Fault> {
        let rows = self.unit.fetch(sql!("outbox_posted"), binds![key]).await?;
        let unposting = super::rows::unposting(&rows)?;
        self.outgoing(&unposting).await
    }

    /// Asks for the deletion of what stands in rooms of a person's sets; to be called before they are
    /// forgotten.
    pub(super) async fn posted_of(&mut self, person: &PersonKey) -> Result<Vec<Outgoing>, Fault> {
        let values = binds![&person.source, &person.person_id];
        let posted = self.unit.fetch(sql!("outbox_posted_of"), values).await?;
        Ok(super::rows::unposting(&posted)?)
    }

    async fn challenge_row(&mut self, challenge: &Challenge) -> Result<(), Fault> {
        let written = if challenge.version == 0 {
            let values = binds![
                challenge.number,
                &challenge.id,
                &challenge.case_id,
                &challenge.event_id,
                &challenge.person.source,
                &challenge.person.person_id,
                &challenge.opened_by.person_id,
                challenge.lift.word(),
                &challenge.room_id,
                challenge.state.word(),
                challenge.opened_at,
                challenge.closes_at,
                json(&challenge.sealed)?,
                json(&challenge.body)?,
                challenge.run_at,
            ];
            self.run(sql!("challenge_insert"), values).await?
        } else {
            let values = binds![
                challenge.number,
                challenge.state.word(),
                json(&challenge.body)?,
                challenge.run_at,
                challenge.version,
            ];
            self.run(sql!("challenge_update"), values).await?
        };
        one(written, || format!("challenge {}", challenge.number))
    }

    async fn answer(&mut self, answer: &ChallengeAnswer) -> Result<(), Fault> {
        let values = binds![
            answer.challenge,
            &answer.member.source,
            &answer.member.person_id,
            answer.at,
            answer.edits,
            answer.state.word(),
            &answer.message_id,
            &answer.why,
            json(&answer.answer)?,
        ];
        let written = self.run(sql!("answer_put"), values).await?;
        one(written, || {
            format!("whether challenge {} is open", answer.challenge)
        })
    }
}

/// Of which challenge and platform a change is a mark.
fn of_mark(change: &ChallengeChange) -> Option<(i64, &str)> {
    match change {
        ChallengeChange::Mark {
            challenge, member, ..
        } => Some((*challenge, &member.source)),
        _ => None,
    }
}

/// Points as kept: whole thousandths, so that the database can add them up exactly.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a mark is some hundreds at most"
)]
fn thousandths(mark: &Mark) -> i64 {
    (mark.total() * 1000.0).round() as i64
}

impl Row {
    fn challenge(&self) -> Result<Challenge, StoreError> {
        let source = self.text("source")?;
        let lift = |word: &str| Lift::ALL.into_iter().find(|lift| lift.word() == word);
        Ok(Challenge {
            number: self.int("number")?,
            id: self.text("id")?,
            case_id: self.text("case_id")?,
            event_id: self.text("event_id")?,
            person: PersonKey {
                source: source.clone(),
                person_id: self.text("person_id")?,
            },
            opened_by: PersonKey {
                source,
                person_id: self.text("coach_person")?,
            },
            lift: self.word("lift", lift)?,
            room_id: self.text("room_id")?,
            state: self.word("state", ChallengeState::from_word)?,
            opened_at: self.time("opened_at")?,
            closes_at: self.time("closes_at")?,
            run_at: self.maybe_time("run_at")?,
            sealed: self.json("sealed")?,
            body: self.json("body")?,
            version: self.int("version")?,
        })
    }

    fn challenge_claim(&self) -> Result<Claim, StoreError> {
        Ok(Claim::Challenge {
            number: self.int("number")?,
            fence: self.int("fence")?,
        })
    }

    fn leased_challenge(&self) -> Result<Leased<Challenge>, StoreError> {
        Ok(Leased {
            claim: self.challenge_claim()?,
            attempts: self.count("attempts")?,
            created_at: self.time("opened_at")?,
            item: self.challenge()?,
        })
    }

    fn challenge_answer(&self) -> Result<ChallengeAnswer, StoreError> {
        Ok(ChallengeAnswer {
            challenge: self.int("challenge")?,
            member: self.person()?,
            at: self.time("at")?,
            edits: self.count("edits")?,
            state: self.word("state", AnswerState::from_word)?,
            message_id: self.maybe_text("message_id")?,
            why: self.text("why")?,
            answer: self.json("body")?,
            mark: match self.maybe_text("mark")? {
                Some(_) => Some(self.json("mark")?),
                None => None,
            },
        })
    }

    fn strike(&self) -> Result<Strike, StoreError> {
        Ok(Strike {
            member: self.person()?,
            cause_id: self.text("cause_id")?,
            at: self.time("at")?,
            step: self.word("step", StrikeStep::from_word)?,
            until: self.maybe_time("until_at")?,
            rule: self.text("rule")?,
            why: self.text("why")?,
            challenge: self.maybe_int("challenge")?,
            given_by: self.maybe_text("given_by")?,
            state: self.word("state", StrikeState::from_word)?,
        })
    }

    fn season_sum(&self) -> Result<SeasonSum, StoreError> {
        let person_id = self.text("person_id")?;
        let name = self.maybe_text("display_name")?;
        Ok(SeasonSum {
            name: name.unwrap_or_else(|| person_id.clone()),
            person_id,
            hidden: self.flag("is_hidden")?,
            entries: self.count("entries")?,
            sum: self.int("total")? as f64 / 1e3,
            squares: self.int("squares")? as f64 / 1e6,
        })
    }
}
