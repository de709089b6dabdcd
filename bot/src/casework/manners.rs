//! What people write besides sets: answered once and briefly, then left alone for a while.
//!
//! Danger goes first and is answered whatever stands beside it, also in that while. Nothing said here
//! becomes a case; where the lifter has one, the words stand in its history for the coach.

use super::matching::belongs;
use super::turn::Turn;
use super::{Known, answer};
use crate::record::{Case, CaseState, Effects, Event, Part, Payload, Purpose, Spell};
use crate::wording::escape;
use cueline_core::catalog::MannerKind;
use cueline_core::reading::{FlagLevel, Reading, manner};
use jiff::{SignedDuration, Timestamp};

/// Longest quote in an alert, in code points.
const MOST_QUOTE: usize = 200;
/// Kinds of spells kept of one person, at most: one for abuse, one for each other kind.
const ABUSE: &str = "abuse";

/// How long silence lasts and when the coach is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MannerRules {
    /// After the one answer, more of the kind is left unanswered for this long.
    pub quiet_for: SignedDuration,
    /// From this many messages of a kind within that time on the coach is told, once.
    pub tell_coach_at: u32,
}

/// What follows of one more message of a kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Step {
    answered: bool,
    told: bool,
}

/// Which spell a kind counts for.
const fn spell_of(kind: MannerKind) -> &'static str {
    if kind.is_abuse() { ABUSE } else { kind.word() }
}

/// The coach hears of it at once: somebody may come to harm.
const fn is_grave(kind: MannerKind) -> bool {
    matches!(
        kind,
        MannerKind::Threat | MannerKind::Sexual | MannerKind::Hate | MannerKind::Drugs
    )
}

/// Advertising, and talk of other things, are no trouble for the coach.
const fn troubles_coach(kind: MannerKind) -> bool {
    kind.is_abuse() || matches!(kind, MannerKind::Drugs | MannerKind::Spam)
}

/// Counts one more message of a kind: answered if it is the first for a while, told to the coach once.
fn count(spells: &mut Spells, kind: MannerKind, now: Timestamp, rules: MannerRules) -> Step {
    let spell = spells.entry(spell_of(kind).to_owned()).or_default();
    let over = spell
        .since
        .is_none_or(|since| now.duration_since(since) >= rules.quiet_for);
    if over {
        *spell = Spell::default();
        spell.since = Some(now);
    }
    spell.count = spell.count.saturating_add(1);
    spell.last = Some(now);
    let due = is_grave(kind) || spell.count >= rules.tell_coach_at;
    let told = troubles_coach(kind) && due && !spell.told;
    spell.told |= told;
    Step {
        answered: over,
        told,
    }
}

/// Spells by their name.
type Spells = std::collections::BTreeMap<String, Spell>;

/// Answers a message that is no set and no answer but one of these kinds; false when it is not.
pub(super) fn taken(turn: &mut Turn<'_>, part: &Part, reading: &Reading) -> bool {
    let Some(kind) = kind_of(turn.event, turn.known, &part.text) else {
        return false;
    };
    // Words on health, a set, and whatever is written under a stop go the usual way.
    let halted = |case: &Case| case.state == CaseState::Halted;
    if reading.level > FlagLevel::None
        || is_set(kind, reading)
        || turn.known.cases.iter().any(halted)
    {
        return false;
    }
    let case = belongs(turn.event, turn.known, reading).cloned();
    let open = case
        .as_ref()
        .and_then(|case| case.body.open_question.as_ref());
    if open.is_some_and(|open| answer::choice(open, &part.text).is_some()) {
        return false;
    }
    // With the coach, a question is the coach's to answer, whatever it is about.
    let here = |case: &&Case| case.state.is_open() && case.room_id == turn.event.room_id;
    let coachs = turn.known.cases.iter().filter(here);
    let with_coach = coachs
        .clone()
        .any(|case| case.state == CaseState::WithCoach);
    if with_coach && matches!(kind, MannerKind::OffTopic | MannerKind::Orders) {
        return false;
    }
    let one = coachs.clone().next().filter(|_| coachs.count() == 1);
    let case = case.or_else(|| one.cloned());
    let step = count(
        &mut turn.lifter.profile.manners,
        kind,
        turn.now,
        turn.known.rules.manners,
    );
    if let Some(case) = &case {
        turn.note(case, part);
    }
    if step.answered {
        let said = said(turn, kind, case.as_ref());
        turn.reply("first", said, case.as_ref());
    }
    if step.told {
        tell(turn, kind, &part.text, case.as_ref());
    }
    match case {
        Some(case) => turn.keep(case),
        None => turn.keep_lifter(),
    }
    true
}

/// A set is told, or something seen in one. A percentage, a price or a phone number of an advertisement
/// is no load without a lift.
fn is_set(kind: MannerKind, reading: &Reading) -> bool {
    let fields = &reading.fields;
    let load = fields.load.is_some() || reading.bare_load.is_some();
    let counted = fields.reps.is_some() || fields.missed.is_some();
    let lift = fields.lift.is_some();
    if kind == MannerKind::Spam {
        return lift && (load || counted);
    }
    load || fields.missed.is_some() || (lift && counted) || !reading.signs.is_empty()
}

