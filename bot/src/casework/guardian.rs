//! `guardian yes 12`: what a parent or guardian of a lifter under 18 has said to the coach, about
//! keeping words on health and pictures (GDPR, Art. 8). A no ends reminders too. Both can be taken
//! back.

use super::coach::me;
use super::consent::{consented, forget_words, version};
use super::intake::stranger;
use super::speech::{CoachWord, is_phrase};
use super::turn::Turn;
use super::{outbox, times};
use crate::record::{
    Case, CaseFile, CaseState, ConsentEntry, ConsentHow, ConsentStep, EntryKind, FollowUpChange,
    GuardianConsent, Lifter, Profile, Purpose, Withdraw,
};
use crate::wording::escape;
use cueline_core::report::AgeBand;

/// What a parent or guardian says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GuardianSays {
    /// Words on health and pictures may be kept.
    Yes,
    /// They may not, and no reminder goes out.
    No,
    /// What was said before does not hold any more.
    Withdrawn,
}

/// The order, if the text is one and nothing else: `guardian yes 12`, `parent no case 12`.
pub(super) fn guardian_word(said: &[String]) -> Option<CoachWord> {
    let mut numbers = said.iter().filter_map(|word| word.parse::<i64>().ok());
    let number = numbers.next().filter(|_| numbers.next().is_none())?;
    let rest: Vec<String> = said
        .iter()
        .filter(|word| word.parse::<i64>().is_err() && word.as_str() != "case")
        .map(|word| match word.as_str() {
            "parent" | "parents" | "guardians" => "guardian".to_owned(),
            "says" | "said" | "for" => "the".to_owned(),
            other => other.to_owned(),
        })
        .collect();
    let phrases: [(&[&str], GuardianSays); 5] = [
        (&["guardian", "yes"], GuardianSays::Yes),
        (&["guardian", "no"], GuardianSays::No),
        (&["guardian", "withdraw"], GuardianSays::Withdrawn),
        (&["guardian", "withdrawn"], GuardianSays::Withdrawn),
        (&["guardian", "takes", "back"], GuardianSays::Withdrawn),
    ];
    let found = phrases
        .into_iter()
        .find(|(phrase, _)| is_phrase(&rest, phrase));
    found.map(|(_, says)| CoachWord::Guardian(number, says))
}

/// A parent or guardian has said no: nothing is asked of the lifter.
pub(super) fn refuses(lifter: &Lifter) -> bool {
    let guardian = lifter.profile.guardian.as_ref();
    guardian.is_some_and(|guardian| !guardian.agrees)
}

/// Keeps an age as said. With a guardian's word on record the lifter is under 18, until the coach
/// takes that record back.
pub(super) fn keep_age(profile: &mut Profile, said: Option<AgeBand>) {
    if profile.guardian.is_none() {
        profile.age_band = said.or(profile.age_band);
    }
}

/// Records what was said, and acts on it.
pub(super) fn record(turn: &mut Turn<'_>, file: &CaseFile, says: GuardianSays) -> String {
    let words = turn.known.words;
    let person = &file.case.person;
    let mut lifter = file
        .lifter
        .clone()
        .unwrap_or_else(|| stranger(person.clone(), &person.person_id));
    let number = file.case.number.to_string();
    let name = escape(&lifter.display_name);
    let values = [("number", number.as_str()), ("name", name.as_str())];
    if file.case.body.for_whom.is_some() {
        // It would be taken for a word about whoever posts for their child.
        return words.say("guardian.not_own", &values);
    }
    let adult = lifter
        .profile
        .age_band
        .is_some_and(|age| age != AgeBand::Under18);
    if says == GuardianSays::Yes && adult {
        // A grown lifter's own yes cannot be given by somebody else.
        return words.say("guardian.adult", &values);
    }
    if says == GuardianSays::Withdrawn && lifter.profile.guardian.is_none() {
        return words.say("guardian.nothing", &values);
    }
    let (had, refused) = (consented(&lifter), refuses(&lifter));
    note(turn, &mut lifter, says);
    if had && !consented(&lifter) {
        forget_words(turn, &lifter);
    }
    if says == GuardianSays::No {
        let whom = lifter.key.clone();
        let cancelled = FollowUpChange::CancelPerson {
            person: whom.clone(),
        };
        turn.effects.follow_ups.push(cancelled);
        turn.effects.withdraw.push(Withdraw::RemindersOf(whom));
    } else if refused {
        date_again(turn, &lifter);
    }
    let (change, told, answer) = match says {
        GuardianSays::Yes => ("said yes", "guardian.told_yes", "guardian.yes"),
        GuardianSays::No => ("said no", "guardian.told_no", "guardian.no"),
        GuardianSays::Withdrawn => (
            "took back what was said",
            "guardian.told_withdrawn",
            "guardian.withdrawn",
        ),
    };
    let who = turn.event.actor.id.clone();
    let change = format!("a parent or guardian {change}, recorded by the coach");
    turn.entry(&file.case, EntryKind::Change, &who, None, change);
    // In private: whose words on health are kept is nobody else's matter.
    let text = words.say(told, &[]);
    let mut message = outbox::private(&turn.event.key, "guardian", text, &lifter.key);
    message.purpose = Purpose::Coach;
    turn.effects.outbox.push(message);
    turn.effects.lifter = Some(lifter);
    words.say(answer, &values)
}

