//! Chat words: plain English, no prefix signs, forgiving of case, order and small words.

use super::challenge::{self, CommunityWord, MemberWord};
use super::guardian::{GuardianSays, guardian_word};
use super::hand::hand_word;
use super::privacy_words::{PrivacyWord, privacy_word};
use super::remind_on::{DaySaid, day_said};
use super::sheet::sheet_word;
use cueline_core::quantity::TypedMass;
use cueline_core::report::Lift;

/// What a lifter may say beside a set.
#[derive(Clone, Debug, PartialEq)]
pub enum LifterWord {
    /// How to use this.
    Help,
    /// Who answers here.
    Who,
    /// Which cases are open.
    MyCases,
    /// Hand the open case to the coach.
    AskCoach,
    /// No more reminders.
    StopReminders,
    /// Reminders again.
    StartReminders,
    /// The lifter's time zone, as said.
    Zone(String),
    /// About the lifter's own data.
    Privacy(PrivacyWord),
    /// What to put on the bar.
    Rack(RackWord),
    /// What is kept of the lifter.
    MyProfile,
    /// The day of the next ask.
    RemindOn(DaySaid),
    /// A word about challenges.
    Challenge(MemberWord),
}

/// A question about what to put on the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RackWord {
    /// Plates for a load.
    Plates(TypedMass),
    /// Warm-up sets to a load, of a lift when said.
    WarmUp(TypedMass, Option<Lift>),
}

impl RackWord {
    /// The load asked about.
    pub const fn load(self) -> TypedMass {
        match self {
            Self::Plates(load) | Self::WarmUp(load, _) => load,
        }
    }

    /// The lift, when said.
    pub const fn lift(self) -> Option<Lift> {
        match self {
            Self::Plates(_) => None,
            Self::WarmUp(_, lift) => lift,
        }
    }
}

/// What a coach may say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CoachWord {
    /// What a coach may say.
    Help,
    /// What waits.
    Queue,
    /// One case on one page.
    Show(i64),
    /// This coach answers it.
    Take(i64),
    /// Answer in own words.
    Say(i64, String),
    /// One question to the lifter, in own words.
    Ask(i64, String),
    /// Stop it for safety, with the reason.
    Halt(i64, String),
    /// End a stop.
    LiftHalt(i64),
    /// Done.
    Finish(i64),
    /// What is behind the set, as the coach sees it.
    Verdict(i64, String),
    /// Undelivered messages once more.
    SendAgain,
    /// It goes to another coach, by name.
    Hand(i64, String),
    /// What a parent or guardian of its lifter has said.
    Guardian(i64, GuardianSays),
    /// The review sheet, for so many minutes when said.
    Sheet(Option<u32>),
    /// A link to the desk.
    Desk,
    /// A word about challenges and what works.
    Community(CommunityWord),
}

impl CoachWord {
    /// The case it names.
    pub const fn case_number(&self) -> Option<i64> {
        match self {
            Self::Show(n)
            | Self::Take(n)
            | Self::Say(n, _)
            | Self::Ask(n, _)
            | Self::Halt(n, _)
            | Self::LiftHalt(n)
            | Self::Finish(n)
            | Self::Hand(n, _)
            | Self::Verdict(n, _)
            | Self::Guardian(n, _)
            | Self::Community(CommunityWord::Open(n, _)) => Some(*n),
            Self::Help
            | Self::Queue
            | Self::SendAgain
            | Self::Sheet(_)
            | Self::Desk
            | Self::Community(_) => None,
        }
    }
}

/// Words that carry nothing here.
const SMALL: [&str; 14] = [
    "please", "pls", "the", "a", "an", "me", "my", "can", "i", "to", "you", "hi", "hey", "all",
];

/// Words of a text, lower case, without punctuation.
fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !(c.is_alphanumeric() || c == '\''))
        .filter(|word| !word.is_empty())
        .map(|word| word.to_lowercase().replace('\'', ""))
        .collect()
}

