//! How long people's data are kept, and the links to them.

use super::is_loopback;
use crate::casework::PrivacyRules;
use serde::Deserialize;
use std::ops::RangeInclusive;

section! {
    /// How long people's data are kept, and links to them.
    Privacy {
        /// Days until clips and files go.
        files_days: u32 = 30,
        /// Days until pictures and traces kept with cases go.
        pictures_days: u32 = 30,
        /// Days until words go.
        words_days: u32 = 90,
        /// Months until flags go.
        flags_months: u32 = 24,
        /// Months until figures go.
        figures_months: u32 = 24,
        /// Days until bodies that could not be read go.
        unreadable_days: u32 = 30,
        /// Days until the names of emptied events go.
        names_days: u32 = 30,
        /// Minutes a link to a lifter's data works.
        link_minutes: u32 = 30,
        /// How often it works.
        link_uses: u32 = 3,
    }
}

/// A setting, its value, and what is accepted.
type Bound = (&'static str, u32, RangeInclusive<u32>);

impl Privacy {
    /// Numbers with bounds.
    pub(super) fn bounds(&self) -> [Bound; 9] {
        [
            ("files_days", self.files_days, 1..=365),
            ("pictures_days", self.pictures_days, 1..=365),
            ("words_days", self.words_days, 14..=730),
            ("flags_months", self.flags_months, 1..=120),
            ("figures_months", self.figures_months, 1..=120),
            ("unreadable_days", self.unreadable_days, 1..=365),
            // A sender repeats for a little over three days (Standard Webhooks' example schedule).
            ("names_days", self.names_days, 7..=365),
            ("link_minutes", self.link_minutes, 5..=1440),
            ("link_uses", self.link_uses, 1..=10),
        ]
    }

    /// What casework goes by.
    pub(super) fn rules(&self, public_url: &str) -> PrivacyRules {
        PrivacyRules {
            public_url: Some(public_url.to_owned()).filter(|url| !url.is_empty()),
            link_minutes: self.link_minutes,
            link_uses: self.link_uses,
            words_days: self.words_days,
            pictures_days: self.pictures_days,
            flags_months: self.flags_months,
        }
    }
}

/// Nothing, or an address that a link can begin with.
pub(super) fn is_public_url(url: &str) -> bool {
    let encrypted = url.starts_with("https://") && url.len() > "https://".len();
    let plain = !url.ends_with('/') && !url.contains(['?', '#', ' ']);
    url.is_empty() || (plain && (encrypted || is_loopback(url)))
}

#[cfg(test)]
mod tests {
    use super::is_public_url;

    #[test]
    fn a_link_begins_with_an_encrypted_address_or_this_machine() {
        for url in [
            "",
            "https://cueline.example",
            "http://127.0.0.1:8765",
            "https://a.example/b",
        ] {
            assert!(is_public_url(url), "{url}");
        }
        for url in [
            "http://cueline.example",
            "https://",
            "https://cueline.example/",
            "https://cueline.example?x=1",
            "cueline.example",
        ] {
            assert!(!is_public_url(url), "{url}");
        }
    }
}
