//! JSON, read strictly (RFC 8259 with the rules of RFC 7493): names unique at every depth, UTF-8
//! only, no character NUL, bounded depth and number of values. A typed tree of our own, so that
//! later refusals can name the field.

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::fmt;

/// Most values in one body. A body of zeros would otherwise grow sixteen times in memory.
const MOST_VALUES: u32 = 20_000;

/// Longest part of a found name or text that is shown back, characters.
const SHOWN_CHARS: usize = 40;

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Json {
    Null,
    Flag(bool),
    Whole(i64),
    Decimal(f64),
    Text(String),
    List(Vec<Json>),
    Object(BTreeMap<String, Json>),
}

impl Json {
    /// What it is, for a message to the sender. Long texts are only counted.
    pub(super) fn describe(&self) -> String {
        match self {
            Self::Null => "null".to_owned(),
            Self::Flag(flag) => flag.to_string(),
            Self::Whole(number) => number.to_string(),
            Self::Decimal(number) => format!("{number:?}"),
            Self::Text(text) => {
                let count = text.chars().count();
                if count <= SHOWN_CHARS {
                    format!("text {text:?}")
                } else {
                    format!("text of {count} characters")
                }
            }
            Self::List(items) => format!("list of {}", items.len()),
            Self::Object(_) => "object".to_owned(),
        }
    }
}

/// A name cut to what may be shown back.
pub(super) fn shown(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_control())
        .take(SHOWN_CHARS)
        .collect()
}

/// Reads a body; the error says what is wrong and where.
pub(super) fn parse(body: &[u8]) -> Result<Json, String> {
    let text = std::str::from_utf8(body)
        .map_err(|error| format!("The body is not UTF-8 at byte {}.", error.valid_up_to()))?;
    let mut reader = serde_json::Deserializer::from_str(text);
    let left = Cell::new(MOST_VALUES);
    let seed = Seed {
        left: &left,
        path: &Path::Root,
    };
    let value = seed
        .deserialize(&mut reader)
        .and_then(|value| reader.end().map(|()| value));
    value.map_err(|error| format!("The body is not acceptable JSON: {error}."))
}

/// Where a value stands; printed only in errors.
enum Path<'a> {
    Root,
    Name(&'a Path<'a>, &'a str),
    Index(&'a Path<'a>, usize),
}

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Root => Ok(()),
            Self::Name(Path::Root, name) => f.write_str(&shown(name)),
            Self::Name(parent, name) => write!(f, "{parent}.{}", shown(name)),
            Self::Index(parent, index) => write!(f, "{parent}[{index}]"),
        }
    }
}

struct Seed<'a> {
    left: &'a Cell<u32>,
    path: &'a Path<'a>,
}

