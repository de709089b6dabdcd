//! Takes the fields of an object one by one and notes every fault with the field's full name,
//! what was found and what is accepted. Whatever is left over at the end was not asked for.

use super::json::{Json, shown};
use super::problem::FieldFault;
use crate::escape::is_bidi_control;
use crate::signing::is_id;
use std::collections::BTreeMap;

/// Most faults listed in one answer.
const MOST_FAULTS: usize = 16;

/// How an id looks, in words.
pub(super) const ID: &str = "an id: 1 to 128 of A-Z a-z 0-9 _ -";

/// The faults found so far.
#[derive(Debug, Default)]
pub(super) struct Faults(Vec<FieldFault>);

impl Faults {
    pub(super) fn note(
        &mut self,
        field: impl Into<String>,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) {
        if self.0.len() < MOST_FAULTS {
            self.0.push(FieldFault {
                field: field.into(),
                found: found.into(),
                accepted: accepted.into(),
            });
        }
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn into_list(self) -> Vec<FieldFault> {
        self.0
    }
}

/// An object being read. Getters answer with nothing when the field is missing or not accepted;
/// a required field that is missing is noted as a fault.
#[derive(Debug)]
pub(super) struct Fields {
    path: String,
    left: BTreeMap<String, Json>,
}

impl Fields {
    pub(super) fn new(
        value: Option<Json>,
        path: impl Into<String>,
        faults: &mut Faults,
    ) -> Option<Self> {
        let path = path.into();
        match value {
            Some(Json::Object(left)) => Some(Self { path, left }),
            other => {
                faults.note(path, describe(other.as_ref()), "an object");
                None
            }
        }
    }

    /// The full name of a field.
    pub(super) fn name(&self, field: &str) -> String {
        if self.path.is_empty() {
            shown(field)
        } else {
            format!("{}.{}", self.path, shown(field))
        }
    }

    /// The raw value; `null` counts as missing.
    pub(super) fn take(&mut self, field: &str) -> Option<Json> {
        self.left.remove(field).filter(|value| *value != Json::Null)
    }

    /// A required text that satisfies `fits`.
    pub(super) fn text(
        &mut self,
        field: &str,
        accepted: &str,
        faults: &mut Faults,
        fits: impl Fn(&str) -> bool,
    ) -> Option<String> {
        match self.take(field) {
            Some(Json::Text(text)) if fits(&text) => Some(text),
            other => {
                faults.note(self.name(field), describe(other.as_ref()), accepted);
                None
            }
        }
    }

    /// A text that may be missing.
    pub(super) fn optional_text(
        &mut self,
        field: &str,
        accepted: &str,
        faults: &mut Faults,
        fits: impl Fn(&str) -> bool,
    ) -> Option<String> {
        match self.take(field) {
            None => None,
            Some(Json::Text(text)) if fits(&text) => Some(text),
            other => {
                faults.note(self.name(field), describe(other.as_ref()), accepted);
                None
            }
        }
    }

    pub(super) fn id(&mut self, field: &str, faults: &mut Faults) -> Option<String> {
        self.text(field, ID, faults, is_id)
    }

    pub(super) fn optional_id(&mut self, field: &str, faults: &mut Faults) -> Option<String> {
        self.optional_text(field, ID, faults, is_id)
    }

    /// A required whole number in the range; `1.0` is not a whole number here.
    pub(super) fn whole(
        &mut self,
        field: &str,
        range: std::ops::RangeInclusive<u32>,
        faults: &mut Faults,
    ) -> Option<u32> {
        let found = self.take(field);
        if let Some(Json::Whole(number)) = &found
            && let Ok(number) = u32::try_from(*number)
            && range.contains(&number)
        {
            return Some(number);
        }
        let accepted = format!("an integer, {} to {}", range.start(), range.end());
        faults.note(self.name(field), describe(found.as_ref()), accepted);
        None
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(
        &mut self,
        field: &str,
        words: &[(&str, T)],
        faults: &mut Faults,
    ) -> Option<T> {
        let found = self.take(field);
        if let Some(Json::Text(text)) = &found
            && let Some((_, value)) = words.iter().find(|(word, _)| word == text)
        {
            return Some(*value);
        }
        let names: Vec<String> = words
            .iter()
            .map(|(word, _)| format!("\"{word}\""))
            .collect();
        let accepted = format!("one of {}", names.join(", "));
        faults.note(self.name(field), describe(found.as_ref()), accepted);
        None
    }

    /// A list of at most `most`; a missing one is empty.
    pub(super) fn list(&mut self, field: &str, most: usize, faults: &mut Faults) -> Vec<Json> {
        match self.take(field) {
            None => Vec::new(),
            Some(Json::List(items)) if items.len() <= most => items,
            other => {
                let accepted = format!("a list of at most {most}");
                faults.note(self.name(field), describe(other.as_ref()), accepted);
                Vec::new()
            }
        }
    }

    /// Every field left over is refused by name.
    pub(super) fn finish(self, faults: &mut Faults) {
        for (field, value) in &self.left {
            faults.note(self.name(field), value.describe(), "no such field");
        }
    }

    /// What is left, for objects whose names are free.
    pub(super) fn into_left(self) -> BTreeMap<String, Json> {
        self.left
    }
}

/// What was found, missing included.
pub(super) fn describe(value: Option<&Json>) -> String {
    value.map_or_else(|| "nothing".to_owned(), Json::describe)
}

/// A name that may be shown: counted in code points, without control or direction characters.
pub(super) fn is_name(text: &str, most: usize) -> bool {
    (1..=most).contains(&text.chars().count())
        && !text.chars().any(|c| c.is_control() || is_bidi_control(c))
}
