//! The coach reveals: one post for all, and for each member their own mark in private, page by page.

use super::closing::barred;
use super::opening::book;
use super::{PURPOSE, cause, named, post, withdrawn};
use crate::casework::Known;
use crate::casework::outbox;
use crate::casework::turn::Turn;
use crate::casework::verdict::verdict_on;
use crate::record::{
    AnswerState, Challenge, ChallengeAnswer, ChallengeChange, ChallengeState, Effects, Outgoing,
};
use crate::wording::community;
use cueline_core::catalog::LiftBook;
use cueline_core::challenge::{Agreement, Answer, Key, Mark, agreement, mark};
use cueline_core::outcome::spoken_causes;
use jiff::{SignedDuration, Timestamp};

/// Draws of the bootstrap behind the interval of agreement.
const DRAWS: usize = 1000;

/// Time between two pages of marks, so that a crowd's marks do not hold up everybody else's messages.
const BETWEEN_PAGES: SignedDuration = SignedDuration::from_secs(15);

/// Reveals a challenge, or says what is missing.
pub(super) fn reveal(turn: &mut Turn<'_>, number: i64, said_with_it: &str) -> String {
    let words = turn.known.words;
    let known = turn.known;
    let said = number.to_string();
    let values = [("number", said.as_str())];
    let source = turn.event.key.source.clone();
    let Some(challenge) = named(known, &source).cloned() else {
        return words.say("challenge.none", &values);
    };
    match challenge.state {
        ChallengeState::Revealed => return words.say("challenge.revealed_before", &values),
        ChallengeState::Withdrawn => return words.say("challenge.over", &values),
        ChallengeState::Asked => return words.say("challenge.not_open", &values),
        ChallengeState::Open => {
            let closes = challenge.body.closes.as_str();
            return words.say("challenge.not_closed", &[values[0], ("closes", closes)]);
        }
        ChallengeState::Closed => {}
    }
    if let Some(why) = barred(&challenge, known) {
        let (changes, note) = withdrawn(&challenge, why, words);
        turn.effects.challenges.extend(changes);
        turn.effects.outbox.extend(note);
        return words.say("challenge.barred_alert", &values);
    }
    let Some(book) = book(known.catalog, challenge.lift) else {
        return words.say("challenge.none", &values);
    };
    let key = match key(turn, &challenge, book, said_with_it) {
        Ok(key) => key,
        Err(missing) => return missing,
    };
    post_answer(turn, challenge, book, key)
}

/// The verdict the answers are held against: the one said with the reveal, which is kept, or the one
/// kept before.
fn key(
    turn: &mut Turn<'_>,
    challenge: &Challenge,
    book: &LiftBook,
    said: &str,
) -> Result<Key, String> {
    let (known, words) = (turn.known, turn.known.words);
    let number = challenge.number.to_string();
    let file = known.community.file.as_ref();
    if said.is_empty() {
        let verdict = known.community.verdict.as_ref();
        return verdict
            .map(|verdict| Key {
                causes: verdict.judged.causes.clone(),
            })
            .ok_or_else(|| {
                let case = file.map_or_else(String::new, |file| file.case.number.to_string());
                let values = [("number", number.as_str()), ("case", case.as_str())];
                words.say("challenge.no_verdict", &values)
            });
    }
    let causes = spoken_causes(book, said).map_err(|fault| {
        let why = crate::wording::escape(&fault.to_string());
        let values = [("lift", challenge.lift.name()), ("why", why.as_str())];
        words.say("challenge.verdict_unknown", &values)
    })?;
    let shown = file.and_then(|file| {
        let rounds = &file.case.body.rounds;
        rounds
            .iter()
            .find(|round| round.event_id == challenge.event_id)
    });
    if let Some(round) = shown {
        let kept = verdict_on(
            turn,
            &challenge.case_id,
            round,
            challenge.lift,
            causes.clone(),
        );
        turn.effects.verdicts.push(kept);
    }
    Ok(Key { causes })
}

