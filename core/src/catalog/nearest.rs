//! The known id nearest to a mistyped one.

/// The candidate with the fewest edits to `found`, if it is near enough to be a slip.
///
/// Near enough: at most a third of the letters differ. Of equals the first wins.
pub(crate) fn nearest<'a>(
    found: &str,
    candidates: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    let most = found.chars().count().div_ceil(3).max(2);
    candidates
        .map(|candidate| (edits(found, candidate), candidate))
        .filter(|(edits, _)| *edits <= most)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// Letters to insert, delete or replace to turn one word into the other (Levenshtein 1966).
pub(crate) fn edits(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, letter) in from.chars().enumerate() {
        let mut diagonal = i;
        let mut left = i + 1;
        for (cell, other) in row.iter_mut().skip(1).zip(&to) {
            let replaced = diagonal + usize::from(letter != *other);
            diagonal = *cell;
            *cell = replaced.min(left + 1).min(diagonal + 1);
            left = *cell;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::{edits, nearest};

    // The pair every text on edit distance works through: kitten, sitting, three edits.
    #[test]
    fn the_textbook_pair_is_three_edits_apart() {
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("sitting", "kitten"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("abc", ""), 3);
        assert_eq!(edits("same", "same"), 0);
    }

    #[test]
    fn a_slip_of_the_finger_finds_the_id_meant_and_nonsense_finds_none() {
        let ids = ["sq-torso-pitch", "sq-pelvis-tucks", "sq-hip-pinch"];
        assert_eq!(
            nearest("sq-torso-pich", ids.into_iter()),
            Some("sq-torso-pitch")
        );
        assert_eq!(nearest("zzz", ids.into_iter()), None);
    }
}
