//! Chat words about challenges, the standing and what works.

use super::when::{When, when};

/// What a member may say about challenges.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MemberWord {
    /// Which are open.
    List,
    /// An answer, as written.
    Answer(i64, String),
    /// What was understood of their own answer.
    MyAnswer(i64),
    /// Takes their own answer back.
    WithdrawAnswer(i64),
    /// The lifter agrees to the text of a challenge, or does not.
    Consent(i64, bool),
    /// The lifter takes the set back that is shown; the newest when no number is said.
    TakeBack(Option<i64>),
    /// The season's table.
    Standing,
    /// Not to be named in the standing, or to be named again.
    Hide(bool),
    /// Asks the coach to look at a strike, with the reason.
    Appeal(String),
    /// Their own strikes.
    Strikes,
}

/// What a coach may say about challenges and what works.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CommunityWord {
    /// Which there are.
    List,
    /// Put a case to the community until a time.
    Open(i64, Option<When>),
    /// Post the verdict, mark the answers; the verdict may be said with it.
    Reveal(i64, String),
    /// Stop a challenge.
    Stop(i64),
    /// A held answer of a member counts, or does not.
    Settle(i64, String, bool),
    /// An answer of a member does not count, and they get a strike.
    StrikeAnswer(i64, String),
    /// A strike for a member, with the reason.
    Strike(String, String),
    /// The newest strike of a member is taken back.
    TakeBackStrike(String),
    /// The strike a member appeals against stays.
    KeepStrike(String),
    /// The newest strikes.
    Strikes,
    /// The season's table.
    Standing,
    /// The table of corrections; of a lift or a cause when said.
    Works(String),
    /// Two corrections compared.
    Compare(String, String),
    /// How often each cause is seen.
    Faults(String),
}

/// Words that carry nothing here.
const SMALL: [&str; 8] = ["please", "pls", "the", "a", "my", "me", "all", "open"];

/// A number as people type it: `4`, `#4`, `4:`.
fn number(word: &str) -> Option<i64> {
    let word = word.trim_matches(|c: char| !c.is_alphanumeric());
    let digits = !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| word.parse().ok()).flatten()
}

/// Lower-case words without punctuation at their ends and without small words.
fn said(text: &str) -> Vec<String> {
    text.split_whitespace()
        .map(|word| {
            word.trim_matches(|c: char| !c.is_alphanumeric())
                .to_lowercase()
        })
        .filter(|word| !word.is_empty() && !SMALL.contains(&word.as_str()))
        .collect()
}

/// What follows the first `count` words, as written.
fn after(text: &str, count: usize) -> &str {
    let mut rest = text.trim_start();
    for _ in 0..count {
        let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
        rest = rest.get(end..).unwrap_or_default().trim_start();
    }
    rest
}

/// A member's word, if the text is one.
pub(in crate::casework) fn member_word(text: &str) -> Option<MemberWord> {
    if let Some(answer) = answer(text) {
        return Some(answer);
    }
    if let Some(appeal) = appeal(text) {
        return Some(MemberWord::Appeal(appeal));
    }
    let said = said(text);
    let words: Vec<&str> = said.iter().map(String::as_str).collect();
    Some(match words.as_slice() {
        ["strikes"] | ["show", "strikes"] => MemberWord::Strikes,
        ["challenges"] | ["show" | "which", "challenges"] => MemberWord::List,
        ["answer", of] | ["show", "answer", of] => MemberWord::MyAnswer(number(of)?),
        ["withdraw", "answer", of] | ["take", "back", "answer", of] => {
            MemberWord::WithdrawAnswer(number(of)?)
        }
        ["yes", "challenge", of] => MemberWord::Consent(number(of)?, true),
        ["no", "challenge", of] => MemberWord::Consent(number(of)?, false),
        ["take", "case" | "challenge", "back"]
        | ["take", "back", "case" | "challenge"]
        | ["withdraw", "challenge"]
        | ["revoke", "consent", "challenge"] => MemberWord::TakeBack(None),
        ["take", "back", "challenge", of]
        | ["take", "challenge", of, "back"]
        | ["withdraw", "challenge", of] => MemberWord::TakeBack(Some(number(of)?)),
        ["standing"] | ["season" | "show", "standing"] => MemberWord::Standing,
        ["hide", "from" | "in", "standing"] => MemberWord::Hide(true),
        ["show" | "name", "in", "standing"] => MemberWord::Hide(false),
        _ => return None,
    })
}

