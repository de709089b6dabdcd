//! A copy of everything kept of a lifter, to the lifter alone.

use super::turn::Turn;
use super::{chat_words, outbox};
use crate::record::{CaseState, DataLink, Dossier, Keep, Outgoing, Recipient, hex};
use crate::wording::{escape, profile_of};
use jiff::{SignedDuration, Timestamp};
use serde_json::Value;
use sha2::{Digest as _, Sha256};

/// Most private messages of the readable part.
const MOST_READABLE: usize = 5;
/// Most private messages of the whole, where there is no address to fetch it from.
const MOST_PIECES: usize = 12;
/// Longest piece, in code points; what a platform takes, less our head.
const PIECE: usize = 3_700;

/// Tells a lifter what is kept: a readable part in private, and the whole by link or in pieces.
pub(super) fn tell(turn: &mut Turn<'_>) {
    let words = turn.known.words;
    let Some(dossier) = turn.known.dossier.clone() else {
        return;
    };
    if turn.known.lifter.is_some() {
        turn.keep_lifter();
    }
    turn.reply("first", words.say("privacy.data_coming", &[]), None);
    for (index, part) in readable(turn, &dossier).into_iter().enumerate() {
        private(turn, &format!("data-{index}"), part);
    }
    let rules = &turn.known.rules.privacy;
    if let (Some(url), Some(token)) = (&rules.public_url, &turn.known.token) {
        let expires_at = turn
            .now
            .checked_add(SignedDuration::from_mins(i64::from(rules.link_minutes)))
            .unwrap_or(turn.now);
        let text = words.say(
            "privacy.data_link",
            &[
                ("link", &format!("{url}/data?key={token}")),
                ("minutes", &rules.link_minutes.to_string()),
                ("times", &rules.link_uses.to_string()),
            ],
        );
        turn.effects.data_links.push(DataLink {
            token_hash: token_hash(token),
            person: turn.lifter.key.clone(),
            expires_at,
            uses: rules.link_uses,
        });
        private(turn, "data-link", text);
        return;
    }
    let document = dossier.document(&turn.lifter.key, turn.now).to_string();
    // With pictures in it, it is not even cut up.
    let long = document.chars().count() > MOST_PIECES * PIECE;
    let pieces = if long { Vec::new() } else { pieces(&document) };
    if dossier.cut || long || pieces.len() > MOST_PIECES {
        private(
            turn,
            "data-too-much",
            words.say("privacy.data_too_much", &[]),
        );
        let text = words.say(
            "coach.alert_data",
            &[
                ("name", &escape(&turn.lifter.display_name)),
                ("source", &escape(&turn.lifter.key.source)),
                ("person", &escape(&turn.lifter.key.person_id)),
            ],
        );
        turn.alert("data", text, None);
        return;
    }
    let count = pieces.len().to_string();
    for (index, piece) in pieces.iter().enumerate() {
        let head = words.say(
            "privacy.data_piece",
            &[("part", &(index + 1).to_string()), ("of", &count)],
        );
        private(
            turn,
            &format!("data-piece-{index}"),
            format!("{head}\n`{piece}`"),
        );
    }
}

/// The hash by which a link's key is kept.
fn token_hash(token: &str) -> String {
    hex(&Sha256::digest(token.as_bytes()))
}

/// A message to the lifter alone that leaves nothing behind: it holds what is kept elsewhere.
fn private(turn: &mut Turn<'_>, slot: &str, text: String) {
    let message = Outgoing {
        to: Recipient::PersonId(turn.event.actor.id.clone()),
        thread_id: None,
        reply_to: None,
        mentions: Vec::new(),
        keep: Keep::Nothing,
        ..outbox::reply(turn.event, slot, text, None)
    };
    turn.effects.outbox.push(message);
}

/// A document in pieces that can stand in code spans: what could end one is written as an escape,
/// which JSON reads as the same. Put together they are the document again.
fn pieces(document: &str) -> Vec<String> {
    let mut letters = Vec::with_capacity(document.len());
    for letter in document.chars() {
        let turns = matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        if turns || matches!(letter, '`' | '@' | '<') {
            letters.extend(format!("\\u{:04x}", u32::from(letter)).chars());
        } else {
            letters.push(letter);
        }
    }
    letters
        .chunks(PIECE)
        .map(|piece| piece.iter().collect())
        .collect()
}