/// The kind of a message, unless it is said to another member and hurts nobody.
fn kind_of(event: &Event, known: &Known<'_>, text: &str) -> Option<MannerKind> {
    let kind = manner(text, known.catalog)?.kind;
    let to_a_member = matches!(
        &event.payload,
        Payload::Message {
            reply_to: Some(_),
            ..
        }
    ) && known.ours.is_none();
    (kind.is_abuse() || !to_a_member).then_some(kind)
}

/// The answer to a kind, and what is still open in the case.
fn said(turn: &Turn<'_>, kind: MannerKind, case: Option<&Case>) -> String {
    let words = turn.known.words;
    let zone = turn.lifter.zone.as_deref();
    let number = turn.known.rules.emergency_number(zone);
    let key = format!("manners.{}", kind.word().replace('-', "_"));
    let mut said = words.say(&key, &[("emergency_number", &number)]);
    let asking = case.filter(|case| case.state == CaseState::Asking);
    if let Some(open) = asking.and_then(|case| case.body.open_question.as_ref()) {
        said.push('\n');
        said.push_str(&words.say("manners.still_open", &[("question", &open.text)]));
    }
    said
}

/// A line for the coach, with the words, without their links.
fn tell(turn: &mut Turn<'_>, kind: MannerKind, text: &str, case: Option<&Case>) {
    let words = turn.known.words;
    let hours = turn.known.rules.manners.quiet_for.as_hours().to_string();
    let quote: String = without_links(text).chars().take(MOST_QUOTE).collect();
    let values = [
        ("name", &*escape(&turn.lifter.display_name)),
        (
            "kind",
            &*words.say(
                &format!("manners.kind_{}", kind.word().replace('-', "_")),
                &[],
            ),
        ),
        ("text", &*escape(&quote)),
        ("hours", &*hours),
    ];
    let alert = words.say("manners.alert", &values);
    turn.alert("manners", alert, case);
}

/// The text with every link left out: none is repeated.
fn without_links(text: &str) -> String {
    let link = |word: &str| {
        let word = word.to_lowercase();
        word.contains("://") || word.starts_with("www.") || word.contains(".com/")
    };
    let words = text.split_whitespace();
    let words: Vec<&str> = words
        .map(|word| if link(word) { "(link)" } else { word })
        .collect();
    words.join(" ")
}

/// A set with an insult beside it, or a question about drugs: the set is answered, and one sentence is
/// added. Under a stop nothing is.
pub(super) fn beside(event: &Event, known: &Known<'_>, now: Timestamp, effects: &mut Effects) {
    let Payload::Message {
        text, version: 1, ..
    } = &event.payload
    else {
        return;
    };
    let Some(kind) = kind_of(event, known, text) else {
        return;
    };
    let Some(mut lifter) = effects.lifter.clone() else {
        return;
    };
    let name = spell_of(kind);
    let counted = lifter
        .profile
        .manners
        .get(name)
        .and_then(|spell| spell.last)
        == Some(now);
    let stopped = |case: &Case| case.state == CaseState::Halted;
    let stopped = effects.cases.iter().chain(&known.cases).any(stopped);
    let sets = effects
        .cases
        .iter()
        .any(|case| !case.body.rounds.is_empty());
    if counted || stopped || !sets || !(kind.is_abuse() || kind == MannerKind::Drugs) {
        return;
    }
    let step = count(&mut lifter.profile.manners, kind, now, known.rules.manners);
    effects.lifter = Some(lifter.clone());
    let reply = effects
        .outbox
        .iter_mut()
        .find(|message| message.purpose == Purpose::Reply);
    if let Some(reply) = reply.filter(|_| step.answered) {
        let key = if kind == MannerKind::Drugs {
            "manners.beside_drugs"
        } else {
            "manners.beside"
        };
        reply.text = format!("{}\n{}", reply.text, known.words.say(key, &[]));
    }
    if step.told {
        let mut turn = Turn::new(event, known, now, lifter, effects);
        tell(&mut turn, kind, text, None);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const RULES: MannerRules = MannerRules {
        quiet_for: SignedDuration::from_hours(24),
        tell_coach_at: 3,
    };

    #[test]
    fn one_answer_a_day_and_one_line_for_the_coach_however_much_is_written() {
        let start: Timestamp = "2026-03-02T17:00:00Z".parse().unwrap();
        let mut spells = Spells::new();
        let (mut answered, mut told) = (0, 0);
        for minute in 0..24 * 60 {
            let now = start + SignedDuration::from_mins(minute);
            let step = count(&mut spells, MannerKind::Insult, now, RULES);
            answered += u32::from(step.answered);
            told += u32::from(step.told);
        }
        assert_eq!((answered, told, spells.len()), (1, 1, 1));
        let next = start + SignedDuration::from_hours(24);
        assert!(count(&mut spells, MannerKind::Insult, next, RULES).answered);
        // A threat is told at once, also in the silence after an insult.
        let threat = count(&mut spells, MannerKind::Threat, next, RULES);
        assert_eq!((threat.answered, threat.told), (false, true));
        // Another kind is answered by itself.
        assert!(count(&mut spells, MannerKind::Spam, next, RULES).answered);
    }

    #[test]
    fn links_are_not_repeated() {
        let text = "buy at https://shop.example/x or www.shop.example now";
        assert_eq!(without_links(text), "buy at (link) or (link) now");
    }
}
