//! Texts as sentences.

/// Text that ends as a sentence does.
pub(super) fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?', ')']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// Text with its first letter in upper case.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}
