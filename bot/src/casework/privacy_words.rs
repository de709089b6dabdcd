//! What a lifter may say about their own data, and who acts on it.

use super::speech::is_phrase;
use super::turn::Turn;
use super::{consent, data, erase};
use crate::record::{ConsentHow, ConsentStep};

/// A word about the lifter's own data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrivacyWord {
    /// A copy of everything kept.
    MyData,
    /// To be forgotten; asked back once.
    ForgetMe,
    /// Yes, to be forgotten.
    ForgetMeSurely,
    /// Words on health may be kept.
    Consent,
    /// They may not.
    NoConsent,
    /// They may not any more.
    TakeBack,
}

/// The word, if the text is one and nothing else.
pub(super) fn privacy_word(said: &[String]) -> Option<PrivacyWord> {
    use PrivacyWord::{Consent, ForgetMe, ForgetMeSurely, MyData, NoConsent, TakeBack};
    let phrases: [(&[&str], PrivacyWord); 19] = [
        (&["data"], MyData),
        (&["show", "data"], MyData),
        (&["send", "data"], MyData),
        (&["export", "data"], MyData),
        (&["forget"], ForgetMe),
        (&["forget", "everything"], ForgetMe),
        (&["delete", "data"], ForgetMe),
        (&["delete"], ForgetMe),
        (&["erase", "data"], ForgetMe),
        (&["yes", "forget"], ForgetMeSurely),
        (&["consent"], Consent),
        (&["yes", "consent"], Consent),
        (&["no", "consent"], NoConsent),
        (&["dont", "consent"], NoConsent),
        (&["do", "not", "consent"], NoConsent),
        (&["take", "back", "consent"], TakeBack),
        (&["taking", "back", "consent"], TakeBack),
        (&["withdraw", "consent"], TakeBack),
        (&["revoke", "consent"], TakeBack),
    ];
    phrases
        .into_iter()
        .find(|(phrase, _)| is_phrase(said, phrase))
        .map(|(_, word)| word)
}

/// Acts on it.
pub(super) fn say(turn: &mut Turn<'_>, word: PrivacyWord) {
    match word {
        PrivacyWord::MyData => data::tell(turn),
        PrivacyWord::ForgetMe => erase::ask(turn),
        PrivacyWord::ForgetMeSurely => erase::forget(turn),
        PrivacyWord::Consent => consent::answered(turn, ConsentStep::Yes, ConsentHow::Words),
        PrivacyWord::NoConsent => consent::answered(turn, ConsentStep::No, ConsentHow::Words),
        PrivacyWord::TakeBack => {
            consent::answered(turn, ConsentStep::Withdrawn, ConsentHow::Words);
        }
    }
}

/// Acts on a button of ours about data or consent; false when it is no such button, or not the
/// presser's.
pub(super) fn button(turn: &mut Turn<'_>, choice_id: &str) -> bool {
    let mine = turn.known.ours.as_ref().is_some_and(|message| {
        message.person_id.as_deref() == Some(turn.event.actor.id.as_str())
            && message
                .choices
                .iter()
                .any(|choice| choice.choice_id == choice_id)
    });
    if !mine {
        return false;
    }
    match choice_id {
        erase::FORGET => erase::forget(turn),
        erase::KEEP => erase::kept(turn),
        consent::YES => consent::answered(turn, ConsentStep::Yes, ConsentHow::Button),
        consent::NO => consent::answered(turn, ConsentStep::No, ConsentHow::Button),
        _ => return false,
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casework::LifterWord;
    use crate::casework::speech::lifter_word;

    #[test]
    fn words_about_data_are_understood_in_many_wordings() {
        for (text, word) in [
            ("my data", PrivacyWord::MyData),
            ("Can you send me all my data, please?", PrivacyWord::MyData),
            ("FORGET ME", PrivacyWord::ForgetMe),
            ("please delete all my data", PrivacyWord::ForgetMe),
            ("Yes, forget me!", PrivacyWord::ForgetMeSurely),
            ("I consent", PrivacyWord::Consent),
            ("I don't consent", PrivacyWord::NoConsent),
            ("I take back my consent", PrivacyWord::TakeBack),
        ] {
            let word = Some(LifterWord::Privacy(word));
            assert_eq!(lifter_word(text), word, "{text}");
        }
    }

    #[test]
    fn talk_that_holds_such_a_word_is_no_such_word() {
        for text in [
            "I forget to breathe",
            "yes I forget to brace sometimes",
            "my data says 140 kg",
            "consent form is signed",
        ] {
            assert_eq!(lifter_word(text), None, "{text}");
        }
    }
}