/// Dates the asks of what the lifter practises again, now that a no does not hold any more.
fn date_again(turn: &mut Turn<'_>, lifter: &Lifter) {
    let own = |case: &&Case| case.person == lifter.key && case.state == CaseState::Practising;
    let practised: Vec<Case> = turn.known.cases.iter().filter(own).cloned().collect();
    let coach = std::mem::replace(&mut turn.lifter, lifter.clone());
    let zone = times::zone(turn.known.rules, lifter.zone.as_deref());
    let house = std::mem::replace(&mut turn.zone, zone);
    for case in &practised {
        turn.date_follow_up(case, None);
    }
    (turn.lifter, turn.zone) = (coach, house);
}

/// Notes it with the lifter, who is under 18 then whatever was said before, and in the log of
/// consents with the coach's name.
fn note(turn: &mut Turn<'_>, lifter: &mut Lifter, says: GuardianSays) {
    let (step, agrees) = match says {
        GuardianSays::Yes => (ConsentStep::Yes, Some(true)),
        GuardianSays::No => (ConsentStep::No, Some(false)),
        GuardianSays::Withdrawn => (ConsentStep::Withdrawn, None),
    };
    let coach = me(turn.event).person_id;
    let rules = &turn.known.rules.privacy;
    let text = turn.known.words.say(
        "guardian.recorded",
        &[
            ("days", &rules.words_days.to_string()),
            ("picture_days", &rules.pictures_days.to_string()),
            ("months", &rules.flags_months.to_string()),
        ],
    );
    lifter.profile.guardian = agrees.map(|agrees| GuardianConsent {
        agrees,
        at: turn.now,
        recorded_by: coach.clone(),
    });
    if agrees.is_some() {
        lifter.profile.age_band = Some(AgeBand::Under18);
    }
    turn.effects.consents.push(ConsentEntry {
        person: lifter.key.clone(),
        step,
        at: turn.now,
        how: ConsentHow::Words,
        event_id: turn.event.key.id.clone(),
        text_version: version(&text),
        text: Some(text),
        recorded_by: Some(coach),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casework::speech::coach_word;

    #[test]
    fn what_a_guardian_says_is_recorded_in_plain_words_and_talk_is_no_order() {
        for (text, says) in [
            ("guardian yes 12", GuardianSays::Yes),
            ("Guardian: no, case 12", GuardianSays::No),
            ("12 guardian yes", GuardianSays::Yes),
            ("the parent said no for case 12", GuardianSays::No),
            ("guardian withdraw 12", GuardianSays::Withdrawn),
            ("guardian takes back 12", GuardianSays::Withdrawn),
        ] {
            assert_eq!(
                coach_word(text),
                Some(CoachWord::Guardian(12, says)),
                "{text}"
            );
        }
        for text in [
            "guardian yes",
            "guardian 12",
            "no guardian was there at 12",
            "guardian yes 12 13",
            "guardian yes no 12",
        ] {
            assert_eq!(coach_word(text), None, "{text}");
        }
    }
}
