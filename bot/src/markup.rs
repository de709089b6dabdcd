//! The Markdown subset of the outbound contract, as blocks and spans: bold, italic, code,
//! fenced code, lists, line breaks, and links that stay on this service. Anything else is text.

use maud::{Markup, html};

/// One run of text within a line.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Span {
    Text(String),
    Bold(Vec<Span>),
    Italic(Vec<Span>),
    Code(String),
    Link { label: String, href: String },
}

/// One block of a message.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Block {
    Paragraph(Vec<String>),
    Bullets(Vec<String>),
    Numbers(Vec<String>),
    Fence(String),
}

/// A person's words: no markup at all, only line breaks.
pub(crate) fn plain(text: &str) -> Markup {
    html! { p { @for (at, line) in text.lines().enumerate() { @if at > 0 { br; } (line) } } }
}

/// The service's words. `own` is this service's address, such as `http://127.0.0.1:8080/`; only
/// links that begin with it become links, and none when it is empty.
pub(crate) fn render(text: &str, own: &str) -> Markup {
    html! {
        @for block in blocks(text) {
            @match block {
                Block::Paragraph(lines) => p {
                    @for (at, line) in lines.iter().enumerate() {
                        @if at > 0 { br; }
                        (inline(line, own))
                    }
                },
                Block::Bullets(items) => ul { @for item in &items { li { (inline(item, own)) } } },
                Block::Numbers(items) => ol { @for item in &items { li { (inline(item, own)) } } },
                Block::Fence(code) => pre { code { (code) } },
            }
        }
    }
}

fn inline(line: &str, own: &str) -> Markup {
    show(&spans(line, own, 0))
}

fn show(spans: &[Span]) -> Markup {
    html! {
        @for span in spans {
            @match span {
                Span::Text(text) => (text),
                Span::Bold(inner) => strong { (show(inner)) },
                Span::Italic(inner) => em { (show(inner)) },
                Span::Code(code) => code { (code) },
                Span::Link { label, href } => a href=(href) rel="noopener" { (label) },
            }
        }
    }
}

fn blocks(text: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        if line.trim_start().starts_with("```") {
            let inside = lines
                .by_ref()
                .take_while(|one| !one.trim_start().starts_with("```"));
            blocks.push(Block::Fence(inside.collect::<Vec<_>>().join("\n")));
        } else if let Some(item) = bullet(line) {
            match blocks.last_mut() {
                Some(Block::Bullets(items)) => items.push(item.to_owned()),
                _ => blocks.push(Block::Bullets(vec![item.to_owned()])),
            }
        } else if let Some(item) = numbered(line) {
            match blocks.last_mut() {
                Some(Block::Numbers(items)) => items.push(item.to_owned()),
                _ => blocks.push(Block::Numbers(vec![item.to_owned()])),
            }
        } else if line.trim().is_empty() {
            blocks.push(Block::Paragraph(Vec::new()));
        } else {
            match blocks.last_mut() {
                Some(Block::Paragraph(lines)) => lines.push(line.to_owned()),
                _ => blocks.push(Block::Paragraph(vec![line.to_owned()])),
            }
        }
    }
    blocks.retain(|block| !matches!(block, Block::Paragraph(lines) if lines.is_empty()));
    blocks
}

fn bullet(line: &str) -> Option<&str> {
    line.trim_start().strip_prefix("- ")
}

fn numbered(line: &str) -> Option<&str> {
    let (number, item) = line.trim_start().split_once(". ")?;
    let short = (1..=2).contains(&number.len());
    (short && number.bytes().all(|byte| byte.is_ascii_digit())).then_some(item)
}

fn spans(line: &str, own: &str, depth: u8) -> Vec<Span> {
    let mut found = Vec::new();
    let mut text = String::new();
    let mut rest = line;
    while let Some(first) = rest.chars().next() {
        if let Some((span, after)) = marked(rest, own, depth) {
            if !text.is_empty() {
                found.push(Span::Text(std::mem::take(&mut text)));
            }
            found.push(span);
            rest = after;
            continue;
        }
        // A backslash before a mark makes it text, as in CommonMark 0.31 section 2.4.
        let escaped = rest
            .strip_prefix('\\')
            .and_then(|after| after.chars().next());
        let (shown, used) = match escaped {
            Some(mark) if mark.is_ascii_punctuation() => (mark, 2),
            _ => (first, first.len_utf8()),
        };
        text.push(shown);
        rest = rest.get(used..).unwrap_or("");
    }
    if !text.is_empty() {
        found.push(Span::Text(text));
    }
    found
}