/// `answer 4 ...`, also `my answer to challenge 4 is ...`; without more `my answer 4` asks for it.
fn answer(text: &str) -> Option<MemberWord> {
    let bare = |word: &str| {
        word.trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    };
    let words: Vec<String> = text.split_whitespace().take(8).map(bare).collect();
    let own = words.first().is_some_and(|word| word == "my");
    let mut at = usize::from(own);
    if words.get(at).is_none_or(|word| word != "answer") {
        return None;
    }
    at += 1;
    let between = |word: &String| ["to", "for", "challenge"].contains(&word.as_str());
    while words.get(at).is_some_and(between) {
        at += 1;
    }
    let challenge = number(words.get(at)?)?;
    let is = words.get(at + 1).is_some_and(|word| word == "is");
    let said = after(text, at + 1 + usize::from(is)).trim_start_matches([':', ' ']);
    if own && said.trim().is_empty() {
        return None;
    }
    Some(MemberWord::Answer(challenge, said.to_owned()))
}

/// What follows `appeal` or `I appeal`, as written.
fn appeal(text: &str) -> Option<String> {
    let bare = |word: &str| {
        word.trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    };
    let mut words = text.split_whitespace().map(bare);
    let place = match (words.next()?.as_str(), words.next().as_deref()) {
        ("appeal", _) => 1,
        ("i", Some("appeal")) => 2,
        _ => return None,
    };
    Some(after(text, place).trim().to_owned())
}

