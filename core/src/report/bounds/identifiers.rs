//! Bounds on text, ids, lists and traces.

use super::{Broken, shown};
use crate::report::SetReport;

/// Characters of the lifter's words.
const MOST_WORDS: usize = 8000;

/// Characters of a link.
const MOST_CLIP: usize = 2048;

/// Characters of a short text: rule set, place of a miss, answer.
const MOST_SHORT: usize = 200;

/// Characters of an id.
const MOST_ID: usize = 40;

/// Characters of a time zone's name.
const MOST_ZONE: usize = 64;

/// Ids in one list.
const MOST_IDS: usize = 64;

/// Sets told in one message.
const MOST_LISTED: usize = 40;

/// Answers.
const MOST_ANSWERS: usize = 32;

/// Traces.
const MOST_TRACES: usize = 4;

/// Bytes of one trace as CSV and as JSON (our own bounds: three minutes of a bar, or of points of a
/// body, at the highest rate of a phone).
const MOST_CSV_BYTES: usize = 4 << 20;
const MOST_JSON_BYTES: usize = 16 << 20;

/// Someone's text cut short for an error, control characters left out.
fn excerpt(text: &str) -> String {
    let mut clean = text.chars().filter(|c| !c.is_control());
    let start: String = clean.by_ref().take(MOST_ID).collect();
    let more = if clean.next().is_some() { "…" } else { "" };
    format!("\"{start}{more}\"")
}

/// Notes a text that is too long.
fn at_most(broken: &mut Broken, field: &str, text: Option<&str>, most: usize) {
    let length = text.map_or(0, |text| text.chars().count());
    if length > most {
        broken.push(
            field,
            format!("{length} characters"),
            format!("at most {most} characters"),
        );
    }
}

/// Rule set, place of a miss and time zone.
pub(super) fn names(broken: &mut Broken, report: &SetReport) {
    let place = report
        .missed
        .as_ref()
        .and_then(|miss| miss.place.as_deref());
    at_most(broken, "missed.where", place, MOST_SHORT);
    at_most(broken, "rule_set", report.rule_set.as_deref(), MOST_SHORT);
    if let Some(zone) = report.time_zone.as_deref().filter(|zone| !is_zone(zone)) {
        broken.push(
            "time_zone",
            excerpt(zone),
            "an IANA name such as Europe/Lisbon or UTC, at most 64 characters",
        );
    }
}

/// The shape of an IANA time zone name; whether it exists is for the one who has the data.
fn is_zone(zone: &str) -> bool {
    let part_ok = |part: &str| {
        !part.is_empty()
            && part
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'+'))
    };
    zone.len() <= MOST_ZONE
        && zone.starts_with(|c: char| c.is_ascii_alphabetic())
        && zone.split('/').all(part_ok)
}

/// The link to a clip and the words.
pub(super) fn texts(broken: &mut Broken, report: &SetReport) {
    if let Some(clip) = report.clip.as_deref() {
        let has_host = clip
            .strip_prefix("https://")
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_alphanumeric()));
        let plain = !clip.chars().any(|c| c.is_control() || c.is_whitespace());
        if !has_host || !plain {
            broken.push("clip", excerpt(clip), "a link that starts with https://");
        }
    }
    at_most(broken, "clip", report.clip.as_deref(), MOST_CLIP);
    at_most(broken, "words", report.words.as_deref(), MOST_WORDS);
}

/// True for `[a-z0-9-]{1,40}`.
fn is_id(id: &str) -> bool {
    (1..=MOST_ID).contains(&id.len())
        && id
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
}

/// What an id may be, in words.
const ID_SHAPE: &str = "1 to 40 of a-z, 0-9 and -";

/// Ticked signs, flags and answers.
pub(super) fn lists(broken: &mut Broken, report: &SetReport) {
    for (field, ids) in [
        ("seen", &report.seen),
        ("not_seen", &report.not_seen),
        ("flags", &report.flags),
    ] {
        if ids.len() > MOST_IDS {
            broken.push(
                field,
                format!("{} ids", ids.len()),
                format!("at most {MOST_IDS} ids"),
            );
        }
        if let Some(id) = ids.iter().find(|id| !is_id(id)) {
            broken.push(field, excerpt(id), ID_SHAPE);
        }
    }
    if let Some(both) = report.not_seen.iter().find(|id| report.seen.contains(id)) {
        broken.push(
            "not_seen",
            format!("{} in seen as well", excerpt(both)),
            "a sign in one of seen and not_seen",
        );
    }
    if report.listed.len() > MOST_LISTED {
        broken.push(
            "listed",
            format!("{} sets", report.listed.len()),
            format!("at most {MOST_LISTED} sets"),
        );
    }
    if report.answers.len() > MOST_ANSWERS {
        broken.push(
            "answers",
            format!("{} answers", report.answers.len()),
            format!("at most {MOST_ANSWERS} answers"),
        );
    }
    if let Some(question) = report.answers.keys().find(|id| !is_id(id)) {
        broken.push("answers", excerpt(question), ID_SHAPE);
    }
    for choice in report.answers.values() {
        at_most(broken, "answers", Some(choice), MOST_SHORT);
    }
}

/// Traces.
pub(super) fn traces(broken: &mut Broken, report: &SetReport) {
    if report.traces.len() > MOST_TRACES {
        broken.push(
            "traces",
            format!("{} traces", report.traces.len()),
            format!("at most {MOST_TRACES} traces"),
        );
    }
    for trace in report.traces.iter().take(MOST_TRACES) {
        if !matches!(trace.kind.as_str(), "bar-track" | "keypoints") {
            broken.push(
                "traces.kind",
                excerpt(&trace.kind),
                "bar-track or keypoints",
            );
        }
        if !matches!(trace.format.as_str(), "csv" | "json") {
            broken.push("traces.format", excerpt(&trace.format), "csv or json");
        }
        let most = if trace.format == "csv" {
            MOST_CSV_BYTES
        } else {
            MOST_JSON_BYTES
        };
        if trace.data.len() > most {
            broken.push(
                "traces.data",
                format!("{} bytes", trace.data.len()),
                format!("at most {most} bytes as {}", trace.format),
            );
        }
        if let Some(scale) = trace.scale
            && !(scale.is_finite() && scale > 0.0)
        {
            broken.push("traces.scale", shown(scale), "metres in one unit, above 0");
        }
    }
}
