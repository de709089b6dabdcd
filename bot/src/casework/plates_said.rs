//! Plates at hand as people say them: "I only have 20s and 10s", "my bar is 15 kg".

use cueline_core::quantity::{MassUnit, TypedMass};

/// What was said of bar and plates; a unit only where one was said.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PlatesSaid {
    /// Unit of every figure.
    pub(super) unit: Option<MassUnit>,
    /// The empty bar.
    pub(super) bar: Option<f64>,
    /// Size and pairs; no pairs where none were counted.
    pub(super) pairs: Vec<(f64, Option<u32>)>,
    /// The usual plates of a gym.
    pub(super) usual: bool,
}

/// Words around plates that carry nothing.
const FILLERS: [&str; 39] = [
    "i", "ive", "only", "have", "got", "own", "my", "our", "plates", "plate", "are", "is", "at",
    "home", "the", "gym", "and", "of", "just", "in", "with", "a", "each", "now", "set", "garage",
    "here", "there", "we", "to", "use", "size", "sizes", "lift", "weighs", "has", "on", "all",
    "no",
];

/// Small counts in words.
const COUNTS: [(&str, u32); 8] = [
    ("one", 1),
    ("two", 2),
    ("three", 3),
    ("four", 4),
    ("five", 5),
    ("six", 6),
    ("eight", 8),
    ("ten", 10),
];

/// Reads a text that speaks of bar and plates and of nothing else.
pub(super) fn plates_said(text: &str) -> Option<PlatesSaid> {
    let lower = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    let words: Vec<&str> = lower
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !(c.is_alphanumeric() || c == '#')))
        .filter(|word| !word.is_empty())
        .collect();
    let speaks = words.iter().any(|word| matches!(*word, "plates" | "bar"))
        || words.iter().any(|word| sizes_of(word).is_some());
    let owns = words
        .iter()
        .any(|word| matches!(*word, "my" | "have" | "own" | "got" | "only" | "ive"));
    if !speaks || !owns {
        return None;
    }
    let mut said = PlatesSaid::default();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        at += one(&mut said, word, words.get(at + 1..).unwrap_or_default())?;
    }
    let something = said.usual || said.bar.is_some() || !said.pairs.is_empty();
    something.then_some(said)
}

/// Takes what begins at a word; gives the words it took, none when it is about something else.
fn one(said: &mut PlatesSaid, word: &str, rest: &[&str]) -> Option<usize> {
    let next = rest.first().copied().unwrap_or_default();
    if matches!(word, "usual" | "standard" | "normal" | "ordinary") {
        said.usual = true;
        return Some(1);
    }
    if let Some(unit) = unit_of(word) {
        said.unit = Some(unit);
        return Some(1);
    }
    if word == "bar" {
        // "my bar is 15 kg"
        let skip = usize::from(matches!(next, "is" | "weighs" | "of"));
        let Some(mass) = rest.get(skip).and_then(|figure| TypedMass::read(figure)) else {
            return Some(1);
        };
        said.bar = Some(mass.value);
        said.unit = mass.unit.or(said.unit);
        return Some(2 + skip);
    }
    if matches!(word, "no" | "without") {
        // "no 1.25s": what is not there is simply left out.
        return Some(1 + usize::from(sizes_of(next).is_some() || TypedMass::read(next).is_some()));
    }
    if let Some(size) = sizes_of(word) {
        said.pairs.push((size, None));
        return Some(1);
    }
    if let Some(count) = count_of(word) {
        let of = usize::from(rest.get(1) == Some(&"of"));
        let pairs = matches!(next, "pair" | "pairs");
        let counted = pairs || matches!(next, "x" | "of");
        let size_at = if counted {
            1 + if pairs { of } else { 0 }
        } else {
            0
        };
        let size = rest.get(size_at).copied().unwrap_or_default();
        let found = sizes_of(size).or_else(|| {
            let mass = TypedMass::read(size).filter(|_| counted)?;
            said.unit = mass.unit.or(said.unit);
            Some(mass.value)
        });
        if let Some(size) = found {
            let count = if pairs { count } else { count / 2 };
            said.pairs.push((size, Some(count)));
            return Some(2 + size_at);
        }
    }
    if let Some(mass) = TypedMass::read(word) {
        // A bar told behind its figure: "a 15 kg bar".
        let unit = unit_of(next);
        let after = rest.get(usize::from(unit.is_some())).copied();
        said.unit = mass.unit.or(unit).or(said.unit);
        if after == Some("bar") {
            said.bar = Some(mass.value);
            return Some(2 + usize::from(unit.is_some()));
        }
        said.pairs.push((mass.value, None));
        return Some(1 + usize::from(unit.is_some()));
    }
    FILLERS.contains(&word).then_some(1)
}

/// `20s`, `2.5s`: plates of a size.
fn sizes_of(word: &str) -> Option<f64> {
    let figure = word.strip_suffix('s')?;
    let mass = TypedMass::read(figure)?;
    mass.unit.is_none().then_some(mass.value)
}

fn count_of(word: &str) -> Option<u32> {
    let named = COUNTS.iter().find(|(name, _)| *name == word);
    named
        .map(|(_, count)| *count)
        .or_else(|| word.parse().ok().filter(|count| *count <= 40))
}

fn unit_of(word: &str) -> Option<MassUnit> {
    if word.is_empty() || word.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    TypedMass::read(&format!("1{word}"))?.unit
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn pairs(text: &str) -> Vec<(f64, Option<u32>)> {
        plates_said(text).unwrap_or_default().pairs
    }

    #[test]
    fn plates_are_said_in_many_ways() {
        assert_eq!(
            pairs("I only have 20s and 10s"),
            [(20.0, None), (10.0, None)]
        );
        assert_eq!(
            pairs("my plates are 25, 20, 10, 5 and 2.5 kg"),
            [
                (25.0, None),
                (20.0, None),
                (10.0, None),
                (5.0, None),
                (2.5, None)
            ]
        );
        assert_eq!(
            pairs("I've got 2 pairs of 20s, four 10s and 2 x 5"),
            [(20.0, Some(2)), (10.0, Some(2)), (5.0, Some(1))]
        );
        assert_eq!(
            pairs("I have 45s and 25s, no 35s"),
            [(45.0, None), (25.0, None)]
        );
    }

    #[test]
    fn the_bar_is_said_before_or_behind_its_figure() {
        for text in [
            "my bar is 15 kg",
            "I have a 15 kg bar",
            "my bar weighs 15kg",
        ] {
            let said = plates_said(text).unwrap();
            assert_eq!(
                (said.bar, said.unit),
                (Some(15.0), Some(MassUnit::Kg)),
                "{text}"
            );
            assert!(said.pairs.is_empty(), "{text}");
        }
        assert!(plates_said("I have the usual plates").unwrap().usual);
    }

    #[test]
    fn a_set_is_no_list_of_plates() {
        for text in [
            "squat 140 kg x 3 @8",
            "I have 2 plates on the bar and my back hurts",
            "my best squat is 180 kg",
            "plates 142.5 kg",
            "I only have time for 20 minutes",
            "my bar drifts forward",
        ] {
            assert_eq!(plates_said(text), None, "{text}");
        }
    }
}
