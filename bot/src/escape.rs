//! Quotes a person's words inside our own Markdown so that nothing in them acts: no markup, no
//! mention, no link, no turned-around text. What people see stays the same.

/// Shown as nothing; keeps `@` from becoming a mention and `://` from becoming a link.
const BREAK: char = '\u{200B}';

/// Characters that act anywhere in a line, in `CommonMark` and its usual extensions.
const ACTS: [char; 14] = [
    '\\', '`', '*', '_', '[', ']', '<', '>', '#', '|', '~', '&', '$', '^',
];

/// Words of a person, made safe to put in the middle of a message.
///
/// Markup characters get a backslash, `@` and `<` are followed by an invisible break, links are
/// broken the same way, bidirectional and control characters are taken out, and white space at
/// the head of a line is dropped. Line ends stay.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 4);
    for (index, line) in clean(text).split('\n').enumerate() {
        if index > 0 {
            out.push('\n');
        }
        escape_line(line.trim(), &mut out);
    }
    out
}

/// The same on one line: line ends become spaces.
pub fn escape_inline(text: &str) -> String {
    let one_line = clean(text).replace('\n', " ");
    let mut out = String::with_capacity(one_line.len());
    escape_line(one_line.trim(), &mut out);
    out
}

/// Whether a character turns the direction of the text around it (Unicode Standard Annex 9).
pub const fn is_bidi_control(c: char) -> bool {
    matches!(
        c,
        '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
    )
}

/// Takes out what cannot be seen and could mislead; every line end becomes `\n`.
fn clean(text: &str) -> String {
    text.replace("\r\n", "\n")
        .chars()
        .filter_map(|c| match c {
            '\r' | '\n' | '\u{0085}' | '\u{2028}' | '\u{2029}' => Some('\n'),
            '\t' => Some(' '),
            // Invisible spacers could hide a mention or undo a break.
            '\u{200B}' | '\u{2060}' | '\u{FEFF}' | '\u{00AD}' => None,
            c if c.is_control() || is_bidi_control(c) => None,
            c => Some(c),
        })
        .collect()
}

fn escape_line(line: &str, out: &mut String) {
    let mut before = None;
    // Digits at the head of a line could open a numbered list.
    let mut only_digits = true;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let next = chars.peek().copied();
        let opens_block = match before {
            None => matches!(c, '-' | '+' | '=' | ':'),
            Some(_) => {
                only_digits && matches!(c, '.' | ')') && next.is_none_or(char::is_whitespace)
            }
        };
        only_digits &= c.is_ascii_digit();
        if ACTS.contains(&c) || opens_block {
            out.push('\\');
        }
        out.push(c);
        if breaks_after(c, before, next) {
            out.push(BREAK);
        }
        before = Some(c);
    }
}

