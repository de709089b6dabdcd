//! When nothing is asked of a lifter: illness, a death in the family, thanks and small talk.

/// Illness or a death told of the lifter or their family.
const HARD_TIMES: [&str; 65] = [
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
    "is dying",
    "pneumonia",
    "chemo",
    "has cancer",
    "have cancer",
    "got cancer",
    "miscarriage",
    "lost our baby",
    "lost the baby",
    "lost my father",
    "lost my brother",
    "lost my sister",
    "lost my wife",
    "lost my husband",
    "lost my partner",
    "lost my son",
    "lost my daughter",
    "lost my best friend",
    "lost my grandmother",
    "lost my grandfather",
    "passed on",
    "in intensive care",
    "in hospice",
    "food poisoning",
    "stomach bug",
    "tested positive",
    "broke my wrist",
    "broke my arm",
    "broke my leg",
    "broke my ankle",
    "broke my foot",
    "broke my hand",
    "feeling unwell",
    "im unwell",
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

/// Words that stand around them, and could be an answer by themselves.
const AROUND: [&str; 50] = [
    "really",
    "helpful",
    "sounds",
    "mate",
    "guys",
    "everyone",
    "morning",
    "evening",
    "afternoon",
    "stuff",
    "super",
    "brilliant",
    "lovely",
    "sorry",
    "been",
    "was",
    "away",
    "soon",
    "later",
    "tomorrow",
    "today",
    "week",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "on",
    "then",
    "and",
    "to",
    "let",
    "know",
    "im",
    "am",
    "my",
    "reply",
    "me",
    "again",
    "welcome",
    "np",
    "problem",
    "worries",
    "alright",
    "busy",
    "travelling",
    "see",
    "be",
];

/// Thanks, greetings, assent: with one of these the words around are talk too.
const MARKS: [&str; 27] = [
    "thanks",
    "thank",
    "thx",
    "ty",
    "cheers",
    "ok",
    "okay",
    "great",
    "nice",
    "cool",
    "perfect",
    "awesome",
    "brilliant",
    "lovely",
    "hi",
    "hello",
    "hey",
    "bye",
    "understood",
    "noted",
    "appreciated",
    "sorry",
    "morning",
    "evening",
    "afternoon",
    "welcome",
    "alright",
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

/// Whoever writes speaks of themselves.
pub(super) fn of_oneself(text: &str) -> bool {
    let said = plain(text);
    let mut words = said.split_whitespace();
    words.any(|word| {
        matches!(
            word,
            "i" | "im" | "ive" | "id" | "ill" | "my" | "me" | "mine"
        )
    })
}

/// A clinician, or being cleared, is spoken of: under a stop that wants an answer.
pub(super) fn of_a_clearance(text: &str) -> bool {
    const WORDS: [&str; 12] = [
        "doctor",
        "doctors",
        "doc",
        "gp",
        "physio",
        "physiotherapist",
        "clinician",
        "hospital",
        "clinic",
        "surgeon",
        "cleared",
        "clearance",
    ];
    let said = plain(text);
    let mut words = said.split_whitespace();
    words.any(|word| WORDS.contains(&word))
}

/// Nothing but thanks or a greeting.
pub(super) fn small_talk(text: &str) -> bool {
    let said = plain(text);
    let words: Vec<&str> = said.split_whitespace().collect();
    let marked = words.iter().any(|word| MARKS.contains(word));
    let talk = |word: &&str| TALK.contains(word) || (marked && AROUND.contains(word));
    words.len() <= 8 && words.iter().all(talk)
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
            "my mother is dying",
            "we lost our baby",
            "chemo starts next week",
            "I have pneumonia",
            "broke my wrist in a fall at work",
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
            "broke my record at 180 kg",
            "lost my balance at the bottom",
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
            "thanks coach, really helpful!",
            "ok will try on thursday",
            "sounds good, cheers mate",
            "good morning everyone",
            "sorry I was away",
        ] {
            assert!(small_talk(text), "{text}");
        }
        for text in [
            "thanks, but my hips still shoot up",
            "not sure",
            "3",
            "the bottom",
            "late",
            "on thursday",
            "still here",
            "ok but it still hurts",
        ] {
            assert!(!small_talk(text), "{text}");
        }
    }
}