/// True when `said` holds exactly the words of `phrase`, in any order, small words aside.
pub(super) fn is_phrase(said: &[String], phrase: &[&str]) -> bool {
    let mut said: Vec<&str> = said
        .iter()
        .map(String::as_str)
        .filter(|word| !SMALL.contains(word))
        .collect();
    let mut phrase: Vec<&str> = phrase
        .iter()
        .copied()
        .filter(|word| !SMALL.contains(word))
        .collect();
    said.sort_unstable();
    phrase.sort_unstable();
    said == phrase
}

/// The lifter's word, if the text is one and nothing else.
pub(super) fn lifter_word(text: &str) -> Option<LifterWord> {
    if let Some(zone) = zone_word(text) {
        return Some(LifterWord::Zone(zone));
    }
    if let Some(word) = challenge::member_word(text) {
        return Some(LifterWord::Challenge(word));
    }
    let said = words(text);
    if let Some(word) = privacy_word(&said) {
        return Some(LifterWord::Privacy(word));
    }
    if let Some(day) = day_said(text) {
        return Some(LifterWord::RemindOn(day));
    }
    let phrases: [(&[&str], LifterWord); 32] = [
        (&["help"], LifterWord::Help),
        (&["how", "does", "this", "work"], LifterWord::Help),
        (&["what", "do"], LifterWord::Help),
        (&["what", "now"], LifterWord::Help),
        (&["who", "are"], LifterWord::Who),
        (&["what", "are"], LifterWord::Who),
        (&["are", "bot"], LifterWord::Who),
        (&["is", "this", "bot"], LifterWord::Who),
        (&["are", "human"], LifterWord::Who),
        (&["is", "case", "open"], LifterWord::MyCases),
        (&["is", "case", "still", "open"], LifterWord::MyCases),
        (&["cases"], LifterWord::MyCases),
        (&["show", "cases"], LifterWord::MyCases),
        (&["ask", "coach"], LifterWord::AskCoach),
        (&["coach"], LifterWord::AskCoach),
        (&["stop", "reminders"], LifterWord::StopReminders),
        (&["no", "more", "reminders"], LifterWord::StopReminders),
        (&["stop", "reminding"], LifterWord::StopReminders),
        (&["no", "reminders"], LifterWord::StopReminders),
        (&["stop"], LifterWord::StopReminders),
        (&["cancel"], LifterWord::StopReminders),
        (&["unsubscribe"], LifterWord::StopReminders),
        (&["quit"], LifterWord::StopReminders),
        (&["end"], LifterWord::StopReminders),
        (&["leave", "alone"], LifterWord::StopReminders),
        (&["start", "reminders"], LifterWord::StartReminders),
        (&["start", "reminding"], LifterWord::StartReminders),
        (&["reminders", "on"], LifterWord::StartReminders),
        (&["reminders", "off"], LifterWord::StopReminders),
        (&["profile"], LifterWord::MyProfile),
        (&["show", "profile"], LifterWord::MyProfile),
        (&["what", "know", "about"], LifterWord::MyProfile),
    ];
    phrases
        .into_iter()
        .find(|(phrase, _)| is_phrase(&said, phrase))
        .map(|(_, word)| word)
        .or_else(|| rack_word(text).map(LifterWord::Rack))
}

/// Words around a question about the bar that carry nothing.
const RACK_SMALL: [&str; 18] = [
    "for", "which", "what", "do", "need", "on", "bar", "give", "show", "of", "is", "are", "with",
    "at", "load", "sets", "make", "how",
];

/// `plates 142.5 kg`, `warm up to 180 kg`, with small words around; the number comes last, so that
/// "2 plates" stays what it is, a load.
fn rack_word(text: &str) -> Option<RackWord> {
    let text = text.to_lowercase().replace(['-', '\u{2011}'], " ");
    let mut said: Vec<&str> = text
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !(c.is_alphanumeric() || c == '#')))
        .filter(|word| !word.is_empty())
        .filter(|word| !SMALL.contains(word) && !RACK_SMALL.contains(word))
        .collect();
    let mut lift = None;
    said.retain(|word| {
        let named = match *word {
            "squat" | "squats" => Lift::Squat,
            "bench" | "press" => Lift::Bench,
            "deadlift" | "deadlifts" => Lift::Deadlift,
            _ => return true,
        };
        lift = Some(named);
        false
    });
    let load = |rest: &[&str]| TypedMass::read(&rest.concat());
    match said.as_slice() {
        ["plate" | "plates", rest @ ..] => load(rest).map(RackWord::Plates),
        ["warm", "up", rest @ ..] | ["warmup" | "warmups", rest @ ..] => {
            load(rest).map(|load| RackWord::WarmUp(load, lift))
        }
        _ => None,
    }
}

