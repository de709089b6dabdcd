//! `cueline read`: one text, or one a line, to JSON.

use super::Failure;
use crate::brain;
use cueline_core::reading::{
    FlagLevel, FlagMention, Hints, Manner, Polarity, Reader, Reading, TextSpan,
};
use cueline_core::report::SetReport;
use serde::Serialize;
use std::io::{BufRead as _, BufWriter, Read as _, Write as _};
use std::path::Path;

/// One text as others read it; the shape is kept stable.
#[derive(Debug, Serialize)]
struct Output<'a> {
    text: &'a str,
    level: FlagLevel,
    flags: &'a [FlagMention],
    fields: &'a SetReport,
    signs: Vec<SignOut<'a>>,
    asks: Vec<AskOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    manner: Option<Manner>,
    #[serde(skip_serializing_if = "Option::is_none")]
    other_exercise: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct SignOut<'a> {
    sign: &'a str,
    polarity: Polarity,
    span: TextSpan,
}

#[derive(Debug, Serialize)]
struct AskOut<'a> {
    field: &'a str,
    question: &'a str,
}

impl<'a> Output<'a> {
    fn new(text: &'a str, reading: &'a Reading, manner: Option<Manner>) -> Self {
        Self {
            text,
            level: reading.level,
            flags: &reading.flags,
            fields: &reading.fields,
            signs: reading
                .signs
                .iter()
                .map(|mention| SignOut {
                    sign: &mention.sign,
                    polarity: mention.polarity,
                    span: mention.span,
                })
                .collect(),
            asks: reading
                .asks
                .iter()
                .map(|ask| AskOut {
                    field: &ask.field,
                    question: &ask.question,
                })
                .collect(),
            manner,
            other_exercise: reading.other_exercise.as_deref(),
        }
    }
}

/// Reads standard input.
pub(super) fn run(config: Option<&Path>, lines: bool) -> Result<(), Failure> {
    let (_, brain) = brain::load(config)?;
    let mut out = BufWriter::new(std::io::stdout().lock());
    let mut reader = Reader::new(&brain.catalog);
    let mut one = |text: &str| -> Result<(), Failure> {
        let (reading, manner) = reader.read_with_manner(text, Hints::default());
        serde_json::to_writer(&mut out, &Output::new(text, &reading, manner))
            .map_err(|error| Failure::Other(error.to_string()))?;
        writeln!(out)?;
        Ok(())
    };
    let mut input = std::io::stdin().lock();
    if lines {
        for (index, line) in input.lines().enumerate() {
            let line = line.map_err(|error| utf8(&error, Some(index + 1)))?;
            one(&line)?;
        }
    } else {
        let mut text = String::new();
        input
            .read_to_string(&mut text)
            .map_err(|error| utf8(&error, None))?;
        one(text.trim_end_matches(['\r', '\n']))?;
    }
    out.flush()?;
    Ok(())
}

/// Input that is not text names its line; anything else is no fault of the input.
fn utf8(error: &std::io::Error, line: Option<usize>) -> Failure {
    if error.kind() == std::io::ErrorKind::InvalidData {
        let place = line.map_or_else(|| "input".to_owned(), |line| format!("line {line}"));
        Failure::input(format!(
            "{place}: found bytes that are no text, accepted is UTF-8"
        ))
    } else {
        Failure::Other(error.to_string())
    }
}
