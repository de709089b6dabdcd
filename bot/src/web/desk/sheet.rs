//! The review sheet for the weekly session: a page that prints well, and the same as Markdown.
//!
//! Opening it changes nothing. What is shown is the sheet that was kept for this session, here or by
//! the word in chat, with its cases as they stand now; or, when there is none or other minutes are
//! asked for, the sheet as it would be drawn up now. Drawing up and keeping is an order.

use super::act::{give, outcome_of};
use super::guard::{Fields, trouble};
use super::page::{deed_fields, time, whole, zone};
use super::queue::viewed;
use super::{Desk, Signed};
use crate::casework::{
    MINUTES, MOST_SHEET_LINES, SAME_SESSION, USUAL_MINUTES, kept_sheet, review_sheet, sheet_spans,
};
use crate::markup;
use crate::record::{Sheet, SheetCard, SheetDrawn};
use crate::store::StoreError;
use crate::wording::{Words, card_lists, sheet_document, showing};
use axum::Extension;
use axum::extract::{Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    /// Minutes of a sheet that is to be drawn up afresh, as typed.
    minutes: Option<String>,
    /// Deed whose outcome is shown.
    done: Option<String>,
}

impl Asked {
    /// The minutes, when they are ones a sheet is drawn up for.
    fn minutes(&self) -> Option<u32> {
        let minutes = self.minutes.as_ref()?.trim().parse().ok()?;
        MINUTES.contains(&minutes).then_some(minutes)
    }
}

/// What is shown: the sheet, and how it was kept, if it was.
struct Shown {
    sheet: Sheet,
    kept: Option<SheetDrawn>,
}

/// Loads what there is to show.
async fn shown(desk: &Desk, signed: &Signed, asked: &Asked) -> Result<Shown, StoreError> {
    let (store, now, brain) = (&desk.parts.store, desk.now(), desk.brain());
    let source = &signed.person.source;
    let (catalog, words, rules) = (&brain.catalog, &brain.words, &brain.rules);
    let kept = match asked.minutes() {
        Some(_) => None,
        None => store.kept_sheet(source, now, SAME_SESSION).await?,
    };
    let (earlier, since) = sheet_spans(now);
    let lines = store
        .sheet_lines(source, earlier, since, MOST_SHEET_LINES)
        .await?;
    let minutes = asked.minutes().unwrap_or(USUAL_MINUTES);
    let fresh = review_sheet(&lines, minutes, catalog, words, rules, now);
    let Some((drawn, kept)) = kept else {
        return Ok(Shown {
            sheet: fresh,
            kept: None,
        });
    };
    let mut sheet = kept_sheet(&kept, drawn.minutes, catalog, words, rules, now);
    // What was stopped, before or since, is named on every sheet.
    for number in fresh.stopped {
        if !sheet.stopped.contains(&number) {
            sheet.stopped.push(number);
        }
    }
    Ok(Shown {
        sheet,
        kept: Some(drawn),
    })
}

/// The page.
pub(super) async fn show(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let outcome = outcome_of(&desk, &signed, asked.done.as_deref()).await;
    let read = async {
        let store = &desk.parts.store;
        store
            .note_access(&viewed(&desk, &signed, "sheet", None))
            .await?;
        shown(&desk, &signed, &asked).await
    };
    let shown = match read.await {
        Ok(shown) => shown,
        Err(error) => return trouble(&error),
    };
    let (sheet, brain) = (&shown.sheet, desk.brain());
    let words = &brain.words;
    let typed = asked.minutes.as_deref().unwrap_or_default();
    let inside = html! {
        h1 { "Review sheet" }
        p.soft.on-paper { "Drawn up " (time(&desk, desk.now())) }
        (outcome)
        @if !typed.trim().is_empty() && asked.minutes().is_none() {
            p.warn role="alert" { "A sheet is drawn up for " (MINUTES.start()) " to " (MINUTES.end()) " minutes. This one is for " (sheet.minutes) "." }
        }
        (forms(&desk, &signed, &shown))
        @if !sheet.stopped.is_empty() {
            p.stop { strong { "First, and not in the session:" } " stopped for safety: " (cases(&sheet.stopped)) "." }
        }
        @if sheet.cards.is_empty() { p.empty { (words.say("sheet.empty", &[])) } }
        @else {
            p.counts { strong { (sheet.filled) " of " (sheet.minutes) " minutes" } ", cases: " (sheet.cards.len()) }
            (running_order(sheet))
            ol.cards { @for card in &sheet.cards { li { (one_card(words, card)) } } }
        }
        @if !sheet.left_out.is_empty() {
            p { "No time for: " (cases(&sheet.left_out)) ". They stay in the queue." }
        }
    };
    whole(&signed, "Review sheet", "/desk/sheet", &inside)
}

