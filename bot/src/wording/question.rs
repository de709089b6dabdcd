//! A question as it is asked in chat.

use super::Words;

/// A question and its choices on a line of their own, numbered so that a number answers it.
pub fn question_lines(words: &Words, text: &str, choices: &[String]) -> Vec<String> {
    let asked = words.say("reply.question", &[("question", text)]);
    let answers = if choices.is_empty() {
        words.say("reply.question_free", &[])
    } else {
        let numbered: Vec<String> = choices
            .iter()
            .enumerate()
            .map(|(index, choice)| format!("{}) {choice}", index + 1))
            .collect();
        numbered.join("  ")
    };
    vec![asked, answers]
}