impl<'de> DeserializeSeed<'de> for Seed<'_> {
    type Value = Json;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Json, D::Error> {
        let left = self
            .left
            .get()
            .checked_sub(1)
            .ok_or_else(|| D::Error::custom(format!("more than {MOST_VALUES} values")))?;
        self.left.set(left);
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Seed<'_> {
    type Value = Json;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Json, E> {
        Ok(Json::Null)
    }

    fn visit_bool<E: Error>(self, flag: bool) -> Result<Json, E> {
        Ok(Json::Flag(flag))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Json, E> {
        Ok(Json::Whole(number))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Json, E> {
        Ok(i64::try_from(number).map_or(Json::Decimal(number as f64), Json::Whole))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Json, E> {
        Ok(Json::Decimal(number))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Json, E> {
        self.visit_string(text.to_owned())
    }

    fn visit_string<E: Error>(self, text: String) -> Result<Json, E> {
        if text.contains('\0') {
            return Err(E::custom(format!(
                "the text in `{}` holds the character NUL",
                self.path
            )));
        }
        Ok(Json::Text(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Json, A::Error> {
        let mut list = Vec::new();
        loop {
            let path = Path::Index(self.path, list.len());
            let seed = Seed {
                left: self.left,
                path: &path,
            };
            let Some(item) = items.next_element_seed(seed)? else {
                return Ok(Json::List(list));
            };
            list.push(item);
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Json, A::Error> {
        let mut object = BTreeMap::new();
        while let Some(name) = entries.next_key::<String>()? {
            let path = Path::Name(self.path, &name);
            if object.contains_key(&name) {
                return Err(A::Error::custom(format!("`{path}` is there twice")));
            }
            if name.contains('\0') {
                return Err(A::Error::custom(format!(
                    "the name `{path}` holds the character NUL"
                )));
            }
            let seed = Seed {
                left: self.left,
                path: &path,
            };
            let value = entries.next_value_seed(seed)?;
            object.insert(name, value);
        }
        Ok(Json::Object(object))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::{Json, parse};
    use proptest::prelude::*;

    fn refused(body: &str) -> String {
        parse(body.as_bytes()).expect_err(body)
    }

    #[test]
    fn what_json_does_not_allow_is_refused() {
        // RFC 8259, sections 2 to 8.
        for body in [
            "",
            " ",
            "{",
            "[1,]",
            "{\"a\":1,}",
            "NaN",
            "Infinity",
            "01",
            "+1",
            ".5",
            "1.",
            "'a'",
            "{} {}",
            "{}x",
            "\u{FEFF}{}",
            "\"\\ud800\"",
            "\"\\x41\"",
            "\"a\nb\"",
            "1e400",
            "-1e400",
            "// x\n1",
            "True",
        ] {
            refused(body);
        }
        assert_eq!(
            parse(b"\xff\x00.").unwrap_err(),
            "The body is not UTF-8 at byte 0."
        );
        assert!(parse(b"\"\xed\xa0\x80\"").is_err(), "surrogate in UTF-8");
    }

    #[test]
    fn a_name_written_twice_is_refused_at_any_depth_and_in_any_spelling() {
        assert!(refused(r#"{"id":"a","id":"b"}"#).contains("`id` is there twice"));
        assert!(refused(r#"{"a":1,"\u0061":2}"#).contains("`a` is there twice"));
        let nested = refused(r#"{"data":{"list":[{"x":1,"x":1}]}}"#);
        assert!(
            nested.contains("`data.list[0].x` is there twice"),
            "{nested}"
        );
    }

    #[test]
    fn the_character_nul_is_refused_with_its_place() {
        let error = refused(r#"{"data":{"text":"a\u0000b"}}"#);
        assert!(
            error.contains("`data.text` holds the character NUL"),
            "{error}"
        );
        refused(r#"{"a\u0000":1}"#);
    }

    #[test]
    fn depth_and_number_of_values_are_bounded() {
        let deep = |n: usize| format!("{}{}", "[".repeat(n), "]".repeat(n));
        assert!(parse(deep(127).as_bytes()).is_ok());
        assert!(refused(&deep(128)).contains("recursion limit"));
        refused(&"[".repeat(100_000));
        let zeros = format!("[{}0]", "0,".repeat(200_000));
        assert!(refused(&zeros).contains("more than 20000 values"));
    }

    #[test]
    fn numbers_keep_their_kind() {
        let kinds = parse(b"[1, 1.0, -0, 18446744073709551616, 9223372036854775808, 1e-400]");
        let Json::List(kinds) = kinds.unwrap() else {
            panic!("a list")
        };
        assert_eq!(kinds.first(), Some(&Json::Whole(1)));
        assert!(kinds.iter().skip(1).all(|n| matches!(n, Json::Decimal(_))));
    }

    proptest! {
        #[test]
        fn no_body_makes_it_fall_over(body in proptest::collection::vec(any::<u8>(), 0..200)) {
            let _ = parse(&body);
        }

        #[test]
        fn it_accepts_only_what_an_ordinary_reader_accepts(body in r#"[\[\]{}:,"a0-9.e\\u -]{0,30}"#) {
            if parse(body.as_bytes()).is_ok() {
                prop_assert!(serde_json::from_str::<serde_json::Value>(&body).is_ok());
            }
        }
    }
}