/// What a person can read without a program, in parts of a message each.
fn readable(turn: &Turn<'_>, dossier: &Dossier) -> Vec<String> {
    let words = turn.known.words;
    let mut lines = vec![words.say("privacy.data_head", &[])];
    for (table, rows) in &dossier.tables {
        if !rows.is_empty() {
            let text = words.say(
                "privacy.data_count",
                &[
                    ("what", table_name(table)),
                    ("count", &rows.len().to_string()),
                ],
            );
            lines.push(text);
        }
    }
    if turn.known.lifter.is_some() {
        let zone = turn.lifter.zone.as_deref().map(escape);
        let facts = profile_of(words, &turn.lifter, zone.as_deref());
        let name = escape(&turn.lifter.display_name);
        let values = [("name", &*name), ("facts", &*facts.join("; "))];
        lines.push(words.say("privacy.data_profile", &values));
    }
    for row in dossier.rows("cases") {
        let number = row["number"].to_string();
        let text = |name: &str| escape(row[name].as_str().unwrap_or("-"));
        let rounds = row["body"]["rounds"].as_array().map_or(0, Vec::len);
        lines.push(words.say(
            "privacy.data_case",
            &[
                ("number", &number),
                ("lift", &text("lift")),
                ("state", &state(&row["state"])),
                ("opened", &when(turn, &row["opened_at"])),
                ("sets", &rounds.to_string()),
            ],
        ));
    }
    for row in dossier.rows("entries") {
        let text = |name: &str| row[name].as_str().unwrap_or_default();
        if !text("text").is_empty() {
            // The marks of our own texts are no part of what is said.
            let ours = matches!(text("kind"), "reply" | "reminder");
            let said = if ours {
                escape(&text("text").replace("**", ""))
            } else {
                escape(text("text"))
            };
            let at = when(turn, &row["at"]);
            lines.push(format!("- {at}, {}: {said}", escape(text("who"))));
        }
    }
    parts(&lines, &words.say("privacy.data_more", &[]))
}

/// Lines put together into messages; what does not fit into the last is in the whole.
fn parts(lines: &[String], more: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for line in lines {
        let line: String = line.chars().take(PIECE).collect();
        let full = parts.len() == MOST_READABLE;
        match parts.last_mut() {
            Some(part) if part.chars().count() + line.chars().count() < PIECE => {
                part.push('\n');
                part.push_str(&line);
            }
            Some(last) if full => {
                last.push('\n');
                last.push_str(more);
                break;
            }
            _ => parts.push(line),
        }
    }
    parts
}

/// A state as a lifter reads it; as it is kept where it is none.
fn state(row: &Value) -> String {
    let word = row.as_str().unwrap_or("-");
    match CaseState::from_word(word) {
        Some(state) => chat_words::state_words(state).to_owned(),
        None => escape(word),
    }
}

/// A time where the lifter is: `2 March 2026, 17:00`; as it is kept where it is none.
fn when(turn: &Turn<'_>, row: &Value) -> String {
    let kept = row.as_str().unwrap_or("-");
    match kept.parse::<Timestamp>() {
        Ok(at) => {
            let local = turn.zone.to_datetime(at);
            local.strftime("%-d %B %Y, %H:%M").to_string()
        }
        Err(_) => escape(kept),
    }
}

/// A table as said to a lifter.
fn table_name(table: &str) -> &str {
    match table {
        "lifters" => "profile",
        "entries" => "entries of your cases' history",
        "consents" => "questions about consent, and your answers",
        "access_log" => "looks and acts of a coach at the desk, in your cases",
        "sheet_cases" => "review sheets your cases were on",
        "standing_hidden" => "wish not to be named in the standing",
        "case_files" => "pictures and traces",
        "queue" => "cases that wait for the coach",
        "follow_ups" => "dated asks",
        "verdicts" => "the coach's verdicts on your sets",
        "challenge_answers" => "answers of yours to challenges",
        "challenges" => "challenges made of your sets",
        "strikes" => "strikes (advice of yours that was removed)",
        "inbox" => "messages and presses from you, as they came",
        "outbox" => "messages to you",
        "message_marks" => "marks on your messages",
        "quarantine" => "messages that could not be read",
        "data_links" => "links to your data",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_put_together_are_the_same_document_and_none_ends_its_code_span() {
        let document = serde_json::json!({
            "text": "`` ** @everyone <@1> \u{202e} \\ \" ½".repeat(900),
        });
        let pieces = pieces(&document.to_string());
        assert!(pieces.len() > 2);
        assert!(pieces.iter().all(|piece| !piece.contains(['`', '@', '\n'])));
        let again: Value = serde_json::from_str(&pieces.concat()).unwrap_or_default();
        assert_eq!(again, document);
    }

    #[test]
    fn many_lines_become_a_few_messages_and_the_rest_is_pointed_to() {
        let lines: Vec<String> = (0..2_000).map(|n| format!("line {n} of many")).collect();
        let parts = parts(&lines, "the rest is in the whole");
        assert_eq!(parts.len(), MOST_READABLE);
        assert!(parts.iter().all(|part| part.chars().count() <= 4_000));
        assert!(parts[MOST_READABLE - 1].ends_with("the rest is in the whole"));
        assert_eq!(super::parts(&lines[..3], "more").len(), 1);
    }
}
