//! `hand 12 to NAME`: a case goes from one coach to another.

use super::speech::CoachWord;
use super::turn::Turn;
use super::{Rules, outbox};
use crate::record::{CaseFile, Outgoing, PersonKey, QueueChange, Recipient};
use crate::wording::escape;

/// The order, if the text is one and nothing else: `hand 12 to ben`, `hand case 12 over to @ben`.
pub(super) fn hand_word(text: &str) -> Option<CoachWord> {
    let mut said = text
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !(c.is_alphanumeric() || c == '_' || c == '-')));
    if !said.next()?.eq_ignore_ascii_case("hand") {
        return None;
    }
    let mut rest =
        said.filter(|word| !["", "over", "case"].contains(&word.to_ascii_lowercase().as_str()));
    let number = rest.next()?.parse().ok()?;
    let to = rest.next()?.eq_ignore_ascii_case("to");
    let name = rest.next().filter(|_| to)?;
    rest.next()
        .is_none()
        .then(|| CoachWord::Hand(number, name.to_owned()))
}

/// The coaches of a platform.
fn coaches<'a>(rules: &'a Rules, source: &'a str) -> impl Iterator<Item = &'a PersonKey> {
    rules
        .coaches
        .iter()
        .filter(move |coach| coach.source == source)
}

/// Hands the case over: whoever holds it now, or anybody while nobody does.
pub(super) fn hand(turn: &mut Turn<'_>, file: &CaseFile, name: &str) -> String {
    let (rules, words) = (turn.known.rules, turn.known.words);
    let number = file.case.number.to_string();
    let source = &turn.event.key.source;
    let found = coaches(rules, source).find(|coach| coach.person_id.eq_ignore_ascii_case(name));
    let Some(to) = found.cloned() else {
        let known: Vec<&str> = coaches(rules, source)
            .map(|coach| coach.person_id.as_str())
            .collect();
        let values = [
            ("name", escape(name)),
            ("coaches", escape(&known.join(", "))),
        ];
        let values = values
            .each_ref()
            .map(|(name, value)| (*name, value.as_str()));
        return words.say("coach.no_coach", &values);
    };
    if let Some((by, until)) = super::coach::held_by_other(turn, file) {
        return super::coach::say_held(turn, file, by, until);
    }
    if file.queue_item.is_none() {
        return words.say("coach.not_waiting", &[("number", &number)]);
    }
    let until = turn.now.checked_add(rules.take_for).unwrap_or(turn.now);
    turn.effects.queue.push(QueueChange::Hand {
        case_id: file.case.id.clone(),
        from: super::coach::me(turn.event),
        to: to.clone(),
        until,
    });
    let until = super::coach::local_time(turn, until);
    let who = escape(&to.person_id);
    let values = [
        ("number", number.as_str()),
        ("who", &who),
        ("until", &until),
        ("by", &escape(&turn.event.actor.display_name)),
    ];
    tell_colleague(turn, file, &to, words.say("coach.handed_to_you", &values));
    words.say("coach.handed", &values)
}

/// Tells the coach who has it now, in private.
fn tell_colleague(turn: &mut Turn<'_>, file: &CaseFile, to: &PersonKey, text: String) {
    if to.person_id == turn.event.actor.id {
        return;
    }
    let key = outbox::key(&turn.event.key, "handed");
    let source = &turn.event.key.source;
    let alert = outbox::to_coach(turn.known.rules, source, key, text, Some(&file.case.id));
    turn.effects.outbox.extend(alert.map(|alert| Outgoing {
        to: Recipient::PersonId(to.person_id.clone()),
        mentions: vec![to.person_id.clone()],
        ..alert
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_case_is_handed_over_in_plain_words_and_talk_is_no_order() {
        for text in [
            "hand 12 to ben",
            "Hand case 12 over to @ben.",
            "hand over 12 to ben",
        ] {
            assert_eq!(
                hand_word(text),
                Some(CoachWord::Hand(12, "ben".to_owned())),
                "{text}"
            );
        }
        for text in [
            "hand 12 to",
            "hand me the 20s",
            "hand 12 to ben when he is back",
            "hands to ben",
            "12 hand",
        ] {
            assert_eq!(hand_word(text), None, "{text}");
        }
    }
}
