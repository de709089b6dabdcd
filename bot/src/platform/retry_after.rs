//! Reads `Retry-After` (RFC 9110, section 10.2.3): seconds, or a date in the fixed form
//! `Sun, 06 Nov 1994 08:49:37 GMT` (section 5.6.7). The platform is not trusted: odd values count
//! as absent and long waits are cut to [`LONGEST`].

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Weekday};
use jiff::tz::TimeZone;
use std::time::Duration;

/// Longest wait obeyed.
pub const LONGEST: Duration = Duration::from_hours(1);

/// The wait a header asks for, at most [`LONGEST`]; none when it cannot be read. A date in the
/// past is no wait.
pub fn parse(value: &str, now: Timestamp) -> Option<Duration> {
    let value = value.trim_matches([' ', '\t']);
    if !value.is_empty() && value.bytes().all(|b| b.is_ascii_digit()) {
        // Digits that do not fit are simply a very long wait.
        let seconds = value.parse().unwrap_or(u64::MAX);
        return Some(Duration::from_secs(seconds).min(LONGEST));
    }
    let until = http_date(value)?.duration_since(now);
    // Rounded up to whole seconds: never earlier than told.
    let seconds = until.as_millis().max(0).unsigned_abs().div_ceil(1000);
    let seconds = u64::try_from(seconds).unwrap_or(u64::MAX);
    Some(Duration::from_secs(seconds).min(LONGEST))
}

/// Reads the fixed form of an HTTP date, to the letter.
fn http_date(text: &str) -> Option<Timestamp> {
    let (weekday, rest) = text.split_once(", ")?;
    let words: Vec<&str> = rest.split(' ').collect();
    let [day, month, year, clock, "GMT"] = words.as_slice() else {
        return None;
    };
    let month = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ]
    .iter()
    .zip(1_i8..)
    .find(|(name, _)| *name == month)
    .map(|(_, number)| number)?;
    let parts: Vec<&str> = clock.split(':').collect();
    let [hour, minute, second] = parts.as_slice() else {
        return None;
    };
    let year = i16::try_from(digits(year, 4)?).ok()?;
    let date = Date::new(year, month, two(day)?).ok()?;
    if name(date.weekday()) != weekday {
        return None;
    }
    // A leap second is read as the second before it.
    let second = two(second)?;
    let second = if second == 60 { 59 } else { second };
    let time = jiff::civil::Time::new(two(hour)?, two(minute)?, second, 0).ok()?;
    // Only the last day of the year 9999 does not fit.
    let moment = TimeZone::UTC.to_timestamp(DateTime::from_parts(date, time));
    Some(moment.unwrap_or(Timestamp::MAX))
}

const fn name(weekday: Weekday) -> &'static str {
    match weekday {
        Weekday::Monday => "Mon",
        Weekday::Tuesday => "Tue",
        Weekday::Wednesday => "Wed",
        Weekday::Thursday => "Thu",
        Weekday::Friday => "Fri",
        Weekday::Saturday => "Sat",
        Weekday::Sunday => "Sun",
    }
}

fn two(text: &str) -> Option<i8> {
    i8::try_from(digits(text, 2)?).ok()
}

fn digits(text: &str, length: usize) -> Option<u16> {
    let plain = text.len() == length && text.bytes().all(|b| b.is_ascii_digit());
    if plain { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::{LONGEST, http_date, parse};
    use jiff::Timestamp;
    use proptest::prelude::*;
    use std::time::Duration;

    /// RFC 9110, section 5.6.7: the example of the preferred date form.
    const RFC_DATE: &str = "Sun, 06 Nov 1994 08:49:37 GMT";
    /// The same moment in Unix seconds (Python's `email.utils.parsedate_to_datetime`).
    const RFC_SECONDS: i64 = 784_111_777;

    fn before(seconds: i64) -> Timestamp {
        Timestamp::from_second(RFC_SECONDS - seconds).unwrap()
    }

    #[test]
    fn the_example_date_of_the_standard_is_read() {
        assert_eq!(http_date(RFC_DATE).unwrap().as_second(), RFC_SECONDS);
        assert_eq!(parse(RFC_DATE, before(90)), Some(Duration::from_secs(90)));
    }

    #[test]
    fn the_example_seconds_of_the_standard_are_read() {
        // RFC 9110, section 10.2.3: `Retry-After: 120`.
        assert_eq!(parse("120", before(0)), Some(Duration::from_mins(2)));
        assert_eq!(parse("0", before(0)), Some(Duration::ZERO));
    }

    #[test]
    fn a_date_in_the_past_is_no_wait_and_a_far_one_is_cut_to_an_hour() {
        assert_eq!(parse(RFC_DATE, before(-5)), Some(Duration::ZERO));
        assert_eq!(parse(RFC_DATE, before(86_400)), Some(LONGEST));
        for huge in ["1000000000", "99999999999999999999999999999999"] {
            assert_eq!(parse(huge, before(0)), Some(LONGEST));
        }
        assert_eq!(
            parse("Fri, 31 Dec 9999 23:59:59 GMT", before(0)),
            Some(LONGEST)
        );
    }

    #[test]
    fn anything_else_counts_as_absent() {
        for odd in [
            "",
            "-5",
            "+5",
            "1.5",
            "5s",
            "soon",
            "0x10",
            "１２",
            "Mon, 06 Nov 1994 08:49:37 GMT", // that day was a Sunday
            "Sun, 6 Nov 1994 08:49:37 GMT",
            "Sun, 06 Nov 1994 08:49:37 UTC",
            "Sun, 06 Nov 94 08:49:37 GMT",
            "Sun, 31 Nov 1994 08:49:37 GMT",
            "Sun, 06 Nov 1994 25:49:37 GMT",
            "sun, 06 nov 1994 08:49:37 gmt",
            "Sunday, 06-Nov-94 08:49:37 GMT",
            "Sun Nov  6 08:49:37 1994",
        ] {
            assert_eq!(parse(odd, before(0)), None, "{odd:?}");
        }
    }

    proptest! {
        #[test]
        fn no_text_breaks_it_and_no_wait_is_longer_than_an_hour(
            text in "\\PC{0,60}", now in -1_000_000_000_i64..10_000_000_000,
        ) {
            let now = Timestamp::from_second(now).unwrap();
            prop_assert!(parse(&text, now).is_none_or(|wait| wait <= LONGEST));
        }

        #[test]
        fn every_moment_written_in_the_fixed_form_is_read_back(seconds in 0_i64..250_000_000_000) {
            let moment = Timestamp::from_second(seconds).unwrap();
            let text = jiff::fmt::strtime::format(
                "%a, %d %b %Y %H:%M:%S GMT", jiff::tz::TimeZone::UTC.to_datetime(moment),
            ).unwrap();
            prop_assert_eq!(http_date(&text), Some(moment));
        }
    }
}
