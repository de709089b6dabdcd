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

/// The text without its strings of many lines, and those; nothing where one is not plain: with
/// escapes, or with letters that TOML does not let stand.
fn shorten(text: &str) -> Option<(String, Vec<&str>)> {
    let mut short = String::new();
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((at, fence)) = opening(rest) {
        let (before, after) = rest.split_at_checked(at)?;
        let piece_and_more = after.get(fence.len() + 1..)?;
        let end = piece_and_more.find(fence)?;
        let (piece, more) = piece_and_more.split_at_checked(end)?;
        let more = more.get(fence.len()..)?;
        let ends_well = more.is_empty() || more.starts_with('\n');
        let starts_line = piece.is_empty() || piece.ends_with('\n');
        if !ends_well || !starts_line || !is_plain(piece) {
            return None;
        }
        short.push_str(before);
        short.push_str(&format!("\"\\u0001{}\"", pieces.len()));
        pieces.push(piece);
        rest = more;
    }
    short.push_str(rest);
    Some((short, pieces))
}

/// Where the next string of many lines opens at the end of a line, and with what.
fn opening(text: &str) -> Option<(usize, &'static str)> {
    let of = |fence: &'static str, opens: &str| {
        let at = text.find(opens)?;
        Some((at + opens.len() - fence.len() - 1, fence))
    };
    let basic = of("\"\"\"", " = \"\"\"\n");
    let literal = of("'''", " = '''\n");
    match (basic, literal) {
        (Some(basic), Some(literal)) => Some(basic.min(literal)),
        (basic, literal) => basic.or(literal),
    }
}

fn is_plain(piece: &str) -> bool {
    !piece
        .bytes()
        .any(|byte| byte == b'\\' || byte == 0x7f || (byte < b' ' && byte != b'\n' && byte != b'\t'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn read(text: &str) -> BTreeMap<String, String> {
        let name = "weights.toml";
        let cut: Cut<'_, BTreeMap<String, String>> = Cut::open(&CatalogFile { name, text }).unwrap();
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
        let file = CatalogFile { name: "weights.toml", text };
        let found: Result<Cut<'_, BTreeMap<String, String>>, _> = Cut::open(&file);
        assert_eq!(found.unwrap_err()[0].line, 4);
    }
}