/// `my time zone is Europe/Berlin`: the name behind the words "time zone", if it looks like one.
fn zone_word(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let at = lower.find("time zone").map(|at| at + "time zone".len());
    let at = at.or_else(|| lower.find("timezone").map(|at| at + "timezone".len()))?;
    let name = lower
        .get(at..)?
        .split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()))
        .find(|word| word.contains('/') || *word == "utc")?;
    Some(name.to_owned())
}

/// The coach's word. The verb and the number may stand in either order; what follows is kept as
/// written.
pub(super) fn coach_word(text: &str) -> Option<CoachWord> {
    let said = words(text);
    for (phrase, word) in [
        (&["help"][..], CoachWord::Help),
        (&["queue"], CoachWord::Queue),
        (&["show", "queue"], CoachWord::Queue),
        (&["send", "again"], CoachWord::SendAgain),
        (&["desk"], CoachWord::Desk),
        (&["open", "desk"], CoachWord::Desk),
    ] {
        if is_phrase(&said, phrase) {
            return Some(word);
        }
    }
    if let Some(word) = challenge::coach_word(text) {
        return Some(CoachWord::Community(word));
    }
    let word = hand_word(text).or_else(|| sheet_word(&said));
    if let Some(word) = word.or_else(|| guardian_word(&said)) {
        return Some(word);
    }
    let (head, rest) = head(text)?;
    let number = head.number;
    let bare = rest.trim().is_empty();
    match head.verb.as_str() {
        // "Take 5 kg off" is talk: what acts on a case by number alone stands alone.
        "show" | "take" | "lift halt" | "finish" if !bare => None,
        "show" => Some(CoachWord::Show(number)),
        "take" => Some(CoachWord::Take(number)),
        "say" => Some(CoachWord::Say(number, rest)),
        "ask" => Some(CoachWord::Ask(number, rest)),
        "halt" => Some(CoachWord::Halt(number, rest)),
        "lift halt" => Some(CoachWord::LiftHalt(number)),
        "finish" => Some(CoachWord::Finish(number)),
        "verdict" => Some(CoachWord::Verdict(number, rest)),
        _ => None,
    }
}

/// The verb and the number a coach's text begins with.
struct Head {
    verb: String,
    number: i64,
}

