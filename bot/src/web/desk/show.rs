//! The parts of a case's page.

use super::act::VERDICT_FIELDS;
use super::offer::{self, Offer};
use super::page::{deed_fields, time};
use super::place::{after, next_field};
use super::queue::{dates, reasons, urgency};
use super::words::{legend, marked};
use super::{Desk, Signed, guardian, history, measured, pictures};
use crate::brain::Brain;
use crate::casework::dealt_with;
use crate::markup;
use crate::record::{CaseFile, CaseState, Entry, EntryKind, KeptFile};
use crate::wording::{figures, verdict_causes, waiting};
use cueline_core::assess::Assessment;
use cueline_core::catalog::LiftBook;
use cueline_core::diagnosis::{Belief, Weight};
use cueline_core::quantity::{Mass, MassUnit};
use cueline_core::reading::Hints;
use cueline_core::report::{AgeBand, Lift, SetReport};
use jiff::Timestamp;
use maud::{Markup, html};

/// Causes shown of the bot's view.
const MOST_BELIEFS: usize = 5;
/// Lines up to which an answer of ours is not folded.
const SHORT: usize = 3;
/// Below this probability a cause is not shown.
const LEAST_BELIEF: f64 = 0.02;

/// Everything one showing of a case needs.
pub(super) struct View<'a> {
    pub(super) desk: &'a Desk,
    pub(super) brain: &'a Brain,
    pub(super) signed: &'a Signed,
    pub(super) file: &'a CaseFile,
    /// The newest set, assessed once more.
    pub(super) look: Option<Assessment>,
    /// The bot has a plan that can be put into the answer.
    pub(super) has_plan: bool,
    /// What stands in the answer.
    pub(super) answer: String,
    /// Numbers of the waiting cases, in order.
    pub(super) queue: &'a [i64],
    /// The case to go on with, as it was before a deed moved this one in the queue.
    pub(super) next: Option<i64>,
    /// What it offers beside an answer.
    pub(super) offer: Offer,
    /// Pictures and traces, without their contents.
    pub(super) files: &'a [KeptFile],
    pub(super) now: Timestamp,
}

impl View<'_> {
    pub(super) fn book(&self) -> Option<&LiftBook> {
        let lift = self.file.case.lift?;
        self.brain.catalog.lifts.get(&lift)
    }

    pub(super) fn unit(&self) -> MassUnit {
        let round = self.file.case.body.rounds.last();
        let said = round.and_then(|round| round.report.load);
        let usual = self
            .file
            .lifter
            .as_ref()
            .and_then(|lifter| lifter.profile.unit);
        said.map(|load| load.unit).or(usual).unwrap_or(MassUnit::Kg)
    }
}

/// The lifter's name.
pub(super) fn name(file: &CaseFile) -> &str {
    file.lifter
        .as_ref()
        .map_or(file.case.person.person_id.as_str(), |lifter| {
            lifter.display_name.as_str()
        })
}

/// A state in words.
pub(super) const fn state(state: CaseState) -> &'static str {
    match state {
        CaseState::Asking => "one question open",
        CaseState::Practising => "practising",
        CaseState::WithCoach => "with the coach",
        CaseState::Halted => "stopped for safety",
        CaseState::Mended => "mended",
        CaseState::Lapsed => "lapsed",
        CaseState::Withdrawn => "withdrawn",
    }
}

/// The whole page.
pub(super) fn case(view: &View<'_>, outcome: &Markup) -> Markup {
    let file = view.file;
    html! {
        (way(view))
        h1 {
            "Case " (file.case.number) ": " (name(file)) ", " (file.case.lift.map_or("set", Lift::name))
        }
        (outcome)
        @if file.case.state == CaseState::Halted {
            p.stop { strong { "Stopped for safety." } " No loads and no technique until a licensed clinician has cleared the lifter and you lift the stop." }
        }
        (why(view))
        div.columns {
            div.left {
                (said(view))
                (pictures::section(view))
                (measured::section(view))
                (answer(view))
                (others(view))
                (offer::forms(view))
            }
            div.right {
                (numbers(view))
                (beliefs(view))
                (measured::expected(view))
                (history::history(view))
            }
        }
    }
}

