//! The `CloudEvents` 1.0 envelope in its JSON form, structured mode.

use super::fields::{Faults, Fields};
use super::json::{Json, shown};
use super::problem::FieldFault;
use jiff::Timestamp;

/// Most extension attributes.
const MOST_EXTENSIONS: usize = 32;

/// Longest extension name and longest text of an attribute that is not used, characters.
const EXTENSION_NAME: usize = 64;
const ATTRIBUTE_CHARS: usize = 2_048;

/// A checked envelope.
#[derive(Debug)]
pub(super) struct Envelope {
    pub(super) id: String,
    pub(super) source: String,
    pub(super) kind: String,
    pub(super) time: Option<Timestamp>,
    pub(super) data: Option<Json>,
}

/// Checks the envelope; `data` is left as it is.
pub(super) fn read(body: Json) -> Result<Envelope, Vec<FieldFault>> {
    let mut faults = Faults::default();
    let Some(mut fields) = Fields::new(Some(body), "", &mut faults) else {
        return Err(faults.into_list());
    };
    fields.text("specversion", "\"1.0\"", &mut faults, |v| v == "1.0");
    let id = fields.id("id", &mut faults);
    let source = fields.text(
        "source",
        "a URI reference, 1 to 2048 characters",
        &mut faults,
        is_uri_reference,
    );
    let kind = fields.text("type", "1 to 128 characters", &mut faults, |t| {
        super::fields::is_name(t, 128)
    });
    fields.optional_text(
        "datacontenttype",
        "\"application/json\"",
        &mut faults,
        |t| t.eq_ignore_ascii_case("application/json"),
    );
    for unused in ["dataschema", "subject"] {
        let fits = |t: &str| super::fields::is_name(t, ATTRIBUTE_CHARS);
        fields.optional_text(unused, "1 to 2048 characters", &mut faults, fits);
    }
    let accepted = "a time such as 2026-01-02T03:04:05Z (RFC 3339)";
    let time = fields
        .optional_text("time", accepted, &mut faults, |t| rfc3339(t).is_some())
        .and_then(|text| rfc3339(&text));
    if let Some(inline) = fields.take("data_base64") {
        faults.note(
            "data_base64",
            inline.describe(),
            "no such field; send `data`",
        );
    }
    let data = fields.take("data");
    extensions(fields, &mut faults);
    match (id, source, kind) {
        (Some(id), Some(source), Some(kind)) if faults.is_empty() => Ok(Envelope {
            id,
            source,
            kind,
            time,
            data,
        }),
        _ => Err(faults.into_list()),
    }
}

/// Extension attributes are allowed and not used: plain names, plain values.
fn extensions(fields: Fields, faults: &mut Faults) {
    let left = fields.into_left();
    if left.len() > MOST_EXTENSIONS {
        let found = format!("{} extension attributes", left.len());
        faults.note("", found, format!("at most {MOST_EXTENSIONS}"));
        return;
    }
    for (name, value) in left {
        let plain = (1..=EXTENSION_NAME).contains(&name.len())
            && name
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
        if !plain {
            let accepted = "an extension name: 1 to 64 of a-z 0-9";
            faults.note(shown(&name), "this name", accepted);
            continue;
        }
        let fits = match &value {
            Json::Null | Json::Flag(_) | Json::Whole(_) => true,
            Json::Text(text) => text.chars().count() <= ATTRIBUTE_CHARS,
            Json::Decimal(_) | Json::List(_) | Json::Object(_) => false,
        };
        if !fits {
            let accepted = "text of at most 2048 characters, an integer or a boolean";
            faults.note(name, value.describe(), accepted);
        }
    }
}

/// The characters of RFC 3986; the value is only ever compared.
fn is_uri_reference(text: &str) -> bool {
    (1..=2_048).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b"-._~:/?#[]@!$&'()*+,;=%".contains(&b))
}

/// A time after RFC 3339, section 5.6: full date, `T`, full time, `Z` or an offset.
fn rfc3339(text: &str) -> Option<Timestamp> {
    let bytes = text.as_bytes();
    let head = b"dddd-dd-ddTdd:dd:dd";
    let shaped = text.is_ascii()
        && (20..=64).contains(&bytes.len())
        && head.iter().zip(bytes).all(|(want, found)| match want {
            b'd' => found.is_ascii_digit(),
            b'T' => matches!(found, b'T' | b't'),
            exact => exact == found,
        })
        && is_rfc3339_tail(bytes.get(head.len()..).unwrap_or_default());
    if shaped { text.parse().ok() } else { None }
}

/// What follows the seconds: a fraction of 1 to 9 digits or none, then `Z` or `+hh:mm`.
fn is_rfc3339_tail(tail: &[u8]) -> bool {
    let zone = match tail.strip_prefix(b".") {
        None => tail,
        Some(rest) => {
            let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
            if !(1..=9).contains(&digits) {
                return false;
            }
            rest.get(digits..).unwrap_or_default()
        }
    };
    match zone {
        b"Z" | b"z" => true,
        [b'+' | b'-', h1, h2, b':', m1, m2] => [h1, h2, m1, m2].iter().all(|b| b.is_ascii_digit()),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::rfc3339;

    #[test]
    fn the_example_times_of_the_standard_are_read() {
        // RFC 3339, section 5.8: two spellings of the same moment, then one with an offset.
        let first = rfc3339("1985-04-12T23:20:50.52Z").unwrap();
        assert_eq!(first.as_millisecond(), 482_196_050_520);
        let left = rfc3339("1996-12-19T16:39:57-08:00").unwrap();
        let right = rfc3339("1996-12-20T00:39:57Z").unwrap();
        assert_eq!(left, right);
    }

    #[test]
    fn other_spellings_of_a_time_are_refused() {
        for odd in [
            "",
            "2026-01-02",
            "2026-01-02T03:04:05",
            "2026-01-02 03:04:05Z",
            "20260102T030405Z",
            "2026-01-02T03:04Z",
            "2026-13-02T03:04:05Z",
            "2026-02-30T03:04:05Z",
            "2026-01-02T25:04:05Z",
            "2026-01-02T03:04:05+01",
            "2026-01-02T03:04:05.Z",
            "2026-01-02T03:04:05Z[UTC]",
            "2026-01-02T03:04:05+01:00[Europe/Paris]",
            "+002026-01-02T03:04:05Z",
            "2026-01-02T03:04:05é",
        ] {
            assert!(rfc3339(odd).is_none(), "{odd}");
        }
    }
}
