//! A bar track as a table of text.

use super::header::KEYS;
use super::{Faults, Header, MOST_FRAMES, Row, Samples, from_rows, quoted};
use crate::report::FieldError;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Time,
    Frame,
    /// Place of an end (0 or 1) along an axis (0 or 1), in pixels or metres.
    Place {
        end: usize,
        axis: usize,
        pixels: bool,
    },
}

impl Column {
    fn named(name: &str) -> Option<Self> {
        let place = |end, axis, pixels| Some(Self::Place { end, axis, pixels });
        match name.trim().trim_matches('"').to_ascii_lowercase().as_str() {
            "t" => Some(Self::Time),
            "frame" => Some(Self::Frame),
            "x" => place(0, 0, false),
            "y" => place(0, 1, false),
            "x2" => place(1, 0, false),
            "y2" => place(1, 1, false),
            "x_px" => place(0, 0, true),
            "y_px" => place(0, 1, true),
            "x2_px" => place(1, 0, true),
            "y2_px" => place(1, 1, true),
            _ => None,
        }
    }
}

/// The columns in their order, what stands between them, and whether places are in pixels.
struct Head {
    columns: Vec<Column>,
    between: char,
    pixels: bool,
}

const ACCEPTED_HEAD: &str = "a head of t or frame, x and y (or x_px and y_px), and x2 and y2 for the \
                             other end, each once, with , or ; between";

/// Reads a table.
pub(super) fn read(field: &str, text: &str) -> Result<Samples, Vec<FieldError>> {
    let mut faults = Faults::of(field);
    let mut header = Header::default();
    let mut head: Option<Head> = None;
    let mut rows = Vec::new();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    for (line, number) in text.lines().zip(1..) {
        let line = line.trim();
        if line.is_empty() {
            continue;
        }
        match &head {
            None => {
                head = above(&mut faults, &mut header, line, number);
            }
            Some(_) if line.starts_with('#') => {}
            Some(head) => {
                if rows.len() >= MOST_FRAMES {
                    let found = format!("line {number}: more than {MOST_FRAMES} frames");
                    return Err(faults.only(found, format!("at most {MOST_FRAMES} frames")));
                }
                rows.extend(row(&mut faults, head, line, number));
            }
        }
        if faults.full() {
            break;
        }
    }
    if head.is_none() && faults.found.is_empty() {
        return Err(faults.only("no head of columns", ACCEPTED_HEAD));
    }
    header.pixels = header.pixels.or(head.map(|head| head.pixels));
    faults.end(())?;
    from_rows(field, header, &rows, "line")
}

/// A line above the samples: the head itself, or something the trace says of itself.
fn above(faults: &mut Faults, header: &mut Header, line: &str, number: usize) -> Option<Head> {
    let place = format!("line {number}: ");
    if let Some(remark) = line.strip_prefix('#') {
        if let Some((key, value)) = remark.split_once('=') {
            header.take(faults, &place, key, value);
        }
        return None;
    }
    let between = if line.contains(';') { ';' } else { ',' };
    let first = line.split(between).next().and_then(Column::named);
    if first.is_some() {
        return head(faults, line, number, between);
    }
    let parts = line.split_once(['=', ',', ';']);
    let taken = parts.is_some_and(|(key, value)| header.take(faults, &place, key, value));
    if !taken {
        faults.add(
            format!("{place}{}", quoted(line)),
            format!("{ACCEPTED_HEAD}; before it {KEYS}, each with its value"),
        );
    }
    None
}

fn head(faults: &mut Faults, line: &str, number: usize, between: char) -> Option<Head> {
    let place = |end, axis, pixels| Column::Place { end, axis, pixels };
    let columns: Option<Vec<Column>> = line.split(between).map(Column::named).collect();
    let head = columns.and_then(|columns| {
        let has = |column| columns.iter().filter(|one| **one == column).count();
        let pixels = has(place(0, 0, true)) == 1;
        let [times, frames] = [Column::Time, Column::Frame].map(has);
        let first = [0, 1].map(|axis| has(place(0, axis, pixels)));
        let second = [0, 1].map(|axis| has(place(1, axis, pixels)));
        let known = times + frames + first[0] + first[1] + second[0] + second[1];
        let sound = times <= 1
            && frames <= 1
            && times + frames >= 1
            && first == [1, 1]
            && (second == [0, 0] || second == [1, 1])
            && known == columns.len();
        sound.then_some(Head {
            columns,
            between,
            pixels,
        })
    });
    if head.is_none() {
        faults.add(format!("line {number}: {}", quoted(line)), ACCEPTED_HEAD);
    }
    head
}

fn row(faults: &mut Faults, head: &Head, line: &str, number: usize) -> Option<Row> {
    let mut row = Row {
        number,
        t: None,
        frame: None,
        ends: [[None; 2]; 2],
    };
    let mut cells = line.split(head.between);
    for column in &head.columns {
        let Some(cell) = cells.next() else {
            let found = line.split(head.between).count();
            faults.add(
                format!("line {number}: {found} columns"),
                format!("{} as in the head", head.columns.len()),
            );
            return None;
        };
        let cell = cell.trim();
        let missing = cell.is_empty() || cell.eq_ignore_ascii_case("nan");
        let number_here = cell.parse::<f64>().ok().filter(|value| value.is_finite());
        if number_here.is_none() && !(missing && matches!(column, Column::Place { .. })) {
            faults.add(
                format!("line {number}: {}", quoted(cell)),
                "a number with a point for decimals and nothing between thousands",
            );
            return None;
        }
        match *column {
            Column::Time => row.t = number_here,
            Column::Frame => row.frame = number_here,
            Column::Place { end, axis, .. } => row.ends[end][axis] = number_here,
        }
    }
    if cells.next().is_some() {
        let found = line.split(head.between).count();
        faults.add(
            format!("line {number}: {found} columns"),
            format!(
                "{} as in the head, with a point for decimals",
                head.columns.len()
            ),
        );
        return None;
    }
    Some(row)
}
