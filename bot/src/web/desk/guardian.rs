//! What a parent or guardian of a lifter under 18 has said: on the case's page, with a small form.

use super::page::{deed_fields, time};
use super::show::View;
use cueline_core::report::AgeBand;
use maud::{Markup, html};

/// Choices of the form: value, label.
const CHOICES: [(&str, &str); 3] = [
    (
        "yes",
        "They agree: words on health and pictures may be kept",
    ),
    (
        "no",
        "They do not agree: nothing of it is kept, and reminders end",
    ),
    ("withdraw", "Take back what was recorded"),
];

/// The order a form means, in the words of the chat; none for a value the form does not have.
pub(super) fn order(number: i64, said: &str) -> Option<String> {
    let (value, _) = CHOICES.iter().find(|(value, _)| *value == said)?;
    Some(format!("guardian {value} {number}"))
}

/// State and form; for a lifter who has said to be grown, nothing.
pub(super) fn section(view: &View<'_>) -> Markup {
    let profile = view.file.lifter.as_ref().map(|lifter| &lifter.profile);
    let age = profile.and_then(|profile| profile.age_band);
    let recorded = profile.and_then(|profile| profile.guardian.as_ref());
    let minor = age == Some(AgeBand::Under18);
    html! {
        @if (minor || age.is_none()) && view.file.case.body.for_whom.is_none() {
            details open[minor] {
                summary { "Parent or guardian, for a lifter under 18" }
                @match recorded {
                    Some(said) => p {
                        @if said.agrees { "Said yes" } @else { "Said no" }
                        ", recorded by " (said.recorded_by) ", " (time(view.desk, said.at))
                    },
                    None => p { "Nothing on record: under 18 no words on health and no pictures are kept." }
                }
                form method="post" action={ "/desk/case/" (view.file.case.number) "/guardian" } {
                    (deed_fields(view.signed))
                    label for="guardian" { "What a parent or guardian has told you" }
                    select id="guardian" name="said" {
                        @for (value, label) in CHOICES { option value=(value) { (label) } }
                    }
                    button type="submit" { "Record it" }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::order;

    #[test]
    fn only_what_the_form_has_becomes_an_order() {
        assert_eq!(order(12, "yes").as_deref(), Some("guardian yes 12"));
        assert_eq!(
            order(12, "withdraw").as_deref(),
            Some("guardian withdraw 12")
        );
        assert_eq!(order(12, "yes 13"), None);
        assert_eq!(order(12, ""), None);
    }
}