/// Whether an invisible break is needed behind this character.
fn breaks_after(c: char, before: Option<char>, next: Option<char>) -> bool {
    match c {
        // At sign, its full-width and small forms, and platform tags such as `<!here>`.
        '@' | '\u{FF20}' | '\u{FE6B}' | '<' => true,
        // `https://`, `mailto:someone`, `javascript:`; times such as 18:30 stay whole.
        ':' => {
            let scheme = before.is_some_and(char::is_alphabetic);
            next.is_some_and(|n| n == '/' || (scheme && !n.is_whitespace()))
        }
        // `evil.example`; decimal numbers such as 142.5 stay whole.
        '.' => before.is_some_and(char::is_alphanumeric) && next.is_some_and(char::is_alphabetic),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::{BREAK, clean, escape, escape_inline, is_bidi_control};
    use proptest::prelude::*;
    use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

    /// Renders with an independent `CommonMark` reader, every extension on (but the one that only
    /// prettifies quotation marks); `None` when anything but plain paragraphs of text came out.
    fn plain_text(markdown: &str) -> Option<String> {
        let mut text = String::new();
        let extensions = Options::all() - Options::ENABLE_SMART_PUNCTUATION;
        for event in Parser::new_ext(markdown, extensions) {
            match event {
                Event::Text(piece) => text.push_str(&piece),
                Event::SoftBreak | Event::HardBreak | Event::End(TagEnd::Paragraph) => {
                    text.push('\n');
                }
                Event::Start(Tag::Paragraph) => {}
                _ => return None,
            }
        }
        Some(text.replace(BREAK, ""))
    }

    /// The words that must come through: lines trimmed, empty lines gone.
    fn words(text: &str) -> Vec<String> {
        text.split('\n')
            .map(|line| line.trim().to_owned())
            .filter(|line| !line.is_empty())
            .collect()
    }

    fn rings(text: &str) -> bool {
        let lower = text.to_lowercase();
        [
            "@everyone",
            "@here",
            "@room",
            "@channel",
            "@all",
            "<@",
            "<!",
            "://",
            "www.e",
            "javascript:a",
            "mailto:a",
        ]
        .iter()
        .any(|call| lower.contains(call))
            || text.split('@').skip(1).any(|tail| !tail.starts_with(BREAK))
    }

    #[test]
    fn nobody_is_rung_through_a_quoted_word() {
        for call in [
            "@everyone",
            "@here",
            "@room",
            "<@12345>",
            "<@!9>",
            "<!here>",
            "&#64;everyone",
            "\u{FF20}everyone",
            "a@b",
            "@\u{200B}everyone",
        ] {
            let quoted = escape(call);
            assert!(!rings(&quoted), "{quoted:?}");
            let shown = plain_text(&quoted);
            assert_eq!(
                shown.map(|s| words(&s)),
                Some(words(&clean(call))),
                "{quoted:?}"
            );
        }
        assert_eq!(escape("&#64;everyone"), "\\&\\#64;everyone");
    }

    #[test]
    fn a_quoted_link_is_only_words() {
        for link in [
            "https://evil.example/x",
            "://evil",
            "www.evil.example",
            "evil.example",
            "[click](https://evil.example)",
            "javascript:alert(1)",
            "mailto:a@b.example",
            "<https://evil.example>",
            "![x](http://e.example/p.png)",
        ] {
            let quoted = escape(link);
            assert!(!rings(&quoted), "{quoted:?}");
            assert!(!quoted.contains("l.e"), "{quoted:?}");
            assert!(plain_text(&quoted).is_some(), "{quoted:?}");
        }
    }

    #[test]
    fn a_lifter_s_numbers_and_times_stay_as_typed() {
        for line in [
            "142.5 kg x 5 at 18:30",
            "RPE 8, felt fine (mostly)",
            "80% of best - easy",
        ] {
            assert_eq!(escape(line), line);
        }
    }

    #[test]
    fn block_marks_at_the_head_of_a_line_do_not_act() {
        for line in [
            "# big",
            "> quote",
            "- item",
            "+ item",
            "* item",
            "1. one",
            "12) twelve",
            "---",
            "===",
            "    code",
            "\tcode",
            "```\ncode\n```",
            "a | b\n--|--\n1 | 2",
            "a\n===",
            "[x]: http://e.example",
            "~~gone~~",
            "^up^",
            "$x$",
            ": term",
            "- [ ] task",
            "<b>bold</b>",
            "[^1]: note",
        ] {
            let quoted = escape(line);
            let shown = plain_text(&quoted);
            assert_eq!(
                shown.map(|s| words(&s)),
                Some(words(&clean(line))),
                "{quoted:?}"
            );
        }
    }

    #[test]
    fn turned_around_text_is_put_straight() {
        assert_eq!(escape("safe\u{202E}gnp.exe"), "safegnp.\u{200B}exe");
        assert_eq!(escape("a\u{0}b\u{7}c\u{1b}[31m"), "abc\\[31m");
    }

    #[test]
    fn one_line_stays_one_line() {
        assert_eq!(escape_inline("a\r\nb\u{2028}- c"), "a b - c");
    }

    proptest! {
        #[test]
        fn no_mention_and_no_markup_survives(text in r"[ -~\n\t@<>#`*_\[\]()!|\\:./0-9a-zäé✅\u{202E}\u{200B}\u{FF20}-]{0,60}") {
            let quoted = escape(&text);
            prop_assert!(!rings(&quoted), "{quoted:?}");
            prop_assert!(!quoted.chars().any(is_bidi_control));
            let shown = plain_text(&quoted);
            prop_assert_eq!(shown.map(|s| words(&s)), Some(words(&clean(&text))), "{:?}", quoted);
        }

        #[test]
        fn any_text_at_all_comes_through_as_words(text in "\\PC{0,80}") {
            let quoted = escape_inline(&text);
            prop_assert!(!quoted.contains('\n'));
            prop_assert!(plain_text(&quoted).is_some(), "{quoted:?}");
        }
    }
}