/// Posts the answer, and dates the first page of marks.
fn post_answer(turn: &mut Turn<'_>, challenge: Challenge, book: &LiftBook, key: Key) -> String {
    let (known, words) = (turn.known, turn.known.words);
    let number = challenge.number.to_string();
    let answers: Vec<Answer> = counting(&known.community.answers)
        .map(|answer| answer.answer.clone())
        .collect();
    let marks: Vec<Mark> = answers
        .iter()
        .map(|answer| mark(answer, &key, book))
        .collect();
    // Marked in the commit that posts the verdict: whoever reads it cannot take a bad answer back before
    // its mark is there. The pages that follow only tell.
    let of_each = counting(&known.community.answers).zip(&marks);
    turn.effects
        .challenges
        .extend(of_each.map(|(answer, mark)| ChallengeChange::Mark {
            challenge: challenge.number,
            member: answer.member.clone(),
            mark: *mark,
        }));
    let ids: Vec<String> = book.causes.iter().map(|cause| cause.id.clone()).collect();
    let agreed: Option<Agreement> = agreement(&answers, &ids, DRAWS, seed(&challenge));
    let own = mark(&challenge.sealed, &key, book);
    let text = community::reveal(
        words,
        book,
        &community::Revealed {
            challenge: &challenge,
            key: &key,
            answers: &answers,
            marks: &marks,
            agreed,
            own: &own,
        },
    );
    turn.effects.outbox.push(post(&challenge, "reveal", text));
    let mut revealed = challenge;
    revealed.state = ChallengeState::Revealed;
    revealed.run_at = Some(turn.now);
    revealed.body.key = Some(key);
    turn.effects
        .challenges
        .push(ChallengeChange::Write(Box::new(revealed)));
    let count = answers.len().to_string();
    let held = |answer: &&ChallengeAnswer| answer.state == AnswerState::Held;
    let held = known.community.answers.iter().filter(held).count();
    words.say(
        "challenge.revealed",
        &[
            ("number", &number),
            ("count", &count),
            ("held", &held.to_string()),
        ],
    )
}

/// Answers that count.
fn counting(answers: &[ChallengeAnswer]) -> impl Iterator<Item = &ChallengeAnswer> {
    answers
        .iter()
        .filter(|answer| answer.state == AnswerState::Taken)
}

/// A seed for the bootstrap from the challenge's id: FNV-1a, 64 bits (Fowler, Noll and Vo).
fn seed(challenge: &Challenge) -> u64 {
    challenge
        .id
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
        })
}

/// The next page of marks, told in private; the one after it is dated, or there is nothing left to do.
pub(super) fn marks(
    challenge: &Challenge,
    known: &Known<'_>,
    now: Timestamp,
    effects: &mut Effects,
) {
    let mut next = challenge.clone();
    next.run_at = None;
    let page = &known.community.answers;
    if let Some(last) = page.last() {
        for answer in counting(page) {
            told(challenge, known, answer, effects);
        }
        next.body.marked_to = Some(last.member.person_id.clone());
        next.run_at = now.checked_add(BETWEEN_PAGES).ok();
    }
    effects
        .challenges
        .push(ChallengeChange::Write(Box::new(next)));
}

/// Tells a member their mark, once; one that has none yet gets it. False before the reveal, and when
/// nothing is left of the answer to say why.
pub(super) fn told(
    challenge: &Challenge,
    known: &Known<'_>,
    answer: &ChallengeAnswer,
    effects: &mut Effects,
) -> bool {
    let (Some(key), Some(book)) = (&challenge.body.key, book(known.catalog, challenge.lift)) else {
        return false;
    };
    if answer.answer.causes.is_empty() {
        return false;
    }
    let given = answer.mark.unwrap_or_else(|| {
        let mark = mark(&answer.answer, key, book);
        effects.challenges.push(ChallengeChange::Mark {
            challenge: challenge.number,
            member: answer.member.clone(),
            mark,
        });
        mark
    });
    let text = community::mark(
        known.words,
        book,
        challenge.number,
        &answer.answer,
        key,
        &given,
    );
    let slot = format!("mark:{}", answer.member.person_id);
    effects.outbox.push(Outgoing {
        purpose: PURPOSE,
        ..outbox::private(&cause(challenge), &slot, text, &answer.member)
    });
    true
}