/// Cases by their numbers.
fn cases(numbers: &[i64]) -> Markup {
    html! {
        @for (index, number) in numbers.iter().enumerate() {
            @if index > 0 { ", " }
            a href={ "/desk/case/" (number) } { (number) }
        }
    }
}

/// How it came about, and what can be done with it.
fn forms(desk: &Desk, signed: &Signed, shown: &Shown) -> Markup {
    let sheet = &shown.sheet;
    let document = match shown.kept {
        Some(_) => "/desk/sheet.md".to_owned(),
        None => format!("/desk/sheet.md?minutes={}", sheet.minutes),
    };
    html! {
        @match &shown.kept {
            Some(kept) => p.how {
                "Kept " (time(desk, kept.at)) " by " (kept.by.person_id) ", for " (kept.minutes)
                " minutes. Its cases are shown as they stand now. "
                a href={ "/desk/sheet?minutes=" (kept.minutes) } { "See what would be drawn up now" }
            },
            None => p.how { "This is what would be drawn up now. Nothing is kept yet: what is kept and not answered is carried over to the next sheet." },
        }
        div.sheet-forms {
            form.find method="get" action="/desk/sheet" {
                label for="minutes" { "Minutes" }
                input id="minutes" name="minutes" inputmode="numeric" pattern="[0-9]*" autocomplete="off" value=(sheet.minutes);
                button type="submit" { "Show" }
            }
            @if shown.kept.is_none() && !sheet.cards.is_empty() {
                form method="post" action="/desk/sheet/keep" {
                    (deed_fields(signed))
                    input type="hidden" name="minutes" value=(sheet.minutes);
                    button.main type="submit" { "Draw up and keep" }
                }
            }
            a.download href=(document) download { "Download as Markdown" }
        }
    }
}

/// What comes when.
fn running_order(sheet: &Sheet) -> Markup {
    html! {
        section.sheet aria-labelledby="order" {
            h2 id="order" { "Running order" }
            ol.order {
                @for card in &sheet.cards {
                    li {
                        span.at { "minute " (card.at_minute) } " "
                        a href={ "#case-" (card.number) } { "Case " (card.number) ", " (card.lift) }
                        span.soft { " " (card.minutes) " min" @if card.carried_over { ", carried over" } }
                    }
                }
            }
        }
    }
}

/// A text of a card, which is written for chat, within a line.
fn line(text: &str) -> Markup {
    html! { div.line { (markup::render(text, "")) } }
}

/// One case.
fn one_card(words: &Words, card: &SheetCard) -> Markup {
    html! {
        article.card id={ "case-" (card.number) } {
            h2 {
                a.case href={ "/desk/case/" (card.number) } { "Case " (card.number) }
                span { " " (card.lift) ", minute " (card.at_minute) " to " (card.at_minute + card.minutes) }
            }
            div.who-line { (line(&card.lifter_name)) }
            div class=(if card.showable.is_some() { "showing may" } else { "showing" }) { (line(&showing(words, card))) }
            @if card.carried_over { (line(&words.say("sheet.carried", &[]))) }
            @if !card.why.is_empty() { (line(&words.say("sheet.why", &[("why", &card.why.join("; "))]))) }
            @for (title, texts) in card_lists(words, card) {
                h3 { (title) }
                ul { @for text in texts { li { (line(text)) } } }
            }
        }
    }
}

/// The same as a Markdown document.
pub(super) async fn document(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Query(asked): Query<Asked>,
) -> Response {
    let read = async {
        let store = &desk.parts.store;
        store
            .note_access(&viewed(&desk, &signed, "sheet.md", None))
            .await?;
        shown(&desk, &signed, &asked).await
    };
    let shown = match read.await {
        Ok(shown) => shown,
        Err(error) => return trouble(&error),
    };
    let day = zone(&desk).to_datetime(desk.now());
    let day = day.strftime("%A %-d %B %Y").to_string();
    let kind = [
        (CONTENT_TYPE, "text/markdown; charset=utf-8"),
        (
            CONTENT_DISPOSITION,
            "attachment; filename=\"review-sheet.md\"",
        ),
    ];
    (
        kind,
        sheet_document(&desk.brain().words, &shown.sheet, &day),
    )
        .into_response()
}

/// Draws a sheet up and keeps it, as the word in chat does.
pub(super) async fn keep(
    State(desk): State<Arc<Desk>>,
    Extension(signed): Extension<Signed>,
    Extension(fields): Extension<Fields>,
) -> Response {
    let id = fields.text("deed");
    // What is no number is answered as minutes that are none.
    let minutes: u32 = fields.text("minutes").trim().parse().unwrap_or(0);
    let order = format!("review sheet {minutes} minutes");
    match give(&desk, &signed, &id, order).await {
        Ok(_) => Redirect::to(&format!("/desk/sheet?done={id}")).into_response(),
        Err(answer) => *answer,
    }
}