/// Splits `say 12 good work` into its head and the rest as written.
fn head(text: &str) -> Option<(Head, String)> {
    let mut verb = Vec::new();
    let mut rest = text.trim_start();
    let mut number = None;
    for _ in 0..3 {
        let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
        let word = rest
            .get(..end)?
            .trim_matches(|c: char| !c.is_alphanumeric());
        let after = rest.get(end..)?.trim_start();
        if let Ok(value) = word.parse::<i64>() {
            if number.is_some() {
                break;
            }
            number = Some(value);
        } else {
            let word = word.to_lowercase();
            let verb_word = matches!(
                word.as_str(),
                "show" | "take" | "say" | "ask" | "halt" | "lift" | "finish" | "verdict"
            );
            if word == "case" || SMALL.contains(&word.as_str()) {
                rest = after;
                continue;
            }
            // `lift halt` is the one verb of two words.
            let complete = verb.first().is_some_and(|first| first != "lift");
            if !verb_word || complete {
                break;
            }
            verb.push(word);
        }
        rest = after;
        let whole = verb.first().is_some_and(|first| first != "lift") || verb.len() == 2;
        if number.is_some() && whole {
            break;
        }
    }
    let head = Head {
        verb: verb.join(" "),
        number: number?,
    };
    Some((head, rest.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lifter_may_shout_or_be_polite() {
        assert_eq!(
            lifter_word("STOP reminders!"),
            Some(LifterWord::StopReminders)
        );
        assert_eq!(
            lifter_word("reminders stop pls"),
            Some(LifterWord::StopReminders)
        );
        assert_eq!(
            lifter_word("Can I ask the coach?"),
            Some(LifterWord::AskCoach)
        );
        assert_eq!(lifter_word("my cases"), Some(LifterWord::MyCases));
        let forget = Some(LifterWord::Privacy(PrivacyWord::ForgetMe));
        assert_eq!(lifter_word("forget me"), forget);
    }

    #[test]
    fn a_set_that_holds_a_word_is_not_a_word() {
        assert_eq!(lifter_word("I stop at the bottom of the squat"), None);
        assert_eq!(lifter_word("help my hips shoot up"), None);
    }

    #[test]
    fn plates_and_a_warm_up_are_asked_for_in_many_ways() {
        let kg = |value| TypedMass {
            value,
            unit: Some(cueline_core::quantity::MassUnit::Kg),
        };
        for text in [
            "plates 142.5 kg",
            "PLATES 142,5kg?",
            "which plates do I need for 142.5 kg",
            "Plates for 142.5kg please.",
        ] {
            let word = LifterWord::Rack(RackWord::Plates(kg(142.5)));
            assert_eq!(lifter_word(text), Some(word), "{text}");
        }
        for (text, lift) in [
            ("warm up to 180 kg", None),
            ("Warm-up for 180kg", None),
            ("warmup 180kg squat", Some(Lift::Squat)),
            (
                "what warm up sets for a 180 kg bench press?",
                Some(Lift::Bench),
            ),
        ] {
            let word = LifterWord::Rack(RackWord::WarmUp(kg(180.0), lift));
            assert_eq!(lifter_word(text), Some(word), "{text}");
        }
    }

    #[test]
    fn plates_in_a_set_are_no_question_about_plates() {
        for text in [
            "2 plates",
            "squat 2 plates x 3",
            "plates 142.5 kg x 3 @8",
            "warmed up to 180 kg, hips shoot up",
            "warm up to 180 kg hurts my knee",
            "plates",
            "warm up",
        ] {
            assert_eq!(lifter_word(text), None, "{text}");
        }
    }

    #[test]
    fn a_coach_gives_verb_and_number_in_either_order_and_the_text_is_kept() {
        assert_eq!(
            coach_word("say 12 Good work.  Keep the pause!"),
            Some(CoachWord::Say(12, "Good work.  Keep the pause!".to_owned()))
        );
        assert_eq!(
            coach_word("Ask 12: does your heel lift?"),
            Some(CoachWord::Ask(12, "does your heel lift?".to_owned()))
        );
        assert_eq!(coach_word("12 take"), Some(CoachWord::Take(12)));
        assert_eq!(coach_word("Show case 7"), Some(CoachWord::Show(7)));
        assert_eq!(coach_word("lift halt 3"), Some(CoachWord::LiftHalt(3)));
        assert_eq!(
            coach_word("say 4 take 5 kg off"),
            Some(CoachWord::Say(4, "take 5 kg off".to_owned()))
        );
        assert_eq!(
            coach_word("halt 9 back pain"),
            Some(CoachWord::Halt(9, "back pain".into()))
        );
        assert_eq!(coach_word("queue please"), Some(CoachWord::Queue));
        assert_eq!(
            coach_word("Verdict 12: brace late, hips low start"),
            Some(CoachWord::Verdict(12, "brace late, hips low start".into()))
        );
    }

    #[test]
    fn a_zone_is_taken_from_a_sentence() {
        let zone = Some(LifterWord::Zone("europe/berlin".to_owned()));
        assert_eq!(lifter_word("My time zone is Europe/Berlin."), zone);
        assert_eq!(lifter_word("which time zone are you in?"), None);
    }

    #[test]
    fn talk_between_coaches_is_no_command() {
        assert_eq!(coach_word("Take 5 kg off and go again"), None);
        assert_eq!(coach_word("finish 3 sets of five"), None);
        assert_eq!(coach_word("see you at 12"), None);
        assert_eq!(coach_word("ask me tomorrow"), None);
        assert_eq!(coach_word("show me"), None);
        assert_eq!(coach_word(""), None);
    }
}