/// A coach's word, if the text is one.
pub(in crate::casework) fn coach_word(text: &str) -> Option<CommunityWord> {
    let lower = text.trim().to_lowercase();
    if let Some(of) = lower.strip_prefix("what works") {
        let of = of.trim().trim_matches(['?', '.', ':']).trim();
        let Some(two) = of.strip_prefix("compare") else {
            return Some(CommunityWord::Works(of.to_owned()));
        };
        let parted = [" with ", " and ", " / ", ","]
            .iter()
            .find_map(|joint| two.split_once(joint));
        let (one, other) = parted.unwrap_or((two, ""));
        return Some(CommunityWord::Compare(
            one.trim().to_owned(),
            other.trim().to_owned(),
        ));
    }
    if let Some(of) = lower.strip_prefix("common faults") {
        let of = of.trim().trim_matches(['?', '.', ':']);
        return Some(CommunityWord::Faults(of.trim().to_owned()));
    }
    let words: Vec<&str> = lower.split_whitespace().collect();
    Some(match words.as_slice() {
        ["challenges"] | ["show", "challenges"] => CommunityWord::List,
        ["open", "challenge", case, rest @ ..] => {
            let rest = rest.strip_prefix(&["until"]).unwrap_or(rest);
            CommunityWord::Open(number(case)?, when(rest))
        }
        ["reveal", "challenge", of, ..] => {
            CommunityWord::Reveal(number(of)?, after(text, 3).trim().to_owned())
        }
        ["reveal", of, ..] => CommunityWord::Reveal(number(of)?, after(text, 2).trim().to_owned()),
        ["stop" | "withdraw" | "cancel", "challenge", of] => CommunityWord::Stop(number(of)?),
        ["release", "answer", of, _] => {
            CommunityWord::Settle(number(of)?, after(text, 3).trim().to_owned(), true)
        }
        ["drop", "answer", of, _] => {
            CommunityWord::Settle(number(of)?, after(text, 3).trim().to_owned(), false)
        }
        ["strike", "answer", of, _] => {
            CommunityWord::StrikeAnswer(number(of)?, after(text, 3).trim().to_owned())
        }
        ["strikes"] | ["show", "strikes"] => CommunityWord::Strikes,
        ["take", "back", "strike", "of", _] => {
            CommunityWord::TakeBackStrike(after(text, 4).trim().to_owned())
        }
        ["take", "back", "strike", _] => {
            CommunityWord::TakeBackStrike(after(text, 3).trim().to_owned())
        }
        ["keep", "strike", "of", _] => CommunityWord::KeepStrike(after(text, 3).trim().to_owned()),
        ["keep", "strike", _] => CommunityWord::KeepStrike(after(text, 2).trim().to_owned()),
        ["strike", _, ..] => {
            let rest = after(text, 1).trim();
            let (member, why) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
            CommunityWord::Strike(member.to_owned(), why.trim().to_owned())
        }
        ["standing"] | ["show", "standing"] => CommunityWord::Standing,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn members_say_it_in_many_ways() {
        for (text, word) in [
            ("challenges", MemberWord::List),
            ("Show open challenges please", MemberWord::List),
            (
                "Answer 4: brace late 70%, Hips",
                MemberWord::Answer(4, "brace late 70%, Hips".to_owned()),
            ),
            (
                "my answer to challenge 4 is Brace late 70%",
                MemberWord::Answer(4, "Brace late 70%".to_owned()),
            ),
            (
                "Answer for #4 : brace late",
                MemberWord::Answer(4, "brace late".to_owned()),
            ),
            ("answer challenge 4", MemberWord::Answer(4, String::new())),
            ("my answer 4", MemberWord::MyAnswer(4)),
            ("withdraw my answer #4", MemberWord::WithdrawAnswer(4)),
            ("Take my case back!", MemberWord::TakeBack(None)),
            ("take back challenge 4", MemberWord::TakeBack(Some(4))),
            ("hide me from the standing", MemberWord::Hide(true)),
            ("show me in the standing", MemberWord::Hide(false)),
            ("standing", MemberWord::Standing),
            ("yes challenge 4", MemberWord::Consent(4, true)),
            (
                "Appeal: I meant it kindly",
                MemberWord::Appeal("I meant it kindly".to_owned()),
            ),
            ("I appeal", MemberWord::Appeal(String::new())),
            ("my strikes", MemberWord::Strikes),
        ] {
            assert_eq!(member_word(text), Some(word), "{text}");
        }
    }

    #[test]
    fn a_set_is_no_word_about_challenges() {
        for text in [
            "squat 140 kg x 3 @8, answer me",
            "standing too far from the bar",
            "a challenge of 4 plates",
            "answer the coach",
            "my answer to that is no",
            "answer to the coach",
            "",
        ] {
            assert_eq!(member_word(text), None, "{text}");
        }
    }

    #[test]
    fn a_coach_opens_reveals_and_asks_what_works() {
        let open = coach_word("open challenge 12 until friday 18:00").unwrap();
        assert!(matches!(open, CommunityWord::Open(12, Some(_))), "{open:?}");
        let open = coach_word("Open challenge 12 until the cows come home").unwrap();
        assert_eq!(open, CommunityWord::Open(12, None));
        assert_eq!(
            coach_word("reveal 4"),
            Some(CommunityWord::Reveal(4, String::new()))
        );
        assert_eq!(
            coach_word("Reveal 4 brace late, Hips"),
            Some(CommunityWord::Reveal(4, "brace late, Hips".to_owned()))
        );
        assert_eq!(
            coach_word("What works squat?"),
            Some(CommunityWord::Works("squat".to_owned()))
        );
        assert_eq!(
            coach_word("what works compare c-sq-brace with c-sq-stance"),
            Some(CommunityWord::Compare(
                "c-sq-brace".to_owned(),
                "c-sq-stance".to_owned()
            ))
        );
        assert_eq!(
            coach_word("release answer 4 Joel-1"),
            Some(CommunityWord::Settle(4, "Joel-1".to_owned(), true))
        );
        assert_eq!(
            coach_word("strike answer 4 Joel-1"),
            Some(CommunityWord::StrikeAnswer(4, "Joel-1".to_owned()))
        );
        assert_eq!(
            coach_word("Strike Joel-1 for calling Nora names"),
            Some(CommunityWord::Strike(
                "Joel-1".to_owned(),
                "for calling Nora names".to_owned()
            ))
        );
        assert_eq!(
            coach_word("take back strike Joel-1"),
            Some(CommunityWord::TakeBackStrike("Joel-1".to_owned()))
        );
        assert_eq!(
            coach_word("keep strike of Joel-1"),
            Some(CommunityWord::KeepStrike("Joel-1".to_owned()))
        );
        assert_eq!(coach_word("open the window"), None);
        assert_eq!(coach_word("reveal the plan"), None);
    }
}