/// To the queue and to the cases before and after in it.
fn way(view: &View<'_>) -> Markup {
    let number = view.file.case.number;
    let place = view.queue.iter().position(|waiting| *waiting == number);
    let before = place.and_then(|place| view.queue.get(place.checked_sub(1)?));
    let after = after(view);
    html! {
        nav.way aria-label="In the queue" {
            a href="/desk" { "Queue" }
            @if let Some(before) = before { a href={ "/desk/case/" (before) } data-key="k" rel="prev" { "Before: case " (before) } }
            @if let Some(after) = after { a href={ "/desk/case/" (after) } data-key="j" rel="next" { "Next: case " (after) } }
            a href="#answer" { "Your answer" }
            a href="#numbers" { "Numbers" }
        }
    }
}

/// Where it stands and why it waits.
fn why(view: &View<'_>) -> Markup {
    let case = &view.file.case;
    html! {
        div.facts {
            p { (state(case.state)) ", opened " (waiting(case.opened_at, view.now)) " ago" }
            @if let Some(item) = &view.file.queue_item {
                @let (name, class) = urgency(item.urgency);
                p { span class={ "badge " (class) } { (name) } " " (reasons(&item.reasons)) }
                p.dates { (dates(view.desk, item, view.now)) }
            } @else {
                p { "Not in the queue." }
            }
        }
    }
}

fn estimate(kg: (f64, f64, f64), unit: MassUnit) -> Markup {
    let shown = |kg: f64| Mass::from_kg(kg, unit).about();
    html! { (shown(kg.0)) ", most likely between " (shown(kg.1)) " and " (shown(kg.2)) }
}

/// The numbers of the newest set.
fn numbers(view: &View<'_>) -> Markup {
    let Some(round) = view.file.case.body.rounds.last() else {
        return html! {
            section.sheet aria-labelledby="numbers" {
                h2 id="numbers" { "Numbers" }
                p { "No set was read yet." }
            }
        };
    };
    let report = &round.report;
    html! {
        section.sheet aria-labelledby="numbers" {
            h2 id="numbers" { "Numbers" }
            dl {
                (pair("Set", &figures::set(report)))
                @if let Some(kg) = round.estimate_kg {
                    dt { "Best single" } dd { "about " (estimate(kg, view.unit())) }
                    @if let Some(load) = report.load.filter(|_| kg.0 > 0.0) {
                        (pair("This set", &format!("{:.0} % of it", 100.0 * load.kg() / kg.0)))
                    }
                }
                (about_lifter(report))
            }
            @if let Some(look) = &view.look {
                @for hazard in &look.triage.hazards { p.hazard { strong { "Mind: " } (hazard.note) } }
            }
            @if let Some(clip) = report.clip.as_deref() {
                p { "Clip: " @if clip.starts_with("https://") { a href=(clip) rel="noreferrer nofollow external" { (clip) } } @else { (clip) } }
            }
        }
    }
}

fn pair(name: &str, value: &str) -> Markup {
    html! { dt { (name) } dd { (value) } }
}

/// What is known of the lifter.
fn about_lifter(report: &SetReport) -> Markup {
    let yes_no = |yes: bool| if yes { "yes" } else { "no" };
    let age = report.age_band.map(|age| match age {
        AgeBand::Under18 => "under 18: no loads",
        AgeBand::Adult => "18 to 59",
        AgeBand::SixtyPlus => "60 and over",
    });
    let setting = &report.setting;
    html! {
        @if let Some(mass) = report.body_mass { (pair("Body weight", &mass.both())) }
        @if let Some(goal) = &report.goal { (pair("Goal", &goal.load.both())) }
        @if let Some(months) = report.training_months { (pair("Training", &format!("{months} months"))) }
        @if let Some(age) = age { (pair("Age", age)) }
        @if let Some(alone) = setting.alone { (pair("Alone", yes_no(alone))) }
        @if let Some(safeties) = setting.safeties { (pair("Safeties", yes_no(safeties))) }
        @if let Some(spotter) = setting.spotter { (pair("Spotter", yes_no(spotter))) }
    }
}

