//! Sayings written once for many: `lost (all |any |)(feeling|sensation)`.
//!
//! Alternatives of one word share a place, so a saying with many of them stays one; alternatives
//! of several words make sayings of their own.

/// Sayings one written saying may stand for, at most.
const MOST: usize = 2000;

/// Small words that may always be left out, so a bracket that lets one be left out says nothing.
const SMALL: [&str; 20] = [
    "a", "an", "the", "my", "me", "your", "this", "that", "of", "is", "was", "im", "its", "been",
    "just", "are", "were", "have", "had", "has",
];

/// One saying: for each place the words that may stand there.
pub(crate) type Places = Vec<Vec<String>>;

/// Every saying that a written one stands for.
///
/// # Errors
/// What is wrong with it: a bracket left open or closed twice, or too many sayings.
pub(crate) fn spread(written: &str) -> Result<Vec<Places>, String> {
    if !written.contains(['(', ')']) {
        let words = written.split(|c: char| c.is_whitespace() || c == '-');
        let words = words.filter(|word| !word.is_empty());
        let saying: Places = words.map(|word| vec![word.to_owned()]).collect();
        return Ok(if saying.is_empty() {
            Vec::new()
        } else {
            vec![saying]
        });
    }
    let mut chars = written.chars().peekable();
    let found = sequence(&mut chars, false)?;
    if chars.next().is_some() {
        return Err("a round bracket is closed that was not opened".to_owned());
    }
    Ok(found
        .into_iter()
        .filter(|saying| !saying.is_empty())
        .collect())
}

type Chars<'a> = std::iter::Peekable<std::str::Chars<'a>>;

/// Words and brackets one after another, up to a bar or a closing bracket.
fn sequence(chars: &mut Chars, inside: bool) -> Result<Vec<Places>, String> {
    let mut found: Vec<Places> = vec![Vec::new()];
    let mut word = String::new();
    loop {
        let next = chars.peek().copied();
        let ends = match next {
            None => true,
            Some(c) => c == ')' || (inside && c == '|'),
        };
        let opens = next == Some('(');
        if ends || opens || next.is_some_and(|c| c.is_whitespace() || c == '-') {
            if !word.is_empty() {
                for saying in &mut found {
                    saying.push(vec![word.clone()]);
                }
                word.clear();
            }
            if ends {
                return Ok(found);
            }
            chars.next();
            if opens {
                let choices = bracket(chars)?;
                if found.len() * choices.len() > MOST {
                    return Err(format!("stands for more than {MOST} sayings"));
                }
                found = found
                    .iter()
                    .flat_map(|start| {
                        choices
                            .iter()
                            .map(move |c| [start.clone(), c.clone()].concat())
                    })
                    .collect();
            }
        } else if let Some(c) = chars.next() {
            word.push(c);
        }
    }
}

/// The alternatives of a bracket just opened, those of one word in one place.
fn bracket(chars: &mut Chars) -> Result<Vec<Places>, String> {
    let mut single: Vec<String> = Vec::new();
    let mut longer: Vec<Places> = Vec::new();
    let mut empty = false;
    loop {
        for saying in sequence(chars, true)? {
            match saying.as_slice() {
                [] => empty = true,
                [place] => single.extend(place.iter().cloned()),
                _ => longer.push(saying),
            }
        }
        match chars.next() {
            Some('|') => {}
            Some(')') => break,
            _ => return Err("a round bracket is not closed".to_owned()),
        }
    }
    if empty {
        single.retain(|word| !SMALL.contains(&word.as_str()));
    }
    let mut choices = longer;
    if !single.is_empty() {
        choices.push(vec![single]);
    }
    if empty {
        choices.push(Vec::new());
    }
    Ok(choices)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::spread;

    fn shown(written: &str) -> Vec<String> {
        spread(written)
            .unwrap()
            .iter()
            .map(|saying| {
                let places: Vec<String> = saying.iter().map(|place| place.join("|")).collect();
                places.join(" ")
            })
            .collect()
    }

    #[test]
    fn brackets_stand_for_each_of_their_choices() {
        assert_eq!(shown("chest pain"), ["chest pain"]);
        assert_eq!(
            shown("lost (any |)(feeling|sense)"),
            ["lost any feeling|sense", "lost feeling|sense"]
        );
        assert_eq!(
            shown("vision (shrank|went (grey|dim))"),
            ["vision went grey|dim", "vision shrank"]
        );
    }

    #[test]
    fn an_open_bracket_or_thousands_of_sayings_are_refused() {
        assert!(spread("lost (feeling").is_err());
        assert!(spread("lost feeling)").is_err());
        let pairs = "(a b|c d|e f|g h|i j|k l|m n|o p|q r|s t)";
        assert!(spread(&pairs.repeat(4)).is_err());
    }
}
