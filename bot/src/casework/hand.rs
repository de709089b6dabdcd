//! `hand 12 to NAME`: a case goes from one coach to another, named by id or as shown in the chat.

use super::speech::CoachWord;
use super::turn::Turn;
use super::{Rules, outbox};
use crate::record::{CaseFile, Outgoing, PersonKey, QueueChange, Recipient};
use crate::wording::escape;

/// Most words of a name; what is longer is talk.
const MOST_WORDS: usize = 3;

/// The order, if the text is one and nothing else: `hand 12 to ben`, `hand case 12 over to @ben`,
/// `hand 12 to Ana Lind`.
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
    let name: Vec<&str> = rest.take(MOST_WORDS + 1).collect();
    (to && (1..=MOST_WORDS).contains(&name.len())).then(|| CoachWord::Hand(number, name.join(" ")))
}

/// The coach meant: by id, by the whole name shown, or by a part of it that only one coach's has.
/// None, or several, when it is not clear.
fn meant<'a>(turn: &Turn<'a>, name: &str) -> Result<&'a PersonKey, Vec<String>> {
    let source = turn.event.key.source.as_str();
    let known = turn.known;
    let by_id = |coach: &&PersonKey| coach.person_id.eq_ignore_ascii_case(name);
    if let Some(coach) = coaches(known.rules, source).find(by_id) {
        return Ok(coach);
    }
    let words = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric());
        words
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect()
    };
    let said = words(name);
    let shown: Vec<(&PersonKey, Vec<String>)> = coaches(known.rules, source)
        .filter_map(|coach| {
            let (_, name) = known.coach_names.iter().find(|(key, _)| key == coach)?;
            Some((coach, words(name)))
        })
        .collect();
    let whole: Vec<&PersonKey> = shown
        .iter()
        .filter(|(_, name)| *name == said)
        .map(|(coach, _)| *coach)
        .collect();
    let part = |name: &Vec<String>| !said.is_empty() && said.iter().all(|word| name.contains(word));
    let found: Vec<&PersonKey> = if whole.is_empty() {
        shown
            .iter()
            .filter(|(_, name)| part(name))
            .map(|(coach, _)| *coach)
            .collect()
    } else {
        whole
    };
    match found.as_slice() {
        [coach] => Ok(coach),
        several => Err(several
            .iter()
            .map(|coach| coach.person_id.clone())
            .collect()),
    }
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
    let to = match meant(turn, name) {
        Ok(to) => to.clone(),
        Err(several) => {
            let all = || coaches(rules, source).map(|coach| coach.person_id.clone());
            let (key, coaches) = if several.is_empty() {
                ("coach.no_coach", all().collect::<Vec<_>>())
            } else {
                ("coach.which_coach", several)
            };
            let values = [
                ("name", escape(name)),
                ("coaches", escape(&coaches.join(", "))),
            ];
            let values = values
                .each_ref()
                .map(|(name, value)| (*name, value.as_str()));
            return words.say(key, &values);
        }
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
        assert_eq!(
            hand_word("hand 12 to Ana Lind"),
            Some(CoachWord::Hand(12, "Ana Lind".to_owned()))
        );
        for text in [
            "hand 12 to",
            "hand me the 20s",
            "hand 12 to ben when he is back",
            "hand 12 to the new coach today please",
            "hands to ben",
            "12 hand",
        ] {
            assert_eq!(hand_word(text), None, "{text}");
        }
    }
}