/// The bot's ranked view with what speaks for and against each cause.
fn beliefs(view: &View<'_>) -> Markup {
    let shown: Vec<&Belief> = view
        .look
        .iter()
        .flat_map(|look| &look.beliefs)
        .filter(|belief| belief.probability >= LEAST_BELIEF)
        .take(MOST_BELIEFS)
        .collect();
    let chosen = view.look.as_ref().and_then(|look| look.chosen.first());
    let absent: Vec<&str> = view
        .look
        .iter()
        .flat_map(|look| &look.signs)
        .filter(|sign| sign.probability < 0.5)
        .map(|sign| sign.sign.as_str())
        .collect();
    let blind = view.look.as_ref().is_some_and(|look| look.signs.is_empty());
    html! {
        section.sheet aria-labelledby="view" {
            h2 id="view" { "Cueline's view" }
            @if shown.is_empty() { p { "None: nothing in the catalog fits what was read." } }
            @else if blind { p.soft { "No sign was read: this is only how common each cause is." } }
            @if let Some(book) = view.book() {
                @let list = html! {
                    ol.beliefs {
                        @for belief in shown {
                            li { (one_belief(book, belief, chosen == Some(&belief.cause), &absent)) }
                        }
                    }
                };
                @if view.file.case.state == CaseState::Halted {
                    details { summary { "Technique waits while the case is stopped" } (list) }
                } @else { (list) }
            }
            @if let Some(question) = view.look.as_ref().and_then(|look| look.question.as_ref()).filter(|_| view.file.case.state != CaseState::Halted) {
                p { "It would ask next: " (question.text) }
            }
            @if view.has_plan {
                p { a href={ "/desk/case/" (view.file.case.number) "/plan#answer" } data-key="p" { "Start your answer from Cueline's plan" } }
            }
            (verdict_given(view))
        }
    }
}

fn one_belief(book: &LiftBook, belief: &Belief, first: bool, absent: &[&str]) -> Markup {
    let cause = book.cause(&belief.cause);
    let percent = (belief.probability * 100.0).round();
    html! {
        p.cause {
            strong { (cause.map_or(belief.cause.as_str(), |cause| cause.meaning.as_str())) }
            " " span.percent { (percent) " %" }
            @if first { " " span.badge.eye { "to fix first" } }
        }
        // The figure stands beside it in words.
        meter min="0" max="100" value=(percent) aria-hidden="true" {}
        ul.evidence {
            @for weight in belief.supports.iter().filter(|one| counts(one)) { (evidence(book, weight, "for", "+", absent)) }
            @for weight in belief.against.iter().filter(|one| counts(one)) { (evidence(book, weight, "against", "", absent)) }
        }
    }
}

/// A sign that moved a belief enough to be seen in the figure.
fn counts(weight: &Weight) -> bool {
    weight.weight.abs() >= 0.05
}

/// One sign, whether it is there, and how much it moved the belief.
fn evidence(book: &LiftBook, weight: &Weight, side: &str, plus: &str, absent: &[&str]) -> Markup {
    let sign = book.sign(&weight.sign);
    html! {
        li class=(side) {
            span.side { (side) " " }
            span {
                @if absent.contains(&weight.sign.as_str()) { "not there: " }
                (sign.map_or(weight.sign.as_str(), |sign| sign.meaning.as_str()))
                span.weight { " (" (plus) (format!("{:.1}", weight.weight)) ")" }
            }
        }
    }
}

/// What a coach said is behind a set, and the form to say it.
fn verdict_given(view: &View<'_>) -> Markup {
    let Some(book) = view.book() else {
        return html! {};
    };
    let given = view.file.verdict.as_ref();
    let rounds = &view.file.case.body.rounds;
    let newest = rounds.last().map(|round| round.event_id.as_str());
    html! {
        h3 id="verdict" { "Your verdict" }
        @if let Some(given) = given {
            p {
                // Written for chat, where ids stand between backticks.
                strong { (verdict_causes(&view.brain.words, book, &given.judged.causes).replace('`', "")) }
                " (" (given.by.person_id) ", " (time(view.desk, given.at))
                @if newest != Some(given.event_id.as_str()) { ", on an earlier set" }
                ")"
            }
        }
        @if newest.is_some() {
            details {
                summary data-key="v" { @if given.is_some() { "Change the verdict" } @else { "Say what is behind the set" } }
                form.verdict method="post" action={ "/desk/case/" (view.file.case.number) "/verdict" } {
                    (deed_fields(view.signed))
                    (next_field(view))
                    @for (name, label) in VERDICT_FIELDS.iter().zip(["First thing to fix", "Second", "Third"]) {
                        label for={ "cause-" (name) } { (label) }
                        select id={ "cause-" (name) } name=(name) data-first[*name == "first"] {
                            option value="" { "" }
                            @if *name == "first" { option value="none" { "no fault" } }
                            @for cause in &book.causes { option value=(cause.id) { (cause.meaning) } }
                        }
                    }
                    p { button type="submit" { "Keep the verdict" } }
                }
            }
        }
    }
}

