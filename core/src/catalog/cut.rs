//! The long tables of a file read by hand: a reader of TOML looks at each letter of them several
//! times.

use super::{CatalogFile, CatalogProblem};
use serde::de::DeserializeOwned;

/// What a string that was cut out begins with in the place of its text; no one writes it in TOML
/// but as an escape.
const CUT: char = '\u{1}';

/// A file with its strings of many lines cut out.
#[derive(Debug)]
pub(super) struct Cut<'a, T> {
    /// The file as read, with marks for what was cut out.
    pub(super) read: T,
    pieces: Vec<&'a str>,
}

impl<'a, T: DeserializeOwned> Cut<'a, T> {
    /// Reads a file.
    ///
    /// # Errors
    /// What is not TOML of this shape.
    pub(super) fn open(file: &CatalogFile<'a>) -> Result<Self, Vec<CatalogProblem>> {
        let cut = shorten(file.text).and_then(|(text, pieces)| {
            let read = toml::from_str(&text).ok()?;
            Some(Self { read, pieces })
        });
        // What is wrong, or written in another way, is told of the whole.
        cut.map_or_else(|| Self::whole(file), Ok)
    }

    fn whole(file: &CatalogFile<'a>) -> Result<Self, Vec<CatalogProblem>> {
        let read = toml::from_str(file.text);
        let read = read.map_err(|error| vec![super::flags::problem(file, &error)])?;
        Ok(Self {
            read,
            pieces: Vec::new(),
        })
    }
}

impl<'a, T> Cut<'a, T> {
    /// The text of a string as the file has it.
    pub(super) fn text<'s>(&self, read: &'s str) -> &'s str
    where
        'a: 's,
    {
        let number = read.strip_prefix(CUT).and_then(|at| at.parse().ok());
        let piece = number.and_then(|at: usize| self.pieces.get(at));
        piece.copied().unwrap_or(read)
    }
}

/// A text before and after the first of these signs, which is one of ASCII.
pub(super) fn parted(text: &str, sign: u8) -> Option<(&str, &str)> {
    let at = text.bytes().position(|byte| byte == sign)?;
    let (before, after) = text.split_at_checked(at)?;
    Some((before, after.get(1..)?))
}

/// The text without its strings of many lines, and those; nothing where one is not plain: with
/// escapes, or with letters that TOML does not let stand.
fn shorten(text: &str) -> Option<(String, Vec<&str>)> {
    let mut short = String::new();
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((line, more)) = rest.split_once('\n') {
        rest = more;
        let Some((before, fence)) = opening(line) else {
            short.push_str(line);
            short.push('\n');
            continue;
        };
        let end = closing(more, fence)?;
        let (piece, after) = more.split_at_checked(end)?;
        rest = after.get(fence.len()..)?;
        let ends_well = rest.is_empty() || rest.starts_with('\n');
        let starts_line = piece.is_empty() || piece.ends_with('\n');
        if !ends_well || !starts_line || !is_plain(piece) {
            return None;
        }
        let number = pieces.len();
        short.extend([before, "\"\\u0001", &number.to_string(), "\""]);
        pieces.push(piece);
    }
    short.push_str(rest);
    Some((short, pieces))
}

/// A line that opens a string of many lines: what stands before the string, and its fence.
fn opening(line: &str) -> Option<(&str, &'static str)> {
    let of = |fence: &'static str| Some((line.strip_suffix(fence)?, fence));
    let (before, fence) = of("\"\"\"").or_else(|| of("'''"))?;
    let key = before.strip_suffix(" = ")?;
    let bare = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-';
    (!key.is_empty() && key.bytes().all(bare)).then_some((before, fence))
}

/// Where the first fence begins.
fn closing(text: &str, fence: &str) -> Option<usize> {
    let quote = fence.chars().next()?;
    let mut places = text.match_indices(quote).map(|(at, _)| at);
    places.find(|at| text.get(*at..).is_some_and(|rest| rest.starts_with(fence)))
}

fn is_plain(piece: &str) -> bool {
    // Counted rather than asked one by one, so that many bytes are looked at together.
    let odd = |byte: &u8| {
        let control = *byte < b' ' && *byte != b'\n' && *byte != b'\t';
        u8::from(control) | u8::from(*byte == b'\\') | u8::from(*byte == 0x7f)
    };
    let mut runs = piece.as_bytes().chunks(256);
    !runs.any(|run| run.iter().fold(0, |found, byte| found | odd(byte)) != 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn read(text: &str) -> BTreeMap<String, String> {
        let name = "weights.toml";
        let cut: Cut<'_, BTreeMap<String, String>> =
            Cut::open(&CatalogFile { name, text }).unwrap();
        let whole = |(key, said): (&String, &String)| (key.clone(), cut.text(said).to_owned());
        cut.read.iter().map(whole).collect()
    }

    #[test]
    fn a_file_is_read_as_toml_reads_it_however_its_tables_are_written() {
        for text in [
            "a = '''\nknee | 1 2\nhip | 3 4\n'''\nb = \"x\"\n",
            "b = \"\"\"\nknee 5, hip 6\n\"\"\"\na = '''\n'''",
            "b = \"\"\"knee 5\"\"\"\na = '''\nit''s | 1 2'''\n",
            "b = \"\"\"\nknee \\\n  5\n\"\"\"\na = \"\"\"\nhip\\t6\n\"\"\"\n",
            "a = \"\"\"\r\nknee 5\r\n\"\"\"\r\n",
            "# a = '''\n# b\na = 'c'\n",
            "a = \"\"\"\nb = '''\nc\n\"\"\"\nd = '''\n\"\"\"\n'''\n",
        ] {
            let whole: BTreeMap<String, String> = toml::from_str(text).unwrap();
            assert_eq!(read(text), whole, "{text}");
        }
    }

    #[test]
    fn a_fault_after_a_long_table_has_the_line_of_the_file() {
        let text = "a = '''\nknee | 1 2\n'''\nb = 5\n";
        let file = CatalogFile {
            name: "weights.toml",
            text,
        };
        let found: Result<Cut<'_, BTreeMap<String, String>>, _> = Cut::open(&file);
        assert_eq!(found.unwrap_err()[0].line, 4);
    }
}
