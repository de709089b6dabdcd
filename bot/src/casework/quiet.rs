//! When nothing is asked of a lifter: illness, a death in the family, thanks and small talk.

/// Illness or a death told of the lifter or their family.
const HARD_TIMES: [&str; 31] = [
    "im sick",
    "i am sick",
    "been sick",
    "feeling sick",
    "got sick",
    "im ill",
    "i am ill",
    "been ill",
    "fell ill",
    "the flu",
    "have flu",
    "got flu",
    "a cold",
    "a fever",
    "an infection",
    "covid",
    "in hospital",
    "in the hospital",
    "to hospital",
    "funeral",
    "passed away",
    "has died",
    "died",
    "my dad died",
    "my mum died",
    "grieving",
    "bereavement",
    "in mourning",
    "lost my dad",
    "lost my mum",
    "lost my mother",
];

/// Idioms that hold one of these words and mean nothing of the kind.
const IDIOMS: [&str; 7] = [
    "nearly died",
    "almost died",
    "died on",
    "died out",
    "bar died",
    "died at",
    "i died",
];

/// Words of which thanks and small talk are made.
const TALK: [&str; 46] = [
    "thanks",
    "thank",
    "thx",
    "ty",
    "cheers",
    "you",
    "u",
    "so",
    "much",
    "very",
    "a",
    "lot",
    "ok",
    "okay",
    "k",
    "great",
    "good",
    "nice",
    "cool",
    "perfect",
    "awesome",
    "will",
    "do",
    "got",
    "it",
    "that",
    "i",
    "ill",
    "try",
    "coach",
    "for",
    "the",
    "help",
    "bot",
    "hi",
    "hello",
    "hey",
    "bye",
    "lol",
    "haha",
    "understood",
    "noted",
    "appreciated",
    "this",
    "makes",
    "sense",
];

fn plain(text: &str) -> String {
    let lower = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    format!(" {} ", words.join(" "))
}

/// The lifter tells of illness or of a death: no reminder goes out until they are back.
pub(super) fn hard_times(text: &str) -> bool {
    let mut said = plain(text);
    for idiom in IDIOMS {
        said = said.replace(&format!(" {idiom} "), " ");
    }
    HARD_TIMES
        .iter()
        .any(|phrase| said.contains(&format!(" {phrase} ")))
}

/// "I do not know", in answer to a question.
pub(super) fn does_not_know(text: &str) -> bool {
    const SAYINGS: [&str; 16] = [
        "i dont know",
        "i do not know",
        "dont know",
        "do not know",
        "dunno",
        "i dunno",
        "not sure",
        "im not sure",
        "no idea",
        "idk",
        "cant say",
        "cant tell",
        "hard to say",
        "skip",
        "pass",
        "no clue",
    ];
    let said = plain(text);
    SAYINGS.contains(&said.trim())
}

/// Nothing but thanks or a greeting.
pub(super) fn small_talk(text: &str) -> bool {
    let said = plain(text);
    let words: Vec<&str> = said.split_whitespace().collect();
    words.len() <= 8 && words.iter().all(|word| TALK.contains(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn illness_and_a_death_are_heard() {
        for text in [
            "I have the flu, not training this week",
            "I've been sick",
            "my dad died, no lifting for a while",
            "can't train, my grandmother passed away.",
            "I'm in hospital with my son",
        ] {
            assert!(hard_times(text), "{text}");
        }
    }

    #[test]
    fn idioms_of_the_gym_are_not_illness() {
        for text in [
            "sick set!",
            "I nearly died on that set lol",
            "the bar died at the knees",
            "squat 140 kg x 3 @8, hips shoot up",
            "cold start, felt stiff",
        ] {
            assert!(!hard_times(text), "{text}");
        }
    }

    #[test]
    fn thanks_are_small_talk_and_a_sign_is_not() {
        for text in [
            "Thanks!",
            "thank you so much coach",
            "ok, will do",
            "\u{1f44d}",
            "hi",
        ] {
            assert!(small_talk(text), "{text}");
        }
        for text in [
            "thanks, but my hips still shoot up",
            "not sure",
            "3",
            "the bottom",
        ] {
            assert!(!small_talk(text), "{text}");
        }
    }
}
