//! What a case's page offers beside an answer: one question to the lifter, and putting the case to the
//! community.

use super::page::deed_fields;
use super::place::next_field;
use super::show::{self, View};
use super::{Desk, Signed};
use crate::casework::Known;
use crate::casework::challenge::hindrance;
use crate::record::{CaseFile, CaseState};
use crate::store::StoreError;
use jiff::Timestamp;
use jiff::ToSpan as _;
use jiff::civil::Time;
use jiff::tz::TimeZone;
use maud::{Markup, html};

/// Cases of a lifter, and challenges, that are looked at.
const MOST_LOOKED_AT: u32 = 50;
/// Time of day a closing time is proposed for.
const USUAL_TIME: Time = Time::constant(18, 0, 0, 0);
/// Days from now it is proposed for.
const USUAL_DAYS: i64 = 3;

/// What the forms need.
pub(super) struct Offer {
    /// Why the case cannot be put to the community; none when it can.
    hindrance: Option<String>,
    /// Proposed closing time, as the browser's field takes it.
    closes: String,
    /// Zone of the closing time.
    zone: String,
}

/// Loads what is known of the lifter's other cases and of challenges.
pub(super) async fn offer(
    desk: &Desk,
    signed: &Signed,
    file: &CaseFile,
    now: Timestamp,
) -> Result<Offer, StoreError> {
    let (store, brain) = (&desk.parts.store, desk.brain());
    let (challenges, source) = (store.challenges(), &signed.person.source);
    let mut known = Known::of_nobody(&brain.catalog, &brain.words, &brain.rules);
    if brain.rules.challenges.rooms.contains_key(source) {
        let (person, community) = (&file.case.person, &mut known.community);
        community.lifter_cases = store.cases_of(person, MOST_LOOKED_AT).await?;
        community.own = challenges.of_lifter(person, MOST_LOOKED_AT).await?;
        community.live = challenges.live(source, MOST_LOOKED_AT).await?;
    }
    // The coach's own zone, as the order takes it, else that of the house.
    let coach = store.lifter(&signed.person).await?;
    let own = coach.and_then(|coach| coach.zone);
    let name = own.unwrap_or_else(|| brain.rules.default_zone.clone());
    let zone = TimeZone::get(&name).unwrap_or(TimeZone::UTC);
    let date = zone.to_datetime(now).date();
    let date = date.checked_add(USUAL_DAYS.days()).unwrap_or(date);
    let closes = date.to_datetime(USUAL_TIME);
    Ok(Offer {
        hindrance: hindrance(&known, source, file),
        closes: closes.strftime("%Y-%m-%dT%H:%M").to_string(),
        zone: name,
    })
}

/// A closing time from the form as the order has it: the day, then the time.
pub(super) fn until(typed: &str) -> String {
    let letters = typed.trim().chars().take(40);
    letters.map(|c| if c == 'T' { ' ' } else { c }).collect()
}

/// The forms.
pub(super) fn forms(view: &View<'_>) -> Markup {
    html! {
        section.deeds aria-label="The lifter and the community" {
            (question(view))
            (community(view))
        }
    }
}

/// One question to the lifter.
fn question(view: &View<'_>) -> Markup {
    let case = &view.file.case;
    let may = case.state.is_open() && case.state != CaseState::Halted;
    html! {
        details {
            summary data-key="n" { "Ask the lifter one question" }
            @if may {
                form method="post" action={ "/desk/case/" (case.number) "/ask" } {
                    (deed_fields(view.signed))
                    (next_field(view))
                    @if let Some(open) = &case.body.open_question { p { "It takes the place of the question that is open now: " (open.text) } }
                    label for="question" { "Your question, to " (show::name(view.file)) }
                    input id="question" name="text" maxlength="1000" autocomplete="off" data-first;
                    p { "The case leaves the queue until the lifter answers, and comes back to you then. Without an answer it lapses." }
                    button type="submit" { "Ask now" }
                }
            } @else if case.state == CaseState::Halted {
                p { "This case is stopped for safety: lift the stop first, once a licensed clinician has cleared the lifter." }
            } @else {
                p { "This case is over; nobody waits for a question in it. An answer of yours still reaches the lifter." }
            }
        }
    }
}

/// Putting the case to the community, or why not.
fn community(view: &View<'_>) -> Markup {
    let number = view.file.case.number;
    html! {
        details {
            summary data-key="c" { "Put to the community" }
            @match &view.offer.hindrance {
                Some(why) => div.why-not { (crate::markup::render(why, "")) },
                None => form method="post" action={ "/desk/case/" (number) "/challenge" } {
                    (deed_fields(view.signed))
                    (next_field(view))
                    label for="closes" { "Closes, in " (view.offer.zone) }
                    input id="closes" name="closes" type="datetime-local" value=(view.offer.closes) required data-first;
                    p { "The lifter is shown the exact text first, without name and words, and it opens only with their yes. Your verdict is needed before the reveal." }
                    button type="submit" { "Ask the lifter and open it" }
                },
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::until;

    #[test]
    fn a_closing_time_is_day_and_time_apart_and_bounded() {
        assert_eq!(until("2026-03-06T18:00"), "2026-03-06 18:00");
        assert_eq!(until(&"x".repeat(90)).len(), 40);
    }
}
