//! What the page sends: fields by name, from a plain HTML form or as JSON, and the set form
//! made of them.

use super::problem::Problem;
use crate::record::FieldValue;
use axum::extract::{FromRequest, Request};
use axum::http::{HeaderMap, StatusCode, header};
use axum::{Form, Json};
use serde_json::Value;
use std::collections::BTreeMap;

/// The set form's id with the service.
pub(super) const FORM: (&str, u32) = ("set-report", 1);

/// The fields of one request, all as text, and how it wants to be answered.
#[derive(Debug)]
pub(super) struct Fields {
    values: BTreeMap<String, String>,
    /// Answer with JSON; else send the browser back to the page.
    pub(super) json: bool,
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let names = |headers: &HeaderMap, name, kind: &str| {
            headers
                .get(name)
                .and_then(|value| value.to_str().ok())
                .is_some_and(|value| value.contains(kind))
        };
        let sent_json = names(request.headers(), header::CONTENT_TYPE, "application/json");
        let json = sent_json || names(request.headers(), header::ACCEPT, "application/json");
        let values = if sent_json {
            let Json(object) = Json::<BTreeMap<String, Value>>::from_request(request, state)
                .await
                .map_err(|refused| unread(refused.status(), &refused.body_text()))?;
            let flat = object.into_iter().map(|(name, value)| match value {
                Value::Null => Ok((name, String::new())),
                Value::String(text) => Ok((name, text)),
                Value::Bool(_) | Value::Number(_) => Ok((name, value.to_string())),
                _ => Err(Problem::bad(format!(
                    "{name} must be a text, number or yes/no."
                ))),
            });
            flat.collect::<Result<_, _>>()?
        } else {
            let Form(pairs) = Form::<Vec<(String, String)>>::from_request(request, state)
                .await
                .map_err(|refused| unread(refused.status(), &refused.body_text()))?;
            pairs.into_iter().collect()
        };
        Ok(Self { values, json })
    }
}

fn unread(status: StatusCode, why: &str) -> Problem {
    Problem::new(status, "this cannot be read", why)
}

impl Fields {
    /// A field, trimmed; `None` when missing or empty.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        let value = self.values.get(name)?.trim();
        (!value.is_empty()).then_some(value)
    }

    /// A field that must be there.
    pub(super) fn need(&self, name: &str) -> Result<&str, Problem> {
        self.get(name)
            .ok_or_else(|| Problem::bad(format!("{name} is missing.")))
    }

    /// A text of at most `most` characters, line ends made `\n`, without NUL.
    pub(super) fn text(&self, name: &str, most: usize) -> Result<String, Problem> {
        let text = self.need(name)?.replace("\r\n", "\n");
        let found = text.chars().count();
        if found > most {
            return Err(Problem::bad(format!(
                "{name} has {found} characters; at most {most} are accepted."
            )));
        }
        if text.contains('\0') {
            return Err(Problem::bad(format!("{name} holds a NUL character.")));
        }
        Ok(text)
    }

    /// The set form's fields as the service gets them, those left empty left out. Whether the
    /// figures make sense is for the service to say.
    pub(super) fn set_form(&self) -> Result<BTreeMap<String, FieldValue>, Problem> {
        let mut fields = BTreeMap::new();
        for name in ["load", "reps", "rpe", "body_mass", "best"] {
            if let Some(found) = self.get(name) {
                let number = found.replace(',', ".").parse::<f64>().ok();
                let number = number.filter(|number| number.is_finite()).ok_or_else(|| {
                    Problem::bad(format!("{name} must be a number such as 142.5."))
                })?;
                fields.insert(name.to_owned(), FieldValue::Number(number));
            }
        }
        let worded: [(&str, &[&str]); 3] = [
            ("lift", &["squat", "bench", "deadlift"]),
            ("unit", &["kg", "lb"]),
            ("view", &["side", "front", "rear", "three-quarter"]),
        ];
        for (name, accepted) in worded {
            if let Some(found) = self.get(name) {
                if !accepted.contains(&found) {
                    let accepted = accepted.join(", ");
                    return Err(Problem::bad(format!("{name} must be one of: {accepted}.")));
                }
                fields.insert(name.to_owned(), FieldValue::Text(found.to_owned()));
            }
        }
        for name in ["alone", "safeties"] {
            let flag = match self.get(name) {
                None => continue,
                Some("yes" | "true") => true,
                Some("no" | "false") => false,
                Some(_) => return Err(Problem::bad(format!("{name} must be yes or no."))),
            };
            fields.insert(name.to_owned(), FieldValue::Flag(flag));
        }
        if self.get("words").is_some() {
            let words = self.text("words", 2_000)?;
            fields.insert("words".to_owned(), FieldValue::Text(words));
        }
        if fields.is_empty() {
            return Err(Problem::bad(
                "the form is empty: fill in at least one field.",
            ));
        }
        Ok(fields)
    }
}

/// The set form as the room shows it.
pub(super) fn summary(fields: &BTreeMap<String, FieldValue>) -> String {
    let labels = [
        ("lift", "lift"),
        ("load", "load"),
        ("unit", "unit"),
        ("reps", "reps"),
        ("rpe", "RPE"),
        ("body_mass", "body mass"),
        ("best", "best single"),
        ("view", "seen from"),
        ("alone", "alone"),
        ("safeties", "safeties set"),
    ];
    let mut parts = Vec::new();
    for (name, label) in labels {
        let shown = match fields.get(name) {
            Some(FieldValue::Number(number)) => number.to_string(),
            Some(FieldValue::Text(text)) => text.clone(),
            Some(FieldValue::Flag(flag)) => if *flag { "yes" } else { "no" }.to_owned(),
            _ => continue,
        };
        parts.push(format!("{label} {shown}"));
    }
    let mut text = "Set form".to_owned();
    if !parts.is_empty() {
        text.push_str(": ");
        text.push_str(&parts.join(", "));
    }
    if let Some(FieldValue::Text(words)) = fields.get("words") {
        text.push('\n');
        text.push_str(words);
    }
    text
}