/// Everything that was said, the lifter's words with what was read in them.
fn said(view: &View<'_>) -> Markup {
    let ours = |entry: &Entry| entry.kind == EntryKind::Reply && entry.text.lines().count() > SHORT;
    let last_reply = view.file.entries.iter().rposition(ours);
    html! {
        section.sheet aria-labelledby="said" {
            h2 id="said" { "What was said" }
            (legend())
            ol.said {
                @for (index, entry) in view.file.entries.iter().enumerate() {
                    (entry_of(view, entry, last_reply != Some(index)))
                }
            }
        }
    }
}

/// One entry; an answer of ours is folded when a newer one follows.
fn entry_of(view: &View<'_>, entry: &Entry, folded: bool) -> Markup {
    let hints = Hints {
        unit: view
            .file
            .lifter
            .as_ref()
            .and_then(|lifter| lifter.profile.unit),
        lift: view.file.case.lift,
    };
    let (who, class) = match entry.kind {
        EntryKind::Lifter => (name(view.file), "lifter"),
        EntryKind::Reply => ("Cueline", "ours"),
        EntryKind::Reminder => ("Cueline, reminder", "ours"),
        EntryKind::Coach => (entry.who.as_str(), "coach"),
        EntryKind::Change => (entry.who.as_str(), "change"),
    };
    html! {
        li class=(class) {
            p.who { strong { (who) } " " (time(view.desk, entry.at)) }
            div.text {
                @if entry.text.is_empty() { p.soft { "(taken back)" } }
                // Our own words in place of what was not kept: nothing is read in them.
                @else if entry.text == view.brain.words.say("privacy.withheld", &[]) { p.soft { (entry.text) } }
                @else if entry.kind == EntryKind::Lifter { p.own { (marked(&entry.text, &view.brain.catalog, hints)) } }
                @else if entry.kind == EntryKind::Change { p { (entry.text) } }
                @else if folded && entry.kind == EntryKind::Reply && entry.text.lines().count() > SHORT {
                    details { summary { "An earlier answer" } (markup::render(&entry.text, "")) }
                }
                @else { (markup::render(&entry.text, "")) }
            }
        }
    }
}

/// The coach's answer.
fn answer(view: &View<'_>) -> Markup {
    let number = view.file.case.number;
    html! {
        section.sheet aria-labelledby="answer-title" {
            h2 id="answer-title" { "Your answer" }
            form.answer method="post" action={ "/desk/case/" (number) "/preview" } {
                (deed_fields(view.signed))
                (next_field(view))
                label for="answer" { "In your own words, to " (name(view.file)) }
                textarea id="answer" name="text" rows=(if view.answer.is_empty() { "5" } else { "12" }) maxlength="6000" data-key="a" { (view.answer) }
                p.buttons {
                    button.main type="submit" { "Preview" }
                    span.soft { "It is shown to you once more before it goes out." }
                }
            }
        }
    }
}

/// Take, finish, stop, lift the stop.
fn others(view: &View<'_>) -> Markup {
    let halted = view.file.case.state == CaseState::Halted;
    html! {
        section.deeds aria-label="This case" {
            (deed(view, "take", "Take it", "t", "plain"))
            @if !halted { (deed(view, "finish", "Finish", "f", "plain")) }
            @else if view.file.queue_item.is_some() && dealt_with(view.file) { (deed(view, "aside", "Set aside until the lifter writes", "f", "plain")) }
            @if halted {
                details {
                    summary data-key="l" { "Lift the stop" }
                    p { "Only once a licensed clinician has cleared the lifter. The lifter is told, and the case comes back to you for a plan." }
                    (deed(view, "lift", "Lift the stop now", "", "danger"))
                }
            } @else {
                details {
                    summary data-key="h" { "Stop this case for safety" }
                    form method="post" action={ "/desk/case/" (view.file.case.number) "/halt" } {
                        (deed_fields(view.signed))
                        (next_field(view))
                        label for="why" { "Why, for the history of the case" }
                        input id="why" name="text" maxlength="300" autocomplete="off";
                        p { "The lifter is told to stop and to see licensed care; loads, technique and reminders end until you lift the stop." }
                        button.danger type="submit" { "Stop it now" }
                    }
                }
            }
            (guardian::section(view))
        }
    }
}

fn deed(view: &View<'_>, deed: &str, label: &str, key: &str, class: &str) -> Markup {
    html! {
        form method="post" action={ "/desk/case/" (view.file.case.number) "/" (deed) } {
            (deed_fields(view.signed))
            (next_field(view))
            button class=(class) type="submit" data-key=[(!key.is_empty()).then_some(key)] { (label) }
        }
    }
}
