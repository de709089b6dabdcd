//! Whose set it is: people post for their wife, their son, a client. Such a case is kept apart from
//! the poster's own, and nothing of it goes into the poster's profile.

/// People somebody posts for.
const PEOPLE: [&str; 25] = [
    "wife",
    "husband",
    "son",
    "daughter",
    "girlfriend",
    "boyfriend",
    "partner",
    "friend",
    "mate",
    "buddy",
    "client",
    "athlete",
    "lifter",
    "brother",
    "sister",
    "mum",
    "mom",
    "dad",
    "mother",
    "father",
    "kid",
    "teammate",
    "cousin",
    "student",
    "trainee",
];

/// Words before "for my wife" that say so.
const POSTING: [&str; 9] = [
    "posting", "post", "posted", "asking", "ask", "writing", "behalf", "filmed", "checking",
];

/// What may stand before them: "my training partner", "my younger brother".
const KINDS: [&str; 14] = [
    "training", "gym", "lifting", "workout", "best", "good", "old", "little", "younger", "older",
    "big", "elder", "new", "team",
];

/// What somebody else did: "my wife squatted".
const DID: [&str; 15] = [
    "squatted",
    "squats",
    "squat",
    "benched",
    "benches",
    "bench",
    "deadlifted",
    "deadlifts",
    "deadlift",
    "pulled",
    "pulls",
    "lifted",
    "did",
    "does",
    "hit",
];

/// Whom the set is for, as said back to the poster ("your wife"); none when it is their own.
pub(super) fn whom(text: &str) -> Option<String> {
    let lower = text.to_lowercase().replace('\u{2019}', "'");
    let words: Vec<&str> = lower
        .split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .filter(|word| !word.is_empty())
        .collect();
    for (at, word) in words.iter().enumerate() {
        let (person, own) = match word.strip_suffix("'s") {
            Some(person) => (person, true),
            None => (*word, false),
        };
        if !PEOPLE.contains(&person) {
            continue;
        }
        let kind = at.checked_sub(1).and_then(|i| words.get(i)).copied();
        let kind = kind.filter(|kind| KINDS.contains(kind));
        // Seen from the word before the person, or from the word before "training" partner.
        let start = at - usize::from(kind.is_some());
        let back = |steps: usize| start.checked_sub(steps).and_then(|i| words.get(i)).copied();
        let Some(article @ ("my" | "a" | "our")) = back(1) else {
            continue;
        };
        let next = words.get(at + 1).copied().unwrap_or_default();
        let for_them = matches!(back(2), Some("for" | "of"))
            && (start == 2 || back(3).is_some_and(|before| POSTING.contains(&before)));
        let told = article == "my" && start <= 4 && (DID.contains(&next) || (own && start <= 2));
        // "My friend bench pressed my PR" told in passing is still somebody else's set.
        if for_them && !own || told {
            let whose = if article == "a" { "a" } else { "your" };
            let kind = kind.map_or_else(String::new, |kind| format!("{kind} "));
            return Some(format!("{whose} {kind}{person}"));
        }
    }
    named(text)
}

/// Whom a set is posted for by name: "posting this for Anna: ...".
fn named(text: &str) -> Option<String> {
    let mut words = text.split_whitespace();
    let first = words.next()?.to_lowercase();
    if !matches!(first.as_str(), "posting" | "posted" | "asking" | "writing") {
        return None;
    }
    let mut next = words.next()?;
    if matches!(next.to_lowercase().as_str(), "this" | "it" | "one") {
        next = words.next()?;
    }
    let name = words.next().filter(|_| next.eq_ignore_ascii_case("for"))?;
    let name = name.trim_end_matches([':', ',', '.', ';', '-']);
    let letters = name.chars().all(char::is_alphabetic);
    let fits = letters && name.chars().count() <= 20 && name.starts_with(char::is_uppercase);
    fits.then(|| name.to_owned())
}

/// The words as that person would write them, so that what is told of "her" is read as theirs.
pub(super) fn as_own(text: &str) -> String {
    let mut out: Vec<&str> = Vec::new();
    for word in text.split_inclusive(char::is_whitespace) {
        let bare = word.trim_end();
        let (stem, tail) = bare.split_at(
            bare.find(|c: char| !(c.is_alphabetic() || c == '\''))
                .unwrap_or(bare.len()),
        );
        let own = match stem.to_lowercase().as_str() {
            "she" | "he" => "I",
            "her" | "his" => "my",
            "him" => "me",
            "herself" | "himself" => "myself",
            "she's" | "he's" | "shes" => "I'm",
            // "She is 14" is an age, as "I am 14" is.
            "is" if out.last() == Some(&" ") && out.iter().rev().nth(1) == Some(&"I") => "am",
            "has" if out.last() == Some(&" ") && out.iter().rev().nth(1) == Some(&"I") => "have",
            _ => stem,
        };
        out.extend([own, tail, word.get(bare.len()..).unwrap_or_default()]);
        out.retain(|piece| !piece.is_empty());
    }
    out.concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn somebody_posts_for_another() {
        for (text, person) in [
            ("posting for my wife: squat 60 kg x 5 @8", "your wife"),
            ("For my son: deadlift 60 kg x 5", "your son"),
            ("for a friend, bench 80 kg x 5", "a friend"),
            (
                "asking on behalf of my client, squat 100 x 5",
                "your client",
            ),
            ("my wife squatted 60 kg x 5, knees cave", "your wife"),
            (
                "this is my girlfriend's squat, 50 kg x 5",
                "your girlfriend",
            ),
            ("My husband\u{2019}s bench: 90 kg x 5", "your husband"),
            (
                "my training partner's deadlift 180 kg x 2, back rounds",
                "your training partner",
            ),
            (
                "for my little sister: squat 40 kg x 5",
                "your little sister",
            ),
            ("posting this for Anna: squat 60 kg x 5", "Anna"),
            ("Asking for Tom, bench 80 kg x 5", "Tom"),
        ] {
            assert_eq!(whom(text), Some(person.to_owned()), "{text}");
        }
    }

    #[test]
    fn what_is_told_of_her_is_read_as_hers() {
        for (text, own) in [
            (
                "she felt a pain in her chest, he said",
                "I felt a pain in my chest, I said",
            ),
            ("He's 15. She has pain", "I'm 15. I have pain"),
            ("squat 40 kg, she is 14", "squat 40 kg, I am 14"),
            ("the bar is bent", "the bar is bent"),
            (
                "squat 60 kg x 5 @8,\n her knees cave",
                "squat 60 kg x 5 @8,\n my knees cave",
            ),
            ("", ""),
        ] {
            assert_eq!(as_own(text), own);
        }
    }

    #[test]
    fn somebody_who_stood_by_does_not_make_it_their_set() {
        for text in [
            "squat 140 kg x 3 @8, my mate spotted me",
            "bench 100 kg x 5, my wife says my butt lifts",
            "training for my friend's birthday, squat 100 x 5",
            "squat 140 kg x 3, filmed by my son",
            "squat 140 kg x 3, my training partner spotted me",
            "posting for feedback: squat 140 kg x 3",
            "posting for Friday's session",
            "deadlift 180 kg x 3",
        ] {
            assert_eq!(whom(text), None, "{text}");
        }
    }
}