/// The span that begins right here, and what follows it.
fn marked<'a>(rest: &'a str, own: &str, depth: u8) -> Option<(Span, &'a str)> {
    if let Some((code, after)) = rest.strip_prefix('`').and_then(|open| open.split_once('`')) {
        return Some((Span::Code(code.to_owned()), after));
    }
    if let Some(found) = link(rest, own) {
        return Some(found);
    }
    // Two levels are all a reply uses; deeper marks are text, so nesting cannot run away.
    if depth >= 2 {
        return None;
    }
    if let Some((inner, after)) = between(rest, "**") {
        return Some((Span::Bold(spans(inner, own, depth + 1)), after));
    }
    let (inner, after) = between(rest, "*")?;
    Some((Span::Italic(spans(inner, own, depth + 1)), after))
}

/// The text between two marks; a mark next to a space is a sign of its own ("5 * 3").
fn between<'a>(rest: &'a str, mark: &str) -> Option<(&'a str, &'a str)> {
    let open = rest.strip_prefix(mark)?;
    let (inner, after) = open.split_once(mark)?;
    let tight =
        !inner.is_empty() && !inner.starts_with([' ', '*']) && !inner.ends_with([' ', '\\']);
    tight.then_some((inner, after))
}

fn link<'a>(rest: &'a str, own: &str) -> Option<(Span, &'a str)> {
    if own.is_empty() {
        return None;
    }
    if rest.starts_with(own) {
        let end = rest
            .find(|c: char| c.is_whitespace() || "<>\"'`()[]*".contains(c))
            .unwrap_or(rest.len());
        let address = rest.get(..end)?.trim_end_matches(['.', ',', ';', '!', '?']);
        let span = Span::Link {
            label: address.to_owned(),
            href: address.to_owned(),
        };
        return Some((span, rest.get(address.len()..)?));
    }
    let (label, after) = rest.strip_prefix('[')?.split_once("](")?;
    let (href, after) = after.split_once(')')?;
    let stays = href.starts_with(own) && !href.contains(char::is_whitespace);
    (stays && !label.contains('[')).then(|| {
        let span = Span::Link {
            label: label.to_owned(),
            href: href.to_owned(),
        };
        (span, after)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn without_an_address_of_our_own_nothing_becomes_a_link() {
        let text = "see [this](javascript:x) and https://a.example, *well*";
        let shown = render(text, "").into_string();
        assert!(!shown.contains("<a"), "{shown}");
        assert!(shown.contains("<em>well</em>"), "{shown}");
    }

    const OWN: &str = "http://127.0.0.1:8080/";

    fn shown(text: &str) -> String {
        render(text, OWN).into_string()
    }

    #[test]
    fn bold_italic_code_lists_and_line_breaks_are_shown() {
        assert_eq!(
            shown(
                "**Change this**: sit *back*, bar `over` foot\nthen stand\n\n- one\n- two\n1. three"
            ),
            "<p><strong>Change this</strong>: sit <em>back</em>, bar <code>over</code> foot<br>\
             then stand</p><ul><li>one</li><li>two</li></ul><ol><li>three</li></ol>"
        );
        assert_eq!(
            shown("```\na < b\n```\nend"),
            "<pre><code>a &lt; b</code></pre><p>end</p>"
        );
    }

    #[test]
    fn a_times_sign_and_an_escaped_star_stay_text() {
        assert_eq!(shown("3 * 5 * 2"), "<p>3 * 5 * 2</p>");
        assert_eq!(shown(r"\*not bold\*"), "<p>*not bold*</p>");
        assert_eq!(shown("** **"), "<p>** **</p>");
    }

    #[test]
    fn scripts_and_attributes_in_a_reply_are_only_text() {
        let page = shown("<script>alert(1)</script> **\"><img onerror=x>** `</code><b>`");
        assert!(!page.contains("<script"), "{page}");
        assert!(!page.contains("<img"), "{page}");
        assert!(!page.contains("<b>"), "{page}");
    }

    #[test]
    fn only_links_to_this_service_become_links() {
        assert_eq!(
            shown("Open http://127.0.0.1:8080/desk/in?t=a1."),
            "<p>Open <a href=\"http://127.0.0.1:8080/desk/in?t=a1\" rel=\"noopener\">\
             http://127.0.0.1:8080/desk/in?t=a1</a>.</p>"
        );
        for hostile in [
            "[x](javascript:alert(1))",
            "[x](http://127.0.0.1:8080.evil.example/)",
            "https://evil.example/",
        ] {
            assert!(!shown(hostile).contains("<a "), "{hostile}");
        }
    }

    #[test]
    fn people_s_words_get_line_breaks_but_no_markup() {
        assert_eq!(
            plain("**a** <i>\nb").into_string(),
            "<p>**a** &lt;i&gt;<br>b</p>"
        );
    }

    #[test]
    fn a_long_row_of_marks_is_shown_in_bounded_time() {
        let row = "*".repeat(4_000);
        assert!(shown(&row).contains("****"));
        assert!(shown(&"[](".repeat(1_300)).contains("[]("));
    }
}
