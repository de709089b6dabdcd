//! The demo's script: who does what, how long passes, and what the service must say to it.

use crate::record::FieldValue;
use jiff::Timestamp;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The whole play.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Script {
    /// When it begins.
    pub starts: Timestamp,
    /// Its steps in order.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Step {
    /// What this part shows; printed as a heading.
    pub title: Option<String>,
    /// Who acts, by seat id.
    pub by: Option<String>,
    /// A message.
    pub say: Option<String>,
    /// A form: field name to value.
    pub submit: Option<BTreeMap<String, FieldValue>>,
    /// Label of a button on the newest message that has it.
    pub press: Option<String>,
    /// New text for the message named in `on`.
    pub edit: Option<String>,
    /// Name of the message that is taken back.
    pub delete: Option<String>,
    /// The actor leaves the room.
    pub leave: bool,
    /// Hours that pass.
    pub hours: Option<i64>,
    /// Name this message gets, for later steps.
    pub name: Option<String>,
    /// Name of the message whose thread this one is written in, or that is edited.
    pub on: Option<String>,
    /// Name of a trace in `demo-data/` that goes with the message.
    pub attach: Option<String>,
    /// The same event is delivered twice.
    pub twice: bool,
    /// What the service's answer must hold, each part.
    pub expect: Vec<String>,
    /// What the service's answer must not hold, each part.
    pub never: Vec<String>,
    /// How many messages the service sends in answer, when it matters.
    pub answers: Option<usize>,
}

impl Script {
    /// Reads a script.
    pub fn parse(text: &str) -> Result<Self, Vec<String>> {
        toml::from_str(text).map_err(|error| vec![format!("fortnight.toml: {error}")])
    }
}
