//! One message on the page, with its buttons and what its author may do. `page.js` builds the
//! same shape from the feed.

use super::Chat;
use super::message::{AuthorKind, Message};
use super::page::{View, address, is_own, short, way};
use crate::markup;
use crate::record::ChoiceStyle;
use maud::{Markup, html};

/// The fields that say who acts where.
pub(super) fn hidden(view: &View<'_>) -> Markup {
    html! {
        input type="hidden" name="seat" value=(view.seat.id);
        input type="hidden" name="room" value=(view.room);
    }
}

/// A message as an item of the feed.
pub(super) fn card(view: &View<'_>, message: &Message) -> Markup {
    let kind = match message.author.kind {
        AuthorKind::Person => "person",
        AuthorKind::Service => "service",
        AuthorKind::Room => "room",
    };
    let own = is_own(view.seat, message);
    let aside = message.room_id == Chat::private_room(&view.seat.id);
    html! {
        li id={ "c-" (message.id) } class={ "card " (kind) @if own { " own" } @if message.thread_id.is_some() { " threaded" } }
            data-place=(message.place) {
            (headline(view, message, aside))
            @if let Some(answered) = message.reply_to.as_deref() {
                @if let Ok(answered) = view.practice.chat.message(answered) {
                    @if view.seat.sees(view.room, &answered) {
                        a.answering href={ "#c-" (answered.id) } { "answers " (short(&answered)) }
                    }
                }
            }
            div.words {
                @if message.deleted { p.gone { "taken back" } }
                @else if message.author.kind == AuthorKind::Service { (markup::render(&message.text, view.own)) }
                @else { (markup::plain(&message.text)) }
            }
            @if let Some(file) = message.file.as_ref().filter(|_| !message.deleted) {
                p.presses { "sent along: " (file) }
            }
            @if let Some(picture) = &message.picture {
                img src={ "data:image/png;base64," (picture.data_base64) } alt=(picture.alt);
            }
            (buttons(view, message))
            @if let Some(way) = way(message) { p.way { (way) } }
            @if message.author.kind != AuthorKind::Room && !message.deleted { (acts(view, message, own)) }
        }
    }
}

fn headline(view: &View<'_>, message: &Message, aside: bool) -> Markup {
    let role = match message.author.kind {
        AuthorKind::Person => view
            .practice
            .people
            .iter()
            .find(|seat| seat.id == message.author.id)
            .map(|seat| seat.role_label.as_str()),
        AuthorKind::Service => Some("answers by itself"),
        AuthorKind::Room => None,
    };
    html! {
        p.head {
            span.who { (message.author.name) }
            @if let Some(role) = role { span.role { (role) } }
            time datetime=(message.at) { (message.at.strftime("%-d %b %H:%M UTC")) }
            @if message.version > 1 { span.mark { "edited" } }
            @if aside { span.mark { "only you see this" } }
        }
    }
}

fn buttons(view: &View<'_>, message: &Message) -> Markup {
    html! {
        @if !message.choices.is_empty() {
            form.choices method="post" action="/practice/press" data-live="press" {
                (hidden(view))
                input type="hidden" name="message" value=(message.id);
                @for choice in &message.choices {
                    @let pressed = message.presses.iter()
                        .any(|press| press.choice_id == choice.choice_id && press.by_id == view.seat.id);
                    button type="submit" name="choice" value=(choice.choice_id) class=(style(choice.style))
                        aria-pressed=(if pressed { "true" } else { "false" }) { (choice.label) }
                }
            }
            @if !message.presses.is_empty() {
                p.presses {
                    @for (at, press) in message.presses.iter().enumerate() {
                        @if at > 0 { "; " }
                        (press.by_name) " pressed "
                        @for choice in message.choices.iter().filter(|one| one.choice_id == press.choice_id) {
                            "“" (choice.label) "”"
                        }
                    }
                }
            }
        }
    }
}

const fn style(style: ChoiceStyle) -> &'static str {
    match style {
        ChoiceStyle::Plain => "plain",
        ChoiceStyle::Confirm => "confirm",
        ChoiceStyle::Danger => "danger",
    }
}

fn acts(view: &View<'_>, message: &Message, own: bool) -> Markup {
    let reply = address(&view.seat.id, Some(view.room), "");
    html! {
        div.acts {
            a href={ (reply) "&reply=" (message.id) "#say" } data-reply=(message.id) { "Reply" }
            @if own && !message.id.starts_with("f-") {
                details {
                    summary { "Edit" }
                    form method="post" action="/practice/edit" data-live="edit" {
                        (hidden(view))
                        input type="hidden" name="message" value=(message.id);
                        textarea name="text" rows="3" maxlength="8000" required aria-label="New words" { (message.text) }
                        button.main type="submit" { "Save" }
                    }
                }
            }
            @if own {
                form method="post" action="/practice/delete" data-live="delete" {
                    (hidden(view))
                    input type="hidden" name="message" value=(message.id);
                    button.quiet type="submit" { "Take back" }
                }
            }
        }
    }
}
