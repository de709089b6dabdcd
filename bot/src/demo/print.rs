//! The conversation on a terminal.

use super::play::{Played, is_coach};
use super::script::Step;
use crate::cli::Failure;
use crate::practice::{Chat, Message, Seat};
use crate::record::FieldValue;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::BTreeMap;
use std::io::Write as _;

/// Writes a line; a closed terminal ends the play.
fn line(text: &str) -> Result<(), String> {
    writeln!(std::io::stdout().lock(), "{text}").map_err(|error| error.to_string())
}

/// A heading.
pub(super) fn title(text: &str) -> Result<(), String> {
    line(&format!("\n== {text}"))
}

/// Time that passes.
pub(super) fn passing(hours: i64) -> Result<(), String> {
    let said = if hours % 24 == 0 && hours >= 48 {
        format!("{} days", hours / 24)
    } else {
        format!("{hours} hours")
    };
    line(&format!("   ... {said} pass ..."))
}

/// What somebody did.
pub(super) fn act(now: Timestamp, seat: &Seat, step: &Step) -> Result<(), String> {
    let what = if let Some(text) = &step.say {
        text.clone()
    } else if let Some(fields) = &step.submit {
        format!("(form) {}", form(fields))
    } else if let Some(label) = &step.press {
        format!("(presses \"{label}\")")
    } else if let Some(text) = &step.edit {
        format!("(edits) {text}")
    } else if step.delete.is_some() {
        "(takes the message back)".to_owned()
    } else {
        "(leaves the room)".to_owned()
    };
    let with = step
        .attach
        .as_ref()
        .map_or_else(String::new, |name| format!("  [with {name}]"));
    let twice = if step.twice {
        "  [delivered twice]"
    } else {
        ""
    };
    let who = if is_coach(seat) {
        format!("{} (coach)", seat.name)
    } else {
        seat.name.clone()
    };
    let at = TimeZone::UTC.to_datetime(now).strftime("%a %-d %b %H:%M");
    line(&format!("{at}  {who}: {what}{with}{twice}"))
}

/// What the service said.
pub(super) fn answer(message: &Message, people: &[Seat]) -> Result<(), String> {
    let to: Vec<&str> = message
        .mentions
        .iter()
        .filter_map(|id| people.iter().find(|seat| seat.id == *id))
        .map(|seat| seat.name.as_str())
        .collect();
    let alone = people
        .iter()
        .find(|seat| Chat::private_room(&seat.id) == message.room_id);
    let to = match (alone, to.is_empty()) {
        (Some(seat), _) => format!("{} alone", seat.name),
        (None, true) => format!("room {}", message.room_id),
        (None, false) => to.join(", "),
    };
    line(&format!("    Cueline -> {to}:"))?;
    if let Some(picture) = &message.picture {
        line(&format!("      [picture: {}]", picture.alt))?;
    }
    for text in message.text.lines() {
        line(&format!("      {}", text.replace("**", "")))?;
    }
    if !message.choices.is_empty() {
        let labels: Vec<String> = message
            .choices
            .iter()
            .map(|choice| format!("[{}]", choice.label))
            .collect();
        line(&format!("      {}", labels.join(" ")))?;
    }
    Ok(())
}

/// A form's fields in one line.
pub(super) fn form(fields: &BTreeMap<String, FieldValue>) -> String {
    let parts: Vec<String> = fields
        .iter()
        .map(|(name, value)| match value {
            FieldValue::Empty => format!("{name}: -"),
            FieldValue::Flag(flag) => format!("{name}: {}", if *flag { "yes" } else { "no" }),
            FieldValue::Number(number) => format!("{name}: {number}"),
            FieldValue::Text(text) => format!("{name}: {text}"),
            FieldValue::List(list) => format!("{name}: {}", list.join(", ")),
        })
        .collect();
    parts.join(", ")
}

/// The end of the play.
pub(super) fn summary(played: &Played) -> Result<(), Failure> {
    line(&format!(
        "\nPlayed {} steps: {} events in, {} messages out, {} expectations met.",
        played.steps, played.events, played.answers, played.checks
    ))
    .map_err(Failure::Other)
}
